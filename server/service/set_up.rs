//! Changing what is kept about the neighbourhood. Every change is checked as a whole, names the revision it began
//! from, and goes on record.

use crate::model::carry::Carry;
use crate::model::entry::fields::Problem;
use crate::model::entry::fields::out_of_range;
use crate::model::id::Id;
use crate::model::id::SiteId;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::person::Person;
use crate::model::person::Role;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::model::site::Site;
use crate::picture::body::Body;
use crate::picture::power::burns;
use crate::service::App;
use crate::service::Caller;
use crate::service::Error;
use crate::service::authorise::Deed;
use crate::service::battery;
use crate::service::measures::body_problem;
use crate::service::outages;
use crate::service::settings;
use crate::service::works;

pub use crate::store::Change;

impl App {
    /// Keeps a thing, new (`began_from` is none) or changed.
    ///
    /// # Errors
    /// Not the caller's to change; fields that do not hold; changed by another meanwhile.
    pub async fn keep(&self, caller: &Caller, thing: Thing, began_from: Option<i64>) -> Result<i64, Error> {
        let revisions = self.keep_all(caller, vec![(thing, began_from)]).await?;
        revisions.first().copied().ok_or(Error::Stale)
    }

    /// Keeps several things, all or none; each may name one that stands before it in the list.
    ///
    /// # Errors
    /// As [`App::keep`], for the first that does not hold.
    pub async fn keep_all(&self, caller: &Caller, things: Vec<(Thing, Option<i64>)>) -> Result<Vec<i64>, Error> {
        self.may_keep_all(caller, &things)?;
        Ok(self.store.write(caller.id(), self.clock.now(), things).await?)
    }

    /// Whether all of them could be kept, one after the other.
    pub(super) fn may_keep_all(&self, caller: &Caller, things: &[(Thing, Option<i64>)]) -> Result<(), Error> {
        let mut set_up = SetUp::clone(&self.picture().set_up);
        for (thing, began_from) in things {
            let before = set_up.find(thing);
            if let Some((before, _)) = &before {
                may_change(caller, before)?;
            }
            may_change(caller, thing)?;
            if before.is_none() && matches!(thing, Thing::Site(_)) {
                caller.may(Deed::Coordinate, None)?;
            }
            if before.map(|before| before.1) != *began_from {
                return Err(Error::Stale);
            }
            let mut problems = check(&set_up, thing);
            if let Thing::Outage(outage) = thing {
                problems.extend(outages::ahead(outage, self.clock.now()));
            }
            if !problems.is_empty() {
                return Err(Error::Invalid(problems));
            }
            set_up.put(thing.clone(), 0);
        }
        Ok(())
    }

    /// The newest changes of a thing, or of all: those before the change `before`, which ended the last page.
    ///
    /// # Errors
    /// Only the coordinator sees the whole record; who may change a thing of a site sees what was changed of it.
    pub async fn changes(
        &self,
        caller: &Caller,
        thing: Option<uuid::Uuid>,
        before: Option<i64>,
        most: i64,
    ) -> Result<Vec<Change>, Error> {
        match thing.and_then(|thing| site_of_id(&self.picture().set_up, thing)) {
            Some(site) => caller.may(Deed::ChangeSite, Some(site))?,
            None => caller.may(Deed::Coordinate, None)?,
        }
        Ok(self.store.changes(thing, before, most).await?)
    }

    /// One change of the record, by its number.
    ///
    /// # Errors
    /// There is none, or it is not the caller's to see.
    pub async fn change(&self, caller: &Caller, seq: i64) -> Result<Change, Error> {
        caller.may(Deed::SeeTotals, None)?;
        let change = self.store.change(seq).await?.ok_or(Error::NotFound("change"))?;
        match site_of_id(&self.picture().set_up, change.thing) {
            Some(site) => caller.may(Deed::ChangeSite, Some(site)).map_err(|_| Error::NotFound("change"))?,
            None => caller.may(Deed::Coordinate, None)?,
        }
        Ok(change)
    }
}

/// A thing of a site is for whoever may change that site; the rest is for the coordinator.
pub(super) fn may_change(caller: &Caller, thing: &Thing) -> Result<(), Error> {
    match site_of(thing) {
        Some(site) => caller.may(Deed::ChangeSite, Some(site)),
        None => caller.may(Deed::Coordinate, None),
    }
}

