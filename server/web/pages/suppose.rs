//! What if: the assumptions that an address carries, asked and read in one place, beside the present.

use keepwell_engine::demand::Ladder;
use keepwell_engine::endurance::Timeline;
use keepwell_engine::forecast::Outage;
use keepwell_engine::quantity::CHANCE;
use keepwell_engine::quantity::INTERVAL;
use keepwell_engine::quantity::OUTAGE_DAYS;
use keepwell_engine::quantity::PEOPLE;
use keepwell_engine::quantity::SUPPOSED_DAYS;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::VOLUME;
use keepwell_engine::quantity::days;

use crate::model::id::SiteId;
use crate::model::id::SourceId;
use crate::model::id::VesselId;
use crate::model::message::Message;
use crate::picture::Picture;
use crate::picture::shared::WithCarries;
use crate::picture::suppose::Delivery;
use crate::picture::suppose::Suppose;
use crate::picture::suppose::Then;
use crate::picture::today::Today;
use crate::service::authorise::Deed;
use crate::web::asking::Asking;
use crate::web::asking::Sheet;
use crate::web::asking::ask;
use crate::web::extract::Pairs;
use crate::web::form;
use crate::web::pages::sites::form_urlencoded;
use crate::web::visitor::Visitor;

/// The members of an address that suppose something.
const KEYS: [&str; 21] = [
    "heat", "target", "then", "after", "guests", "at", "lost", "brings", "on", "to", "comes", "half", "most", "power",
    "pump", "fouled", "spoilt", "supply", "treated", "carried", "frost",
];
/// Those of them that are seldom asked, and folded: the last.
const SELDOM: usize = 8;

/// Those that are about one site or a vessel of it.
const AT_A_SITE: [&str; 9] = ["guests", "at", "lost", "brings", "on", "to", "power", "pump", "fouled"];

/// More sites than this are no list to choose from.
const MANY: usize = 100;

/// What an address supposes.
pub struct Supposed {
    pub suppose: Suppose,
    /// how long the mains stay off, where that is asked
    pub outage: Option<Outage>,
    pub sheet: Sheet,
    /// what is seldom asked, and whether any of it is
    pub more: Sheet,
    pub more_is_asked: bool,
    /// the form was sent and something in it does not hold: nothing is supposed, and the form says why
    pub refused: bool,
    /// the assumptions as they stand in the address, to be carried on: "heat=3&guests=20" or nothing
    pub carried: String,
}

/// Reads what the address supposes, and makes its form. `of` is the site whose page it is, where it is one's.
pub fn asked(visitor: &Visitor, picture: &Picture, sent: &Pairs, of: Option<SiteId>) -> Supposed {
    asked_with(visitor, picture, sent, of, false)
}

/// The same, and how long the mains may stay off: of a forecast.
pub fn asked_of_a_forecast(visitor: &Visitor, picture: &Picture, sent: &Pairs) -> Supposed {
    asked_with(visitor, picture, sent, None, true)
}

fn asked_with(visitor: &Visitor, picture: &Picture, sent: &Pairs, of: Option<SiteId>, forecast: bool) -> Supposed {
    let given: Vec<(&str, &str)> = KEYS
        .iter()
        .flat_map(|key| sent.all(key).map(move |value| (*key, value)))
        .filter(|(_, value)| !value.trim().is_empty())
        .collect();
    let is_sent = !given.is_empty();
    let mut asking = Asking::of(&visitor.reader, is_sent.then_some(sent));
    let mut suppose = questions(visitor, picture, &mut asking, of, forecast);
    if of.is_none() && picture.sites().len() > MANY {
        for key in AT_A_SITE.into_iter().filter(|key| given.iter().any(|given| given.0 == *key)) {
            asking.fault(
                key,
                Message::new("There are too many sites to choose one here: ask it at the site's own page."),
            );
        }
    }
    let outage = if forecast { outage(&mut asking) } else { None };
    asking.group("", "");
    seldom(visitor, picture, &mut asking, of, &mut suppose);
    let holds = asking.holds();
    let mut carried = form_urlencoded(&given);
    if !holds {
        carried.clear();
    }
    let more_is_asked = given.iter().any(|(key, _)| KEYS[KEYS.len() - SELDOM..].contains(key));
    let mut sheet = asking.finish(Vec::new());
    let more = Sheet { groups: sheet.groups.split_off(1), problems: Vec::new() };
    Supposed {
        suppose: if holds { suppose } else { Suppose::default() },
        outage: outage.filter(|_| holds),
        refused: is_sent && !holds,
        sheet,
        more,
        more_is_asked,
        carried,
    }
}

