//! Is all well with what is kept? SQLite's own checks, and the picture folded entry by entry in order of arrival
//! against the one built at once.

use std::path::Path;

use crate::picture::Picture;
use crate::picture::fold::Fold;
use crate::store;
use crate::store::Reader;

/// What was looked at and what was found.
#[derive(Clone, Debug)]
pub struct Report {
    pub sites: usize,
    pub vessels: usize,
    pub entries: usize,
    /// in words; empty if all is well
    pub found: Vec<String>,
}

/// Looks at a data folder, whether or not a server runs on it. Changes nothing.
///
/// # Errors
/// There is no file there, or it cannot be read at all.
pub async fn verify(folder: &Path) -> Result<Report, store::Error> {
    let reader = Reader::open(folder).await?;
    let mut found = reader.integrity().await?;
    let everything = reader.everything().await?;
    let at_once =
        Fold::of(everything.set_up.clone(), everything.entries.clone(), everything.entry_seq, everything.change_seq);
    let mut one_by_one = Fold::of(everything.set_up.clone(), Vec::new(), 0, everything.change_seq);
    for entry in &everything.entries {
        one_by_one.add(std::slice::from_ref(entry), everything.entry_seq);
    }
    found.extend(differences(at_once.picture(), one_by_one.picture()));
    Ok(Report {
        sites: everything.set_up.sites.len(),
        vessels: everything.set_up.vessels.len(),
        entries: everything.entries.len(),
        found,
    })
}

/// Where two pictures of the same thing differ, in words.
#[must_use]
pub fn differences(one: &Picture, other: &Picture) -> Vec<String> {
    let mut found = Vec::new();
    if one.set_up != other.set_up {
        found.push("the set-up differs".to_owned());
    }
    if one.sites().len() != other.sites().len() {
        found.push("the number of sites differs".to_owned());
    }
    for (a, b) in one.sites().iter().zip(other.sites()) {
        let name = &a.site.name;
        if a.site != b.site {
            found.push(format!("the site {name} differs"));
        }
        if a.ledger.state != b.ledger.state {
            found.push(format!("fuel, runs or faults at {name} differ"));
        }
        if a.vessels.len() != b.vessels.len() {
            found.push(format!("the number of vessels at {name} differs"));
        }
        for (left, right) in a.vessels.iter().zip(&b.vessels) {
            if left.state() != right.state() || left.cluster().state().joints != right.cluster().state().joints {
                found.push(format!("the vessel {} at {name} differs", left.vessel.name));
            }
        }
    }
    found
}
