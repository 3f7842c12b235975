//! What a thing of the set-up is written out as, field by field, under the names it is kept by. Beside each noun stands
//! its list; files that are exported and brought back are made from these, and a test holds each list to the noun itself.

use crate::model::choice::Choice;

/// One field of a noun.
#[derive(Clone, Copy, Debug)]
pub struct Column {
    /// its name, which a unit ends
    pub key: &'static str,
    pub cell: Cell,
}

/// What may stand in a field.
#[derive(Clone, Copy, Debug)]
pub enum Cell {
    /// words, or none
    Text,
    /// one key of a closed list
    Choice(fn() -> Vec<(&'static str, &'static str)>),
    /// a figure
    Figure,
    /// how many
    Count,
    /// yes or no
    Flag,
    /// a point in time
    Moment,
    /// a civil date
    Day,
    /// the id of a thing
    Id,
    /// ids of several
    Ids,
    /// several rows of a few fields each
    Rows(&'static [Column]),
    /// the same without names: pairs of figures
    Pairs(&'static [Column]),
    /// a part with fields of its own, which stand among the noun's
    Part(&'static [Column]),
    /// the dimensions of the noun's shape, by the engine's keys
    Dimensions,
    /// as the cell within, or nothing
    Maybe(&'static Cell),
}

impl Column {
    #[must_use]
    pub const fn new(key: &'static str, cell: Cell) -> Self {
        Self { key, cell }
    }

    #[must_use]
    pub const fn choice<T: Choice>(key: &'static str) -> Self {
        Self { key, cell: Cell::Choice(crate::model::choice::options::<T>) }
    }
}
