//! Days and hours as typed, in the zone of the neighbourhood.
//!
//! Where the clocks go back, an hour comes twice: the later of the two is meant, unless it has yet to come. Where they
//! go forward, an hour does not come at all, and is refused. `2026-03-29 03:30+01:00` says which without doubt.

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::civil::Time;
use jiff::civil::Weekday;
use jiff::tz::AmbiguousOffset;

use crate::model::message::Arg;
use crate::model::message::Message;
use crate::web::dates::MONTHS;
use crate::web::dates::weekday;
use crate::web::input::number::clipped;
use crate::web::input::number::is_space;
use crate::web::reader::Reader;

/// A day with its hour: `now`, `07:40`, `today 07:40`, `yesterday 18:15`, `2026-03-04 08:10`, `2026-03-04T08:10`,
/// `4 March 2026 08:10`, `March 4, 8:10 am`. A date without its year is the last such day.
///
/// # Errors
/// What is wrong with it, in words.
pub fn parse_when(text: &str, reader: &Reader) -> Result<Timestamp, Message> {
    if let Ok(instant) = text.trim().parse::<Timestamp>() {
        return Ok(instant);
    }
    let words = words(text);
    if words.is_empty() {
        return Err(Message::new("Write a day and an hour, such as “today 07:40” or “2026-03-04 08:10”."));
    }
    if let [word] = words.as_slice()
        && is_word(word, "now", reader)
    {
        return Ok(reader.now);
    }
    let (time, rest) = take_time(&words).ok_or_else(|| {
        Message::new("“{typed}” has no hour. Write it like “today 07:40” or “2026-03-04 08:10”.")
            .with("typed", clipped(text))
    })?;
    let date = if rest.is_empty() { reader.today() } else { date_of(&rest, text, reader)? };
    let local = date.to_datetime(time);
    let ambiguous = reader.zone.to_ambiguous_timestamp(local);
    match ambiguous.offset() {
        AmbiguousOffset::Gap { .. } => Err(Message::new(
            "“{typed}” did not come: the clocks were put forward over it. Write the hour before or after.",
        )
        .with("typed", clipped(text))),
        AmbiguousOffset::Fold { .. } => {
            let later = ambiguous.later().ok().filter(|later| *later <= reader.now);
            later.map_or_else(|| ambiguous.earlier(), Ok).map_err(|_| unreadable(text))
        }
        AmbiguousOffset::Unambiguous { .. } => ambiguous.compatible().map_err(|_| unreadable(text)),
    }
}

/// A day: `today`, `yesterday`, `2026-03-04`, `4 March 2026`, `Wednesday 4 March`.
///
/// # Errors
/// What is wrong with it, in words.
pub fn parse_date(text: &str, reader: &Reader) -> Result<Date, Message> {
    let words: Vec<String> = words(text);
    if words.is_empty() {
        return Err(Message::new("Write a day, such as “2026-03-04” or “4 March 2026”."));
    }
    date_of(&words.iter().map(String::as_str).collect::<Vec<_>>(), text, reader)
}

/// A moment as a form shows it for mending: sent back unchanged, it is the same moment.
#[must_use]
pub fn format_when(instant: Timestamp, reader: &Reader) -> String {
    let local = reader.local(instant);
    let whole_minute = local.second() == 0 && local.subsec_nanosecond() == 0;
    let format = if whole_minute { "%Y-%m-%d %H:%M" } else { "%Y-%m-%d %H:%M:%S%.f" };
    let text = local.strftime(format).to_string();
    if parse_when(&text, reader) == Ok(instant) { text } else { instant.to_string() }
}

fn unreadable(text: &str) -> Message {
    Message::new("“{typed}” is not a day we can read. Write it like 2026-03-04 or 4 March 2026.")
        .with("typed", clipped(text))
}

/// The words, small, without commas; the T between an ISO date and its hour is a space.
fn words(text: &str) -> Vec<String> {
    let text = text.trim().to_lowercase();
    let text = match text.split_once('t') {
        Some((date, time)) if date.len() >= 8 && date.bytes().all(|b| b.is_ascii_digit() || b == b'-') => {
            format!("{date} {time}")
        }
        _ => text,
    };
    let parted = text.split(|c: char| is_space(c) || c == ',' || c == '\t');
    parted.filter(|word| !word.is_empty() && *word != "at" && *word != "on").map(str::to_owned).collect()
}

