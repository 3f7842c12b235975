//! What the authorities print for a household: drops of bleach, and how long to boil.

use keepwell_engine::quantity as q;
use keepwell_engine::quantity::ELEVATION;
use keepwell_engine::quantity::TURBIDITY;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::WATER_TEMPERATURE;
use keepwell_engine::treatment::Caution;
use keepwell_engine::treatment::Murk;
use keepwell_engine::treatment::boil_time;
use keepwell_engine::treatment::chart_dose;
use keepwell_engine::treatment::chart_drops;
use keepwell_engine::treatment::household_need;
use keepwell_engine::treatment::measures;
use keepwell_engine::treatment::stand_time;

use crate::model::choice::Choice;
use crate::model::message::Message;
use crate::service::reckoner::Answer;
use crate::service::reckoner::Calculation;
use crate::service::reckoner::Table;
use crate::service::reckoner::Topic;
use crate::service::reckoner::Warning;
use crate::service::reckoner::calculation::Given;
use crate::service::reckoner::refused::Refused;

impl Choice for Murk {
    const LIST: &'static [(Self, &'static str, &'static str)] =
        &[(Self::Clear, "clear", "clear"), (Self::CloudyOrCold, "cloudy_or_cold", "cloudy, coloured or very cold")];
}

/// What a household fills, L: a bottle, a jug of a US gallon, a can of five, a drum.
const CONTAINERS: [f64; 6] = [1.0, 2.0, 3.785_411_784, 10.0, 18.927_058_92, 208.197_648_12];

pub(super) fn chart() -> Calculation {
    Calculation::new(
        Topic::Disinfection,
        "household-chart",
        "The household chart for bleach",
        "Drops of household bleach as the authorities print it, how strong that is, and how long to let it stand.",
        reckon_chart,
    )
    .figure("litres", "Water", "", &measures::WATER, 20.0)
    .figure("percent", "Sodium hypochlorite on the label, per cent", "The chart is for 5 to 9.", &measures::LABEL, 6.0)
    .choice("murk", "The water is", "", Murk::Clear)
    .figure("temperature_c", "Water temperature", "", &WATER_TEMPERATURE, 15.0)
    .maybe("turbidity_ntu", "Cloudiness", "Empty: not measured.", &TURBIDITY)
}

fn reckon_chart(given: &Given) -> Result<Answer, Refused> {
    let (percent, murk) = (given.figure("percent")?, given.choice("murk")?);
    let water = q::litres(given.figure("litres")?);
    let drops = chart_drops(water, percent, murk)?;
    let dose = chart_dose(water, percent, murk)?;
    let stand = stand_time(q::celsius(given.figure("temperature_c")?))?;
    let mut rows = Vec::new();
    for litres in CONTAINERS {
        let drops = chart_drops(q::litres(litres), percent, murk)?.value;
        rows.push((String::new(), vec![litres, drops]));
    }
    let mut answer = Answer::new()
        .figure("drops", "drops", drops.value, Unit::Count)
        .figure(
            "least_mg_l",
            "chlorine that this makes, small drops",
            q::as_mg_per_litre(dose.value.least),
            Unit::MilligramPerLitre,
        )
        .figure(
            "most_mg_l",
            "chlorine that this makes, large drops",
            q::as_mg_per_litre(dose.value.most),
            Unit::MilligramPerLitre,
        )
        .figure("stand_min", "then let it stand", q::as_minutes(stand.value), Unit::Minute)
        .table(Table { of: "", columns: vec![("water", Unit::Litre), ("drops", Unit::Count)], rows });
    if let Some(ntu) = given.maybe("turbidity_ntu") {
        let need = household_need(ntu)?;
        answer = answer
            .figure(
                "evidence_mg_l",
                "dose that the evidence supports at this cloudiness",
                q::as_mg_per_litre(need.value.dose),
                Unit::MilligramPerLitre,
            )
            .figure("use_within_h", "and drink it within", q::as_hours(need.value.use_within), Unit::Hour)
            .working(need.working);
    }
    for caution in Caution::LIQUID.iter().chain([&Caution::ChartIsStrong]) {
        answer = answer.warn((*caution).into());
    }
    let mut workings = std::mem::take(&mut answer.workings);
    answer.workings = vec![dose.working, stand.working];
    answer.workings.append(&mut workings);
    Ok(answer.warn(Warning::NOTICE))
}

pub(super) fn boil() -> Calculation {
    Calculation::new(
        Topic::Disinfection,
        "boil",
        "How long to boil",
        "How long a rolling boil is kept, by the height over the sea.",
        |given| {
            let time = boil_time(given.maybe("elevation_m").map(q::metres))?;
            Ok(Answer::new()
                .figure("boil_min", "of a rolling boil", q::as_minutes(time.value), Unit::Minute)
                .say(Message::new("Then let it cool covered. Boiling leaves nothing in the water: keep it clean."))
                .warn(Caution::Boiling.into())
                .warn(Caution::AskFirst.into())
                .warn(Warning::NOTICE)
                .working(time.working))
        },
    )
    .maybe("elevation_m", "Height over the sea", "Empty: not known, and three minutes are kept.", &ELEVATION)
}
