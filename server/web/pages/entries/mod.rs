//! Entries, one by one.

mod line;

pub(crate) use line::deed;
pub(crate) use line::joined;
pub(crate) use line::line;
