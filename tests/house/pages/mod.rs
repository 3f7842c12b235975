//! Pages as a visitor meets them.

mod ahead;
mod battery;
pub mod carries;
mod data;
mod learned;
mod log;
mod losses;
mod odd;
mod paper;
mod people;
mod reckoner;
mod record;
pub mod scene;
pub mod set_up;
pub mod sign_in;
mod sites;
pub mod today;
mod upkeep;
mod vessel;
mod works;
