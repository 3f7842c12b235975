//! What can be wrong with a vessel's figures, or with what is asked of it.

use super::Kind;
use super::Way;
use crate::quantity::OutOfRange;

/// Why a shape, a depth or a volume is refused. Each names the field, the value and what is allowed.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum ShapeError {
    /// a figure that the kind needs was not given
    #[error("{name} is missing")]
    Missing {
        /// the figure's key
        key: &'static str,
        /// what it is called
        name: &'static str,
    },
    /// a figure outside its range, or no number
    #[error("{error}")]
    OutOfRange {
        /// the figure's key
        key: &'static str,
        /// what it is, and what is allowed
        error: OutOfRange,
    },
    /// a count with a fraction
    #[error("{name} is {value}; allowed are whole numbers")]
    NotWhole {
        /// the figure's key
        key: &'static str,
        /// what it is called
        name: &'static str,
        /// what was given
        value: f64,
    },
    /// more than the largest vessel
    #[error("these figures make a vessel for {litres:.0} L; allowed is at most {max} L")]
    TooLarge {
        /// what it would hold
        litres: f64,
        /// the most that is allowed
        max: f64,
    },
    /// rows for a kind that has none
    #[error("a depth-to-litres table is only for a vessel of that kind, not for {}", kind.name())]
    NoTable {
        /// the kind
        kind: Kind,
    },
    /// a table without a row above the floor
    #[error("a depth-to-litres table needs one row or more above 0 m")]
    TableTooShort,
    /// a figure of a table outside its range, or no number
    #[error("row {row} of the table: {error}")]
    TableOutOfRange {
        /// counted from 1
        row: usize,
        /// what it is, and what is allowed
        error: OutOfRange,
    },
    /// water at no depth
    #[error("row {row} of the table: {litres} L at 0 m; an empty vessel holds 0 L")]
    TableFloor {
        /// counted from 1
        row: usize,
        /// what was given
        litres: f64,
    },
    /// a row that does not rise
    #[error("row {row} of the table: {depth} m, {litres} L; both must be more than in the row before")]
    TableNotRising {
        /// counted from 1
        row: usize,
        /// what was given
        depth: f64,
        /// what was given
        litres: f64,
    },
    /// a depth below the floor, over the rim, or no number
    #[error("depth is {depth} m; allowed is 0 to {height} m")]
    Depth {
        /// what was given, metres
        depth: f64,
        /// the rim, metres
        height: f64,
    },
    /// less than nothing, more than the brim, or no number
    #[error("volume is {litres:.3} L; allowed is 0 to {brim:.3} L")]
    Volume {
        /// what was given
        litres: f64,
        /// all it holds, litres
        brim: f64,
    },
    /// a depth asked of a vessel that has none
    #[error("no depth is read in {}: give litres or a part of full", kind.name())]
    NoDepth {
        /// the kind
        kind: Kind,
    },
    /// a dip table too fine, too coarse, or of no number
    #[error("step of the dip table is {step} m; allowed is {least} to {height} m")]
    Step {
        /// what was given, metres
        step: f64,
        /// the finest, metres
        least: f64,
        /// the rim, metres
        height: f64,
    },
    /// an error stated for a measure that this kind does not have
    #[error("{} has no such measure", kind.name())]
    NoSuchFigure {
        /// the kind
        kind: Kind,
    },
    /// the full mark on the floor, over the rim, or no number
    #[error("full mark is {height} m over the floor; allowed is above 0 m, up to {rim} m")]
    FullMark {
        /// what was given, metres
        height: f64,
        /// the rim, metres
        rim: f64,
    },
    /// a way of drawing below the floor, above the full mark, or no number
    #[error("{} is {height} m over the floor; allowed is 0 to {full} m, the full mark", way.name())]
    DrawHeight {
        /// which way
        way: Way,
        /// what was given, metres
        height: f64,
        /// the full mark, metres
        full: f64,
    },
    /// the numeric search gave no answer
    #[error("no depth found for this volume: {0}")]
    Numeric(#[from] crate::numeric::NumericError),
}
