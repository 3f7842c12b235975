//! How a residual fades, and the rate of it from a vessel's own tests.

mod fit;

pub use fit::FittedRate;
pub use fit::FloorForecast;
pub use fit::ResidualForecast;
pub use fit::ResidualTest;
pub use fit::TEST_ERROR;
pub use fit::fitted_rate;

use crate::quantity::Ct;
use crate::quantity::FREE_CHLORINE;
use crate::quantity::Frequency;
use crate::quantity::MassConcentration;
use crate::quantity::ThermodynamicTemperature;
use crate::quantity::Time;
use crate::quantity::Unit;
use crate::quantity::VOLUME;
use crate::quantity::Volume;
use crate::quantity::WATER_TEMPERATURE;
use crate::quantity::as_celsius;
use crate::quantity::as_days;
use crate::quantity::as_litres;
use crate::quantity::as_mg_per_litre;
use crate::quantity::as_minutes;
use crate::quantity::as_per_day;
use crate::quantity::days;
use crate::quantity::mg_per_litre;
use crate::quantity::per_day;
use crate::treatment::TreatmentError;
use crate::treatment::above_zero;
use crate::treatment::measures::ACTIVATION;
use crate::treatment::measures::AGE;
use crate::treatment::measures::CONTACT_TIME;
use crate::treatment::measures::RATE;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

const FIRST_ORDER: &str = "first-order bulk decay: Vasconcelos et al. 1997, J AWWA 89(7):54";

/// Activation energy over the gas constant where nothing better is known: 7,000 K, between the 6,000 and 10,000 that are
/// reported (2 to 3 times faster for 10 °C; from memory).
#[must_use]
pub const fn usual_temperature_effect() -> f64 {
    7_000.0
}

/// Free chlorine after a time: C = C₀·exp(−k·t).
///
/// - **Arguments** `at_first` 0 to 1,000 mg/L; `rate` k 0 to 1,000 a day; `after` t 0 to 36,500 days.
/// - **Range** a forecast, which changes no grade: early loss is faster, and sunlight and open tanks faster still.
/// - **Reference** Vasconcelos et al. 1997, J AWWA 89(7):54.
///
/// # Errors
/// [`TreatmentError::OutOfRange`] names what is not allowed.
///
/// 1 mg/L at 0.1 a day for a week: e^-0.7 = 0.4966.
/// ```
/// use keepwell_engine::quantity::{as_mg_per_litre, days, mg_per_litre, per_day};
/// let left = keepwell_engine::treatment::residual_after(mg_per_litre(1.0), per_day(0.1), days(7.0))?;
/// assert!((as_mg_per_litre(left.value) - 0.4966).abs() < 1e-4);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn residual_after(
    at_first: MassConcentration,
    rate: Frequency,
    after: Time,
) -> Result<Reckoned<MassConcentration>, TreatmentError> {
    let first = FREE_CHLORINE.check(as_mg_per_litre(at_first))?;
    let (rate, after) = (RATE.check(as_per_day(rate))?, AGE.check(as_days(after))?);
    let left = first * (-rate * after).exp();
    Ok(Working::new("free chlorine after a time", "C = C₀·exp(−k·t)")
        .input("free chlorine at first", "C₀", Figure::exact(first, Unit::MilligramPerLitre), "test")
        .input("rate", "k", Figure::exact(rate, Unit::PerDay), "fitted or assumed")
        .input("time", "t", Figure::exact(after, Unit::Day), "asked")
        .step("free chlorine", "C", Figure::exact(left, Unit::MilligramPerLitre))
        .without("sunlight, open lids and the faster loss of the first hours")
        .source(FIRST_ORDER)
        .gives(mg_per_litre(left)))
}

/// When a residual reaches its floor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Falls {
    /// it is there already
    Already,
    /// after so long
    In(Time),
    /// it does not fall, or has no floor to reach
    Never,
}

/// Days beyond which a fall is none; a number still, but not one that means anything.
const NEVER: f64 = 1e12;

