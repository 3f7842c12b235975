//! Generators, fuel stores and loads.

use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::model::choice::Choice;
use crate::model::id::FuelStoreId;
use crate::model::id::GeneratorId;
use crate::model::id::LoadId;
use crate::model::id::SiteId;
use crate::model::power::FuelStore;
use crate::model::power::Generator;
use crate::model::power::Load;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::store::Error;
use crate::store::rows;

pub(super) async fn load(connection: &mut SqliteConnection, set_up: &mut SetUp) -> Result<(), Error> {
    let generators = sqlx::query!(
        r#"SELECT id AS "id: Uuid", site AS "site: Uuid", name, fuel, rated_w, burst_w, burn, ended_us,
             revision FROM generators"#
    )
    .fetch_all(&mut *connection)
    .await?;
    for row in generators {
        let thing = Generator {
            id: GeneratorId::from_uuid(row.id),
            site: SiteId::from_uuid(row.site),
            name: rows::name(&row.name)?,
            fuel: rows::choice(&row.fuel)?,
            rated_w: row.rated_w,
            burst_w: row.burst_w,
            burn: rows::list(&row.burn)?,
            ended: rows::maybe_time(row.ended_us)?,
        };
        set_up.put(Thing::Generator(thing), row.revision);
    }
    let stores = sqlx::query!(
        r#"SELECT id AS "id: Uuid", site AS "site: Uuid", name, fuel, capacity_l, amount_l, bought,
             stabilised AS "stabilised: bool", since_us, ended_us, revision FROM fuel_stores"#
    )
    .fetch_all(&mut *connection)
    .await?;
    for row in stores {
        let thing = FuelStore {
            id: FuelStoreId::from_uuid(row.id),
            site: SiteId::from_uuid(row.site),
            name: rows::name(&row.name)?,
            fuel: rows::choice(&row.fuel)?,
            capacity_l: row.capacity_l,
            amount_l: row.amount_l,
            bought: row.bought.map(|day| day.parse()).transpose().map_err(rows::unreadable)?,
            stabilised: row.stabilised,
            since: rows::time(row.since_us)?,
            ended: rows::maybe_time(row.ended_us)?,
        };
        set_up.put(Thing::FuelStore(thing), row.revision);
    }
    let loads = sqlx::query!(
        r#"SELECT id AS "id: Uuid", site AS "site: Uuid", name, running_w, surge_w, hours_a_day, pump AS "pump: bool", ended_us,
             revision FROM loads"#
    )
    .fetch_all(connection)
    .await?;
    for row in loads {
        let thing = Load {
            id: LoadId::from_uuid(row.id),
            site: SiteId::from_uuid(row.site),
            name: rows::name(&row.name)?,
            running_w: row.running_w,
            surge_w: row.surge_w,
            hours_a_day: row.hours_a_day,
            pump: row.pump,
            ended: rows::maybe_time(row.ended_us)?,
        };
        set_up.put(Thing::Load(thing), row.revision);
    }
    Ok(())
}

pub(super) async fn put_generator(
    connection: &mut SqliteConnection,
    thing: &Generator,
    revision: i64,
) -> Result<(), Error> {
    let (id, site, name, fuel) = (thing.id.uuid(), thing.site.uuid(), thing.name.as_str(), thing.fuel.key());
    let burn = rows::json(&thing.burn)?;
    let ended = thing.ended.map(jiff::Timestamp::as_microsecond);
    sqlx::query!(
        "INSERT INTO generators (id, site, name, fuel, rated_w, burst_w, burn, ended_us, revision)
           VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)
         ON CONFLICT (id) DO UPDATE SET site = excluded.site, name = excluded.name, fuel = excluded.fuel,
           rated_w = excluded.rated_w, burst_w = excluded.burst_w, burn = excluded.burn, ended_us = excluded.ended_us, revision = excluded.revision",
        id,
        site,
        name,
        fuel,
        thing.rated_w,
        thing.burst_w,
        burn,
        ended,
        revision
    )
    .execute(connection)
    .await?;
    Ok(())
}

pub(super) async fn put_fuel_store(
    connection: &mut SqliteConnection,
    thing: &FuelStore,
    revision: i64,
) -> Result<(), Error> {
    let (id, site, name, fuel) = (thing.id.uuid(), thing.site.uuid(), thing.name.as_str(), thing.fuel.key());
    let bought = thing.bought.map(|day| day.to_string());
    let (since, ended) = (thing.since.as_microsecond(), thing.ended.map(jiff::Timestamp::as_microsecond));
    sqlx::query!(
        "INSERT INTO fuel_stores (id, site, name, fuel, capacity_l, amount_l, bought, stabilised, since_us, ended_us, revision)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
         ON CONFLICT (id) DO UPDATE SET site = excluded.site, name = excluded.name, fuel = excluded.fuel,
           capacity_l = excluded.capacity_l, amount_l = excluded.amount_l, bought = excluded.bought,
           stabilised = excluded.stabilised, since_us = excluded.since_us, ended_us = excluded.ended_us,
           revision = excluded.revision",
        id,
        site,
        name,
        fuel,
        thing.capacity_l,
        thing.amount_l,
        bought,
        thing.stabilised,
        since,
        ended,
        revision
    )
    .execute(connection)
    .await?;
    Ok(())
}

pub(super) async fn put_load(connection: &mut SqliteConnection, thing: &Load, revision: i64) -> Result<(), Error> {
    let (id, site, name) = (thing.id.uuid(), thing.site.uuid(), thing.name.as_str());
    let ended = thing.ended.map(jiff::Timestamp::as_microsecond);
    sqlx::query!(
        "INSERT INTO loads (id, site, name, running_w, surge_w, hours_a_day, pump, ended_us, revision)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)
         ON CONFLICT (id) DO UPDATE SET site = excluded.site, name = excluded.name, running_w = excluded.running_w,
           surge_w = excluded.surge_w, hours_a_day = excluded.hours_a_day, pump = excluded.pump,
           ended_us = excluded.ended_us, revision = excluded.revision",
        id,
        site,
        name,
        thing.running_w,
        thing.surge_w,
        thing.hours_a_day,
        thing.pump,
        ended,
        revision
    )
    .execute(connection)
    .await?;
    Ok(())
}
