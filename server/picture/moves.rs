//! What would help most: things that one could do, found in the picture, each tried alone by the reckoning that today is,
//! and put in the order of what it buys for the work it takes. A ration is a choice and never among them.

use std::cmp::Ordering;

use keepwell_engine::endurance::Cause;
use keepwell_engine::endurance::Verdict;
use keepwell_engine::endurance::gain;
use keepwell_engine::grade;
use keepwell_engine::grade::Grade;
use keepwell_engine::power::FuelKind;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_hours;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::days;
use keepwell_engine::quantity::hours;
use keepwell_engine::quantity::litres;
use keepwell_engine::quantity::litres_per_minute;

use crate::model::carry::Means;
use crate::model::entry::mains::Supply;
use crate::model::id::BankId;
use crate::model::id::CarryId;
use crate::model::id::SiteId;
use crate::model::id::SourceId;
use crate::model::id::StageId;
use crate::model::id::VesselId;
use crate::model::prices::Prices;
use crate::model::source::SourceKind;
use crate::model::works::StageKind;
use crate::picture::Picture;
use crate::picture::SitePicture;
use crate::picture::VesselPicture;
use crate::picture::power;
use crate::picture::shared::Alone;
use crate::picture::shared::Move;
use crate::picture::shared::WithCarries;
use crate::picture::shared::trips;
use crate::picture::standing::Standing;
use crate::picture::suppose::Suppose;
use crate::picture::today::SiteToday;
use crate::picture::today::Today;
use crate::picture::today::TodayError;

/// A garden hose, litres a minute (common practice, no source).
pub const HOSE: f64 = 20.0;
/// Fuel in one trip: a jerrican.
const JERRICAN: f64 = 20.0;
/// Litres of one can to keep water in.
pub(super) const CAN: f64 = 20.0;
/// Cans that are worth proposing at once.
const MOST_CANS: u32 = 10;
/// Days that so many cans should buy at least.
const CANS_BUY: f64 = 0.5;
/// Hours of work (common practice, no source): to change a plan, to fetch fuel, to dose and test, to change a cartridge or a
/// lamp, to fill and set a can, for one trip there and back.
const TO_CHANGE_A_PLAN: f64 = 0.1;
const TO_FETCH_FUEL: f64 = 0.5;
const TO_DOSE_AND_TEST: f64 = 1.0;
const TO_RENEW: f64 = 0.5;
const TO_SET_A_CAN: f64 = 0.25;
const TO_CARRY: f64 = 0.5;
/// A hose runs by itself: what is left of its time is work.
const AT_THE_HOSE: f64 = 0.25;
/// Less than this many days is no help worth a line.
const WORTH_A_LINE: f64 = 0.05;
/// Sites that are looked at, the shortest-lived first.
pub(super) const LOOKED_AT: usize = 60;
/// Beyond so many sites, what one move does for everyone with the carries is not reckoned for every move.
const SHARED_UP_TO: usize = 1000;

/// One thing that one could do.
#[derive(Clone, Debug, PartialEq)]
pub struct NextMove {
    pub site: SiteId,
    pub what: What,
    /// how long the site lasts then; none: as far as is looked
    pub lasts: Option<Time>,
    /// days more at the ration in force
    pub gain: Time,
    /// people it is for
    pub people: f64,
    /// litres more that they get of the ration before the days that the neighbourhood wants to last are over
    pub litres: Volume,
    /// somebody's time
    pub work: Time,
    /// in the neighbourhood's money; none where nobody said what things cost, or not this
    pub cost: Option<f64>,
    /// the day the first person anywhere goes without, before and after: with the carries, where any are agreed
    pub first: Option<(Time, Option<Time>)>,
}

/// What is done.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum What {
    /// run the generator so many hours a day, instead of
    Plan { hours: f64, now: f64 },
    /// bring fuel
    Fuel { kind: FuelKind, litres: f64 },
    /// dose a vessel, wait and test: it may then count as drinking water again
    Restore { vessel: VesselId, litres: f64 },
    /// fill a vessel up while the mains run
    Fill { vessel: VesselId, litres: f64, takes: Time },
    /// put a new cartridge or lamp into a stage of treatment
    Renew { stage: StageId },
    /// keep more cans
    Cans { count: u32, litres: f64 },
    /// take a carry that was agreed
    Carry { carry: CarryId, from: SiteId, litres: f64, trips: f64 },
    /// hold a vessel to the wall or the floor: see [`crate::picture::guards`]
    Anchor { vessel: VesselId },
    /// shut the vessels of a bank off from each other: likewise
    Uncouple { bank: BankId },
}

