//! Who is signed in: the hash of each session's token, never the token.

use jiff::Timestamp;
use uuid::Uuid;

use crate::model::id::PersonId;
use crate::store::Error;
use crate::store::Store;
use crate::store::rows;
use crate::store::transaction;

#[derive(Clone, Copy, Debug)]
pub struct Session {
    pub person: PersonId,
    pub made: Timestamp,
    pub seen: Timestamp,
}

impl Store {
    /// Keeps a new session, and forgets those not seen since `old`.
    ///
    /// # Errors
    /// The disk is full; the file cannot be written.
    pub async fn add_session(
        &self,
        token: &[u8; 32],
        person: PersonId,
        now: Timestamp,
        old: Timestamp,
    ) -> Result<(), Error> {
        let (token, person, now, old) = (token.as_slice(), person.uuid(), now.as_microsecond(), old.as_microsecond());
        let done = async {
            let mut writer = self.writer.lock().await;
            let mut tx = transaction::begin(&mut writer.connection).await?;
            sqlx::query!("DELETE FROM sessions WHERE seen_us < ?", old).execute(&mut *tx).await?;
            sqlx::query!(
                "INSERT INTO sessions (token, person, made_us, seen_us) VALUES (?, ?, ?, ?)",
                token,
                person,
                now,
                now
            )
            .execute(&mut *tx)
            .await?;
            Ok(tx.commit().await?)
        };
        self.room.noted(done.await)
    }

    /// The session of that token's hash.
    ///
    /// # Errors
    /// The file cannot be read.
    pub async fn session(&self, token: &[u8; 32]) -> Result<Option<Session>, Error> {
        let token = token.as_slice();
        let row =
            sqlx::query!(r#"SELECT person AS "person: Uuid", made_us, seen_us FROM sessions WHERE token = ?"#, token)
                .fetch_optional(&self.reader.pool)
                .await?;
        row.map(|row| {
            let person = PersonId::from_uuid(row.person);
            Ok(Session { person, made: rows::time(row.made_us)?, seen: rows::time(row.seen_us)? })
        })
        .transpose()
    }

    /// Notes that the session was used.
    ///
    /// # Errors
    /// The file cannot be written.
    pub async fn touch_session(&self, token: &[u8; 32], now: Timestamp) -> Result<(), Error> {
        let (token, now) = (token.as_slice(), now.as_microsecond());
        let mut writer = self.writer.lock().await;
        let update = sqlx::query!("UPDATE sessions SET seen_us = ? WHERE token = ?", now, token);
        let done = update.execute(&mut writer.connection).await;
        self.room.noted(done.map(drop).map_err(Error::from))
    }

    /// Ends the session.
    ///
    /// # Errors
    /// The file cannot be written.
    pub async fn end_session(&self, token: &[u8; 32]) -> Result<(), Error> {
        let token = token.as_slice();
        let mut writer = self.writer.lock().await;
        let done = sqlx::query!("DELETE FROM sessions WHERE token = ?", token).execute(&mut writer.connection).await;
        self.room.noted(done.map(drop).map_err(Error::from))
    }
}
