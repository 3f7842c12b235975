//! Times without the mains.

use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::model::choice::Choice;
use crate::model::id::OutageId;
use crate::model::outage::Outage;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::store::Error;
use crate::store::rows;

pub(super) async fn load(connection: &mut SqliteConnection, set_up: &mut SetUp) -> Result<(), Error> {
    let found = sqlx::query!(
        r#"SELECT id AS "id: Uuid", kind, since_us, ended_us, target_days, rations, expected_us, ran_out, notes, revision
           FROM outages"#
    )
    .fetch_all(connection)
    .await?;
    for row in found {
        let thing = Outage {
            id: OutageId::from_uuid(row.id),
            kind: rows::choice(&row.kind)?,
            since: rows::time(row.since_us)?,
            ended: rows::maybe_time(row.ended_us)?,
            target_days: row.target_days,
            rations: rows::list(&row.rations)?,
            expected: rows::maybe_time(row.expected_us)?,
            ran_out: row.ran_out,
            notes: row.notes,
        };
        set_up.put(Thing::Outage(thing), row.revision);
    }
    Ok(())
}

pub(super) async fn put(connection: &mut SqliteConnection, thing: &Outage, revision: i64) -> Result<(), Error> {
    let (id, kind, since) = (thing.id.uuid(), thing.kind.key(), thing.since.as_microsecond());
    let ended = thing.ended.map(jiff::Timestamp::as_microsecond);
    let expected = thing.expected.map(jiff::Timestamp::as_microsecond);
    let rations = rows::json(&thing.rations)?;
    sqlx::query!(
        "INSERT INTO outages (id, kind, since_us, ended_us, target_days, rations, expected_us, ran_out, notes, revision)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
         ON CONFLICT (id) DO UPDATE SET kind = excluded.kind, since_us = excluded.since_us, ended_us = excluded.ended_us,
           target_days = excluded.target_days, rations = excluded.rations, expected_us = excluded.expected_us,
           ran_out = excluded.ran_out, notes = excluded.notes, revision = excluded.revision",
        id,
        kind,
        since,
        ended,
        thing.target_days,
        rations,
        expected,
        thing.ran_out,
        thing.notes,
        revision
    )
    .execute(connection)
    .await
    .map_err(|error| match error.as_database_error() {
        // Another was begun meanwhile: there is one at a time.
        Some(database) if database.is_unique_violation() => Error::Stale,
        _ => error.into(),
    })?;
    Ok(())
}
