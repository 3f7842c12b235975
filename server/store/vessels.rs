//! Vessels and the banks that join them.

use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::model::choice::Choice;
use crate::model::id::BankId;
use crate::model::id::SiteId;
use crate::model::id::SourceId;
use crate::model::id::VesselId;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::model::vessel::Bank;
use crate::model::vessel::Policy;
use crate::model::vessel::Vessel;
use crate::store::Error;
use crate::store::rows;

pub(super) async fn load(connection: &mut SqliteConnection, set_up: &mut SetUp) -> Result<(), Error> {
    let banks = sqlx::query!(
        r#"SELECT id AS "id: Uuid", site AS "site: Uuid", name, coupled_at_first AS "coupled_at_first: bool", revision FROM banks"#
    )
    .fetch_all(&mut *connection)
    .await?;
    for row in banks {
        let thing = Bank {
            id: BankId::from_uuid(row.id),
            site: SiteId::from_uuid(row.site),
            name: rows::name(&row.name)?,
            coupled_at_first: row.coupled_at_first,
        };
        set_up.put(Thing::Bank(thing), row.revision);
    }
    let found = sqlx::query!(
        r#"SELECT id AS "id: Uuid", site AS "site: Uuid", name, shape, dimensions, strapping, full_m, draws, material,
             food_grade AS "food_grade: bool", closed AS "closed: bool", opaque AS "opaque: bool", stands_on,
             anchored AS "anchored: bool", empty_kg, floor_m, bank AS "bank: Uuid", source AS "source: Uuid", interval_days, rotate_how,
             redose_days, residual_floor_mg_l, outage_only AS "outage_only: bool",
             daily_use AS "daily_use: bool", may_freeze AS "may_freeze: bool", since_us, ended_us, notes, revision
           FROM vessels"#
    )
    .fetch_all(connection)
    .await?;
    for row in found {
        let thing = Vessel {
            id: VesselId::from_uuid(row.id),
            site: SiteId::from_uuid(row.site),
            name: rows::name(&row.name)?,
            shape: rows::choice(&row.shape)?,
            dimensions: rows::list(&row.dimensions)?,
            strapping: rows::list(&row.strapping)?,
            full_m: row.full_m,
            draws: rows::list(&row.draws)?,
            material: rows::choice(&row.material)?,
            food_grade: row.food_grade,
            closed: row.closed,
            opaque: row.opaque,
            stands_on: rows::choice(&row.stands_on)?,
            anchored: row.anchored,
            empty_kg: row.empty_kg,
            floor_m: row.floor_m,
            bank: row.bank.map(BankId::from_uuid),
            source: row.source.map(SourceId::from_uuid),
            policy: Policy {
                interval_days: row.interval_days,
                how: rows::choice(&row.rotate_how)?,
                redose_days: row.redose_days,
                floor_mg_l: row.residual_floor_mg_l,
            },
            outage_only: row.outage_only,
            daily_use: row.daily_use,
            may_freeze: row.may_freeze,
            since: rows::time(row.since_us)?,
            ended: rows::maybe_time(row.ended_us)?,
            notes: row.notes,
        };
        set_up.put(Thing::Vessel(thing), row.revision);
    }
    Ok(())
}

pub(super) async fn put_bank(connection: &mut SqliteConnection, thing: &Bank, revision: i64) -> Result<(), Error> {
    let (id, site, name) = (thing.id.uuid(), thing.site.uuid(), thing.name.as_str());
    sqlx::query!(
        "INSERT INTO banks (id, site, name, coupled_at_first, revision) VALUES (?, ?, ?, ?, ?)
         ON CONFLICT (id) DO UPDATE SET site = excluded.site, name = excluded.name,
           coupled_at_first = excluded.coupled_at_first, revision = excluded.revision",
        id,
        site,
        name,
        thing.coupled_at_first,
        revision
    )
    .execute(connection)
    .await?;
    Ok(())
}

pub(super) async fn put(connection: &mut SqliteConnection, thing: &Vessel, revision: i64) -> Result<(), Error> {
    let (id, site, name, shape) = (thing.id.uuid(), thing.site.uuid(), thing.name.as_str(), thing.shape.key());
    let dimensions = rows::json(&thing.dimensions)?;
    let strapping = rows::json(&thing.strapping)?;
    let draws = rows::json(&thing.draws)?;
    let (material, stands_on, how) = (thing.material.key(), thing.stands_on.key(), thing.policy.how.key());
    let (bank, source) = (thing.bank.map(|bank| bank.uuid()), thing.source.map(|source| source.uuid()));
    let (since, ended) = (thing.since.as_microsecond(), thing.ended.map(jiff::Timestamp::as_microsecond));
    sqlx::query!(
        "INSERT INTO vessels (id, site, name, shape, dimensions, strapping, full_m, draws, material, food_grade, closed, opaque,
           stands_on, anchored, empty_kg, floor_m, bank, source, interval_days, rotate_how, redose_days, residual_floor_mg_l, outage_only,
           daily_use, may_freeze, since_us, ended_us, notes, revision)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
         ON CONFLICT (id) DO UPDATE SET site = excluded.site, name = excluded.name, shape = excluded.shape,
           dimensions = excluded.dimensions, strapping = excluded.strapping, full_m = excluded.full_m, draws = excluded.draws,
           material = excluded.material, food_grade = excluded.food_grade, closed = excluded.closed, opaque = excluded.opaque,
           stands_on = excluded.stands_on, anchored = excluded.anchored, empty_kg = excluded.empty_kg, floor_m = excluded.floor_m, bank = excluded.bank,
           source = excluded.source, interval_days = excluded.interval_days, rotate_how = excluded.rotate_how,
           redose_days = excluded.redose_days, residual_floor_mg_l = excluded.residual_floor_mg_l,
           outage_only = excluded.outage_only, daily_use = excluded.daily_use, may_freeze = excluded.may_freeze, since_us = excluded.since_us, ended_us = excluded.ended_us,
           notes = excluded.notes, revision = excluded.revision",
        id,
        site,
        name,
        shape,
        dimensions,
        strapping,
        thing.full_m,
        draws,
        material,
        thing.food_grade,
        thing.closed,
        thing.opaque,
        stands_on,
        thing.anchored,
        thing.empty_kg,
        thing.floor_m,
        bank,
        source,
        thing.policy.interval_days,
        how,
        thing.policy.redose_days,
        thing.policy.floor_mg_l,
        thing.outage_only,
        thing.daily_use,
        thing.may_freeze,
        since,
        ended,
        thing.notes,
        revision
    )
    .execute(connection)
    .await?;
    Ok(())
}