fn questions(visitor: &Visitor, picture: &Picture, asking: &mut Asking, of: Option<SiteId>, forecast: bool) -> Suppose {
    let mut suppose = Suppose::default();
    asking.group("", "");
    asking.words("What is left empty stays as it is.");
    let heat = ask("heat", "Days of heat")
        .hint("From now on; people then drink twice as much, and carries are left out.")
        .quiet();
    suppose.heat_days = asking.figure(heat, &SUPPOSED_DAYS, None).unwrap_or(0.0);
    let target = ask("target", "Days to last").hint("Instead of those that the neighbourhood wants.").quiet();
    suppose.target_days = asking.beside().figure(target, &INTERVAL, None);
    suppose.then = later(visitor, asking);
    if of.is_none() && picture.sites().len() > MANY {
        asking.words("Guests, and what is lost at one site, are asked at the site's own page.");
    } else {
        at_a_site(visitor, picture, asking, of, &mut suppose);
        promised(visitor, picture, asking, of, &mut suppose, forecast);
    }
    suppose
}

/// What is seldom asked.
fn seldom(visitor: &Visitor, picture: &Picture, asking: &mut Asking, of: Option<SiteId>, suppose: &mut Suppose) {
    if of.is_some() || picture.sites().len() <= MANY {
        let site = |site: Option<String>| site.and_then(|site| site.parse::<SiteId>().ok());
        let power = ask("power", "No generator at").hint("It does not start; a battery still gives.").quiet();
        if let Some(site) = site(asking.pick(power, places(visitor, picture, of), None)) {
            suppose.sites.entry(site).or_default().unpowered = true;
        }
        let pump = ask("pump", "No pump at").hint("Gravity and hand are left.").quiet();
        if let Some(site) = site(asking.beside().pick(pump, places(visitor, picture, of), None)) {
            suppose.sites.entry(site).or_default().pumpless = true;
        }
        let hint = "Something gets into it and what is open to it: washing water at best.";
        let fouled = ask("fouled", "Fouled").hint(hint).quiet();
        let mut vessels = stores(visitor, picture, of);
        vessels.retain(|store| store.value.parse().is_ok_and(|id| picture.vessel(id).is_some()));
        let fouled = asking.pick(fouled, vessels, None);
        suppose.fouled.extend(fouled.iter().flat_map(|vessel| together(picture, vessel)));
    }
    let sources = || {
        let sources = picture.set_up.sources.values();
        sources.map(|kept| choice(kept.thing.id.to_string(), kept.thing.name.to_string())).collect()
    };
    let supply = |source: Option<String>| source.and_then(|source| source.parse::<SourceId>().ok());
    let spoilt = ask("spoilt", "Spoilt").hint("What was filled from that supply is on hold.").quiet();
    suppose.spoilt.extend(supply(asking.pick(spoilt, sources(), None)));
    let hint = "Every day is of stored water, so none changes; nothing is filled from it.";
    let failed = ask("supply", "Nothing comes from").hint(hint).quiet();
    suppose.failed.extend(supply(asking.beside().pick(failed, sources(), None)));
    suppose.untreated = asking.check(ask("treated", "Nothing is treated").quiet(), false);
    suppose.uncarried = asking.beside().check(ask("carried", "Nothing is carried").quiet(), false);
    let frost = ask("frost", "A hard frost").hint("Nothing is drawn from what may freeze.").quiet();
    suppose.frost = asking.check(frost, false);
}

