//! Vessels that are folded together because water passed between them: joined to a bank, or by a transfer. Most
//! clusters are one vessel. Entries count in the order (time it happened, id); one that comes at the end is folded on,
//! a late one refolds its cluster and no other.

mod apply;
mod couple;
mod explain;
mod lots;
mod origin;
mod print;
mod read;
mod state;
mod trace;

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::sync::Arc;

use keepwell_engine::level::Estimate;
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
use crate::picture::history::Place;
use crate::picture::history::Put;
use crate::picture::history::order;
use crate::picture::source::Sources;

pub use explain::Doubted;
pub use explain::Explained;
pub use explain::Outages;
pub use print::Print;
pub use state::Joint;
pub use state::Misfit;
pub use state::Part;
pub use state::State;
pub use state::VesselState;
pub use trace::Moved;
pub use trace::TracePoint;

use explain::Kept;
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
    outages: Arc<Outages>,
    history: History,
    /// the usual supplies, and those that a fill names
    supplies: BTreeSet<SourceId>,
    mark: Mark,
    state: State,
    kept: Kept,
}

/// The state as it was a few entries ago. Loggers who write at once come in a little out of order: what is late by less
/// than this is folded in from here, and not from the beginning.
#[derive(Clone, Default)]
struct Mark {
    /// the last entry that is in it; none before the first
    at: Option<Place>,
    /// how many stand after it
    behind: usize,
    state: State,
}

/// Where the mark stands is how a cluster came to be, and no part of what is believed.
impl PartialEq for Mark {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}

impl core::fmt::Debug for Mark {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str("Mark")
    }
}

/// The mark lags behind the end by so many entries at least, and by twice as many at most.
const LAG: usize = 32;

impl Cluster {
    /// Folds the entries of these vessels, in whatever order they are given.
    #[must_use]
    pub fn of(
        members: Vec<Member>,
        banks: BTreeMap<BankId, Arc<Bank>>,
        outages: &Arc<Outages>,
        entries: Vec<Arc<Entry>>,
        sources: &Sources,
    ) -> Self {
        let mut cluster = Self {
            mark: Mark::default(),
            state: State::default(),
            kept: Kept::default(),
            supplies: BTreeSet::new(),
            members: Arc::new(members),
            banks: Arc::new(banks),
            outages: Arc::clone(outages),
            history: History::of(entries),
        };
        cluster.refold(sources);
        cluster
    }

    /// Folds everything anew.
    pub fn refold(&mut self, sources: &Sources) {
        self.supplies = self.members.iter().filter_map(|member| member.usual).collect();
        self.supplies.extend(self.history.iter().filter_map(|entry| fill_source(entry)));
        let state = State::first(&self.members, &self.banks, &self.history);
        self.mark = Mark { at: None, behind: self.history.len(), state };
        self.fold_from_mark(sources);
    }

    /// Lets the mark follow, then folds what stands after it.
    fn fold_from_mark(&mut self, sources: &Sources) {
        self.kept = Kept::nothing(self.members.len());
        self.follow(sources);
        self.state = self.mark.state.clone();
        for entry in self.history.after(self.mark.at) {
            self.state.apply(&self.members, sources, &self.supplies, entry);
        }
    }

    /// Lets the mark follow, once it lags far enough behind.
    fn follow(&mut self, sources: &Sources) {
        if self.mark.behind < 2 * LAG {
            return;
        }
        for entry in self.history.after(self.mark.at).take(self.mark.behind - LAG) {
            self.mark.state.apply(&self.members, sources, &self.supplies, entry);
            self.mark.at = Some(order(entry));
        }
        self.mark.behind = LAG;
    }

    /// Folds in more entries: on from where it stands as long as they come at the end, from the mark if they are a
    /// little late, and else all anew; once, however many they are.
    pub fn add(&mut self, entries: &[Arc<Entry>], sources: &Sources) {
        let (mut late, mut anew) = (false, false);
        for entry in entries {
            let begun = |state: &State, vessel| self.slot(vessel).is_none_or(|slot| state.vessels[slot].begun);
            // A fill that is taken for granted from now on lies before this entry, and maybe before others.
            let grants = beginnings(entry).any(|(vessel, filled)| !filled && !begun(&self.state, vessel));
            let new_supply = fill_source(entry).is_some_and(|source| !self.supplies.contains(&source));
            let before_mark = self.mark.at.is_some_and(|mark| order(entry) <= mark);
            let may_grant = beginnings(entry).any(|(vessel, _)| !begun(&self.mark.state, vessel));
            let put = self.history.insert(Arc::clone(entry));
            if put == Put::Already {
                continue;
            }
            self.kept = Kept::nothing(self.members.len());
            self.mark.behind += 1;
            late |= put == Put::Amid;
            anew |= grants || new_supply || put == Put::Amid && (before_mark || may_grant);
            if !late && !anew {
                self.state.apply(&self.members, sources, &self.supplies, entry);
            }
        }
        if anew {
            self.refold(sources);
        } else if late {
            self.fold_from_mark(sources);
        } else {
            self.follow(sources);
        }
    }

    /// Takes in when the mains were off, which changes what is made of the levels and nothing in the fold.
    pub fn set_outages(&mut self, outages: &Arc<Outages>) {
        self.outages = Arc::clone(outages);
        self.kept = Kept::nothing(self.members.len());
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

    /// Litres in a vessel: by the estimator where it holds, by the simple level else.
    #[must_use]
    pub fn estimate(&self, slot: usize, now: Moment) -> Estimate {
        let explained = self.explained(slot).and_then(|explained| explained.estimate(&self.members, slot, now));
        explained.unwrap_or_else(|| self.state.estimate(&self.members, slot, now))
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

/// The moment that a day begins by the engine's count, which knows no zone: what is reckoned from it is in months.
#[must_use]
pub fn day_moment(day: jiff::civil::Date) -> Moment {
    let since_1970 = day.duration_since(jiff::civil::Date::constant(1970, 1, 1));
    Moment::from_micros(since_1970.as_secs().saturating_mul(1_000_000))
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
