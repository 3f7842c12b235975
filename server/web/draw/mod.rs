//! Drawings: numbers and ready words in, one SVG out. Nothing here knows a page, a request or the model. Colours, patterns
//! and letters come from the sheet by class, so that dark, high contrast and print need no second drawing; the geometry
//! stands in attributes, because the policy of the pages allows no style of their own.
//!
//! Every drawing carries its title (what it is, with its figures) and a description; no label is cut off by the edge or
//! stands on another: labels are placed by `labels`, which knows what is taken.

pub mod burn;
mod canvas;
pub mod curve;
pub mod key;
mod labels;
pub mod level;
pub mod plot;
pub mod service;
pub mod vessel;

pub use canvas::Drawing;

#[cfg(test)]
mod probe;
