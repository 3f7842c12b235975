//! People still supplied, as a drawing and as a table.

use keepwell_engine::neighbourhood::Fall;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::as_days;

use crate::model::id::SiteId;
use crate::picture::shared::WithCarries;
use crate::picture::today::Today;
use crate::web::draw::Drawing;
use crate::web::draw::curve;
use crate::web::draw::curve::Curve;
use crate::web::draw::curve::Flag;
use crate::web::pages::today::sees;
use crate::web::pages::today::whole;
use crate::web::reader::Reader;
use crate::web::shown;
use crate::web::visitor::Visitor;
use crate::web::words::Phrase;

/// Falls nearer together than this part of the axis are one step: no eye could tell them apart.
const STEPS: f64 = 300.0;
/// Rows of the table; a list of ten thousand helps nobody.
const ROWS: usize = 50;

/// One step of the table.
pub struct Row {
    pub at: Time,
    pub site: Option<(SiteId, String)>,
    pub people: Phrase,
    pub supplied: f64,
}

/// The falls as rows, the earliest first, and how many were left out.
pub fn table(visitor: &Visitor, today: &Today) -> (Vec<Row>, usize) {
    let falls = &today.as_placed.ration.falls;
    let rows = falls.iter().take(ROWS).map(|fall| Row {
        at: fall.at,
        site: today
            .sites
            .get(fall.place)
            .filter(|site| sees(visitor, site))
            .map(|site| (site.site.site.id, site.site.site.name.to_string())),
        people: shown::people(&visitor.reader, whole(fall.people)),
        supplied: fall.supplied.round(),
    });
    (rows.collect(), falls.len().saturating_sub(ROWS))
}

/// The curve with its figures: the first to go without, and all pooled.
pub fn drawn(visitor: &Visitor, today: &Today) -> Drawing {
    let reader = &visitor.reader;
    let falls = &today.as_placed.ration.falls;
    let length = length(today);
    let flags = flags(reader, today);
    let people = shown::people(reader, whole(today.as_placed.ration.people));
    let title = match falls.first() {
        Some(first) => shown::words(reader, "People still supplied at {ration}: all {people} until {day}")
            .with("day", shown::on_day(reader, first.at)),
        None => shown::words(reader, "People still supplied at {ration}: all {people} for 2 years and more"),
    }
    .with("ration", shown::words(reader, today.rung.name()))
    .with("people", people);
    let steps = steps(visitor, today, length / STEPS);
    let mut largest: Vec<&curve::Fall> = steps.iter().collect();
    largest.sort_by(|a, b| b.people.total_cmp(&a.people));
    let told: Vec<String> =
        largest.iter().take(5).map(|fall| format!("{}: {}", reader.number(fall.day, 1, 1), fall.words)).collect();
    let view = Curve {
        title: title.to_string(),
        description: shown::words(reader, "The largest steps down, by day: {steps}")
            .with("steps", told.join("; "))
            .to_string(),
        people: today.as_placed.ration.people,
        falls: steps,
        carried: today.with_carries.as_ref().map(|with| carried(visitor, today, with)),
        flags,
    };
    curve::curve(&view, &shown::service::axis(reader, today.now, length), &shown::service::figures(reader))
}

/// As far as nearly everybody lasts, and as far as the figures stand.
fn length(today: &Today) -> f64 {
    let falls = &today.as_placed.ration.falls;
    let first = falls.first().map_or(0.0, |fall| as_days(fall.at));
    let most = falls.get(falls.len().saturating_sub(1) * 19 / 20).map_or(0.0, |fall| as_days(fall.at));
    let pooled = today.pooled.days.map_or(0.0, as_days).min(730.0);
    // one site that lasts for years must not press all others into a corner
    let most = most.min(4.0 * pooled.max(first).max(7.0));
    let carried = today.with_carries.as_ref().and_then(|with| with.first).map_or(0.0, |(_, at)| as_days(at));
    (most.max(pooled).max(first).max(carried) * 1.1).clamp(7.0, 730.0)
}

fn steps(visitor: &Visitor, today: &Today, apart: f64) -> Vec<curve::Fall> {
    let falls = &today.as_placed.ration.falls;
    let mut steps = Vec::new();
    let mut rest = falls.as_slice();
    while let Some(first) = rest.first() {
        // all at one moment are one step; further ones only where there are too many to draw
        let near = if falls.len() > 100 { apart } else { 0.0 };
        let count = rest.partition_point(|fall| as_days(fall.at) <= as_days(first.at) + near);
        let (together, later) = rest.split_at(count.max(1));
        steps.push(step(visitor, today, together));
        rest = later;
    }
    steps
}

fn step(visitor: &Visitor, today: &Today, together: &[Fall]) -> curve::Fall {
    let reader = &visitor.reader;
    let people: f64 = together.iter().map(|fall| fall.people).sum();
    let day = together.first().map_or(0.0, |fall| as_days(fall.at));
    let only = together.first().filter(|_| together.len() == 1).and_then(|fall| today.sites.get(fall.place));
    let name = match only {
        Some(site) if sees(visitor, site) => site.site.site.name.to_string(),
        Some(_) => reader.word("another site").to_owned(),
        None => reader.plural("{n} site", "{n} sites", together.len() as u64).to_string(),
    };
    let words = shown::words(reader, "{name}, {n}").with("name", name.as_str()).with("n", reader.whole(whole(people)));
    curve::Fall { day, people, words: words.to_string(), short: name }
}

/// The falls with what is carried.
fn carried(visitor: &Visitor, today: &Today, with: &WithCarries) -> Vec<curve::Fall> {
    let lasting = today.sites.iter().enumerate().filter(|(_, site)| site.standing.needs_water());
    let falls = lasting.filter_map(|(place, site)| {
        let at = with.shared.days.get(place).copied().flatten().filter(|at| *at < site.standing.run.horizon)?;
        Some(Fall { at, place, people: site.standing.run.people, supplied: 0.0 })
    });
    falls.map(|fall| step(visitor, today, &[fall])).collect()
}

fn flags(reader: &Reader, today: &Today) -> Vec<Flag> {
    let pair = |band: Option<(Time, Time)>| band.map(|(low, high)| (as_days(low), as_days(high)));
    let mut flags = Vec::new();
    if let Some(first) = today.as_placed.ration.first() {
        flags.push(Flag {
            day: as_days(first.at),
            figure: shown::day_number(reader, first.at),
            words: shown::words(reader, " first without").to_string(),
            band: pair(today.first_band),
            bound: false,
        });
    }
    if let Some((with, (_, at))) = today.with_carries.as_ref().and_then(|with| Some((with, with.first?))) {
        flags.push(Flag {
            day: as_days(at),
            figure: shown::day_number(reader, at),
            words: shown::words(reader, " with carries").to_string(),
            band: pair(with.band),
            bound: false,
        });
    }
    if let Some(pooled) = today.pooled.days.filter(|pooled| as_days(*pooled) <= 730.0) {
        flags.push(Flag {
            day: as_days(pooled),
            figure: shown::day_number(reader, pooled),
            words: shown::words(reader, " pooled").to_string(),
            band: pair(today.pooled_band),
            bound: true,
        });
    }
    flags
}
