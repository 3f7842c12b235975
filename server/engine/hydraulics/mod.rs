//! Water on its way: friction, pumps, pressure tanks, gravity, and what arrives at the tap.
//!
//! A topic is a file. What is asked once comes as [`crate::working::Reckoned`], with its working; what solvers ask a
//! thousand times stays a bare number inside.

mod energy;
mod error;
mod filter;
mod fitting;
mod friction;
mod gravity;
pub mod measures;
mod pipe;
mod pressure_tank;
mod pump;
mod suction;
mod tap;
#[cfg(test)]
mod tests;
pub mod water;

pub use energy::electrical_power;
pub use energy::energy_per_cubic_metre;
pub use energy::hydraulic_power;
pub use energy::wire_to_water;
pub use error::HydraulicsError;
pub use filter::Filter;
pub use fitting::Fitting;
pub use fitting::PipeKind;
pub use fitting::PipeSize;
pub use fitting::Wall;
pub use fitting::loss_factor;
pub use fitting::valve_drop;
pub use friction::Explicit;
pub use friction::LAMINAR_ENDS;
pub use friction::Regime;
pub use friction::TURBULENT_BEGINS;
pub use friction::friction_colebrook;
pub use friction::friction_explicit;
pub use friction::friction_laminar;
pub use gravity::Opening;
pub use gravity::drain_through_hose;
pub use gravity::fill_time;
pub use gravity::gravity_flow;
pub use pipe::Loss;
pub use pipe::Pipe;
pub use pipe::hazen_williams;
pub use pipe::line_loss;
pub use pipe::minor_loss;
pub use pipe::pipe_contents;
pub use pipe::reynolds;
pub use pipe::velocity;
pub use pressure_tank::Switch;
pub use pressure_tank::acceptance_factor;
pub use pressure_tank::most_pump_starts;
pub use pressure_tank::pump_starts;
pub use pressure_tank::tank_for_run_time;
pub use pump::Duty;
pub use pump::PumpCurve;
pub use pump::System;
pub use pump::duty;
pub use pump::duty_through_pipe;
pub use pump::shut_off_margin;
pub use suction::Suction;
pub use suction::atmospheric_pressure;
pub use suction::pressure_of_head;
pub use tap::AtTheTap;
pub use tap::Run;
pub use tap::Supply;
