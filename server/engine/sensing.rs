//! Instruments: what a pressure, an echo or a tilted tank says of the depth, and the standard deviations behind a limit.

use crate::hydraulics::measures::DENSITY;
use crate::hydraulics::measures::GRAVITY;
use crate::quantity::Area;
use crate::quantity::Length;
use crate::quantity::MassDensity;
use crate::quantity::Measure;
use crate::quantity::OutOfRange;
use crate::quantity::Pressure;
use crate::quantity::STANDARD_DEVIATION;
use crate::quantity::ThermodynamicTemperature;
use crate::quantity::Unit;
use crate::quantity::Volume;
use crate::quantity::as_celsius;
use crate::quantity::as_kg_per_cubic_metre;
use crate::quantity::as_kilopascals;
use crate::quantity::as_litres;
use crate::quantity::as_metres;
use crate::quantity::as_square_metres;
use crate::quantity::cubic_metres;
use crate::quantity::metres;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

const fn measure(name: &'static str, unit: Unit, min: f64, max: f64) -> Measure {
    Measure { name, unit, min, max }
}

/// pressure
pub const GAUGE: Measure = measure("pressure", Unit::Kilopascal, -200.0, 100_000.0);
/// free surface
pub const PLAN: Measure = measure("free surface", Unit::SquareMetre, 0.0, 1e6);
/// diameter
pub const ACROSS: Measure = measure("diameter", Unit::Metre, 0.001, 1_000.0);
/// tilt
pub const TILT: Measure = measure("tilt", Unit::Degree, -89.0, 89.0);
/// distance to the water
pub const RANGE: Measure = measure("distance to the water", Unit::Metre, 0.0, 1_000.0);
/// air temperature
pub const AIR: Measure = measure("air temperature", Unit::Celsius, -100.0, 100.0);
/// half width of the limits
pub const HALF_WIDTH: Measure = measure("half width of the limits", Unit::Count, 0.0, 1e12);
/// resolution
pub const RESOLUTION: Measure = measure("resolution", Unit::Count, 0.0, 1e12);

/// The depth of water over a sensor: h = p/(ρ g).
///
/// | | |
/// |---|---|
/// | p | over the air's, −200 to 100,000 kPa; the sign is kept |
/// | error | 0.18 % between water of 4 and 20 °C |
/// | source | hydrostatics |
///
/// # Errors
/// [`OutOfRange`] names the figure and what is allowed.
///
/// ```
/// use keepwell_engine::quantity::{as_metres, kg_per_cubic_metre, kilopascals};
/// use keepwell_engine::sensing::depth_from_pressure;
/// // ENG-144: 1.53232177 m under 15 kPa.
/// let depth = depth_from_pressure(kilopascals(15.0), kg_per_cubic_metre(998.207))?.value;
/// assert!((as_metres(depth) - 1.53232177).abs() < 1e-8);
/// # Ok::<(), keepwell_engine::quantity::OutOfRange>(())
/// ```
pub fn depth_from_pressure(pressure: Pressure, density: MassDensity) -> Result<Reckoned<Length>, OutOfRange> {
    let pressure = GAUGE.check(as_kilopascals(pressure))?;
    let density = DENSITY.check(as_kg_per_cubic_metre(density))?;
    let depth = pressure * 1000.0 / (density * GRAVITY);
    Ok(Working::new("Depth from a pressure", "h = p/(ρ · g)")
        .input("pressure", "p", Figure::exact(pressure, Unit::Kilopascal), "sensor")
        .input("density", "ρ", Figure::exact(density, Unit::KilogramPerCubicMetre), "given")
        .step("depth", "p/(ρ · g)", Figure::exact(depth, Unit::Metre))
        .source("Hydrostatics")
        .gives(metres(depth)))
}

/// How far off an unvented sensor reads after a change of the weather: Δp/(ρ g). A rise of the air's pressure reads deeper.
///
/// # Errors
/// [`OutOfRange`] names the figure and what is allowed.
///
/// ```
/// use keepwell_engine::quantity::{as_metres, kg_per_cubic_metre, kilopascals};
/// use keepwell_engine::sensing::barometric_error;
/// // ENG-145: 0.20430957 m for 2 kPa.
/// let off = barometric_error(kilopascals(2.0), kg_per_cubic_metre(998.207))?.value;
/// assert!((as_metres(off) - 0.20430957).abs() < 1e-8);
/// # Ok::<(), keepwell_engine::quantity::OutOfRange>(())
/// ```
pub fn barometric_error(change: Pressure, density: MassDensity) -> Result<Reckoned<Length>, OutOfRange> {
    let mut off = depth_from_pressure(change, density)?;
    off.working.what = "Error of an unvented sensor by the weather";
    Ok(off)
}

