//! A point in time, as the engine counts it: whole microseconds UTC since 1970.
//!
//! The engine has no clock and no calendar. Whoever asks says when "now" is; where a formula needs a calendar
//! day the caller passes it. Whole microseconds make equal questions have equal answers.

use crate::quantity::Time;
use crate::quantity::as_days;
use crate::quantity::days;

const MICROS_PER_DAY: f64 = 86_400e6;

/// Whole microseconds UTC since 1970-01-01.
///
/// ```
/// use keepwell_engine::moment::Moment;
/// use keepwell_engine::quantity::{as_days, days};
/// let fill = Moment::from_micros(0);
/// let due = fill.after(days(180.0));
/// assert_eq!(as_days(due.since(fill)), 180.0);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Moment(i64);

impl Moment {
    /// From microseconds since 1970-01-01T00:00Z.
    #[must_use]
    pub const fn from_micros(micros: i64) -> Self {
        Self(micros)
    }

    /// Microseconds since 1970-01-01T00:00Z.
    #[must_use]
    pub const fn micros(self) -> i64 {
        self.0
    }

    /// The time from `earlier` to here; negative when `earlier` is later.
    #[must_use]
    pub fn since(self, earlier: Self) -> Time {
        #[expect(clippy::cast_precision_loss, reason = "285 years of microseconds fit f64 exactly")]
        let micros = self.0.saturating_sub(earlier.0) as f64;
        days(micros / MICROS_PER_DAY)
    }

    /// This moment and `span` later (or earlier, when `span` is negative), to the nearest microsecond;
    /// the far ends of time hold what does not fit.
    #[must_use]
    pub fn after(self, span: Time) -> Self {
        let micros = (as_days(span) * MICROS_PER_DAY).round();
        #[expect(
            clippy::cast_possible_truncation,
            reason = "a float cast to an integer saturates, which is what is wanted"
        )]
        let micros = micros as i64;
        Self(self.0.saturating_add(micros))
    }
}