fn is_word(typed: &str, key: &'static str, reader: &Reader) -> bool {
    typed == key || typed == reader.word(key).to_lowercase()
}

/// The hour among the words, and the words without it.
fn take_time(words: &[String]) -> Option<(Time, Vec<&str>)> {
    let mut rest: Vec<&str> = words.iter().map(String::as_str).collect();
    let at = rest.iter().position(|word| word.contains(':'))?;
    let word = rest.remove(at);
    let (clock, half) = match word.strip_suffix("am").or_else(|| word.strip_suffix("pm")) {
        Some(clock) => (clock, Some(word.ends_with("pm"))),
        None => match rest.get(at) {
            Some(&half @ ("am" | "pm")) => {
                rest.remove(at);
                (word, Some(half == "pm"))
            }
            _ => (word, None),
        },
    };
    if !clock.bytes().all(|byte| byte.is_ascii_digit() || byte == b':' || byte == b'.') {
        return None;
    }
    let padded = if clock.find(':') == Some(1) { format!("0{clock}") } else { clock.to_owned() };
    let time: Time = padded.parse().ok()?;
    let time = match (half, time.hour()) {
        (None, _) => time,
        (Some(true), 12) | (Some(false), 1..12) => time,
        (Some(false), 12) => time.with().hour(0).build().ok()?,
        (Some(true), hour @ 1..12) => time.with().hour(hour + 12).build().ok()?,
        (Some(_), _) => return None,
    };
    Some((time, rest))
}

fn date_of(words: &[&str], text: &str, reader: &Reader) -> Result<Date, Message> {
    let today = reader.today();
    let nowhere = || unreadable(text);
    let (named, words) = match words.split_first() {
        Some((first, rest)) if !rest.is_empty() => match weekday_of(first, reader) {
            Some(weekday) => (Some(weekday), rest),
            None => (None, words),
        },
        _ => (None, words),
    };
    let date = match words {
        [day] if is_word(day, "today", reader) => today,
        [day] if is_word(day, "yesterday", reader) => today.yesterday().map_err(|_| nowhere())?,
        [day] if is_word(day, "tomorrow", reader) => today.tomorrow().map_err(|_| nowhere())?,
        [numbers] => iso(numbers).ok_or_else(|| numeric(numbers, text))?,
        [first, second] => {
            let (day, month) = day_and_month(first, second, reader).ok_or_else(nowhere)?;
            let found = Date::new(today.year(), month, day).ok().filter(|date| *date <= today);
            match found {
                Some(date) => date,
                None => Date::new(today.year() - 1, month, day).map_err(|_| nowhere())?,
            }
        }
        [first, second, year] => {
            let (day, month) = day_and_month(first, second, reader).ok_or_else(nowhere)?;
            let year = year.parse::<i16>().ok().filter(|_| year.len() == 4).ok_or_else(nowhere)?;
            Date::new(year, month, day).map_err(|_| nowhere())?
        }
        _ => return Err(nowhere()),
    };
    match named {
        Some(named) if named != date.weekday() => {
            Err(Message::new("“{typed}” contradicts itself: {date} is a {weekday}.")
                .with("typed", clipped(text))
                .with("date", Arg::Date(date))
                .with("weekday", Arg::Word(weekday(date.weekday()))))
        }
        _ => Ok(date),
    }
}

/// `2026-03-04`, and nothing looser.
fn iso(text: &str) -> Option<Date> {
    let shape = text.len() == 10
        && text.bytes().enumerate().all(|(at, byte)| match at {
            4 | 7 => byte == b'-',
            _ => byte.is_ascii_digit(),
        });
    if shape { text.parse().ok() } else { None }
}

/// Days written in numbers with strokes or points: the order of day and month differs from land to land.
fn numeric(numbers: &str, text: &str) -> Message {
    let parts: Vec<&str> = numbers.split(['/', '.', '-']).collect();
    let year_first = parts.first().is_some_and(|part| part.len() == 4);
    if !year_first
        && parts.len() == 3
        && parts.iter().all(|part| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit()))
    {
        return Message::new("“{typed}” may be read in two ways. Write it like 2026-03-04 or 4 March 2026.")
            .with("typed", clipped(text));
    }
    unreadable(text)
}

