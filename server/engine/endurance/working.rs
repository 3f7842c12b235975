//! The working behind a run, made only when someone asks for it.

use crate::endurance::Run;
use crate::endurance::Timeline;
use crate::quantity::Unit;
use crate::quantity::as_days;
use crate::quantity::as_hours;
use crate::quantity::as_litres;
use crate::quantity::as_litres_per_hour;
use crate::quantity::as_watt_hours;
use crate::working::Figure;
use crate::working::Working;

/// How a run came to its days: people, ration, stores, fuel and media put in, and one step for every span of service.
///
/// A span without a level is dry. The steps follow [`Timeline::spans`] one by one.
///
/// **Reference.** The project's own rules; no published table covers them.
#[must_use]
pub fn working(run: &Run, timeline: &Timeline) -> Working {
    let mut working =
        Working::new("How long the supply lasts", "days = (litres above the heel) / (people × litres a person a day)")
            .input("People", "n", Figure::exact(run.people, Unit::Count), "set-up")
            .input("Horizon", "H", Figure::exact(as_days(run.horizon), Unit::Day), "assumed");
    if let Some(first) = run.levels.first() {
        let ration = Figure::exact(as_litres(first.uses.total()), Unit::LitrePerDay);
        working = working.input("Litres a person a day", "r", ration, "ration");
    }
    for stock in &run.stocks {
        working = working.input("Water in store", "V", Figure::exact(as_litres(stock.volume), Unit::Litre), "estimate");
    }
    if let Some(power) = run.power {
        if let Some(fuel) = power.fuel {
            working = working.input("Fuel in store", "F", Figure::exact(as_litres(fuel), Unit::Litre), "set-up");
        }
        working = working
            .input("Fuel an hour", "b", Figure::exact(as_litres_per_hour(power.burn), Unit::LitrePerHour), "set-up")
            .input("Hours run a day", "h", Figure::exact(as_hours(power.hours_a_day), Unit::Hour), "set-up");
    }
    if let Some(battery) = run.battery {
        let energy = |energy| Figure::exact(as_watt_hours(energy), Unit::WattHour);
        working = working
            .input("What the battery gives now", "E", energy(battery.now), "set-up")
            .input("Asked of it a day", "a", energy(battery.asked), "set-up")
            .input("From the sun a day", "s", energy(battery.sun), "set-up");
    }
    if let Some(media) = run.treatment.and_then(|treatment| treatment.media) {
        let figure = Figure::exact(as_litres(media), Unit::Litre);
        working = working.input("Litres that can still be treated", "M", figure, "set-up");
    }
    for span in &timeline.spans {
        let litres = span
            .level
            .and_then(|index| run.levels.get(index))
            .map_or(0.0, |level| run.people * as_litres(level.uses.total()));
        let length = Figure::exact(as_days(span.to - span.from), Unit::Day);
        working = working.step("Litres a day at this level", "n × r", Figure::exact(litres, Unit::LitrePerDay)).step(
            ends(span.cause),
            "t = litres / (litres a day)",
            length,
        );
    }
    working
        .step("Days at the ration", "", Figure::exact(as_days(timeline.days_at_ration), Unit::Day))
        .step("Days to dry", "", Figure::exact(as_days(timeline.days_to_dry), Unit::Day))
        .without("losses in handing out")
        .without("use other than by the people counted")
        .source("the rules of the run, event by event; common practice, no source")
}

const fn ends(cause: crate::endurance::Cause) -> &'static str {
    use crate::endurance::Cause;
    match cause {
        Cause::Fuel => "Days until fuel is spent",
        Cause::Battery => "Days until the battery is empty",
        Cause::Media => "Days until treatment media are spent",
        Cause::Water => "Days until drinking water in reach is spent",
        Cause::Flush => "Days until nothing is left to flush with",
        Cause::Keep => "Days until the drinking water kept back is reached",
        Cause::Event => "Days until something arrives or changes",
        Cause::Horizon => "Days to the horizon",
    }
}
