//! Power: what a generator burns at a load, how long its fuel lasts and how to spread it; batteries and the sun.

mod battery;
mod bears;
mod fuel;
mod generator;
pub mod measures;
mod plan;
mod rating;
mod store;
mod sun;

#[cfg(test)]
mod tests;

pub use battery::Bank;
pub use battery::BatteryDay;
pub use battery::BatteryDays;
pub use battery::battery_days;
pub use bears::Borne;
pub use bears::bears;
pub use fuel::CYLINDER_FILL;
pub use fuel::FuelKind;
pub use fuel::FuelOnHand;
pub use fuel::FuelState;
pub use fuel::FuelStore;
pub use fuel::ShelfLife;
pub use fuel::cylinder_limit;
pub use fuel::on_hand;
pub use fuel::propane_from_mass;
pub use generator::Burn;
pub use generator::BurnPoint;
pub use generator::Generator;
pub use generator::Lasts;
pub use generator::Load;
pub use generator::PowerError;
pub use generator::Running;
pub use generator::TAP_ON_DEMAND;
pub use generator::average_load;
pub use plan::FIRST_RUN;
pub use plan::RunPlan;
pub use plan::RunTime;
pub use plan::SetBy;
pub use plan::ToRun;
pub use plan::run_plan;
pub use rating::Derating;
pub use rating::burn_at_part_load;
pub use rating::efficiency;
pub use rating::efficiency_on_heat;
pub use rating::fuel_by_mass;
pub use rating::heat_of_mass;
pub use rating::starting_current;
pub use store::battery_energy;
pub use store::solar_day;
pub use store::water_lifted;
pub use sun::daylight;
pub use sun::mid_month;
pub use sun::solar_days;
pub use sun::sun_hours;
