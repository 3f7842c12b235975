//! Supplies: what each is, and what was said of it (running or not, notices, what disinfects it), in order.

use std::collections::BTreeMap;
use std::sync::Arc;

use keepwell_engine::grade;
use keepwell_engine::moment::Moment;

use crate::model::entry::Act;
use crate::model::entry::Entry;
use crate::model::entry::mains::Supply;
use crate::model::entry::notice::NoticeKind;
use crate::model::id::SourceId;
use crate::model::setup::SetUp;
use crate::model::source::Disinfectant;
use crate::model::source::Source;
use crate::picture::cluster::moment;
use crate::picture::history::History;

/// Before any entry: the first day of the year 1.
const LONG_AGO: Moment = Moment::from_micros(-62_135_596_800_000_000);

/// A notice in force: which, since when, whose word.
#[derive(Clone, Debug, PartialEq)]
pub struct InForce {
    pub kind: NoticeKind,
    pub since: Moment,
    pub by: String,
}

/// One supply.
#[derive(Clone, Debug, PartialEq)]
pub struct SourcePicture {
    pub source: Arc<Source>,
    pub line: grade::Line,
    pub history: History,
    /// running, low or off, and since when; none if nobody ever said
    pub supply: Option<(Supply, Moment)>,
    pub notices: Vec<InForce>,
    /// for the engine: what matters to grades, in order
    acts: Arc<Vec<(Moment, grade::Act)>>,
}

/// All supplies of the neighbourhood.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sources {
    pub all: BTreeMap<SourceId, SourcePicture>,
}

impl Sources {
    /// From the set-up, with what was said of each before.
    #[must_use]
    pub fn of(set_up: &SetUp, mut histories: BTreeMap<SourceId, History>) -> Self {
        let all = set_up.sources.values().zip(0..).map(|(kept, line)| {
            let source = Arc::clone(&kept.thing);
            let history = histories.remove(&source.id).unwrap_or_default();
            (source.id, SourcePicture::of(source, grade::Line(line), history))
        });
        Self { all: all.collect() }
    }

    /// What was said of each, to build them anew.
    #[must_use]
    pub fn histories(&self) -> BTreeMap<SourceId, History> {
        self.all.iter().map(|(id, source)| (*id, source.history.clone())).collect()
    }

    /// Takes in an entry about a supply; false if there is no such supply.
    pub fn add(&mut self, source: SourceId, entry: &Arc<Entry>) -> bool {
        let Some(there) = self.all.get_mut(&source) else { return false };
        let mut history = there.history.clone();
        history.insert(Arc::clone(entry));
        *there = SourcePicture::of(Arc::clone(&there.source), there.line, history);
        true
    }

    /// Takes a voided entry out.
    pub fn remove(&mut self, source: SourceId, entry: &Entry) {
        if let Some(there) = self.all.get_mut(&source) {
            let mut history = there.history.clone();
            if history.remove(entry) {
                *there = SourcePicture::of(Arc::clone(&there.source), there.line, history);
            }
        }
    }

    /// What was said of that supply after `from` and until `to`, for the engine.
    pub(super) fn acts(&self, source: SourceId, from: Option<Moment>, to: Moment) -> &[(Moment, grade::Act)] {
        let Some(there) = self.all.get(&source) else { return &[] };
        let start = from.map_or(0, |from| there.acts.partition_point(|act| act.0 <= from));
        let end = there.acts.partition_point(|act| act.0 <= to);
        there.acts.get(start..end.max(start)).unwrap_or_default()
    }
}

impl SourcePicture {
    fn of(source: Arc<Source>, line: grade::Line, history: History) -> Self {
        let mut acts = Vec::new();
        if source.disinfectant == Disinfectant::Chloramine {
            let act = grade::Act::Mains { line, disinfectant: grade::Disinfectant::Chloramine };
            acts.push((LONG_AGO, act));
        }
        let mut supply = None;
        let mut notices: Vec<InForce> = Vec::new();
        for entry in history.iter() {
            let at = moment(entry.at);
            match &entry.act {
                Act::Mains(mains) => {
                    supply = Some((mains.state, at));
                    if let Some(disinfectant) = mains.disinfectant {
                        acts.push((at, grade::Act::Mains { line, disinfectant: graded(disinfectant) }));
                    }
                }
                Act::Notice(notice) => {
                    acts.push((at, grade::Act::Notice { line, kind: notice_kind(notice.kind) }));
                    if notices.iter().all(|there| there.kind != notice.kind) {
                        notices.push(InForce { kind: notice.kind, since: at, by: notice.by.clone() });
                    }
                }
                Act::Lifted(notice) => {
                    acts.push((at, grade::Act::Lifted { line, kind: notice_kind(notice.kind) }));
                    notices.retain(|there| there.kind != notice.kind);
                }
                _ => {}
            }
        }
        Self { source, line, history, supply, notices, acts: Arc::new(acts) }
    }
}

fn graded(disinfectant: Disinfectant) -> grade::Disinfectant {
    match disinfectant {
        Disinfectant::Chloramine => grade::Disinfectant::Chloramine,
        Disinfectant::FreeChlorine | Disinfectant::None | Disinfectant::Unknown => grade::Disinfectant::Free,
    }
}

fn notice_kind(kind: NoticeKind) -> grade::NoticeKind {
    match kind {
        NoticeKind::Boil => grade::NoticeKind::Boil,
        NoticeKind::DoNotDrink => grade::NoticeKind::DoNotDrink,
        NoticeKind::DoNotUse => grade::NoticeKind::DoNotUse,
    }
}
