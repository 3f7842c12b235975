//! Which supplies the water of a vessel may have come from.

use std::collections::BTreeSet;

use keepwell_engine::moment::Moment;

use crate::model::entry::Act;
use crate::model::id::BankId;
use crate::model::id::SourceId;
use crate::model::id::VesselId;
use crate::picture::cluster::Cluster;
use crate::picture::cluster::moment;

impl Cluster {
    /// The supplies of the fills since then, told or taken for granted, that may have reached a vessel: its own, those of what
    /// was open to it, and those of whatever was poured over into it afterwards. Where there are none, the usual
    /// supplies of these.
    pub(in crate::picture) fn came_from(&self, slot: usize, since: Moment) -> BTreeSet<SourceId> {
        let window = || self.history.iter().rev().take_while(|entry| moment(entry.at) >= since);
        let told =
            window().filter_map(|entry| if let Act::Coupling(told) = &entry.act { Some(told.bank) } else { None });
        let open = self.state.joints.iter().filter(|joint| joint.level.is_some()).map(|joint| joint.bank);
        let open: BTreeSet<BankId> = open.chain(told).collect();
        let with = |vessel: VesselId| {
            let bank =
                self.slot(vessel).and_then(|slot| self.members[slot].vessel.bank).filter(|bank| open.contains(bank));
            let mates = self.members.iter().filter(move |mate| bank.is_some() && mate.vessel.bank == bank);
            mates.map(|mate| mate.vessel.id).chain([vessel])
        };
        let mut reach: BTreeSet<VesselId> = with(self.members[slot].vessel.id).collect();
        let mut found = BTreeSet::new();
        // The latest first: what is poured over brings what came before it.
        for entry in window() {
            let Some(vessel) = entry.vessel else { continue };
            match &entry.act {
                Act::Fill(fill) if reach.contains(&vessel) => {
                    found.insert(fill.source);
                }
                Act::Transfer(poured) if reach.contains(&poured.to) => reach.extend(with(vessel)),
                _ => {}
            }
        }
        let slots: Vec<usize> = reach.iter().filter_map(|vessel| self.slot(*vessel)).collect();
        let granted = |slot: &&usize| self.state.vessels[**slot].fill_assumed.is_some_and(|at| at >= since);
        let usual = |slot: &usize| self.members[*slot].usual;
        found.extend(slots.iter().filter(granted).filter_map(usual));
        if found.is_empty() {
            found.extend(slots.iter().filter_map(usual));
        }
        found
    }
}
