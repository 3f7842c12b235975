//! A list of entries in the order that counts, (time it happened, id), made to be shared: putting one more at the end
//! copies a chunk, not the list, so that a picture in use keeps its own.

use std::sync::Arc;

use jiff::Timestamp;

use crate::model::entry::Entry;
use crate::model::id::EntryId;

/// Entries in one chunk at most.
const CHUNK: usize = 256;

#[derive(Clone, Debug, Default)]
pub struct History {
    chunks: Vec<Arc<Vec<Arc<Entry>>>>,
}

/// The order in which entries count.
#[must_use]
pub fn order(entry: &Entry) -> (Timestamp, EntryId) {
    (entry.at, entry.id)
}

/// Equal is what holds the same entries, however they lie in chunks.
impl PartialEq for History {
    fn eq(&self, other: &Self) -> bool {
        self.iter().eq(other.iter())
    }
}

impl History {
    /// From entries in any order.
    #[must_use]
    pub fn of(mut entries: Vec<Arc<Entry>>) -> Self {
        entries.sort_unstable_by_key(|entry| order(entry));
        Self { chunks: entries.chunks(CHUNK).map(|chunk| Arc::new(chunk.to_vec())).collect() }
    }

    #[must_use]
    pub fn last(&self) -> Option<&Arc<Entry>> {
        self.chunks.last().and_then(|chunk| chunk.last())
    }

    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.chunks.is_empty()
    }

    pub fn iter(&self) -> impl DoubleEndedIterator<Item = &Arc<Entry>> {
        self.chunks.iter().flat_map(|chunk| chunk.iter())
    }

    /// Puts an entry in its place, if it is not there; true if that is the end.
    pub fn insert(&mut self, entry: Arc<Entry>) -> bool {
        let key = order(&entry);
        if self.last().is_none_or(|last| order(last) < key) {
            match self.chunks.last_mut() {
                Some(chunk) if chunk.len() < CHUNK => Arc::make_mut(chunk).push(entry),
                _ => self.chunks.push(Arc::new(vec![entry])),
            }
            return true;
        }
        let at = self.chunks.partition_point(|chunk| chunk.last().is_some_and(|last| order(last) < key));
        if let Some(chunk) = self.chunks.get_mut(at) {
            let chunk = Arc::make_mut(chunk);
            let place = chunk.partition_point(|there| order(there) < key);
            if chunk.get(place).is_some_and(|there| order(there) == key) {
                return false;
            }
            chunk.insert(place, entry);
            if chunk.len() > 2 * CHUNK {
                let rest = chunk.split_off(CHUNK);
                self.chunks.insert(at + 1, Arc::new(rest));
            }
        }
        false
    }

    /// Takes an entry out, if it is there.
    pub fn remove(&mut self, entry: &Entry) -> bool {
        let key = order(entry);
        let at = self.chunks.partition_point(|chunk| chunk.last().is_some_and(|last| order(last) < key));
        let Some(chunk) = self.chunks.get_mut(at) else { return false };
        let Some(place) = chunk.iter().position(|there| there.id == entry.id) else { return false };
        Arc::make_mut(chunk).remove(place);
        if chunk.is_empty() {
            self.chunks.remove(at);
        }
        true
    }
}
