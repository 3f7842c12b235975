//! Taking a coordinator's spreadsheets in: everything or nothing, and a dry run that only says what would be done.

use std::sync::Arc;
use std::sync::PoisonError;

use jiff::tz::TimeZone;

use crate::model::choice::Choice;
use crate::model::entry::Act;
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

/// What came of files that were brought.
#[derive(Clone, Debug)]
pub enum TakenIn {
    /// something in them does not hold; nothing was changed
    Refused(Vec<Fault>),
    /// all of it holds; `done` says whether it was kept or only tried
    Fits { counts: Counts, done: bool },
}

impl App {
    /// Reads files of sites, vessels, people, readings and fuel, and keeps all of them or, if one line does not hold,
    /// none. `dry_run` changes nothing.
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
        let picture = self.picture();
        let settings = picture.set_up.neighbourhood.as_ref().ok_or(Error::NotFound("neighbourhood"))?;
        let zone = TimeZone::get(&settings.thing.zone).unwrap_or(TimeZone::UTC);
        let (now, by) = (self.clock.now(), caller.id());
        let plan = match import::read(&picture.set_up, &self.existing()?, files, units, now, by, &zone) {
            Ok(plan) => plan,
            Err(faults) => return Ok(TakenIn::Refused(faults)),
        };
        let Plan { things, entries, counts } = plan;
        if !dry_run {
            let entries: Vec<_> = entries.into_iter().map(Arc::new).collect();
            tracing::info!(things = things.len(), entries = entries.len(), units = units.key(), "an import is kept");
            self.store.write_all(by, now, things, entries).await?;
        }
        Ok(TakenIn::Fits { counts, done: !dry_run })
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
