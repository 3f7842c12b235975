//! Water itself: density, viscosity, vapour pressure, and what freezing and warming do to its volume.

mod constants;

use super::error::HydraulicsError;
use super::measures::ABSOLUTE;
use super::measures::DENSITY;
use super::measures::TEMPERATURE;
use super::measures::VISCOSITY;
use crate::quantity::DynamicViscosity;
use crate::quantity::Mass;
use crate::quantity::MassDensity;
use crate::quantity::Pressure;
use crate::quantity::ThermodynamicTemperature;
use crate::quantity::Unit;
use crate::quantity::as_celsius;
use crate::quantity::as_kg_per_cubic_metre;
use crate::quantity::as_kilopascals;
use crate::quantity::as_pascal_seconds;
use crate::quantity::kg_per_cubic_metre;
use crate::quantity::kilopascals;
use crate::quantity::pascal_seconds;
use crate::quantity::us_gallon;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;
use constants::ICE;
use constants::REGION_1;
use constants::SATURATION;
use constants::VISCOSITY_OF_DENSITY;
use constants::VISCOSITY_OF_VAPOUR;

/// One standard atmosphere, kPa: exact.
pub const STANDARD_ATMOSPHERE: f64 = 101.325;
const KELVIN: f64 = 273.15;
/// kJ/(kg K), IAPWS-IF97.
const GAS_CONSTANT: f64 = 0.461_526;

/// Water as a pipe feels it: its density and viscosity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Water {
    pub(super) density: f64,
    pub(super) viscosity: f64,
}

impl Water {
    /// From its density (500 to 2,000 kg/m³) and dynamic viscosity (0.05 to 100 mPa·s).
    ///
    /// # Errors
    /// [`HydraulicsError`] for a figure out of range.
    pub fn new(density: MassDensity, viscosity: DynamicViscosity) -> Result<Self, HydraulicsError> {
        let density = DENSITY.check(as_kg_per_cubic_metre(density))?;
        let viscosity = VISCOSITY.check(as_pascal_seconds(viscosity) * 1000.0)? / 1000.0;
        Ok(Self { density, viscosity })
    }

    /// At a temperature, under the air of the sea's level.
    ///
    /// # Errors
    /// [`HydraulicsError`] for a temperature out of range, or at which it boils.
    pub fn at(temperature: ThermodynamicTemperature) -> Result<Self, HydraulicsError> {
        let pressure = kilopascals(STANDARD_ATMOSPHERE);
        Self::new(density(temperature, pressure)?.value, viscosity(temperature, pressure)?.value)
    }

    /// Its density.
    #[must_use]
    pub fn density(&self) -> MassDensity {
        kg_per_cubic_metre(self.density)
    }

    /// Its dynamic viscosity.
    #[must_use]
    pub fn viscosity(&self) -> DynamicViscosity {
        pascal_seconds(self.viscosity)
    }
}

/// Liquid water's temperature in K and pressure in MPa, if it is liquid there.
fn liquid(temperature: ThermodynamicTemperature, pressure: Pressure) -> Result<(f64, f64), HydraulicsError> {
    let temperature = TEMPERATURE.check(as_celsius(temperature))?;
    let pressure = ABSOLUTE.check(as_kilopascals(pressure))?;
    let boils = saturation(temperature + KELVIN) * 1000.0;
    if pressure < boils {
        return Err(HydraulicsError::Boils { pressure, boils, temperature });
    }
    Ok((temperature + KELVIN, pressure / 1000.0))
}

fn inputs(working: Working, temperature: f64, pressure: f64) -> Working {
    working.input("water temperature", "T", Figure::exact(temperature - KELVIN, Unit::Celsius), "given").input(
        "absolute pressure",
        "p",
        Figure::exact(pressure * 1000.0, Unit::Kilopascal),
        "given",
    )
}

/// The density of liquid water.
///
/// | | |
/// |---|---|
/// | density | p/(R T π γ_π), γ the dimensionless Gibbs energy of region 1 |
/// | T | 0 to 150 °C |
/// | p | vapour pressure to 100,000 kPa, the air's included |
/// | error | within 0.001 % at 1 atm |
/// | source | IAPWS R7-97(2012), Industrial Formulation 1997, equation 7 and table 2 |
///
/// # Errors
/// [`HydraulicsError`] out of range, or where water boils.
///
/// ```
/// use keepwell_engine::hydraulics::water::density;
/// use keepwell_engine::quantity::{as_kg_per_cubic_metre, celsius, kilopascals};
/// // IAPWS R7-97 table 5: 0.100215168e-2 m³/kg at 300 K and 3 MPa.
/// let found = as_kg_per_cubic_metre(density(celsius(26.85), kilopascals(3000.0))?.value);
/// assert!((1.0 / found - 0.100215168e-2).abs() < 1e-11);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn density(
    temperature: ThermodynamicTemperature,
    pressure: Pressure,
) -> Result<Reckoned<MassDensity>, HydraulicsError> {
    let (kelvin, megapascals) = liquid(temperature, pressure)?;
    let density = density_of(kelvin, megapascals);
    Ok(inputs(Working::new("Density of water", "ρ = p/(R · T · π · γ_π)"), kelvin, megapascals)
        .step("Density", "p/(R · T · π · γ_π)", Figure::exact(density, Unit::KilogramPerCubicMetre))
        .without("What is dissolved in it")
        .source("IAPWS R7-97(2012), equation 7 and table 2")
        .gives(kg_per_cubic_metre(density)))
}

