//! Rows of `tests/published/engineering_checks.csv`: vessels, pipes and pumps, power, structure, carrying, instruments.

mod hydraulics;
mod other;
mod power;
mod pumps;
mod vessels;

use std::fmt::Display;

use keepwell_engine::quantity::Length;
use keepwell_engine::quantity::MassDensity;
use keepwell_engine::quantity::Pressure;
use keepwell_engine::quantity::VolumeRate;
use keepwell_engine::quantity::kg_per_cubic_metre;
use keepwell_engine::quantity::kilopascals;
use keepwell_engine::quantity::litres_per_minute;
use keepwell_engine::quantity::metres;
use keepwell_engine::quantity::millimetres;

use crate::row::Answer;
use crate::row::Row;

/// A number and its unit, or why there is none.
type Got = Result<(f64, &'static str), String>;

/// The answer to a row; `None` for a quantity that is not one of these.
pub fn answer(row: &Row) -> Option<Answer> {
    let topics = [vessels::got, hydraulics::got, pumps::got, power::got, other::got];
    let got = topics.into_iter().find_map(|topic| topic(row))?;
    Some(got.and_then(|(value, unit)| row.print(value, unit)))
}

fn why(error: impl Display) -> String {
    error.to_string()
}

fn length(row: &Row, key: &str) -> Result<Length, String> {
    row.number(key).map(metres)
}

fn bore(row: &Row) -> Result<Length, String> {
    row.number("inside_diameter_mm").map(millimetres)
}

fn flow(row: &Row, key: &str) -> Result<VolumeRate, String> {
    row.number(key).map(litres_per_minute)
}

fn pressure(row: &Row, key: &str) -> Result<Pressure, String> {
    row.number(key).map(kilopascals)
}

fn density(row: &Row) -> Result<MassDensity, String> {
    row.number("density_kg_m3").map(kg_per_cubic_metre)
}
