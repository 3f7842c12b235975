//! Rows about need: people, points, stores, dates.

use keepwell_engine::demand;
use keepwell_engine::demand::Ladder;
use keepwell_engine::demand::PublishedLevel;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::as_minutes;
use keepwell_engine::quantity::days;
use keepwell_engine::quantity::hours;
use keepwell_engine::quantity::litres;
use keepwell_engine::quantity::litres_per_minute;
use keepwell_engine::quantity::metres;
use keepwell_engine::rotation::CivilDate;
use keepwell_engine::treatment;

use crate::row::Answer;
use crate::row::Row;
use crate::row::wanted;

/// The answer to a row about need; `None` for a quantity that is not one.
pub fn answer(row: &Row) -> Option<Answer> {
    Some(match row.quantity {
        "demand_per_person" => demand_per_person(row),
        "points_needed" => points_needed(row),
        "litres_per_person_at_point" => litres_per_person(row),
        "fill_time" => fill_time(row),
        "household_store" => household_store(row),
        "demand" => total(row).and_then(|litres| row.print_any(litres, &["L", "L/day"])),
        "days_on_hand" => days_on_hand(row),
        "rotation_due" => rotation_due(row),
        "box_capacity_us_gal" => box_capacity(row),
        "toilet_demand" => toilet_demand(row),
        _ => return None,
    })
}

fn demand_per_person(row: &Row) -> Answer {
    let key = row.text("level")?;
    let ladder = Ladder::default();
    let published = PublishedLevel::from_key(key).map(|level| level.litres);
    let litres = published.or_else(|| ladder.rung(key).map(|rung| as_litres(rung.uses().total())));
    let known = || PublishedLevel::ALL.iter().map(|level| level.key).collect::<Vec<_>>().join("; ");
    let litres =
        litres.ok_or_else(|| format!("level is \"{key}\"; wanted is one of {}, or a rung of the ladder", known()))?;
    row.print(round_off(litres), "L/person/day")
}

/// Litres pass through cubic metres, which costs some their last digit.
fn round_off(value: f64) -> f64 {
    let digits = 1e9;
    let rounded = (value * digits).round() / digits;
    if (rounded - value).abs() <= 1e-12 * value.abs() { rounded } else { value }
}

fn points_needed(row: &Row) -> Answer {
    let points = demand::points_needed(row.number("people")?, row.number("people_per_point")?);
    row.print_any(points.map_err(text)?, &["taps", "pumps", "wells", "points", "facilities"])
}

fn litres_per_person(row: &Row) -> Answer {
    let (flow, open) = (litres_per_minute(row.number("flow_L_min")?), hours(row.number("hours")?));
    let each = demand::litres_at_point(flow, open, row.number("people")?).map_err(text)?;
    row.print(round_off(as_litres(each)), "L/person/day")
}

fn fill_time(row: &Row) -> Answer {
    let time = demand::fill_time(litres(row.number("volume_L")?), litres_per_minute(row.number("flow_L_min")?));
    row.print(round_off(as_minutes(time.map_err(text)?)), "min")
}

fn household_store(row: &Row) -> Answer {
    let pets = row.number_or("pets", 0.0)?;
    let (people, each, time) = (row.number("people")?, row.number("L_each_day")?, row.number("days")?);
    if people < 0.0 || pets < 0.0 {
        return Err(format!("people is {people} and pets {pets}; wanted is 0 or more"));
    }
    let store = demand::store_for(people + pets, litres(each), days(time)).map_err(text)?;
    row.print(round_off(as_litres(store)), "L")
}

/// Litres of all lines, each a pair of head count and litres a day, over the days.
fn total(row: &Row) -> Result<f64, String> {
    let time = row.number_or("days", 1.0)?;
    let mut sum = 0.0;
    for (count, each) in row.pairs("lines")? {
        sum += as_litres(demand::store_for(count, litres(each), days(time)).map_err(text)?);
    }
    Ok(round_off(sum))
}