/// Another ration from some day on.
fn later(visitor: &Visitor, asking: &mut Asking) -> Option<Then> {
    let rungs = Ladder::usual().rungs().iter();
    let rungs = rungs.map(|rung| choice(rung.key().to_owned(), visitor.reader.word(rung.name()).to_owned())).collect();
    let hint = "Carries are left out: they are reckoned for a need that stays.";
    let ration = asking.pick(ask("then", "Later another ration").hint(hint).quiet(), rungs, None);
    let after = asking.beside().figure(ask("after", "After so many days").quiet(), &SUPPOSED_DAYS, None);
    match (ration, after) {
        (Some(ration), Some(after)) => Some(Then { ration, after }),
        (Some(_), None) => {
            asking.fault_if_blank("after", Message::new("Say after how many days."));
            None
        }
        (None, Some(_)) => {
            asking.fault_if_blank("then", Message::new("Say which ration."));
            None
        }
        (None, None) => None,
    }
}

/// Water that is promised, to one site.
fn promised(
    visitor: &Visitor,
    picture: &Picture,
    asking: &mut Asking,
    of: Option<SiteId>,
    suppose: &mut Suppose,
    forecast: bool,
) {
    let hint =
        "Into its largest vessel of drinking water, in cans where it has none. Whether there is room is not asked.";
    let litres = asking.figure(ask("brings", "Water promised").hint(hint).quiet(), &VOLUME, None);
    let day = asking.beside().figure(ask("on", "In so many days").quiet(), &SUPPOSED_DAYS, None);
    let sites = places(visitor, picture, of);
    let to = asking.pick(ask("to", "Promised to").quiet(), sites, of.map(|site| site.to_string()));
    let chance = if forecast {
        let hint = "Surely, if you say nothing.";
        asking.beside().figure(ask("comes", "The chance that it comes").hint(hint).quiet(), &CHANCE, None)
    } else {
        None
    };
    let Some(litres) = litres.filter(|litres| *litres > 0.0) else {
        if day.is_some() || chance.is_some() {
            asking.fault_if_blank("brings", Message::new("Say how much is promised."));
        }
        return;
    };
    let site = to.or_else(|| of.map(|site| site.to_string())).and_then(|to| to.parse::<SiteId>().ok());
    match (site, day) {
        (Some(site), Some(day)) => {
            let chance = chance.unwrap_or(1.0);
            suppose.sites.entry(site).or_default().delivery = Some(Delivery { litres, day, chance });
        }
        (None, _) => asking.fault_if_blank("to", Message::new("Say where it would be brought.")),
        (_, None) => asking.fault_if_blank("on", Message::new("Say in how many days.")),
    }
}

/// How long the mains may stay off.
fn outage(asking: &mut Asking) -> Option<Outage> {
    let hint = "As many such outages are over sooner as later.";
    let half = asking.figure(ask("half", "Half are over within").hint(hint).quiet(), &OUTAGE_DAYS, None);
    let hint = "One in ten takes longer.";
    let most = ask("most", "Nine in ten are over within").hint(hint).quiet();
    let most = asking.beside().figure(most, &OUTAGE_DAYS, None);
    match (half, most) {
        (Some(half), Some(most)) if most >= half => {
            Some(Outage { half_over: days(half), nine_in_ten_over: days(most) })
        }
        (Some(_), Some(_)) => {
            asking.fault("most", Message::new("Nine in ten are over no sooner than half are."));
            None
        }
        (Some(_), None) => {
            asking.fault_if_blank("most", Message::new("Say within how many days nine in ten are over."));
            None
        }
        (None, Some(_)) => {
            asking.fault_if_blank("half", Message::new("Say within how many days half are over."));
            None
        }
        (None, None) => None,
    }
}

