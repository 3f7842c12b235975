//! A whole copy of what is kept, taken while the house is open, and a copy put back while it is closed. A copy is whole or
//! is not there at all; what is put back is looked at first, and what stood there before is set aside, never lost.

use std::fs::File;
use std::io;
use std::io::Read;
use std::path::Path;
use std::path::PathBuf;

use tokio::sync::mpsc;

use crate::service::App;
use crate::service::Caller;
use crate::service::Error;
use crate::service::authorise::Deed;
use crate::service::records::Exported;
use crate::service::verify::Report;
use crate::service::verify::verify;
use crate::store;
use crate::store::FILE;
use crate::store::Reader;
use crate::store::Store;

/// Why there is no copy, or none was put back.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    #[error("there is a file {} already; name another, or say --replace", .0.display())]
    Exists(PathBuf),
    #[error(
        "{} holds a neighbourhood already; name another folder with --data, or say --replace: what is there is then set aside",
        .0.display()
    )]
    Inhabited(PathBuf),
    #[error("there is no room for {}: the disk is full; nothing was left there by half", .0.display())]
    Full(PathBuf),
    #[error("{} cannot be used: {cause}", path.display())]
    File { path: PathBuf, cause: io::Error },
    #[error("{} cannot be put back: {cause}; nothing was changed", path.display())]
    Refused { path: PathBuf, cause: store::Error },
    #[error("{} is damaged and was not put back: {}; nothing was changed", path.display(), found.join("; "))]
    Damaged { path: PathBuf, found: Vec<String> },
    #[error(transparent)]
    Store(store::Error),
}

impl Failure {
    fn file(path: &Path) -> impl Fn(io::Error) -> Self + '_ {
        |cause| match cause.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => Self::Full(path.to_owned()),
            _ => Self::File { path: path.to_owned(), cause },
        }
    }

    fn store(path: &Path) -> impl Fn(store::Error) -> Self + '_ {
        |cause| match cause {
            store::Error::Full => Self::Full(path.to_owned()),
            cause => Self::Store(cause),
        }
    }
}

/// Gone when it is dropped, whole or half.
struct Passing(PathBuf);

impl Drop for Passing {
    fn drop(&mut self) {
        let gone = if self.0.is_dir() { std::fs::remove_dir_all(&self.0) } else { std::fs::remove_file(&self.0) };
        if let Err(cause) = gone
            && cause.kind() != io::ErrorKind::NotFound
        {
            tracing::warn!(file = %self.0.display(), "what was written by the way could not be removed: {cause}");
        }
    }
}

/// Beside what it will become.
fn beside(path: &Path) -> PathBuf {
    let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    path.with_file_name(format!("{name}.part-{}", uuid::Uuid::now_v7()))
}

/// Makes sure of a file, or of what a folder holds.
fn sync(path: &Path) -> io::Result<()> {
    File::open(path)?.sync_all()
}

