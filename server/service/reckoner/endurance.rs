//! How long one site's water lasts.

use keepwell_engine::demand::HAND_CAP;
use keepwell_engine::demand::days_on_hand;
use keepwell_engine::endurance::Cause;
use keepwell_engine::endurance::Heels;
use keepwell_engine::endurance::Power;
use keepwell_engine::endurance::Run;
use keepwell_engine::endurance::Stock;
use keepwell_engine::endurance::run;
use keepwell_engine::endurance::usual_levels;
use keepwell_engine::endurance::working;
use keepwell_engine::grade::Grade;
use keepwell_engine::quantity as q;
use keepwell_engine::quantity::BURN;
use keepwell_engine::quantity::FRACTION;
use keepwell_engine::quantity::FUEL;
use keepwell_engine::quantity::HOURS_A_DAY;
use keepwell_engine::quantity::Measure;
use keepwell_engine::quantity::PEOPLE;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::VOLUME;
use keepwell_engine::working::Figure;
use keepwell_engine::working::Working;

use crate::model::message::Arg;
use crate::model::message::Message;
use crate::service::reckoner::Answer;
use crate::service::reckoner::Calculation;
use crate::service::reckoner::Table;
use crate::service::reckoner::Topic;
use crate::service::reckoner::Warning;
use crate::service::reckoner::calculation::Given;
use crate::service::reckoner::people::of_ration;
use crate::service::reckoner::people::rations;
use crate::service::reckoner::refused::Refused;

/// No further is looked, days.
const HORIZON: f64 = 730.0;
/// A pump runs some of the day, or there is none.
const RUN: Measure = Measure { min: 0.1, ..HOURS_A_DAY };
/// Nothing is handed out where all is lost.
const LOSS: Measure = Measure { name: "loss in handing out", max: 0.99, ..FRACTION };

pub(super) fn all() -> Vec<Calculation> {
    vec![site(), on_hand()]
}

fn site() -> Calculation {
    Calculation::new(
        Topic::Endurance,
        "site",
        "How long a site lasts",
        "Water, people and fuel with the mains down: the days at the ration, what ends them, and the day it is dry.",
        reckon_site,
    )
    .figure("water_l", "Drinking water in store", "", &VOLUME, 9000.0)
    .figure("heel_l", "of it, below the pump's suction", "Dipped by hand it is still reached.", &VOLUME, 0.0)
    .figure("people", "People", "", &PEOPLE, 100.0)
    .one_of("ration", "Ration", "", rations, "basic")
    .maybe("fuel_l", "Usable fuel", "Empty: power without end.", &FUEL)
    .figure("burn_l_h", "Fuel an hour", "", &BURN, 0.5)
    .figure("hours_a_day", "Hours that the pump has power a day", "", &RUN, 12.0)
    .flag("no_pump", "There is no pump", "Water is carried by hand from the first.")
}

fn reckon_site(given: &Given) -> Result<Answer, Refused> {
    let (water, heel) = (given.figure("water_l")?, given.figure("heel_l")?);
    if heel > water {
        let words = Message::new("Below the suction lie {heel}; allowed is {most} at most, all that is in store.");
        let words = words.with("heel", Arg::Exact(heel, Unit::Litre)).with("most", Arg::Exact(water, Unit::Litre));
        return Err(Refused::Said("heel_l", words));
    }
    let power = Power {
        fuel: given.maybe("fuel_l").map(q::litres),
        burn: q::litres_per_hour(given.figure("burn_l_h")?),
        hours_a_day: q::hours(given.figure("hours_a_day")?),
    };
    let asked = Run {
        horizon: q::days(HORIZON),
        people: given.figure("people")?,
        levels: usual_levels(of_ration(given)?.uses(), q::litres(HAND_CAP), false),
        stocks: vec![Stock {
            id: "store".to_owned(),
            grade: Grade::Drink,
            volume: q::litres(water),
            heel: Heels { pump: Some(q::litres(heel)), gravity: None, dip: Some(q::litres(0.0)) },
        }],
        power: (!given.flag("no_pump")).then_some(power),
        battery: None,
        treatment: None,
        keep_drinking: q::days(0.0),
        events: Vec::new(),
    };
    let line = run(&asked)?;
    let rows = line.spans.iter().map(|span| {
        let level = span.level.and_then(|level| asked.levels.get(level)).map_or("dry", |level| level.name.as_str());
        (in_words(level).to_owned(), vec![q::as_days(span.from), q::as_days(span.to)])
    });
    let table = Table {
        of: "service",
        columns: vec![("from day", Unit::Count), ("to day", Unit::Count)],
        rows: rows.collect(),
    };
    let spent = line.spans.iter().find(|span| span.cause == Cause::Fuel).map(|span| q::as_days(span.to));
    let mut answer = Answer::new();
    if let Some(day) = spent {
        answer = answer.say(
            Message::new("Fuel is spent on day {n}: from then water is carried by hand.")
                .with("n", Arg::Figure(day, Unit::Count)),
        );
    }
    Ok(answer
        .figure("days_at_ration", "at the ration", q::as_days(line.days_at_ration), Unit::Day)
        .figure("days_to_dry", "until it is dry", q::as_days(line.days_to_dry), Unit::Day)
        .table(table)
        .say_if(line.ration_to_horizon, "The ration is met for as far as is looked, two years.")
        .say_if(line.ends_ration() == Some(Cause::Fuel), "It is fuel that ends the ration.")
        .say_if(line.ends_ration() == Some(Cause::Water), "It is water that ends the ration.")
        .say_if(!line.ration_to_horizon && line.days_at_ration <= q::days(0.0), "The ration is not met from the first.")
        .warn(Warning::LITRES)
        .warn(Warning::EXHAUST)
        .working(working(&asked, &line)))
}

/// A level of service, as it stands in the table.
fn in_words(level: &str) -> &str {
    match level {
        "tap" => "at the tap",
        "hand" => "carried by hand",
        "drinking" => "drinking only",
        other => other,
    }
}

fn on_hand() -> Calculation {
    Calculation::new(
        Topic::Endurance,
        "days-on-hand",
        "Days of water on hand",
        "So much water over so much need, before any question of pump or reach.",
        reckon_on_hand,
    )
    .figure("litres", "Water that can be used", "", &VOLUME, 10_000.0)
    .figure("a_day_l", "Needed a day", "", &VOLUME, 1800.0)
    .figure("loss", "Lost in handing out", "UNHCR has 10 to 35 %.", &LOSS, 0.0)
}

fn reckon_on_hand(given: &Given) -> Result<Answer, Refused> {
    let (litres, a_day, loss) = (given.figure("litres")?, given.figure("a_day_l")?, given.figure("loss")?);
    let days = days_on_hand(q::litres(litres), q::litres(a_day), loss)?.map(q::as_days);
    let mut working = Working::new("Days of water on hand", "t = V · (1 − loss)/Q")
        .input("water that can be used", "V", Figure::exact(litres, Unit::Litre), "given")
        .input("needed a day", "Q", Figure::exact(a_day, Unit::LitrePerDay), "given")
        .input("lost in handing out", "loss", Figure::exact(loss, Unit::Fraction), "given")
        .source("by definition; losses: UNHCR Emergency Handbook, emergency water standard");
    if let Some(days) = days {
        working = working.step("days", "V · (1 − loss)/Q", Figure::exact(days, Unit::Day));
    }
    Ok(Answer::new()
        .maybe("days", "of water", days, Unit::Day)
        .say_if(days.is_none(), "Nothing is needed, so nothing is used up.")
        .warn(Warning::LITRES)
        .working(working))
}
