//! How much ultraviolet light water takes.

use crate::quantity::Length;
use crate::quantity::Unit;
use crate::quantity::as_metres;
use crate::treatment::TreatmentError;
use crate::treatment::measures::PATH;
use crate::treatment::measures::TRANSMITTANCE;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

/// Mean over incident light in water: WF = (1 − 10^(−a·L))/(a·L·ln 10), a = −log₁₀(UVT/100) for 1 cm.
///
/// - **Arguments** `transmittance` UVT 0.01 to 100 %; `path` L 0.00001 to 1 m.
/// - **Reference** the mean of the Beer–Lambert law; Bolton and Linden 2003 use it (from memory).
///
/// # Errors
/// [`TreatmentError::OutOfRange`] names what is not allowed.
///
/// ```
/// use keepwell_engine::quantity::metres;
/// let factor = keepwell_engine::treatment::water_factor(95.0, metres(0.05))?.value;
/// assert!((factor - 0.882).abs() < 0.001);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn water_factor(transmittance: f64, path: Length) -> Result<Reckoned<f64>, TreatmentError> {
    let transmittance = TRANSMITTANCE.check(transmittance)?;
    let path = PATH.check(as_metres(path))?;
    let absorbed = -(transmittance / 100.0).log10();
    let depth = absorbed * 100.0 * path * core::f64::consts::LN_10;
    // nothing absorbed: all of it; the series where the quotient would lose its digits
    let factor = if depth < 1e-8 { 1.0 - depth / 2.0 } else { -(-depth).exp_m1() / depth };
    Ok(Working::new(
        "mean over incident ultraviolet light in water",
        "WF = (1 − 10^(−a·L))/(a·L·ln 10), a = −log₁₀(UVT/100)",
    )
    .input("passes 1 cm, per cent", "UVT", Figure::exact(transmittance, Unit::Count), "test")
    .input("path", "L", Figure::exact(path, Unit::Metre), "maker")
    .step("absorbance for 1 cm", "a", Figure::exact(absorbed, Unit::Count))
    .step("mean over incident", "WF", Figure::exact(factor, Unit::Fraction))
    .source("mean of the Beer–Lambert law; Bolton and Linden 2003 (from memory)")
    .gives(factor))
}

/// How clear water is to ultraviolet light, beside the water that the maker tested with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clearness {
    /// passes 1 cm of it, per cent
    pub now: f64,
    /// passes 1 cm of the maker's test water, per cent
    pub rated: f64,
    /// way of the light from the lamp's sleeve to the wall
    pub path: Length,
}

impl Clearness {
    /// The part of the rated light that the water gets: [`water_factor`] now over that of the test water.
    pub(super) fn part(self) -> Result<f64, TreatmentError> {
        Ok(water_factor(self.now, self.path)?.value / water_factor(self.rated, self.path)?.value)
    }
}
