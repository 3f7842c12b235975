//! Carries.

use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::model::carry::Carry;
use crate::model::choice::Choice;
use crate::model::id::CarryId;
use crate::model::id::SiteId;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::store::Error;
use crate::store::rows;

pub(super) async fn load(connection: &mut SqliteConnection, set_up: &mut SetUp) -> Result<(), Error> {
    let found = sqlx::query!(
        r#"SELECT id AS "id: Uuid", name, giver AS "giver: Uuid", receiver AS "receiver: Uuid", means, litres_a_day,
             litres_a_trip, loss, ended_us, revision FROM carries"#
    )
    .fetch_all(connection)
    .await?;
    for row in found {
        let thing = Carry {
            id: CarryId::from_uuid(row.id),
            name: rows::name(&row.name)?,
            from: SiteId::from_uuid(row.giver),
            to: SiteId::from_uuid(row.receiver),
            means: rows::choice(&row.means)?,
            litres_a_day: row.litres_a_day,
            litres_a_trip: row.litres_a_trip,
            loss: row.loss,
            ended: rows::maybe_time(row.ended_us)?,
        };
        set_up.put(Thing::Carry(thing), row.revision);
    }
    Ok(())
}

pub(super) async fn put(connection: &mut SqliteConnection, thing: &Carry, revision: i64) -> Result<(), Error> {
    let (id, name, giver, receiver) = (thing.id.uuid(), thing.name.as_str(), thing.from.uuid(), thing.to.uuid());
    let means = thing.means.key();
    let ended = thing.ended.map(jiff::Timestamp::as_microsecond);
    sqlx::query!(
        "INSERT INTO carries (id, name, giver, receiver, means, litres_a_day, litres_a_trip, loss, ended_us, revision)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
         ON CONFLICT (id) DO UPDATE SET name = excluded.name, giver = excluded.giver, receiver = excluded.receiver,
           means = excluded.means, litres_a_day = excluded.litres_a_day, litres_a_trip = excluded.litres_a_trip,
           loss = excluded.loss, ended_us = excluded.ended_us, revision = excluded.revision",
        id,
        name,
        giver,
        receiver,
        means,
        thing.litres_a_day,
        thing.litres_a_trip,
        thing.loss,
        ended,
        revision
    )
    .execute(connection)
    .await?;
    Ok(())
}
