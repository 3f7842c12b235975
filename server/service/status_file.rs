//! The neighbourhood's status as a file a day, so that a last copy is there when the server is not. How it looks is
//! others' business; here it is put in its place, whole or not at all, and the oldest are taken away.

use std::fs;
use std::fs::File;
use std::io;
use std::io::Write;
use std::path::Path;
use std::path::PathBuf;
use std::sync::PoisonError;

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;

use crate::service::App;

/// Within the data folder.
pub const FOLDER: &str = "status";
/// So many of the newest are kept.
const KEPT: usize = 7;

/// What became of the last copy.
#[derive(Clone, Debug)]
pub struct StatusKept {
    pub at: Timestamp,
    /// where it stands, or why it does not
    pub outcome: Result<PathBuf, String>,
}

impl App {
    /// Today's date where the neighbourhood is.
    #[must_use]
    pub fn date_here(&self) -> Date {
        let picture = self.picture();
        let zone = picture.set_up.neighbourhood.as_ref().and_then(|kept| TimeZone::get(&kept.thing.zone).ok());
        zone.unwrap_or(TimeZone::UTC).to_datetime(self.instant()).date()
    }

    /// Writes today's copy into the data folder. A failure is logged, remembered to be shown, and nothing more: it must
    /// not stop the house.
    pub fn keep_status(&self, folder: &Path, page: Result<String, String>) -> bool {
        let written = page
            .and_then(|page| write(&folder.join(FOLDER), self.date_here(), &page).map_err(|error| error.to_string()));
        if let Err(why) = &written {
            tracing::error!(folder = %folder.display(), "the daily status could not be written: {why}");
        }
        let done = written.is_ok();
        let kept = StatusKept { at: self.instant(), outcome: written };
        *self.status_kept.lock().unwrap_or_else(PoisonError::into_inner) = Some(kept);
        done
    }

    /// What became of the last copy; none if none was due yet.
    #[must_use]
    pub fn status_kept(&self) -> Option<StatusKept> {
        self.status_kept.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }
}

/// A file beside it, then its name: whoever opens it finds the old one or the new one, whole.
fn write(folder: &Path, date: Date, page: &str) -> io::Result<PathBuf> {
    fs::create_dir_all(folder)?;
    let (path, beside) = (folder.join(format!("{date}.html")), folder.join(format!("{date}.html.part")));
    let put = || -> io::Result<()> {
        let mut file = File::create(&beside)?;
        file.write_all(page.as_bytes())?;
        file.sync_all()?;
        fs::rename(&beside, &path)?;
        File::open(folder)?.sync_all()
    };
    if let Err(error) = put() {
        // What is half there helps nobody; that it may not go away either is the lesser matter.
        let _ = fs::remove_file(&beside);
        return Err(error);
    }
    let mut copies: Vec<PathBuf> = fs::read_dir(folder)?.map(|entry| Ok(entry?.path())).collect::<io::Result<_>>()?;
    copies.retain(|path| is_copy(path));
    copies.sort();
    let old = copies.len().saturating_sub(KEPT);
    for path in copies.iter().take(old) {
        fs::remove_file(path)?;
    }
    Ok(path)
}

/// Whether it is one of ours: what else somebody put there is left alone.
fn is_copy(path: &Path) -> bool {
    let name = path.file_name().and_then(|name| name.to_str()).and_then(|name| name.strip_suffix(".html"));
    name.is_some_and(|name| name.len() == 10 && name.parse::<Date>().is_ok())
}
