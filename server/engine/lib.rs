//! The arithmetic of stored water: what is in each vessel, what it is counted as, how long it lasts and what ends it.
//!
//! Pure functions. No clock, no files, no network, no randomness without a seed: the same question has the same answer.
//! Quantities travel as uom types ([`quantity`]), ranges are checked at the door, and every answer that a person may
//! doubt carries its [`working`].

#![deny(missing_docs)]

pub mod burn_down;
pub mod demand;
pub mod distribution;
pub mod endurance;
pub mod forecast;
pub mod grade;
pub mod hydraulics;
pub mod level;
pub mod moment;
pub mod neighbourhood;
pub mod numeric;
pub mod power;
pub mod quantity;
pub mod rotation;
pub mod sensing;
pub mod structure;
pub mod treatment;
pub mod upkeep;
pub mod vessel;
pub mod working;
