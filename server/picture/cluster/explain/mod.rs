//! Levels by the estimator that keeps several explanations side by side: litres, use a day, a leak and readings that do
//! not fit. It costs some ten thousand times what folding an entry costs, so it is asked only for what somebody looks at, from a
//! bounded stretch of the history, and what it said is kept until the history changes. The fold keeps the simple level
//! of every vessel all the while, and where this estimator does not hold, that is the answer.

mod follow;
mod teller;

use std::sync::Arc;
use std::sync::OnceLock;

use keepwell_engine::level::Estimate;
use keepwell_engine::level::explain::Habit;
use keepwell_engine::level::explain::Leak;
use keepwell_engine::level::explain::Outlook;
use keepwell_engine::level::explain::Rate;
use keepwell_engine::level::explain::Why;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::days;
use keepwell_engine::working::Working;

use crate::model::entry::Act;
use crate::model::entry::Entry;
use crate::model::id::EntryId;
use crate::model::setup::SetUp;
use crate::model::vessel::ShapeKind;
use crate::picture::cluster::Cluster;
use crate::picture::cluster::Member;
use crate::picture::cluster::moment;
use crate::picture::cluster::state::Misfit;
use crate::picture::cluster::state::banded;
use crate::picture::cluster::state::share;

pub(super) use follow::Followers;
use teller::Teller;

/// How long before the last entry the estimator begins. A leak of 2 L a day is told after three weeks, the mean of use
/// wanders by 2 % a day, and a dip of four months ago is outweighed by those since: what is older would change a figure of
/// today by less than the stick's own error. A leak that has gone on for longer is said to have begun then.
pub const LOOK_BACK_DAYS: f64 = 120.0;
/// ... and how many entries it is told at most, the last: two years of weekly dips, or a month of a sensor. Each costs about
/// a tenth of a millisecond.
pub const MOST_TOLD: usize = 128;

/// Whether a vessel stands, is in use, or is not for this estimator to tell:
///
/// - **in use**: its set-up says that it is drawn on daily without an entry each time. Nothing else tells: a vessel
///   whose rotation is by use stands between its turns, and use that is logged is no riddle.
/// - **stands**: any other whose level tells its litres. Nothing leaves it without an entry, but for what is forgotten,
///   and for leaks.
/// - **not told**: a set is counted and has no depth; a heater tank has none either, and it and whatever else counts only
///   in an outage is kept full by the mains until then. So does a bank in which there is one of them. And in a real
///   outage ([`Outages`]) all are drawn on as need be.
pub fn habit<'a>(members: impl IntoIterator<Item = &'a Member>) -> Option<Habit> {
    let mut habit = Habit::Standing;
    for Member { vessel, body, .. } in members {
        let counted = matches!(vessel.shape, ShapeKind::Set | ShapeKind::HeaterTank);
        if counted || vessel.outage_only || body.shape.height().is_none() {
            return None;
        }
        if vessel.daily_use {
            habit = Habit::InUse;
        }
    }
    Some(habit)
}

/// When the mains were truly off. People then draw on whatever there is and have other things to do than to write it
/// down, so that a dip far below the one before is most likely right: it counts as it is read, by the simple level. The
/// estimator begins anew when the outage has ended.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Outages(
    /// beginnings and ends, in order of time
    Vec<Moment>,
);

impl Outages {
    #[must_use]
    pub fn of(set_up: &SetUp) -> Self {
        let real = set_up.outages.values().map(|kept| &kept.thing).filter(|outage| !outage.is_drill());
        let ends = real.flat_map(|outage| [Some(outage.since), outage.ended]).flatten();
        let mut ends: Vec<Moment> = ends.map(moment).collect();
        ends.sort();
        Self(ends)
    }

    /// How many began or ended before: an odd number is in one. There is never more than one at a time.
    pub(super) fn before(&self, at: Moment) -> usize {
        self.0.partition_point(|end| *end < at)
    }

    /// All of them.
    pub(super) const fn count(&self) -> usize {
        self.0.len()
    }

    /// Since when the mains have been on; none while they are off.
    fn on_since(&self) -> Option<Moment> {
        if self.0.len() % 2 == 1 { None } else { Some(self.0.last().copied().unwrap_or(Moment::from_micros(i64::MIN))) }
    }
}

/// What the estimator makes of the history of one vessel, or of the vessels that share its surface.
#[derive(Clone, Debug, PartialEq)]
pub struct Explained {
    outlook: Outlook,
    /// their places in the cluster
    slots: Vec<usize>,
    /// readings that do not fit, by all that is known, the earliest first
    misfits: Vec<Doubted>,
    /// the last level that was read, and what was expected then
    last: Option<(EntryId, Estimate)>,
    leak: Option<Leak>,
}

/// A reading that does not fit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Doubted {
    pub entry: EntryId,
    pub at: Moment,
    /// the likeliest reason, where the estimator names one
    pub why: Option<Why>,
}

impl Explained {
    /// Litres in one of the vessels; nothing while it is not for this estimator to tell them.
    pub(super) fn estimate(&self, members: &[Member], slot: usize, now: Moment) -> Option<Estimate> {
        if !self.holds() {
            return None;
        }
        let level = self.outlook.widened(now);
        let brim: Volume = self.slots.iter().map(|slot| members[*slot].body.capacity.brim).sum();
        let whole = banded(level.volume.min(brim), level.sd, brim);
        if self.slots.len() == 1 { Some(whole) } else { share(members, &self.slots, slot, &whole) }
    }

