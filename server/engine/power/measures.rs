//! What power is reckoned from, and the ranges outside which none is believed.

use crate::quantity::Measure;
use crate::quantity::Unit;

/// heat of the fuel (MJ a litre)
pub const HEAT: Measure = Measure::new("heat of the fuel (MJ a litre)", Unit::Count, 1.0, 200.0);
/// heat put in
pub const HEAT_INPUT: Measure = Measure::new("heat put in", Unit::Watt, 0.001, 1e9);
/// height over the sea
pub const ABOVE_SEA: Measure = Measure::new("height over the sea", Unit::Metre, -500.0, 9_000.0);
/// air temperature
pub const AIR: Measure = Measure::new("air temperature", Unit::Celsius, -60.0, 80.0);
/// loss a step
pub const LOSS_A_STEP: Measure = Measure::new("loss a step", Unit::Fraction, 0.0, 0.5);
/// fuel for a kWh (g)
pub const SPECIFIC: Measure = Measure::new("fuel for a kWh (g)", Unit::Count, 1.0, 10_000.0);
/// density of the fuel (kg a litre)
pub const FUEL_DENSITY: Measure = Measure::new("density of the fuel (kg a litre)", Unit::Count, 0.1, 2.0);
/// rated power of the motor (hp)
pub const MOTOR: Measure = Measure::new("rated power of the motor (hp)", Unit::Count, 0.0, 10_000.0);
/// starting kVA for a hp
pub const CODE: Measure = Measure::new("starting kVA for a hp", Unit::Count, 0.0, 100.0);
/// voltage (V)
pub const VOLTAGE: Measure = Measure::new("voltage (V)", Unit::Count, 1.0, 100_000.0);
/// part of full load
pub const LOAD_PART: Measure = Measure::new("part of full load", Unit::Fraction, 0.0, 1.5);
/// mass of the fuel
pub const FUEL_MASS: Measure = Measure::new("mass of the fuel", Unit::Kilogram, 0.0, 1e6);
/// heat of the fuel (Btu a pound)
pub const HEAT_A_POUND: Measure = Measure::new("heat of the fuel (Btu a pound)", Unit::Count, 1_000.0, 100_000.0);
/// capacity (Ah)
pub const CHARGE: Measure = Measure::new("capacity (Ah)", Unit::Count, 0.0, 1e6);
/// part
pub const PART: Measure = Measure::new("part", Unit::Fraction, 0.0, 1.0);
/// energy
pub const STORED: Measure = Measure::new("energy", Unit::WattHour, 0.0, 1e9);
/// total head
pub const TOTAL_HEAD: Measure = Measure::new("total head", Unit::Metre, 0.01, 10_000.0);
/// peak-sun hours a day
pub const SUN: Measure = Measure::new("peak-sun hours a day", Unit::Hour, 0.0, 24.0);
