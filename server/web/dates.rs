//! Dates and hours as a person says them, in the zone of the neighbourhood.
//!
//! A day near by is called today, tomorrow or yesterday; one far off has its weekday, and its year if it is another;
//! a reckoned moment has its part of the day, for its minutes would be false.

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::civil::DateTime;
use jiff::civil::Weekday;
use keepwell_engine::moment::Moment;

use crate::web::reader::Reader;
use crate::web::words::Phrase;

const MINUTE: i64 = 60;
const HOUR: i64 = 60 * MINUTE;
/// Longer ago than this, days are no longer counted.
const MANY_DAYS: i32 = 730;

/// What a filter may be given for a point in time.
pub trait When {
    /// the instant; a bare date begins at its midnight
    ///
    /// # Errors
    /// Beyond the years -9999 to 9999.
    fn instant(&self, reader: &Reader) -> Result<Timestamp, jiff::Error>;

    /// as a machine reads it (RFC 3339)
    ///
    /// # Errors
    /// Beyond the years -9999 to 9999.
    fn machine(&self, reader: &Reader) -> Result<String, jiff::Error> {
        Ok(self.instant(reader)?.to_string())
    }
}

impl When for Timestamp {
    fn instant(&self, _: &Reader) -> Result<Timestamp, jiff::Error> {
        Ok(*self)
    }
}

impl When for Moment {
    fn instant(&self, _: &Reader) -> Result<Timestamp, jiff::Error> {
        Timestamp::from_microsecond(self.micros())
    }
}

impl When for Date {
    fn instant(&self, reader: &Reader) -> Result<Timestamp, jiff::Error> {
        reader.zone.to_timestamp(self.at(0, 0, 0, 0))
    }

    fn machine(&self, _: &Reader) -> Result<String, jiff::Error> {
        Ok(self.to_string())
    }
}

impl<T: When + ?Sized> When for &T {
    fn instant(&self, reader: &Reader) -> Result<Timestamp, jiff::Error> {
        (**self).instant(reader)
    }

    fn machine(&self, reader: &Reader) -> Result<String, jiff::Error> {
        (**self).machine(reader)
    }
}

impl Reader {
    /// The civil date and time of an instant, where the neighbourhood is.
    pub(crate) fn local(&self, instant: Timestamp) -> DateTime {
        self.zone.to_datetime(instant)
    }

    /// Today's date, where the neighbourhood is.
    pub(crate) fn today(&self) -> Date {
        self.local(self.now).date()
    }

    fn phrase(&self, key: &str) -> Phrase {
        self.language.catalogue().phrase(key)
    }

    /// "Wednesday 4 March", with the year if it is another.
    #[must_use]
    pub fn day(&self, instant: Timestamp) -> String {
        let date = self.local(instant).date();
        let weekday = self.word(weekday(date.weekday()));
        self.phrase("{weekday} {date}").with("weekday", weekday).with("date", self.date(instant)).to_string()
    }

    /// "4 March", with the year if it is another.
    #[must_use]
    pub fn date(&self, instant: Timestamp) -> String {
        let date = self.local(instant).date();
        let key = if date.year() == self.today().year() { "{day} {month}" } else { "{day} {month} {year}" };
        let phrase = self.phrase(key).with("day", date.day().to_string()).with("month", self.word(month(date.month())));
        phrase.with("year", date.year().to_string()).to_string()
    }

    /// "today 07:40", "yesterday 18:15", "Monday 2 March, 18:15".
    #[must_use]
    pub fn moment(&self, instant: Timestamp) -> String {
        let local = self.local(instant);
        let key = match days_between(self.today(), local.date()) {
            0 => "today {time}",
            1 => "tomorrow {time}",
            -1 => "yesterday {time}",
            _ => "{day}, {time}",
        };
        let time = format!("{:02}:{:02}", local.hour(), local.minute());
        self.phrase(key).with("time", time).with("day", self.day(instant)).to_string()
    }

    /// "Saturday 7 March, about midday".
    #[must_use]
    pub fn part_of_day(&self, instant: Timestamp) -> String {
        let key = match self.local(instant).hour() {
            0..5 => "{day}, in the night",
            5..8 => "{day}, early in the morning",
            8..11 => "{day}, in the morning",
            11..14 => "{day}, about midday",
            14..18 => "{day}, in the afternoon",
            18..22 => "{day}, in the evening",
            _ => "{day}, late in the evening",
        };
        self.phrase(key).with("day", self.day(instant)).to_string()
    }

    /// "41 days ago", "3 hours ago", "in 5 days".
    #[must_use]
    pub fn ago(&self, instant: Timestamp) -> String {
        let seconds = self.now.as_second().saturating_sub(instant.as_second());
        let days = days_between(self.today(), self.local(instant).date()).abs();
        let span = match seconds.abs() {
            0..MINUTE => return self.word("just now").to_owned(),
            size @ MINUTE..HOUR => self.counted("{n} minute", "{n} minutes", size / MINUTE),
            size if size < 24 * HOUR => self.counted("{n} hour", "{n} hours", size / HOUR),
            _ if days <= MANY_DAYS => self.counted("{n} day", "{n} days", days.into()),
            _ => self.counted("{n} year", "{n} years", i64::from(days) * 400 / 146_097),
        };
        self.phrase(if seconds < 0 { "in {span}" } else { "{span} ago" }).with("span", span).to_string()
    }

