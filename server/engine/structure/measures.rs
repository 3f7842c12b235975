//! What standing vessels are described by, and the ranges outside which none is believed.

use crate::quantity::Measure;
use crate::quantity::Unit;

/// mass
pub const MASS: Measure = Measure::new("mass", Unit::Kilogram, 0.0, 1e9);
/// weight of the empty vessel
pub const EMPTY: Measure = Measure::new("weight of the empty vessel", Unit::Kilogram, 0.0, 10_000_000.0);
/// contact area
pub const CONTACT: Measure = Measure::new("contact area", Unit::SquareMetre, 1e-6, 1e6);
/// floor's allowance
pub const LIMIT: Measure = Measure::new("floor's allowance", Unit::Kilopascal, 0.0, 10_000.0);
/// load of the empty vessel
pub const TARE: Measure = Measure::new("load of the empty vessel", Unit::Kilopascal, 0.0, 10_000.0);
/// weight
pub const WEIGHT: Measure = Measure::new("weight", Unit::Kilonewton, 0.0, 1e7);
/// force
pub const FORCE: Measure = Measure::new("force", Unit::Kilonewton, 0.0, 1e7);
/// short-period acceleration SDS (g)
pub const SDS: Measure = Measure::new("short-period acceleration SDS (g)", Unit::Count, 0.0, 10.0);
/// one-second acceleration SD1 (g)
pub const SD1: Measure = Measure::new("one-second acceleration SD1 (g)", Unit::Count, 0.0, 10.0);
/// amplification
pub const AMPLIFICATION: Measure = Measure::new("amplification", Unit::Count, 0.0, 10.0);
/// response factor
pub const RESPONSE: Measure = Measure::new("response factor", Unit::Count, 0.1, 20.0);
/// importance factor
pub const IMPORTANCE: Measure = Measure::new("importance factor", Unit::Count, 0.1, 3.0);
/// height in the building z/h
pub const STOREY: Measure = Measure::new("height in the building z/h", Unit::Count, -1000.0, 1000.0);
/// height factor Hf
pub const HEIGHT_FACTOR: Measure = Measure::new("height factor Hf", Unit::Count, 0.0, 10.0);
/// friction
pub const FRICTION: Measure = Measure::new("friction", Unit::Count, 0.01, 2.0);
/// height over the base
pub const UP: Measure = Measure::new("height over the base", Unit::Metre, 0.0, 100.0);
/// height of the strap
pub const HOLD: Measure = Measure::new("height of the strap", Unit::Metre, 0.01, 100.0);
/// half width of the base
pub const HALF_BASE: Measure = Measure::new("half width of the base", Unit::Metre, 0.001, 100.0);
/// width across
pub const ACROSS: Measure = Measure::new("width across", Unit::Metre, 0.01, 200.0);
/// depth of water
pub const DEPTH: Measure = Measure::new("depth of water", Unit::Metre, 0.001, 100.0);
/// period
pub const PERIOD: Measure = Measure::new("period", Unit::Second, 0.001, 100.0);
/// convective acceleration (g)
pub const ACCELERATION: Measure = Measure::new("convective acceleration (g)", Unit::Count, 0.0, 10.0);
/// size
pub const SIZE: Measure = Measure::new("size", Unit::Metre, 0.001, 100.0);
/// weight
pub const HELD_DOWN: Measure = Measure::new("weight", Unit::Kilonewton, 1e-6, 1e7);
