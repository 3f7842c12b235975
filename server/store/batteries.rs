//! Batteries with their inverters and panels.

use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::model::battery::Battery;
use crate::model::id::BatteryId;
use crate::model::id::SiteId;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::store::Error;
use crate::store::rows;

pub(super) async fn load(connection: &mut SqliteConnection, set_up: &mut SetUp) -> Result<(), Error> {
    let batteries = sqlx::query!(
        r#"SELECT id AS "id: Uuid", site AS "site: Uuid", name, capacity_wh, usable, inverter, idle_w, charge, panels_w,
             sun_hours, panel_loss, ended_us, revision FROM batteries"#
    )
    .fetch_all(connection)
    .await?;
    for row in batteries {
        let thing = Battery {
            id: BatteryId::from_uuid(row.id),
            site: SiteId::from_uuid(row.site),
            name: rows::name(&row.name)?,
            capacity_wh: row.capacity_wh,
            usable: row.usable,
            inverter: row.inverter,
            idle_w: row.idle_w,
            charge: row.charge,
            panels_w: row.panels_w,
            sun_hours: row.sun_hours,
            panel_loss: row.panel_loss,
            ended: rows::maybe_time(row.ended_us)?,
        };
        set_up.put(Thing::Battery(thing), row.revision);
    }
    Ok(())
}

pub(super) async fn put(connection: &mut SqliteConnection, thing: &Battery, revision: i64) -> Result<(), Error> {
    let (id, site, name) = (thing.id.uuid(), thing.site.uuid(), thing.name.as_str());
    let ended = thing.ended.map(jiff::Timestamp::as_microsecond);
    sqlx::query!(
        "INSERT INTO batteries (id, site, name, capacity_wh, usable, inverter, idle_w, charge, panels_w, sun_hours, panel_loss,
           ended_us, revision)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
         ON CONFLICT (id) DO UPDATE SET site = excluded.site, name = excluded.name, capacity_wh = excluded.capacity_wh,
           usable = excluded.usable, inverter = excluded.inverter, idle_w = excluded.idle_w, charge = excluded.charge,
           panels_w = excluded.panels_w, sun_hours = excluded.sun_hours, panel_loss = excluded.panel_loss,
           ended_us = excluded.ended_us, revision = excluded.revision",
        id,
        site,
        name,
        thing.capacity_wh,
        thing.usable,
        thing.inverter,
        thing.idle_w,
        thing.charge,
        thing.panels_w,
        thing.sun_hours,
        thing.panel_loss,
        ended,
        revision
    )
    .execute(connection)
    .await?;
    Ok(())
}
