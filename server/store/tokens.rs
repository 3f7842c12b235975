//! Tokens that programs come in by: the hash of each, never the token.

use std::sync::Arc;

use jiff::Timestamp;
use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::model::choice::Choice;
use crate::model::id::PersonId;
use crate::model::id::TokenId;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::model::token::Token;
use crate::store::Committed;
use crate::store::Error;
use crate::store::Store;
use crate::store::changes;
use crate::store::rows;
use crate::store::to_the_end;
use crate::store::transaction;

pub(super) async fn load(connection: &mut SqliteConnection, set_up: &mut SetUp) -> Result<(), Error> {
    let found = sqlx::query!(
        r#"SELECT id AS "id: Uuid", name, role, sites, person AS "person: Uuid", made_us, ended_us, revision FROM tokens"#
    )
    .fetch_all(connection)
    .await?;
    for row in found {
        let thing = Token {
            id: TokenId::from_uuid(row.id),
            name: rows::name(&row.name)?,
            role: rows::choice(&row.role)?,
            sites: rows::list(&row.sites)?,
            person: PersonId::from_uuid(row.person),
            made: rows::time(row.made_us)?,
            ended: rows::maybe_time(row.ended_us)?,
        };
        set_up.put(Thing::Token(thing), row.revision);
    }
    Ok(())
}

pub(super) async fn put(connection: &mut SqliteConnection, thing: &Token, revision: i64) -> Result<(), Error> {
    let (id, name, role) = (thing.id.uuid(), thing.name.as_str(), thing.role.key());
    let (sites, person) = (rows::json(&thing.sites)?, thing.person.uuid());
    let (made, ended) = (thing.made.as_microsecond(), thing.ended.map(Timestamp::as_microsecond));
    sqlx::query!(
        "INSERT INTO tokens (id, name, role, sites, person, made_us, ended_us, revision) VALUES (?, ?, ?, ?, ?, ?, ?, ?)
         ON CONFLICT (id) DO UPDATE SET name = excluded.name, role = excluded.role, sites = excluded.sites,
           person = excluded.person, made_us = excluded.made_us, ended_us = excluded.ended_us,
           revision = excluded.revision",
        id,
        name,
        role,
        sites,
        person,
        made,
        ended,
        revision
    )
    .execute(connection)
    .await?;
    Ok(())
}

impl Store {
    /// Keeps a new token with the hash of its secret, in one commit, and records who made it.
    ///
    /// # Errors
    /// [`Error::Stale`] if there is one of that id; the disk is full.
    pub async fn add_token(&self, token: Token, hash: [u8; 32], by: Option<PersonId>) -> Result<i64, Error> {
        let writer = Arc::clone(&self.writer);
        let done = to_the_end(async move {
            let mut writer = writer.lock().await;
            let mut tx = transaction::begin(&mut writer.connection).await?;
            let (id, made) = (token.id.uuid(), token.made);
            let written = changes::write_in(&mut tx, by, made, vec![(Thing::Token(token), None)]).await?;
            let hash = hash.as_slice();
            sqlx::query!("UPDATE tokens SET hash = ? WHERE id = ?", hash, id).execute(&mut *tx).await?;
            tx.commit().await?;
            if let Some(listener) = &writer.listener {
                listener(Committed::SetUp(&written.things, written.last, made));
            }
            Ok(written.last)
        })
        .await;
        self.room.noted(done)
    }

    /// The token of that secret's hash.
    ///
    /// # Errors
    /// The file cannot be read.
    pub async fn token(&self, hash: &[u8; 32]) -> Result<Option<TokenId>, Error> {
        let hash = hash.as_slice();
        let found = sqlx::query_scalar!(r#"SELECT id AS "id: Uuid" FROM tokens WHERE hash = ?"#, hash)
            .fetch_optional(&self.reader.pool)
            .await?;
        Ok(found.map(TokenId::from_uuid))
    }
}
