//! What treatment is reckoned from, and the ranges outside which none is believed.

use crate::quantity::Measure;
use crate::quantity::Unit;

/// available chlorine of the product
pub const STRENGTH: Measure = Measure::new("available chlorine of the product", Unit::GramPerLitre, 0.01, 300.0);
/// what may stand on a label: per cent, or grams a litre
pub const ON_LABEL: Measure = Measure::new("figure on the label", Unit::Count, 0.01, 300.0);
/// per cent on the label
pub const LABEL: Measure = Measure::new("per cent on the label", Unit::Count, 0.1, 20.0);
/// density
pub const DENSITY: Measure = Measure::new("density", Unit::KilogramPerCubicMetre, 900.0, 1500.0);
/// available chlorine, as a part
pub const AVAILABLE: Measure = Measure::new("available chlorine, as a part", Unit::Fraction, 0.01, 1.0);
/// chlorine
pub const CHLORINE: Measure = Measure::new("chlorine", Unit::MilligramPerLitre, 0.0, 1000.0);
/// liquid product
pub const LIQUID: Measure = Measure::new("liquid product", Unit::Millilitre, 0.0, 1_000_000.0);
/// solid product
pub const SOLID: Measure = Measure::new("solid product", Unit::Gram, 0.0, 1_000_000.0);
/// water
pub const WATER: Measure = Measure::new("water", Unit::Litre, 0.001, 10_000_000.0);
/// age
pub const AGE: Measure = Measure::new("age", Unit::Day, 0.0, 36_500.0);
/// half-life
pub const HALF_LIFE: Measure = Measure::new("half-life", Unit::Day, 0.01, 1_000_000.0);
/// part that is left
pub const LEFT: Measure = Measure::new("part that is left", Unit::Fraction, 0.000_001, 1.0);
/// factor for 10 °C
pub const PER_TEN: Measure = Measure::new("factor for 10 °C", Unit::Count, 1.0, 10.0);
/// temperature of the store
pub const STORE_TEMPERATURE: Measure = Measure::new("temperature of the store", Unit::Celsius, -20.0, 60.0);
/// rate of decay
pub const RATE: Measure = Measure::new("rate of decay", Unit::PerDay, 0.0, 1000.0);
/// E/R in kelvin
pub const ACTIVATION: Measure = Measure::new("E/R in kelvin", Unit::Count, 0.0, 30_000.0);
/// CT
pub const CONTACT: Measure = Measure::new("CT", Unit::MilligramMinutePerLitre, 0.0, 1e9);
/// CT asked for
pub const ASKED: Measure = Measure::new("CT asked for", Unit::MilligramMinutePerLitre, 0.001, 1e6);
/// log inactivation
pub const LOG: Measure = Measure::new("log inactivation", Unit::Log10, 0.0, 20.0);
/// contact time
pub const CONTACT_TIME: Measure = Measure::new("contact time", Unit::Minute, 0.0, 10_000_000.0);
/// flow
pub const FLOW: Measure = Measure::new("flow", Unit::LitrePerMinute, 0.000_1, 1_000_000.0);
/// baffling factor
pub const BAFFLING: Measure = Measure::new("baffling factor", Unit::Fraction, 0.0, 1.0);
/// ultraviolet dose
pub const UV_DOSE: Measure = Measure::new("ultraviolet dose", Unit::MillijoulePerSquareCentimetre, 0.0, 100_000.0);
/// ultraviolet transmittance in per cent
pub const TRANSMITTANCE: Measure = Measure::new("ultraviolet transmittance in per cent", Unit::Count, 0.01, 100.0);
/// path of the light
pub const PATH: Measure = Measure::new("path of the light", Unit::Metre, 0.000_01, 1.0);
/// months left
pub const MONTHS: Measure = Measure::new("months left", Unit::Count, -1_200.0, 1_200.0);
/// lamp hours
pub const LAMP: Measure = Measure::new("lamp hours", Unit::Hour, 0.0, 1_000_000.0);
/// US gallons to the cubic foot
pub const GALLONS: Measure = Measure::new("US gallons to the cubic foot", Unit::Count, 7.0, 8.0);