/// How far off a reading at the wall of a tilted tank is from the depth at its axis: (D/2) tan θ.
///
/// Read at two opposite sides and average, or at the axis.
///
/// # Errors
/// [`OutOfRange`] names the figure and what is allowed.
///
/// ```
/// use keepwell_engine::quantity::{as_metres, metres};
/// use keepwell_engine::sensing::tilt_offset;
/// // ENG-039: 0.0210595358 m for 1° in 2.413 m.
/// assert!((as_metres(tilt_offset(metres(2.413), 1.0)?.value) - 0.0210595358).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::quantity::OutOfRange>(())
/// ```
pub fn tilt_offset(diameter: Length, tilt_deg: f64) -> Result<Reckoned<Length>, OutOfRange> {
    let diameter = ACROSS.check(as_metres(diameter))?;
    let tilt = TILT.check(tilt_deg)?;
    let off = diameter / 2.0 * tilt.to_radians().tan();
    Ok(Working::new("Error of a reading at the wall of a tilted tank", "(D/2) · tan θ")
        .input("diameter", "D", Figure::exact(diameter, Unit::Metre), "set-up")
        .input("tilt", "θ", Figure::exact(tilt, Unit::Degree), "measured")
        .step("error", "(D/2) · tan θ", Figure::exact(off, Unit::Metre))
        .source("Plane geometry")
        .gives(metres(off)))
}

/// How far off an ultrasonic sensor's distance is where the air is not as warm as it assumes: d (c assumed/c actual − 1),
/// c growing with √(T + 273.15). A negative error of distance reads fuller.
///
/// | | |
/// |---|---|
/// | d | true distance, 0 to 1,000 m |
/// | T | air, −100 to 100 °C |
/// | error | damp and the layers of warmth in a tank are left out |
/// | source | speed of sound in an ideal gas |
///
/// # Errors
/// [`OutOfRange`] names the figure and what is allowed.
///
/// ```
/// use keepwell_engine::quantity::{as_metres, celsius, metres};
/// use keepwell_engine::sensing::ultrasonic_error;
/// // ENG-146: −0.0443563569 m over 1.8 m at 35 °C where 20 °C are assumed.
/// let off = ultrasonic_error(metres(1.8), celsius(35.0), celsius(20.0))?.value;
/// assert!((as_metres(off) + 0.0443563569).abs() < 1e-8);
/// # Ok::<(), keepwell_engine::quantity::OutOfRange>(())
/// ```
pub fn ultrasonic_error(
    distance: Length,
    actual: ThermodynamicTemperature,
    assumed: ThermodynamicTemperature,
) -> Result<Reckoned<Length>, OutOfRange> {
    let distance = RANGE.check(as_metres(distance))?;
    let actual = AIR.check(as_celsius(actual))?;
    let assumed = AIR.check(as_celsius(assumed))?;
    let off = distance * (((assumed + 273.15) / (actual + 273.15)).sqrt() - 1.0);
    Ok(Working::new("Error of an echo in air of another temperature", "d · (√(T assumed/T actual) − 1), T in kelvin")
        .input("true distance", "d", Figure::exact(distance, Unit::Metre), "given")
        .input("air as it is", "T actual", Figure::exact(actual, Unit::Celsius), "given")
        .input("air as assumed", "T assumed", Figure::exact(assumed, Unit::Celsius), "given")
        .step("error of the distance", "d · (√(T assumed/T actual) − 1)", Figure::exact(off, Unit::Metre))
        .without("Damp, and warm air over cold")
        .source("Speed of sound in an ideal gas")
        .gives(metres(off)))
}

/// How a value is spread between its limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Spread {
    /// anywhere alike: a/√3
    Uniform,
    /// more often in the middle: a/√6
    Triangular,
    /// 95 in 100 within the limits: a/1.96
    Normal95,
}

/// One standard deviation of a value known to lie within ±a, in the unit of a.
///
/// Source: JCGM 100:2008 (GUM), 4.3.4, 4.3.7 and 4.3.9.
///
/// # Errors
/// [`OutOfRange`] for a half width below 0 or no number.
///
/// ```
/// use keepwell_engine::sensing::{Spread, sd_from_limits};
/// // ENG-147, ENG-148 and ENG-160.
/// assert!((sd_from_limits(0.015, Spread::Uniform)? - 0.00866025404).abs() < 1e-11);
/// assert!((sd_from_limits(0.015, Spread::Normal95)? - 0.00765320185).abs() < 1e-6);
/// assert!((sd_from_limits(0.02, Spread::Triangular)? - 0.00816496581).abs() < 1e-11);
/// # Ok::<(), keepwell_engine::quantity::OutOfRange>(())
/// ```
pub fn sd_from_limits(half_width: f64, spread: Spread) -> Result<f64, OutOfRange> {
    let half_width = HALF_WIDTH.check(half_width)?;
    Ok(half_width
        / match spread {
            Spread::Uniform => 3.0_f64.sqrt(),
            Spread::Triangular => 6.0_f64.sqrt(),
            // the 97.5 % point of the normal distribution
            Spread::Normal95 => 1.959_963_984_540_054,
        })
}

