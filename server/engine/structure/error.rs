//! What can be wrong with a question about standing vessels, and the ranges outside which no figure is believed.

use crate::quantity::Measure;
use crate::quantity::OutOfRange;
use crate::quantity::Unit;

/// Why a question about a floor, an earthquake or a door is refused.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum StructureError {
    /// a figure out of its range
    #[error(transparent)]
    OutOfRange(#[from] OutOfRange),
    /// nothing is left to hold the vessel down
    #[error(
        "short-period acceleration SDS is {sds} g; allowed is below 4.5 g, where nothing is left of the vessel's weight"
    )]
    Weightless {
        /// g
        sds: f64,
    },
}

const fn measure(name: &'static str, unit: Unit, min: f64, max: f64) -> Measure {
    Measure { name, unit, min, max }
}

pub(super) const MASS: Measure = measure("mass", Unit::Kilogram, 0.0, 1e9);
pub(super) const CONTACT: Measure = measure("contact area", Unit::SquareMetre, 1e-6, 1e6);
pub(super) const LIMIT: Measure = measure("floor's allowance", Unit::Kilopascal, 0.0, 10_000.0);
pub(super) const TARE: Measure = measure("load of the empty vessel", Unit::Kilopascal, 0.0, 10_000.0);
pub(super) const WEIGHT: Measure = measure("weight", Unit::Kilonewton, 0.0, 1e7);
pub(super) const FORCE: Measure = measure("force", Unit::Kilonewton, 0.0, 1e7);
pub(super) const SDS: Measure = measure("short-period acceleration SDS (g)", Unit::Count, 0.0, 10.0);
pub(super) const SD1: Measure = measure("one-second acceleration SD1 (g)", Unit::Count, 0.0, 10.0);
pub(super) const AMPLIFICATION: Measure = measure("amplification", Unit::Count, 0.0, 10.0);
pub(super) const RESPONSE: Measure = measure("response factor", Unit::Count, 0.1, 20.0);
pub(super) const IMPORTANCE: Measure = measure("importance factor", Unit::Count, 0.1, 3.0);
pub(super) const STOREY: Measure = measure("height in the building z/h", Unit::Count, -1000.0, 1000.0);
pub(super) const HEIGHT_FACTOR: Measure = measure("height factor Hf", Unit::Count, 0.0, 10.0);
pub(super) const FRICTION: Measure = measure("friction", Unit::Count, 0.01, 2.0);
pub(super) const UP: Measure = measure("height over the base", Unit::Metre, 0.0, 100.0);
pub(super) const HOLD: Measure = measure("height of the strap", Unit::Metre, 0.01, 100.0);
pub(super) const HALF_BASE: Measure = measure("half width of the base", Unit::Metre, 0.001, 100.0);
pub(super) const ACROSS: Measure = measure("width across", Unit::Metre, 0.01, 200.0);
pub(super) const DEPTH: Measure = measure("depth of water", Unit::Metre, 0.001, 100.0);
pub(super) const PERIOD: Measure = measure("period", Unit::Second, 0.001, 100.0);
pub(super) const ACCELERATION: Measure = measure("convective acceleration (g)", Unit::Count, 0.0, 10.0);
pub(super) const SIZE: Measure = measure("size", Unit::Metre, 0.001, 100.0);
pub(super) const HELD_DOWN: Measure = measure("weight", Unit::Kilonewton, 1e-6, 1e7);
