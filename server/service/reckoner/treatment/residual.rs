//! How a residual fades, and what mixing makes of it.

use keepwell_engine::quantity as q;
use keepwell_engine::quantity::FREE_CHLORINE;
use keepwell_engine::quantity::RESIDUAL_FLOOR;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::VOLUME;
use keepwell_engine::quantity::WATER_TEMPERATURE;
use keepwell_engine::treatment::Falls;
use keepwell_engine::treatment::measures;
use keepwell_engine::treatment::mixed as mixture;
use keepwell_engine::treatment::rate_at;
use keepwell_engine::treatment::rate_between;
use keepwell_engine::treatment::residual_after;
use keepwell_engine::treatment::to_floor;
use keepwell_engine::treatment::usual_temperature_effect;

use crate::model::message::Message;
use crate::service::reckoner::Answer;
use crate::service::reckoner::Calculation;
use crate::service::reckoner::Topic;
use crate::service::reckoner::Warning;
use crate::service::reckoner::calculation::Given;
use crate::service::reckoner::refused::Refused;

const FORECAST: &str = "A forecast asks for a test; it changes no grade.";

pub(super) fn after() -> Calculation {
    Calculation::new(
        Topic::Disinfection,
        "residual",
        "Free chlorine after some days",
        "What is left of a residual after a time, and when it has fallen to its floor.",
        reckon_after,
    )
    .figure("free_mg_l", "Free chlorine now", "", &FREE_CHLORINE, 1.0)
    .figure(
        "rate_per_day",
        "Rate of decay",
        "From two tests of the same water: 0.02 to 0.2 a day is usual.",
        &measures::RATE,
        0.05,
    )
    .figure("rate_at_c", "Water temperature that the rate is for", "", &WATER_TEMPERATURE, 15.0)
    .figure("temperature_c", "Water temperature in the days to come", "", &WATER_TEMPERATURE, 15.0)
    .figure("days", "Days from now", "", &measures::AGE, 30.0)
    .figure("floor_mg_l", "Floor", "", &RESIDUAL_FLOOR, 0.2)
}

fn reckon_after(given: &Given) -> Result<Answer, Refused> {
    let now = q::mg_per_litre(given.figure("free_mg_l")?);
    let (known, wanted) = (q::celsius(given.figure("rate_at_c")?), q::celsius(given.figure("temperature_c")?));
    let rate = rate_at(q::per_day(given.figure("rate_per_day")?), known, wanted, usual_temperature_effect())?;
    let left = residual_after(now, rate.value, q::days(given.figure("days")?))?;
    let falls = to_floor(now, q::mg_per_litre(given.figure("floor_mg_l")?), rate.value)?;
    let time = match falls.value {
        Falls::In(time) => Some(q::as_days(time)),
        Falls::Already | Falls::Never => None,
    };
    Ok(Answer::new()
        .figure("free_mg_l", "free chlorine then", q::as_mg_per_litre(left.value), Unit::MilligramPerLitre)
        .maybe("to_floor_days", "it falls to the floor in", time, Unit::Day)
        .figure("rate_per_day", "rate at that temperature", q::as_per_day(rate.value), Unit::PerDay)
        .say_if(falls.value == Falls::Already, "It is at its floor already.")
        .say_if(falls.value == Falls::Never, "At this rate it never falls to that floor.")
        .say(Message::new(FORECAST))
        .warn(Warning::NOTICE)
        .working(left.working)
        .working(falls.working)
        .working(rate.working))
}

pub(super) fn rate() -> Calculation {
    Calculation::new(
        Topic::Disinfection,
        "decay-rate",
        "How fast a residual fades",
        "The rate of decay from two tests of the same water, neither dosed nor topped up between them.",
        |given| {
            let (first, second) =
                (q::mg_per_litre(given.figure("first_mg_l")?), q::mg_per_litre(given.figure("second_mg_l")?));
            let rate = rate_between(first, second, q::days(given.figure("days")?))?;
            let falls = to_floor(second, q::mg_per_litre(given.figure("floor_mg_l")?), rate.value)?;
            let time = match falls.value {
                Falls::In(time) => Some(q::as_days(time)),
                Falls::Already | Falls::Never => None,
            };
            Ok(Answer::new()
                .figure("rate_per_day", "rate of decay", q::as_per_day(rate.value), Unit::PerDay)
                .maybe("to_floor_days", "from the second test to the floor", time, Unit::Day)
                .say_if(falls.value == Falls::Already, "It is at its floor already.")
                .say(Message::new(FORECAST))
                .working(rate.working)
                .working(falls.working))
        },
    )
    .figure("first_mg_l", "Free chlorine, first test", "", &FREE_CHLORINE, 1.0)
    .figure("second_mg_l", "Free chlorine, second test", "", &FREE_CHLORINE, 0.6)
    .figure("days", "Days between them", "", &measures::AGE, 3.0)
    .figure("floor_mg_l", "Floor", "", &RESIDUAL_FLOOR, 0.2)
}

pub(super) fn mixed() -> Calculation {
    Calculation::new(
        Topic::Disinfection,
        "mixed",
        "Two waters mixed",
        "The free chlorine of a mixture, at most: the water with less goes on eating it.",
        |given| {
            let part = |litres, free| {
                Ok::<_, Refused>((q::litres(given.figure(litres)?), q::mg_per_litre(given.figure(free)?)))
            };
            let found = mixture(&[part("first_l", "first_mg_l")?, part("second_l", "second_mg_l")?])?;
            Ok(Answer::new()
                .figure("free_mg_l", "free chlorine, at most", q::as_mg_per_litre(found.value), Unit::MilligramPerLitre)
                .say(Message::new(
                    "A mixture is counted as the worst of its parts, and from the oldest of their dates.",
                ))
                .warn(Warning::NOTICE)
                .working(found.working))
        },
    )
    .figure("first_l", "Water, first", "", &VOLUME, 600.0)
    .figure("first_mg_l", "its free chlorine", "", &FREE_CHLORINE, 1.0)
    .figure("second_l", "Water, second", "", &VOLUME, 200.0)
    .figure("second_mg_l", "its free chlorine", "", &FREE_CHLORINE, 0.0)
}
