//! Which vessels are folded together.

use std::collections::HashMap;

use crate::model::id::BankId;
use crate::model::id::VesselId;
use crate::model::setup::SetUp;

/// Vessels that water passes between, found by joining pairs.
pub(super) struct Groups {
    parent: HashMap<VesselId, VesselId>,
}

impl Groups {
    /// Joined by banks.
    pub(super) fn of(set_up: &SetUp) -> Self {
        let mut groups = Self { parent: HashMap::new() };
        let mut first: HashMap<BankId, VesselId> = HashMap::new();
        for kept in set_up.vessels.values() {
            if let Some(bank) = kept.thing.bank {
                let root = *first.entry(bank).or_insert(kept.thing.id);
                groups.join(root, kept.thing.id);
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
