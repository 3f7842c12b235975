//! Rotation: when stored water is due to be renewed, and how late it is.
//!
//! The engine has no calendar. An interval in days is counted here; one in calendar months is counted on a
//! [`CivilDate`], and the caller, who knows the neighbourhood's time zone, says at which [`Moment`] that day begins.

use crate::moment::Moment;
use crate::quantity::INTERVAL;
use crate::quantity::OutOfRange;
use crate::quantity::Time;
use crate::quantity::Unit;
use crate::quantity::as_days;
use crate::quantity::days;
use crate::working::Figure;
use crate::working::Working;

/// Months between renewals of water one filled oneself: CDC, Creating & Storing an Emergency Water Supply, 2017.
pub const USUAL_MONTHS: u16 = 6;

/// Days before the due date from which a vessel is due soon. Common practice, no source.
pub const SOON_DAYS: f64 = 30.0;

/// A day of the calendar (proleptic Gregorian), without a time zone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CivilDate {
    year: i32,
    month: u8,
    day: u8,
}

/// No such day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("there is no day {year}-{month:02}-{day:02}; allowed are the days of the years -9999 to 9999")]
pub struct NoSuchDay {
    /// year asked for
    pub year: i32,
    /// month asked for
    pub month: u8,
    /// day asked for
    pub day: u8,
}

impl CivilDate {
    /// A day of the years -9999 to 9999.
    ///
    /// # Errors
    /// [`NoSuchDay`] when the calendar has none such.
    pub const fn new(year: i32, month: u8, day: u8) -> Result<Self, NoSuchDay> {
        if year < -9999 || year > 9999 || month < 1 || month > 12 || day < 1 || day > days_in(year, month) {
            return Err(NoSuchDay { year, month, day });
        }
        Ok(Self { year, month, day })
    }

    /// The year.
    #[must_use]
    pub const fn year(self) -> i32 {
        self.year
    }

    /// The month, 1 to 12.
    #[must_use]
    pub const fn month(self) -> u8 {
        self.month
    }

    /// The day of the month, 1 to 31.
    #[must_use]
    pub const fn day(self) -> u8 {
        self.day
    }

    /// The same day so many calendar months later; where that month has no such day, its last.
    ///
    /// - **Arguments** `months`: 0 to 65,535.
    /// - **Reference** CDC 2017, "replace every 6 months"; the last day of a short month: common practice, no source.
    ///
    /// # Errors
    /// [`NoSuchDay`] when that lies after the year 9999.
    ///
    /// ```
    /// use keepwell_engine::rotation::CivilDate;
    /// let filled = CivilDate::new(2026, 8, 31)?;
    /// assert_eq!(filled.add_months(6)?, CivilDate::new(2027, 2, 28)?);
    /// # Ok::<(), keepwell_engine::rotation::NoSuchDay>(())
    /// ```
    pub fn add_months(self, months: u16) -> Result<Self, NoSuchDay> {
        let index = self.year * 12 + i32::from(self.month) - 1 + i32::from(months);
        let year = index.div_euclid(12);
        // a remainder of 12 is 0 to 11
        let month = u8::try_from(index.rem_euclid(12) + 1).unwrap_or(12);
        Self::new(year, month, self.day.min(days_in(year, month)))
    }
}

const fn days_in(year: i32, month: u8) -> u8 {
    match month {
        4 | 6 | 9 | 11 => 30,
        2 if year % 4 == 0 && (year % 100 != 0 || year % 400 == 0) => 29,
        2 => 28,
        _ => 31,
    }
}

/// When water filled at `filled` is due, by an interval in days of 24 hours.
///
/// # Errors
/// [`OutOfRange`] when the interval is not between 1 and 3,650 days.
pub fn due_after(filled: Moment, interval: Time) -> Result<Moment, OutOfRange> {
    INTERVAL.check(as_days(interval)).map(|interval| filled.after(days(interval)))
}

/// Where a vessel stands against its due date.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Standing {
    /// not due for a while
    InDate,
    /// due within [`SOON_DAYS`], or the days one asked for
    DueSoon,
    /// the due moment has come: out of date from that moment on
    Overdue,
}

/// A vessel's rotation at a moment.
///
/// ```
/// use keepwell_engine::moment::Moment;
/// use keepwell_engine::quantity::{as_days, days};
/// use keepwell_engine::rotation::{Rotation, SOON_DAYS, Standing, due_after};
/// let filled = Moment::from_micros(0);
/// let due = due_after(filled, days(180.0))?;
/// let rotation = Rotation::at(due, filled.after(days(192.0)), days(SOON_DAYS))?;
/// assert_eq!(rotation.standing, Standing::Overdue);
/// assert_eq!(as_days(rotation.overdue), 12.0);
/// # Ok::<(), keepwell_engine::quantity::OutOfRange>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rotation {
    /// when it is due
    pub due: Moment,
    /// where it stands
    pub standing: Standing,
    /// time until it is due; 0 once it is
    pub left: Time,
    /// time since it was due; 0 before
    pub overdue: Time,
}

