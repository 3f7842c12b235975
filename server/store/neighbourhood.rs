//! The neighbourhood's settings: one row.

use sqlx::SqliteConnection;

use crate::model::choice::Choice;
use crate::model::neighbourhood::Neighbourhood;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::store::Error;
use crate::store::rows;

pub(super) async fn load(connection: &mut SqliteConnection, set_up: &mut SetUp) -> Result<(), Error> {
    let row = sqlx::query!(
        "SELECT name, zone, units, language, ration, target_days, upkeep, sds_g, sd1_g, prices,
           revision FROM neighbourhood"
    )
    .fetch_optional(connection)
    .await?;
    if let Some(row) = row {
        let thing = Neighbourhood {
            name: rows::name(&row.name)?,
            zone: row.zone,
            units: rows::choice(&row.units)?,
            language: row.language,
            ration: row.ration,
            target_days: row.target_days,
            upkeep: rows::list(&row.upkeep)?,
            sds_g: row.sds_g,
            sd1_g: row.sd1_g,
            prices: rows::list(&row.prices)?,
        };
        set_up.put(Thing::Neighbourhood(thing), row.revision);
    }
    Ok(())
}

pub(super) async fn put(connection: &mut SqliteConnection, thing: &Neighbourhood, revision: i64) -> Result<(), Error> {
    let (name, units) = (thing.name.as_str(), thing.units.key());
    let upkeep = rows::json(&thing.upkeep)?;
    let prices = rows::json(&thing.prices)?;
    sqlx::query!(
        "INSERT OR REPLACE INTO neighbourhood (one, name, zone, units, language, ration, target_days, upkeep,
           sds_g, sd1_g, prices, revision)
         VALUES (1, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        name,
        thing.zone,
        units,
        thing.language,
        thing.ration,
        thing.target_days,
        upkeep,
        thing.sds_g,
        thing.sd1_g,
        prices,
        revision
    )
    .execute(connection)
    .await?;
    Ok(())
}
