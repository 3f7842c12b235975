//! What is believed of a cluster's vessels since the last entry.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::collections::HashMap;
use std::sync::Arc;

use keepwell_engine::grade::Act as Quality;
use keepwell_engine::grade::Line;
use keepwell_engine::grade::Water;
use keepwell_engine::level::Estimate;
use keepwell_engine::level::Level;
use keepwell_engine::level::explain::Why;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Length;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::metres;
use keepwell_engine::vessel::Shape;
use keepwell_engine::vessel::bank::settle;

use crate::model::entry::Act;
use crate::model::entry::Entry;
use crate::model::entry::wrong::Trouble;
use crate::model::id::BankId;
use crate::model::id::EntryId;
use crate::model::id::SourceId;
use crate::model::id::VesselId;
use crate::model::vessel::Bank;
use crate::picture::cluster::Member;
use crate::picture::cluster::graded_source;
use crate::picture::cluster::moment;
use crate::picture::history::History;
use crate::picture::source::Sources;

/// An entry that the estimate could not explain: "was a fill missed?".
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Misfit {
    pub entry: EntryId,
    pub at: Moment,
    /// what was believed before it
    pub expected: Estimate,
    /// the likeliest reason, where the estimator names one
    pub why: Option<Why>,
}

/// Water of one lot of a set; of any other vessel, all that is in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// empty for what is not told apart
    pub lot: String,
    pub level: Level,
    pub water: Water,
}

/// One vessel.
#[derive(Clone, Debug, PartialEq)]
pub struct VesselState {
    /// at least one
    pub parts: Vec<Part>,
    pub last_reading: Option<(Moment, EntryId)>,
    pub last_entry: Option<Moment>,
    pub last_test: Option<Moment>,
    /// the last counter reading at its outlet
    pub meter: Option<(Moment, f64)>,
    /// the last entry that did not fit; none once a later reading fits
    pub misfit: Option<Misfit>,
    /// what is wrong and not yet put right
    pub troubles: BTreeMap<Trouble, (Moment, EntryId)>,
    /// doses since the last test: a second one is warned of
    pub doses_untested: u32,
    /// water came that no entry tells of, last at that moment: its usual source is taken for granted
    pub fill_assumed: Option<Moment>,
    /// something was told of its water, or of how it came there
    pub(super) begun: bool,
}

/// The shared level of a bank whose vessels are open to each other.
#[derive(Clone, Debug, PartialEq)]
pub struct Joint {
    pub bank: BankId,
    /// places in the cluster
    pub slots: Vec<usize>,
    /// none while they are shut off from each other
    pub level: Option<Level>,
}

#[derive(Clone, Debug, Default, PartialEq)]
pub struct State {
    pub vessels: Vec<VesselState>,
    pub joints: Vec<Joint>,
    /// what was said of the supplies is taken in up to then
    pub(super) heard: Option<Moment>,
    /// fills to take for granted when their time comes, the earliest last, and in which vessel
    granted: Vec<(Moment, usize)>,
}

impl State {
    /// Before the first entry.
    pub(super) fn first(members: &[Member], banks: &BTreeMap<BankId, Arc<Bank>>, history: &History) -> Self {
        let mut state = Self { granted: granted(members, history), ..Self::default() };
        for member in members {
            state.vessels.push(VesselState::first(member));
        }
        for (id, bank) in banks {
            let slots: Vec<usize> = (0..members.len()).filter(|slot| members[*slot].vessel.bank == Some(*id)).collect();
            let level = if bank.coupled_at_first { joint_level(members, &slots) } else { None };
            state.joints.push(Joint { bank: *id, slots, level });
        }
        state
    }

