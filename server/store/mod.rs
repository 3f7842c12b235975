//! All SQL. One SQLite file in the data folder, one writing connection behind a fair lock, a few that read.
//!
//! Entries go to the entry task (`entries`), which takes the lock for a group and stores it with one statement. A
//! change of the set-up goes through [`Store::write`]. Whoever opened the store is handed what was committed before
//! the lock is let go and before anyone is answered, so that the next page shows what was just logged.

mod backup;
mod batteries;
mod carries;
mod changes;
mod entries;
mod full;
mod neighbourhood;
mod outages;
mod people;
mod power;
mod reader;
mod rows;
mod sessions;
mod sites;
mod snapshot;
mod sources;
mod tokens;
mod transaction;
mod vessels;
mod works;

use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use sqlx::ConnectOptions;
use sqlx::SqliteConnection;
use sqlx::migrate::MigrateError;
use sqlx::sqlite::SqliteConnectOptions;
use sqlx::sqlite::SqliteJournalMode;
use sqlx::sqlite::SqlitePoolOptions;
use sqlx::sqlite::SqliteSynchronous;
use tokio::sync::Mutex;
use tokio::sync::mpsc;

use crate::model::entry::Entry;
use crate::model::id::PersonId;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;

pub use changes::Change;
pub use entries::Stored;
pub use people::Credentials;
pub use reader::Integrity;
pub use reader::Reader;
pub use sessions::Session;
pub use snapshot::Line;
pub use snapshot::Snapshot;

/// The file within the data folder.
pub const FILE: &str = "keepwell.db";
/// SQLite before this may corrupt a file in WAL mode when two connections checkpoint at once.
const OLDEST_SQLITE: [u32; 3] = [3, 51, 3];
/// `PRAGMA application_id` of our files, set by the first migration.
const OURS: i64 = 0x4B57_454C;
/// Entries that may wait for the writing lock before loggers are made to wait.
const WAITING: usize = 4096;

#[derive(Debug, thiserror::Error)]
pub enum Error {
    #[error(
        "the database was made by a newer keepwell (its step {0} is not known here); use that version or a newer one"
    )]
    Newer(i64),
    #[error("the database is not keepwell's: it names another program as its owner")]
    Foreign,
    #[error("this SQLite is {0}; 3.51.3 or newer is needed")]
    OldSqlite(String),
    #[error("this is no database")]
    NoDatabase,
    #[error("the database could not be brought up to date: {0}")]
    Migrate(MigrateError),
    #[error("the entry's id was used before, with other content")]
    IdTaken,
    #[error("it was changed meanwhile")]
    Stale,
    #[error("others name it")]
    Named,
    #[error("the disk is full")]
    Full,
    #[error("what is stored cannot be read: {0}")]
    Unreadable(String),
    #[error("the store is closing")]
    Closing,
    #[error("database: {0}")]
    Database(sqlx::Error),
}

impl From<sqlx::Error> for Error {
    fn from(error: sqlx::Error) -> Self {
        let code = error.as_database_error().and_then(|database| database.code());
        match code.and_then(|code| code.parse::<u32>().ok()) {
            // SQLITE_FULL is 13; a full disk under the write-ahead log may show as an I/O error with 13 as its low byte,
            // or as one of its index (SQLITE_IOERR_SHMSIZE).
            Some(code) if code & 0xff == 13 || code == 4874 => Self::Full,
            // SQLITE_NOTADB
            Some(26) => Self::NoDatabase,
            _ => Self::Database(error),
        }
    }
}

