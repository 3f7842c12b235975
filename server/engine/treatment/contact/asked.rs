//! The contact that the tables ask for.

use super::GIARDIA_SOURCE;
use super::Germ;
use super::Method;
use super::SAME;
use super::VIRUS_SOURCE;
use super::VirusLog;
use super::table;
use crate::quantity::Ct;
use crate::quantity::FREE_CHLORINE;
use crate::quantity::MassConcentration;
use crate::quantity::PH;
use crate::quantity::ThermodynamicTemperature;
use crate::quantity::Unit;
use crate::quantity::WATER_TEMPERATURE;
use crate::quantity::as_celsius;
use crate::quantity::as_mg_per_litre;
use crate::quantity::mg_per_litre;
use crate::treatment::TreatmentError;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

const REGRESSION_SOURCE: &str = "Smith, Clark et al. 1995, in US EPA 815-R-20-003 (2020)";

/// What the tables ask of the water.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conditions {
    /// of the water, the coldest it was
    pub temperature: ThermodynamicTemperature,
    /// acidity, the highest it was
    pub ph: f64,
    /// free chlorine at the end of the contact
    pub free: MassConcentration,
}

/// The conditions as checked plain figures.
pub(super) struct Checked {
    pub(super) temperature: f64,
    pub(super) ph: f64,
    pub(super) free: f64,
}

impl Conditions {
    pub(super) fn check(&self, germ: Germ, last_ph: f64) -> Result<Checked, TreatmentError> {
        let temperature = WATER_TEMPERATURE.check(as_celsius(self.temperature))?;
        let ph = PH.check(self.ph)?;
        let free = FREE_CHLORINE.check(as_mg_per_litre(self.free))?;
        if ph > last_ph + SAME {
            return Err(TreatmentError::PhAboveTable { ph, most: last_ph, germ });
        }
        if free <= 0.0 {
            return Err(TreatmentError::NoReading);
        }
        Ok(Checked { temperature, ph, free })
    }

    /// The figure of [`ct_giardia`] without its working, which takes no memory: for a sweep over many waters.
    ///
    /// # Errors
    /// Those of [`ct_giardia`].
    pub fn giardia_3log(&self, method: Method) -> Result<Ct, TreatmentError> {
        let Checked { temperature, ph, free } = self.check(Germ::Giardia, 9.0)?;
        Ok(Ct::mg_min_per_litre(read(temperature, ph, free, method)))
    }
}

fn read(temperature: f64, ph: f64, free: f64, method: Method) -> f64 {
    match method {
        Method::Lookup => looked_up(temperature, ph, free),
        Method::Interpolated => interpolated(temperature, ph, free),
        Method::Regression => regression(temperature, ph, free),
    }
}

/// The last table at or below, or the first.
fn at_or_below(grid: &[f64], value: f64) -> usize {
    grid.partition_point(|mark| *mark <= value + SAME).max(1) - 1
}

/// The first mark at or above, or the last.
fn at_or_above(grid: &[f64], value: f64) -> usize {
    grid.partition_point(|mark| *mark < value - SAME).min(grid.len() - 1)
}

