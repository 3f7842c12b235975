//! Is all well with what is kept? SQLite's own checks, every entry against its hash, and the picture: folded entry by
//! entry in order of arrival against the one built at once, or the one that is shown against one built anew.

use std::path::Path;
use std::sync::Arc;

use jiff::Timestamp;

use crate::picture::Picture;
use crate::picture::SitePicture;
use crate::picture::fold::Fold;
use crate::service::App;
use crate::service::Caller;
use crate::service::Error;
use crate::service::authorise::Deed;
use crate::store;
use crate::store::Everything;
use crate::store::Reader;

/// What was looked at and what was found.
#[derive(Clone, Debug)]
pub struct Report {
    pub sites: usize,
    pub vessels: usize,
    pub entries: usize,
    /// when the newest entry reached us
    pub newest: Option<Timestamp>,
    pub checks: Vec<Check>,
}

/// One thing that was looked at.
#[derive(Clone, Debug)]
pub struct Check {
    /// what holds if nothing was found; English, as a key
    pub holds: &'static str,
    /// in words; empty if it holds
    pub found: Vec<String>,
}

impl Report {
    fn of(everything: &Everything, checks: Vec<Check>) -> Self {
        let now = everything.entries.iter().map(|entry| entry.arrived).max();
        Self {
            sites: everything.set_up.sites.len(),
            vessels: everything.set_up.vessels.len(),
            entries: everything.entries.len(),
            newest: now,
            checks,
        }
    }

    /// Everything that is not as it should be.
    #[must_use]
    pub fn found(&self) -> Vec<String> {
        self.checks.iter().flat_map(|check| check.found.iter().cloned()).collect()
    }
}

/// Looks at a data folder, whether or not a server runs on it. Changes nothing.
///
/// # Errors
/// There is no file there, or it cannot be read at all.
pub async fn verify(folder: &Path) -> Result<Report, store::Error> {
    let reader = Reader::open(folder).await?;
    let mut checks = of_file(&reader).await?;
    let everything = reader.everything().await?;
    reader.close().await;
    let at_once = rebuilt(&everything);
    let mut one_by_one = Fold::of(everything.set_up.clone(), Vec::new(), 0, everything.change_seq);
    for entry in &everything.entries {
        one_by_one.add(std::slice::from_ref(entry), everything.entry_seq);
    }
    let found = differences(&at_once, one_by_one.picture());
    checks.push(Check { holds: "The picture folded entry by entry equals the one built at once.", found });
    Ok(Report::of(&everything, checks))
}

impl App {
    /// Looks at what is kept and at what is shown of it, while the house is open.
    ///
    /// # Errors
    /// Only the coordinator looks at everything; the file cannot be read.
    pub async fn verify(&self, caller: &Caller) -> Result<Report, Error> {
        caller.may(Deed::Coordinate, None)?;
        let reader = self.store.reader();
        let mut checks = of_file(reader).await?;
        // What is shown and what is stored at the same moment; whoever logs in between makes us look again.
        for _ in 0..TRIES {
            let shown = self.picture();
            let everything = reader.everything().await?;
            if (shown.entry_seq, shown.change_seq) != (everything.entry_seq, everything.change_seq) {
                continue;
            }
            let compared = tokio::task::spawn_blocking(move || {
                let found = differences(&shown, &rebuilt(&everything));
                (everything, found)
            });
            let (everything, found) = compared.await.map_err(|error| Error::Internal(error.into()))?;
            checks.push(Check { holds: "The picture that is shown equals one built anew.", found });
            return Ok(Report::of(&everything, checks));
        }
        Err(Error::Busy)
    }
}

/// How often what is shown and what is stored are looked at before it is left for later.
const TRIES: usize = 10;

async fn of_file(reader: &Reader) -> Result<Vec<Check>, store::Error> {
    let store::Integrity { file, named, altered } = reader.integrity().await?;
    Ok(vec![
        Check { holds: "The file is whole, by SQLite's own check.", found: file },
        Check { holds: "Everything that is named is there.", found: named },
        Check { holds: "Every entry is as it was logged, by its SHA-256.", found: altered },
    ])
}

fn rebuilt(everything: &Everything) -> Arc<Picture> {
    let Everything { set_up, entries, entry_seq, change_seq } = everything;
    Arc::clone(Fold::of(set_up.clone(), entries.clone(), *entry_seq, *change_seq).picture())
}

/// Where two pictures of the same thing differ, in words. Everything that is folded is compared, and the entries that it
/// is folded from.
#[must_use]
pub fn differences(one: &Picture, other: &Picture) -> Vec<String> {
    let mut found = Vec::new();
    if one.set_up != other.set_up {
        found.push("the set-up differs".to_owned());
    }
    if one.sources.all.len() != other.sources.all.len() {
        found.push("the number of supplies differs".to_owned());
    }
    for (a, b) in one.sources.all.values().zip(other.sources.all.values()) {
        if a != b {
            found.push(format!("the supply {} differs", a.source.name));
        }
    }
    if one.sites().len() != other.sites().len() {
        found.push("the number of sites differs".to_owned());
    }
    for (a, b) in one.sites().iter().zip(other.sites()) {
        at_site(a, b, &mut found);
    }
    found
}

fn at_site(a: &SitePicture, b: &SitePicture, found: &mut Vec<String>) {
    let name = &a.site.name;
    if a.site != b.site {
        found.push(format!("the site {name} differs"));
    }
    if (&a.generators, &a.fuel_stores, &a.loads, &a.batteries)
        != (&b.generators, &b.fuel_stores, &b.loads, &b.batteries)
    {
        found.push(format!("the power at {name} differs"));
    }
    if (&a.stages, &a.pumps) != (&b.stages, &b.pumps) {
        found.push(format!("the treatment or the pump at {name} differs"));
    }
    if a.ledger != b.ledger {
        found.push(format!("fuel, runs or faults at {name} differ"));
    }
    if a.vessels.len() != b.vessels.len() {
        found.push(format!("the number of vessels at {name} differs"));
    }
    for (left, right) in a.vessels.iter().zip(&b.vessels) {
        let vessel = &left.vessel.name;
        if (&left.vessel, &left.body, left.state()) != (&right.vessel, &right.body, right.state()) {
            found.push(format!("the vessel {vessel} at {name} differs"));
        } else if left.cluster() != right.cluster() {
            found.push(format!("what is reckoned together with the vessel {vessel} at {name} differs"));
        }
    }
}