/// The site a thing belongs to; none for what is the neighbourhood's.
#[must_use]
pub fn site_of(thing: &Thing) -> Option<SiteId> {
    match thing {
        Thing::Site(site) => Some(site.id),
        Thing::Bank(bank) => Some(bank.site),
        Thing::Vessel(vessel) => Some(vessel.site),
        Thing::Generator(generator) => Some(generator.site),
        Thing::FuelStore(store) => Some(store.site),
        Thing::Load(load) => Some(load.site),
        Thing::Battery(battery) => Some(battery.site),
        // It binds two sites, so it is for whoever leads both.
        Thing::Carry(_)
        | Thing::Neighbourhood(_)
        | Thing::Source(_)
        | Thing::Person(_)
        | Thing::Token(_)
        | Thing::Outage(_) => None,
        Thing::Stage(stage) => Some(stage.site),
        Thing::Pump(pump) => Some(pump.site),
    }
}

/// The site of whatever has that id, if it is a site's.
fn site_of_id(set_up: &SetUp, id: uuid::Uuid) -> Option<SiteId> {
    let vessel = set_up.vessels.get(&Id::from_uuid(id)).map(|kept| kept.thing.site);
    let bank = || set_up.banks.get(&Id::from_uuid(id)).map(|kept| kept.thing.site);
    let generator = || set_up.generators.get(&Id::from_uuid(id)).map(|kept| kept.thing.site);
    let store = || set_up.fuel_stores.get(&Id::from_uuid(id)).map(|kept| kept.thing.site);
    let load = || set_up.loads.get(&Id::from_uuid(id)).map(|kept| kept.thing.site);
    let battery = || set_up.batteries.get(&Id::from_uuid(id)).map(|kept| kept.thing.site);
    let stage = || set_up.stages.get(&Id::from_uuid(id)).map(|kept| kept.thing.site);
    let pump = || set_up.pumps.get(&Id::from_uuid(id)).map(|kept| kept.thing.site);
    let site = || set_up.sites.get(&Id::from_uuid(id)).map(|kept| kept.thing.id);
    vessel
        .or_else(bank)
        .or_else(generator)
        .or_else(store)
        .or_else(load)
        .or_else(battery)
        .or_else(stage)
        .or_else(pump)
        .or_else(site)
}

/// What of a thing does not hold, beside what its types already hold to.
#[must_use]
pub fn check(set_up: &SetUp, thing: &Thing) -> Vec<Problem> {
    let mut problems = Vec::new();
    match thing {
        Thing::Neighbourhood(thing) => settings::check(thing, &mut problems),
        Thing::Source(thing) => {
            let others = set_up.sources.values().filter(|kept| kept.thing.id != thing.id);
            unique(&mut problems, others.map(|kept| kept.thing.name.as_str()), thing.name.as_str());
        }
        Thing::Site(thing) => check_site(set_up, thing, &mut problems),
        Thing::Bank(thing) => site_there(set_up, thing.site, &mut problems),
        Thing::Vessel(thing) => check_vessel(set_up, thing, &mut problems),
        Thing::Generator(thing) => {
            site_there(set_up, thing.site, &mut problems);
            if let Some(burst) = thing.burst_w {
                measure(&mut problems, "burst_w", "power for some seconds", burst, &keepwell_engine::quantity::POWER);
                if burst < thing.rated_w {
                    let why = "Power for some seconds is no less than its rated power.";
                    problems.push(Problem::new("burst_w", Message::new(why)));
                }
            }
            if let Err(error) = burns(thing) {
                problems.push(Problem::new(
                    "burn",
                    Message::new("The burn line does not hold: {why}").with("why", Arg::text(error.to_string())),
                ));
            }
        }
        Thing::FuelStore(thing) => {
            site_there(set_up, thing.site, &mut problems);
            measure(&mut problems, "amount_l", "amount", thing.amount_l, &keepwell_engine::quantity::FUEL);
            if let Some(capacity) = thing.capacity_l {
                measure(&mut problems, "capacity_l", "capacity", capacity, &keepwell_engine::quantity::FUEL);
                if capacity <= 0.0 {
                    problems.push(Problem::new("capacity_l", Message::new("What holds nothing is no store of fuel.")));
                } else if thing.amount_l > capacity {
                    problems.push(Problem::new("amount_l", Message::new("More than it holds.")));
                }
            }
        }
        Thing::Load(thing) => {
            site_there(set_up, thing.site, &mut problems);
            measure(&mut problems, "running_w", "power", thing.running_w, &keepwell_engine::quantity::POWER);
            measure(
                &mut problems,
                "hours_a_day",
                "hours a day",
                thing.hours_a_day,
                &keepwell_engine::quantity::HOURS_A_DAY,
            );
            if let Some(surge) = thing.surge_w {
                measure(&mut problems, "surge_w", "surge", surge, &keepwell_engine::quantity::POWER);
            }
        }
        Thing::Battery(thing) => battery::check(set_up, thing, &mut problems),
        Thing::Carry(thing) => check_carry(set_up, thing, &mut problems),
        Thing::Stage(thing) => works::check_stage(set_up, thing, &mut problems),
        Thing::Pump(thing) => works::check_pump(set_up, thing, &mut problems),
        Thing::Outage(thing) => outages::check(set_up, thing, &mut problems),
        Thing::Person(thing) => check_person(set_up, thing, &mut problems),
        Thing::Token(thing) => {
            let before = set_up.tokens.get(&thing.id).map(|kept| &kept.thing);
            if before.is_some_and(|before| before.ended.is_some() && thing.ended.is_none()) {
                let why = "A revoked token stays revoked. Make a new one.";
                problems.push(Problem::new("ended", Message::new(why)));
            }
            for site in &thing.sites {
                site_there(set_up, *site, &mut problems);
            }
        }
    }
    problems
}

