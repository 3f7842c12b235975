//! Whether a floor bears a vessel, an earthquake moves it, its water spills, and a door lets it in.
//!
//! Screening only: a figure over its limit means "ask a structural engineer", one under it is not a design.

mod earthquake;
mod error;
mod floor;
pub mod measures;
mod passage;
mod slosh;
#[cfg(test)]
mod tests;

pub use earthquake::Force7_16;
pub use earthquake::Force7_22;
pub use earthquake::Site;
pub use earthquake::Standing;
pub use earthquake::height_factor;
pub use error::StructureError;
pub use floor::Allowance;
pub use floor::FloorLoad;
pub use floor::depth_at_limit;
pub use floor::floor_load;
pub use passage::Passage;
pub use passage::passes;
pub use passage::turns;
pub use slosh::Basin;
pub use slosh::Spectrum;
pub use slosh::wave_height;
