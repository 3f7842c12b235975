//! Use per person, learned: what was measured, weighed with what was assumed.

use crate::quantity::Measure;
use crate::quantity::OutOfRange;
use crate::quantity::RATION;
use crate::quantity::Time;
use crate::quantity::Unit;
use crate::quantity::VOLUME;
use crate::quantity::Volume;
use crate::quantity::as_days;
use crate::quantity::as_litres;
use crate::quantity::litres;
use crate::working::Figure;
use crate::working::Working;

const LENGTH: Measure = Measure::new("days measured over", Unit::Day, 0.01, 3_650.0);
const ERROR: Measure = Measure::new("standard deviation of litres used", Unit::Litre, 0.001, 10_000_000.0);
const SPREAD: Measure = Measure::new("standard deviation of the assumed use", Unit::LitrePerDay, 0.001, 2_000.0);
/// those who used it: litres of nobody are no use per person
const USERS: Measure = Measure::new("people", Unit::Count, 0.001, 1_000_000.0);

/// The part of the weight that the measured use has once there is enough of it. Common practice, no source.
pub const ENOUGH_WEIGHT: f64 = 0.9;
/// The days that must be measured for there to be enough: a week has its washing day. Common practice, no source.
pub const ENOUGH_DAYS: f64 = 7.0;

/// Litres used by so many people in so many days.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// litres used in all, 0 to 10,000,000
    pub used: Volume,
    /// one standard deviation of that, above 0: of the two readings, and of what was drawn without an entry
    pub sd: Volume,
    /// people who used it, above 0
    pub people: f64,
    /// over so long, 0.01 to 3,650 days; the stretches of a list do not overlap
    pub over: Time,
}

/// What use per person is taken to be.
#[derive(Clone, Debug, PartialEq)]
pub struct Learned {
    /// litres a person a day, measured and assumed weighed together
    pub each: Volume,
    /// one standard deviation of it
    pub sd: Volume,
    /// the measured alone; `None`: nothing was measured
    pub measured: Option<(Volume, Volume)>,
    /// the part of the weight that the measured has, 0 to 1
    pub weight: f64,
    /// by how much the measured moved it from what was assumed; below 0 it is less
    pub moved: Volume,
    /// how much wider the errors were taken, because the measured disagree by more than they should; 1 is not at all
    pub widened: f64,
    /// days measured in all
    pub days: f64,
    /// whether there is enough to go by the measured: it has [`ENOUGH_WEIGHT`] of the weight or more, over [`ENOUGH_DAYS`]
    /// or more
    pub enough: bool,
    assumed: (f64, f64),
}

/// Use per person from what was measured and what is assumed.
///
/// - **Formula** each stretch gives m = litres/(people · days) with s = sd/(people · days). The assumption a ± τ and the
///   stretches are weighed by their inverse variances: u = (a/τ² + Σ m/s²)/(1/τ² + Σ 1/s²), sd = 1/√(1/τ² + Σ 1/s²), the
///   conjugate normal. Where n stretches disagree, so that R² = Σ ((m − m̄)/s)²/(n − 1) is above 1, every s is first taken R
///   times as wide: use that changes is not known better by being measured oftener.
/// - **Enough** when the measured has at least 0.9 of the weight and covers at least 7 days: common practice, no source.
/// - **Arguments** `assumed` 0 to 2,000 L a person a day, with its `spread` (one standard deviation, above 0); [`Measured`].
/// - **Reference** Box and Tiao 1973, Bayesian Inference in Statistical Analysis, 1.2 (from memory), whose physicists begin
///   with 900 ± 20 and 800 ± 80 and measure 850 ± 40: 890 ± 17.9 and 840 ± 35.8. R: Birge 1932 (from memory).
///
/// # Errors
/// [`OutOfRange`] names what is not.
///
/// ```
/// use keepwell_engine::demand::{Measured, learned};
/// use keepwell_engine::quantity::{as_litres, days, litres};
/// // 850 L a day by one head over one day, ± 40: Box and Tiao's second physicist.
/// let one = Measured { used: litres(850.0), sd: litres(40.0), people: 1.0, over: days(1.0) };
/// let use_now = learned(litres(800.0), litres(80.0), &[one])?;
/// assert!((as_litres(use_now.each) - 840.0).abs() < 1e-9 && (as_litres(use_now.sd) - 35.8).abs() < 0.05);
/// assert!(!use_now.enough, "one day is not a week");
/// # Ok::<(), keepwell_engine::quantity::OutOfRange>(())
/// ```
pub fn learned(assumed: Volume, spread: Volume, measured: &[Measured]) -> Result<Learned, OutOfRange> {
    let prior = RATION.check(as_litres(assumed))?;
    let tau = SPREAD.check(as_litres(spread))?;
    let mut each = Vec::with_capacity(measured.len());
    let mut covered = 0.0;
    for one in measured {
        let over = LENGTH.check(as_days(one.over))?;
        let heads = USERS.check(one.people)? * over;
        let m = RATION.check(VOLUME.check(as_litres(one.used))? / heads)?;
        each.push((m, ERROR.check(as_litres(one.sd))? / heads));
        covered += over;
    }
    let assumption = 1.0 / (tau * tau);
    let precision: f64 = each.iter().map(|(_, s)| 1.0 / (s * s)).sum();
    let mean = each.iter().map(|(m, s)| m / (s * s)).sum::<f64>() / precision;
    let widened = widened(&each, mean);
    let information = precision / (widened * widened);
    let measured = (!each.is_empty()).then(|| (litres(mean), litres(1.0 / information.sqrt())));
    let weight = information / (information + assumption);
    let moved = if each.is_empty() { 0.0 } else { weight * (mean - prior) };
    Ok(Learned {
        each: litres(prior + moved),
        sd: litres(1.0 / (information + assumption).sqrt()),
        measured,
        weight,
        moved: litres(moved),
        widened,
        days: covered,
        enough: weight >= ENOUGH_WEIGHT && covered >= ENOUGH_DAYS,
        assumed: (prior, tau),
    })
}

