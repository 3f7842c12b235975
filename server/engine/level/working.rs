//! The formula and the figures behind a level.

use super::Change;
use super::Level;
use crate::moment::Moment;
use crate::quantity::Unit;
use crate::quantity::as_litres;
use crate::working::Figure;
use crate::working::Working;

impl Level {
    /// The formula and the figures behind [`Level::at`].
    #[must_use]
    pub fn working(&self, now: Moment) -> Working {
        let estimate = self.at(now);
        let litres_of = |value: f64| Figure::exact(value, Unit::Litre);
        let mut working = Working::new("litres in the vessel", "V ± 1.2816 · √(s² + u²), u = 0.0075 · brim · √t")
            .input("the brim", "brim", litres_of(self.brim), "set-up");
        if let Some(Change { words, formula, before, entered }) = self.change {
            working = working.input("believed before the last entry", "V₀", uncertain(before), "entries before it");
            if let Some(entered) = entered {
                working = working.input("the last entry", "m", uncertain(entered), "entry");
            }
            working = working.step(words, formula, uncertain((self.volume, self.sd)));
        } else {
            working = working.step(
                "nothing known: anywhere in the vessel",
                "V = brim/2, s = brim/√12",
                uncertain((self.volume, self.sd)),
            );
        }
        working
            .input("days since the last entry", "t", Figure::exact(self.idle_days(now), Unit::Day), "entry")
            .step("use that nobody logged", "u = 0.0075 · brim · √t, at most V", litres_of(self.unlogged(now)))
            .step("now", "s = √(s² + u²)", uncertain(estimate.litres()))
            .step("8 in 10 times at least", "V − 1.2816 s, not below 0", litres_of(as_litres(estimate.low)))
            .step("8 in 10 times at most", "V + 1.2816 s, not over the brim", litres_of(as_litres(estimate.high)))
            .without("rate of use and leaks; errors that last, as of a sensor's offset or a wrong capacity")
            .source("inverse-variance weighting; JCGM 100:2008 (GUM) 5.1.2")
            .source("0.0075 of the brim in a day: common practice, no source")
    }
}

fn uncertain((value, sd): (f64, f64)) -> Figure {
    Figure::uncertain(value, sd, Unit::Litre)
}
