//! The neighbourhood's days of water. Never one figure alone:
//!
//! - **as placed**: every site lives on its own store; the moment the first person goes without, and where, and the
//!   curve of people still supplied;
//! - **shared**: the fairest that the agreed carries allow, with the litres that each moves and why it stops there;
//! - **pooled**: all litres ÷ all need, as if every litre could be moved: the upper bound, never shown alone.

pub(crate) mod placed;
pub mod share;

pub use placed::AsPlaced;
pub use placed::Curve;
pub use placed::Fall;
pub use placed::Place;
pub use placed::Pooled;
pub use placed::Refusal;
pub use placed::Step;
pub use placed::as_placed;
pub use placed::pooled;
