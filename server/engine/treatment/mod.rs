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
pub use ultraviolet::Clearness;
pub use ultraviolet::Lamp;
pub use ultraviolet::UvClass;
pub use ultraviolet::uv_credit;
pub use ultraviolet::uv_dose_for;
pub use ultraviolet::water_factor;

use crate::quantity::Measure;

/// Checks a figure that must also be above 0.
fn above_zero(measure: &'static Measure, value: f64) -> Result<f64, TreatmentError> {
    let value = measure.check(value)?;
    if value > 0.0 { Ok(value) } else { Err(TreatmentError::Zero { name: measure.name }) }
}
