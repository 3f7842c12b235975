//! Pages as a visitor meets them.

mod data;
mod log;
mod paper;
mod people;
mod record;
pub mod scene;
pub mod set_up;
pub mod sign_in;
mod sites;
pub mod today;
mod upkeep;
mod vessel;
