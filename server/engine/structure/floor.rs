//! What a floor feels.

use super::error::StructureError;
use super::measures::CONTACT;
use super::measures::LIMIT;
use super::measures::MASS;
use super::measures::TARE;
use crate::hydraulics::measures::DENSITY;
use crate::hydraulics::measures::GRAVITY;
use crate::quantity::Area;
use crate::quantity::Length;
use crate::quantity::Mass;
use crate::quantity::MassDensity;
use crate::quantity::Pressure;
use crate::quantity::Unit;
use crate::quantity::as_kg_per_cubic_metre;
use crate::quantity::as_kilograms;
use crate::quantity::as_kilopascals;
use crate::quantity::as_square_metres;
use crate::quantity::kilopascals;
use crate::quantity::metres;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

use uom::si::pressure::pound_force_per_square_foot;

/// What a floor is usually allowed to bear, spread over it. Local codes govern.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Allowance {
    /// bedrooms: 30 lb a square foot, 1.44 kPa (IRC table R301.5, from memory)
    Sleeping,
    /// living rooms: 40 lb a square foot, 1.92 kPa (ASCE 7 table 4.3-1, from memory)
    Living,
    /// a slab of 100 mm on firm ground: 10 kPa, the low end of 10 to 25 (common practice, no source)
    Slab,
    /// firm ground: 1,500 lb a square foot, 72 kPa (IBC table 1806.2, from memory)
    Ground,
}

impl Allowance {
    /// All of them, from the least.
    pub const ALL: [Self; 4] = [Self::Sleeping, Self::Living, Self::Slab, Self::Ground];

    /// In words.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Sleeping => "bedroom floor",
            Self::Living => "living-room floor",
            Self::Slab => "concrete slab on firm ground",
            Self::Ground => "firm ground",
        }
    }

    /// How much.
    #[must_use]
    pub fn pressure(self) -> Pressure {
        let psf = |value: f64| Pressure::new::<pound_force_per_square_foot>(value);
        match self {
            Self::Sleeping => psf(30.0),
            Self::Living => psf(40.0),
            Self::Slab => kilopascals(10.0),
            Self::Ground => psf(1500.0),
        }
    }
}

/// A load on a floor.
#[derive(Clone, Debug, PartialEq)]
pub struct FloorLoad {
    /// spread over the contact area
    pub pressure: Pressure,
    /// the mass on each square metre, kg
    pub a_square_metre: f64,
    /// the mass on each square foot, kg
    pub a_square_foot: f64,
    /// the usual allowances that it is over
    pub over: Vec<Allowance>,
    /// what is behind it
    pub working: Working,
}

/// What a mass on an area presses on a floor: p = m g/A.
///
/// | | |
/// |---|---|
/// | m | 0 to 10⁹ kg, water and vessel together |
/// | A | 10⁻⁶ to 10⁶ m², where it touches: a tote's pallet as a whole, or its feet |
/// | answer | an average; over an allowance it means "ask a structural engineer" |
/// | source | weight over area |
///
/// # Errors
/// [`StructureError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::quantity::{as_kilopascals, kilograms, square_metres};
/// use keepwell_engine::structure::floor_load;
/// // ENG-122: a vendor's guide has 182 lb a square foot for a full 275 US gal tote.
/// let load = floor_load(kilograms(1097.69), square_metres(1.238707))?;
/// assert!((as_kilopascals(load.pressure) - 8.71420713).abs() < 0.005 * 8.7);
/// # Ok::<(), keepwell_engine::structure::StructureError>(())
/// ```
pub fn floor_load(mass: Mass, contact: Area) -> Result<FloorLoad, StructureError> {
    const SQUARE_FOOT: f64 = 0.3048 * 0.3048;
    let mass = MASS.check(as_kilograms(mass))?;
    let contact = CONTACT.check(as_square_metres(contact))?;
    let pressure = mass * GRAVITY / contact / 1000.0;
    let a_square_metre = mass / contact;
    let working = Working::new("Load on the floor", "p = m · g/A")
        .input("mass, water and vessel", "m", Figure::exact(mass, Unit::Kilogram), "set-up")
        .input("contact area", "A", Figure::exact(contact, Unit::SquareMetre), "set-up")
        .step("pressure", "m · g/A", Figure::exact(pressure, Unit::Kilopascal))
        .step("on each square metre", "m/A", Figure::exact(a_square_metre, Unit::Kilogram))
        .step("on each square foot", "m/A · 0.0929 m²", Figure::exact(a_square_metre * SQUARE_FOOT, Unit::Kilogram))
        .without("What else stands on the floor, and how its joists run: ask a structural engineer")
        .source("Weight over area; ASCE 7 table 4.3-1, IRC table R301.5, IBC table 1806.2 (from memory)");
    let pressure = kilopascals(pressure);
    Ok(FloorLoad {
        pressure,
        a_square_metre,
        a_square_foot: a_square_metre * SQUARE_FOOT,
        over: Allowance::ALL.into_iter().filter(|allowance| pressure > allowance.pressure()).collect(),
        working,
    })
}

/// The depth of water at which a floor's allowance is reached: h = (limit − tare)/(ρ g). Below 0 where the empty vessel is
/// already over it.
///
/// | | |
/// |---|---|
/// | limit, tare | 0 to 10,000 kPa |
/// | source | hydrostatics |
///
/// # Errors
/// [`StructureError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::quantity::{as_metres, kg_per_cubic_metre, kilopascals};
/// use keepwell_engine::structure::depth_at_limit;
/// // ENG-124: 40 lb a square foot are reached at 0.195648216 m.
/// let depth = depth_at_limit(kilopascals(1.9152), kilopascals(0.0), kg_per_cubic_metre(998.2))?.value;
/// assert!((as_metres(depth) - 0.195648216).abs() < 1e-8);
/// # Ok::<(), keepwell_engine::structure::StructureError>(())
/// ```
pub fn depth_at_limit(
    limit: Pressure,
    tare: Pressure,
    density: MassDensity,
) -> Result<Reckoned<Length>, StructureError> {
    let limit = LIMIT.check(as_kilopascals(limit))?;
    let tare = TARE.check(as_kilopascals(tare))?;
    let density = DENSITY.check(as_kg_per_cubic_metre(density))?;
    let depth = (limit - tare) * 1000.0 / (density * GRAVITY);
    Ok(Working::new("Depth at which a floor's allowance is reached", "h = (limit − tare)/(ρ · g)")
        .input("allowance", "limit", Figure::exact(limit, Unit::Kilopascal), "given")
        .input("load of the empty vessel", "tare", Figure::exact(tare, Unit::Kilopascal), "given")
        .input("density", "ρ", Figure::exact(density, Unit::KilogramPerCubicMetre), "given")
        .step("depth", "(limit − tare)/(ρ · g)", Figure::exact(depth, Unit::Metre))
        .source("Hydrostatics")
        .gives(metres(depth)))
}
