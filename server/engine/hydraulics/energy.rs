//! What lifting water takes.

use super::error::HydraulicsError;
use super::measures::DENSITY;
use super::measures::EFFICIENCY;
use super::measures::ELECTRICAL;
use super::measures::GRAVITY;
use super::measures::HEAD;
use super::pipe::checked;
use crate::quantity::Length;
use crate::quantity::MassDensity;
use crate::quantity::Power;
use crate::quantity::Unit;
use crate::quantity::VolumeRate;
use crate::quantity::as_kg_per_cubic_metre;
use crate::quantity::as_litres_per_minute;
use crate::quantity::as_metres;
use crate::quantity::as_watts;
use crate::quantity::watts;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

/// The power of water that is lifted: P = ρ g Q H.
///
/// | | |
/// |---|---|
/// | Q, H | 0 to 1,000,000 L/min, 0 to 10,000 m |
/// | source | work against weight |
///
/// # Errors
/// [`HydraulicsError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::hydraulics::hydraulic_power;
/// use keepwell_engine::quantity::{as_watts, kg_per_cubic_metre, litres_per_minute, metres};
/// // ENG-086: 195.779961 W for 40 L/min at 30 m, closed form.
/// let power = hydraulic_power(litres_per_minute(40.0), metres(30.0), kg_per_cubic_metre(998.2))?.value;
/// assert!((as_watts(power) - 195.779961).abs() < 1e-5);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn hydraulic_power(
    flow: VolumeRate,
    head: Length,
    density: MassDensity,
) -> Result<Reckoned<Power>, HydraulicsError> {
    let rate = checked(flow)?;
    let head = HEAD.check(as_metres(head))?;
    let density = DENSITY.check(as_kg_per_cubic_metre(density))?;
    let power = density * GRAVITY * rate * head;
    Ok(Working::new("Power of lifted water", "P = ρ · g · Q · H")
        .input("flow", "Q", Figure::exact(as_litres_per_minute(flow), Unit::LitrePerMinute), "given")
        .input("head", "H", Figure::exact(head, Unit::Metre), "given")
        .input("density", "ρ", Figure::exact(density, Unit::KilogramPerCubicMetre), "given")
        .step("power of the water", "ρ · g · Q · H", Figure::exact(power, Unit::Watt))
        .source("Work against weight")
        .gives(watts(power)))
}

/// The electricity a pump takes: ρ g Q H/η.
///
/// | | |
/// |---|---|
/// | η | wire to water, 0.001 to 1: small jet and booster sets 0.2 to 0.4, good multistage ones 0.4 to 0.55 (common practice, no source) |
///
/// # Errors
/// [`HydraulicsError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::hydraulics::electrical_power;
/// use keepwell_engine::quantity::{as_watts, kg_per_cubic_metre, litres_per_minute, metres};
/// // ENG-087: 559.371316 W at 35 %, closed form.
/// let power = electrical_power(litres_per_minute(40.0), metres(30.0), kg_per_cubic_metre(998.2), 0.35)?.value;
/// assert!((as_watts(power) - 559.371316).abs() < 1e-5);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn electrical_power(
    flow: VolumeRate,
    head: Length,
    density: MassDensity,
    efficiency: f64,
) -> Result<Reckoned<Power>, HydraulicsError> {
    let water = hydraulic_power(flow, head, density)?;
    let efficiency = EFFICIENCY.check(efficiency)?;
    let power = as_watts(water.value) / efficiency;
    Ok(water
        .working
        .input("wire-to-water efficiency", "η", Figure::exact(efficiency, Unit::Fraction), "measured or assumed")
        .step("electricity", "P/η", Figure::exact(power, Unit::Watt))
        .gives(watts(power)))
}

/// Kilowatt hours for a cubic metre, 1000 L, of lifted water: ρ g H/(3.6 × 10⁶ η).
///
/// # Errors
/// [`HydraulicsError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::hydraulics::energy_per_cubic_metre;
/// use keepwell_engine::quantity::{kg_per_cubic_metre, metres};
/// // ENG-088: 0.233071382 kWh a cubic metre, closed form.
/// let energy = energy_per_cubic_metre(metres(30.0), kg_per_cubic_metre(998.2), 0.35)?.value;
/// assert!((energy - 0.233071382).abs() < 1e-8);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn energy_per_cubic_metre(
    head: Length,
    density: MassDensity,
    efficiency: f64,
) -> Result<Reckoned<f64>, HydraulicsError> {
    let head = HEAD.check(as_metres(head))?;
    let density = DENSITY.check(as_kg_per_cubic_metre(density))?;
    let efficiency = EFFICIENCY.check(efficiency)?;
    let energy = density * GRAVITY * head / (3.6e6 * efficiency);
    Ok(Working::new("Electricity for 1000 L", "ρ · g · H/(3.6·10⁶ · η)")
        .input("head", "H", Figure::exact(head, Unit::Metre), "given")
        .input("density", "ρ", Figure::exact(density, Unit::KilogramPerCubicMetre), "given")
        .input("wire-to-water efficiency", "η", Figure::exact(efficiency, Unit::Fraction), "measured or assumed")
        .step(
            "electricity for 1000 L",
            "ρ · g · H/(3.6·10⁶ · η)",
            Figure::exact(energy, Unit::KilowattHourPerCubicMetre),
        )
        .source("Work against weight")
        .gives(energy))
}

/// Wire-to-water efficiency from a measured flow, head and electrical power: ρ g Q H/P.
///
/// # Errors
/// [`HydraulicsError`] for a figure out of range, or more power out than in.
///
/// ```
/// use keepwell_engine::hydraulics::wire_to_water;
/// use keepwell_engine::quantity::{kg_per_cubic_metre, litres_per_minute, metres, watts};
/// // ENG-090: 0.294434706, closed form.
/// let part = wire_to_water(litres_per_minute(35.0), metres(33.0), watts(640.0), kg_per_cubic_metre(998.2))?.value;
/// assert!((part - 0.294434706).abs() < 1e-8);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn wire_to_water(
    flow: VolumeRate,
    head: Length,
    electrical: Power,
    density: MassDensity,
) -> Result<Reckoned<f64>, HydraulicsError> {
    let water = hydraulic_power(flow, head, density)?;
    let electrical = ELECTRICAL.check(as_watts(electrical))?;
    let hydraulic = as_watts(water.value);
    if hydraulic > electrical {
        return Err(HydraulicsError::MoreOutThanIn { electrical, hydraulic });
    }
    let part = hydraulic / electrical;
    Ok(water
        .working
        .input("electricity", "Pe", Figure::exact(electrical, Unit::Watt), "measured")
        .step("wire-to-water efficiency", "P/Pe", Figure::exact(part, Unit::Fraction))
        .gives(part))
}