/// One standard deviation of a value read to steps of r: r/√12. Source: JCGM 100:2008 (GUM), F.2.2.1.
///
/// # Errors
/// [`OutOfRange`] for a step below 0 or no number.
///
/// ```
/// use keepwell_engine::sensing::sd_from_resolution;
/// // ENG-149: 0.00733234842 m for an inch.
/// assert!((sd_from_resolution(0.0254)? - 0.00733234842).abs() < 1e-11);
/// # Ok::<(), keepwell_engine::quantity::OutOfRange>(())
/// ```
pub fn sd_from_resolution(step: f64) -> Result<f64, OutOfRange> {
    Ok(RESOLUTION.check(step)? / 12.0_f64.sqrt())
}

/// One standard deviation of a volume by that of its depth: A σ, A the free surface there, heads included.
///
/// # Errors
/// [`OutOfRange`] names the figure and what is allowed.
///
/// ```
/// use keepwell_engine::quantity::{as_cubic_metres, metres, square_metres};
/// use keepwell_engine::sensing::volume_sd;
/// // ENG-038: 0.0144 m³ for 5 mm over 2.88 m².
/// assert!((as_cubic_metres(volume_sd(square_metres(2.88), metres(0.005))?.value) - 0.0144).abs() < 1e-12);
/// # Ok::<(), keepwell_engine::quantity::OutOfRange>(())
/// ```
pub fn volume_sd(surface: Area, depth_sd: Length) -> Result<Reckoned<Volume>, OutOfRange> {
    of_depth("Error of a volume by that of its depth", "A · σ", surface, depth_sd, 1.0)
}

/// One standard deviation of a change of volume between two readings of one tank: A σ √2.
///
/// Only claim a change of more than twice that.
///
/// # Errors
/// [`OutOfRange`] names the figure and what is allowed.
///
/// ```
/// use keepwell_engine::quantity::{as_cubic_metres, metres, square_metres};
/// use keepwell_engine::sensing::volume_change_sd;
/// // ENG-150: 0.0323359931 m³ for 5 mm in 4.573 m².
/// let sd = volume_change_sd(square_metres(4.573), metres(0.005))?.value;
/// assert!((as_cubic_metres(sd) - 0.0323359931).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::quantity::OutOfRange>(())
/// ```
pub fn volume_change_sd(surface: Area, depth_sd: Length) -> Result<Reckoned<Volume>, OutOfRange> {
    of_depth(
        "Error of a change of volume between two readings",
        "A · σ · √2",
        surface,
        depth_sd,
        core::f64::consts::SQRT_2,
    )
}

fn of_depth(
    what: &'static str,
    formula: &'static str,
    surface: Area,
    depth_sd: Length,
    times: f64,
) -> Result<Reckoned<Volume>, OutOfRange> {
    let surface = PLAN.check(as_square_metres(surface))?;
    let depth_sd = STANDARD_DEVIATION.check(as_metres(depth_sd))?;
    let sd = cubic_metres(surface * depth_sd * times);
    Ok(Working::new(what, formula)
        .input("free surface", "A", Figure::exact(surface, Unit::SquareMetre), "given")
        .input("error of the depth", "σ", Figure::exact(depth_sd, Unit::Metre), "given")
        .step("one standard deviation", formula, Figure::exact(as_litres(sd), Unit::Litre))
        .source("JCGM 100:2008 (GUM), 5.1.2")
        .gives(sd))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::celsius;
    use crate::quantity::kg_per_cubic_metre;
    use crate::quantity::kilopascals;
    use crate::quantity::square_metres;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn any_figures_are_an_answer_or_an_error(a in prop::num::f64::ANY, b in prop::num::f64::ANY, c in prop::num::f64::ANY) {
            let answers = [
                depth_from_pressure(kilopascals(a), kg_per_cubic_metre(b)).map(|found| as_metres(found.value)),
                barometric_error(kilopascals(a), kg_per_cubic_metre(b)).map(|found| as_metres(found.value)),
                tilt_offset(metres(a), b).map(|found| as_metres(found.value)),
                ultrasonic_error(metres(a), celsius(b), celsius(c)).map(|found| as_metres(found.value)),
                sd_from_limits(a, Spread::Uniform),
                sd_from_limits(a, Spread::Triangular),
                sd_from_limits(a, Spread::Normal95),
                sd_from_resolution(a),
                volume_sd(square_metres(a), metres(b)).map(|found| as_litres(found.value)),
                volume_change_sd(square_metres(a), metres(b)).map(|found| as_litres(found.value)),
            ];
            prop_assert!(answers.into_iter().flatten().all(f64::is_finite));
        }

        #[test]
        fn a_rise_of_the_air_reads_deeper_and_warmer_air_fuller(p in 0.01..5.0, t in 20.01..60.0) {
            let off = barometric_error(kilopascals(p), kg_per_cubic_metre(998.0)).unwrap();
            prop_assert!(as_metres(off.value) > 0.0);
            prop_assert!(as_metres(ultrasonic_error(metres(1.0), celsius(t), celsius(20.0)).unwrap().value) < 0.0);
        }
    }
}
