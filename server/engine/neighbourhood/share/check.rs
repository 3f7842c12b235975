//! What a share refuses, before anything is carried.

use crate::neighbourhood::share::Sharing;
use crate::quantity::as_days;
use crate::quantity::as_litres;
use crate::quantity::as_litres_per_day;

/// The most that any figure may be, in its own unit.
const MOST: f64 = 1e15;

/// The least need that is one: below it days would be beyond telling apart.
const LEAST_NEED: f64 = 1e-9;

/// Why a share is not reckoned.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Refusal {
    /// a figure of a site
    #[error("{field} of site number {site}, counted from 0, is {value}; allowed is {allowed}")]
    Site {
        /// which site
        site: usize,
        /// which figure
        field: &'static str,
        /// what was given
        value: f64,
        /// what may be given, in words
        allowed: &'static str,
    },
    /// a figure of a carry
    #[error("{field} of carry number {carry}, counted from 0, is {value}; allowed is {allowed}")]
    Carry {
        /// which carry
        carry: usize,
        /// which figure
        field: &'static str,
        /// what was given
        value: f64,
        /// what may be given, in words
        allowed: &'static str,
    },
    /// a class that comes before the first
    #[error("the class of site number {site}, counted from 0, is 0; allowed is a whole number from 1")]
    Class {
        /// which site
        site: usize,
    },
    /// a carry that leads back to where it began
    #[error("carry number {carry}, counted from 0, leads from a site to itself; allowed is another site")]
    ToItself {
        /// which carry
        carry: usize,
    },
    /// a carry from or to a site that is not there
    #[error("carry number {carry}, counted from 0, is {end} site number {site}; there are {count}")]
    Unknown {
        /// which carry
        carry: usize,
        /// "from" or "to"
        end: &'static str,
        /// what was asked for
        site: usize,
        /// how many there are
        count: usize,
    },
    /// the days that count first
    #[error("target days is {0}; allowed is 0 to 1e15")]
    Target(f64),
    /// figures so far apart that rounding hides which carry ends first
    #[error("the figures lie too far apart to be reckoned together")]
    TooFarApart,
}

/// Refuses what cannot be reckoned.
pub(super) fn check(sharing: &Sharing) -> Result<(), Refusal> {
    for (site, given) in sharing.sites.iter().enumerate() {
        let refuse = |field, value, allowed| Err(Refusal::Site { site, field, value, allowed });
        for (field, value) in [("litres", as_litres(given.volume)), ("litres kept", as_litres(given.keep))] {
            if !(0.0..=MOST).contains(&value) {
                return refuse(field, value, "0 to 1e15");
            }
        }
        let need = as_litres_per_day(given.need);
        if need != 0.0 && !(LEAST_NEED..=MOST).contains(&need) {
            return refuse("litres needed a day", need, "0, or 1e-9 to 1e15");
        }
        if given.class == 0 {
            return Err(Refusal::Class { site });
        }
    }
    let count = sharing.sites.len();
    for (carry, given) in sharing.carries.iter().enumerate() {
        for (end, site) in [("from", given.from), ("to", given.to)] {
            if site >= count {
                return Err(Refusal::Unknown { carry, end, site, count });
            }
        }
        if given.from == given.to {
            return Err(Refusal::ToItself { carry });
        }
        let daily = as_litres_per_day(given.daily);
        if !(0.0..=MOST).contains(&daily) {
            return Err(Refusal::Carry { carry, field: "litres a day", value: daily, allowed: "0 to 1e15" });
        }
        if !(0.0..1.0).contains(&given.loss) {
            let allowed = "0, or more, but less than 1";
            return Err(Refusal::Carry { carry, field: "loss", value: given.loss, allowed });
        }
    }
    match sharing.target.map(as_days) {
        Some(target) if !(0.0..=MOST).contains(&target) => Err(Refusal::Target(target)),
        _ => Ok(()),
    }
}
