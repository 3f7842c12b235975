//! The ledger. One task groups what waits for the writing lock into one statement, which is one commit; a lone entry
//! waits for nobody.

use std::collections::HashMap;
use std::collections::HashSet;
use std::sync::Arc;

use sqlx::SqliteConnection;
use tokio::sync::Mutex;
use tokio::sync::mpsc;
use tokio::sync::oneshot;
use uuid::Uuid;

use crate::model::choice::Choice;
use crate::model::entry::Act;
use crate::model::entry::Entry;
use crate::model::entry::Kind;
use crate::model::id::EntryId;
use crate::model::id::PersonId;
use crate::model::id::SiteId;
use crate::model::id::VesselId;
use crate::store::Committed;
use crate::store::Error;
use crate::store::Store;
use crate::store::Writer;
use crate::store::rows;
use crate::store::transaction;

/// Entries in one commit at most.
const GROUP: usize = 1000;

/// What became of an entry: new in the ledger, or there already.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stored {
    New,
    Again,
}

/// An entry on its way to the writing lock, and who waits for the answer.
pub(super) struct Waiting {
    pub(super) entry: Arc<Entry>,
    pub(super) hash: [u8; 32],
    pub(super) answer: oneshot::Sender<Result<Stored, Error>>,
}

/// Runs until the store is dropped.
pub(super) async fn task(writer: Arc<Mutex<Writer>>, mut arrivals: mpsc::Receiver<Waiting>) {
    while let Some(first) = arrivals.recv().await {
        let mut writer = writer.lock().await;
        let mut group = vec![first];
        while group.len() < GROUP {
            match arrivals.try_recv() {
                Ok(next) => group.push(next),
                Err(_) => break,
            }
        }
        settle(&mut writer, group).await;
    }
}

/// Stores a group and answers each. If one of them makes the group fail, the others are stored without it.
async fn settle(writer: &mut Writer, group: Vec<Waiting>) {
    let entries: Vec<(Arc<Entry>, [u8; 32])> = group.iter().map(|wait| (Arc::clone(&wait.entry), wait.hash)).collect();
    match store(&mut writer.connection, &entries).await {
        Ok(outcome) => answer(writer, group, outcome),
        Err(error) if group.len() == 1 || matches!(error, Error::Full) => refuse(group, error),
        Err(_) => {
            for (wait, entry) in group.into_iter().zip(entries) {
                match store(&mut writer.connection, &[entry]).await {
                    Ok(outcome) => answer(writer, vec![wait], outcome),
                    Err(error) => refuse(vec![wait], error),
                }
            }
        }
    }
}

fn answer(writer: &Writer, group: Vec<Waiting>, outcome: Outcome) {
    writer.tell(&outcome);
    for (wait, result) in group.into_iter().zip(outcome.results) {
        // Whoever asked may have gone; the entry is kept all the same.
        let _ = wait.answer.send(result);
    }
}

/// All are told why.
fn refuse(group: Vec<Waiting>, error: Error) {
    tracing::error!(entries = group.len(), "not stored: {error}");
    let full = matches!(error, Error::Full);
    let words = error.to_string();
    for wait in group {
        let told = if full { Error::Full } else { Error::Unreadable(words.clone()) };
        let _ = wait.answer.send(Err(told));
    }
}

impl Writer {
    pub(super) fn tell(&self, outcome: &Outcome) {
        if let Some(listener) = &self.listener
            && !outcome.new.is_empty()
        {
            listener(Committed::Entries(&outcome.new, outcome.last));
        }
    }
}

/// All or none, in one commit.
pub(super) async fn append_all(writer: &mut Writer, entries: Vec<Arc<Entry>>) -> Result<Vec<Stored>, Error> {
    let mut tx = transaction::begin(&mut writer.connection).await?;
    let mut all = append_in(&mut tx, entries).await?;
    tx.commit().await?;
    writer.tell(&all);
    core::mem::take(&mut all.results).into_iter().collect()
}

/// The same within a transaction that someone else began; an entry that is refused refuses them all.
pub(super) async fn append_in(tx: &mut SqliteConnection, entries: Vec<Arc<Entry>>) -> Result<Outcome, Error> {
    let mut hashed = Vec::with_capacity(entries.len());
    for entry in entries {
        let hash = entry.hash().map_err(rows::unreadable)?;
        hashed.push((entry, hash));
    }
    let mut all = Outcome { results: Vec::with_capacity(hashed.len()), new: Vec::new(), last: 0 };
    for group in hashed.chunks(GROUP) {
        let outcome = store(tx, group).await?;
        for result in outcome.results {
            all.results.push(Ok(result?));
        }
        all.last = all.last.max(outcome.last);
        all.new.extend(outcome.new);
    }
    Ok(all)
}