    /// Water that was there before anyone logged a fill is taken to have come from the usual source on the day the
    /// vessel was set up; the page says so. In order of time among the entries, up to `at`.
    pub(super) fn take_for_granted(
        &mut self,
        members: &[Member],
        sources: &Sources,
        supplies: &BTreeSet<SourceId>,
        at: Moment,
    ) {
        while let Some((since, slot)) = self.granted.pop_if(|granted| granted.0 <= at) {
            self.hear(sources, supplies, since);
            let act = usual_fill(&members[slot], sources);
            let vessel = &mut self.vessels[slot];
            vessel.fill_assumed = Some(since);
            for part in &mut vessel.parts {
                quality(&mut part.water, since, &act);
            }
        }
    }

    /// Lets all water know what was said of the cluster's supplies since it last heard, up to `at`.
    pub(super) fn hear(&mut self, sources: &Sources, supplies: &BTreeSet<SourceId>, at: Moment) {
        let heard = self.heard;
        if heard.is_some_and(|heard| heard >= at) {
            return;
        }
        self.heard = Some(at);
        let said = said(sources, supplies, heard, at);
        for (when, act) in &said {
            for part in self.vessels.iter_mut().flat_map(|vessel| &mut vessel.parts) {
                quality(&mut part.water, *when, act);
            }
        }
    }

    /// Up to when the supplies' state is taken in.
    #[must_use]
    pub const fn heard_to(&self) -> Option<Moment> {
        self.heard
    }

    /// The bank that this vessel is open to now.
    #[must_use]
    pub fn joint_of(&self, slot: usize) -> Option<usize> {
        self.joints.iter().position(|joint| joint.level.is_some() && joint.slots.contains(&slot))
    }

    /// Litres in a vessel now: its own, or its share of an open bank.
    #[must_use]
    pub fn estimate(&self, members: &[Member], slot: usize, now: Moment) -> Estimate {
        if let Some(joint) = self.joint_of(slot).map(|joint| &self.joints[joint])
            && let Some(level) = &joint.level
            && let Some(share) = share(members, &joint.slots, slot, &level.at(now))
        {
            return share;
        }
        let brim = members[slot].body.capacity.brim;
        let parts = self.vessels[slot].parts.iter().map(|part| part.level.at(now));
        let (volume, variance) = parts.fold((Volume::default(), 0.0), |(volume, variance), part| {
            (volume + part.volume, variance + part.sd.value * part.sd.value)
        });
        let sd = Volume { value: variance.sqrt(), ..Volume::default() };
        banded(volume.min(brim), sd, brim)
    }

    /// Whether anything was ever said about how much is in it.
    #[must_use]
    pub fn is_known(&self, slot: usize) -> bool {
        let joint = self.joint_of(slot).and_then(|joint| self.joints[joint].level.as_ref());
        joint.map_or_else(|| self.vessels[slot].parts.iter().any(|part| part.level.is_known()), Level::is_known)
    }
}

/// What one vessel holds of what is in all that share its surface.
pub(super) fn share(members: &[Member], slots: &[usize], slot: usize, whole: &Estimate) -> Option<Estimate> {
    let shapes: Vec<(&Shape, Length)> =
        slots.iter().map(|slot| (&members[*slot].body.shape, metres(members[*slot].vessel.floor_m))).collect();
    let at = slots.iter().position(|there| *there == slot)?;
    let of = |total: Volume| settle(&shapes, total).ok().and_then(|shares| shares.get(at).copied());
    let (volume, low, high) = (of(whole.volume)?, of(whole.low)?, of(whole.high)?);
    let sd = if whole.volume.value > 0.0 { whole.sd * (volume / whole.volume).value } else { whole.sd };
    Some(Estimate { volume, sd, low, high })
}

/// An estimate from a volume and its standard deviation, its 8-in-10 band kept within 0 and the brim.
pub(super) fn banded(volume: Volume, sd: Volume, brim: Volume) -> Estimate {
    let half = sd * keepwell_engine::level::BAND;
    Estimate { volume, sd, low: (volume - half).max(Volume::default()), high: (volume + half).min(brim) }
}

impl VesselState {
    fn first(member: &Member) -> Self {
        Self {
            parts: Part::first(member, "").into_iter().collect(),
            last_reading: None,
            last_entry: None,
            last_test: None,
            meter: None,
            misfit: None,
            troubles: BTreeMap::new(),
            doses_untested: 0,
            fill_assumed: None,
            begun: false,
        }
    }
}

