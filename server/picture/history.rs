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

/// Where an entry came to stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Put {
    AtEnd,
    Amid,
    /// it was there before
    Already,
}

/// A place in the order in which entries count.
pub type Place = (Timestamp, EntryId);

/// The order in which entries count.
#[must_use]
pub fn order(entry: &Entry) -> Place {
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

    /// Those that stand after a place in the order; all where none is named.
    pub fn after(&self, place: Option<Place>) -> impl Iterator<Item = &Arc<Entry>> {
        let before = move |entry: &Arc<Entry>| place.is_some_and(|place| order(entry) <= place);
        let at = self.chunks.partition_point(|chunk| chunk.last().is_some_and(before));
        let chunks = self.chunks.get(at..).unwrap_or_default();
        chunks.iter().flat_map(|chunk| chunk.iter()).skip_while(move |entry| before(entry))
    }

    /// How many there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.chunks.iter().map(|chunk| chunk.len()).sum()
    }

    /// Puts an entry in its place, if it is not there.
    pub fn insert(&mut self, entry: Arc<Entry>) -> Put {
        let key = order(&entry);
        if self.last().is_none_or(|last| order(last) < key) {
            match self.chunks.last_mut() {
                Some(chunk) if chunk.len() < CHUNK => Arc::make_mut(chunk).push(entry),
                _ => self.chunks.push(Arc::new(vec![entry])),
            }
            return Put::AtEnd;
        }
        let at = self.chunks.partition_point(|chunk| chunk.last().is_some_and(|last| order(last) < key));
        if let Some(chunk) = self.chunks.get_mut(at) {
            let chunk = Arc::make_mut(chunk);
            let place = chunk.partition_point(|there| order(there) < key);
            if chunk.get(place).is_some_and(|there| order(there) == key) {
                return Put::Already;
            }
            chunk.insert(place, entry);
            if chunk.len() > 2 * CHUNK {
                let rest = chunk.split_off(CHUNK);
                self.chunks.insert(at + 1, Arc::new(rest));
            }
        }
        Put::Amid
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
