//! What a run refuses, before a step is taken.

use crate::endurance::Change;
use crate::endurance::Run;
use crate::endurance::Uses;
use crate::quantity::as_days;
use crate::quantity::as_hours;
use crate::quantity::as_litres;
use crate::quantity::as_litres_per_hour;
use crate::quantity::as_watt_hours;

/// The most that any figure of a run may be, in its own unit: far above any store there is, and low enough that no
/// product of two of them overflows.
const MOST: f64 = 1e15;

/// Ten thousand years: the furthest horizon at which moments 10⁻⁹ d apart can still be told apart.
const FURTHEST: f64 = 3_650_000.0;

const SUN: &str = "what the sun gives a day";

/// Why a run is not reckoned.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Refusal {
    /// a figure that is not a number, or outside its range
    #[error("{field} is {value}; allowed is {allowed}")]
    Figure {
        /// which figure
        field: &'static str,
        /// what was given
        value: f64,
        /// what may be given, in words
        allowed: &'static str,
    },
    /// no level of service
    #[error("there is no level of service; allowed is one or more")]
    NoLevel,
    /// a level without a usable name
    #[error("a level is named {name:?}; allowed is any name but \"dry\", once")]
    LevelName {
        /// the name given
        name: String,
    },
    /// two stocks of one id
    #[error("two stocks have the id {id:?}; allowed is once")]
    StockTwice {
        /// the id given
        id: String,
    },
    /// an event for a stock or level that the run does not have
    #[error("event {event} is for {field} number {index}, counted from 0; there are {count}")]
    Unknown {
        /// the event's place in the list
        event: usize,
        /// "stock" or "level"
        field: &'static str,
        /// what was asked for
        index: usize,
        /// how many there are
        count: usize,
    },
}

/// Refuses what cannot be reckoned.
pub(super) fn check(run: &Run) -> Result<(), Refusal> {
    let horizon = as_days(run.horizon);
    if !(horizon > 0.0 && horizon <= FURTHEST) {
        let allowed = "more than 0 days, and no more than 3650000";
        return Err(Refusal::Figure { field: "horizon", value: horizon, allowed });
    }
    figure("people", run.people)?;
    figure("days of drinking water kept", as_days(run.keep_drinking))?;
    check_levels(run)?;
    check_stocks(run)?;
    if let Some(power) = run.power {
        power.fuel.map_or(Ok(()), |fuel| figure("fuel", as_litres(fuel)))?;
        figure("fuel burnt an hour", as_litres_per_hour(power.burn))?;
        let hours = as_hours(power.hours_a_day);
        // the last bits may be lost where 24 hours went through seconds
        if !(hours > 0.0 && hours <= 24.0 * (1.0 + 4.0 * f64::EPSILON)) {
            let allowed = "more than 0 hours, and no more than 24";
            return Err(Refusal::Figure { field: "hours run a day", value: hours, allowed });
        }
    }
    if let Some(battery) = run.battery {
        figure("what the battery gives now", as_watt_hours(battery.now))?;
        figure("what the battery gives from full", as_watt_hours(battery.full))?;
        figure("asked of the battery a day", as_watt_hours(battery.asked))?;
        figure(SUN, as_watt_hours(battery.sun))?;
        let (field, value) = ("part asked of the battery after dark", battery.after_dark);
        if !(0.0..=1.0).contains(&value) {
            return Err(Refusal::Figure { field, value, allowed: "0 to 1" });
        }
    }
    if let Some(media) = run.treatment.and_then(|treatment| treatment.media) {
        figure("litres that can be treated", as_litres(media))?;
    }
    check_events(run)
}

fn check_levels(run: &Run) -> Result<(), Refusal> {
    if run.levels.is_empty() {
        return Err(Refusal::NoLevel);
    }
    for (index, level) in run.levels.iter().enumerate() {
        if level.name == "dry" || run.levels.iter().take(index).any(|other| other.name == level.name) {
            return Err(Refusal::LevelName { name: level.name.clone() });
        }
        check_uses(&level.uses)?;
    }
    Ok(())
}

fn check_stocks(run: &Run) -> Result<(), Refusal> {
    for stock in &run.stocks {
        figure("litres in store", as_litres(stock.volume))?;
        for heel in [stock.heel.pump, stock.heel.gravity, stock.heel.dip].into_iter().flatten() {
            figure("litres below the outlet", as_litres(heel))?;
        }
    }
    let mut ids: Vec<&str> = run.stocks.iter().map(|stock| stock.id.as_str()).collect();
    ids.sort_unstable();
    let twice = ids.iter().zip(ids.iter().skip(1)).find(|(one, next)| one == next);
    twice.map_or(Ok(()), |(id, _)| Err(Refusal::StockTwice { id: (*id).to_owned() }))
}

fn check_events(run: &Run) -> Result<(), Refusal> {
    for (place, event) in run.events.iter().enumerate() {
        figure("day of an event", as_days(event.at))?;
        let (field, index, count) = match &event.change {
            Change::AddWater { stock, volume } => {
                figure("litres brought", as_litres(*volume))?;
                ("stock", *stock, run.stocks.len())
            }
            Change::AddFuel(volume) => {
                figure("fuel brought", as_litres(*volume))?;
                continue;
            }
            Change::Sun(sun) => {
                figure(SUN, as_watt_hours(*sun))?;
                continue;
            }
            Change::Uses { level, uses } => {
                check_uses(uses)?;
                ("level", *level, run.levels.len())
            }
        };
        if index >= count {
            return Err(Refusal::Unknown { event: place, field, index, count });
        }
    }
    Ok(())
}

fn check_uses(uses: &Uses) -> Result<(), Refusal> {
    figure("litres to drink", as_litres(uses.drink))?;
    figure("litres to cook with", as_litres(uses.cook))?;
    figure("litres to wash with", as_litres(uses.wash))?;
    figure("litres to flush with", as_litres(uses.flush))
}

/// NaN lies in no range, so it is refused here too.
fn figure(field: &'static str, value: f64) -> Result<(), Refusal> {
    if (0.0..=MOST).contains(&value) { Ok(()) } else { Err(Refusal::Figure { field, value, allowed: "0 to 1e15" }) }
}
