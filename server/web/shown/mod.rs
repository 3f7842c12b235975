//! The picture as pages show it: the words for how a site lasts and why, its vessels and its service ready to be drawn,
//! a working in the reader's figures. No page and no request is known here.

pub mod grade;
pub mod outlook;
pub mod service;
pub mod vessel;
pub mod working;

use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_litres;

use crate::web::dates::When;
use crate::web::reader::Reader;
use crate::web::words::Phrase;

/// Our words in the reader's language, their places still open.
#[must_use]
pub fn words(reader: &Reader, key: &str) -> Phrase {
    reader.language.catalogue().phrase(key)
}

/// "4 March"; "unknown" beyond the calendar.
#[must_use]
pub fn date(reader: &Reader, at: &impl When) -> String {
    dated(reader, at, Reader::date)
}

/// "Saturday 7 March, about midday"; "unknown" beyond the calendar.
#[must_use]
pub fn part_of_day(reader: &Reader, at: &impl When) -> String {
    dated(reader, at, Reader::part_of_day)
}

/// "today 07:40"; "unknown" beyond the calendar.
#[must_use]
pub fn moment(reader: &Reader, at: &impl When) -> String {
    dated(reader, at, Reader::moment)
}

fn dated(reader: &Reader, at: &impl When, say: fn(&Reader, jiff::Timestamp) -> String) -> String {
    at.instant(reader).map_or_else(|_| reader.word("unknown").to_owned(), |at| say(reader, at))
}

/// "4,687 L".
#[must_use]
pub fn litres(reader: &Reader, volume: Volume) -> String {
    figure(reader, as_litres(volume), Unit::Litre)
}

/// A figure with its unit; "unknown" for what is none.
#[must_use]
pub fn figure(reader: &Reader, value: f64, unit: Unit) -> String {
    reader.figure(value, unit).map_or_else(|_| reader.word("unknown").to_owned(), |shown| shown.to_string())
}

/// "3.2": a day counted from now, bare.
#[must_use]
pub fn day_number(reader: &Reader, at: Time) -> String {
    reader.number(as_days(at), 1, 1)
}

/// "day 3.2".
#[must_use]
pub fn on_day(reader: &Reader, at: Time) -> String {
    words(reader, "day {n}").with("n", day_number(reader, at)).to_string()
}

/// "58 people".
#[must_use]
pub fn people(reader: &Reader, count: u64) -> Phrase {
    reader.plural("{n} person", "{n} people", count)
}

/// So many days from a moment.
#[must_use]
pub fn after(now: Moment, span: Time) -> Moment {
    now.after(span)
}