fn density_of(kelvin: f64, megapascals: f64) -> f64 {
    let (reduced, inverse) = (megapascals / 16.53, 1386.0 / kelvin);
    let slope: f64 = REGION_1
        .iter()
        .map(|&(i, j, n)| -n * f64::from(i) * (7.1 - reduced).powi(i - 1) * (inverse - 1.222).powi(j))
        .sum();
    // p/(ρ R T) = π γ_π, in MPa, kJ and kg
    megapascals * 1000.0 / (reduced * slope * GAS_CONSTANT * kelvin)
}

/// The dynamic viscosity of liquid water.
///
/// | | |
/// |---|---|
/// | viscosity | μ₀(T) μ₁(T, ρ), without the critical enhancement, which is 1 far from 374 °C |
/// | T, p | as for [`density`] |
/// | error | 1 % by the release's own statement |
/// | source | IAPWS R12-08, Formulation 2008 for the viscosity of ordinary water substance, equations 11 and 12 |
///
/// # Errors
/// [`HydraulicsError`] out of range, or where water boils.
///
/// ```
/// use keepwell_engine::hydraulics::water::viscosity;
/// use keepwell_engine::quantity::{as_pascal_seconds, celsius, kilopascals};
/// // ENG-044: 0.00100159614 Pa·s at 20 °C, by the iapws library.
/// let found = as_pascal_seconds(viscosity(celsius(20.0), kilopascals(101.325))?.value);
/// assert!((found / 0.00100159614 - 1.0).abs() < 1e-5);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn viscosity(
    temperature: ThermodynamicTemperature,
    pressure: Pressure,
) -> Result<Reckoned<DynamicViscosity>, HydraulicsError> {
    let (kelvin, megapascals) = liquid(temperature, pressure)?;
    let viscosity = viscosity_of(kelvin, density_of(kelvin, megapascals));
    Ok(inputs(Working::new("Viscosity of water", "μ = μ₀(T) · μ₁(T, ρ)"), kelvin, megapascals)
        .step("Viscosity", "μ₀ · μ₁", Figure::exact(viscosity * 1000.0, Unit::MillipascalSecond))
        .source("IAPWS R12-08, equations 11 and 12")
        .gives(pascal_seconds(viscosity)))
}

fn viscosity_of(kelvin: f64, density: f64) -> f64 {
    let (warmth, thickness) = (kelvin / 647.096, density / 322.0);
    let thin: f64 = VISCOSITY_OF_VAPOUR.iter().rev().fold(0.0, |sum, term| sum / warmth + term);
    let dense: f64 = VISCOSITY_OF_DENSITY
        .iter()
        .map(|&(i, j, h)| h * (1.0 / warmth - 1.0).powi(i) * (thickness - 1.0).powi(j))
        .sum();
    100.0 * warmth.sqrt() / thin * (thickness * dense).exp() * 1e-6
}

/// The pressure under which water boils.
///
/// | | |
/// |---|---|
/// | pressure | (2C/(−B + √(B² − 4AC)))⁴, A, B, C quadratic in θ = T + n₉/(T − n₁₀) |
/// | T | 0 to 150 °C |
/// | error | within 0.02 % |
/// | source | IAPWS R7-97(2012), equation 30 and table 34 |
///
/// # Errors
/// [`HydraulicsError`] for a temperature out of range.
///
/// ```
/// use keepwell_engine::hydraulics::water::vapour_pressure;
/// use keepwell_engine::quantity::{as_kilopascals, celsius};
/// // IAPWS R7-97 table 35: 0.353658941e-2 MPa at 300 K.
/// assert!((as_kilopascals(vapour_pressure(celsius(26.85))?.value) - 3.53658941).abs() < 1e-7);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn vapour_pressure(temperature: ThermodynamicTemperature) -> Result<Reckoned<Pressure>, HydraulicsError> {
    let celsius = TEMPERATURE.check(as_celsius(temperature))?;
    let pressure = saturation(celsius + KELVIN) * 1000.0;
    Ok(Working::new("Vapour pressure of water", "p = (2C/(−B + √(B² − 4AC)))⁴")
        .input("water temperature", "T", Figure::exact(celsius, Unit::Celsius), "given")
        .step("Vapour pressure", "(2C/(−B + √(B² − 4AC)))⁴", Figure::exact(pressure, Unit::Kilopascal))
        .source("IAPWS R7-97(2012), equation 30 and table 34")
        .gives(kilopascals(pressure)))
}

