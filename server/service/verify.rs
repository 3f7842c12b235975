//! Is all well with what is kept? SQLite's own checks, and the picture folded entry by entry in order of arrival
//! against the one built at once.

use std::path::Path;

use crate::picture::Picture;
use crate::picture::SitePicture;
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
    if (&a.generators, &a.fuel_stores, &a.loads) != (&b.generators, &b.fuel_stores, &b.loads) {
        found.push(format!("the power at {name} differs"));
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