fn days_on_hand(row: &Row) -> Answer {
    let loss = row.number_or("loss_fraction", 0.0)?;
    let usable = litres(row.number("usable_L")?);
    let time = demand::days_on_hand(usable, litres(total(row)?), loss).map_err(text)?;
    let time = time.ok_or("nothing is needed, so nothing is used up and there is no number of days")?;
    row.print(round_off(as_days(time)), "days")
}

fn rotation_due(row: &Row) -> Answer {
    let filled = row.text("filled")?;
    let months = row.number("interval_months")?;
    let whole = (0.0..=f64::from(u16::MAX)).contains(&months) && months.fract() == 0.0;
    let months = whole
        .then(|| format!("{months:.0}").parse::<u16>().ok())
        .flatten()
        .filter(|months| *months > 0)
        .ok_or_else(|| format!("interval_months is {months}; wanted is a whole number from 1 to {}", u16::MAX))?;
    let due = date(filled)
        .ok_or_else(|| format!("filled is \"{filled}\"; wanted is a day such as 2026-01-15"))?
        .add_months(months)
        .map_err(text)?;
    if !row.unit.is_empty() && row.unit != "date" {
        return Err(format!("unit is {}; wanted is date", row.unit));
    }
    Ok(format!("{:04}-{:02}-{:02}", due.year(), due.month(), due.day()))
}

fn date(text: &str) -> Option<CivilDate> {
    let mut parts = text.split('-');
    let (year, month, day) = (parts.next()?, parts.next()?, parts.next()?);
    let digits = |part: &str, count: usize| part.len() == count && part.bytes().all(|byte| byte.is_ascii_digit());
    if parts.next().is_some() || !digits(year, 4) || !digits(month, 2) || !digits(day, 2) {
        return None;
    }
    CivilDate::new(year.parse().ok()?, month.parse().ok()?, day.parse().ok()?).ok()
}

fn box_capacity(row: &Row) -> Answer {
    let feet = |key: &str| row.number(key).map(|feet| metres(Unit::Metre.from_us(feet)));
    // a cubic foot is 1,728 cubic inches, a US gallon 231
    let factor = row.number_or("gal_per_ft3", 1728.0 / 231.0)?;
    let gallons = treatment::box_us_gallons(feet("length_ft")?, feet("width_ft")?, feet("depth_ft")?, factor);
    row.print(round_off(gallons.map_err(text)?.value), "US gal")
}

fn toilet_demand(row: &Row) -> Answer {
    let (people, flushes) = (row.number("people")?, row.number("flushes_each")?);
    let a_day = demand::flushing(people, flushes, litres(row.number("L_per_flush")?)).map_err(text)?;
    row.print(round_off(as_litres(a_day)), "L/day")
}

fn text(error: impl core::fmt::Display) -> String {
    error.to_string()
}

/// The pairs of numbers under a key; used by both files about water.
pub trait Pairs {
    /// Each member as two numbers.
    fn pairs(&self, key: &str) -> Result<Vec<(f64, f64)>, String>;
    /// `value` in one of several units that mean the same number; the row must ask for one of them or for none.
    fn print_any(&self, value: f64, units: &[&str]) -> Answer;
}

impl Pairs for Row<'_> {
    fn pairs(&self, key: &str) -> Result<Vec<(f64, f64)>, String> {
        let value = self.value(key)?;
        let list = value.as_array().ok_or_else(|| wanted(key, value, "a list of pairs of numbers"))?;
        list.iter()
            .map(|pair| match pair.as_array().map(Vec::as_slice) {
                Some([first, second]) => match (first.as_f64(), second.as_f64()) {
                    (Some(first), Some(second)) => Ok((first, second)),
                    _ => Err(wanted(key, pair, "a pair of numbers")),
                },
                _ => Err(wanted(key, pair, "a pair of numbers")),
            })
            .collect()
    }

    fn print_any(&self, value: f64, units: &[&str]) -> Answer {
        let unit = units.iter().find(|unit| self.unit == **unit).or_else(|| units.first());
        self.print(value, unit.copied().unwrap_or_default())
    }
}