fn check_carry(set_up: &SetUp, thing: &Carry, problems: &mut Vec<Problem>) {
    for (field, site) in [("from", thing.from), ("to", thing.to)] {
        if !set_up.sites.contains_key(&site) {
            problems.push(Problem::new(field, Message::new("There is no such site.")));
        }
    }
    if thing.from == thing.to {
        problems.push(Problem::new("to", Message::new("Water is carried from one site to another, not to itself.")));
    }
    measure(problems, "litres_a_day", "litres a day", thing.litres_a_day, &keepwell_engine::quantity::CARRIED);
    measure(problems, "litres_a_trip", "litres in one trip", thing.litres_a_trip, &keepwell_engine::quantity::TRIP);
    measure(problems, "loss", "part lost", thing.loss, &keepwell_engine::quantity::LOSS);
}

fn check_person(set_up: &SetUp, thing: &Person, problems: &mut Vec<Problem>) {
    // The name of an account that has ended is free for another.
    let others = set_up.people.values().filter(|kept| kept.thing.id != thing.id && kept.thing.ended.is_none());
    let others = others.filter(|_| thing.ended.is_none());
    unique(problems, others.map(|kept| kept.thing.name.as_str()), thing.name.as_str());
    for site in &thing.sites {
        site_there(set_up, *site, problems);
    }
    let leads = |person: &Person| person.role == Role::Coordinator && person.ended.is_none();
    let led = set_up.people.get(&thing.id).is_some_and(|kept| leads(&kept.thing));
    let another = set_up.people.values().any(|kept| kept.thing.id != thing.id && leads(&kept.thing));
    if led && !leads(thing) && !another {
        let why = "This is the only coordinator. Make somebody else a coordinator first.";
        problems.push(Problem::new("role", Message::new(why)));
    }
}

