//! What pipes, pumps and tanks are described by, and the ranges outside which none is believed.

use crate::quantity::Measure;
use crate::quantity::Unit;

const fn measure(name: &'static str, unit: Unit, min: f64, max: f64) -> Measure {
    Measure { name, unit, min, max }
}

/// Standard gravity, m/s²: exact, CGPM 1901.
pub const GRAVITY: f64 = 9.806_65;

/// water through a pipe
pub const FLOW: Measure = measure("flow", Unit::LitrePerMinute, 0.0, 1_000_000.0);
/// the flow a pump, a filter or a use is rated for
pub const RATED_FLOW: Measure = measure("rated flow", Unit::LitrePerMinute, 0.001, 1_000_000.0);
/// inside diameter of a pipe or an opening
pub const BORE: Measure = measure("bore", Unit::Metre, 0.0001, 10.0);
/// length of a pipe
pub const PIPE_LENGTH: Measure = measure("pipe length", Unit::Metre, 0.0, 100_000.0);
/// height of the bumps of a pipe's wall
pub const ROUGHNESS: Measure = measure("roughness", Unit::Metre, 0.0, 0.1);
/// the same as a part of the bore
pub const RELATIVE_ROUGHNESS: Measure = measure("relative roughness", Unit::Count, 0.0, 0.05);
/// flow against viscosity
pub const REYNOLDS: Measure = measure("Reynolds number", Unit::Count, 0.0, 1e9);
/// speed in a pipe
pub const VELOCITY: Measure = measure("velocity", Unit::MetrePerSecond, 0.0, 150.0);
/// mass of a volume of water
pub const DENSITY: Measure = measure("density", Unit::KilogramPerCubicMetre, 500.0, 2_000.0);
/// thickness of water
pub const VISCOSITY: Measure = measure("viscosity", Unit::MillipascalSecond, 0.05, 100.0);
/// loss of fittings in velocity heads
pub const LOSS_FACTOR: Measure = measure("loss factor K", Unit::Count, 0.0, 1_000_000.0);
/// Hazen and Williams' smoothness
pub const SMOOTHNESS: Measure = measure("Hazen-Williams C", Unit::Count, 20.0, 200.0);
/// US gallons a minute through a valve at 1 psi
pub const FLOW_COEFFICIENT: Measure = measure("flow coefficient Cv", Unit::Count, 0.001, 100_000.0);
/// exponent of a filter's pressure drop
pub const EXPONENT: Measure = measure("exponent of the pressure drop", Unit::Count, 0.5, 2.5);
/// a pressure drop or a switch setting over the air's
pub const GAUGE: Measure = measure("pressure", Unit::Kilopascal, 0.0, 10_000.0);
/// of the air
pub const ATMOSPHERE: Measure = measure("atmospheric pressure", Unit::Kilopascal, 10.0, 200.0);
/// under which water boils
pub const VAPOUR: Measure = measure("vapour pressure", Unit::Kilopascal, 0.0, 200.0);
/// a head of water
pub const HEAD: Measure = measure("head", Unit::Metre, 0.0, 10_000.0);
/// a height above (or, negative, below) another
pub const LIFT: Measure = measure("height", Unit::Metre, -1_000.0, 10_000.0);
/// area of an opening
pub const OPENING: Measure = measure("area of the opening", Unit::SquareMetre, 1e-8, 100.0);
/// area of a tank in plan
pub const PLAN: Measure = measure("plan area", Unit::SquareMetre, 1e-4, 1_000_000.0);
/// of an opening: flow against what it would be without friction and contraction
pub const DISCHARGE: Measure = measure("discharge coefficient", Unit::Count, 0.05, 1.0);
/// lifted water for the electricity put in
pub const EFFICIENCY: Measure = measure("wire-to-water efficiency", Unit::Fraction, 0.001, 1.0);
/// a pressure tank's own volume
pub const TANK: Measure = measure("tank volume", Unit::Litre, 0.01, 1_000_000.0);
/// what a pressure tank gives between cut-out and cut-in
pub const DRAWDOWN: Measure = measure("drawdown", Unit::Litre, 0.001, 1_000_000.0);
/// the same as a part of its volume
pub const DRAWDOWN_PART: Measure = measure("drawdown factor", Unit::Fraction, 1e-6, 1.0);
/// how long a pump should run at a time
pub const RUN_TIME: Measure = measure("run time", Unit::Second, 0.0, 1_000_000.0);
/// electricity put into a pump
pub const ELECTRICAL: Measure = measure("electrical power", Unit::Watt, 0.001, 10_000_000.0);
/// height over the sea where the formula of the standard atmosphere holds
pub const ALTITUDE: Measure = measure("altitude", Unit::Metre, -500.0, 11_000.0);
/// temperature of liquid water
pub const TEMPERATURE: Measure = measure("water temperature", Unit::Celsius, 0.0, 150.0);
/// pressure on liquid water, the air's included
pub const ABSOLUTE: Measure = measure("absolute pressure", Unit::Kilopascal, 0.1, 100_000.0);
/// of a filter's way through, the part that is clogged
pub const CLOGGED: Measure = measure("clogged part", Unit::Fraction, 0.0, 0.99);
/// friction factor of fully turbulent flow
pub const TURBULENT_FACTOR: Measure = measure("fully turbulent friction factor", Unit::Count, 0.0, 1.0);
/// a pressure drop that came out of a formula
pub const ANY_DROP: Measure = measure("pressure drop", Unit::Kilopascal, 0.0, 1e12);
/// a gauge at a pump's suction, over (or, negative, under) the air's pressure
pub const SUCTION_GAUGE: Measure = measure("suction gauge", Unit::Kilopascal, -100.0, 10_000.0);
/// use of water at one time
pub const DEMAND: Measure = measure("demand", Unit::LitrePerMinute, 0.0, 1_000_000.0);
