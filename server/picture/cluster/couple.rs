//! Opening and shutting a bank.

use keepwell_engine::grade::Act as Quality;
use keepwell_engine::level::Estimate;
use keepwell_engine::quantity::Volume;

use crate::model::entry::coupling::Coupled;
use crate::model::id::BankId;
use crate::picture::cluster::apply::Fold;
use crate::picture::cluster::state::Part;
use crate::picture::cluster::state::joint_level;
use crate::picture::cluster::state::quality;

impl Fold<'_> {
    /// Opening mixes: each vessel takes in what the others hold, then they share one level. Shutting leaves each with
    /// its share.
    pub(super) fn coupling(&mut self, bank: BankId, state: Coupled) {
        let Some(joint) = self.state.joints.iter().position(|joint| joint.bank == bank) else { return };
        let slots = self.state.joints[joint].slots.clone();
        match (state, self.state.joints[joint].level.is_some()) {
            (Coupled::Coupled, false) => self.open(joint, &slots),
            (Coupled::Separate, true) => self.shut(joint, &slots),
            (Coupled::Coupled, true) | (Coupled::Separate, false) => {}
        }
    }

    fn open(&mut self, joint: usize, slots: &[usize]) {
        let Some(mut level) = joint_level(self.members, slots) else { return };
        let estimates: Vec<Estimate> =
            slots.iter().map(|slot| self.state.estimate(self.members, *slot, self.at)).collect();
        if slots.iter().any(|slot| self.state.is_known(*slot)) {
            let (total, variance) = estimates.iter().fold((Volume::default(), 0.0), |(total, variance), estimate| {
                (total + estimate.volume, variance + estimate.sd.value * estimate.sd.value)
            });
            let sd = Volume { value: variance.sqrt(), ..Volume::default() };
            if let Err(error) = level.read(self.at, total, sd) {
                tracing::warn!(entry = %self.entry.id, "the level of a bank cannot be reckoned: {error}");
            }
        }
        let contents: Vec<_> = slots
            .iter()
            .map(|slot| self.state.vessels[*slot].parts.first().and_then(|part| part.water.contents(self.at)))
            .collect();
        for (own, slot) in slots.iter().enumerate() {
            for (other, contents) in contents.iter().enumerate() {
                if let Some(contents) = contents
                    && own != other
                    && let Some(part) = self.state.vessels[*slot].parts.first_mut()
                {
                    quality(&mut part.water, self.at, &Quality::TransferIn(contents.clone()));
                }
            }
        }
        self.state.joints[joint].level = Some(level);
    }

    fn shut(&mut self, joint: usize, slots: &[usize]) {
        let known = slots.first().is_some_and(|slot| self.state.is_known(*slot));
        let shares: Vec<Estimate> =
            slots.iter().map(|slot| self.state.estimate(self.members, *slot, self.at)).collect();
        self.state.joints[joint].level = None;
        for (slot, share) in slots.iter().zip(shares) {
            let Some(mut part) = Part::first(&self.members[*slot], "") else { continue };
            if known && let Err(error) = part.level.read(self.at, share.volume, share.sd) {
                tracing::warn!(entry = %self.entry.id, "a vessel's share of its bank cannot be reckoned: {error}");
            }
            if let Some(there) = self.state.vessels[*slot].parts.first_mut() {
                there.level = part.level;
            }
        }
    }
}
