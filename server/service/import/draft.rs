//! The set-up as it would be with the rows read so far, and the entries waiting for the end of the import.

use std::collections::HashMap;
use std::collections::HashSet;

use jiff::Timestamp;
use uuid::Uuid;

use crate::model::entry::Act;
use crate::model::entry::Entry;
use crate::model::id::EntryId;
use crate::model::id::PersonId;
use crate::model::id::SiteId;
use crate::model::id::VesselId;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::name::Name;
use crate::model::power::FuelStore;
use crate::model::setup::Kept;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::model::site::Site;
use crate::model::source::Source;
use crate::model::vessel::Bank;
use crate::model::vessel::Vessel;
use crate::picture::cluster::moment;
use crate::service::import::Counts;
use crate::service::import::Existing;
use crate::service::import::Fault;
use crate::service::import::Outcome;
use crate::service::import::Plan;
use crate::service::import::Tally;
use crate::service::import::row::Spot;
use crate::service::set_up::too_many_cannot_collect;

/// Things of one noun, found by their names within what they belong to.
pub struct Shelf<T> {
    pub items: Vec<Item<T>>,
    by_name: HashMap<(Uuid, String), Vec<usize>>,
}

pub struct Item<T> {
    pub thing: T,
    name: String,
    /// as it is kept, with its revision
    kept: Option<(T, i64)>,
    /// the row that says what it is
    said: Option<Spot>,
    /// no longer in use; its name stays taken
    ended: bool,
    /// that row does not hold: what names the thing is not blamed for it
    pub broken: bool,
}

/// What a name finds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Found {
    One(usize),
    None,
    Several,
    /// one that is no longer in use
    Ended,
}

/// Where what belongs to nothing stands, and where all stand besides.
pub const ANYWHERE: Uuid = Uuid::nil();

impl<T: Clone + PartialEq> Shelf<T> {
    fn new() -> Self {
        Self { items: Vec::new(), by_name: HashMap::new() }
    }

    fn put(&mut self, within: Uuid, name: &str, thing: T, kept: Option<(T, i64)>) -> usize {
        let at = self.items.len();
        self.items.push(Item { thing, name: name.to_owned(), kept, said: None, ended: false, broken: false });
        let key = name.to_lowercase();
        if within != ANYWHERE {
            self.by_name.entry((within, key.clone())).or_default().push(at);
        }
        self.by_name.entry((ANYWHERE, key)).or_default().push(at);
        at
    }

    fn put_kept(&mut self, within: Uuid, name: &Name, kept: &Kept<T>, ended: Option<Timestamp>) {
        let thing = (*kept.thing).clone();
        let at = self.put(within, name.as_str(), thing.clone(), Some((thing, kept.revision)));
        self.items[at].ended = ended.is_some();
    }

    /// One that is not kept yet.
    pub fn add(&mut self, within: Uuid, name: &str, thing: T) -> usize {
        self.put(within, name, thing, None)
    }

    /// By its name, in whatever case; where two differ by case alone, by the exact one.
    pub fn find(&self, within: Uuid, name: &str) -> Found {
        let name = name.trim();
        let same = self.by_name.get(&(within, name.to_lowercase())).map_or(&[] as &[usize], Vec::as_slice);
        let exact = same.iter().filter(|at| self.items[**at].name == name);
        match (same, exact.clone().take(2).count()) {
            ([], _) => Found::None,
            ([one], _) if self.items[*one].ended => Found::Ended,
            ([one], _) => Found::One(*one),
            (_, 1) => exact.copied().next().map_or(Found::Several, Found::One),
            _ => Found::Several,
        }
    }

    /// Takes note that this row says what it is; the line of the other one where two do.
    pub fn claim(&mut self, at: usize, spot: Spot) -> Result<(), Message> {
        let item = &mut self.items[at];
        if let Some(other) = &item.said {
            return Err(Message::new("“{name}” stands in this import twice: see line {line} of {file}.")
                .with("name", Arg::text(item.name.as_str()))
                .with("line", Arg::Count(u64::try_from(other.line).unwrap_or(u64::MAX)))
                .with("file", Arg::text(other.file.as_str())));
        }
        item.said = Some(spot);
        Ok(())
    }

    /// Puts the thing in its place, and says what that changes.
    pub fn set(&mut self, at: usize, thing: T) -> Outcome {
        let item = &mut self.items[at];
        item.thing = thing;
        match &item.kept {
            None => Outcome::Added,
            Some((kept, _)) if *kept == item.thing => Outcome::Skipped,
            Some(_) => Outcome::Changed,
        }
    }

    pub fn is_kept(&self, at: usize) -> bool {
        self.items[at].kept.is_some()
    }

    fn things(self, thing: fn(T) -> Thing) -> impl Iterator<Item = (Thing, Option<i64>)> {
        self.items.into_iter().filter_map(move |item| match item.kept {
            None => Some((thing(item.thing), None)),
            Some((kept, revision)) => (kept != item.thing).then(|| (thing(item.thing), Some(revision))),
        })
    }
}

/// An entry that is not placed in time yet: its vessel may come to be in place since then.
pub struct Waiting {
    pub site: SiteId,
    /// the vessel's place on its shelf
    pub vessel: Option<usize>,
    pub at: Timestamp,
    pub act: Act,
    pub spot: Spot,
    /// where it is counted
    pub counted: fn(&mut Counts) -> &mut Tally,
}

