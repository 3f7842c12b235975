//! Stored water running down while the mains are off: what a plan leaves, and what each site leaves on its own store.

use crate::endurance::Heels;
use crate::endurance::Reach;
use crate::endurance::Run;
use crate::endurance::Timeline;
use crate::grade::Grade;
use crate::quantity::INTERVAL;
use crate::quantity::OutOfRange;
use crate::quantity::Time;
use crate::quantity::Unit;
use crate::quantity::Volume;
use crate::quantity::VolumeRate;
use crate::quantity::as_days;
use crate::quantity::as_litres;
use crate::quantity::days;
use crate::working::Figure;
use crate::working::Working;

const EVERY_WAY: Reach = Reach { pump: true, gravity: true, dip: true };

/// So much water is to last for so long, used evenly.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plan {
    /// drinking water in reach when the mains stopped
    pub at_start: Volume,
    /// how long it is to last
    pub target: Time,
}

impl Plan {
    /// **Arguments.** `at_start`: 0 L or more; `target`: 1 to 3,650 days.
    ///
    /// # Errors
    /// [`OutOfRange`] when the target is not within that.
    pub fn new(at_start: Volume, target: Time) -> Result<Self, OutOfRange> {
        Ok(Self { at_start, target: days(INTERVAL.check(as_days(target))?) })
    }

    /// What the plan leaves when so much time has passed.
    ///
    /// **Formula.** left = at start × (1 − elapsed ÷ target), not below 0 and not above what there was at the start.
    ///
    /// ```
    /// use keepwell_engine::burn_down::Plan;
    /// use keepwell_engine::quantity::{as_litres, days, litres};
    /// // By hand: 14,000 L for 14 days are 1,000 L a day; after 3 days 11,000 L are left.
    /// let plan = Plan::new(litres(14_000.0), days(14.0))?;
    /// assert!((as_litres(plan.left(days(3.0))) - 11_000.0).abs() < 1e-6);
    /// # Ok::<(), keepwell_engine::quantity::OutOfRange>(())
    /// ```
    ///
    /// **Reference.** The project's own definition.
    #[must_use]
    pub fn left(&self, elapsed: Time) -> Volume {
        let part = 1.0 - (elapsed / self.target).value;
        self.at_start * part.clamp(0.0, 1.0)
    }

    /// What the plan allows a day.
    #[must_use]
    pub fn a_day(&self) -> VolumeRate {
        self.at_start / self.target
    }

    /// How it came about.
    #[must_use]
    pub fn working(&self, elapsed: Time) -> Working {
        Working::new("what the plan leaves", "L = L₀ × (1 − t / T)")
            .input(
                "drinking water in reach when it began",
                "L₀",
                Figure::exact(as_litres(self.at_start), Unit::Litre),
                "estimate",
            )
            .input("days it is to last", "T", Figure::exact(as_days(self.target), Unit::Day), "set-up")
            .input("days since it began", "t", Figure::exact(as_days(elapsed), Unit::Day), "clock")
            .step("left by the plan", "L", Figure::exact(as_litres(self.left(elapsed)), Unit::Litre))
            .source("the project's own definition")
    }
}

/// Drinking water in reach at a site when its run has gone on for so long: what its people leave, and what stays where the
/// pump no longer brings it up but a hand could still get at it.
///
/// **Formula.** Σ over the stocks counted as drinking water: litres − the lowest heel of any way to draw it, less what the
/// levels of service took until then, not below 0. Flushing is taken from what is not drinking water first.
///
/// **Reference.** The project's own definition.
#[must_use]
pub fn drink_left(site: &Run, timeline: &Timeline, at: Time) -> Volume {
    let above = |volume: Volume, heel: &Heels| {
        heel.lowest(EVERY_WAY).map_or_else(Volume::default, |heel| (volume - heel).max(Volume::default()))
    };
    let (mut drink, mut other) = (Volume::default(), Volume::default());
    for stock in &site.stocks {
        match stock.grade {
            Grade::Drink => drink += above(stock.volume, &stock.heel),
            Grade::Treat | Grade::Utility => other += above(stock.volume, &stock.heel),
            Grade::Hold => {}
        }
    }
    let (mut taken, mut flushed) = (Volume::default(), Volume::default());
    for span in timeline.spans.iter().filter(|span| span.from < at) {
        let Some(level) = span.level.and_then(|level| site.levels.get(level)) else { continue };
        let lasted = as_days(if span.to < at { span.to - span.from } else { at - span.from });
        taken += level.uses.drink_grade() * site.people * lasted;
        flushed += level.uses.flush * site.people * lasted;
    }
    let flushed = (flushed - other).max(Volume::default());
    (drink - taken - flushed).max(Volume::default())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::litres;
    use proptest::prelude::*;

    #[test]
    fn a_plan_that_has_run_out_leaves_nothing() {
        let plan = Plan::new(litres(9_000.0), days(6.0)).unwrap();
        assert!((as_litres(plan.left(days(0.0))) - 9_000.0).abs() < 1e-9);
        assert!(as_litres(plan.left(days(6.0))).abs() < 1e-9 && as_litres(plan.left(days(60.0))).abs() < 1e-9);
        assert!((as_litres(plan.left(days(-1.0))) - 9_000.0).abs() < 1e-9, "before it began");
        for bad in [f64::NAN, 0.0, -2.0, 5_000.0] {
            assert!(Plan::new(litres(1.0), days(bad)).is_err(), "{bad}");
        }
    }

    proptest! {
        #[test]
        fn a_plan_only_goes_down(start in 0.0..1e6_f64, target in 1.0..100.0_f64, a in 0.0..200.0_f64, b in 0.0..200.0_f64) {
            let plan = Plan::new(litres(start), days(target)).unwrap();
            prop_assert!(plan.left(days(a + b)) <= plan.left(days(a)));
        }
    }
}
