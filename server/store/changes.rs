//! Changes of the set-up: all or none, each on record with who, when, from what, to what.

use jiff::Timestamp;
use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::model::id::PersonId;
use crate::model::setup::Thing;
use crate::store::Error;
use crate::store::Store;
use crate::store::batteries;
use crate::store::carries;
use crate::store::neighbourhood;
use crate::store::outages;
use crate::store::people;
use crate::store::power;
use crate::store::rows;
use crate::store::sites;
use crate::store::sources;
use crate::store::tokens;
use crate::store::transaction;
use crate::store::vessels;
use crate::store::works;

/// One change, as it is on record.
#[derive(Clone, Debug)]
pub struct Change {
    pub seq: i64,
    pub at: Timestamp,
    pub by: Option<PersonId>,
    pub noun: String,
    /// the id of what was changed
    pub thing: Uuid,
    pub before: Option<String>,
    pub after: Option<String>,
}

pub(super) struct Written {
    pub(super) things: Vec<(Thing, i64)>,
    pub(super) last: i64,
}

/// Revision of a thing: the sequence of its last change, so that it never comes back.
pub(super) async fn write(
    connection: &mut SqliteConnection,
    by: Option<PersonId>,
    at: Timestamp,
    things: Vec<(Thing, Option<i64>)>,
) -> Result<Written, Error> {
    let mut tx = transaction::begin(connection).await?;
    let written = write_in(&mut tx, by, at, things).await?;
    tx.commit().await?;
    Ok(written)
}

/// The same within a transaction that someone else began.
pub(super) async fn write_in(
    tx: &mut SqliteConnection,
    by: Option<PersonId>,
    at: Timestamp,
    things: Vec<(Thing, Option<i64>)>,
) -> Result<Written, Error> {
    let mut written = Vec::with_capacity(things.len());
    let mut last = last(tx).await?;
    for (thing, began_from) in things {
        let (noun, id) = (thing.noun(), thing.id());
        let newest = sqlx::query!("SELECT seq, after FROM changes WHERE thing = ? ORDER BY seq DESC LIMIT 1", id)
            .fetch_optional(&mut *tx)
            .await?;
        // What was taken away is new when it comes back.
        let standing = newest.and_then(|row| row.after.map(|after| (after, row.seq)));
        let (before, at_revision) = standing.unzip();
        if at_revision != began_from {
            return Err(Error::Stale);
        }
        let after = rows::json(&thing)?;
        let (at_us, person) = (at.as_microsecond(), by.map(|by| by.uuid()));
        last = sqlx::query!(
            "INSERT INTO changes (at_us, person, noun, thing, before, after) VALUES (?, ?, ?, ?, ?, ?)",
            at_us,
            person,
            noun,
            id,
            before,
            after
        )
        .execute(&mut *tx)
        .await?
        .last_insert_rowid();
        put(tx, &thing, last).await?;
        written.push((thing, last));
    }
    Ok(Written { things: written, last })
}

/// Takes a thing away that nothing names, and records who did.
pub(super) async fn remove(
    connection: &mut SqliteConnection,
    by: Option<PersonId>,
    at: Timestamp,
    thing: &Thing,
    began_from: i64,
) -> Result<i64, Error> {
    let mut tx = transaction::begin(connection).await?;
    let (noun, id) = (thing.noun(), thing.id());
    let newest = sqlx::query!("SELECT seq, after FROM changes WHERE thing = ? ORDER BY seq DESC LIMIT 1", id)
        .fetch_optional(&mut *tx)
        .await?
        .filter(|row| row.seq == began_from)
        .ok_or(Error::Stale)?;
    let (at_us, person) = (at.as_microsecond(), by.map(|by| by.uuid()));
    let last = sqlx::query!(
        "INSERT INTO changes (at_us, person, noun, thing, before, after) VALUES (?, ?, ?, ?, ?, NULL)",
        at_us,
        person,
        noun,
        id,
        newest.after
    )
    .execute(&mut *tx)
    .await?
    .last_insert_rowid();
    take(&mut tx, thing, id).await?;
    tx.commit().await?;
    Ok(last)
}

