//! What people type into forms and files: numbers, figures with or without a unit, dates and hours.
//!
//! # How a number is read
//! - A comma or a point may stand before the decimals, once. Commas, points or spaces may part thousands, in groups of
//!   three throughout.
//! - Where both appear, the last one stands before the decimals: `1,234.5` and `1.234,5` are the same number.
//! - One that appears more than once parts thousands: `1,234,567`.
//! - A single point stands before decimals: `1.118`. A single comma does too (`1,5`, `0,125`, `12,3456`), unless just
//!   three digits follow one to three that do not begin with 0: `1,234` is 1234, as English writes it. In a file whose
//!   writer is unknown ([`Marks::Unsure`]) that one is refused, for it might be either.
//! - Signs, digits and those marks alone: no exponents, no NaN, no infinity.

mod measure;
mod number;
#[cfg(test)]
mod tests;
mod when;

pub use measure::format_measure;
pub use measure::parse_measure;
pub use number::Marks;
pub use number::parse_marked_number;
pub use number::parse_number;
pub use when::format_when;
pub use when::parse_date;
pub use when::parse_when;
