//! Rows of `tests/published/water_checks.csv`: dosing, contact, light, decay, demand, rotation.

mod demand;
mod treatment;

use crate::row::Answer;
use crate::row::Row;

/// The answer to a row about water; `None` for a quantity that is not one.
pub fn answer(row: &Row) -> Option<Answer> {
    demand::answer(row).or_else(|| treatment::answer(row))
}