/// MPa.
fn saturation(kelvin: f64) -> f64 {
    let n = SATURATION;
    let shifted = kelvin + n[8] / (kelvin - n[9]);
    let quadratic = |a: f64, b: f64, c: f64| (a * shifted + b) * shifted + c;
    let (a, b, c) = (quadratic(1.0, n[0], n[1]), quadratic(n[2], n[3], n[4]), quadratic(n[5], n[6], n[7]));
    (2.0 * c / (-b + (b * b - 4.0 * a * c).sqrt())).powi(4)
}

/// How much more room the same water takes at another temperature: ρ(from)/ρ(to), at 101.325 kPa.
///
/// | | |
/// |---|---|
/// | from, to | 0 °C to boiling |
/// | error | twice that of [`density`] |
/// | source | conservation of mass |
///
/// A plastic tank grows more than its water, so its level barely moves when it warms.
///
/// # Errors
/// [`HydraulicsError`] for a temperature out of range, or at which it boils.
///
/// ```
/// use keepwell_engine::hydraulics::water::volume_ratio;
/// use keepwell_engine::quantity::celsius;
/// // ENG-046: 1.00596893 from 5 to 35 °C, by IAPWS-95.
/// assert!((volume_ratio(celsius(5.0), celsius(35.0))?.value - 1.00596893).abs() < 1e-5);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn volume_ratio(
    from: ThermodynamicTemperature,
    to: ThermodynamicTemperature,
) -> Result<Reckoned<f64>, HydraulicsError> {
    let pressure = kilopascals(STANDARD_ATMOSPHERE);
    let (cold, warm) = (density(from, pressure)?.value, density(to, pressure)?.value);
    let ratio = (cold / warm).value;
    Ok(Working::new("Volume of the same water at another temperature", "ρ(from)/ρ(to)")
        .input("from", "T₁", Figure::exact(as_celsius(from), Unit::Celsius), "given")
        .input("to", "T₂", Figure::exact(as_celsius(to), Unit::Celsius), "given")
        .step("density before", "ρ(T₁)", Figure::exact(as_kg_per_cubic_metre(cold), Unit::KilogramPerCubicMetre))
        .step("density after", "ρ(T₂)", Figure::exact(as_kg_per_cubic_metre(warm), Unit::KilogramPerCubicMetre))
        .step("times as much room", "ρ(T₁)/ρ(T₂)", Figure::exact(ratio, Unit::Count))
        .without("The vessel's own growth")
        .source("IAPWS R7-97(2012)")
        .gives(ratio))
}

/// How much more room ice takes than the water it came from: ρ(T)/916.7 − 1.
///
/// | | |
/// |---|---|
/// | T | of the water before, in practice 0 °C; 0 °C to boiling |
/// | error | ice with air in it takes more |
/// | source | ice Ih at 0 °C and 101.325 kPa: 916.7 kg/m³, IAPWS R10-06 |
///
/// # Errors
/// [`HydraulicsError`] for a temperature out of range, or at which it boils.
///
/// ```
/// use keepwell_engine::hydraulics::water::freezing_expansion;
/// use keepwell_engine::quantity::celsius;
/// // ENG-047: 0.0906723477, by IAPWS-95 and IAPWS-06.
/// assert!((freezing_expansion(celsius(0.001))?.value - 0.0906723477).abs() < 1e-4);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn freezing_expansion(temperature: ThermodynamicTemperature) -> Result<Reckoned<f64>, HydraulicsError> {
    let water = as_kg_per_cubic_metre(density(temperature, kilopascals(STANDARD_ATMOSPHERE))?.value);
    let part = water / ICE - 1.0;
    Ok(Working::new("Room that ice takes beyond its water", "ρ(water)/ρ(ice) − 1")
        .input("density of water", "ρ", Figure::exact(water, Unit::KilogramPerCubicMetre), "IAPWS R7-97(2012)")
        .input("density of ice", "ρi", Figure::exact(ICE, Unit::KilogramPerCubicMetre), "IAPWS R10-06")
        .step("more room", "ρ/ρi − 1", Figure::exact(part, Unit::Fraction))
        .source("IAPWS R7-97(2012), IAPWS R10-06")
        .gives(part))
}

/// The mass of one US gallon of water at 101.325 kPa.
///
/// # Errors
/// [`HydraulicsError`] for a temperature out of range, or at which it boils.
///
/// ```
/// use keepwell_engine::hydraulics::water::us_gallon_mass;
/// use keepwell_engine::quantity::celsius;
/// use uom::si::mass::pound;
/// // ENG-045: 8.3304424 lb at 20 °C, by IAPWS-95.
/// assert!((us_gallon_mass(celsius(20.0))?.value.get::<pound>() - 8.3304424).abs() < 1e-4);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn us_gallon_mass(temperature: ThermodynamicTemperature) -> Result<Reckoned<Mass>, HydraulicsError> {
    let density = density(temperature, kilopascals(STANDARD_ATMOSPHERE))?;
    let mass = density.value * us_gallon();
    let figure = Figure::exact(crate::quantity::as_kilograms(mass), Unit::Kilogram);
    Ok(density.working.step("mass of a US gallon, 231 cubic inches", "ρ · 231 in³", figure).gives(mass))
}