async fn take(connection: &mut SqliteConnection, thing: &Thing, id: Uuid) -> Result<(), Error> {
    let gone = match thing {
        // There is no house without one; a token is revoked.
        Thing::Neighbourhood(_) | Thing::Token(_) => return Err(Error::Named),
        Thing::Source(_) => sqlx::query!("DELETE FROM sources WHERE id = ?", id).execute(connection).await,
        Thing::Site(_) => sqlx::query!("DELETE FROM sites WHERE id = ?", id).execute(connection).await,
        Thing::Bank(_) => sqlx::query!("DELETE FROM banks WHERE id = ?", id).execute(connection).await,
        Thing::Vessel(_) => sqlx::query!("DELETE FROM vessels WHERE id = ?", id).execute(connection).await,
        Thing::Generator(_) => sqlx::query!("DELETE FROM generators WHERE id = ?", id).execute(connection).await,
        Thing::FuelStore(_) => sqlx::query!("DELETE FROM fuel_stores WHERE id = ?", id).execute(connection).await,
        Thing::Load(_) => sqlx::query!("DELETE FROM loads WHERE id = ?", id).execute(connection).await,
        Thing::Battery(_) => sqlx::query!("DELETE FROM batteries WHERE id = ?", id).execute(connection).await,
        Thing::Carry(_) => sqlx::query!("DELETE FROM carries WHERE id = ?", id).execute(connection).await,
        Thing::Stage(_) => sqlx::query!("DELETE FROM stages WHERE id = ?", id).execute(connection).await,
        Thing::Pump(_) => sqlx::query!("DELETE FROM pumps WHERE id = ?", id).execute(connection).await,
        Thing::Outage(_) => sqlx::query!("DELETE FROM outages WHERE id = ?", id).execute(connection).await,
        Thing::Person(_) => {
            sqlx::query!("DELETE FROM sessions WHERE person = ?", id).execute(&mut *connection).await?;
            sqlx::query!("DELETE FROM people WHERE id = ?", id).execute(connection).await
        }
    };
    let named = |error: &sqlx::Error| {
        error.as_database_error().is_some_and(sqlx::error::DatabaseError::is_foreign_key_violation)
    };
    match gone {
        Ok(_) => Ok(()),
        Err(error) if named(&error) => Err(Error::Named),
        Err(error) => Err(error.into()),
    }
}

async fn put(connection: &mut SqliteConnection, thing: &Thing, revision: i64) -> Result<(), Error> {
    match thing {
        Thing::Neighbourhood(thing) => neighbourhood::put(connection, thing, revision).await,
        Thing::Source(thing) => sources::put(connection, thing, revision).await,
        Thing::Site(thing) => sites::put(connection, thing, revision).await,
        Thing::Bank(thing) => vessels::put_bank(connection, thing, revision).await,
        Thing::Vessel(thing) => vessels::put(connection, thing, revision).await,
        Thing::Generator(thing) => power::put_generator(connection, thing, revision).await,
        Thing::FuelStore(thing) => power::put_fuel_store(connection, thing, revision).await,
        Thing::Load(thing) => power::put_load(connection, thing, revision).await,
        Thing::Battery(thing) => batteries::put(connection, thing, revision).await,
        Thing::Carry(thing) => carries::put(connection, thing, revision).await,
        Thing::Stage(thing) => works::put_stage(connection, thing, revision).await,
        Thing::Pump(thing) => works::put_pump(connection, thing, revision).await,
        Thing::Person(thing) => people::put(connection, thing, revision).await,
        Thing::Outage(thing) => outages::put(connection, thing, revision).await,
        Thing::Token(thing) => tokens::put(connection, thing, revision).await,
    }
}

/// The sequence of the last change; 0 before the first.
pub(super) async fn last(connection: &mut SqliteConnection) -> Result<i64, Error> {
    Ok(sqlx::query_scalar!(r#"SELECT coalesce(max(seq), 0) AS "seq!: i64" FROM changes"#).fetch_one(connection).await?)
}

impl Store {
    /// The newest changes of one thing, or of all: those before `before`, which ended the last page.
    ///
    /// # Errors
    /// The file cannot be read.
    pub async fn changes(&self, thing: Option<Uuid>, before: Option<i64>, most: i64) -> Result<Vec<Change>, Error> {
        let found = sqlx::query_as!(
            Row,
            r#"SELECT seq, at_us, person AS "person: Uuid", noun, thing AS "thing: Uuid", before, after FROM changes
               WHERE (?1 IS NULL OR thing = ?1) AND (?2 IS NULL OR seq < ?2) ORDER BY seq DESC LIMIT ?3"#,
            thing,
            before,
            most
        )
        .fetch_all(&self.reader.pool)
        .await?;
        found.into_iter().map(Row::change).collect()
    }

    /// One change, if there is one of that number.
    ///
    /// # Errors
    /// The file cannot be read.
    pub async fn change(&self, seq: i64) -> Result<Option<Change>, Error> {
        let found = sqlx::query_as!(
            Row,
            r#"SELECT seq, at_us, person AS "person: Uuid", noun, thing AS "thing: Uuid", before, after FROM changes
               WHERE seq = ?"#,
            seq
        )
        .fetch_optional(&self.reader.pool)
        .await?;
        found.map(Row::change).transpose()
    }
}

struct Row {
    seq: i64,
    at_us: i64,
    person: Option<Uuid>,
    noun: String,
    thing: Uuid,
    before: Option<String>,
    after: Option<String>,
}

impl Row {
    fn change(self) -> Result<Change, Error> {
        Ok(Change {
            seq: self.seq,
            at: rows::time(self.at_us)?,
            by: self.person.map(PersonId::from_uuid),
            noun: self.noun,
            thing: self.thing,
            before: self.before,
            after: self.after,
        })
    }
}
