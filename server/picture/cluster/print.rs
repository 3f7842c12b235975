//! What tells one history from another: as long as it is the same up to a moment, what is told of the time before is.

use std::collections::BTreeMap;
use std::hash::DefaultHasher;
use std::hash::Hash;
use std::hash::Hasher;
use std::sync::Arc;

use keepwell_engine::moment::Moment;

use crate::model::id::BankId;
use crate::model::vessel::Bank;
use crate::picture::cluster::Cluster;
use crate::picture::cluster::Member;
use crate::picture::cluster::Outages;
use crate::picture::cluster::moment;

/// The ground that a cluster is folded on, and which entries it had up to a moment. Entries never change.
#[derive(Clone, Debug)]
pub struct Print {
    members: Arc<Vec<Member>>,
    banks: Arc<BTreeMap<BankId, Arc<Bank>>>,
    outages: Arc<Outages>,
    entries: u64,
}

impl PartialEq for Print {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.members, &other.members)
            && Arc::ptr_eq(&self.banks, &other.banks)
            && Arc::ptr_eq(&self.outages, &other.outages)
            && self.entries == other.entries
    }
}

impl Cluster {
    #[must_use]
    pub fn print(&self, until: Moment) -> Print {
        let mut hasher = DefaultHasher::new();
        for entry in self.history.iter().take_while(|entry| moment(entry.at) <= until) {
            entry.id.uuid().hash(&mut hasher);
        }
        let (members, banks, outages) = (Arc::clone(&self.members), Arc::clone(&self.banks), Arc::clone(&self.outages));
        Print { members, banks, outages, entries: hasher.finish() }
    }
}
