//! The house's tests: one binary, so that it links once and shares one harness.

mod dependencies;
mod harness;
mod map;
mod platform;