pub struct Draft {
    pub sources: Shelf<Source>,
    pub sites: Shelf<Site>,
    pub banks: Shelf<Bank>,
    pub vessels: Shelf<Vessel>,
    pub stores: Shelf<FuelStore>,
    pub waiting: Vec<Waiting>,
    /// vessels that say nothing of since when they are in place
    pub since_open: HashSet<usize>,
    /// site and category of the people counted in this import, with the line
    pub counted: HashMap<(usize, &'static str), usize>,
    /// where a site's people, or those of them who cannot collect, were last counted
    pub last_counted: HashMap<usize, Spot>,
    pub counts: Counts,
    /// a file could not be read: what it may have named is not missed
    pub has_gaps: bool,
}

impl Draft {
    pub fn of(set_up: &SetUp) -> Self {
        let mut draft = Self {
            sources: Shelf::new(),
            sites: Shelf::new(),
            banks: Shelf::new(),
            vessels: Shelf::new(),
            stores: Shelf::new(),
            waiting: Vec::new(),
            since_open: HashSet::new(),
            counted: HashMap::new(),
            last_counted: HashMap::new(),
            counts: Counts::default(),
            has_gaps: false,
        };
        for kept in set_up.sources.values() {
            draft.sources.put_kept(ANYWHERE, &kept.thing.name, kept, None);
        }
        for kept in set_up.sites.values() {
            draft.sites.put_kept(ANYWHERE, &kept.thing.name, kept, kept.thing.ended);
        }
        for kept in set_up.banks.values() {
            draft.banks.put_kept(kept.thing.site.uuid(), &kept.thing.name, kept, None);
        }
        for kept in set_up.vessels.values() {
            draft.vessels.put_kept(kept.thing.site.uuid(), &kept.thing.name, kept, kept.thing.ended);
        }
        for kept in set_up.fuel_stores.values() {
            draft.stores.put_kept(kept.thing.site.uuid(), &kept.thing.name, kept, kept.thing.ended);
        }
        draft
    }

    /// What is to be kept, once every row is read.
    pub fn plan(mut self, existing: &Existing, now: Timestamp, by: Option<PersonId>, faults: &mut Vec<Fault>) -> Plan {
        self.settle_since(now);
        faults.extend(self.last_counted.iter().filter_map(|(at, spot)| {
            let item = self.sites.items.get(*at)?;
            too_many_cannot_collect(&item.thing).filter(|_| !item.broken).map(|message| spot.fault(message))
        }));
        let mut seen: HashSet<[u8; 32]> = HashSet::new();
        let mut entries = Vec::new();
        for waiting in core::mem::take(&mut self.waiting) {
            if let Err(message) = self.in_its_time(&waiting) {
                faults.push(waiting.spot.fault(message));
                continue;
            }
            let vessel = waiting.vessel.map(|at| self.vessels.items[at].thing.id);
            let entry = entry(&waiting, vessel, now, by);
            let outcome = match entry.hash() {
                Ok(hash) if existing.entries.contains(&hash) || !seen.insert(hash) => Outcome::Skipped,
                Ok(_) => Outcome::Added,
                Err(error) => {
                    let message = Message::new("The entry cannot be written: {error}")
                        .with("error", Arg::text(error.to_string()));
                    faults.push(waiting.spot.fault(message));
                    continue;
                }
            };
            (waiting.counted)(&mut self.counts).count(outcome);
            if outcome == Outcome::Added {
                entries.push(entry);
            }
        }
        let things = self.sources.things(Thing::Source);
        let things = things.chain(self.sites.things(Thing::Site)).chain(self.banks.things(Thing::Bank));
        let things = things.chain(self.vessels.things(Thing::Vessel)).chain(self.stores.things(Thing::FuelStore));
        Plan { things: things.collect(), entries, counts: self.counts }
    }

    /// A new vessel that says nothing else is in place since the first thing that is known to have happened to it.
    fn settle_since(&mut self, now: Timestamp) {
        let mut first: HashMap<usize, Timestamp> = HashMap::new();
        for waiting in &self.waiting {
            if let Some(at) = waiting.vessel {
                first.entry(at).and_modify(|first| *first = waiting.at.min(*first)).or_insert(waiting.at);
            }
        }
        for at in &self.since_open {
            self.vessels.items[*at].thing.since = first.get(at).copied().unwrap_or(now).min(now);
        }
    }

    fn in_its_time(&self, waiting: &Waiting) -> Result<(), Message> {
        let Some(item) = waiting.vessel.and_then(|at| self.vessels.items.get(at)) else { return Ok(()) };
        if item.broken || waiting.at >= item.thing.since {
            return Ok(());
        }
        Err(Message::new("{value} is before “{vessel}” was in place, on {since}.")
            .with("value", Arg::text(waiting.spot.value.as_str()))
            .with("vessel", Arg::text(item.name.as_str()))
            .with("since", Arg::Moment(moment(item.thing.since))))
    }
}

fn entry(waiting: &Waiting, vessel: Option<VesselId>, now: Timestamp, by: Option<PersonId>) -> Entry {
    let (site, at, act) = (Some(waiting.site), waiting.at, waiting.act.clone());
    Entry { id: EntryId::fresh(), site, vessel, at, arrived: now, by, act }
}