impl Rotation {
    /// A vessel due at `due`, seen at `now`; it is due soon from `soon` before.
    ///
    /// # Errors
    /// [`OutOfRange`] when `soon` is not between 1 and 3,650 days.
    pub fn at(due: Moment, now: Moment, soon: Time) -> Result<Self, OutOfRange> {
        let soon = days(INTERVAL.check(as_days(soon))?);
        let late = now.since(due);
        let standing = if now >= due {
            Standing::Overdue
        } else if -late <= soon {
            Standing::DueSoon
        } else {
            Standing::InDate
        };
        Ok(Self { due, standing, left: (-late).max(Time::default()), overdue: late.max(Time::default()) })
    }

    /// What is behind it, given when the water was filled.
    #[must_use]
    pub fn working(&self, filled: Moment) -> Working {
        Working::new("when stored water is due to be renewed", "due = filled + interval")
            .input("interval", "", Figure::exact(as_days(self.due.since(filled)), Unit::Day), "set-up")
            .step("days until it is due", "due − now, not below 0", Figure::exact(as_days(self.left), Unit::Day))
            .step("days overdue", "now − due, not below 0", Figure::exact(as_days(self.overdue), Unit::Day))
            .without("whether a good residual keeps the date away: the grade says that")
            .source("CDC, Creating & Storing an Emergency Water Supply, 2017: every 6 months")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn date(text: &str) -> CivilDate {
        let mut parts = text.split('-');
        let (year, month, day) = (parts.next().unwrap(), parts.next().unwrap(), parts.next().unwrap());
        CivilDate::new(year.parse().unwrap(), month.parse().unwrap(), day.parse().unwrap()).unwrap()
    }

    #[test]
    fn published_due_dates() {
        let mut reader = csv::Reader::from_reader(include_str!("../../tests/published/rotation.csv").as_bytes());
        let rows: Vec<_> = reader.records().collect::<Result<_, _>>().unwrap();
        assert_eq!(rows.len(), 2);
        for row in rows {
            let inputs: serde_json::Value = serde_json::from_str(&row[2]).unwrap();
            let months = u16::try_from(inputs["interval_months"].as_u64().unwrap()).unwrap();
            let due = date(inputs["filled"].as_str().unwrap()).add_months(months).unwrap();
            assert_eq!(due, date(&row[3]), "{}", &row[0]);
        }
    }

    #[test]
    fn the_calendar_knows_its_short_months_and_leap_years() {
        // ISO 8601 / Gregorian: 2000 and 2024 are leap years, 1900 and 2023 are not
        assert_eq!(date("2023-08-31").add_months(6), Ok(date("2024-02-29")));
        assert_eq!(date("1999-08-31").add_months(6), Ok(date("2000-02-29")));
        assert_eq!(date("1899-08-31").add_months(6), Ok(date("1900-02-28")));
        assert_eq!(date("2026-12-31").add_months(1), Ok(date("2027-01-31")));
        let error = CivilDate::new(2026, 2, 29).unwrap_err();
        assert_eq!(error.to_string(), "there is no day 2026-02-29; allowed are the days of the years -9999 to 9999");
        assert!(CivilDate::new(2026, 0, 1).is_err() && CivilDate::new(2026, 13, 1).is_err());
        assert!(date("9999-12-01").add_months(1).is_err());
    }

    #[test]
    fn a_vessel_is_overdue_from_the_due_moment_on() {
        let filled = Moment::from_micros(0);
        let due = due_after(filled, days(180.0)).unwrap();
        let standing = |day: f64| Rotation::at(due, filled.after(days(day)), days(30.0)).unwrap().standing;
        assert_eq!(standing(149.9), Standing::InDate);
        assert_eq!(standing(150.0), Standing::DueSoon);
        assert_eq!(standing(179.999), Standing::DueSoon);
        assert_eq!(standing(180.0), Standing::Overdue);
        for bad in [f64::NAN, 0.0, -1.0, 4000.0, f64::INFINITY] {
            assert!(due_after(filled, days(bad)).is_err());
            assert!(Rotation::at(due, filled, days(bad)).is_err());
        }
    }

    proptest! {
        #[test]
        fn months_add_up_but_for_short_ones(year in 1900..2100, month in 1u8..=12, day in 1u8..=28, a in 0u16..600, b in 0u16..600) {
            let start = CivilDate::new(year, month, day).unwrap();
            prop_assert_eq!(start.add_months(a).and_then(|date| date.add_months(b)), start.add_months(a + b));
            prop_assert!(start.add_months(a).unwrap() >= start);
        }

        #[test]
        fn time_left_and_time_overdue_are_never_both(due in any::<i64>(), now in any::<i64>()) {
            let rotation = Rotation::at(Moment::from_micros(due), Moment::from_micros(now), days(30.0)).unwrap();
            prop_assert!(as_days(rotation.left) >= 0.0 && as_days(rotation.overdue) >= 0.0);
            prop_assert!(as_days(rotation.left) <= 0.0 || as_days(rotation.overdue) <= 0.0);
        }
    }
}
