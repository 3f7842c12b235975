//! Rows about the water itself: dosing, contact, demand.

use crate::row::Answer;
use crate::row::Row;

/// The answer to a row about water; `None` for a quantity that is not one.
pub fn answer(_row: &Row) -> Option<Answer> {
    None
}