/// Birge's ratio where it is above 1.
fn widened(each: &[(f64, f64)], mean: f64) -> f64 {
    let Some(rest) = each.len().checked_sub(1).and_then(|rest| u32::try_from(rest).ok()).filter(|rest| *rest > 0)
    else {
        return 1.0;
    };
    let square: f64 = each.iter().map(|(m, s)| ((m - mean) / s).powi(2)).sum();
    (square / f64::from(rest)).sqrt().max(1.0)
}

impl Learned {
    /// The formula and figures behind the use.
    #[must_use]
    pub fn working(&self) -> Working {
        let (assumed, spread) = self.assumed;
        let a_day = |value: Volume, sd: Volume| Figure::uncertain(as_litres(value), as_litres(sd), Unit::LitrePerDay);
        let mut working = Working::new("litres a person a day", "u = (a/τ² + Σ m/s²) / (1/τ² + Σ 1/s²)")
            .input("assumed", "a ± τ", Figure::uncertain(assumed, spread, Unit::LitrePerDay), "set-up")
            .input("days measured", "", Figure::exact(self.days, Unit::Day), "entries");
        if let Some((mean, sd)) = self.measured {
            working = working.step("measured alone", "m̄ = Σ m/s² / Σ 1/s²", a_day(mean, sd)).step(
                "errors taken wider by",
                "R, at least 1",
                Figure::exact(self.widened, Unit::Count),
            );
        }
        working
            .step("weight of the measured", "Σ 1/s² / (1/τ² + Σ 1/s²)", Figure::exact(self.weight, Unit::Fraction))
            .step("moved by", "u − a", Figure::exact(as_litres(self.moved), Unit::LitrePerDay))
            .step("taken now", "u", a_day(self.each, self.sd))
            .without("what was used from a vessel without an entry, beyond its part of the error")
            .source("inverse-variance weighting; Box and Tiao 1973, 1.2 (from memory)")
            .source("enough: nine tenths of the weight and seven days; common practice, no source")
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::days;

    fn stretch(used: f64, sd: f64, people: f64, over: f64) -> Measured {
        Measured { used: litres(used), sd: litres(sd), people, over: days(over) }
    }

    fn near(got: Volume, expected: f64) {
        assert!((as_litres(got) - expected).abs() < 1e-6, "{}, expected {expected}", as_litres(got));
    }

    #[test]
    fn the_published_physicists() {
        // Box and Tiao 1973, 1.2.2 (from memory): A begins with 900 ± 20 and ends with 890 ± 17.9; B with 800 ± 80, 840 ± 35.8.
        for (a, spread, each, sd) in [(900.0, 20.0, 890.0, 17.9), (800.0, 80.0, 840.0, 35.8)] {
            let found = learned(litres(a), litres(spread), &[stretch(850.0, 40.0, 1.0, 1.0)]).unwrap();
            near(found.each, each);
            assert!((as_litres(found.sd) - sd).abs() < 0.05);
        }
    }

    #[test]
    fn by_hand_two_stretches_that_agree() {
        // 4 people. 8 days: 384 ± 32 L = 12 ± 1. 4 days: 208 ± 32 L = 13 ± 2. Assumed 15 ± 4.
        // Weights 1, 1/4 and 1/16, together 1.3125. Measured alone (12 + 3.25)/1.25 = 12.2, sd 1/√1.25 = 0.894427.
        // R² = 0.2² + (0.8/2)² = 0.2 over 1: not widened. u = (15.25 + 15/16)/1.3125 = 12.333333, sd 0.872872.
        let found =
            learned(litres(15.0), litres(4.0), &[stretch(384.0, 32.0, 4.0, 8.0), stretch(208.0, 32.0, 4.0, 4.0)])
                .unwrap();
        let (mean, sd) = found.measured.unwrap();
        near(mean, 12.2);
        near(sd, 0.894_427_191);
        near(found.each, 12.333_333_333);
        near(found.sd, 0.872_871_561);
        near(found.moved, -2.666_666_667);
        assert!((found.weight - 1.25 / 1.3125).abs() < 1e-12 && found.enough);
        assert!((found.widened - 1.0).abs() < 1e-12);
    }

    #[test]
    fn by_hand_two_stretches_that_do_not() {
        // 10 ± 1 and 16 ± 1: mean 13, R² = 3² + 3² = 18. Alone 1/√2, widened to √18/√2 = 3; beside 15 ± 4 the weight is
        // (1/9)/(1/9 + 1/16) = 0.64, so u = 15 − 0.64 × 2 = 13.72, sd 1/√(25/144) = 2.4; not enough, however many days.
        let found =
            learned(litres(15.0), litres(4.0), &[stretch(100.0, 10.0, 1.0, 10.0), stretch(160.0, 10.0, 1.0, 10.0)])
                .unwrap();
        near(found.each, 13.72);
        near(found.sd, 2.4);
        assert!((found.widened - 18.0_f64.sqrt()).abs() < 1e-12 && !found.enough);
    }

    #[test]
    fn nothing_measured_leaves_the_assumption() {
        let found = learned(litres(15.0), litres(5.0), &[]).unwrap();
        near(found.each, 15.0);
        near(found.sd, 5.0);
        assert_eq!((found.measured, found.enough), (None, false));
        assert!(found.weight.abs() < 1e-12 && found.working().steps.len() == 3);
    }

    #[test]
    fn what_is_out_of_range_is_refused_by_name() {
        let good = stretch(100.0, 10.0, 2.0, 5.0);
        let bad: [(Measured, &str); 6] = [
            (Measured { used: litres(-1.0), ..good }, "volume is -1"),
            (Measured { sd: litres(0.0), ..good }, "standard deviation of litres used is 0"),
            (Measured { people: 0.0, ..good }, "people is 0"),
            (Measured { people: f64::NAN, ..good }, "people is NaN"),
            (Measured { over: days(0.0), ..good }, "days measured over is 0"),
            (Measured { used: litres(1e6), ..good }, "litres a person a day is 100000"),
        ];
        for (measured, words) in bad {
            let error = learned(litres(15.0), litres(5.0), &[measured]).unwrap_err().to_string();
            assert!(error.contains(words) && error.contains("allowed"), "{error:?} does not say {words:?}");
        }
        assert!(learned(litres(15.0), litres(0.0), &[]).unwrap_err().to_string().contains("assumed use is 0"));
    }

    proptest! {
        /// It lies between what was assumed and what was measured, and is known no worse than the assumption.
        #[test]
        fn it_lies_between_and_is_known_better(
            a in 0.0..300.0f64, spread in 0.1..100.0f64,
            each in prop::collection::vec((0.0..300.0f64, 0.1..50.0f64, 1u8..20), 1..8),
        ) {
            let all: Vec<Measured> =
                each.iter().map(|(m, s, n)| stretch(m * f64::from(*n), s * f64::from(*n), 1.0, f64::from(*n))).collect();
            let found = learned(litres(a), litres(spread), &all).unwrap();
            let (mean, sd) = found.measured.unwrap();
            let (low, high) = (a.min(as_litres(mean)), a.max(as_litres(mean)));
            prop_assert!((low - 1e-9..=high + 1e-9).contains(&as_litres(found.each)));
            prop_assert!(as_litres(found.sd) <= spread.min(as_litres(sd)) + 1e-9);
            prop_assert!((as_litres(found.moved) - (as_litres(found.each) - a)).abs() < 1e-9);
        }

        #[test]
        fn any_measured_use_is_an_answer_or_an_error(f in prop::array::uniform6(prop_oneof![prop::num::f64::ANY, 0.0..100.0f64])) {
            if let Ok(found) = learned(litres(f[0]), litres(f[1]), &[stretch(f[2], f[3], f[4], f[5]), stretch(5.0, 0.1, 1.0, 1.0)]) {
                prop_assert!(found.working().steps.iter().all(|step| step.figure.value.is_finite()));
                prop_assert!((0.0..=1.0).contains(&found.weight));
            }
        }
    }
}
