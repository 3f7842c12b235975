//! What is known of the supplies: notices in force, and what disinfects each.

use super::Disinfectant;
use super::Line;
use super::NoticeKind;
use super::water::Supply;
use super::water::Water;
use crate::moment::Moment;

impl Water {
    pub(super) fn supply(&self, line: Line) -> Supply {
        let known = self.supplies.iter().find(|supply| supply.line == line);
        known.copied().unwrap_or(Supply { line, in_force: Default::default(), chloramine: false })
    }

    pub(super) fn set_supply(&mut self, supply: Supply) {
        self.supplies.retain(|other| other.line != supply.line);
        if supply.chloramine || supply.in_force.contains(&true) {
            self.supplies.push(supply);
            self.supplies.sort_unstable_by_key(|supply| supply.line);
        }
    }

    pub(super) fn notice(&mut self, at: Moment, line: Line, kind: NoticeKind, in_force: bool) {
        let mut supply = self.supply(line);
        supply.in_force[kind as usize] = in_force;
        self.set_supply(supply);
        if in_force && self.flow().is_some_and(|flow| flow.line == line) {
            self.come(at, kind.cause());
        }
    }

    pub(super) fn mains(&mut self, line: Line, disinfectant: Disinfectant) {
        let chloramine = disinfectant == Disinfectant::Chloramine;
        self.set_supply(Supply { chloramine, ..self.supply(line) });
        if let Some(inside) = &mut self.inside
            && inside.flow.is_some_and(|flow| flow.line == line)
        {
            inside.chloramine |= chloramine;
        }
    }
}
