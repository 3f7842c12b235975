//! Vessels that are folded together because water passed between them: joined to a bank, or by a transfer. Most
//! clusters are one vessel. Entries count in the order (time it happened, id); one that comes at the end is folded on,
//! a late one refolds its cluster and no other.

mod apply;
mod couple;
mod lots;
mod read;
mod state;
mod trace;

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::sync::Arc;

use keepwell_engine::moment::Moment;

use crate::model::entry::Act;
use crate::model::entry::Entry;
use crate::model::id::BankId;
use crate::model::id::SourceId;
use crate::model::id::VesselId;
use crate::model::source::SourceKind;
use crate::model::vessel::Bank;
use crate::model::vessel::Vessel;
use crate::picture::body::Body;
use crate::picture::history::History;
use crate::picture::source::Sources;

pub use state::Joint;
pub use state::Misfit;
pub use state::Part;
pub use state::State;
pub use state::VesselState;
pub use trace::TracePoint;

use state::beginnings;

/// A vessel of the cluster, with what the engine needs of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Member {
    pub vessel: Arc<Vessel>,
    pub body: Arc<Body>,
    /// what it is taken to be filled from where no entry says so
    pub usual: Option<SourceId>,
}

/// Vessels folded together, what happened to them, and what is believed since the last of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Cluster {
    members: Arc<Vec<Member>>,
    banks: Arc<BTreeMap<BankId, Arc<Bank>>>,
    history: History,
    /// the usual supplies, and those that a fill names
    supplies: BTreeSet<SourceId>,
    state: State,
}

impl Cluster {
    /// Folds the entries of these vessels, in whatever order they are given.
    #[must_use]
    pub fn of(
        members: Vec<Member>,
        banks: BTreeMap<BankId, Arc<Bank>>,
        entries: Vec<Arc<Entry>>,
        sources: &Sources,
    ) -> Self {
        let mut cluster = Self {
            state: State::default(),
            supplies: BTreeSet::new(),
            members: Arc::new(members),
            banks: Arc::new(banks),
            history: History::of(entries),
        };
        cluster.refold(sources);
        cluster
    }

    /// Folds everything anew.
    pub fn refold(&mut self, sources: &Sources) {
        self.supplies = self.members.iter().filter_map(|member| member.usual).collect();
        self.supplies.extend(self.history.iter().filter_map(|entry| fill_source(entry)));
        self.state = State::first(&self.members, &self.banks, &self.history);
        for entry in self.history.iter() {
            self.state.apply(&self.members, sources, &self.supplies, entry);
        }
    }

    /// Folds in more entries: on from where it stands as long as they come at the end, and else all anew, once.
    pub fn add(&mut self, entries: &[Arc<Entry>], sources: &Sources) {
        let mut anew = false;
        for entry in entries {
            // A fill that is taken for granted from now on lies before this entry, and maybe before others.
            let grants = beginnings(entry).any(|(vessel, filled)| {
                !filled && self.slot(vessel).is_some_and(|slot| !self.state.vessels[slot].begun)
            });
            let new_supply = fill_source(entry).is_some_and(|source| !self.supplies.contains(&source));
            let at_end = self.history.insert(Arc::clone(entry));
            anew |= !at_end || grants || new_supply;
            if !anew {
                self.state.apply(&self.members, sources, &self.supplies, entry);
            }
        }
        if anew {
            self.refold(sources);
        }
    }

    /// Takes a voided entry out.
    pub fn remove(&mut self, entry: &Entry, sources: &Sources) {
        if self.history.remove(entry) {
            self.refold(sources);
        }
    }

    #[must_use]
    pub fn members(&self) -> &[Member] {
        &self.members
    }

    #[must_use]
    pub const fn banks(&self) -> &Arc<BTreeMap<BankId, Arc<Bank>>> {
        &self.banks
    }

    #[must_use]
    pub const fn history(&self) -> &History {
        &self.history
    }

    #[must_use]
    pub const fn state(&self) -> &State {
        &self.state
    }

    #[must_use]
    pub fn slot(&self, vessel: VesselId) -> Option<usize> {
        self.members.iter().position(|member| member.vessel.id == vessel)
    }

    /// Whether any fill of it, told or taken for granted, came from that source.
    #[must_use]
    pub fn fills_from(&self, source: SourceId) -> bool {
        self.supplies.contains(&source)
    }
}

fn fill_source(entry: &Entry) -> Option<SourceId> {
    match &entry.act {
        Act::Fill(fill) => Some(fill.source),
        _ => None,
    }
}

/// The moment the engine counts by.
#[must_use]
pub fn moment(at: jiff::Timestamp) -> Moment {
    Moment::from_micros(at.as_microsecond())
}

/// What a fill from a source of that kind counts as.
#[must_use]
pub fn graded_source(kind: SourceKind, printed: Option<Moment>) -> keepwell_engine::grade::SourceKind {
    use keepwell_engine::grade::SourceKind as Graded;
    match kind {
        // A tested well is a supply of its own on which its authority may put a notice.
        SourceKind::Mains | SourceKind::TestedWell => Graded::Mains,
        SourceKind::Bought => Graded::Bought { printed },
        SourceKind::Carrier => Graded::Bought { printed: None },
        SourceKind::Well | SourceKind::Rain | SourceKind::River | SourceKind::UnknownCarrier => Graded::Doubtful,
        SourceKind::NonPotable => Graded::Chemical,
    }
}
