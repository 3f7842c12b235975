//! Accounts. The password's hash is read for signing in alone and never leaves with the person.

use jiff::Timestamp;
use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::model::choice::Choice;
use crate::model::id::PersonId;
use crate::model::person::Person;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::store::Error;
use crate::store::Store;
use crate::store::rows;
use crate::store::transaction;

/// What signing in is checked against.
#[derive(Clone, Debug)]
pub struct Credentials {
    pub person: PersonId,
    /// PHC string; none until a password was set
    pub password: Option<String>,
}

pub(super) async fn load(connection: &mut SqliteConnection, set_up: &mut SetUp) -> Result<(), Error> {
    let found = sqlx::query!(r#"SELECT id AS "id: Uuid", name, role, sites, ended_us, revision FROM people"#)
        .fetch_all(connection)
        .await?;
    for row in found {
        let thing = Person {
            id: PersonId::from_uuid(row.id),
            name: rows::name(&row.name)?,
            role: rows::choice(&row.role)?,
            sites: rows::list(&row.sites)?,
            ended: rows::maybe_time(row.ended_us)?,
        };
        set_up.put(Thing::Person(thing), row.revision);
    }
    Ok(())
}

pub(super) async fn put(connection: &mut SqliteConnection, thing: &Person, revision: i64) -> Result<(), Error> {
    let (id, name, role) = (thing.id.uuid(), thing.name.as_str(), thing.role.key());
    let sites = rows::json(&thing.sites)?;
    let ended = thing.ended.map(Timestamp::as_microsecond);
    sqlx::query!(
        "INSERT INTO people (id, name, role, sites, ended_us, revision) VALUES (?, ?, ?, ?, ?, ?)
         ON CONFLICT (id) DO UPDATE SET name = excluded.name, role = excluded.role, sites = excluded.sites,
           ended_us = excluded.ended_us, revision = excluded.revision",
        id,
        name,
        role,
        sites,
        ended,
        revision
    )
    .execute(connection)
    .await?;
    Ok(())
}

impl Store {
    /// What signing in under that name is checked against.
    ///
    /// # Errors
    /// The file cannot be read.
    pub async fn credentials(&self, name: &str) -> Result<Option<Credentials>, Error> {
        let row = sqlx::query!(
            r#"SELECT id AS "id: Uuid", password FROM people WHERE name = ? COLLATE NOCASE AND ended_us IS NULL"#,
            name
        )
        .fetch_optional(&self.reader.pool)
        .await?;
        Ok(row.map(|row| Credentials { person: PersonId::from_uuid(row.id), password: row.password }))
    }

    /// Sets a password's hash, and signs the person out everywhere.
    ///
    /// # Errors
    /// The disk is full; the file cannot be written.
    pub async fn set_password(&self, person: PersonId, phc: &str) -> Result<(), Error> {
        let id = person.uuid();
        let done = async {
            let mut writer = self.writer.lock().await;
            let mut tx = transaction::begin(&mut writer.connection).await?;
            sqlx::query!("UPDATE people SET password = ? WHERE id = ?", phc, id).execute(&mut *tx).await?;
            sqlx::query!("DELETE FROM sessions WHERE person = ?", id).execute(&mut *tx).await?;
            Ok(tx.commit().await?)
        };
        self.room.noted(done.await)
    }
}
