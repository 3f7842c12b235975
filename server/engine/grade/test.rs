//! What a test changes.

use super::Cause;
use super::contact_time;
use super::least_residual;
use super::reached;
use super::strongest;
use super::water::Reading;
use super::water::Water;
use crate::moment::Moment;
use crate::quantity::MassConcentration;

impl Water {
    /// Folds a test in; says whether it brought a cause. Too early a test can condemn and nothing else.
    pub(super) fn test(
        &mut self,
        at: Moment,
        free: Option<MassConcentration>,
        total: Option<MassConcentration>,
        coliform: Option<bool>,
    ) -> bool {
        let found = coliform == Some(true);
        if found {
            self.come(at, Cause::Coliform);
        }
        let Some(total_counts) = self.inside.map(|inside| inside.chloramine) else { return found };
        let over = [free, total].into_iter().flatten().any(|reading| reading > strongest());
        if over {
            self.come(at, Cause::Shock);
        }
        if !self.touched.is_none_or(|touched| reached(at, touched.after(contact_time()))) {
            return found || over;
        }
        let low = match if total_counts { total } else { free } {
            Some(value) => self.reading(Reading { at, value, total: total_counts }, over),
            None => false,
        };
        if coliform == Some(false) && !self.standing.iter().any(|standing| standing.cause == Cause::Shock) {
            self.standing.retain(|standing| !standing.awaits_sample());
        }
        found || over || low
    }

    /// The reading of a test that counts: whether it is below the policy's floor.
    fn reading(&mut self, reading: Reading, over: bool) -> bool {
        let floor = self.policy.floor();
        let mark =
            floor.map_or_else(least_residual, |floor| if floor > least_residual() { floor } else { least_residual() });
        let enough = reading.value >= mark;
        let good = enough && !over;
        if !over {
            self.go(Cause::Shock);
        }
        if good {
            self.go(Cause::Residual);
        }
        if let Some(inside) = &mut self.inside {
            inside.tested = Some(reading);
            if good {
                inside.good = Some(reading.at);
            } else if !enough {
                inside.good = None;
            }
        }
        let low = floor.is_some_and(|floor| reading.value < floor);
        if low {
            self.come(reading.at, Cause::Residual);
        }
        low
    }
}
