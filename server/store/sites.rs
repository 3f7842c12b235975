//! Sites.

use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::model::choice::Choice;
use crate::model::id::SiteId;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::model::site::Site;
use crate::store::Error;
use crate::store::rows;

pub(super) async fn load(connection: &mut SqliteConnection, set_up: &mut SetUp) -> Result<(), Error> {
    let found = sqlx::query!(
        r#"SELECT id AS "id: Uuid", name, kind, people, cannot_collect AS "cannot_collect: u32", animals, sources, address, latitude, longitude, elevation_m, access,
             contact, phone, notes, pump_hours_a_day, keep_l, handed_out_loss, ended_us, revision FROM sites"#
    )
    .fetch_all(&mut *connection)
    .await?;
    for row in found {
        let thing = Site {
            id: SiteId::from_uuid(row.id),
            name: rows::name(&row.name)?,
            kind: rows::choice(&row.kind)?,
            people: rows::list(&row.people)?,
            cannot_collect: row.cannot_collect,
            animals: rows::list(&row.animals)?,
            sources: rows::list(&row.sources)?,
            address: row.address,
            latitude: row.latitude,
            longitude: row.longitude,
            elevation_m: row.elevation_m,
            access: row.access,
            contact: row.contact,
            phone: row.phone,
            notes: row.notes,
            pump_hours_a_day: row.pump_hours_a_day,
            keep_l: row.keep_l,
            handed_out_loss: row.handed_out_loss,
            ended: rows::maybe_time(row.ended_us)?,
        };
        set_up.put(Thing::Site(thing), row.revision);
    }
    counted(connection, set_up).await
}

/// Who was counted at each site and from when, by the record of changes.
async fn counted(connection: &mut SqliteConnection, set_up: &mut SetUp) -> Result<(), Error> {
    let found = sqlx::query!(
        r#"SELECT at_us, thing AS "thing: Uuid", after ->> 'people' AS "people: String" FROM changes
           WHERE noun = 'site' AND after IS NOT NULL ORDER BY seq"#
    )
    .fetch_all(connection)
    .await?;
    for row in found {
        let site = SiteId::from_uuid(row.thing);
        if let Some(people) = row.people.filter(|_| set_up.sites.contains_key(&site)) {
            set_up.count(site, rows::time(row.at_us)?, rows::list(&people)?);
        }
    }
    Ok(())
}

pub(super) async fn put(connection: &mut SqliteConnection, thing: &Site, revision: i64) -> Result<(), Error> {
    let (id, name, kind) = (thing.id.uuid(), thing.name.as_str(), thing.kind.key());
    let people = rows::json(&thing.people)?;
    let animals = rows::json(&thing.animals)?;
    let sources = rows::json(&thing.sources)?;
    let ended = thing.ended.map(jiff::Timestamp::as_microsecond);
    sqlx::query!(
        "INSERT INTO sites (id, name, kind, people, cannot_collect, animals, sources, address, latitude, longitude, elevation_m, access,
           contact, phone, notes, pump_hours_a_day, keep_l, handed_out_loss, ended_us, revision)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
         ON CONFLICT (id) DO UPDATE SET name = excluded.name, kind = excluded.kind, people = excluded.people,
           cannot_collect = excluded.cannot_collect, animals = excluded.animals, sources = excluded.sources, address = excluded.address, latitude = excluded.latitude,
           longitude = excluded.longitude, elevation_m = excluded.elevation_m, access = excluded.access,
           contact = excluded.contact, phone = excluded.phone, notes = excluded.notes,
           pump_hours_a_day = excluded.pump_hours_a_day, keep_l = excluded.keep_l, handed_out_loss = excluded.handed_out_loss,
           ended_us = excluded.ended_us, revision = excluded.revision",
        id,
        name,
        kind,
        people,
        thing.cannot_collect,
        animals,
        sources,
        thing.address,
        thing.latitude,
        thing.longitude,
        thing.elevation_m,
        thing.access,
        thing.contact,
        thing.phone,
        thing.notes,
        thing.pump_hours_a_day,
        thing.keep_l,
        thing.handed_out_loss,
        ended,
        revision
    )
    .execute(connection)
    .await?;
    Ok(())
}