/// How long until free chlorine falls to a floor: t = ln(C₀/C_floor)/k.
///
/// - **Arguments** `at_first`, `floor` 0 to 1,000 mg/L; `rate` 0 to 1,000 a day at the water's temperature ([`rate_at`]).
/// - **Reference** Vasconcelos et al. 1997; the floor: WHO, Sphere 2018 (0.2 mg/L).
///
/// # Errors
/// [`TreatmentError::OutOfRange`] names what is not allowed.
///
/// From 1.0 to 0.2 mg/L takes 1.609/k days: 80 at 0.02 a day.
/// ```
/// use keepwell_engine::quantity::{as_days, mg_per_litre, per_day};
/// use keepwell_engine::treatment::{Falls, to_floor};
/// let falls = to_floor(mg_per_litre(1.0), mg_per_litre(0.2), per_day(0.02))?.value;
/// assert!(matches!(falls, Falls::In(time) if (as_days(time) - 80.47).abs() < 0.01));
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn to_floor(
    at_first: MassConcentration,
    floor: MassConcentration,
    rate: Frequency,
) -> Result<Reckoned<Falls>, TreatmentError> {
    let first = FREE_CHLORINE.check(as_mg_per_litre(at_first))?;
    let floor = FREE_CHLORINE.check(as_mg_per_litre(floor))?;
    let rate = RATE.check(as_per_day(rate))?;
    let mut working = Working::new("until the residual reaches its floor", "t = ln(C₀/C_floor)/k")
        .input("free chlorine at first", "C₀", Figure::exact(first, Unit::MilligramPerLitre), "test")
        .input("floor", "C_floor", Figure::exact(floor, Unit::MilligramPerLitre), "policy")
        .input("rate", "k", Figure::exact(rate, Unit::PerDay), "fitted or assumed")
        .without("a forecast asks for a test; it changes no grade")
        .source(FIRST_ORDER);
    let time = (first / floor).ln() / rate;
    let falls = if first <= floor {
        Falls::Already
    } else if (0.0..=NEVER).contains(&time) {
        working = working.step("days", "t", Figure::exact(time, Unit::Day));
        Falls::In(days(time))
    } else {
        Falls::Never
    };
    Ok(working.gives(falls))
}

/// A rate from two tests of the same water, neither dosed nor topped up between: k = ln(C₁/C₂)/Δt.
///
/// - **Arguments** tests above 0 to 1,000 mg/L; `apart` above 0 to 36,500 days.
/// - **Reference** Vasconcelos et al. 1997, J AWWA 89(7):54. With its error, and from more tests: [`fitted_rate`].
///
/// # Errors
/// [`TreatmentError::NotFalling`] when the second is not lower, or there is no time between them.
///
/// 1.0 to 0.6 mg/L in three days: 0.1703 a day.
/// ```
/// use keepwell_engine::quantity::{as_per_day, days, mg_per_litre};
/// let rate = keepwell_engine::treatment::rate_between(mg_per_litre(1.0), mg_per_litre(0.6), days(3.0))?.value;
/// assert!((as_per_day(rate) - 0.1703).abs() < 1e-4);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn rate_between(
    first: MassConcentration,
    second: MassConcentration,
    apart: Time,
) -> Result<Reckoned<Frequency>, TreatmentError> {
    let first = FREE_CHLORINE.check(as_mg_per_litre(first))?;
    let second = above_zero(&FREE_CHLORINE, as_mg_per_litre(second))?;
    let apart = AGE.check(as_days(apart))?;
    let rate = (first / second).ln() / apart;
    if second >= first || !rate.is_finite() {
        return Err(TreatmentError::NotFalling);
    }
    RATE.check(rate)?;
    Ok(Working::new("rate of decay from two tests", "k = ln(C₁/C₂)/Δt")
        .input("first test", "C₁", Figure::exact(first, Unit::MilligramPerLitre), "test")
        .input("second test", "C₂", Figure::exact(second, Unit::MilligramPerLitre), "test")
        .input("time between them", "Δt", Figure::exact(apart, Unit::Day), "test")
        .step("rate", "k", Figure::exact(rate, Unit::PerDay))
        .without("the errors of the two tests")
        .source(FIRST_ORDER)
        .gives(per_day(rate)))
}

