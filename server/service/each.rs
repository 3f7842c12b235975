//! Entries that a program sends: each known again when it is sent again, several at once each for itself.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::model::entry::Act;
use crate::model::entry::Entry;
use crate::model::id::EntryId;
use crate::service::App;
use crate::service::Caller;
use crate::service::Error;
use crate::service::entries::Listed;
use crate::service::entries::New;
use crate::store::Stored;

/// What became of one of several.
pub type Outcome = Result<(Listed, Stored), Error>;

impl App {
    /// Logs an entry, or finds it logged before. What was logged once is answered the same for ever, even where it could
    /// not be logged any more.
    ///
    /// # Errors
    /// As [`App::log`].
    pub async fn log_once(&self, caller: &Caller, new: New) -> Outcome {
        if let Some(before) = self.logged_before(caller, &new)? {
            return Ok((before, Stored::Again));
        }
        let (entry, stored) = self.log(caller, new).await?;
        // Another may have logged it at the same moment: the ledger's own is the answer.
        Ok((self.entry(caller, entry.id)?, stored))
    }

    /// Logs several entries, each for itself: one that is refused stands in no other's way. An entry may void one that
    /// stands before it.
    pub async fn log_each(&self, caller: &Caller, all: Vec<New>) -> Vec<Outcome> {
        let mut outcomes: Vec<Option<Outcome>> = Vec::with_capacity(all.len());
        let mut waiting: Vec<(usize, Arc<Entry>)> = Vec::new();
        let mut ids: BTreeSet<EntryId> = BTreeSet::new();
        for (place, new) in all.into_iter().enumerate() {
            outcomes.push(None);
            let refers = |new: &New| match &new.act {
                Act::Void(void) => ids.contains(&void.entry) || ids.contains(&new.id),
                _ => ids.contains(&new.id),
            };
            if refers(&new) {
                self.settle(caller, &mut waiting, &mut outcomes).await;
                ids.clear();
            }
            let outcome = match self.logged_before(caller, &new) {
                Ok(None) => match self.check(caller, &self.picture(), new) {
                    Ok(entry) => {
                        ids.insert(entry.id);
                        waiting.push((place, entry));
                        continue;
                    }
                    Err(refusal) => Err(refusal),
                },
                Ok(Some(before)) => Ok((before, Stored::Again)),
                Err(refusal) => Err(refusal),
            };
            outcomes[place] = Some(outcome);
        }
        self.settle(caller, &mut waiting, &mut outcomes).await;
        outcomes.into_iter().map(|outcome| outcome.unwrap_or(Err(Error::Busy))).collect()
    }

    /// Stores what waits, and says of each what became of it.
    async fn settle(&self, caller: &Caller, waiting: &mut Vec<(usize, Arc<Entry>)>, outcomes: &mut [Option<Outcome>]) {
        let entries = waiting.iter().map(|(_, entry)| Arc::clone(entry)).collect();
        let stored = self.store.append_each(entries).await;
        for ((place, entry), stored) in waiting.drain(..).zip(stored) {
            let outcome = stored.map_err(Error::from).and_then(|stored| Ok((self.entry(caller, entry.id)?, stored)));
            if let Some(slot) = outcomes.get_mut(place) {
                *slot = Some(outcome);
            }
        }
    }

    /// The entry of that id as it was logged before; none if it is new.
    ///
    /// # Errors
    /// [`Error::IdTaken`] if it was another, or is not the caller's to see.
    fn logged_before(&self, caller: &Caller, new: &New) -> Result<Option<Listed>, Error> {
        let before = match self.entry(caller, new.id) {
            Ok(before) => before,
            Err(Error::NotFound(_)) => return Ok(None),
            Err(refusal) => return Err(refusal),
        };
        let there = &before.entry;
        // A void stands where the entry stands that it voids, and an entry about a vessel where the vessel stands.
        let derived = matches!(new.act, Act::Void(_));
        let site = derived || new.site == there.site || (new.site.is_none() && new.vessel.is_some());
        let vessel = derived || new.vessel == there.vessel;
        let at = new.at.as_microsecond() == there.at.as_microsecond();
        if site && vessel && at && new.act == there.act { Ok(Some(before)) } else { Err(Error::IdTaken) }
    }
}
