//! Whole ways through the house, by the forms that a person has before them.

mod from_nothing;
mod next_moves;
mod one_tank;
mod three_days_off;