fn check_site(set_up: &SetUp, thing: &Site, problems: &mut Vec<Problem>) {
    let others = set_up.sites.values().filter(|kept| kept.thing.id != thing.id);
    unique(problems, others.map(|kept| kept.thing.name.as_str()), thing.name.as_str());
    if thing.sources.iter().any(|source| !set_up.sources.contains_key(source)) {
        problems.push(Problem::new("sources", Message::new("It names nothing that is kept here.")));
    }
    let optional = [
        ("latitude", "latitude", thing.latitude, &keepwell_engine::quantity::LATITUDE),
        ("longitude", "longitude", thing.longitude, &keepwell_engine::quantity::LONGITUDE),
        ("elevation_m", "elevation", thing.elevation_m, &keepwell_engine::quantity::ELEVATION),
    ];
    for (field, label, value, allowed) in optional {
        if let Some(value) = value {
            measure(problems, field, label, value, allowed);
        }
    }
    measure(
        problems,
        "pump_hours_a_day",
        "hours a day",
        thing.pump_hours_a_day,
        &keepwell_engine::quantity::HOURS_A_DAY,
    );
    measure(problems, "keep_l", "kept back", thing.keep_l, &keepwell_engine::quantity::VOLUME);
    let lost = thing.handed_out_loss;
    measure(problems, "handed_out_loss", "lost in handing out", lost, &keepwell_engine::quantity::HANDED_OUT);
    if thing.pump_hours_a_day <= 0.0 {
        problems.push(Problem::new("pump_hours_a_day", Message::new("A run plan has more than 0 hours a day.")));
    }
    for people in &thing.people {
        measure(problems, "people", "people", f64::from(people.count), &keepwell_engine::quantity::PEOPLE);
    }
    problems.extend(too_many_cannot_collect(thing).map(|why| Problem::new("cannot_collect", why)));
    for animals in &thing.animals {
        measure(problems, "animals", "animals", f64::from(animals.count), &keepwell_engine::quantity::ANIMALS);
    }
}

/// Why there cannot be so many at a site who cannot fetch water; none where there can.
pub(super) fn too_many_cannot_collect(site: &Site) -> Option<Message> {
    let most = site.residents();
    let message = || {
        Message::new("{Field} is {value}; allowed is 0 to {most}, the people counted here without day visits.")
            .with("field", Arg::Word("those who cannot collect water"))
            .with("value", Arg::Count(site.cannot_collect.into()))
            .with("most", Arg::Count(most.into()))
    };
    (site.cannot_collect > most).then(message)
}

fn check_vessel(set_up: &SetUp, thing: &crate::model::vessel::Vessel, problems: &mut Vec<Problem>) {
    site_there(set_up, thing.site, problems);
    let others = set_up.vessels.values().filter(|kept| kept.thing.site == thing.site && kept.thing.id != thing.id);
    unique(problems, others.map(|kept| kept.thing.name.as_str()), thing.name.as_str());
    if thing.bank.is_some_and(|bank| set_up.banks.get(&bank).is_none_or(|kept| kept.thing.site != thing.site)) {
        problems.push(Problem::new("bank", Message::new("It names nothing that is kept here.")));
    }
    if thing.source.is_some_and(|source| !set_up.sources.contains_key(&source)) {
        problems.push(Problem::new("source", Message::new("It names nothing that is kept here.")));
    }
    if let Some(empty) = thing.empty_kg {
        measure(problems, "empty_kg", "weight when empty", empty, &keepwell_engine::structure::measures::EMPTY);
    }
    measure(problems, "floor_m", "height of its floor", thing.floor_m, &keepwell_engine::quantity::ELEVATION);
    measure(
        problems,
        "interval_days",
        "days between",
        thing.policy.interval_days,
        &keepwell_engine::quantity::INTERVAL,
    );
    measure(
        problems,
        "redose_days",
        "days a test vouches for",
        thing.policy.redose_days,
        &keepwell_engine::quantity::INTERVAL,
    );
    if let Err(error) = Body::of(thing) {
        problems.push(body_problem(thing.shape, error));
    }
}

pub(super) fn site_there(set_up: &SetUp, site: SiteId, problems: &mut Vec<Problem>) {
    if !set_up.sites.contains_key(&site) {
        problems.push(Problem::new("site", Message::new("There is no such site.")));
    }
}

fn unique<'a>(problems: &mut Vec<Problem>, mut others: impl Iterator<Item = &'a str>, name: &str) {
    let folded = || name.chars().flat_map(char::to_lowercase);
    if others.any(|other| other.chars().flat_map(char::to_lowercase).eq(folded())) {
        problems.push(Problem::new("name", Message::new("{name} is taken.").with("name", Arg::text(name))));
    }
}

pub(super) fn measure(
    problems: &mut Vec<Problem>,
    field: &'static str,
    label: &'static str,
    value: f64,
    allowed: &'static keepwell_engine::quantity::Measure,
) {
    if let Err(error) = allowed.check(value) {
        problems.push(Problem::new(field, out_of_range(label, &error)));
    }
}
