//! A vessel's own rate of decay, from its tests, and what it leads one to expect.

use super::FIRST_ORDER;
use super::Falls;
use super::NEVER;
use super::warming;
use crate::quantity::FREE_CHLORINE;
use crate::quantity::Frequency;
use crate::quantity::MassConcentration;
use crate::quantity::Measure;
use crate::quantity::RESIDUAL_FLOOR;
use crate::quantity::ThermodynamicTemperature;
use crate::quantity::Time;
use crate::quantity::Unit;
use crate::quantity::WATER_TEMPERATURE;
use crate::quantity::as_celsius;
use crate::quantity::as_days;
use crate::quantity::as_mg_per_litre;
use crate::quantity::as_per_day;
use crate::quantity::days;
use crate::quantity::mg_per_litre;
use crate::quantity::per_day;
use crate::treatment::TreatmentError;
use crate::treatment::above_zero;
use crate::treatment::measures::ACTIVATION;
use crate::treatment::measures::AGE;
use crate::treatment::measures::RATE;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

/// One standard deviation of a test's reading, as a part of it: 10 %. Common practice, no source.
pub const TEST_ERROR: f64 = 0.1;

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
    /// where the line is surest: warmed days since the first test, their mean
    middle: f64,
    /// ln C there
    log_at_middle: f64,
    /// and the variance of that
    variance_at_middle: f64,
}

/// Free chlorine to be expected.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ResidualForecast {
    /// as likely more as less
    pub likely: MassConcentration,
    /// less in one case of ten
    pub low: MassConcentration,
    /// more in one case of ten
    pub high: MassConcentration,
}

/// When free chlorine is to be expected at its floor, counted from the first test.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FloorForecast {
    /// earlier in one case of ten
    pub earliest: Falls,
    /// as likely earlier as later
    pub likely: Falls,
    /// later in one case of ten
    pub latest: Falls,
}

/// Standard deviations from the middle to the 10th and 90th percentile of the normal distribution: any table of it.
const TENTH: f64 = 1.281_551_565_545;

impl FittedRate {
    /// Free chlorine some days after the first test, the water at the temperature of the fit.
    ///
    /// - **Formula** ln C = ln C̄ − k·(t − t̄); its variance s²/n + (t − t̄)²·sd²(k); low and high at 1.2816 sd.
    /// - **Arguments** `after` 0 to 36,500 days.
    /// - **Range** a forecast: it asks for a test and changes no grade. Past the last test it grows unsure.
    /// - **Reference** JCGM 100:2008 (GUM) H.3.
    ///
    /// # Errors
    /// [`TreatmentError::OutOfRange`] for a time that is none.
    pub fn residual_after(&self, after: Time) -> Result<Reckoned<ResidualForecast>, TreatmentError> {
        let after = AGE.check(as_days(after))?;
        let (rate, sd) = (as_per_day(self.rate), as_per_day(self.sd));
        let beyond = after - self.middle;
        let log = self.log_at_middle - rate * beyond;
        let spread = (self.variance_at_middle + (beyond * sd).powi(2)).sqrt();
        // far out the band is wider than any number of chlorine: it ends where readings do
        let chlorine = |log: f64| log.min(FREE_CHLORINE.max.ln()).exp();
        let (likely, low, high) = (chlorine(log), chlorine(log - TENTH * spread), chlorine(log + TENTH * spread));
        Ok(Working::new("free chlorine to be expected", "ln C = ln C̄ − k·(t − t̄); variance s²/n + (t − t̄)²·sd²(k)")
            .input("rate", "k", Figure::uncertain(rate, sd, Unit::PerDay), "fitted")
            .input("time since the first test", "t", Figure::exact(after, Unit::Day), "asked")
            .step("likely", "C", Figure::exact(likely, Unit::MilligramPerLitre))
            .step("less in one case of ten", "", Figure::exact(low, Unit::MilligramPerLitre))
            .step("more in one case of ten", "", Figure::exact(high, Unit::MilligramPerLitre))
            .without("sunlight, open lids, a warmer spell")
            .source(FIRST_ORDER)
            .source("forecast by a line: JCGM 100:2008 (GUM) H.3")
            .gives(ResidualForecast { likely: mg_per_litre(likely), low: mg_per_litre(low), high: mg_per_litre(high) }))
    }