    /// Whether the litres are its own. While the last reading does not fit, they are not: what was read counts, as the
    /// simple level has it, until the next reading tells whether it was a slip. The estimate was wrong, and not whoever
    /// read it; and where they are right, water that somebody used is not counted on.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.misfit().is_none()
    }

    /// All of it: in the vessel, or in the whole bank.
    #[must_use]
    pub fn whole(&self, now: Moment) -> Estimate {
        self.outlook.widened(now)
    }

    /// Mean use a day; nothing of a vessel that stands.
    #[must_use]
    pub fn usage(&self, now: Moment) -> Option<Rate> {
        self.outlook.at(now).usage
    }

    /// A leak that goes on; nothing of a vessel in use. One fall alone may be a draw that was forgotten: none until a
    /// second reading since it began has found less again.
    #[must_use]
    pub const fn leak(&self) -> Option<&Leak> {
        self.leak.as_ref()
    }

    /// Readings that do not fit by all that is known, the earliest first.
    #[must_use]
    pub fn misfits(&self) -> &[Doubted] {
        &self.misfits
    }

    /// The last reading, if it does not fit. A later one that fits settles what an earlier one meant.
    #[must_use]
    pub fn misfit(&self) -> Option<Misfit> {
        let (last, expected) = self.last?;
        let doubted = self.misfits.last().filter(|misfit| misfit.entry == last)?;
        Some(Misfit { entry: doubted.entry, at: doubted.at, expected, why: doubted.why })
    }

    /// The formula and the figures behind it.
    #[must_use]
    pub fn working(&self, now: Moment) -> Working {
        self.outlook.working(now)
    }
}

/// What was said of each vessel of a cluster since its history last changed. No part of what is believed: it follows
/// from the history and the set-up, and is there or not as somebody asked.
#[derive(Clone, Default)]
pub(super) struct Kept(Arc<[OnceLock<Option<Arc<Explained>>>]>);

impl PartialEq for Kept {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}

impl core::fmt::Debug for Kept {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str("Kept")
    }
}

impl Kept {
    /// Nothing was asked yet.
    pub(super) fn nothing(vessels: usize) -> Self {
        Self((0..vessels).map(|_| OnceLock::new()).collect())
    }

    /// What was said when somebody looked back.
    pub(super) fn of(said: impl IntoIterator<Item = Option<Arc<Explained>>>) -> Self {
        Self(said.into_iter().map(OnceLock::from).collect())
    }
}

impl Cluster {
    /// What the estimator makes of a vessel; nothing where it does not hold: `habit`, [`Outages`], or no more than one
    /// reading, which there is little to weigh against and which is taken as it is.
    #[must_use]
    pub fn explained(&self, slot: usize) -> Option<&Arc<Explained>> {
        self.kept.0.get(slot)?.get_or_init(|| self.explain(slot).map(Arc::new)).as_ref()
    }

    fn explain(&self, slot: usize) -> Option<Explained> {
        let mains_since = self.outages.on_since()?;
        let slots = self.sharing(slot);
        habit(slots.iter().map(|slot| &self.members[*slot]))?;
        let entries = self.window(&slots, mains_since);
        let mut teller = Teller::of(&self.members, slots)?;
        let last = entries.len().saturating_sub(1);
        for (place, entry) in entries.into_iter().enumerate() {
            teller.tell(entry, place == last);
        }
        teller.explained()
    }

    /// The vessels whose surface this one shares now.
    fn sharing(&self, slot: usize) -> Vec<usize> {
        self.state.joint_of(slot).map_or_else(|| vec![slot], |joint| self.state.joints[joint].slots.clone())
    }

    /// The entries of these vessels that the estimator is told: since the mains have been on, and since they began to
    /// share their surface, or to stand apart.
    fn window(&self, slots: &[usize], since: Moment) -> Vec<&Entry> {
        let bank = slots.first().and_then(|slot| self.members[*slot].vessel.bank);
        let mut oldest = since;
        let mut entries: Vec<&Entry> = Vec::new();
        for entry in self.history.iter().rev() {
            if matches!(&entry.act, Act::Coupling(coupling) if Some(coupling.bank) == bank)
                || entries.len() == MOST_TOLD
                || moment(entry.at) < oldest
            {
                break;
            }
            if self.moves(entry, slots) {
                if entries.is_empty() {
                    oldest = oldest.max(moment(entry.at).after(days(-LOOK_BACK_DAYS)));
                }
                entries.push(entry);
            }
        }
        entries.reverse();
        entries
    }

    /// Whether an entry says anything of how much is in these vessels.
    fn moves(&self, entry: &Entry, slots: &[usize]) -> bool {
        let among = |vessel| slots.iter().any(|slot| self.members[*slot].vessel.id == vessel);
        match &entry.act {
            Act::Transfer(transfer) => entry.vessel.is_some_and(among) || among(transfer.to),
            Act::Reading(_) | Act::Fill(_) | Act::Draw(_) | Act::Discard(_) | Act::GivenOut(_) => {
                entry.vessel.is_some_and(among)
            }
            _ => false,
        }
    }
}
