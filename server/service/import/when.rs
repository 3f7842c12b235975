//! Days and hours as people and spreadsheets write them, in the neighbourhood's zone. A day that could be two days is
//! refused with both written out.

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::civil::Time;
use jiff::tz::AmbiguousOffset;
use jiff::tz::TimeZone;

use crate::model::message::Arg;
use crate::model::message::Message;

const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

/// A day.
pub fn day(text: &str) -> Result<Date, Message> {
    let wrong = || {
        Message::new("{value} is not a day. Write it like 2026-03-04 or 4 March 2026.").with("value", Arg::text(text))
    };
    let parts: Vec<&str> = text
        .split(|c: char| c.is_whitespace() || matches!(c, '-' | '/' | '.' | ','))
        .filter(|part| !part.is_empty())
        .collect();
    let [first, second, third] = parts.as_slice() else { return Err(wrong()) };
    let found = match (month(first), month(second)) {
        (None, Some(month)) => date(year(third), Some(month), day_of_month(first)),
        (Some(month), None) => date(year(third), Some(month), day_of_month(second)),
        (Some(_), Some(_)) => None,
        (None, None) if first.len() == 4 => date(year(first), small(second), small(third)),
        (None, None) => {
            let (one, other) = (small(first), small(second));
            let (day_first, month_first) = (date(year(third), other, one), date(year(third), one, other));
            match (day_first, month_first) {
                (Some(day_first), Some(month_first)) if day_first != month_first => {
                    return Err(Message::new("{value} may be {one} or {other}: write it one of these two ways.")
                        .with("value", Arg::text(text))
                        .with("one", Arg::text(day_first.to_string()))
                        .with("other", Arg::text(month_first.to_string())));
                }
                (one, other) => one.or(other),
            }
        }
    };
    found.ok_or_else(wrong)
}

fn month(text: &str) -> Option<i8> {
    let text = text.to_lowercase();
    let at = MONTHS.iter().position(|month| *month == text || (text.len() >= 3 && month.starts_with(&text)))?;
    i8::try_from(at + 1).ok()
}

/// Four digits: of two nobody knows the century.
fn year(text: &str) -> Option<i16> {
    (text.len() == 4 && digits(text)).then(|| text.parse().ok()).flatten()
}

fn small(text: &str) -> Option<i8> {
    (text.len() <= 2 && digits(text)).then(|| text.parse().ok()).flatten()
}

fn day_of_month(text: &str) -> Option<i8> {
    let text = text.to_lowercase();
    small(["st", "nd", "rd", "th"].iter().find_map(|end| text.strip_suffix(end)).unwrap_or(&text))
}

fn digits(text: &str) -> bool {
    !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit())
}

fn date(year: Option<i16>, month: Option<i8>, day: Option<i8>) -> Option<Date> {
    Date::new(year?, month?, day?).ok()
}

/// A point in time: a day and an hour, or a day alone, which is its first moment.
pub fn moment(text: &str, zone: &TimeZone) -> Result<Timestamp, Message> {
    if let Ok(exact) = text.parse::<Timestamp>() {
        return micros(exact).ok_or_else(|| no_moment(text));
    }
    let (date, time) = parts(text);
    let day = day(date.trim()).map_err(|message| if time.is_some() { message } else { or_moment(message) })?;
    let Some(time) = time else {
        let start = day.to_zoned_datetime(zone.clone()).map_err(|_| no_moment(text))?;
        return micros(start.timestamp()).ok_or_else(|| no_moment(text));
    };
    let civil = day.to_datetime(clock(time.trim()).ok_or_else(|| no_moment(text))?);
    let found = zone.to_ambiguous_timestamp(civil);
    if matches!(found.offset(), AmbiguousOffset::Gap { .. }) {
        return Err(
            Message::new("There was no {value} here: the clocks went forward over it.").with("value", Arg::text(text))
        );
    }
    // Of an hour that was lived twice, when the clocks went back, it is the first.
    found.compatible().ok().and_then(micros).ok_or_else(|| no_moment(text))
}

/// Day and time of day: the time begins at the word with the colon.
fn parts(text: &str) -> (&str, Option<&str>) {
    let Some(colon) = text.find(':') else { return (text, None) };
    let starts = |c: char| c.is_whitespace() || c == 'T' || c == 't';
    match text[..colon].rfind(starts) {
        Some(at) => {
            let width = text[at..].chars().next().map_or(0, char::len_utf8);
            (&text[..at], Some(&text[at + width..]))
        }
        None => (text, None),
    }
}

