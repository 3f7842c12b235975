//! What the command line asks for beside serving.

use std::path::Path;
use std::time::Duration;

use crate::app::Folder;
use crate::app::client;
use crate::app::say;
use crate::clock::Clock;
use crate::config;
use crate::config::Import;
use crate::model::neighbourhood::Units;
use crate::service;
use crate::service::App;
use crate::service::Caller;
use crate::service::import::Fault;
use crate::service::import::File;
use crate::service::take_in::TakenIn;
use crate::web;

/// Brings spreadsheets into a data folder that no server runs on: all of them or nothing.
///
/// # Errors
/// Every line that does not hold is said first; a file or the folder that cannot be read.
pub async fn import(asked: &Import, clock: Clock) -> anyhow::Result<()> {
    let folder = Folder::take(&asked.data, false)?;
    let app = App::open(folder.path(), clock).await?;
    if !app.is_set_up() {
        anyhow::bail!(
            "no neighbourhood is set up in {} yet: start keepwell with that folder and open the link it prints",
            folder.path().display()
        );
    }
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
    let taken = app.take_in(&Caller::House, &files, units, asked.dry_run).await?;
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
                say(&format!("{file}: line {line}, {column}: {}", reader.say(&fault.message)))?;
            }
            anyhow::bail!("{} things do not hold; nothing was changed", faults.len())
        }
    }
}

/// Looks at a data folder, whether or not a server runs on it, and says what it found.
///
/// # Errors
/// Something is not as it should be, or the folder cannot be read.
pub async fn verify(folder: &Path) -> anyhow::Result<()> {
    let report = service::verify::verify(folder).await?;
    say(&format!("{} sites, {} vessels, {} entries", report.sites, report.vessels, report.entries))?;
    if report.found.is_empty() {
        say("The file is sound, and the picture folded entry by entry equals the one built at once.")?;
        return Ok(());
    }
    for line in &report.found {
        say(line)?;
    }
    anyhow::bail!("{} things are not as they should be", report.found.len())
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
