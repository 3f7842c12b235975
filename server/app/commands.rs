//! What the command line asks for beside serving.

use std::path::Path;
use std::time::Duration;

use crate::app::Folder;
use crate::app::client;
use crate::app::say;
use crate::clock::Clock;
use crate::config;
use crate::config::Backup;
use crate::config::Import;
use crate::model::neighbourhood::Units;
use crate::service;
use crate::service::App;
use crate::service::Caller;
use crate::service::import::Fault;
use crate::service::import::File;
use crate::service::records;
use crate::service::take_in::TakenIn;
use crate::service::verify::Report;
use crate::store;
use crate::store::Reader;
use crate::web;

/// Brings spreadsheets into a data folder that no server runs on: all of them or nothing.
///
/// # Errors
/// Every line that does not hold is said first; a file or the folder that cannot be read.
pub async fn import(asked: &Import, clock: Clock) -> anyhow::Result<()> {
    let folder = Folder::take(&asked.data, false)?;
    let app = App::open(folder.path(), clock).await?;
    let mut read = Vec::with_capacity(asked.files.len());
    for path in &asked.files {
        let bytes =
            std::fs::read(path).map_err(|cause| anyhow::anyhow!("{} cannot be read: {cause}", path.display()))?;
        read.push((path.display().to_string(), bytes));
    }
    let units = match asked.units {
        config::Units::Metric => Units::Metric,
        config::Units::Us => Units::Us,
    };
    let files: Vec<File<'_>> = read.iter().map(|(name, bytes)| File { name, bytes }).collect();
    let taken = match app.take_in(&Caller::House, &files, units, asked.dry_run).await {
        Err(service::Error::NotFound("neighbourhood")) => anyhow::bail!(
            "no neighbourhood is set up in {} yet: start keepwell with that folder and open the link it prints, or bring \
             exported files, neighbourhood.csv and accounts.csv among them",
            folder.path().display()
        ),
        taken => taken?,
    };
    app.close().await;
    let reader = web::usual(&app);
    match taken {
        TakenIn::Fits { counts, done } => {
            for line in counts.said() {
                say(&reader.say(&line).to_string())?;
            }
            say(if done { "Kept." } else { "All of it holds. Nothing was changed: this was a dry run." })?;
            Ok(())
        }
        TakenIn::Refused(faults) => {
            for fault in &faults {
                let Fault { file, line, column, .. } = fault;
                let column = if column.is_empty() { String::new() } else { format!(", {column}") };
                say(&format!("{file}: line {line}{column}: {}", reader.say(&fault.message)))?;
            }
            match faults.len() {
                1 => anyhow::bail!("one thing does not hold; nothing was changed"),
                many => anyhow::bail!("{many} things do not hold; nothing was changed"),
            }
        }
    }
}

/// Writes every file of what is kept into a new folder, whether or not a server runs on the data folder.
///
/// # Errors
/// There is such a folder already; a file cannot be written; there is nothing to write.
pub async fn export(folder: &Path, data: &Path) -> anyhow::Result<()> {
    if folder.exists() {
        anyhow::bail!("there is something at {} already; name a folder that is not there yet", folder.display());
    }
    let reader = Reader::open_ours(data).await.map_err(|cause| nothing_in(data, cause))?;
    let part = folder.with_extension(format!("part-{}", uuid::Uuid::now_v7()));
    std::fs::create_dir_all(&part).map_err(|cause| anyhow::anyhow!("{} cannot be made: {cause}", folder.display()))?;
    let mut names = Vec::new();
    let written = records::to_folder(&reader, |name| {
        names.push(name.to_owned());
        std::fs::File::create_new(part.join(name))
    });
    let done = match written.await {
        Ok(()) => std::fs::rename(&part, folder).map_err(anyhow::Error::from),
        Err(cause) => Err(cause),
    };
    if let Err(cause) = done {
        std::fs::remove_dir_all(&part)?;
        anyhow::bail!("{} could not be written: {cause:#}; nothing was left there", folder.display());
    }
    for name in names {
        say(&format!("{}", folder.join(name).display()))?;
    }
    say("Written. Passwords, sessions and tokens are not in it.")?;
    Ok(())
}

/// Copies everything into one file, whether or not a server runs on the data folder.
///
/// # Errors
/// There is such a file already; there is no room; there is nothing to copy.
pub async fn backup(asked: &Backup) -> anyhow::Result<()> {
    service::backup::backup(&asked.data, &asked.file, asked.replace).await?;
    let size = std::fs::metadata(&asked.file)?.len();
    say(&format!(
        "{}: {} kB, whole. Keep it as you would a key: it holds the accounts too.",
        asked.file.display(),
        size / 1024
    ))?;
    Ok(())
}

/// Puts a backup back into a data folder that no server runs on.
///
/// # Errors
/// A server runs there; the folder holds something already; the file is foreign, newer or damaged.
pub async fn restore(asked: &Backup, clock: Clock) -> anyhow::Result<()> {
    let folder = Folder::take(&asked.data, false)?;
    let restored = service::backup::restore(&asked.file, folder.path(), asked.replace, clock.now()).await?;
    said(&restored.report)?;
    if let Some(aside) = restored.aside {
        say(&format!("What stood there before is in {}.", aside.display()))?;
    }
    say("Put back. Everyone signs in again.")?;
    Ok(())
}

/// Looks at a data folder, whether or not a server runs on it, and says what it found.
///
/// # Errors
/// Something is not as it should be, or the folder cannot be read.
pub async fn verify(folder: &Path) -> anyhow::Result<()> {
    let report = service::verify::verify(folder).await.map_err(|cause| nothing_in(folder, cause))?;
    said(&report)?;
    let found = report.found();
    if found.is_empty() {
        say("All is well.")?;
        return Ok(());
    }
    match found.len() {
        1 => anyhow::bail!("one thing is not as it should be"),
        many => anyhow::bail!("{many} things are not as they should be"),
    }
}

fn nothing_in(folder: &Path, cause: store::Error) -> anyhow::Error {
    match cause {
        store::Error::NoDatabase => anyhow::anyhow!("{} holds no neighbourhood: {cause}", folder.display()),
        cause => anyhow::anyhow!("{}: {cause}", folder.display()),
    }
}

/// What was looked at, and what holds of it or does not.
fn said(report: &Report) -> anyhow::Result<()> {
    say(&format!("{} sites, {} vessels, {} entries", report.sites, report.vessels, report.entries))?;
    if let Some(newest) = report.newest {
        say(&format!("The newest entry arrived at {newest}."))?;
    }
    for check in &report.checks {
        say(&format!("{} {}", if check.found.is_empty() { "yes:" } else { "NO: " }, check.holds))?;
        for line in &check.found {
            say(&format!("     {line}"))?;
        }
    }
    Ok(())
}

/// Asks the server on this machine whether it is well.
///
/// # Errors
/// It did not answer, or not well.
pub async fn ping(port: u16) -> anyhow::Result<()> {
    let client = client()?.timeout(Duration::from_secs(5)).build()?;
    let reply = client.get(format!("http://127.0.0.1:{port}/healthz")).send().await?.error_for_status()?;
    say(reply.text().await?.trim())?;
    Ok(())
}
