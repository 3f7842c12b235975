//! Whether the disk is full. Learned from writes that failed, forgotten by the next that does not; while it is so, a write
//! that changes nothing is tried now and then, so that nobody has to try theirs.

use std::sync::Mutex;
use std::sync::PoisonError;
use std::sync::atomic::AtomicBool;
use std::sync::atomic::Ordering;
use std::time::Duration;
use std::time::Instant;

use crate::store::Error;
use crate::store::OURS;
use crate::store::Store;

/// How long after one trial the next is made.
const AGAIN: Duration = Duration::from_secs(2);

#[derive(Debug, Default)]
pub(super) struct Room {
    full: AtomicBool,
    tried: Mutex<Option<Instant>>,
}

impl Room {
    /// Takes note of how a write ended.
    pub(super) fn noted<T>(&self, done: Result<T, Error>) -> Result<T, Error> {
        match &done {
            Ok(_) => self.full.store(false, Ordering::Relaxed),
            Err(Error::Full) => {
                if !self.full.swap(true, Ordering::Relaxed) {
                    tracing::error!("the disk is full: nothing new can be kept");
                }
            }
            Err(_) => {}
        }
        done
    }

    /// Whether it is time for another trial; whoever is told so makes it.
    fn is_due(&self) -> bool {
        let mut tried = self.tried.lock().unwrap_or_else(PoisonError::into_inner);
        let due = tried.is_none_or(|tried| tried.elapsed() >= AGAIN);
        if due {
            *tried = Some(Instant::now());
        }
        due
    }
}

impl Store {
    /// Whether nothing can be written for want of room.
    pub async fn is_full(&self) -> bool {
        if !self.room.full.load(Ordering::Relaxed) {
            return false;
        }
        if self.room.is_due() {
            let mut writer = self.writer.lock().await;
            // Writes the first page again with what stands there.
            let tried = sqlx::query(sqlx::AssertSqlSafe(format!("PRAGMA application_id = {OURS}")));
            match self.room.noted(tried.execute(&mut writer.connection).await.map_err(Error::from)) {
                Ok(_) => tracing::info!("there is room on the disk again"),
                Err(Error::Full) => {}
                Err(error) => tracing::warn!("whether there is room could not be tried: {error}"),
            }
        }
        self.room.full.load(Ordering::Relaxed)
    }
}
