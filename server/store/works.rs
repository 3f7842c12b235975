//! The stages of a site's treatment, and its pumps.

use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::model::choice::Choice;
use crate::model::id::PumpId;
use crate::model::id::SiteId;
use crate::model::id::StageId;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::model::works::Pump;
use crate::model::works::Stage;
use crate::store::Error;
use crate::store::rows;

pub(super) async fn load(connection: &mut SqliteConnection, set_up: &mut SetUp) -> Result<(), Error> {
    let stages = sqlx::query!(
        r#"SELECT id AS "id: Uuid", site AS "site: Uuid", name, kind, place, most_flow_l_per_min, drop_kpa, life_l,
             life_months, fitted, passed_l, draws_w, uv_class, lamp_hours, lamp_life_hours, ended_us, revision FROM stages"#
    )
    .fetch_all(&mut *connection)
    .await?;
    for row in stages {
        let thing = Stage {
            id: StageId::from_uuid(row.id),
            site: SiteId::from_uuid(row.site),
            name: rows::name(&row.name)?,
            kind: rows::choice(&row.kind)?,
            place: rows::count(row.place)?,
            most_flow_l_per_min: row.most_flow_l_per_min,
            drop_kpa: row.drop_kpa,
            life_l: row.life_l,
            life_months: row.life_months,
            fitted: row.fitted.map(|day| day.parse()).transpose().map_err(rows::unreadable)?,
            passed_l: row.passed_l,
            draws_w: row.draws_w,
            uv_class: rows::maybe_choice(row.uv_class.as_deref())?,
            lamp_hours: row.lamp_hours,
            lamp_life_hours: row.lamp_life_hours,
            ended: rows::maybe_time(row.ended_us)?,
        };
        set_up.put(Thing::Stage(thing), row.revision);
    }
    let pumps = sqlx::query!(
        r#"SELECT id AS "id: Uuid", site AS "site: Uuid", name, curve, power_w, npsh_m, height_m, lift_m, tap_l_per_min,
             pipe, suction_size, suction_run_m, suction_fittings, delivery_size, delivery_run_m, delivery_fittings,
             cut_in_kpa, cut_out_kpa, precharge_kpa, tank_l, ended_us, revision FROM pumps"#
    )
    .fetch_all(connection)
    .await?;
    for row in pumps {
        let thing = Pump {
            id: PumpId::from_uuid(row.id),
            site: SiteId::from_uuid(row.site),
            name: rows::name(&row.name)?,
            curve: rows::list(&row.curve)?,
            power_w: row.power_w,
            npsh_m: row.npsh_m,
            height_m: row.height_m,
            lift_m: row.lift_m,
            tap_l_per_min: row.tap_l_per_min,
            pipe: rows::maybe_choice(row.pipe.as_deref())?,
            suction_size: rows::maybe_choice(row.suction_size.as_deref())?,
            suction_run_m: row.suction_run_m,
            suction_fittings: row.suction_fittings.map(rows::count).transpose()?,
            delivery_size: rows::maybe_choice(row.delivery_size.as_deref())?,
            delivery_run_m: row.delivery_run_m,
            delivery_fittings: row.delivery_fittings.map(rows::count).transpose()?,
            cut_in_kpa: row.cut_in_kpa,
            cut_out_kpa: row.cut_out_kpa,
            precharge_kpa: row.precharge_kpa,
            tank_l: row.tank_l,
            ended: rows::maybe_time(row.ended_us)?,
        };
        set_up.put(Thing::Pump(thing), row.revision);
    }
    Ok(())
}

pub(super) async fn put_stage(connection: &mut SqliteConnection, thing: &Stage, revision: i64) -> Result<(), Error> {
    let (id, site, name, kind) = (thing.id.uuid(), thing.site.uuid(), thing.name.as_str(), thing.kind.key());
    let (place, fitted) = (i64::from(thing.place), thing.fitted.map(|day| day.to_string()));
    let uv_class = thing.uv_class.map(Choice::key);
    let ended = thing.ended.map(jiff::Timestamp::as_microsecond);
    sqlx::query!(
        "INSERT INTO stages (id, site, name, kind, place, most_flow_l_per_min, drop_kpa, life_l, life_months, fitted,
           passed_l, draws_w, uv_class, lamp_hours, lamp_life_hours, ended_us, revision)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
         ON CONFLICT (id) DO UPDATE SET site = excluded.site, name = excluded.name, kind = excluded.kind,
           place = excluded.place, most_flow_l_per_min = excluded.most_flow_l_per_min, drop_kpa = excluded.drop_kpa,
           life_l = excluded.life_l, life_months = excluded.life_months, fitted = excluded.fitted,
           passed_l = excluded.passed_l, draws_w = excluded.draws_w, uv_class = excluded.uv_class,
           lamp_hours = excluded.lamp_hours, lamp_life_hours = excluded.lamp_life_hours, ended_us = excluded.ended_us,
           revision = excluded.revision",
        id,
        site,
        name,
        kind,
        place,
        thing.most_flow_l_per_min,
        thing.drop_kpa,
        thing.life_l,
        thing.life_months,
        fitted,
        thing.passed_l,
        thing.draws_w,
        uv_class,
        thing.lamp_hours,
        thing.lamp_life_hours,
        ended,
        revision
    )
    .execute(connection)
    .await?;
    Ok(())
}

pub(super) async fn put_pump(connection: &mut SqliteConnection, thing: &Pump, revision: i64) -> Result<(), Error> {
    let (id, site, name, curve) = (thing.id.uuid(), thing.site.uuid(), thing.name.as_str(), rows::json(&thing.curve)?);
    let (pipe, suction, delivery) =
        (thing.pipe.map(Choice::key), thing.suction_size.map(Choice::key), thing.delivery_size.map(Choice::key));
    let ended = thing.ended.map(jiff::Timestamp::as_microsecond);
    sqlx::query!(
        "INSERT INTO pumps (id, site, name, curve, power_w, npsh_m, height_m, lift_m, tap_l_per_min, pipe, suction_size,
           suction_run_m, suction_fittings, delivery_size, delivery_run_m, delivery_fittings, cut_in_kpa, cut_out_kpa,
           precharge_kpa, tank_l, ended_us, revision)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
         ON CONFLICT (id) DO UPDATE SET site = excluded.site, name = excluded.name, curve = excluded.curve,
           power_w = excluded.power_w, npsh_m = excluded.npsh_m, height_m = excluded.height_m, lift_m = excluded.lift_m,
           tap_l_per_min = excluded.tap_l_per_min, pipe = excluded.pipe, suction_size = excluded.suction_size,
           suction_run_m = excluded.suction_run_m, suction_fittings = excluded.suction_fittings,
           delivery_size = excluded.delivery_size, delivery_run_m = excluded.delivery_run_m,
           delivery_fittings = excluded.delivery_fittings, cut_in_kpa = excluded.cut_in_kpa,
           cut_out_kpa = excluded.cut_out_kpa, precharge_kpa = excluded.precharge_kpa, tank_l = excluded.tank_l,
           ended_us = excluded.ended_us, revision = excluded.revision",
        id,
        site,
        name,
        curve,
        thing.power_w,
        thing.npsh_m,
        thing.height_m,
        thing.lift_m,
        thing.tap_l_per_min,
        pipe,
        suction,
        thing.suction_run_m,
        thing.suction_fittings,
        delivery,
        thing.delivery_run_m,
        thing.delivery_fittings,
        thing.cut_in_kpa,
        thing.cut_out_kpa,
        thing.precharge_kpa,
        thing.tank_l,
        ended,
        revision
    )
    .execute(connection)
    .await?;
    Ok(())
}
