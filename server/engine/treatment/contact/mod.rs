//! What free chlorine is credited with: contact by the published tables, never more and never where there is none.

mod asked;
mod credit;
mod germ;
mod table;
mod time;

pub use asked::Conditions;
pub use asked::ct_giardia;
pub use asked::ct_virus;
pub use credit::Credit;
pub use credit::Sample;
pub use credit::chlorine_credit;
pub use credit::credit;
pub use credit::giardia_log;
pub use credit::in_series;
pub use credit::inactivated;
pub use credit::virus_log;
pub use germ::Germ;
pub use germ::Method;
pub use germ::VirusLog;
pub use time::Tank;
pub use time::contact_time;
pub use time::hypochlorous_fraction;

/// A figure that equals a printed one, but for rounding, is that one.
const SAME: f64 = 1e-9;

const GIARDIA_SOURCE: &str = "US EPA 815-R-20-003 (2020) Table B-1; 40 CFR 141.74(b)(3)(v)";
const VIRUS_SOURCE: &str = "US EPA SWTR Guidance Manual (1991) Table E-7; 815-R-20-003 (2020) Table B-2";
