//! A copy of the whole file, as one moment saw it, while it is written to; and what is done to one that is put back.

use std::path::Path;
use std::path::PathBuf;

use sqlx::ConnectOptions;

use crate::store::Error;
use crate::store::FILE;
use crate::store::OURS;
use crate::store::Reader;
use crate::store::Store;

impl Reader {
    /// Copies everything into a file that is empty or not there yet, without holding up whoever reads or writes.
    ///
    /// # Errors
    /// The file cannot be read; the copy cannot be written, or finds no room.
    pub async fn copy_to(&self, file: &Path) -> Result<(), Error> {
        let name =
            file.to_str().ok_or_else(|| Error::Unreadable(format!("the name {} is not UTF-8", file.display())))?;
        let mut connection = self.pool.connect_options().connect().await?;
        sqlx::query("VACUUM INTO ?").bind(name).execute(&mut connection).await?;
        Ok(())
    }

    /// The folder that the file stands in.
    #[must_use]
    pub fn folder(&self) -> PathBuf {
        self.pool.connect_options().get_filename().parent().map(Path::to_path_buf).unwrap_or_default()
    }

    /// Opens a file that must be one of ours already, not merely one that could become ours.
    ///
    /// # Errors
    /// It is none; it cannot be read.
    pub async fn open_ours(folder: &Path) -> Result<Self, Error> {
        if !folder.join(FILE).is_file() {
            return Err(Error::NoDatabase);
        }
        let reader = Self::open(folder).await?;
        let owner: i64 = sqlx::query_scalar("PRAGMA application_id").fetch_one(&reader.pool).await?;
        if owner == OURS { Ok(reader) } else { Err(Error::Foreign) }
    }

    /// Lets go of the file.
    pub async fn close(self) {
        self.pool.close().await;
    }
}

impl Store {
    /// As [`Reader::copy_to`], into a file on the disk that the ledger stands on.
    ///
    /// # Errors
    /// As there.
    pub async fn copy_to(&self, file: &Path) -> Result<(), Error> {
        self.room.noted(self.reader.copy_to(file).await)
    }

    /// Ends every session: everyone signs in again.
    ///
    /// # Errors
    /// The file cannot be written.
    pub async fn sign_all_out(&self) -> Result<(), Error> {
        let mut writer = self.writer.lock().await;
        let done = sqlx::query!("DELETE FROM sessions").execute(&mut writer.connection).await;
        self.room.noted(done.map(drop).map_err(Error::from))
    }
}
