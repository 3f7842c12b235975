//! The formula and the figures behind what all explanations together say.

use super::Outlook;
use super::belief::Rate;
use super::belief::litres;
use super::state::part;
use crate::moment::Moment;
use crate::quantity::Unit;
use crate::quantity::as_days;
use crate::quantity::as_litres;
use crate::quantity::as_litres_per_day;
use crate::working::Figure;
use crate::working::Working;

impl Outlook {
    /// The formula and the figures behind [`Outlook::at`].
    #[must_use]
    pub fn working(&self, at: Moment) -> Working {
        let belief = self.at(at);
        let brim = self.brim;
        let mut working = Working::new("litres in the vessel", "V = Σ w·Vₖ, s² = Σ w·(sₖ² + (Vₖ − V)²)")
            .input("the brim", "brim", Figure::uncertain(brim, brim * self.capacity_sd, Unit::Litre), "set-up")
            .input("days since the last entry", "t", Figure::exact(self.idle_days(at), Unit::Day), "entry");
        let mut counted = 0_u32;
        for (index, (state, weight)) in self.foreseen(at).enumerate() {
            counted += 1;
            if index == 0 {
                let (mean, variance) = litres(&state, brim);
                working = working
                    .step("the likeliest explanation: its weight", "w₁", Figure::exact(weight, Unit::Fraction))
                    .step("what is in it by that one", "V₁ = S·(1 + e)", uncertain(mean, variance.sqrt()));
                if self.used.is_some() {
                    let (mean, sd) = (state.mean[part::USE], state.variance(part::USE).sqrt());
                    let figure = Figure::uncertain(mean, sd, Unit::LitrePerDay);
                    working = working.step("mean use by that one", "u₁", figure);
                }
            }
        }
        working = working.step("explanations that count", "n", Figure::exact(f64::from(counted), Unit::Count)).step(
            "all together",
            "V, s",
            uncertain(as_litres(belief.level.volume), as_litres(belief.level.sd)),
        );
        if let Some(usage) = &belief.usage {
            working = working.step("mean use", "u = Σ w·uₖ", rate(usage));
        }
        if let Some(leak) = &belief.leak {
            let ago = Figure::exact(as_days(at.since(leak.since)), Unit::Day);
            working = working
                .step("what leaks", "r, the middle one by weight", rate(&leak.rate))
                .step("how sure it is that there is a leak", "Σ w with one", Figure::exact(leak.chance, Unit::Fraction))
                .step("it began so many days ago", "tₖ − D/r", ago);
        }
        let widened = self.widened(at);
        working
            .step(
                "drawn since it was read and not logged, as far as it is likely",
                "d",
                exact(as_litres(self.unlogged(at))),
            )
            .step("8 in 10 times at least", "V − 1.2816 √(s² + d²), not below 0", exact(as_litres(widened.low)))
            .step("8 in 10 times at most", "V + 1.2816 √(s² + d²), not over the brim", exact(as_litres(widened.high)))
            .without("evaporation, and explanations that together weigh less than 0.6 %")
            .source("one Kalman filter for each explanation: Kalman 1960, Reid 1979")
            .source("errors of readings: JCGM 100:2008 (GUM)")
            .source("odds of slips, forgotten draws and fills, and leaks: common practice, no source")
    }

    fn idle_days(&self, at: Moment) -> f64 {
        self.day(at) - self.now
    }
}

fn exact(value: f64) -> Figure {
    Figure::exact(value, Unit::Litre)
}

fn uncertain(value: f64, sd: f64) -> Figure {
    Figure::uncertain(value, sd, Unit::Litre)
}

fn rate(of: &Rate) -> Figure {
    Figure::uncertain(as_litres_per_day(of.mean), as_litres_per_day(of.sd), Unit::LitrePerDay)
}
