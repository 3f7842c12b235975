//! Supplies.

use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::model::choice::Choice;
use crate::model::id::SourceId;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::model::source::Source;
use crate::store::Error;
use crate::store::rows;

pub(super) async fn load(connection: &mut SqliteConnection, set_up: &mut SetUp) -> Result<(), Error> {
    let found = sqlx::query!(r#"SELECT id AS "id: Uuid", name, kind, disinfectant, notes, revision FROM sources"#)
        .fetch_all(connection)
        .await?;
    for row in found {
        let thing = Source {
            id: SourceId::from_uuid(row.id),
            name: rows::name(&row.name)?,
            kind: rows::choice(&row.kind)?,
            disinfectant: rows::choice(&row.disinfectant)?,
            notes: row.notes,
        };
        set_up.put(Thing::Source(thing), row.revision);
    }
    Ok(())
}

pub(super) async fn put(connection: &mut SqliteConnection, thing: &Source, revision: i64) -> Result<(), Error> {
    let (id, name, kind, disinfectant) =
        (thing.id.uuid(), thing.name.as_str(), thing.kind.key(), thing.disinfectant.key());
    sqlx::query!(
        "INSERT INTO sources (id, name, kind, disinfectant, notes, revision) VALUES (?, ?, ?, ?, ?, ?)
         ON CONFLICT (id) DO UPDATE SET name = excluded.name, kind = excluded.kind, disinfectant = excluded.disinfectant,
           notes = excluded.notes, revision = excluded.revision",
        id,
        name,
        kind,
        disinfectant,
        thing.notes,
        revision
    )
    .execute(connection)
    .await?;
    Ok(())
}