impl What {
    /// Whether it depends on a test that may fail.
    #[must_use]
    pub const fn is_a_chance(&self) -> bool {
        matches!(self, Self::Restore { .. })
    }
}

/// The moves that help, the most litres for the work first.
///
/// # Errors
/// A figure that the engine does not take.
pub fn next_moves(picture: &Picture, today: &Today) -> Result<Vec<NextMove>, TodayError> {
    let mut found = Vec::new();
    for (place, site) in today.sites.iter().enumerate().take(LOOKED_AT) {
        if !site.standing.needs_water() || site.standing.timeline.ration_to_horizon {
            continue;
        }
        for (what, suppose, work) in candidates(picture, today, site) {
            found.extend(tried(picture, today, place, what, &suppose, work)?);
        }
    }
    if let Some(with) = &today.with_carries {
        for step in with.moves.iter().filter(|step| step.sent > Volume::default()).take(LOOKED_AT) {
            found.extend(carried(picture, today, with, step)?);
        }
    }
    found.sort_by(by_worth);
    Ok(found)
}

/// What one agreed carry buys its receiver, taken alone, less what its giver's people lose by it. By what a fair share is,
/// these never go without sooner than those it is carried to, unless those come first; so one that buys no litre, for what
/// one gets another gives or some is spilt, stands last and is not left out.
fn carried(picture: &Picture, today: &Today, with: &WithCarries, step: &Move) -> Result<Option<NextMove>, TodayError> {
    let Some(Alone { to, from, sent, lasts: ends, giver: giver_ends }) = with.alone(step)? else { return Ok(None) };
    let (Some(site), Some(giver)) = (today.sites.get(to), today.sites.get(from)) else { return Ok(None) };
    let standing = &site.standing;
    let gain = ends - standing.timeline.days_at_ration;
    if as_days(gain) < WORTH_A_LINE {
        return Ok(None);
    }
    let until = today.target_days(picture).map_or(ends, days);
    let between = |of: &Standing, from: Time, to: Time| {
        as_litres(of.demand.drink_grade()) * as_days(to.min(until) - from.min(until)).max(0.0)
    };
    let brought = between(standing, standing.timeline.days_at_ration, ends);
    let given = giver_ends.map_or(0.0, |ends| between(&giver.standing, ends, giver.standing.timeline.days_at_ration));
    let carry = &step.carry;
    let trips = trips(carry, sent);
    let work = if carry.means == Means::Hose { hours(AT_THE_HOSE) } else { hours(TO_CARRY) * trips };
    let what = What::Carry { carry: carry.id, from: carry.from, litres: as_litres(sent), trips };
    Ok(Some(NextMove {
        site: carry.to,
        cost: cost(picture, &what),
        what,
        lasts: Some(ends).filter(|ends| *ends < standing.run.horizon),
        gain,
        people: standing.run.people,
        litres: litres((brought - given).max(0.0)),
        work,
        // The days with the carries count it already.
        first: None,
    }))
}

impl NextMove {
    /// Litres for each 1 of money; what costs nothing comes before all that costs, what nobody knows
    /// after, and what buys none of them just before that.
    #[must_use]
    pub fn for_money(&self) -> f64 {
        let bought = |cost: f64| match as_litres(self.litres) {
            litres if litres <= 0.0 => 0.0,
            litres if cost > 0.0 => litres / cost,
            _ => f64::INFINITY,
        };
        self.cost.map_or(f64::NEG_INFINITY, bought)
    }
}

/// What it costs: fuel, cans and spares are bought, the rest is work; what holds a tank is an engineer's to price.
fn cost(picture: &Picture, what: &What) -> Option<f64> {
    let prices = picture.set_up.neighbourhood.as_ref().map(|kept| kept.thing.prices).filter(Prices::any)?;
    match *what {
        What::Fuel { kind: FuelKind::Petrol, litres } => prices.petrol_l.map(|price| price * litres),
        What::Fuel { kind: FuelKind::Diesel, litres } => prices.diesel_l.map(|price| price * litres),
        What::Fuel { kind: FuelKind::Propane, litres } => prices.propane_l.map(|price| price * litres),
        What::Fuel { kind: FuelKind::MainsGas, .. } | What::Anchor { .. } => None,
        What::Cans { count, .. } => prices.can.map(|price| price * f64::from(count)),
        What::Renew { .. } => prices.stage,
        What::Plan { .. } | What::Restore { .. } | What::Fill { .. } | What::Carry { .. } | What::Uncouple { .. } => {
            Some(0.0)
        }
    }
}

