//! What stored water is counted as, and why: from the entries that matter to quality to causes, and from causes to a
//! grade.
//!
//! *What* - a vessel's history is folded entry by entry into a small state ([`Water`]); asked at a moment, it gives
//! the grade with its causes and the facts behind it ([`Graded`]).
//!
//! *Rule* - every [`Cause`] stands by itself, with its own way out; the grade is the worst of those that stand,
//! [`Grade::Drink`] if none does. Nothing is averaged and nothing is forgotten: a cause that is not lifted stays,
//! however old.
//!
//! *Range* - any order of acts in time; an act before the last one is refused, the house folds in the order of
//! (time it happened, id). Two moments less than a millionth of a day apart are one, and the order given decides.
//!
//! *Source* - each cause names its own ([`Cause::source`]).
//!
//! ```
//! use keepwell_engine::grade::*;
//! use keepwell_engine::moment::Moment;
//! use keepwell_engine::quantity::{days, mg_per_litre};
//!
//! let day = |d| Moment::from_micros(0).after(days(d));
//! let body = Body { food_grade: true, closed: true, opaque: true };
//! let policy = Policy::new(days(180.0), days(90.0), Some(mg_per_litre(0.2)))?;
//! let mut water = Water::new(body, policy);
//! water.apply(day(0.0), &Act::Fill { source: SourceKind::Mains, line: Line(0), boiled: false })?;
//! assert_eq!(water.grade(day(179.9)), Some(Grade::Drink));
//! // six months: CDC 2017, FEMA
//! assert_eq!(water.at(day(180.0)).causes, [Cause::Overdue]);
//! // 4.0 mg/L is the most that a public supply may carry (40 CFR 141.65): more than that, and it is on hold
//! let strong = Act::Test { free: Some(mg_per_litre(4.1)), total: None, coliform: None };
//! assert_eq!(water.preview(day(190.0), &strong)?.grade, Some(Grade::Hold));
//! # Ok::<(), Refused>(())
//! ```

mod act;
mod asked;
mod cause;
mod graded;
#[cfg(test)]
mod laws;
mod restore;
mod standing;
mod supply;
mod test;
mod water;

pub use act::Act;
pub use act::Body;
pub use act::Contents;
pub use act::Disinfectant;
pub use act::Line;
pub use act::NoticeKind;
pub use act::Policy;
pub use act::Refused;
pub use act::SourceKind;
pub use cause::Cause;
pub use graded::Graded;
pub use graded::Origin;
pub use graded::Reason;
pub use restore::Deed;
pub use restore::Restoration;
pub use standing::Step;
pub use water::Water;

use crate::moment::Moment;
use crate::quantity::MassConcentration;
use crate::quantity::Time;
use crate::quantity::days;
use crate::quantity::hours;
use crate::quantity::mg_per_litre;

/// What water is counted as; the worst is the greatest.
///
/// ```
/// use keepwell_engine::grade::Grade;
/// assert_eq!(Grade::Drink.max(Grade::Utility), Grade::Utility);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Grade {
    /// counted for everything
    Drink,
    /// counted for drinking once it is treated here, at use
    Treat,
    /// for flushing and washing floors; nothing makes it drinking water
    Utility,
    /// for nothing, and in no total
    Hold,
}

impl Grade {
    /// Every grade, best first.
    pub const ALL: [Self; 4] = [Self::Drink, Self::Treat, Self::Utility, Self::Hold];

    /// The short word it goes by in files and addresses.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::Drink => "drink",
            Self::Treat => "treat",
            Self::Utility => "utility",
            Self::Hold => "hold",
        }
    }

    /// What a page calls it (English key).
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Drink => "drinking water",
            Self::Treat => "water to be treated",
            Self::Utility => "utility water",
            Self::Hold => "water on hold",
        }
    }

    /// What it is counted for (English key).
    #[must_use]
    pub const fn counted_for(self) -> &'static str {
        match self {
            Self::Drink => "drinking, cooking, washing, everything",
            Self::Treat => {
                "drinking only after it is treated here, at use: brought to a rolling boil for 1 minute (3 minutes above 1,000 m), or run through this site's working treatment. Under a boil notice: what the notice asks for"
            }
            Self::Utility => {
                "flushing and washing floors; never drinking, cooking, teeth or dishes. No boiling, bleach or ultraviolet light makes it drinking water"
            }
            Self::Hold => "nothing at all, not even washing, and it is in no total",
        }
    }
}

/// A reading above this condemns, and one at or below it lifts what was too strong: 4.0 mg/L as chlorine, free or
/// total, the maximum residual disinfectant level of 40 CFR 141.65.
#[must_use]
pub fn strongest() -> MassConcentration {
    mg_per_litre(4.0)
}

/// The least free chlorine that vouches for water: 0.2 mg/L at the point of use (WHO, Guidelines for drinking-water
/// quality). A policy may ask for more.
#[must_use]
pub fn least_residual() -> MassConcentration {
    mg_per_litre(0.2)
}

/// How long after a dose, a disinfection or a fill a test counts: 30 minutes (EPA, WHO).
#[must_use]
pub fn contact_time() -> Time {
    hours(0.5)
}

/// How long water may stand in the light before algae are feared: 30 days (common practice, no source).
#[must_use]
pub fn longest_in_light() -> Time {
    days(30.0)
}

/// How long boiled water keeps: one day (no residual, poured by hand; common practice, no source).
#[must_use]
pub fn boiled_keeps() -> Time {
    days(1.0)
}

/// How many volumes of good water count as emptied and refilled where the mains run through: five. In a well-mixed
/// vessel exp(-5) = 0.7 % of the old water is left then, so 99 % is renewed.
const VOLUMES_TO_RENEW: f64 = 5.0;

/// Moments no further apart than this are one: a millionth of a day.
const ONE_MOMENT_MICROS: i64 = 86_400;

/// Whether `mark` has come by `now`.
const fn reached(now: Moment, mark: Moment) -> bool {
    now.micros().saturating_add(ONE_MOMENT_MICROS) >= mark.micros()
}

/// Whether `mark` lies behind `now`, and not within the same moment.
const fn passed(now: Moment, mark: Moment) -> bool {
    now.micros().saturating_sub(ONE_MOMENT_MICROS) > mark.micros()
}