    /// When free chlorine comes down to a floor, the water at the temperature of the fit.
    ///
    /// - **Formula** where the line of [`FittedRate::residual_after`] and its 10th and 90th percentile meet the floor:
    ///   (k² − z²·sd²)·x² − 2·d·k·x + d² − z²·s²/n = 0, x = t − t̄, d = ln C̄ − ln floor, z = 1.2816.
    /// - **Arguments** `floor` 0 to 4 mg/L; at 0 it is never reached.
    /// - **Range** a forecast: it asks for a test and changes no grade. Where the tests hardly tell a fall, the latest is
    ///   "never".
    /// - **Reference** inverse estimate by a line: Fieller 1954 (from memory); JCGM 100:2008 (GUM) H.3.
    ///
    /// # Errors
    /// [`TreatmentError::OutOfRange`] for a floor that is none.
    pub fn to_floor(&self, floor: MassConcentration) -> Result<Reckoned<FloorForecast>, TreatmentError> {
        let floor = RESIDUAL_FLOOR.check(as_mg_per_litre(floor))?;
        let (rate, sd) = (as_per_day(self.rate), as_per_day(self.sd));
        let height = self.log_at_middle - floor.ln();
        let (steep, spread) = (rate.powi(2) - (TENTH * sd).powi(2), TENTH.powi(2) * self.variance_at_middle);
        let inside = (height * rate).powi(2) - steep * (height.powi(2) - spread);
        let root = inside.max(0.0).sqrt();
        // each form where it keeps its digits; with neither, the lower end of the band is nowhere above the floor
        let early = if height > 0.0 && inside >= 0.0 {
            (height.powi(2) - spread) / (height * rate + root)
        } else if steep > 0.0 {
            (height * rate - root) / steep
        } else {
            f64::NEG_INFINITY
        };
        let late = if steep > 0.0 { (height * rate + root) / steep } else { f64::INFINITY };
        let when = |after: f64| self.falls(floor, after);
        let forecast = FloorForecast { earliest: when(early), likely: when(height / rate), latest: when(late) };
        let mut working = Working::new(
            "when free chlorine comes down to its floor",
            "(k² − z²·sd²)·x² − 2·d·k·x + d² − z²·s²/n = 0; x = t − t̄, d = ln C̄ − ln floor",
        )
        .input("rate", "k", Figure::uncertain(rate, sd, Unit::PerDay), "fitted")
        .input("floor", "", Figure::exact(floor, Unit::MilligramPerLitre), "policy");
        for (words, falls) in [
            ("earlier in one case of ten", forecast.earliest),
            ("likely", forecast.likely),
            ("later in one case of ten", forecast.latest),
        ] {
            if let Falls::In(time) = falls {
                working = working.step(words, "t̄ + x", Figure::exact(as_days(time), Unit::Day));
            }
        }
        Ok(working
            .without("sunlight, open lids, a warmer spell: the forecast asks for a test and changes no grade")
            .source(FIRST_ORDER)
            .source("inverse estimate by a line: Fieller 1954 (from memory); JCGM 100:2008 (GUM) H.3")
            .gives(forecast))
    }

    /// In words, from days after the middle of the tests.
    fn falls(&self, floor: f64, after_middle: f64) -> Falls {
        let after = self.middle + after_middle;
        if floor <= 0.0 {
            Falls::Never
        } else if after <= 0.0 {
            Falls::Already
        } else if after <= NEVER {
            Falls::In(days(after))
        } else {
            Falls::Never
        }
    }
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
///
/// 1.0 to 0.6 mg/L in three days: ln(1/0.6)/3 = 0.170 a day; with 10 % on each test it is unsure by 0.1·√2/3 = 0.047.
/// ```
/// use keepwell_engine::quantity::{as_per_day, celsius, days, mg_per_litre};
/// use keepwell_engine::treatment::{ResidualTest, TEST_ERROR, fitted_rate, usual_temperature_effect};
/// let test = |day, free| ResidualTest { after: days(day), free: mg_per_litre(free), temperature: celsius(15.0) };
/// let fit = fitted_rate(&[test(0.0, 1.0), test(3.0, 0.6)], celsius(15.0), usual_temperature_effect(), TEST_ERROR)?.value;
/// assert!((as_per_day(fit.rate) - 0.1703).abs() < 1e-4);
/// assert!((as_per_day(fit.sd) - 0.0471).abs() < 1e-4);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
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
        .gives(FittedRate {
            rate: per_day(rate),
            sd: per_day(sd),
            at_first: mg_per_litre(first),
            tests: points.len(),
            middle: mean.0,
            log_at_middle: mean.1,
            variance_at_middle: spread.powi(2) / count,
        }))
}

