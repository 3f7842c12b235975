//! The connections that read, of this process or another.

use std::path::Path;

use sqlx::SqlitePool;
use sqlx::sqlite::SqlitePoolOptions;

use crate::store::Error;
use crate::store::Everything;
use crate::store::check_owner;
use crate::store::entries;
use crate::store::everything;
use crate::store::options;

/// Connections that read and change nothing.
#[derive(Clone, Debug)]
pub struct Reader {
    pub(super) pool: SqlitePool,
}

impl Reader {
    /// Opens an existing file to look at it, from another process than the server too.
    ///
    /// # Errors
    /// There is none, or it is not ours.
    pub async fn open(folder: &Path) -> Result<Self, Error> {
        let pool = SqlitePoolOptions::new().max_connections(1).connect_with(options(folder).read_only(true)).await?;
        let mut connection = pool.acquire().await?;
        check_owner(&mut connection).await?;
        drop(connection);
        Ok(Self { pool })
    }

    /// Set-up and entries as one moment saw them, without the writing lock.
    ///
    /// # Errors
    /// Something stored cannot be read.
    pub async fn everything(&self) -> Result<Everything, Error> {
        let mut moment = self.pool.begin().await?;
        let everything = everything(&mut moment).await?;
        moment.commit().await?;
        Ok(everything)
    }

    /// SQLite's own integrity check, foreign keys, and every entry against its hash.
    ///
    /// # Errors
    /// The file cannot be read at all.
    pub async fn integrity(&self) -> Result<Integrity, Error> {
        let mut connection = self.pool.acquire().await?;
        let said: Vec<String> = sqlx::query_scalar("PRAGMA integrity_check").fetch_all(&mut *connection).await?;
        let file = said.into_iter().filter(|line| line != "ok").collect();
        let keys = sqlx::query("PRAGMA foreign_key_check").fetch_all(&mut *connection).await?;
        let named = match keys.len() {
            0 => Vec::new(),
            rows => vec![format!("{rows} rows refer to something that is not there")],
        };
        let altered = entries::altered(&mut connection).await?;
        let altered = altered.into_iter().map(|id| format!("the entry {id} is not as it was logged")).collect();
        Ok(Integrity { file, named, altered })
    }
}

/// What was found wrong with a file, in words; nothing where all is well.
#[derive(Clone, Debug, Default)]
pub struct Integrity {
    pub file: Vec<String>,
    pub named: Vec<String>,
    pub altered: Vec<String>,
}
