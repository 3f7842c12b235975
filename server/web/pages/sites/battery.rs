//! A site's battery: what it bridges, what is asked of it, what the sun puts back.

use keepwell_engine::power::BatteryDays;
use keepwell_engine::quantity::Energy;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_hours;
use keepwell_engine::quantity::as_watt_hours;
use keepwell_engine::quantity::as_watts;
use keepwell_engine::quantity::days;

use crate::picture::battery::BatteryNow;
use crate::service::reckon::SiteAnswer;
use crate::web::error::Error;
use crate::web::pages::sites::works::Line;
use crate::web::reader::Reader;
use crate::web::shown;
use crate::web::words::Phrase;

/// The battery's panel.
pub struct Battery {
    pub name: String,
    pub lines: Vec<Line>,
    /// the days of water count on it
    pub counts: bool,
}

/// The panel of a site's battery, if one is in use and the site is.
pub fn battery(reader: &Reader, answer: &SiteAnswer) -> Result<Option<Battery>, Error> {
    let Some(site) = &answer.standing else { return Ok(None) };
    let Some(now) = &site.standing.battery else { return Ok(None) };
    let days = now.days().map_err(Error::internal)?;
    let lines = [gives(reader, now)].into_iter().chain(pump(reader, now)).chain(rest(reader, now, &days));
    Ok(Some(Battery { name: now.battery.name.to_string(), lines: lines.collect(), counts: now.pump.is_some() }))
}

fn watt_hours(reader: &Reader, energy: Energy) -> String {
    shown::figure(reader, as_watt_hours(energy), Unit::WattHour)
}

fn line(what: Phrase, figure: String, notes: Vec<Phrase>) -> Line {
    Line { what, figure, notes, mind: Vec::new() }
}

fn gives(reader: &Reader, now: &BatteryNow) -> Line {
    let note = match now.battery.charge {
        Some(charge) => shown::words(reader, "{part} full when somebody last looked; {energy} from full")
            .with("part", shown::figure(reader, charge, Unit::Fraction))
            .with("energy", watt_hours(reader, now.bank.full)),
        None => shown::words(reader, "taken as full: nobody said how full it is"),
    };
    line(shown::words(reader, "gives at the socket"), watt_hours(reader, now.bank.now), vec![note])
}

/// What it does for the pump alone.
fn pump(reader: &Reader, now: &BatteryNow) -> Option<Line> {
    let pump = now.pump.as_ref()?;
    let taken = shown::words(reader, "alone, at {watts}")
        .with("watts", shown::figure(reader, as_watts(pump.power), Unit::Watt));
    let lifts = pump
        .litres
        .map(|litres| shown::words(reader, "it brings up {litres}").with("litres", shown::litres(reader, litres)));
    let hours = shown::figure(reader, as_hours(pump.hours), Unit::Hour);
    Some(line(shown::words(reader, "runs the pump"), hours, [taken].into_iter().chain(lifts).collect()))
}

/// What is asked a day, what the sun gives, and how long that lasts.
fn rest(reader: &Reader, now: &BatteryNow, ahead: &BatteryDays) -> Vec<Line> {
    let asked = shown::words(reader, "pump {pump}, loads {loads}, inverter {idle}")
        .with("pump", watt_hours(reader, now.asked.pump))
        .with("loads", watt_hours(reader, now.asked.loads))
        .with("idle", watt_hours(reader, now.asked.idle));
    let mut lines = vec![line(shown::words(reader, "asked a day"), watt_hours(reader, now.asked.total()), vec![asked])];
    if let Some(sun) = &now.sun {
        let hours = if sun.by_latitude.is_some() {
            shown::words(reader, "{hours} of full sun a day, by the month and the latitude")
        } else {
            shown::words(reader, "{hours} of full sun a day, as set up")
        };
        let hours = hours.with("hours", shown::figure(reader, as_hours(sun.hours), Unit::Hour));
        lines.push(line(shown::words(reader, "the sun gives a day"), watt_hours(reader, sun.a_day.value), vec![hours]));
    } else if now.battery.panels_w.is_some() {
        let mut wanting = line(shown::words(reader, "the sun gives a day"), "–".to_owned(), Vec::new());
        wanting.mind.push(shown::words(reader, "Wanted: the hours of full sun a day, or the site's latitude."));
        lines.push(wanting);
    }
    if now.asked.total() > Energy::default() {
        lines.push(silent(reader, now, ahead));
    }
    lines
}

/// How long everything runs without a generator.
fn silent(reader: &Reader, now: &BatteryNow, ahead: &BatteryDays) -> Line {
    let what = shown::words(reader, "everything runs without fuel");
    let alone = days(1.0) * (now.bank.now / now.asked.total()).value;
    let (figure, note) = match ahead.first_short {
        None => (
            reader.word("a year and more").to_owned(),
            shown::words(reader, "with the same sun every day of a month; dull weeks are not counted"),
        ),
        Some(0) => (
            shown::figure(reader, as_hours(alone), Unit::Hour),
            shown::words(reader, "without any sun; with it, it still falls short on the first day"),
        ),
        Some(whole) => (
            reader.plural("{n} day", "{n} days", whole as u64).to_string(),
            shown::words(reader, "in full before it falls short"),
        ),
    };
    let half = shown::words(reader, "half of it after dark: assumed");
    line(what, figure, vec![note, half])
}