/// What is supposed of one site among those that there are.
fn at_a_site(visitor: &Visitor, picture: &Picture, asking: &mut Asking, of: Option<SiteId>, suppose: &mut Suppose) {
    let guests = asking.count(ask("guests", "More people").quiet(), &PEOPLE, None);
    let sites = places(visitor, picture, of);
    let at = asking.beside().pick(ask("at", "Who draw at").quiet(), sites, of.map(|site| site.to_string()));
    if let Some(guests) = guests.filter(|guests| *guests > 0) {
        match at.or_else(|| of.map(|site| site.to_string())).and_then(|at| at.parse::<SiteId>().ok()) {
            Some(site) => suppose.sites.entry(site).or_default().guests = guests,
            None => asking.fault("at", Message::new("Say where they would draw.")),
        }
    }
    let hint = "All that a site stores, or one vessel with what is open to it.";
    let lost = asking.pick(ask("lost", "Lost").hint(hint).quiet(), stores(visitor, picture, of), None);
    if let Some(lost) = lost {
        match lost.parse::<SiteId>().ok().filter(|site| picture.set_up.sites.contains_key(site)) {
            Some(site) => suppose.sites.entry(site).or_default().lost = true,
            None => suppose.lost.extend(together(picture, &lost)),
        }
    }
}

/// A vessel with those that are open to it.
fn together(picture: &Picture, vessel: &str) -> Vec<VesselId> {
    let vessel = vessel.parse().ok().and_then(|id| picture.vessel(id));
    vessel.map_or_else(Vec::new, |(_, vessel)| vessel.together())
}

fn choice(value: String, label: String) -> form::Choice {
    form::Choice { value, label, hint: String::new() }
}

/// Sites that the visitor may see; on a site's own page that one alone.
fn places(visitor: &Visitor, picture: &Picture, of: Option<SiteId>) -> Vec<form::Choice> {
    let seen = |site: &SiteId| visitor.caller.can(Deed::SeeSite, Some(*site)) && of.is_none_or(|of| of == *site);
    let sites = picture.sites().iter().filter(|site| site.site.ended.is_none() && seen(&site.site.id));
    let mut list: Vec<form::Choice> =
        sites.map(|site| choice(site.site.id.to_string(), site.site.name.to_string())).collect();
    list.sort_by(|a, b| a.label.cmp(&b.label));
    list
}

/// Those sites, each followed by its vessels.
fn stores(visitor: &Visitor, picture: &Picture, of: Option<SiteId>) -> Vec<form::Choice> {
    let mut list = Vec::new();
    for site in places(visitor, picture, of) {
        let vessels = site.value.parse().ok().and_then(|id| picture.site(id));
        let vessels = vessels.into_iter().flat_map(|there| there.vessels.iter());
        let vessels: Vec<form::Choice> = vessels
            .filter(|vessel| vessel.vessel.ended.is_none())
            .map(|vessel| choice(vessel.vessel.id.to_string(), format!("{}: {}", site.label, vessel.vessel.name)))
            .collect();
        list.push(site);
        list.extend(vessels);
    }
    list
}

/// One figure as it is and as it would be.
pub struct Beside {
    /// English, as a key
    pub what: &'static str,
    pub now: Option<Time>,
    pub then: Option<Time>,
}

/// The days of one site beside the present ones.
pub fn beside_at(id: SiteId, now: &Today, then: &Today) -> Vec<Beside> {
    let of = |today: &Today, figure: fn(&Timeline) -> Option<Time>| {
        today.site(id).and_then(|site| figure(&site.standing.timeline))
    };
    let line = |what, figure| Beside { what, now: of(now, figure), then: of(then, figure) };
    vec![line("days at the ration", Timeline::ration_ends), line("days to dry", Timeline::dry_from)]
}

/// The figures that an answer is known by, beside the present ones.
pub fn beside(now: &Today, then: &Today) -> Vec<Beside> {
    let first = |today: &Today| today.as_placed.ration.first().map(|fall| fall.at);
    let dry = |today: &Today| today.as_placed.water.first().map(|fall| fall.at);
    let mut all = vec![
        Beside { what: "the first person goes without", now: first(now), then: first(then) },
        Beside { what: "the first place is dry", now: dry(now), then: dry(then) },
    ];
    if let (Some(one), Some(other)) = (&now.with_carries, &then.with_carries) {
        let first = |with: &WithCarries| with.first.map(|first| first.1);
        all.push(Beside { what: "with the agreed carries", now: first(one), then: first(other) });
    }
    all.push(Beside { what: "all water pooled", now: now.pooled.days, then: then.pooled.days });
    all
}