pub(super) struct Outcome {
    results: Vec<Result<Stored, Error>>,
    new: Vec<Arc<Entry>>,
    last: i64,
}

/// The group as it travels to SQLite, whose JSON would have to spell out what is bytes: ids and hashes in one blob, a row
/// after another, and of each row the rest in an array; last which of site, vessel and person it names.
struct Packed {
    bytes: Vec<u8>,
    rest: String,
}

impl Packed {
    fn of(group: &[(Arc<Entry>, [u8; 32])]) -> Result<Self, Error> {
        let mut bytes = Vec::with_capacity(group.len() * 96);
        let mut rest = Vec::with_capacity(group.len());
        for (entry, hash) in group {
            bytes.extend_from_slice(entry.id.uuid().as_bytes());
            bytes.extend_from_slice(hash);
            let named =
                [entry.site.map(|id| id.uuid()), entry.vessel.map(|id| id.uuid()), entry.by.map(|id| id.uuid())];
            for id in named {
                bytes.extend_from_slice(id.unwrap_or_default().as_bytes());
            }
            let fields =
                entry.act.to_json().and_then(|fields| serde_json::to_string(&fields)).map_err(rows::unreadable)?;
            let (at, arrived) = (entry.at.as_microsecond(), entry.arrived.as_microsecond());
            rest.push((entry.act.kind().key(), at, arrived, fields, named.map(|id| id.is_some())));
        }
        Ok(Self { bytes, rest: rows::json(&rest)? })
    }
}

/// One statement for the group, which is its own transaction where none is open. An id that is there already is left
/// alone, and looked at afterwards.
async fn store(connection: &mut SqliteConnection, group: &[(Arc<Entry>, [u8; 32])]) -> Result<Outcome, Error> {
    let Packed { bytes, rest } = Packed::of(group)?;
    // No row comes back: each would wake this task once.
    let inserted = sqlx::query!(
        "INSERT INTO entries (id, hash, site, vessel, person, kind, at_us, arrived_us, fields)
           SELECT substr(?1, key * 96 + 1, 16), substr(?1, key * 96 + 17, 32),
             iif(value ->> '$[4][0]', substr(?1, key * 96 + 49, 16), NULL),
             iif(value ->> '$[4][1]', substr(?1, key * 96 + 65, 16), NULL),
             iif(value ->> '$[4][2]', substr(?1, key * 96 + 81, 16), NULL),
             value ->> 0, value ->> 1, value ->> 2, value ->> 3
           FROM jsonb_each(?2) WHERE true ON CONFLICT (id) DO NOTHING",
        bytes,
        rest
    )
    .execute(&mut *connection)
    .await?;
    let count = usize::try_from(inserted.rows_affected()).unwrap_or(group.len());
    let all_new = count == group.len();
    let last = if count == 0 { 0 } else { inserted.last_insert_rowid() };
    let mut fresh = if all_new || count == 0 { HashSet::new() } else { newest(connection, last, count).await? };
    let mut outcome = Outcome { results: Vec::with_capacity(group.len()), new: Vec::with_capacity(count), last };
    for (entry, hash) in group {
        if all_new || fresh.remove(&entry.id.uuid()) {
            outcome.new.push(Arc::clone(entry));
            outcome.results.push(Ok(Stored::New));
        } else {
            let id = entry.id.uuid();
            let there =
                sqlx::query_scalar!("SELECT hash FROM entries WHERE id = ?", id).fetch_one(&mut *connection).await;
            // Whatever comes of this one, the others are stored.
            outcome.results.push(match there {
                Ok(there) if there == hash => Ok(Stored::Again),
                Ok(_) => Err(Error::IdTaken),
                Err(error) => Err(error.into()),
            });
        }
    }
    Ok(outcome)
}

