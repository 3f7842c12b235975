//! Which vessels are folded together.

use std::collections::HashMap;
use std::collections::HashSet;
use std::sync::Arc;

use crate::model::entry::Act;
use crate::model::entry::Entry;
use crate::model::id::BankId;
use crate::model::id::VesselId;
use crate::picture::cluster::Member;

/// Vessels that water passes between, found by joining pairs.
pub(super) struct Groups {
    parent: HashMap<VesselId, VesselId>,
}

impl Groups {
    /// Joined by banks, and by transfers between any two of them.
    pub(super) fn of(members: &[Member], entries: &[Arc<Entry>]) -> Self {
        let mut groups = Self { parent: HashMap::new() };
        let mut first: HashMap<BankId, VesselId> = HashMap::new();
        for vessel in members.iter().map(|member| &member.vessel) {
            if let Some(bank) = vessel.bank {
                let root = *first.entry(bank).or_insert(vessel.id);
                groups.join(root, vessel.id);
            }
        }
        let there: HashSet<VesselId> = members.iter().map(|member| member.vessel.id).collect();
        for entry in entries {
            if let Act::Transfer(transfer) = &entry.act
                && let Some(from) = entry.vessel
                && there.contains(&from)
                && there.contains(&transfer.to)
            {
                groups.join(from, transfer.to);
            }
        }
        groups
    }

    /// The least id of the group, so that the order of joining does not matter.
    pub(super) fn root(&mut self, id: VesselId) -> VesselId {
        let mut root = id;
        while let Some(&parent) = self.parent.get(&root) {
            root = parent;
        }
        let mut at = id;
        while at != root {
            match self.parent.insert(at, root) {
                Some(next) => at = next,
                None => break,
            }
        }
        root
    }

    pub(super) fn join(&mut self, one: VesselId, other: VesselId) {
        let (one, other) = (self.root(one), self.root(other));
        if one != other {
            self.parent.insert(one.max(other), one.min(other));
        }
    }
}