/// The most litres for an hour of work first; of as many, the most days.
pub(super) fn by_worth(a: &NextMove, b: &NextMove) -> Ordering {
    let worth = |one: &NextMove| as_litres(one.litres) / as_hours(one.work);
    worth(b).total_cmp(&worth(a)).then_with(|| b.gain.value.total_cmp(&a.gain.value))
}

type Candidate = (What, Suppose, Time);

fn candidates(picture: &Picture, today: &Today, site: &SiteToday) -> Vec<Candidate> {
    let mut all = Vec::new();
    let id = site.site.site.id;
    let suppose = || today.suppose.clone();
    let standing = &site.standing;
    if matches!(standing.timeline.ends_ration(), Some(Cause::Fuel | Cause::Battery))
        && let Some(power) = &standing.power
    {
        if let Some(plan) = planned(today, site, power.hours_a_day) {
            let what = What::Plan { hours: plan, now: as_hours(power.hours_a_day) };
            let supposed = suppose().and_at(id, |own| own.pump_hours = Some(plan));
            all.push((what, supposed, hours(TO_CHANGE_A_PLAN)));
        }
        if power.fuel != FuelKind::MainsGas {
            let what = What::Fuel { kind: power.fuel, litres: JERRICAN };
            all.push((what, suppose().and_at(id, |own| own.fuel_l += JERRICAN), hours(TO_FETCH_FUEL)));
        }
    }
    for vessel in site.site.vessels_at(today.now).filter(|vessel| vessel.is_known() && counts(vessel, today)) {
        let parts = vessel.parts(today.now);
        let restorable = parts.iter().filter(|part| {
            let causes = &part.graded.causes;
            let lifts = |cause: &grade::Cause| matches!(cause, grade::Cause::Overdue | grade::Cause::Residual);
            part.graded.grade == Some(Grade::Treat) && causes.iter().all(lifts)
        });
        let restored: Volume = restorable.map(|part| part.estimate.volume).sum();
        let vessel_id = vessel.vessel.id;
        if restored > Volume::default() {
            let what = What::Restore { vessel: vessel_id, litres: as_litres(restored) };
            let mut supposed = suppose();
            supposed.restored.insert(vessel_id);
            all.push((what, supposed, hours(TO_DOSE_AND_TEST)));
        }
        let room = (vessel.body.capacity.full - vessel.estimate(today.now).volume).max(Volume::default());
        // What leaks is mended first.
        let holds = parts.len() == 1 && vessel.leak().is_none();
        if holds && room > Volume::default() && runs_from_mains(picture, today, &site.site) {
            let takes = room / litres_per_minute(HOSE);
            let what = What::Fill { vessel: vessel_id, litres: as_litres(room), takes };
            let mut supposed = suppose();
            supposed.filled.insert(vessel_id);
            all.push((what, supposed, takes.min(hours(AT_THE_HOSE))));
        }
    }
    if let Some(stage) = to_renew(standing) {
        let mut supposed = suppose();
        supposed.renewed.insert(stage);
        all.push((What::Renew { stage }, supposed, hours(TO_RENEW)));
    }
    let a_day = as_litres(standing.demand.drink_grade());
    let count = (a_day * CANS_BUY / CAN).ceil();
    if !matches!(standing.timeline.ends_ration(), Some(Cause::Fuel | Cause::Battery))
        && let Some(count) = (1..=MOST_CANS).find(|few| f64::from(*few) >= count)
    {
        let more = f64::from(count) * CAN;
        let what = What::Cans { count, litres: more };
        all.push((what, suppose().and_at(id, |own| own.cans_l += more), hours(TO_SET_A_CAN * f64::from(count))));
    }
    all
}

fn counts(vessel: &VesselPicture, today: &Today) -> bool {
    !vessel.vessel.outage_only || today.outage
}

