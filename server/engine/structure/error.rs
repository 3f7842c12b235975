//! What can be wrong with a question about standing vessels.

use crate::quantity::OutOfRange;

/// Why a question about a floor, an earthquake or a door is refused.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum StructureError {
    /// a figure out of its range
    #[error(transparent)]
    OutOfRange(#[from] OutOfRange),
    /// nothing is left to hold the vessel down
    #[error(
        "short-period acceleration SDS is {sds} g; allowed is below 4.5 g, where nothing is left of the vessel's weight"
    )]
    Weightless {
        /// g
        sds: f64,
    },
}
