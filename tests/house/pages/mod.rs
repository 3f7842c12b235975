//! Pages as a visitor meets them.

mod scene;
mod sign_in;
mod today;
