//! The level over sixty days: what was believed, what was read, what happened; and the same as a table.

use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::as_litres_per_day;
use keepwell_engine::quantity::days;

use crate::model::entry::Act;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::picture::cluster::TracePoint;
use crate::service::reckon::VesselAnswer;
use crate::web::draw::Drawing;
use crate::web::draw::level;
use crate::web::draw::plot::DayName;
use crate::web::draw::plot::Days;
use crate::web::pages::entries::deed;
use crate::web::pages::vessels::page::at;
use crate::web::pages::vessels::page::days_since;
use crate::web::pages::vessels::told::Told;
use crate::web::reader::Reader;
use crate::web::reader::Units;
use crate::web::shown;
use crate::web::words::Phrase;

/// Moment, litres believed, and the band.
pub(super) type Rows = Vec<Row>;

pub(super) struct Row {
    pub at: Moment,
    pub litres: f64,
    pub low: f64,
    pub high: f64,
    pub read: bool,
}

/// A move of less than this part of full is not written on the drawing.
const WORTH_A_NOTE: f64 = 0.08;

/// None where nothing was known in all that time.
pub(super) fn drawn(reader: &Reader, answer: &VesselAnswer, from: Moment) -> Option<(Drawing, Rows)> {
    let (vessel, now) = (&answer.vessel, answer.now);
    let trace = vessel.trace(&answer.picture.sources, from, now, days(1.0));
    let known: Vec<&TracePoint> = trace.iter().filter(|point| point.known).collect();
    if known.is_empty() {
        return None;
    }
    let amount = |volume: Volume| match reader.units {
        Units::Metric => as_litres(volume),
        Units::Us => Unit::Litre.to_us(as_litres(volume)),
    };
    let full = vessel.body.capacity.full;
    let sign = reader.sign(Unit::Litre);
    let title = shown::words(reader, "Level of {name} over sixty days, {unit}")
        .with("name", vessel.vessel.name.as_str())
        .with("unit", sign);
    let drawn = level::Level {
        title: title.to_string(),
        description: shown::words(reader, "Now {litres}; circles are readings, the paler band is 8 times in 10.")
            .with("litres", shown::litres(reader, vessel.estimate(now).volume))
            .to_string(),
        believed: known
            .iter()
            .map(|point| level::Believed {
                day: days_since(from, point.at),
                amount: amount(point.estimate.volume),
                low: amount(point.estimate.low),
                high: amount(point.estimate.high),
            })
            .collect(),
        readings: known.iter().filter_map(|point| Some((days_since(from, point.at), amount(point.reading?)))).collect(),
        full: Some((
            amount(full),
            shown::words(reader, "full, {litres}").with("litres", shown::litres(reader, full)).to_string(),
        )),
        notes: losing(reader, answer, from, &known, amount)
            .into_iter()
            .chain(notes(reader, answer, from, &known, amount))
            .collect(),
    };
    let name = |day: f64, words: String| DayName { day, short: words.clone(), words };
    let along = Days {
        length: 60.0,
        names: vec![
            name(0.0, shown::date(reader, &from)),
            name(30.0, shown::date(reader, &from.after(days(30.0)))),
            name(60.0, reader.word("now").to_owned()),
        ],
    };
    let drawing = level::level(&drawn, &along, &|value, decimals| reader.number(value, decimals, decimals));
    Some((drawing, rows(&known)))
}

/// The leak that goes on, where the line falls by it.
fn losing(
    reader: &Reader,
    answer: &VesselAnswer,
    from: Moment,
    known: &[&TracePoint],
    amount: impl Fn(Volume) -> f64,
) -> Option<level::Note> {
    let leak = answer.vessel.leak()?;
    let said = Told::of(answer).leak?;
    let since = leak.since.max(from);
    let half = since.after(answer.now.since(since) / 2.0);
    let there = known.iter().rev().find(|point| point.at <= half)?;
    let short =
        Message::new("falling {rate}").with("rate", Arg::Figure(as_litres_per_day(leak.rate.mean), Unit::LitrePerDay));
    Some(level::Note {
        day: days_since(from, there.at),
        amount: amount(there.estimate.volume),
        words: reader.say(&said).to_string(),
        short: reader.say(&short).to_string(),
        strong: true,
    })
}

/// What moved the level most, the newest first.
fn notes(
    reader: &Reader,
    answer: &VesselAnswer,
    from: Moment,
    known: &[&TracePoint],
    amount: impl Fn(Volume) -> f64,
) -> Vec<level::Note> {
    let vessel = &answer.vessel;
    let full = as_litres(vessel.body.capacity.full);
    let mut notes = Vec::new();
    for entry in vessel.cluster().history().iter().rev().filter(|entry| at(entry) >= from) {
        if entry.vessel != Some(vessel.vessel.id) || matches!(entry.act, Act::Reading(_)) {
            continue;
        }
        let there: Vec<&&TracePoint> = known.iter().filter(|point| point.at == at(entry)).collect();
        let (Some(before), Some(after)) = (there.first(), there.last()) else { continue };
        let moved = as_litres(after.estimate.volume) - as_litres(before.estimate.volume);
        if moved.abs() < WORTH_A_NOTE * full {
            continue;
        }
        let said = |phrase: Phrase| {
            let said = reader.say(&deed(entry, &answer.picture));
            phrase.with("date", shown::date(reader, &entry.at)).with("deed", said).to_string()
        };
        notes.push(level::Note {
            day: days_since(from, at(entry)),
            amount: amount((before.estimate.volume + after.estimate.volume) / 2.0),
            words: said(shown::words(reader, "{date}: {deed}")),
            short: shown::date(reader, &entry.at),
            strong: false,
        });
    }
    notes
}

/// A row for each reading and move, and one a week.
fn rows(known: &[&TracePoint]) -> Rows {
    let mut rows: Rows = Vec::new();
    for (number, point) in known.iter().enumerate() {
        let jumps = known.get(number + 1).is_some_and(|next| next.at == point.at);
        let last = number + 1 == known.len();
        let weekly = rows.last().is_none_or(|row| days_since(row.at, point.at) >= 7.0);
        if !jumps && (point.reading.is_some() || last || weekly || number > 0 && known[number - 1].at == point.at) {
            rows.push(Row {
                at: point.at,
                litres: as_litres(point.estimate.volume),
                low: as_litres(point.estimate.low),
                high: as_litres(point.estimate.high),
                read: point.reading.is_some(),
            });
        }
    }
    rows.reverse();
    rows
}
