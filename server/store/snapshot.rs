//! What is kept as one moment saw it, read a part at a time: for files of any length, beside whatever is written
//! meanwhile.

use jiff::Timestamp;
use sqlx::ConnectOptions;
use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::model::choice::Choice;
use crate::model::entry::Kind;
use crate::model::setup::SetUp;
use crate::store::Error;
use crate::store::Reader;
use crate::store::rows;

/// A moment of the file, for as long as this value lives.
#[derive(Debug)]
pub struct Snapshot {
    connection: SqliteConnection,
}

/// A line of the ledger, its fields as they are kept.
#[derive(Clone, Debug)]
pub struct Line {
    pub seq: i64,
    pub id: Uuid,
    pub kind: String,
    pub site: Option<Uuid>,
    pub vessel: Option<Uuid>,
    pub at: Timestamp,
    pub arrived: Timestamp,
    pub person: Option<Uuid>,
    /// JSON
    pub fields: String,
}

impl Reader {
    /// A moment to read, on a connection of its own: a slow reader holds nobody up.
    ///
    /// # Errors
    /// The file cannot be read.
    pub async fn snapshot(&self) -> Result<Snapshot, Error> {
        let mut connection = self.pool.connect_options().connect().await?;
        sqlx::query("BEGIN").execute(&mut connection).await?;
        Ok(Snapshot { connection })
    }
}

impl Snapshot {
    /// # Errors
    /// Something stored cannot be read.
    pub async fn set_up(&mut self) -> Result<SetUp, Error> {
        super::set_up(&mut self.connection).await
    }

    /// The lines after that sequence, in order of arrival, so many at most: of one kind, or of all.
    ///
    /// # Errors
    /// Something stored cannot be read.
    pub async fn lines(&mut self, after: i64, kind: Option<Kind>, most: i64) -> Result<Vec<Line>, Error> {
        let kind = kind.map(Choice::key);
        let found = sqlx::query!(
            r#"SELECT seq, id AS "id: Uuid", kind, site AS "site: Uuid", vessel AS "vessel: Uuid", at_us, arrived_us,
                 person AS "person: Uuid", fields FROM entries
               WHERE seq > ?1 AND (?2 IS NULL OR kind = ?2) ORDER BY seq LIMIT ?3"#,
            after,
            kind,
            most
        )
        .fetch_all(&mut self.connection)
        .await?;
        found
            .into_iter()
            .map(|row| {
                Ok(Line {
                    seq: row.seq,
                    id: row.id,
                    kind: row.kind,
                    site: row.site,
                    vessel: row.vessel,
                    at: rows::time(row.at_us)?,
                    arrived: rows::time(row.arrived_us)?,
                    person: row.person,
                    fields: row.fields,
                })
            })
            .collect()
    }
}
