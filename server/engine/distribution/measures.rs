//! What handing out is reckoned from, and the ranges outside which none is believed.

use crate::quantity::Measure;
use crate::quantity::Unit;

/// taps
pub const TAPS: Measure = Measure::new("taps", Unit::Count, 1.0, 10_000.0);
/// flow of a tap
pub const TAP_FLOW: Measure = Measure::new("flow of a tap", Unit::LitrePerMinute, 0.1, 10_000.0);
/// litres each
pub const EACH: Measure = Measure::new("litres each", Unit::Litre, 0.01, 10_000.0);
/// time between two people at a tap
pub const CHANGE: Measure = Measure::new("time between two people at a tap", Unit::Second, 0.0, 3_600.0);
/// hours open
pub const OPEN: Measure = Measure::new("hours open", Unit::Hour, 0.01, 24.0);
/// litres of a container
pub const CONTAINER: Measure = Measure::new("litres of a container", Unit::Litre, 0.01, 100_000.0);
/// empty container
pub const TARE: Measure = Measure::new("empty container", Unit::Kilogram, 0.0, 10_000.0);
/// payload
pub const PAYLOAD: Measure = Measure::new("payload", Unit::Kilogram, 0.01, 1e7);
/// reach, height or travel of a lift
pub const REACH: Measure = Measure::new("reach, height or travel of a lift", Unit::Metre, 0.0, 10.0);
/// turn of the body
pub const TURN: Measure = Measure::new("turn of the body", Unit::Degree, 0.0, 360.0);
/// multiplier of the lifting equation
pub const MULTIPLIER: Measure = Measure::new("multiplier of the lifting equation", Unit::Count, 0.0, 1.0);
