//! Changes of the set-up: all or none, each on record with who, when, from what, to what.

use jiff::Timestamp;
use sqlx::Connection;
use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::model::id::PersonId;
use crate::model::setup::Thing;
use crate::store::Error;
use crate::store::Store;
use crate::store::neighbourhood;
use crate::store::outages;
use crate::store::people;
use crate::store::power;
use crate::store::rows;
use crate::store::sites;
use crate::store::sources;
use crate::store::tokens;
use crate::store::vessels;

/// One change, as it is on record.
#[derive(Clone, Debug)]
pub struct Change {
    pub seq: i64,
    pub at: Timestamp,
    pub by: Option<PersonId>,
    pub noun: String,
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
    let mut tx = connection.begin_with("BEGIN IMMEDIATE").await?;
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
        let (before, at_revision) = newest.map_or((None, None), |row| (row.after, Some(row.seq)));
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
    /// The newest changes of one thing, or of all.
    ///
    /// # Errors
    /// The file cannot be read.
    pub async fn changes(&self, thing: Option<Uuid>, most: i64) -> Result<Vec<Change>, Error> {
        let found = sqlx::query!(
            r#"SELECT seq, at_us, person AS "person: Uuid", noun, before, after FROM changes
               WHERE ?1 IS NULL OR thing = ?1 ORDER BY seq DESC LIMIT ?2"#,
            thing,
            most
        )
        .fetch_all(&self.reader.pool)
        .await?;
        found
            .into_iter()
            .map(|row| {
                Ok(Change {
                    seq: row.seq,
                    at: rows::time(row.at_us)?,
                    by: row.person.map(PersonId::from_uuid),
                    noun: row.noun,
                    before: row.before,
                    after: row.after,
                })
            })
            .collect()
    }
}