/// A rate at another temperature: k(T₂) = k(T₁)·exp[(E/R)·(1/T₁ − 1/T₂)], T in kelvin.
///
/// - **Arguments** `rate` 0 to 1,000 a day; temperatures -2 to 100 °C; `activation` E/R 0 to 30,000 K
///   ([`usual_temperature_effect`]).
/// - **Range** best below about 30 °C (Curtin University, tests at 15 to 50 °C): above, marked.
/// - **Reference** Arrhenius; E/R 6,000 to 10,000 K (several authors, from memory).
///
/// # Errors
/// [`TreatmentError::OutOfRange`] names what is not allowed.
///
/// ```
/// use keepwell_engine::quantity::{as_per_day, celsius, per_day};
/// let rate = keepwell_engine::treatment::rate_at(per_day(0.05), celsius(20.0), celsius(30.0), 6000.0)?;
/// assert!((as_per_day(rate.value) / 0.05 - 1.9645).abs() < 1e-3); // e^(6000·(1/293.15 − 1/303.15))
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn rate_at(
    rate: Frequency,
    from: ThermodynamicTemperature,
    to: ThermodynamicTemperature,
    activation: f64,
) -> Result<Reckoned<Frequency>, TreatmentError> {
    let rate = RATE.check(as_per_day(rate))?;
    let (cold, warm) = (WATER_TEMPERATURE.check(as_celsius(from))?, WATER_TEMPERATURE.check(as_celsius(to))?);
    let activation = ACTIVATION.check(activation)?;
    let value = rate * warming(cold, warm, activation);
    Ok(Working::new("the rate at another temperature", "k₂ = k₁·exp[(E/R)·(1/T₁ − 1/T₂)]")
        .input("rate", "k₁", Figure::exact(rate, Unit::PerDay), "fitted or assumed")
        .input("at", "T₁", Figure::exact(cold, Unit::Celsius), "test")
        .input("wanted at", "T₂", Figure::exact(warm, Unit::Celsius), "asked")
        .input("activation energy over R, kelvin", "E/R", Figure::exact(activation, Unit::Count), "assumed")
        .step("rate", "k₂", Figure::exact(value, Unit::PerDay))
        .beyond(cold.max(warm) > 30.0, "above 30 °C the formula was found less good")
        .source("Arrhenius; Curtin University study of bulk decay at 15 to 50 °C")
        .source("E/R 6,000 to 10,000 K: several authors, from memory")
        .gives(per_day(value)))
}

/// How many times faster at `to` than at `from`, °C.
fn warming(from: f64, to: f64, activation: f64) -> f64 {
    (activation * (1.0 / (from + 273.15) - 1.0 / (to + 273.15))).exp()
}

/// Free chlorine of several waters mixed, by volume: C = Σ V·C / Σ V.
///
/// - **Range** an upper bound: the demand of the part with less goes on eating it, and the mixture takes the worst
///   history of its parts. Only a reading counts.
///
/// # Errors
/// [`TreatmentError`]: no water, or a figure out of range.
///
/// 600 L at 1.0 and 200 L at 0: 0.75 mg/L.
/// ```
/// use keepwell_engine::quantity::{as_mg_per_litre, litres, mg_per_litre};
/// let parts = [(litres(600.0), mg_per_litre(1.0)), (litres(200.0), mg_per_litre(0.0))];
/// let mixed = keepwell_engine::treatment::mixed(&parts)?.value;
/// assert!((as_mg_per_litre(mixed) - 0.75).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn mixed(parts: &[(Volume, MassConcentration)]) -> Result<Reckoned<MassConcentration>, TreatmentError> {
    let (mut volume, mut chlorine) = (0.0, 0.0);
    let mut working = Working::new("free chlorine of a mixture", "C = Σ V·C / Σ V");
    for (litres, free) in parts {
        let litres = VOLUME.check(as_litres(*litres))?;
        let free = FREE_CHLORINE.check(as_mg_per_litre(*free))?;
        volume += litres;
        chlorine += litres * free;
        working = working.input("one of the waters", "V", Figure::exact(litres, Unit::Litre), "entries").input(
            "its free chlorine",
            "C",
            Figure::exact(free, Unit::MilligramPerLitre),
            "test",
        );
    }
    let free = chlorine / volume;
    if !(volume > 0.0 && free.is_finite()) {
        return Err(TreatmentError::Zero { name: "the volume of all parts" });
    }
    Ok(working
        .step("all the water", "Σ V", Figure::exact(volume, Unit::Litre))
        .step("free chlorine, at most", "C", Figure::exact(free, Unit::MilligramPerLitre))
        .without("what the water with less goes on eating: only a reading counts")
        .source("balance of masses")
        .gives(mg_per_litre(free)))
}

