//! How a residual fades, and the rate of it from a vessel's own tests.

use super::ACTIVATION;
use super::AGE;
use super::CONTACT_TIME;
use super::RATE;
use super::TreatmentError;
use super::above_zero;
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
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

const FIRST_ORDER: &str = "first-order bulk decay: Vasconcelos et al. 1997, J AWWA 89(7):54";

/// One standard deviation of a test's reading, as a part of it: 10 %. Common practice, no source.
pub const TEST_ERROR: f64 = 0.1;

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
    } else if time <= NEVER {
        working = working.step("days", "t", Figure::exact(time, Unit::Day));
        Falls::In(days(time))
    } else {
        Falls::Never
    };
    Ok(working.gives(falls))
}

/// A rate from two tests of the same water: k = ln(C₁/C₂)/Δt.
///
/// # Errors
/// [`TreatmentError::NotFalling`] when the second is not lower, or there is no time between them.
///
/// 1.0 to 0.6 mg/L in three days: 0.1703 a day.
/// ```
/// use keepwell_engine::quantity::{as_per_day, days, mg_per_litre};
/// let rate = keepwell_engine::treatment::rate_between(mg_per_litre(1.0), mg_per_litre(0.6), days(3.0))?;
/// assert!((as_per_day(rate) - 0.1703).abs() < 1e-4);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn rate_between(
    first: MassConcentration,
    second: MassConcentration,
    apart: Time,
) -> Result<Frequency, TreatmentError> {
    let first = FREE_CHLORINE.check(as_mg_per_litre(first))?;
    let second = above_zero(&FREE_CHLORINE, as_mg_per_litre(second))?;
    let apart = AGE.check(as_days(apart))?;
    let rate = (first / second).ln() / apart;
    if second >= first || !rate.is_finite() {
        return Err(TreatmentError::NotFalling);
    }
    Ok(per_day(RATE.check(rate)?))
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

/// A dated test of one water that was neither dosed nor topped up since the first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ResidualTest {
    /// time since the first of them
    pub after: Time,
    /// free chlorine read
    pub free: MassConcentration,
    /// the water's temperature since the test before
    pub temperature: ThermodynamicTemperature,
}

/// A vessel's own rate of decay.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FittedRate {
    /// at the temperature asked for
    pub rate: Frequency,
    /// one standard deviation
    pub sd: Frequency,
    /// free chlorine at the first test, as the line has it
    pub at_first: MassConcentration,
    /// how many tests
    pub tests: usize,
}