/// Whether a site can fill from mains that run and that no notice is on.
fn runs_from_mains(picture: &Picture, today: &Today, site: &SitePicture) -> bool {
    let gives =
        |source: &&SourceId| ![&today.suppose.failed, &today.suppose.spoilt].iter().any(|gone| gone.contains(source));
    site.site.sources.iter().filter(gives).filter_map(|source| picture.sources.all.get(source)).any(|source| {
        source.source.kind == SourceKind::Mains
            && source.notices.is_empty()
            && source.supply.is_none_or(|(supply, _)| supply != Supply::Off)
    })
}

/// The hours a day that the run plan names; none where they are no fewer than those in force. Why there can be no plan is
/// told on the site's own page.
fn planned(today: &Today, site: &SiteToday, now: Time) -> Option<f64> {
    let plan = power::plan(&site.site, &site.standing, today.now).ok().flatten()?;
    (plan.hours < now).then_some(as_hours(plan.hours))
}

/// The cartridge or lamp that ends first, where the treatment ends the ration or counts for nothing.
fn to_renew(standing: &Standing) -> Option<StageId> {
    let train = standing.train.as_ref()?;
    let ends = standing.timeline.ends_ration() == Some(Cause::Media) || !train.counts();
    let first = train.ends_first().filter(|_| ends)?;
    (!matches!(first.stage.kind, StageKind::Chlorine | StageKind::Boil)).then_some(first.stage.id)
}

pub(super) fn standing(today: &Today, site: &SiteToday, suppose: &Suppose) -> Result<Standing, TodayError> {
    Standing::supposing(&site.site, &today.rung, today.now, today.outage, suppose)
        .map_err(|error| TodayError::Site { site: site.site.site.id, error })
}

/// What a move buys; none if it buys nothing.
fn tried(
    picture: &Picture,
    today: &Today,
    place: usize,
    what: What,
    suppose: &Suppose,
    work: Time,
) -> Result<Option<NextMove>, TodayError> {
    let site = &today.sites[place];
    let then = standing(today, site, suppose)?;
    let Some(one) = bought(picture, today, site, (&site.standing, &then), (what, work))? else { return Ok(None) };
    let first = if today.sites.len() <= SHARED_UP_TO { first(today, place, site, then)? } else { None };
    Ok(Some(NextMove { first, ..one }))
}

/// What it buys at its site, from one standing to the other.
pub(super) fn bought(
    picture: &Picture,
    today: &Today,
    site: &SiteToday,
    (before, then): (&Standing, &Standing),
    (what, work): (What, Time),
) -> Result<Option<NextMove>, TodayError> {
    let (ended, ends) = (before.timeline.days_at_ration, then.timeline.days_at_ration);
    let longer = ends - ended;
    if as_days(longer) < WORTH_A_LINE {
        return Ok(None);
    }
    let until = today.target_days(picture).map_or(ends, days).min(then.run.horizon);
    let gain = gain((&before.run, &before.timeline), (&then.run, &then.timeline), until)
        .map_err(|error| TodayError::Site { site: site.site.site.id, error: error.into() })?;
    if gain.verdict == Verdict::Loss {
        return Ok(None);
    }
    let litres = gain.delivered.total().max(Volume::default());
    let (lasts, people) = (then.timeline.ration_ends(), before.run.people);
    let (site, cost) = (site.site.site.id, cost(picture, &what));
    Ok(Some(NextMove { site, what, lasts, gain: longer, people, litres, work, cost, first: None }))
}

/// The first anywhere to go without, before and after.
fn first(
    today: &Today,
    place: usize,
    site: &SiteToday,
    then: Standing,
) -> Result<Option<(Time, Option<Time>)>, TodayError> {
    if let Some(with) = &today.with_carries {
        let Some((_, before)) = with.first else { return Ok(None) };
        let changed = SiteToday { site: site.site.clone(), standing: std::sync::Arc::new(then) };
        return Ok(Some((before, with.first_with(place, &changed)?)));
    }
    let Some(before) = today.as_placed.ration.first() else { return Ok(None) };
    let others = today.as_placed.ration.falls.iter().find(|fall| fall.place != place).map(|fall| fall.at);
    let after = [then.timeline.ration_ends(), others].into_iter().flatten().reduce(Time::min);
    Ok(Some((before.at, after)))
}