/// the error of a test, as a part of what it read
const TEST_SPREAD: Measure = Measure::new("error of a test, as a part", Unit::Fraction, 0.001, 2.0);

/// Below this no kit reads anything; a smaller reading counts as it.
const READABLE: f64 = 1e-4;

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
    }

    #[test]
    fn a_published_line_comes_back_with_its_errors() {
        // JCGM 100:2008 (GUM) H.3, table H.6: corrections of a thermometer, b = -0.1712(29) + 0.00218(67)·(t − 20 °C), s = 0.0035.
        // Read from the warm end, so that it falls: ln C = b after 26.511 − t days; at 20 °C that is day 6.511
        let read = [
            (21.521, -0.171),
            (22.012, -0.169),
            (22.512, -0.166),
            (23.003, -0.159),
            (23.507, -0.164),
            (23.999, -0.165),
            (24.513, -0.156),
            (25.002, -0.157),
            (25.503, -0.159),
            (26.010, -0.161),
            (26.511, -0.160),
        ];
        let tests: Vec<_> = read.iter().map(|(t, b): &(f64, f64)| test(26.511 - t, b.exp(), 20.0)).collect();
        let fit = fitted_rate(&tests, celsius(20.0), 7000.0, 0.001).unwrap().value;
        assert!((as_per_day(fit.rate) - 0.002_18).abs() < 0.000_005);
        assert!((as_per_day(fit.sd) - 0.000_67).abs() < 0.000_005);
        let at_20 = fit.residual_after(days(6.511)).unwrap().value;
        assert!((as_mg_per_litre(at_20.likely).ln() - -0.1712).abs() < 0.000_05);
        // the 90th percentile of a normal distribution is 1.2816 sd up: any table
        assert!(
            ((as_mg_per_litre(at_20.high) / as_mg_per_litre(at_20.likely)).ln() / 1.2816 - 0.0029).abs() < 0.000_05
        );
    }

    #[test]
    fn the_floor_is_met_where_the_band_meets_it() {
        let tests = [test(0.0, 1.1, 15.0), test(10.0, 0.82, 15.0), test(20.0, 0.61, 15.0), test(30.0, 0.52, 15.0)];
        let fit = fitted_rate(&tests, celsius(15.0), 7000.0, TEST_ERROR).unwrap().value;
        let floor = fit.to_floor(mg_per_litre(0.2)).unwrap().value;
        let at = |falls| match falls {
            Falls::In(time) => fit.residual_after(time).unwrap().value,
            other => panic!("{other:?}"),
        };
        assert!((as_mg_per_litre(at(floor.earliest).low) - 0.2).abs() < 1e-9);
        assert!((as_mg_per_litre(at(floor.likely).likely) - 0.2).abs() < 1e-9);
        assert!((as_mg_per_litre(at(floor.latest).high) - 0.2).abs() < 1e-9);
        // two tests that hardly differ say when at the earliest, and not when at the latest
        let unsure = fitted_rate(&tests[..2], celsius(15.0), 7000.0, 0.5).unwrap().value;
        let floor = unsure.to_floor(mg_per_litre(0.2)).unwrap().value;
        assert!(matches!((floor.likely, floor.latest), (Falls::In(_), Falls::Never)));
        assert_eq!(fit.to_floor(mg_per_litre(0.0)).unwrap().value.likely, Falls::Never);
        assert_eq!(fit.to_floor(mg_per_litre(4.0)).unwrap().value.latest, Falls::Already);
    }
}