impl Part {
    /// Nothing known of it yet. A body's brim is within the engine's range, so there always is one.
    pub(super) fn first(member: &Member, lot: &str) -> Option<Self> {
        let capacity = member.body.capacity;
        let level = Level::new(capacity.brim, capacity.full).ok()?;
        Some(Self { lot: lot.to_owned(), level, water: Water::new(member.body.body, member.body.policy) })
    }
}

/// The vessels whose water an entry tells of; whether it tells how that came there.
pub(super) fn beginnings(entry: &Entry) -> impl Iterator<Item = (VesselId, bool)> {
    let (own, into) = match &entry.act {
        Act::Fill(_) | Act::Disinfection(_) => (Some(true), None),
        Act::Transfer(transfer) => (Some(false), Some((transfer.to, true))),
        Act::Reading(_) | Act::Draw(_) | Act::Discard(_) | Act::GivenOut(_) | Act::Dose(_) | Act::Test(_) => {
            (Some(false), None)
        }
        _ => (None, None),
    };
    entry.vessel.zip(own).into_iter().chain(into)
}

/// The vessels of which the first that is told is something else than how their water came there, each with when it is
/// taken to have come; the earliest last.
fn granted(members: &[Member], history: &History) -> Vec<(Moment, usize)> {
    let mut untold: HashMap<VesselId, usize> =
        members.iter().enumerate().map(|(slot, member)| (member.vessel.id, slot)).collect();
    let mut granted = Vec::new();
    for entry in history.iter() {
        if untold.is_empty() {
            break;
        }
        for (vessel, filled) in beginnings(entry) {
            if let Some(slot) = untold.remove(&vessel)
                && !filled
            {
                // A vessel may have been noted as set up later than it was in use.
                granted.push((moment(members[slot].vessel.since).min(moment(entry.at)), slot));
            }
        }
    }
    granted.sort_by(|a, b| b.cmp(a));
    granted
}

/// A fill from the vessel's usual source; a doubtful one where it has none.
pub(super) fn usual_fill(member: &Member, sources: &Sources) -> Quality {
    let usual = member.usual.and_then(|usual| sources.all.get(&usual));
    match usual {
        Some(usual) => {
            Quality::Fill { source: graded_source(usual.source.kind, None), line: usual.line, boiled: false }
        }
        None => {
            Quality::Fill { source: keepwell_engine::grade::SourceKind::Doubtful, line: Line(u32::MAX), boiled: false }
        }
    }
}

/// What was said of those supplies after `from`, up to `to`, in order.
pub(super) fn said(
    sources: &Sources,
    supplies: &BTreeSet<SourceId>,
    from: Option<Moment>,
    to: Moment,
) -> Vec<(Moment, Quality)> {
    let mut said: Vec<(Moment, Quality)> =
        supplies.iter().flat_map(|id| sources.acts(*id, from, to)).cloned().collect();
    said.sort_by_key(|(when, _)| *when);
    said
}

/// A level for all vessels of a bank together; none for a bank of one or of vessels without depth.
pub(super) fn joint_level(members: &[Member], slots: &[usize]) -> Option<Level> {
    if slots.len() < 2 || slots.iter().any(|slot| members[*slot].body.shape.height().is_none()) {
        return None;
    }
    let capacities = slots.iter().map(|slot| members[*slot].body.capacity);
    let (brim, full) = capacities.fold((Volume::default(), Volume::default()), |(brim, full), capacity| {
        (brim + capacity.brim, full + capacity.full)
    });
    Level::new(brim, full).ok()
}

/// Applies an act to water. What the engine refuses (an act out of order by a hair) changes nothing and is logged.
pub(super) fn quality(water: &mut Water, at: Moment, act: &Quality) {
    if let Err(refused) = water.apply(at, act) {
        tracing::warn!("an entry does not count towards a grade: {refused}");
    }
}