/// CT for 3-log inactivation of Giardia by free chlorine.
///
/// - **Lookup** the table at or below the temperature, the pH column and chlorine row at or above; a printed value takes
///   its own. The first of each also serves what lies below it; above 3 mg/L the 3 mg/L row, above 25 °C the 25 °C
///   table (marked). **Interpolated** linear in all three, inputs beyond the grid first moved to its edge (marked).
///   **Regression** T < 12.5 °C: CT = 0.353·3·(12.006 + exp(2.46 − 0.073T + 0.125C + 0.389pH)); else
///   0.361·3·(−2.261 + exp(2.69 − 0.065T + 0.111C + 0.361pH)), inputs moved likewise.
/// - **Arguments** temperature -2 to 100 °C, pH 0 to 9, free chlorine above 0 to 1,000 mg/L.
/// - **Range** above pH 9 there is no figure: refused. Below 5 °C and above 25 °C marked.
/// - **Reference** US EPA 815-R-20-003 (2020) Table B-1; 40 CFR 141.74(b)(3)(v); regression: Smith, Clark et al. 1995.
///
/// # Errors
/// [`TreatmentError`]: above pH 9, no free chlorine, or a figure out of range.
///
/// ```
/// use keepwell_engine::quantity::{celsius, mg_per_litre};
/// use keepwell_engine::treatment::{Conditions, Method, ct_giardia};
/// let water = Conditions { temperature: celsius(10.0), ph: 7.0, free: mg_per_litre(1.0) };
/// let ct = ct_giardia(&water, Method::Lookup)?.value;
/// assert!((ct.as_mg_min_per_litre() - 112.0).abs() < 1e-9);
/// assert!(ct_giardia(&Conditions { ph: 9.1, ..water }, Method::Lookup).is_err());
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn ct_giardia(conditions: &Conditions, method: Method) -> Result<Reckoned<Ct>, TreatmentError> {
    let Checked { temperature, ph, free } = conditions.check(Germ::Giardia, 9.0)?;
    let value = read(temperature, ph, free, method);
    let formula = match method {
        Method::Lookup => "the colder table, pH and chlorine at or above",
        Method::Interpolated => "linear in temperature, pH and chlorine",
        Method::Regression => {
            "0.353·3·(12.006 + exp(2.46 − 0.073T + 0.125C + 0.389pH)); from 12.5 °C 0.361·3·(−2.261 + exp(2.69 − 0.065T + 0.111C + 0.361pH))"
        }
    };
    let source = if method == Method::Regression { REGRESSION_SOURCE } else { GIARDIA_SOURCE };
    let working = Working::new("CT for 3-log inactivation of Giardia", formula);
    Ok(conditioned(working, temperature, ph, free)
        .beyond(free > 3.0 + SAME, "above 3 mg/L: the 3 mg/L row")
        .step("CT asked for", "CT₃", Figure::exact(value, Unit::MilligramMinutePerLitre))
        .source(source)
        .gives(Ct::mg_min_per_litre(value)))
}

pub(super) fn conditioned(working: Working, temperature: f64, ph: f64, free: f64) -> Working {
    working
        .input("water temperature", "T", Figure::exact(temperature, Unit::Celsius), "test")
        .input("acidity", "pH", Figure::exact(ph, Unit::Ph), "test")
        .input("free chlorine at the end", "C", Figure::exact(free, Unit::MilligramPerLitre), "test")
        .beyond(temperature > 25.0 + SAME, "above 25 °C: the 25 °C figure is kept, which is cautious")
        .beyond(temperature < 5.0 - SAME, "below 5 °C: chlorine works slowly, and tests read unsurely")
        .beyond(ph < 6.0 - SAME, "below pH 6: the first column, headed \"or lower\"")
}

fn looked_up(temperature: f64, ph: f64, free: f64) -> f64 {
    let table = at_or_below(&table::TEMPERATURES, temperature);
    let row = at_or_above(&table::CHLORINES, free);
    table::GIARDIA[table][row][at_or_above(&table::PHS, ph)]
}

/// Where a value stands between two marks of a grid, moved to the edge when beyond it.
fn between(grid: &[f64], value: f64) -> (usize, f64) {
    let value = value.clamp(grid[0], grid[grid.len() - 1]);
    let low = at_or_below(grid, value).min(grid.len() - 2);
    (low, ((value - grid[low]) / (grid[low + 1] - grid[low])).clamp(0.0, 1.0))
}

fn interpolated(temperature: f64, ph: f64, free: f64) -> f64 {
    let (table, warm) = between(&table::TEMPERATURES, temperature);
    let (row, strong) = between(&table::CHLORINES, free);
    let (column, high) = between(&table::PHS, ph);
    let line = |a: f64, b: f64, part: f64| a + (b - a) * part;
    let at = |table: usize, row: usize| {
        let cells = &table::GIARDIA[table][row];
        line(cells[column], cells[column + 1], high)
    };
    let of_table = |table: usize| line(at(table, row), at(table, row + 1), strong);
    line(of_table(table), of_table(table + 1), warm)
}

fn regression(temperature: f64, ph: f64, free: f64) -> f64 {
    let (temperature, ph, free) = (temperature.clamp(0.5, 25.0), ph.clamp(6.0, 9.0), free.clamp(0.4, 3.0));
    if temperature < 12.5 {
        0.353 * 3.0 * (12.006 + (2.46 - 0.073 * temperature + 0.125 * free + 0.389 * ph).exp())
    } else {
        0.361 * 3.0 * (-2.261 + (2.69 - 0.065 * temperature + 0.111 * free + 0.361 * ph).exp())
    }
}

