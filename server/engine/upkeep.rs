//! Upkeep: what is done again and again so that stored water stays fresh, full and ready, and when each is due.
//!
//! A duty is due an interval after it was last done. How long that is comes from where [`Duty::source`] says; a
//! neighbourhood may keep another. The engine has no calendar: an interval is so many days of 24 hours.

use crate::moment::Moment;
use crate::quantity::INTERVAL;
use crate::quantity::OutOfRange;
use crate::quantity::Time;
use crate::quantity::Unit;
use crate::quantity::as_days;
use crate::quantity::days;
use crate::rotation::Rotation;
use crate::rotation::Standing;
use crate::working::Figure;
use crate::working::Working;

/// Days before the due date from which a duty is due soon, and the part of its interval that this is at most: what comes
/// round each month is not announced for half of it. Common practice, no source.
pub const SOON_DAYS: f64 = 14.0;
const SOON_PART: f64 = 0.25;

/// What is done again and again.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Duty {
    /// stored water renewed: used or poured away and refilled, or dosed and tested
    Rotation,
    /// the residual measured
    Test,
    /// the level read
    Dip,
    /// old fuel used and fresh bought
    Fuel,
    /// a generator run under load
    GeneratorRun,
    /// a pump run
    PumpRun,
    /// couplings and valves of a bank looked at
    Couplings,
    /// lids, screens, outlets and stands looked at
    Round,
}

/// Where an interval comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Source {
    /// somebody published it: who, what, where
    Published(&'static str),
    /// guidance agrees on it, and no standard says so
    Guidance(&'static str),
    /// common practice, no source
    Practice,
}

impl Duty {
    /// Every duty, in the order in which a page names them.
    pub const ALL: [Self; 8] = [
        Self::Rotation,
        Self::Test,
        Self::Dip,
        Self::Fuel,
        Self::GeneratorRun,
        Self::PumpRun,
        Self::Couplings,
        Self::Round,
    ];

    /// The word in addresses.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::Rotation => "rotation",
            Self::Test => "test",
            Self::Dip => "dip",
            Self::Fuel => "fuel",
            Self::GeneratorRun => "generator",
            Self::PumpRun => "pump",
            Self::Couplings => "couplings",
            Self::Round => "round",
        }
    }

    /// The duty of an address.
    #[must_use]
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|duty| duty.key() == key)
    }

    /// In words.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Rotation => "water renewed",
            Self::Test => "residual tested",
            Self::Dip => "level read",
            Self::Fuel => "fuel turned over",
            Self::GeneratorRun => "generator run under load",
            Self::PumpRun => "pump run",
            Self::Couplings => "couplings and valves checked",
            Self::Round => "looked over",
        }
    }

    /// The interval that [`Duty::source`] speaks of; none where it depends on what is kept (fuel, by its kind).
    #[must_use]
    pub const fn usual_days(self) -> Option<f64> {
        match self {
            Self::Rotation | Self::Couplings => Some(180.0),
            Self::Test | Self::Round => Some(90.0),
            Self::Dip | Self::GeneratorRun | Self::PumpRun => Some(30.0),
            Self::Fuel => None,
        }
    }

    /// Where the usual interval comes from.
    ///
    /// CDC 2017 as printed. NFPA 110 from memory: emergency power supplies are exercised at least monthly, for at least
    /// 30 minutes, under load.
    #[must_use]
    pub const fn source(self) -> Source {
        match self {
            Self::Rotation => {
                Source::Published("CDC, Creating & Storing an Emergency Water Supply, 2017: every 6 months")
            }
            Self::GeneratorRun => Source::Published("NFPA 110, section 8.4: monthly, 30 minutes under load"),
            Self::Fuel => Source::Guidance("petrol 3 to 6 months, stabilised 12; diesel 6 to 12 months"),
            Self::Test | Self::Dip | Self::PumpRun | Self::Couplings | Self::Round => Source::Practice,
        }
    }
}

/// Where a duty stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum State {
    /// its date has come and gone
    Overdue,
    /// due soon, or never done and nothing says since when
    Due,
    /// done, and not due for a while
    InOrder,
}

impl State {
    /// Every state, the most pressing first.
    pub const ALL: [Self; 3] = [Self::Overdue, Self::Due, Self::InOrder];

    /// The word in addresses.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::Overdue => "overdue",
            Self::Due => "due",
            Self::InOrder => "done",
        }
    }
}

/// A duty at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reckoned {
    /// when it was last done; none if never
    pub done: Option<Moment>,
    /// when it is due; none if it was never done and nothing says since when
    pub due: Option<Moment>,
    /// how often
    pub interval: Time,
    /// where it stands
    pub state: State,
}

