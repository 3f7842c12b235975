//! Taking a coordinator's spreadsheets in: everything or nothing, and a dry run that only says what would be done.

use std::sync::Arc;
use std::sync::PoisonError;

use jiff::tz::TimeZone;

use crate::model::entry::Act;
use crate::model::message::Message;
use crate::model::neighbourhood::Units;
use crate::service::App;
use crate::service::Caller;
use crate::service::Error;
use crate::service::authorise::Deed;
use crate::service::import;
use crate::service::import::Counts;
use crate::service::import::Existing;
use crate::service::import::Fault;
use crate::service::import::File;
use crate::service::import::Plan;
use crate::service::records;

/// What came of files that were brought.
#[derive(Clone, Debug)]
pub enum TakenIn {
    /// something in them does not hold; nothing was changed
    Refused(Vec<Fault>),
    /// all of it holds; `done` says whether it was kept or only tried
    Fits { counts: Box<Counts>, done: bool },
}

impl App {
    /// Reads files of sites, vessels, people, readings and fuel, or files that were exported, and keeps all of them or,
    /// if one line does not hold, none. `dry_run` changes nothing.
    ///
    /// # Errors
    /// Only the coordinator imports; no neighbourhood is set up yet; changed by another meanwhile; a full disk.
    pub async fn take_in(
        &self,
        caller: &Caller,
        files: &[File<'_>],
        units: Units,
        dry_run: bool,
    ) -> Result<TakenIn, Error> {
        caller.may(Deed::Coordinate, None)?;
        let opened = match records::opened(files) {
            Ok(opened) => opened,
            Err(faults) => return Ok(TakenIn::Refused(faults)),
        };
        let files: Vec<File<'_>> = opened.iter().map(|(name, bytes)| File { name, bytes }).collect();
        let files = files.as_slice();
        let picture = self.picture();
        let records = files.iter().filter(|file| records::is_record(file.bytes)).count();
        if records > 0 {
            let read = if records == files.len() {
                let fold = self.fold.lock().unwrap_or_else(PoisonError::into_inner);
                records::read(&picture.set_up, |id| fold.entry(id).map(Arc::clone), files, self.clock.now())
            } else {
                Err(files.iter().filter(|file| !records::is_record(file.bytes)).map(mixed).collect())
            };
            return self.take(caller, read, dry_run).await;
        }
        let settings = picture.set_up.neighbourhood.as_ref().ok_or(Error::NotFound("neighbourhood"))?;
        let zone = TimeZone::get(&settings.thing.zone).unwrap_or(TimeZone::UTC);
        let (now, by) = (self.clock.now(), caller.id());
        let read = import::read(&picture.set_up, &self.existing()?, files, units, now, by, &zone);
        self.take(caller, read, dry_run).await
    }

    /// Keeps what was read, all of it, or says why not.
    async fn take(&self, caller: &Caller, read: Result<Plan, Vec<Fault>>, dry_run: bool) -> Result<TakenIn, Error> {
        let plan = match read {
            Ok(plan) => plan,
            Err(faults) => return Ok(TakenIn::Refused(faults)),
        };
        let Plan { things, entries, counts } = plan;
        if !dry_run {
            let entries: Vec<_> = entries.into_iter().map(Arc::new).collect();
            tracing::info!(things = things.len(), entries = entries.len(), "an import is kept");
            self.store.write_all(caller.id(), self.clock.now(), things, entries).await?;
        }
        Ok(TakenIn::Fits { counts: Box::new(counts), done: !dry_run })
    }

    /// What the ledger holds of the kinds that files bring, so that a row that is there already is known.
    fn existing(&self) -> Result<Existing, Error> {
        let fold = self.fold.lock().unwrap_or_else(PoisonError::into_inner);
        let brought = fold.entries().filter(|entry| matches!(entry.act, Act::Reading(_) | Act::Fill(_) | Act::Fuel(_)));
        let entries = brought
            .map(|entry| entry.hash())
            .collect::<Result<_, _>>()
            .map_err(|error| Error::Internal(error.into()))?;
        Ok(Existing { entries })
    }
}

fn mixed(file: &File<'_>) -> Fault {
    let message = Message::new(
        "This is no exported file, and the others are. Bring those that were exported first, then the spreadsheets.",
    );
    Fault { file: file.name.to_owned(), line: 1, column: String::new(), value: String::new(), message }
}