/// CT for inactivation of viruses by free chlorine.
///
/// - **Rule** the row at or below the temperature; pH 6 to 9 one set of columns, above 9 to 10 the other. Below pH 6 the
///   first set, marked; above 25 °C that of 25 °C, marked; above pH 10 none.
/// - **Reference** US EPA SWTR Guidance Manual (1991) Table E-7; 815-R-20-003 (2020) Table B-2. Viruses in clumps or on
///   particles can need more (Thurston-Enriquez et al. 2003).
///
/// # Errors
/// [`TreatmentError`]: above pH 10, or a figure out of range.
///
/// ```
/// use keepwell_engine::quantity::celsius;
/// use keepwell_engine::treatment::{VirusLog, ct_virus};
/// let ct = ct_virus(celsius(10.0), 7.0, VirusLog::Four)?.value;
/// assert!((ct.as_mg_min_per_litre() - 6.0).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn ct_virus(temperature: ThermodynamicTemperature, ph: f64, log: VirusLog) -> Result<Reckoned<Ct>, TreatmentError> {
    let any_free = mg_per_litre(1.0);
    let Checked { temperature, ph, .. } = Conditions { temperature, ph, free: any_free }.check(Germ::Virus, 10.0)?;
    let row = &table::VIRUS[at_or_below(&table::TEMPERATURES, temperature)];
    let columns = if ph > 9.0 + SAME { row[1] } else { row[0] };
    let value = columns[log as usize];
    Ok(Working::new("CT for inactivation of viruses", "the colder row; pH 6 to 9, or above 9 to 10")
        .input("water temperature", "T", Figure::exact(temperature, Unit::Celsius), "test")
        .input("acidity", "pH", Figure::exact(ph, Unit::Ph), "test")
        .beyond(temperature > 25.0 + SAME, "above 25 °C: the 25 °C figure is kept, which is cautious")
        .beyond(temperature < 5.0 - SAME, "below 5 °C: chlorine works slowly, and tests read unsurely")
        .beyond(ph < 6.0 - SAME, "below pH 6: the columns of pH 6 to 9")
        .step("CT asked for", "CT", Figure::exact(value, Unit::MilligramMinutePerLitre))
        .without("viruses in clumps or on particles: they can need more")
        .source(VIRUS_SOURCE)
        .gives(Ct::mg_min_per_litre(value)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::celsius;

    fn ct(temperature: f64, ph: f64, free: f64, method: Method) -> f64 {
        let water = Conditions { temperature: celsius(temperature), ph, free: mg_per_litre(free) };
        ct_giardia(&water, method).unwrap().value.as_mg_min_per_litre()
    }

    #[test]
    fn every_printed_cell_is_its_own_and_the_regression_never_asks_for_less() {
        // the regression lies at or above all 588 cells, by at most 17.4 %: reckoned outside this project
        let (mut least, mut most) = (f64::MAX, f64::MIN);
        for (table, temperature) in table::GIARDIA.iter().zip(table::TEMPERATURES) {
            for (row, free) in table.iter().zip(table::CHLORINES) {
                for (cell, ph) in row.iter().zip(table::PHS) {
                    assert!((ct(temperature, ph, free, Method::Lookup) - cell).abs() < 1e-9);
                    assert!((ct(temperature, ph, free, Method::Interpolated) - cell).abs() < 1e-9);
                    let ratio = ct(temperature, ph, free, Method::Regression) / cell;
                    (least, most) = (least.min(ratio), most.max(ratio));
                }
            }
        }
        assert!((0.9995..1.0005).contains(&least), "{least}");
        assert!((1.1735..1.1745).contains(&most), "{most}");
    }

    #[test]
    fn a_hair_off_a_printed_value_takes_the_cautious_neighbour() {
        assert!((ct(4.9, 7.5, 1.0, Method::Lookup) - 253.0).abs() < 1e-9);
        assert!((ct(5.0, 7.51, 1.0, Method::Lookup) - 216.0).abs() < 1e-9);
        assert!((ct(5.0, 7.5, 1.01, Method::Lookup) - 183.0).abs() < 1e-9);
        // "or lower": 0.4 mg/L, pH 6 and 0.5 °C serve what lies below
        assert!((ct(0.0, 5.0, 0.1, Method::Lookup) - 137.0).abs() < 1e-9);
    }
}
