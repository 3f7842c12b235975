//! Pages as a visitor meets them.

mod people;
mod scene;
pub mod sign_in;
mod today;
pub mod set_up;
