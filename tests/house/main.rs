//! The house's tests: one binary, so that it links once and shares one harness.

#![expect(clippy::unwrap_used, reason = "in a test's helpers too, what cannot go on should stop where it stands")]

mod api;
mod demo;
mod dependencies;
mod harness;
mod journeys;
mod limits;
mod map;
mod pages;
mod picture;
mod platform;
mod roles;
mod store;