/// A rate of decay from two or more dated tests, at a temperature.
///
/// - **Formula** least squares of ln C over τ, where a day at T counts as exp[(E/R)·(1/T₀ − 1/T)] days at T₀:
///   k = −Sxy/Sxx, sd(k) = s/√Sxx; s is the test's own error or, with three tests or more, the scatter about the line if
///   that is larger.
/// - **Arguments** tests in any order, readings above 0; `at` T₀; `activation` E/R; `test_error` one sd of a reading as a
///   part of it ([`TEST_ERROR`]).
/// - **Reference** least squares: any textbook of statistics; JCGM 100:2008 (GUM) H.3; decay: Vasconcelos et al. 1997.
///
/// # Errors
/// [`TreatmentError`]: fewer than two tests, all at one time, not falling, or a figure out of range.
pub fn fitted_rate(
    tests: &[ResidualTest],
    at: ThermodynamicTemperature,
    activation: f64,
    test_error: f64,
) -> Result<Reckoned<FittedRate>, TreatmentError> {
    let reference = WATER_TEMPERATURE.check(as_celsius(at))?;
    let activation = ACTIVATION.check(activation)?;
    let error = TEST_SPREAD.check(test_error)?;
    let mut read = Vec::with_capacity(tests.len());
    for test in tests {
        let temperature = WATER_TEMPERATURE.check(as_celsius(test.temperature))?;
        let free = above_zero(&FREE_CHLORINE, as_mg_per_litre(test.free))?;
        read.push((
            AGE.check(as_days(test.after))?,
            free.max(READABLE).ln(),
            warming(reference, temperature, activation),
        ));
    }
    read.sort_by(|a, b| a.0.total_cmp(&b.0));
    if read.len() < 2 {
        return Err(TreatmentError::TooFewReadings { given: read.len() });
    }
    let (mut tau, mut before) = (0.0, read[0].0);
    let points: Vec<(f64, f64)> = read
        .iter()
        .map(|(day, log, speed)| {
            tau += (day - before) * speed;
            before = *day;
            (tau, *log)
        })
        .collect();
    #[expect(clippy::cast_precision_loss, reason = "a vessel has far fewer than 2^53 tests")]
    let count = points.len() as f64;
    let mean = points.iter().fold((0.0, 0.0), |sum, point| (sum.0 + point.0 / count, sum.1 + point.1 / count));
    let sxx: f64 = points.iter().map(|point| (point.0 - mean.0).powi(2)).sum();
    let sxy: f64 = points.iter().map(|point| (point.0 - mean.0) * (point.1 - mean.1)).sum();
    if sxx <= 1e-9 {
        return Err(TreatmentError::NotFalling);
    }
    let rate = -sxy / sxx;
    if rate <= 0.0 {
        return Err(TreatmentError::NotFalling);
    }
    RATE.check(rate)?;
    let scatter: f64 = points.iter().map(|point| (point.1 - mean.1 + rate * (point.0 - mean.0)).powi(2)).sum();
    let spread = if count > 2.5 { (scatter / (count - 2.0)).sqrt().max(error) } else { error };
    let sd = spread / sxx.sqrt();
    let first = (mean.1 + rate * mean.0).min(FREE_CHLORINE.max.ln()).exp();
    Ok(Working::new("this vessel's rate of decay", "k = −Sxy/Sxx of ln C over warmed days; sd = s/√Sxx")
        .input("tests", "n", Figure::exact(count, Unit::Count), "test")
        .input("error of a test", "s", Figure::exact(error, Unit::Fraction), "assumed")
        .input("at", "T₀", Figure::exact(reference, Unit::Celsius), "asked")
        .step("rate", "k", Figure::uncertain(rate, sd, Unit::PerDay))
        .step("free chlorine at the first test, by the line", "C₀", Figure::exact(first, Unit::MilligramPerLitre))
        .beyond(reference > 30.0, "above 30 °C the formula was found less good")
        .source(FIRST_ORDER)
        .source("least squares: JCGM 100:2008 (GUM) H.3; 10 % for a test: common practice, no source")
        .gives(FittedRate { rate: per_day(rate), sd: per_day(sd), at_first: mg_per_litre(first), tests: points.len() }))
}

/// the error of a test, as a part of what it read
const TEST_SPREAD: crate::quantity::Measure =
    crate::quantity::Measure::new("error of a test, as a part", Unit::Fraction, 0.001, 2.0);