fn folder_of(file: &Path) -> &Path {
    file.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// Copies what a data folder holds into a file, whether or not a server runs on it.
///
/// # Errors
/// There is such a file already and it is not to be replaced; no room; nothing to copy.
pub async fn backup(folder: &Path, file: &Path, replace: bool) -> Result<(), Failure> {
    if file.exists() && !replace {
        return Err(Failure::Exists(file.to_owned()));
    }
    let reader = Reader::open_ours(folder).await.map_err(|cause| match cause {
        store::Error::NoDatabase => Failure::File {
            path: folder.to_owned(),
            cause: io::Error::new(io::ErrorKind::NotFound, "it holds no neighbourhood"),
        },
        cause => Failure::Store(cause),
    })?;
    let part = Passing(beside(file));
    // Made here first, so that a folder that cannot be written is told in the system's own words.
    File::create_new(&part.0).map_err(Failure::file(file))?;
    reader.copy_to(&part.0).await.map_err(Failure::store(file))?;
    reader.close().await;
    sync(&part.0).map_err(Failure::file(file))?;
    std::fs::rename(&part.0, file).map_err(Failure::file(file))?;
    sync(folder_of(file)).map_err(Failure::file(file))
}

/// What was put back.
#[derive(Debug)]
pub struct Restored {
    pub report: Report,
    /// where what stood there before was set aside
    pub aside: Option<PathBuf>,
}

/// Puts a copy back into a data folder whose lock the caller holds. It is looked at in a place of its own first, brought up
/// to date, and everyone signed out; only then it takes the other's place.
///
/// # Errors
/// The folder holds something that is not to be replaced; the file is foreign, newer than we are, or damaged.
pub async fn restore(file: &Path, folder: &Path, replace: bool, now: jiff::Timestamp) -> Result<Restored, Failure> {
    let stands = folder.join(FILE);
    if stands.exists() && !replace {
        return Err(Failure::Inhabited(folder.to_owned()));
    }
    let trial = Passing(beside(&folder.join("restore")));
    std::fs::create_dir(&trial.0).map_err(Failure::file(folder))?;
    let copy = trial.0.join(FILE);
    std::fs::copy(file, &copy).map_err(|cause| match Failure::file(file)(cause) {
        Failure::Full(_) => Failure::Full(folder.to_owned()),
        unreadable => unreadable,
    })?;
    // A copy of a file that may only be read is still ours to write.
    let mut rights = std::fs::metadata(&copy).map_err(Failure::file(&copy))?.permissions();
    std::os::unix::fs::PermissionsExt::set_mode(&mut rights, 0o600);
    std::fs::set_permissions(&copy, rights).map_err(Failure::file(&copy))?;

    let refused = |cause| match cause {
        store::Error::Full => Failure::Full(folder.to_owned()),
        cause => Failure::Refused { path: file.to_owned(), cause },
    };
    Reader::open_ours(&trial.0).await.map_err(refused)?.close().await;
    let store = Store::open(&trial.0).await.map_err(refused)?;
    store.sign_all_out().await.map_err(refused)?;
    store.close().await;
    drop(store);
    // What is not in the file itself would stay behind.
    let left = std::fs::metadata(trial.0.join(format!("{FILE}-wal"))).map_or(0, |log| log.len());
    if left > 0 {
        let cause = store::Error::Unreadable("its write-ahead log could not be folded in".to_owned());
        return Err(refused(cause));
    }
    let report = verify(&trial.0).await.map_err(refused)?;
    if !report.found().is_empty() {
        return Err(Failure::Damaged { path: file.to_owned(), found: report.found() });
    }
    let aside = set_aside(folder, now).map_err(Failure::file(folder))?;
    sync(&copy).map_err(Failure::file(&copy))?;
    std::fs::rename(&copy, &stands).map_err(Failure::file(&stands))?;
    sync(folder).map_err(Failure::file(folder))?;
    Ok(Restored { report, aside })
}

/// Moves the file that stands there, with its write-ahead log, into a folder of its own. A log without its file would be
/// taken for the new file's, and goes too.
fn set_aside(folder: &Path, now: jiff::Timestamp) -> io::Result<Option<PathBuf>> {
    let ends = ["-wal", "-shm", ""];
    if !ends.iter().any(|end| folder.join(format!("{FILE}{end}")).exists()) {
        return Ok(None);
    }
    let aside = folder.join(format!("replaced-{}", now.strftime("%Y-%m-%dT%H-%M-%S")));
    std::fs::create_dir(&aside)?;
    for end in ends {
        let name = format!("{FILE}{end}");
        match std::fs::rename(folder.join(&name), aside.join(&name)) {
            Err(cause) if cause.kind() != io::ErrorKind::NotFound => return Err(cause),
            _ => {}
        }
    }
    Ok(Some(aside))
}

impl App {
    /// A copy of everything, to be taken away.
    ///
    /// # Errors
    /// Only the coordinator takes everything; no room for it beside the file.
    pub async fn backup(&self, caller: &Caller) -> Result<Exported, Error> {
        caller.may(Deed::Coordinate, None)?;
        let internal = |cause: io::Error| match cause.kind() {
            io::ErrorKind::StorageFull => Error::Full,
            _ => Error::Internal(cause.into()),
        };
        let part = Passing(beside(&self.store.reader().folder().join("backup")));
        self.store.copy_to(&part.0).await?;
        let mut file = File::open(&part.0).map_err(internal)?;
        // It is read on from the open file; its name is gone whatever becomes of us.
        drop(part);
        let (out, parts) = mpsc::channel(2);
        tokio::task::spawn_blocking(move || {
            loop {
                let mut bytes = vec![0; 64 * 1024];
                let read = file.read(&mut bytes);
                let end = !matches!(read, Ok(1..));
                let next = read.map(|length| {
                    bytes.truncate(length);
                    bytes
                });
                if out.blocking_send(next.map_err(internal)).is_err() || end {
                    break;
                }
            }
        });
        Ok(Exported { parts })
    }
}