fn day_and_month(first: &str, second: &str, reader: &Reader) -> Option<(i8, i8)> {
    let day = |word: &str| {
        let digits = word.trim_end_matches(|c: char| c == '.' || c.is_ascii_lowercase());
        let ending = &word[digits.len()..];
        let known = matches!(ending, "" | "." | "st" | "nd" | "rd" | "th");
        digits.parse::<i8>().ok().filter(|day| known && (1..=31).contains(day))
    };
    match (day(first), day(second)) {
        (Some(day), None) => Some((day, month_of(second, reader)?)),
        (None, Some(day)) => Some((day, month_of(first, reader)?)),
        _ => None,
    }
}

fn month_of(word: &str, reader: &Reader) -> Option<i8> {
    let at = MONTHS.iter().position(|month| names(word, month, reader))?;
    i8::try_from(at + 1).ok()
}

fn weekday_of(word: &str, reader: &Reader) -> Option<Weekday> {
    let first = Weekday::Monday;
    first.cycle_forward().take(7).find(|day| names(word, weekday(*day), reader))
}

/// Whether the word is the name, or its beginning of three letters or more.
fn names(word: &str, key: &'static str, reader: &Reader) -> bool {
    let word = word.trim_end_matches('.');
    let begins = |name: &str| name.to_lowercase().starts_with(word);
    word.chars().count() >= 3 && (begins(key) || begins(reader.word(key)))
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;
    use jiff::tz::TimeZone;
    use proptest::prelude::*;

    use super::*;
    use crate::web::reader::Units;
    use crate::web::reader::tests::reader;

    fn here() -> Reader {
        reader(Units::Metric)
    }

    /// An invented zone with the summer-time rule of POSIX TZ notation: clocks go forward on the last Sunday of March
    /// at 02:00 to 03:00, and back on the last Sunday of October at 03:00 to 02:00. In 2026: 29 March, 25 October.
    fn with_summer_time(now: &str) -> Reader {
        let zone = TimeZone::posix("AAA-1BBB,M3.5.0,M10.5.0/3").unwrap();
        Reader { zone, now: now.parse().unwrap(), ..here() }
    }

    #[test]
    fn days_and_hours_are_read_as_people_write_them() {
        for (typed, instant) in [
            ("now", "2026-03-04T07:10:00Z"),
            ("Now ", "2026-03-04T07:10:00Z"),
            ("07:40", "2026-03-04T06:40:00Z"),
            ("7:40", "2026-03-04T06:40:00Z"),
            ("today 07:40", "2026-03-04T06:40:00Z"),
            ("Today, 7:40 am", "2026-03-04T06:40:00Z"),
            ("yesterday 18:15", "2026-03-03T17:15:00Z"),
            ("yesterday at 6:15pm", "2026-03-03T17:15:00Z"),
            ("yesterday 12:05 am", "2026-03-02T23:05:00Z"),
            ("yesterday 12:05 pm", "2026-03-03T11:05:00Z"),
            ("2026-03-04 08:10", "2026-03-04T07:10:00Z"),
            ("2026-03-04T08:10", "2026-03-04T07:10:00Z"),
            ("2026-03-04T08:10:30.25", "2026-03-04T07:10:30.25Z"),
            ("2026-03-04T08:10:00Z", "2026-03-04T08:10:00Z"),
            ("2026-03-04 08:10+05:00", "2026-03-04T03:10:00Z"),
            ("4 March 2026 08:10", "2026-03-04T07:10:00Z"),
            ("Wednesday 4 March, 08:10", "2026-03-04T07:10:00Z"),
            ("wed 4 mar 08:10", "2026-03-04T07:10:00Z"),
            ("March 4th, 2026 8:10", "2026-03-04T07:10:00Z"),
            ("08:10 4 March", "2026-03-04T07:10:00Z"),
            ("5 March 08:10", "2025-03-05T07:10:00Z"),
            ("31 December 08:10", "2025-12-31T07:10:00Z"),
        ] {
            assert_eq!(parse_when(typed, &here()), Ok(instant.parse().unwrap()), "{typed}");
        }
    }

    #[test]
    fn what_cannot_be_read_is_refused_in_words() {
        let said = |typed: &str| here().say(&parse_when(typed, &here()).unwrap_err()).to_string();
        assert!(said("").starts_with("Write a day and an hour"));
        assert!(said("2026-03-04").contains("has no hour"));
        assert!(said("03/04/2026 08:10").contains("may be read in two ways"));
        assert!(said("4.3.2026 08:10").contains("may be read in two ways"));
        assert!(said("Tuesday 4 March 08:10").contains("4 March is a Wednesday"));
        for typed in
            ["2026-02-30 08:10", "30 February 08:10", "soon 08:10", "4 Ma 08:10", "4 March 26 08:10", "2026-3-x 08:10"]
        {
            assert!(said(typed).contains("is not a day we can read"), "{typed}: {}", said(typed));
        }
        for typed in
            ["today 25:00", "today 08:61", "today 13:00 pm", "today 0:30 am", "today 8", "today :", "today 08:10x"]
        {
            assert!(said(typed).contains("has no hour"), "{typed}: {}", said(typed));
        }
    }

    #[test]
    fn a_date_needs_no_hour() {
        for (typed, day) in [
            ("today", date(2026, 3, 4)),
            ("2026-02-28", date(2026, 2, 28)),
            ("1 May 2024", date(2024, 5, 1)),
            ("29 February 2024", date(2024, 2, 29)),
        ] {
            assert_eq!(parse_date(typed, &here()), Ok(day));
        }
        for typed in ["", "2026-02-29", "01/02/2026", "now", "May"] {
            assert!(parse_date(typed, &here()).is_err(), "{typed}");
        }
    }

    #[test]
    fn an_hour_that_does_not_come_is_refused() {
        let reader = with_summer_time("2026-04-01T00:00:00Z");
        let message = parse_when("2026-03-29 02:30", &reader).unwrap_err();
        assert!(reader.say(&message).to_string().contains("did not come"));
        let at = |typed| parse_when(typed, &reader).unwrap().to_string();
        assert_eq!(at("2026-03-29 01:59"), "2026-03-29T00:59:00Z");
        assert_eq!(at("2026-03-29 03:00"), "2026-03-29T01:00:00Z");
    }

    #[test]
    fn an_hour_that_comes_twice_is_the_later_one_that_has_come() {
        let long_after = with_summer_time("2026-11-01T00:00:00Z");
        assert_eq!(parse_when("2026-10-25 02:30", &long_after).unwrap().to_string(), "2026-10-25T01:30:00Z");
        let between = with_summer_time("2026-10-25T00:45:00Z");
        assert_eq!(parse_when("02:30", &between).unwrap().to_string(), "2026-10-25T00:30:00Z");
        // The earlier one is shown with its offset, so that it comes back as itself.
        let earlier = "2026-10-25T00:30:00Z".parse().unwrap();
        assert_eq!(parse_when(&format_when(earlier, &long_after), &long_after), Ok(earlier));
    }

    #[test]
    fn a_moment_is_shown_for_mending_without_seconds_it_has_not() {
        assert_eq!(format_when("2026-03-04T07:10:00Z".parse().unwrap(), &here()), "2026-03-04 08:10");
        assert_eq!(format_when("2026-03-04T07:10:05Z".parse().unwrap(), &here()), "2026-03-04 08:10:05");
    }

    proptest! {
        #[test]
        fn no_text_panics(text in "\\PC{0,40}", near in "[-0-9:tTzZ /.,amp+]{0,24}") {
            let _ = (parse_when(&text, &here()), parse_when(&near, &here()), parse_date(&text, &here()), parse_date(&near, &here()));
        }

        #[test]
        fn what_is_shown_comes_back(micros in 0_i64..4_102_444_800_000_000) {
            let instant = Timestamp::from_microsecond(micros).unwrap();
            for reader in [here(), with_summer_time("2026-11-01T00:00:00Z")] {
                prop_assert_eq!(parse_when(&format_when(instant, &reader), &reader), Ok(instant));
            }
        }
    }
}