/// Below this no kit reads anything; a smaller reading counts as it.
const READABLE: f64 = 1e-4;

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
/// let mixed = keepwell_engine::treatment::mixed(&parts)?;
/// assert!((as_mg_per_litre(mixed) - 0.75).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn mixed(parts: &[(Volume, MassConcentration)]) -> Result<MassConcentration, TreatmentError> {
    let (mut volume, mut chlorine) = (0.0, 0.0);
    for (litres, free) in parts {
        let litres = VOLUME.check(as_litres(*litres))?;
        volume += litres;
        chlorine += litres * FREE_CHLORINE.check(as_mg_per_litre(*free))?;
    }
    let free = chlorine / volume;
    if volume > 0.0 && free.is_finite() {
        Ok(mg_per_litre(free))
    } else {
        Err(TreatmentError::Zero { name: "the volume of all parts" })
    }
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
/// let ct = keepwell_engine::treatment::ct_under_decay(mg_per_litre(1.0), per_day(2.4), minutes(60.0))?;
/// assert!((ct.as_mg_min_per_litre() - 57.10).abs() < 0.01);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn ct_under_decay(at_first: MassConcentration, rate: Frequency, time: Time) -> Result<Ct, TreatmentError> {
    let first = FREE_CHLORINE.check(as_mg_per_litre(at_first))?;
    let rate = RATE.check(as_per_day(rate))? / 1440.0;
    let time = CONTACT_TIME.check(as_minutes(time))?;
    let decayed = rate * time;
    // for a rate near 0 the quotient loses its digits; the series does not
    let lasting = if decayed < 1e-9 { time * (1.0 - decayed / 2.0) } else { -(-decayed).exp_m1() / rate };
    Ok(Ct::mg_min_per_litre(first * lasting))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::celsius;

    fn test(day: f64, free: f64, temperature: f64) -> ResidualTest {
        ResidualTest { after: days(day), free: mg_per_litre(free), temperature: celsius(temperature) }
    }

    #[test]
    fn two_tests_give_the_rate_of_two_tests() {
        // ln(1.0/0.6)/3: 1.0 to 0.6 in three days is 0.1703 a day; sd of ln(C₁/C₂)/Δt with 10 % each: 0.1·√2/3
        let fit = fitted_rate(&[test(0.0, 1.0, 20.0), test(3.0, 0.6, 20.0)], celsius(20.0), 7000.0, 0.1).unwrap().value;
        assert!((as_per_day(fit.rate) - 0.170_275).abs() < 1e-6);
        assert!((as_per_day(fit.sd) - 0.1 * 2.0_f64.sqrt() / 3.0).abs() < 1e-9);
    }

    #[test]
    fn scatter_about_the_line_widens_the_error() {
        // by hand: ln C = 0, -0.1, -0.9, -1.0 at days 0 to 3: slope -0.38, residuals 0.07, 0.21, -0.21, -0.07 ...
        let readings = [0.0_f64, -0.1, -0.9, -1.0];
        let tests: Vec<_> = (0..).zip(readings).map(|(day, log)| test(f64::from(day), log.exp(), 15.0)).collect();
        let fit = fitted_rate(&tests, celsius(15.0), 7000.0, 0.01).unwrap().value;
        assert!((as_per_day(fit.rate) - 0.38).abs() < 1e-9);
        // Σ residual² = 2·(0.07² + 0.21²) = 0.098; s² = 0.049; Sxx = 5
        assert!((as_per_day(fit.sd) - (0.049_f64 / 5.0).sqrt()).abs() < 1e-9);
    }

    #[test]
    fn warm_days_count_for_more() {
        // the same fall in the same days, but at 30 °C: at 20 °C it is slower by the Arrhenius factor, 1.9645 at 6,000 K
        let fit = fitted_rate(&[test(0.0, 1.0, 30.0), test(3.0, 0.6, 30.0)], celsius(20.0), 6000.0, 0.1).unwrap().value;
        assert!((as_per_day(fit.rate) - 0.170_275 / 1.9645).abs() < 1e-4);
    }

    #[test]
    fn no_rate_is_made_of_readings_that_rise() {
        let rising = [test(0.0, 0.5, 20.0), test(3.0, 0.6, 20.0)];
        assert_eq!(fitted_rate(&rising, celsius(20.0), 7000.0, 0.1), Err(TreatmentError::NotFalling));
        let at_once = [test(1.0, 0.9, 20.0), test(1.0, 0.6, 20.0)];
        assert_eq!(fitted_rate(&at_once, celsius(20.0), 7000.0, 0.1), Err(TreatmentError::NotFalling));
        assert_eq!(
            fitted_rate(&rising[..1], celsius(20.0), 7000.0, 0.1),
            Err(TreatmentError::TooFewReadings { given: 1 })
        );
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
    }
}