    fn counted(&self, one: &str, other: &str, count: i64) -> Phrase {
        self.plural(one, other, count.unsigned_abs())
    }

    /// So many of something, the count filled in: `{n} day`, `{n} days`.
    #[must_use]
    pub fn plural(&self, one: &str, other: &str, count: u64) -> Phrase {
        self.language.catalogue().plural(one, other, count).with("n", self.whole(count))
    }
}

/// Days from one date to another; negative backwards.
fn days_between(from: Date, to: Date) -> i32 {
    // Subtracting dates gives a span of days alone, at most 7.3 million.
    (to - from).get_days()
}

pub(crate) const fn weekday(weekday: Weekday) -> &'static str {
    match weekday {
        Weekday::Monday => "Monday",
        Weekday::Tuesday => "Tuesday",
        Weekday::Wednesday => "Wednesday",
        Weekday::Thursday => "Thursday",
        Weekday::Friday => "Friday",
        Weekday::Saturday => "Saturday",
        Weekday::Sunday => "Sunday",
    }
}

/// The names of the months, January first.
pub(crate) const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

fn month(month: i8) -> &'static str {
    usize::try_from(month).ok().and_then(|month| MONTHS.get(month.wrapping_sub(1))).copied().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::web::reader::Units;
    use crate::web::reader::tests::reader;

    fn at(text: &str) -> Timestamp {
        text.parse().unwrap()
    }

    /// Weekdays are those of the calendar: 4 March 2026 is a Wednesday (ISO 8601 week 10, day 3).
    #[test]
    fn days_are_said_as_people_say_them() {
        let reader = reader(Units::Metric);
        assert_eq!(reader.day(at("2026-03-04T12:00:00Z")), "Wednesday 4 March");
        assert_eq!(reader.day(at("2025-08-12T12:00:00Z")), "Tuesday 12 August 2025");
        assert_eq!(reader.date(at("2026-01-18T12:00:00Z")), "18 January");
        assert_eq!(reader.date(at("2025-12-31T23:30:00Z")), "1 January", "the zone is an hour ahead");
        assert_eq!(reader.date(at("2025-12-31T22:30:00Z")), "31 December 2025");
    }

    #[test]
    fn moments_near_by_are_named_by_today() {
        let reader = reader(Units::Metric);
        for (instant, said) in [
            ("2026-03-04T06:40:00Z", "today 07:40"),
            ("2026-03-03T17:15:00Z", "yesterday 18:15"),
            ("2026-03-03T23:05:00Z", "today 00:05"),
            ("2026-03-05T08:00:00Z", "tomorrow 09:00"),
            ("2026-03-02T17:15:00Z", "Monday 2 March, 18:15"),
            ("2025-03-02T17:15:00Z", "Sunday 2 March 2025, 18:15"),
        ] {
            assert_eq!(reader.moment(at(instant)), said);
        }
    }

    #[test]
    fn a_reckoned_moment_has_no_minutes() {
        let reader = reader(Units::Metric);
        for (hour, said) in [
            (0, "in the night"),
            (4, "in the night"),
            (5, "early in the morning"),
            (8, "in the morning"),
            (11, "about midday"),
            (13, "about midday"),
            (14, "in the afternoon"),
            (18, "in the evening"),
            (22, "late in the evening"),
        ] {
            let instant = at(&format!("2026-03-07T{hour:02}:59:00+01:00"));
            assert_eq!(reader.part_of_day(instant), format!("Saturday 7 March, {said}"));
        }
    }

    #[test]
    fn how_long_ago_is_counted_in_what_matters() {
        let reader = reader(Units::Metric);
        for (instant, said) in [
            ("2026-03-04T07:09:30Z", "just now"),
            ("2026-03-04T07:09:00Z", "1 minute ago"),
            ("2026-03-04T06:11:00Z", "59 minutes ago"),
            ("2026-03-04T05:10:00Z", "2 hours ago"),
            ("2026-03-03T06:00:00Z", "1 day ago"),
            ("2026-01-22T07:10:00Z", "41 days ago"),
            ("2022-03-04T07:10:00Z", "4 years ago"),
            ("2026-03-09T07:10:00Z", "in 5 days"),
        ] {
            assert_eq!(reader.ago(at(instant)), said);
        }
    }

    #[test]
    fn dates_and_moments_are_points_in_time_too() {
        let reader = reader(Units::Metric);
        let date = jiff::civil::date(2026, 3, 4);
        assert_eq!(date.machine(&reader).unwrap(), "2026-03-04");
        assert_eq!(date.instant(&reader).unwrap(), at("2026-03-03T23:00:00Z"));
        assert_eq!(Moment::from_micros(0).machine(&reader).unwrap(), "1970-01-01T00:00:00Z");
        assert!(Moment::from_micros(i64::MAX).instant(&reader).is_err());
    }
}
