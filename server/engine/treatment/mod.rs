//! Treatment: how much disinfectant, how long it lasts, what it is credited with, and the order of a train of stages.
//!
//! A reckoned dose or credit is an estimate from the readings named in its working. It never says that water may be
//! drunk: the grade says what it is counted as, and the health authority's word stands over both.
//!
//! *Refused, never guessed*: a Giardia figure above pH 9, a virus figure above pH 10, any credit without a measured free
//! chlorine, from total chlorine or in cloudy water, a dose from a product of unknown strength or kind, an ordinary
//! dose over 10 mg/L, a rate from readings that do not fall. *Marked as extrapolated*: above 25 °C, below 5 °C, cloudiness
//! not measured, bleach over a year old.

mod boil;
mod caution;
mod chart;
mod contact;
mod decay;
mod dose;
mod error;
#[cfg(test)]
mod laws;
pub mod measures;
mod product;
mod shock;
mod train;
mod ultraviolet;

pub use boil::boil_time;
pub use caution::Caution;
pub use chart::ChartDose;
pub use chart::HouseholdNeed;
pub use chart::Murk;
pub use chart::chart_dose;
pub use chart::chart_drops;
pub use chart::household_need;
pub use chart::stand_time;
pub use contact::Conditions;
pub use contact::Credit;
pub use contact::Germ;
pub use contact::Method;
pub use contact::Sample;
pub use contact::Tank;
pub use contact::VirusLog;
pub use contact::chlorine_credit;
pub use contact::contact_time;
pub use contact::credit;
pub use contact::ct_giardia;
pub use contact::ct_virus;
pub use contact::giardia_log;
pub use contact::hypochlorous_fraction;
pub use contact::in_series;
pub use contact::inactivated;
pub use contact::virus_log;
pub use decay::Falls;
pub use decay::FittedRate;
pub use decay::FloorForecast;
pub use decay::ResidualForecast;
pub use decay::ResidualTest;
pub use decay::TEST_ERROR;
pub use decay::ct_under_decay;
pub use decay::fitted_rate;
pub use decay::mixed;
pub use decay::rate_at;
pub use decay::rate_between;
pub use decay::residual_after;
pub use decay::to_floor;
pub use decay::usual_temperature_effect;
pub use dose::Dose;
pub use dose::Drops;
pub use dose::Need;
pub use dose::Purpose;
pub use dose::Spoon;
pub use dose::concentration_of_liquid;
pub use dose::concentration_of_solid;
pub use dose::liquid_for;
pub use dose::most_ordinary;
pub use dose::solid_for;
pub use error::TreatmentError;
pub use product::Ageing;
pub use product::Bottle;
pub use product::PercentKind;
pub use product::Product;
pub use product::Unfit;
pub use product::available_by_weight;
pub use product::label_strength;
pub use product::loss_factor;
pub use product::usual_half_life;
pub use shock::ShockMethod;
pub use shock::ShockPlan;
pub use shock::box_us_gallons;
pub use train::Fault;
pub use train::Passed;
pub use train::Stage;
pub use train::StageKind;
pub use train::Train;
pub use ultraviolet::Lamp;
pub use ultraviolet::UvClass;
pub use ultraviolet::uv_credit;
pub use ultraviolet::uv_dose_for;
pub use ultraviolet::water_factor;

use crate::quantity::Measure;
use crate::quantity::Unit;

/// strength of a liquid product
const STRENGTH: Measure = Measure::new("available chlorine of the product", Unit::GramPerLitre, 0.01, 300.0);
/// per cent on a label
const LABEL: Measure = Measure::new("per cent on the label", Unit::Count, 0.1, 20.0);
/// density of a liquid product, g/mL
const DENSITY: Measure = Measure::new("density", Unit::KilogramPerCubicMetre, 900.0, 1500.0);
/// the part of a solid product that is available chlorine
const AVAILABLE: Measure = Measure::new("available chlorine, as a part", Unit::Fraction, 0.01, 1.0);
/// a wanted or present concentration of chlorine
const CHLORINE: Measure = Measure::new("chlorine", Unit::MilligramPerLitre, 0.0, 1000.0);
/// a volume of liquid product
const LIQUID: Measure = Measure::new("liquid product", Unit::Millilitre, 0.0, 1_000_000.0);
/// a mass of solid product
const SOLID: Measure = Measure::new("solid product", Unit::Gram, 0.0, 1_000_000.0);
/// water to be treated; nothing is dosed into less than a spoonful
const WATER: Measure = Measure::new("water", Unit::Litre, 0.001, 10_000_000.0);
/// what may stand on a label: per cent, or grams a litre
pub const ON_LABEL: Measure = Measure::new("figure on the label", Unit::Count, 0.01, 300.0);
/// age of a product, or time since a test
pub const AGE: Measure = Measure::new("age", Unit::Day, 0.0, 36_500.0);
/// the time in which bleach loses half
const HALF_LIFE: Measure = Measure::new("half-life", Unit::Day, 0.01, 1_000_000.0);
/// what is left of something
const LEFT: Measure = Measure::new("part that is left", Unit::Fraction, 0.000_001, 1.0);
/// how much faster for ten degrees
const PER_TEN: Measure = Measure::new("factor for 10 °C", Unit::Count, 1.0, 10.0);
/// temperature where a product is kept
const STORE_TEMPERATURE: Measure = Measure::new("temperature of the store", Unit::Celsius, -20.0, 60.0);
/// rate of decay
const RATE: Measure = Measure::new("rate of decay", Unit::PerDay, 0.0, 1000.0);
/// activation energy over the gas constant, K
const ACTIVATION: Measure = Measure::new("E/R in kelvin", Unit::Count, 0.0, 30_000.0);
/// contact
const CONTACT: Measure = Measure::new("CT", Unit::MilligramMinutePerLitre, 0.0, 1e9);
/// contact that a table asks for
const ASKED: Measure = Measure::new("CT asked for", Unit::MilligramMinutePerLitre, 0.001, 1e6);
/// powers of ten of germs
const LOG: Measure = Measure::new("log inactivation", Unit::Log10, 0.0, 20.0);
/// time of contact
const CONTACT_TIME: Measure = Measure::new("contact time", Unit::Minute, 0.0, 10_000_000.0);
/// flow through a tank or lamp
const FLOW: Measure = Measure::new("flow", Unit::LitrePerMinute, 0.000_1, 1_000_000.0);
/// the part of a tank's time that the fastest tenth of the water stays
const BAFFLING: Measure = Measure::new("baffling factor", Unit::Fraction, 0.0, 1.0);
/// dose of ultraviolet light
const UV_DOSE: Measure = Measure::new("ultraviolet dose", Unit::MillijoulePerSquareCentimetre, 0.0, 100_000.0);
/// ultraviolet light that passes 1 cm of water
const TRANSMITTANCE: Measure = Measure::new("ultraviolet transmittance in per cent", Unit::Count, 0.01, 100.0);
/// length of the light's path in the water, cm
const PATH: Measure = Measure::new("path of the light", Unit::Metre, 0.000_01, 1.0);

/// months a medium may still serve; below 0 it is past them
const MONTHS: Measure = Measure::new("months left", Unit::Count, -1_200.0, 1_200.0);

/// Checks a figure that must also be above 0.
fn above_zero(measure: &'static Measure, value: f64) -> Result<f64, TreatmentError> {
    let value = measure.check(value)?;
    if value > 0.0 { Ok(value) } else { Err(TreatmentError::Zero { name: measure.name }) }
}