/// `8:10`, `08:10:30`, `8:10 pm`.
fn clock(text: &str) -> Option<Time> {
    let text = text.to_lowercase();
    let (text, half) = match (text.strip_suffix("am"), text.strip_suffix("pm")) {
        (Some(text), _) => (text.trim_end(), Some(0)),
        (_, Some(text)) => (text.trim_end(), Some(12)),
        _ => (text.as_str(), None),
    };
    let mut fields = text.split(':').map(small);
    let (hour, minute) = (fields.next()??, fields.next()??);
    let second = fields.next().map_or(Some(0), |second| second)?;
    if fields.next().is_some() {
        return None;
    }
    let hour = match half {
        None => hour,
        Some(half) if (1..=12).contains(&hour) => hour % 12 + half,
        Some(_) => return None,
    };
    Time::new(hour, minute, second, 0).ok()
}

/// As the database keeps it.
fn micros(at: Timestamp) -> Option<Timestamp> {
    Timestamp::from_microsecond(at.as_microsecond()).ok()
}

fn no_moment(text: &str) -> Message {
    Message::new("{value} is not a day and time. Write it like 2026-03-04 08:10.").with("value", Arg::text(text))
}

/// Says of a day that is none that a time may follow.
fn or_moment(message: Message) -> Message {
    if message.key.contains("is not a day.") {
        return Message { key: "{value} is not a day and time. Write it like 2026-03-04 08:10.", args: message.args };
    }
    message
}

#[cfg(test)]
mod tests {
    use super::*;

    fn zone() -> TimeZone {
        TimeZone::get("Europe/Dublin").unwrap()
    }

    #[test]
    fn days_are_read_as_they_are_written() {
        let fourth = Date::new(2026, 3, 4).unwrap();
        for text in [
            "2026-03-04",
            "2026-3-4",
            "2026/03/04",
            "2026.03.04",
            "4 March 2026",
            "4 mar 2026",
            "04-Mar-2026",
            "4th March, 2026",
            "March 4, 2026",
            "Mar 4th 2026",
        ] {
            assert_eq!(day(text), Ok(fourth), "{text}");
        }
        assert_eq!(day("25/03/2026"), Ok(Date::new(2026, 3, 25).unwrap()));
        assert_eq!(day("03/25/2026"), Ok(Date::new(2026, 3, 25).unwrap()));
        assert_eq!(day("05.05.2026"), Ok(Date::new(2026, 5, 5).unwrap()));
    }

    #[test]
    fn a_day_that_may_be_two_is_refused_with_both() {
        for text in ["03/04/2026", "3.4.2026", "03-04-2026"] {
            let message = day(text).unwrap_err();
            assert!(message.args.contains(&("one", Arg::text("2026-04-03"))), "{message:?}");
            assert!(message.args.contains(&("other", Arg::text("2026-03-04"))), "{message:?}");
        }
    }

    #[test]
    fn what_is_no_day_is_refused() {
        for text in [
            "",
            "yesterday",
            "46085",
            "2026",
            "2026-02-30",
            "2026-13-01",
            "4/3/26",
            "4 Mar 26",
            "March April 2026",
            "1 2 3 4",
            "2026-03-04 08:10",
            "٤ March 2026",
            "4 Ma 2026",
        ] {
            assert!(day(text).is_err(), "{text}");
        }
    }

    #[test]
    fn times_are_the_zones_own() {
        let read = |text: &str| moment(text, &zone()).map(|at| at.to_string());
        // Dublin is at UTC in winter and one hour ahead in summer (IANA tz database).
        let winter = Ok("2026-03-04T08:10:00Z".to_owned());
        for text in [
            "2026-03-04 08:10",
            "2026-03-04T08:10",
            "4 March 2026 8:10",
            "4 March 2026, 8:10 am",
            "2026-03-04 08:10:00",
            "2026-03-04T08:10:00Z",
            "2026-03-04T09:10+01:00",
        ] {
            assert_eq!(read(text), winter, "{text}");
        }
        assert_eq!(read("2026-07-04 20:10"), Ok("2026-07-04T19:10:00Z".to_owned()));
        assert_eq!(read("2026-07-04 8:10 PM"), Ok("2026-07-04T19:10:00Z".to_owned()));
        assert_eq!(read("2026-07-04 12:00am"), Ok("2026-07-03T23:00:00Z".to_owned()));
        assert_eq!(read("2026-07-04"), Ok("2026-07-03T23:00:00Z".to_owned()));
    }

    #[test]
    fn times_that_never_were_are_refused_and_the_first_of_two_is_taken() {
        // The clocks go forward at 01:00 UTC on 29 March 2026 and back at 01:00 UTC on 25 October (EU directive 2000/84).
        let message = moment("2026-03-29 01:30", &zone()).unwrap_err();
        assert!(message.key.contains("clocks went forward"), "{message:?}");
        assert_eq!(moment("2026-10-25 01:30", &zone()).unwrap().to_string(), "2026-10-25T00:30:00Z");
        for text in
            ["2026-03-04 25:00", "2026-03-04 8:61", "2026-03-04 13:00 pm", "08:10", "2026-03-04 8:10:10:10", "8:1é"]
        {
            assert!(moment(text, &zone()).is_err(), "{text}");
        }
    }
}