/// The ids of the `count` entries that were stored last, up to the sequence `last`: the numbers of one statement follow one
/// another, for nobody else writes meanwhile.
async fn newest(connection: &mut SqliteConnection, last: i64, count: usize) -> Result<HashSet<Uuid>, Error> {
    let after = last - i64::try_from(count).unwrap_or(last);
    let found = sqlx::query_scalar!(r#"SELECT id AS "id: Uuid" FROM entries WHERE seq > ?"#, after);
    Ok(found.fetch_all(&mut *connection).await?.into_iter().collect())
}

/// A row of the ledger.
struct Kept {
    seq: i64,
    id: Uuid,
    kind: String,
    site: Option<Uuid>,
    vessel: Option<Uuid>,
    at_us: i64,
    arrived_us: i64,
    person: Option<Uuid>,
    fields: String,
}

impl Kept {
    fn entry(self) -> Result<Entry, Error> {
        let kind: Kind = rows::choice(&self.kind)?;
        Ok(Entry {
            id: EntryId::from_uuid(self.id),
            site: self.site.map(SiteId::from_uuid),
            vessel: self.vessel.map(VesselId::from_uuid),
            at: rows::time(self.at_us)?,
            arrived: rows::time(self.arrived_us)?,
            by: self.person.map(PersonId::from_uuid),
            act: Act::stored(kind, &self.fields).map_err(rows::unreadable)?,
        })
    }
}

/// The entries that are not what their hash was made of: altered by someone who went around the triggers.
pub(super) async fn altered(connection: &mut SqliteConnection) -> Result<Vec<EntryId>, Error> {
    let mut hashes: HashMap<EntryId, Vec<u8>> = sqlx::query!(r#"SELECT id AS "id: Uuid", hash FROM entries"#)
        .fetch_all(&mut *connection)
        .await?
        .into_iter()
        .map(|row| (EntryId::from_uuid(row.id), row.hash))
        .collect();
    let (entries, _) = load(connection).await?;
    let mut altered = Vec::new();
    for entry in entries {
        let hash = entry.hash().map_err(rows::unreadable)?;
        if hashes.remove(&entry.id).is_none_or(|there| there != hash) {
            altered.push(entry.id);
        }
    }
    Ok(altered)
}

/// Every entry, in order of arrival.
pub(super) async fn load(connection: &mut SqliteConnection) -> Result<(Vec<Arc<Entry>>, i64), Error> {
    let found = sqlx::query_as!(
        Kept,
        r#"SELECT seq, id AS "id: Uuid", kind, site AS "site: Uuid", vessel AS "vessel: Uuid", at_us, arrived_us,
             person AS "person: Uuid", fields FROM entries ORDER BY seq"#
    )
    .fetch_all(connection)
    .await?;
    let last = found.last().map_or(0, |row| row.seq);
    let mut entries = Vec::with_capacity(found.len());
    for row in found {
        entries.push(Arc::new(row.entry()?));
    }
    Ok((entries, last))
}

impl Store {
    /// Puts several entries in the ledger, each for itself, in as few commits as there is room for; in their order.
    pub async fn append_each(&self, entries: Vec<Arc<Entry>>) -> Vec<Result<Stored, Error>> {
        let mut answers = Vec::with_capacity(entries.len());
        for entry in entries {
            let (answer, answered) = tokio::sync::oneshot::channel();
            let hash = entry.hash().map_err(|error| Error::Unreadable(error.to_string()));
            answers.push(match hash {
                Ok(hash) => match self.waiting.send(Waiting { entry, hash, answer }).await {
                    Ok(()) => Ok(answered),
                    Err(_) => Err(Error::Closing),
                },
                Err(error) => Err(error),
            });
        }
        let mut results = Vec::with_capacity(answers.len());
        for answer in answers {
            results.push(match answer {
                Ok(answered) => self.room.noted(answered.await.unwrap_or(Err(Error::Closing))),
                Err(error) => Err(error),
            });
        }
        results
    }

    /// The newest entries of a site, of a vessel, or of all, those about supplies included where no vessel is asked
    /// for: those that stand before the entry `before`, which ended the last page.
    ///
    /// # Errors
    /// The file cannot be read.
    pub async fn entries_page(
        &self,
        site: Option<SiteId>,
        vessel: Option<VesselId>,
        before: Option<EntryId>,
        most: i64,
    ) -> Result<Vec<Arc<Entry>>, Error> {
        let (site, vessel) = (site.map(|site| site.uuid()), vessel.map(|vessel| vessel.uuid()));
        let before = before.map(|before| before.uuid());
        let found = sqlx::query_as!(
            Kept,
            r#"SELECT seq, id AS "id: Uuid", kind, site AS "site: Uuid", vessel AS "vessel: Uuid", at_us, arrived_us,
                 person AS "person: Uuid", fields FROM entries
               WHERE (?1 IS NULL OR site = ?1) AND (?2 IS NULL OR vessel = ?2)
                 AND (?3 IS NULL OR (at_us, seq) < (SELECT at_us, seq FROM entries WHERE id = ?3))
               ORDER BY at_us DESC, seq DESC LIMIT ?4"#,
            site,
            vessel,
            before,
            most
        )
        .fetch_all(&self.reader.pool)
        .await?;
        found.into_iter().map(|row| Ok(Arc::new(row.entry()?))).collect()
    }
}
