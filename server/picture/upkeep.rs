//! What is to be done at a site again and again: which duties it has, when each was last done and when it is due.

use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::OutOfRange;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::days;
use keepwell_engine::upkeep::Duty;
use keepwell_engine::upkeep::Reckoned;
use keepwell_engine::upkeep::SOON_DAYS;
use keepwell_engine::upkeep::State;

use crate::model::entry::inspection::Looked;
use crate::model::id::FuelStoreId;
use crate::model::id::GeneratorId;
use crate::model::id::VesselId;
use crate::model::upkeep::Intervals;
use crate::model::vessel::DrawWay;
use crate::model::vessel::RotateHow;
use crate::model::vessel::ShapeKind;
use crate::picture::SitePicture;
use crate::picture::VesselPicture;
use crate::picture::cluster::moment;
use crate::picture::power::fuel_kind;

/// Less fuel than this is an empty can.
const NO_FUEL_L: f64 = 0.05;

/// What a duty is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Of {
    Site,
    Vessel(VesselId),
    Generator(GeneratorId),
    FuelStore(FuelStoreId),
}

/// One duty of one thing.
#[derive(Clone, Debug, PartialEq)]
pub struct Task {
    pub duty: Duty,
    pub of: Of,
    /// what it is called; empty for the site itself
    pub name: String,
    pub reckoned: Reckoned,
    /// the date comes from what is printed on the water, or from a test that vouches for it
    pub dated: Option<Dated>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dated {
    Printed,
    Tested,
}

impl Task {
    /// The most pressing first, then what is due first; what was never done stands before what has a date.
    #[must_use]
    pub fn order(&self) -> (State, Option<Moment>, Duty, &str) {
        (self.reckoned.state, self.reckoned.due, self.duty, &self.name)
    }
}

/// Every duty of a site, in order. One whose interval does not hold is left out and logged: it was checked when kept.
#[must_use]
pub fn tasks(site: &SitePicture, intervals: &Intervals, now: Moment) -> Vec<Task> {
    let mut found = Vec::new();
    let mut put = |duty, of, name: &str, reckoned: Result<Reckoned, OutOfRange>, dated| match reckoned {
        Ok(reckoned) => found.push(Task { duty, of, name: name.to_owned(), reckoned, dated }),
        Err(error) => tracing::error!(site = %site.site.id, "a duty cannot be reckoned: {error}"),
    };
    for vessel in site.vessels_at(now).filter(|vessel| !vessel.vessel.outage_only) {
        let (of, name) = (Of::Vessel(vessel.vessel.id), vessel.vessel.name.as_str());
        if let Some((reckoned, dated)) = rotation(vessel, now) {
            put(Duty::Rotation, of, name, reckoned, dated);
        }
        if let Some(reckoned) = test(vessel, now) {
            put(Duty::Test, of, name, reckoned, None);
        }
        // Sealed containers are counted, not dipped, and a heater is full as long as the mains are on.
        if !matches!(vessel.vessel.shape, ShapeKind::Set | ShapeKind::HeaterTank) {
            let read = last_read(vessel);
            let since = moment(vessel.vessel.since);
            put(Duty::Dip, of, name, Reckoned::every(days(intervals.dip_days), read, Some(since), now), None);
        }
    }
    let in_use = |ended: Option<jiff::Timestamp>| ended.is_none_or(|ended| moment(ended) > now);
    for store in site.fuel_stores.iter().filter(|store| in_use(store.ended)) {
        if let Some(reckoned) = fuel(site, store, now) {
            put(Duty::Fuel, Of::FuelStore(store.id), store.name.as_str(), reckoned, None);
        }
    }
    for generator in site.generators.iter().filter(|generator| in_use(generator.ended)) {
        let run = site.ledger.state.last_run.get(&generator.id).map(|(at, _)| *at);
        let reckoned = Reckoned::every(days(intervals.generator_days), run, None, now);
        put(Duty::GeneratorRun, Of::Generator(generator.id), generator.name.as_str(), reckoned, None);
    }
    for (duty, looked, due_days, has) in [
        (Duty::PumpRun, Looked::Pump, intervals.pump_days, has_pump(site, now)),
        (Duty::Couplings, Looked::Couplings, intervals.couplings_days, has_couplings(site, now)),
        (Duty::Round, Looked::Round, intervals.round_days, site.vessels_at(now).next().is_some()),
    ] {
        if has {
            let done = site.ledger.state.looked.get(&looked).map(|(at, _)| *at);
            put(duty, Of::Site, "", Reckoned::every(days(due_days), done, None, now), None);
        }
    }
    found.sort_by(|a, b| a.order().cmp(&b.order()));
    found
}

/// When its level was last read; of vessels open to each other one reading tells of all.
fn last_read(vessel: &VesselPicture) -> Option<Moment> {
    let state = vessel.cluster().state();
    let own = vessel.state().last_reading;
    let slot = vessel.cluster().slot(vessel.vessel.id);
    let joint = slot.and_then(|slot| state.joint_of(slot)).and_then(|joint| state.joints.get(joint));
    let others =
        joint.into_iter().flat_map(|joint| &joint.slots).filter_map(|slot| state.vessels.get(*slot)?.last_reading);
    own.into_iter().chain(others).map(|(at, _)| at).max()
}

/// The earliest date of what is in it; a residual that vouches for it carries the date on.
fn rotation(vessel: &VesselPicture, now: Moment) -> Option<(Result<Reckoned, OutOfRange>, Option<Dated>)> {
    let policy = &vessel.vessel.policy;
    let interval = days(policy.interval_days);
    let parts = vessel.parts(now);
    let dated = parts.iter().filter(|part| part.graded.grade.is_some()).filter_map(|part| {
        let printed =
            part.graded.reasons.iter().any(|reason| matches!(reason, keepwell_engine::grade::Reason::Sealed { .. }));
        let due = part.graded.due?;
        match part.graded.vouched_by_test.map(|tested| tested.after(days(policy.redose_days))) {
            Some(vouched) if vouched > due => Some((vouched, part.graded.vouched_by_test, Some(Dated::Tested))),
            _ => Some((due, part.graded.clock, printed.then_some(Dated::Printed))),
        }
    });
    let (due, done, dated) = dated.min_by_key(|(due, ..)| *due)?;
    let soon = days((policy.interval_days / 4.0).clamp(1.0, SOON_DAYS));
    Some((Reckoned::by(Some(due), interval, done, soon, now), dated))
}

/// Asked of what is meant to keep a residual, and of what was ever tested.
fn test(vessel: &VesselPicture, now: Moment) -> Option<Result<Reckoned, OutOfRange>> {
    let (policy, last) = (&vessel.vessel.policy, vessel.state().last_test);
    let asked = policy.floor_mg_l.is_some() || policy.how == RotateHow::Dosed || last.is_some();
    if !asked || !vessel.vessel.food_grade {
        return None;
    }
    let parts = vessel.parts(now);
    let filled = parts.iter().filter(|part| part.graded.grade.is_some()).filter_map(|part| part.graded.clock).min()?;
    Some(Reckoned::every(days(policy.redose_days), last, Some(filled), now))
}

/// Due soon from the day it may begin to age; overdue once it is past its life. Unknown age: due, whatever it is.
fn fuel(
    site: &SitePicture,
    store: &crate::model::power::FuelStore,
    now: Moment,
) -> Option<Result<Reckoned, OutOfRange>> {
    let state = site.ledger.state.fuel.get(&store.id).filter(|state| state.litres > NO_FUEL_L)?;
    let life = fuel_kind(store.fuel).shelf_life(state.stabilised)?;
    let bought = state.bought.and_then(|day| jiff::tz::TimeZone::UTC.to_timestamp(day.at(0, 0, 0, 0)).ok()).map(moment);
    let ageing: Time = life.end - life.good;
    let soon = ageing.max(days(SOON_DAYS));
    Some(Reckoned::by(bought.map(|bought| bought.after(life.end)), life.end, bought, soon, now))
}

fn has_pump(site: &SitePicture, now: Moment) -> bool {
    let load = site.loads.iter().any(|load| load.pump && load.ended.is_none_or(|ended| moment(ended) > now));
    load || site.vessels_at(now).any(|vessel| vessel.vessel.draws.iter().any(|draw| draw.way == DrawWay::Pump))
}

fn has_couplings(site: &SitePicture, now: Moment) -> bool {
    let banked: Vec<_> = site.vessels_at(now).filter_map(|vessel| vessel.vessel.bank).collect();
    banked.iter().enumerate().any(|(at, bank)| banked.iter().skip(at + 1).any(|other| other == bank))
}