/// What a commit brought, handed to the listener before anyone is answered.
#[derive(Debug)]
pub enum Committed<'a> {
    /// new entries, in order of their sequence
    Entries(&'a [Arc<Entry>], i64),
    /// things of the set-up, with their new revisions, the sequence of the last change, and when it was made
    SetUp(&'a [(Thing, i64)], i64, jiff::Timestamp),
    /// a thing that was taken out of the set-up, and the sequence of that change
    Removed(&'a Thing, i64),
}

type Listener = Box<dyn Fn(Committed<'_>) + Send + Sync>;

/// Everything there is, as the picture is built from it at start.
#[derive(Debug)]
pub struct Everything {
    pub set_up: SetUp,
    /// in order of arrival
    pub entries: Vec<Arc<Entry>>,
    pub entry_seq: i64,
    pub change_seq: i64,
}

/// The door to the file. Cheap to clone.
#[derive(Clone)]
pub struct Store {
    reader: Reader,
    writer: Arc<Mutex<Writer>>,
    waiting: mpsc::Sender<entries::Waiting>,
    room: Arc<full::Room>,
}

/// The one writing connection and who is told of its commits.
struct Writer {
    connection: SqliteConnection,
    listener: Option<Listener>,
}

impl core::fmt::Debug for Store {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str("Store")
    }
}

impl Store {
    /// Opens the file in the data folder, makes it if it is not there, and brings it up to date.
    ///
    /// # Errors
    /// Another program's file, a newer one, or one that cannot be used.
    pub async fn open(folder: &Path) -> Result<Self, Error> {
        let writing = options(folder).create_if_missing(true).journal_mode(SqliteJournalMode::Wal);
        let mut connection = writing.connect().await?;
        check_sqlite(&mut connection).await?;
        check_owner(&mut connection).await?;
        sqlx::migrate!("./migrations").run(&mut connection).await.map_err(|error| match error {
            MigrateError::VersionMissing(version) => Error::Newer(version),
            error => Error::Migrate(error),
        })?;
        let pool = SqlitePoolOptions::new().max_connections(4).connect_with(options(folder).read_only(true)).await?;
        let (waiting, arrivals) = mpsc::channel(WAITING);
        let writer = Arc::new(Mutex::new(Writer { connection, listener: None }));
        tokio::spawn(entries::task(Arc::clone(&writer), arrivals));
        Ok(Self { reader: Reader { pool }, writer, waiting, room: Arc::default() })
    }

    /// Reads everything and from then on tells `listener` of every commit, with nothing lost in between.
    ///
    /// # Errors
    /// Something stored cannot be read.
    pub async fn listen<L>(&self, make: impl FnOnce(Everything) -> L) -> Result<(), Error>
    where
        L: Fn(Committed<'_>) + Send + Sync + 'static,
    {
        let mut writer = self.writer.lock().await;
        let everything = everything(&mut writer.connection).await?;
        writer.listener = Some(Box::new(make(everything)));
        Ok(())
    }

    /// The connections that read.
    #[must_use]
    pub const fn reader(&self) -> &Reader {
        &self.reader
    }

    /// Puts an entry in the ledger. Answers after the commit; the same entry again is answered as the first time.
    ///
    /// # Errors
    /// The id was used with other content; the disk is full; the store is closing.
    pub async fn append(&self, entry: Arc<Entry>) -> Result<Stored, Error> {
        let (answer, answered) = tokio::sync::oneshot::channel();
        let hash = entry.hash().map_err(|error| Error::Unreadable(error.to_string()))?;
        self.waiting.send(entries::Waiting { entry, hash, answer }).await.map_err(|_| Error::Closing)?;
        self.room.noted(answered.await.map_err(|_| Error::Closing)?)
    }

    /// Puts many entries in the ledger, all or none, in one commit.
    ///
    /// # Errors
    /// As [`Store::append`]; then none is stored.
    pub async fn append_all(&self, entries: Vec<Arc<Entry>>) -> Result<Vec<Stored>, Error> {
        let writer = Arc::clone(&self.writer);
        let done = to_the_end(async move { entries::append_all(&mut *writer.lock().await, entries).await }).await;
        self.room.noted(done)
    }

    /// Changes things of the set-up, all or none, and records who did. Each names the revision it began from, `None`
    /// for a new one.
    ///
    /// # Errors
    /// [`Error::Stale`] if one stands at another revision by now.
    pub async fn write(
        &self,
        by: Option<PersonId>,
        at: jiff::Timestamp,
        things: Vec<(Thing, Option<i64>)>,
    ) -> Result<Vec<i64>, Error> {
        let writer = Arc::clone(&self.writer);
        let done = to_the_end(async move {
            let mut writer = writer.lock().await;
            let written = changes::write(&mut writer.connection, by, at, things).await?;
            if let Some(listener) = &writer.listener {
                listener(Committed::SetUp(&written.things, written.last, at));
            }
            Ok(written.things.iter().map(|thing| thing.1).collect())
        })
        .await;
        self.room.noted(done)
    }

    /// Takes a thing of the set-up away that stands at that revision and that nothing names, and records who did.
    ///
    /// # Errors
    /// [`Error::Stale`] if it stands at another by now; [`Error::Named`] if something names it.
    pub async fn remove(
        &self,
        by: Option<PersonId>,
        at: jiff::Timestamp,
        thing: Thing,
        began_from: i64,
    ) -> Result<i64, Error> {
        let writer = Arc::clone(&self.writer);
        let done = to_the_end(async move {
            let mut writer = writer.lock().await;
            let last = changes::remove(&mut writer.connection, by, at, &thing, began_from).await?;
            if let Some(listener) = &writer.listener {
                listener(Committed::Removed(&thing, last));
            }
            Ok(last)
        })
        .await;
        self.room.noted(done)
    }

    /// Changes of the set-up and entries together, in one commit: all or none.
    ///
    /// # Errors
    /// As [`Store::write`] and [`Store::append`]; then nothing is stored.
    pub async fn write_all(
        &self,
        by: Option<PersonId>,
        at: jiff::Timestamp,
        things: Vec<(Thing, Option<i64>)>,
        entries: Vec<Arc<Entry>>,
    ) -> Result<(), Error> {
        let writer = Arc::clone(&self.writer);
        let done = to_the_end(async move {
            let mut writer = writer.lock().await;
            let mut tx = transaction::begin(&mut writer.connection).await?;
            let written = changes::write_in(&mut tx, by, at, things).await?;
            let all = entries::append_in(&mut tx, entries).await?;
            tx.commit().await?;
            if let Some(listener) = &writer.listener
                && !written.things.is_empty()
            {
                listener(Committed::SetUp(&written.things, written.last, at));
            }
            writer.tell(&all);
            Ok(())
        })
        .await;
        self.room.noted(done)
    }

    /// Waits for the writing lock, then closes: whatever was acknowledged is on the disk.
    pub async fn close(&self) {
        let mut writer = self.writer.lock().await;
        writer.listener = None;
        if let Err(error) = sqlx::query("PRAGMA wal_checkpoint(TRUNCATE)").execute(&mut writer.connection).await {
            tracing::warn!("the write-ahead log was not folded in at the end: {error}");
        }
        self.reader.pool.close().await;
    }
}

/// Sees a write through, whether or not whoever asked stays for the answer: a visitor who leaves between commit and
/// listener would leave the picture behind what is stored.
async fn to_the_end<T: Send + 'static>(
    work: impl Future<Output = Result<T, Error>> + Send + 'static,
) -> Result<T, Error> {
    tokio::spawn(work).await.map_err(|_| Error::Closing)?
}

async fn everything(connection: &mut SqliteConnection) -> Result<Everything, Error> {
    let set_up = set_up(connection).await?;
    let (entries, entry_seq) = entries::load(connection).await?;
    let change_seq = changes::last(connection).await?;
    Ok(Everything { set_up, entries, entry_seq, change_seq })
}

async fn set_up(connection: &mut SqliteConnection) -> Result<SetUp, Error> {
    let mut set_up = SetUp::default();
    neighbourhood::load(connection, &mut set_up).await?;
    people::load(connection, &mut set_up).await?;
    sources::load(connection, &mut set_up).await?;
    sites::load(connection, &mut set_up).await?;
    vessels::load(connection, &mut set_up).await?;
    power::load(connection, &mut set_up).await?;
    carries::load(connection, &mut set_up).await?;
    batteries::load(&mut *connection, &mut set_up).await?;
    works::load(connection, &mut set_up).await?;
    outages::load(connection, &mut set_up).await?;
    tokens::load(connection, &mut set_up).await?;
    Ok(set_up)
}

async fn check_sqlite(connection: &mut SqliteConnection) -> Result<(), Error> {
    let version: String = sqlx::query_scalar("SELECT sqlite_version()").fetch_one(connection).await?;
    let mut parts = version.split('.').map(|part| part.parse::<u32>().unwrap_or(0));
    let parts = [parts.next().unwrap_or(0), parts.next().unwrap_or(0), parts.next().unwrap_or(0)];
    if parts < OLDEST_SQLITE { Err(Error::OldSqlite(version)) } else { Ok(()) }
}

/// A file with tables in it that does not name us as its owner is someone else's: it is left alone.
async fn check_owner(connection: &mut SqliteConnection) -> Result<(), Error> {
    let owner: i64 = sqlx::query_scalar("PRAGMA application_id").fetch_one(&mut *connection).await?;
    let tables: i64 = sqlx::query_scalar("SELECT count(*) FROM sqlite_schema").fetch_one(connection).await?;
    if owner == OURS || (owner == 0 && tables == 0) { Ok(()) } else { Err(Error::Foreign) }
}

/// How a file is opened by whoever reads or writes. Its journal is the writer's business: a reader could not change it,
/// and a backup, which has none, can be looked at all the same.
fn options(folder: &Path) -> SqliteConnectOptions {
    SqliteConnectOptions::new()
        .filename(folder.join(FILE))
        .synchronous(SqliteSynchronous::Full)
        .foreign_keys(true)
        .busy_timeout(Duration::from_secs(5))
        .pragma("trusted_schema", "OFF")
        .pragma("cell_size_check", "ON")
        .pragma("mmap_size", "0")
        .statement_cache_capacity(64)
}