/// CT that a fading residual delivers: C₀·(1 − exp(−k·t))/k. For information beside C_end × t, which alone earns credit.
///
/// - **Arguments** `at_first` 0 to 1,000 mg/L; `rate` 0 to 1,000 a day; `time` 0 to 10,000,000 minutes.
///
/// # Errors
/// [`TreatmentError::OutOfRange`] names what is not allowed.
///
/// 1 mg/L, 2.4 a day, an hour: (1 − e^-0.1)/(2.4/1440) = 57.10 mg·min/L.
/// ```
/// use keepwell_engine::quantity::{mg_per_litre, minutes, per_day};
/// let ct = keepwell_engine::treatment::ct_under_decay(mg_per_litre(1.0), per_day(2.4), minutes(60.0))?.value;
/// assert!((ct.as_mg_min_per_litre() - 57.10).abs() < 0.01);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn ct_under_decay(
    at_first: MassConcentration,
    rate: Frequency,
    time: Time,
) -> Result<Reckoned<Ct>, TreatmentError> {
    let first = FREE_CHLORINE.check(as_mg_per_litre(at_first))?;
    let a_day = RATE.check(as_per_day(rate))?;
    let rate = a_day / 1440.0;
    let time = CONTACT_TIME.check(as_minutes(time))?;
    let decayed = rate * time;
    // for a rate near 0 the quotient loses its digits; the series does not
    let lasting = if decayed < 1e-9 { time * (1.0 - decayed / 2.0) } else { -(-decayed).exp_m1() / rate };
    let ct = first * lasting;
    Ok(Working::new("contact that a fading residual delivers", "C₀·(1 − exp(−k·t))/k")
        .input("free chlorine at first", "C₀", Figure::exact(first, Unit::MilligramPerLitre), "test")
        .input("rate", "k", Figure::exact(a_day, Unit::PerDay), "fitted or assumed")
        .input("time", "t", Figure::exact(time, Unit::Minute), "asked")
        .step("contact", "CT", Figure::exact(ct, Unit::MilligramMinutePerLitre))
        .without("credit: that is given for what is left at the end times the time")
        .source(FIRST_ORDER)
        .gives(Ct::mg_min_per_litre(ct)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_tests_that_do_not_fall_give_no_rate() {
        let (one, half) = (mg_per_litre(1.0), mg_per_litre(0.5));
        assert_eq!(rate_between(half, one, days(1.0)), Err(TreatmentError::NotFalling));
        assert_eq!(rate_between(one, half, days(0.0)), Err(TreatmentError::NotFalling));
    }

    #[test]
    fn ends_are_words_not_numbers() {
        let falls =
            |first, floor, rate| to_floor(mg_per_litre(first), mg_per_litre(floor), per_day(rate)).unwrap().value;
        assert_eq!(falls(0.2, 0.2, 0.1), Falls::Already);
        assert_eq!(falls(0.1, 0.2, 0.1), Falls::Already);
        assert_eq!(falls(1.0, 0.2, 0.0), Falls::Never);
        assert_eq!(falls(1.0, 0.0, 0.1), Falls::Never);
        // a rate of minus nothing, as rounding leaves it, is none
        assert_eq!(falls(1.0, 0.0, -0.0), Falls::Never);
    }
}