impl Reckoned {
    /// A duty that was last `done`, or never since `since`, and is due every `interval`, seen at `now`.
    ///
    /// **Formula.** due = done + interval; never done: since + interval. It is due soon from 14 days before, but no more
    /// than a quarter of the interval and no less than a day.
    ///
    /// **Arguments.** `interval`: 1 to 3,650 days.
    ///
    /// **Reference.** Common practice, no source.
    ///
    /// ```
    /// use keepwell_engine::moment::Moment;
    /// use keepwell_engine::quantity::days;
    /// use keepwell_engine::upkeep::{Reckoned, State};
    /// let then = Moment::from_micros(0);
    /// let run = Reckoned::every(days(30.0), Some(then), None, then.after(days(33.0)))?;
    /// assert_eq!((run.state, run.due), (State::Overdue, Some(then.after(days(30.0)))));
    /// # Ok::<(), keepwell_engine::quantity::OutOfRange>(())
    /// ```
    ///
    /// # Errors
    /// [`OutOfRange`] when the interval is not between 1 and 3,650 days.
    pub fn every(interval: Time, done: Option<Moment>, since: Option<Moment>, now: Moment) -> Result<Self, OutOfRange> {
        let interval = days(INTERVAL.check(as_days(interval))?);
        let soon = days((as_days(interval) * SOON_PART).clamp(1.0, SOON_DAYS));
        Self::by(done.or(since).map(|from| from.after(interval)), interval, done, soon, now)
    }

    /// One that is due at a moment that something else says: the grade, the age of fuel.
    ///
    /// # Errors
    /// [`OutOfRange`] when `soon` is not between 1 and 3,650 days.
    pub fn by(
        due: Option<Moment>,
        interval: Time,
        done: Option<Moment>,
        soon: Time,
        now: Moment,
    ) -> Result<Self, OutOfRange> {
        let state = match due {
            None => State::Due,
            Some(due) => match Rotation::at(due, now, soon)?.standing {
                Standing::Overdue => State::Overdue,
                Standing::DueSoon => State::Due,
                Standing::InDate => State::InOrder,
            },
        };
        Ok(Self { done, due, interval, state })
    }

    /// How it came about.
    #[must_use]
    pub fn working(&self, duty: Duty, now: Moment) -> Working {
        let working = Working::new("when a duty is due", "due = last done + interval").input(
            "interval",
            "",
            Figure::exact(as_days(self.interval), Unit::Day),
            "set-up",
        );
        let working = match self.due {
            Some(due) => {
                working.step("days until it is due", "due − now", Figure::exact(as_days(due.since(now)), Unit::Day))
            }
            None => working.without("it was never done, and nothing says since when it should have been"),
        };
        match duty.source() {
            Source::Published(text) | Source::Guidance(text) => working.source(text),
            Source::Practice => working.source("common practice, no source"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn day(day: f64) -> Moment {
        Moment::from_micros(0).after(days(day))
    }

    /// By hand: 30 days after day 0 is day 30; a quarter of 30 days is 7.5, so it is due soon from day 22.5.
    #[test]
    fn a_month_is_announced_a_week_before() {
        let state = |now: f64| Reckoned::every(days(30.0), Some(day(0.0)), None, day(now)).unwrap().state;
        assert_eq!(
            [state(22.4), state(22.5), state(29.9), state(30.0)],
            [State::InOrder, State::Due, State::Due, State::Overdue]
        );
    }

    /// By hand: half a year is 180 days, a quarter of it 45, so 14 days count: from day 166.
    #[test]
    fn half_a_year_is_announced_a_fortnight_before() {
        let state = |now: f64| Reckoned::every(days(180.0), Some(day(0.0)), None, day(now)).unwrap().state;
        assert_eq!([state(165.9), state(166.0), state(180.0)], [State::InOrder, State::Due, State::Overdue]);
    }

    #[test]
    fn what_was_never_done_is_due_since_it_could_have_been() {
        let never = |since| Reckoned::every(days(30.0), None, since, day(100.0)).unwrap();
        assert_eq!((never(None).state, never(None).due), (State::Due, None));
        assert_eq!((never(Some(day(0.0))).state, never(Some(day(0.0))).due), (State::Overdue, Some(day(30.0))));
        assert_eq!(never(Some(day(99.0))).state, State::InOrder);
    }

    #[test]
    fn no_interval_out_of_range_is_reckoned_with() {
        for bad in [f64::NAN, 0.0, -1.0, 0.5, 4000.0, f64::INFINITY] {
            assert!(Reckoned::every(days(bad), Some(day(0.0)), None, day(1.0)).is_err(), "{bad}");
        }
    }

    #[test]
    fn keys_come_back_and_usual_intervals_are_in_range() {
        for duty in Duty::ALL {
            assert_eq!(Duty::from_key(duty.key()), Some(duty));
            assert!(duty.usual_days().is_none_or(|days| INTERVAL.check(days).is_ok()));
        }
        assert_eq!(Duty::from_key("sweeping"), None);
        // CDC 2017: 6 months; NFPA 110: each month. A month of these rounds is 30 days.
        assert_eq!([Duty::Rotation, Duty::GeneratorRun].map(Duty::usual_days), [Some(6.0 * 30.0), Some(30.0)]);
    }

    proptest! {
        #[test]
        fn it_only_gets_more_pressing_until_it_is_done(interval in 1.0..3650.0_f64, first in 0.0..5000.0_f64, later in 0.0..5000.0_f64) {
            let at = |now: f64| Reckoned::every(days(interval), Some(day(0.0)), None, day(now)).unwrap().state;
            prop_assert!(at(first + later) <= at(first));
            let done = Reckoned::every(days(interval), Some(day(first)), None, day(first)).unwrap();
            prop_assert!(done.state != State::Overdue);
        }
    }
}
