//! Rows of vessels.

use std::collections::BTreeMap;

use jiff::Timestamp;
use keepwell_engine::vessel;

use crate::model::choice::Choice;
use crate::model::entry::Act;
use crate::model::entry::fill::Fill;
use crate::model::id::BankId;
use crate::model::id::SiteId;
use crate::model::id::SourceId;
use crate::model::id::VesselId;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::name::Name;
use crate::model::source::SourceKind;
use crate::model::vessel::Bank;
use crate::model::vessel::Draw;
use crate::model::vessel::DrawWay;
use crate::model::vessel::Material;
use crate::model::vessel::Policy;
use crate::model::vessel::RotateHow;
use crate::model::vessel::ShapeKind;
use crate::model::vessel::StandsOn;
use crate::model::vessel::Vessel;
use crate::picture::body;
use crate::picture::body::Body;
use crate::picture::cluster::moment;
use crate::service::import::draft::Draft;
use crate::service::import::draft::Found;
use crate::service::import::draft::Waiting;
use crate::service::import::row::Row;
use crate::service::import::sites;
use crate::service::import::wall;

/// What a row says of a vessel.
struct Told {
    shape: Option<ShapeKind>,
    dimensions: Vec<(&'static str, f64)>,
    table: Option<Vec<(f64, f64)>>,
    full_m: Option<f64>,
    draws: Vec<Draw>,
    material: Option<Material>,
    food_grade: Option<bool>,
    closed: Option<bool>,
    opaque: Option<bool>,
    stands_on: Option<StandsOn>,
    anchored: Option<bool>,
    floor_m: Option<f64>,
    source: Option<SourceId>,
    interval_days: Option<f64>,
    how: Option<RotateHow>,
    outage_only: Option<bool>,
    daily_use: Option<bool>,
    may_freeze: Option<bool>,
    since: Option<Timestamp>,
    notes: Option<String>,
}

pub fn read(row: &mut Row<'_>, draft: &mut Draft) {
    let site = sites::named(row, draft);
    let name = row.name_in("name");
    let told = told(row, draft);
    let bank = row.words("bank").and_then(|_| row.name_in("bank"));
    let (filled, to_top) = (row.moment("last filled"), row.flag("filled to the top"));
    if to_top == Some(true) && row.text("last filled").is_empty() {
        row.fault("filled to the top", Message::new("Say in “last filled” when that was."));
    }
    let (Some(site), Some(name)) = (site, name) else { return };
    let within = draft.sites.items[site].thing.id;

    let at = match draft.vessels.find(within.uuid(), name.as_str()) {
        Found::One(at) => at,
        Found::None => {
            needed(row, &told);
            let at = draft.vessels.add(within.uuid(), name.as_str(), new(within, name.clone(), &told, row.asked.now));
            if told.since.is_none() {
                draft.since_open.insert(at);
            }
            at
        }
        found => return row.fault("name", sites::unusable(found, "vessels", name.as_str())),
    };
    if let Err(message) = draft.vessels.claim(at, row.spot("name")) {
        return row.fault("name", message);
    }
    let mut vessel = draft.vessels.items[at].thing.clone();
    since(row, draft.vessels.is_kept(at), &told, &vessel);
    told.apply(&mut vessel);
    if row.is_sound() {
        check(row, &vessel);
    }
    if let Some(name) = bank {
        vessel.bank = in_bank(row, draft, &vessel, name);
    }
    if let Some(filled) = filled {
        fill(row, draft, site, at, &vessel, filled, to_top.unwrap_or_default());
    }
    draft.vessels.items[at].broken = !row.is_sound();
    let outcome = draft.vessels.set(at, vessel);
    draft.counts.vessels.count(outcome);
}

fn told(row: &mut Row<'_>, draft: &mut Draft) -> Told {
    let mut dimensions = BTreeMap::new();
    for dimension in vessel::Kind::ALL.iter().flat_map(|kind| kind.dimensions()) {
        if !dimensions.contains_key(dimension.key) {
            dimensions.insert(dimension.key, row.figure(dimension.key));
        }
    }
    let draws =
        DrawWay::LIST.iter().filter_map(|way| Some(Draw { way: way.0, height_m: row.figure(way.1)? })).collect();
    let source = sites::source(row, draft, row.text("source"));
    Told {
        shape: row.choice("shape"),
        dimensions: dimensions.into_iter().filter_map(|(key, figure)| Some((key, figure?))).collect(),
        table: row.pairs("table"),
        full_m: row.figure("full mark"),
        draws,
        material: row.choice("material"),
        food_grade: row.flag("food grade"),
        closed: row.flag("closed"),
        opaque: row.flag("opaque"),
        stands_on: row.choice("stands on"),
        anchored: row.flag("anchored"),
        floor_m: row.figure("floor height"),
        source,
        interval_days: row.figure("rotate every"),
        how: row.choice("rotate how"),
        outage_only: row.flag("only in an outage"),
        daily_use: row.flag("drawn on daily"),
        may_freeze: row.flag("may freeze"),
        since: row.moment("in place since"),
        notes: row.words("notes"),
    }
}

/// What a new vessel has to say: its shape, and what decides whether its water is drunk. Nothing is assumed of these;
/// only a water heater is known to be closed, dark and made for drinking water.
fn needed(row: &mut Row<'_>, told: &Told) {
    if row.text("shape").is_empty() {
        row.missing("shape");
    }
    if told.shape == Some(ShapeKind::HeaterTank) {
        return;
    }
    for key in ["food grade", "closed", "opaque"] {
        if row.text(key).is_empty() {
            row.missing(key);
        }
    }
}

fn new(site: SiteId, name: Name, told: &Told, now: Timestamp) -> Vessel {
    let is_heater = told.shape == Some(ShapeKind::HeaterTank);
    Vessel {
        id: VesselId::fresh(),
        site,
        name,
        shape: told.shape.unwrap_or(ShapeKind::UprightCylinder),
        dimensions: BTreeMap::new(),
        strapping: Vec::new(),
        full_m: None,
        draws: Vec::new(),
        material: Material::Other,
        food_grade: is_heater,
        closed: is_heater,
        opaque: is_heater,
        stands_on: StandsOn::Ground,
        anchored: false,
        empty_kg: None,
        floor_m: 0.0,
        bank: None,
        source: None,
        policy: Policy::default(),
        outage_only: is_heater,
        daily_use: false,
        may_freeze: false,
        since: now,
        ended: None,
        notes: String::new(),
    }
}

impl Told {
    fn apply(self, vessel: &mut Vessel) {
        if let Some(shape) = self.shape
            && shape != vessel.shape
        {
            vessel.shape = shape;
            vessel.dimensions.clear();
            vessel.strapping.clear();
        }
        vessel.dimensions.extend(self.dimensions.into_iter().map(|(key, figure)| (key.to_owned(), figure)));
        vessel.strapping = self.table.unwrap_or_else(|| core::mem::take(&mut vessel.strapping));
        vessel.full_m = self.full_m.or(vessel.full_m);
        for draw in self.draws {
            match vessel.draws.iter_mut().find(|known| known.way == draw.way) {
                Some(known) => *known = draw,
                None => vessel.draws.push(draw),
            }
        }
        vessel.material = self.material.unwrap_or(vessel.material);
        vessel.food_grade = self.food_grade.unwrap_or(vessel.food_grade);
        vessel.closed = self.closed.unwrap_or(vessel.closed);
        vessel.opaque = self.opaque.unwrap_or(vessel.opaque);
        vessel.stands_on = self.stands_on.unwrap_or(vessel.stands_on);
        vessel.anchored = self.anchored.unwrap_or(vessel.anchored);
        vessel.floor_m = self.floor_m.unwrap_or(vessel.floor_m);
        vessel.source = self.source.or(vessel.source);
        vessel.policy.interval_days = self.interval_days.unwrap_or(vessel.policy.interval_days);
        vessel.policy.how = self.how.unwrap_or(vessel.policy.how);
        vessel.outage_only = self.outage_only.unwrap_or(vessel.outage_only);
        vessel.daily_use = self.daily_use.unwrap_or(vessel.daily_use);
        vessel.may_freeze = self.may_freeze.unwrap_or(vessel.may_freeze);
        vessel.since = self.since.unwrap_or(vessel.since);
        vessel.notes = self.notes.unwrap_or_else(|| core::mem::take(&mut vessel.notes));
    }
}

/// A vessel that is kept may have entries from the day it came: a file cannot move that day past them unseen.
fn since(row: &mut Row<'_>, is_kept: bool, told: &Told, vessel: &Vessel) {
    if is_kept && told.since.is_some_and(|since| since > vessel.since) {
        let message =
            Message::new("This vessel is in place since {since} already; a later day may leave entries before it.");
        row.fault("in place since", message.with("since", Arg::Moment(moment(vessel.since))));
    }
}

/// Whether the figures make a vessel, and say nothing that its shape has not.
fn check(row: &mut Row<'_>, vessel: &Vessel) {
    let has = body::kind(vessel.shape).dimensions();
    for key in vessel.dimensions.keys().filter(|key| has.iter().all(|dimension| dimension.key != *key)) {
        let message = Message::new("This is no measure of the shape “{shape}”: leave it empty.");
        row.fault(key, message.with("shape", Arg::Word(vessel.shape.label())));
    }
    let heights = vessel.full_m.map(|height| ("full mark", height));
    let heights = heights.into_iter().chain(vessel.draws.iter().map(|draw| (draw.way.key(), draw.height_m)));
    if !has_depth(vessel) {
        for (key, _) in heights.filter(|(key, height)| *height > 0.0 || *key == "full mark") {
            let none = "No depth is read in this kind of vessel, so it has no heights: leave them out.";
            row.fault(key, Message::new(none));
        }
    }
    if row.is_sound()
        && let Err(error) = Body::of(vessel)
    {
        let (key, message) = wall::of_vessel(&error);
        row.fault(key, message);
    }
}

const fn has_depth(vessel: &Vessel) -> bool {
    !matches!(vessel.shape, ShapeKind::Set | ShapeKind::HeaterTank)
}

/// The bank of that name at the vessel's site; a new one begins coupled, since what is drawn on together is.
fn in_bank(row: &mut Row<'_>, draft: &mut Draft, vessel: &Vessel, name: Name) -> Option<BankId> {
    if !has_depth(vessel) {
        row.fault("bank", Message::new("Only vessels in which a depth is read are joined to a bank."));
        return None;
    }
    match draft.banks.find(vessel.site.uuid(), name.as_str()) {
        Found::One(at) => Some(draft.banks.items[at].thing.id),
        Found::None => {
            let text = name.to_string();
            let bank = Bank { id: BankId::fresh(), site: vessel.site, name, coupled_at_first: true };
            let id = bank.id;
            draft.banks.add(vessel.site.uuid(), &text, bank);
            draft.counts.banks.added += 1;
            Some(id)
        }
        found => {
            row.fault("bank", sites::unusable(found, "banks", name.as_str()));
            None
        }
    }
}

/// The day it was last filled, as an entry: from its own source, or its site's first, or the mains.
fn fill(
    row: &mut Row<'_>,
    draft: &mut Draft,
    site: usize,
    at: usize,
    vessel: &Vessel,
    filled: Timestamp,
    to_top: bool,
) {
    let of_site = || draft.sites.items[site].thing.sources.first().copied();
    let mains = || draft.sources.items.iter().map(|item| &item.thing).find(|source| source.kind == SourceKind::Mains);
    let Some(source) = vessel.source.or_else(of_site).or_else(|| mains().map(|source| source.id)) else {
        let message =
            Message::new("Say in a column “source” what it was filled from: neither it nor its site names one.");
        return row.fault("last filled", message);
    };
    let (litres, measured, boiled, printed, lot, note) = (None, None, false, None, None, None);
    let act = Act::Fill(Fill { litres, to_top, measured, source, boiled, printed, lot, note });
    let spot = row.spot("last filled");
    draft.waiting.push(Waiting {
        site: vessel.site,
        vessel: Some(at),
        at: filled,
        act,
        spot,
        counted: |counts| &mut counts.fills,
    });
}
