//! Disinfecting a tank.

use keepwell_engine::quantity as q;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::VOLUME;
use keepwell_engine::treatment::ShockMethod;
use keepwell_engine::treatment::ShockPlan;
use keepwell_engine::treatment::measures;

use crate::model::choice::Choice;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::service::reckoner::Answer;
use crate::service::reckoner::Calculation;
use crate::service::reckoner::Topic;
use crate::service::reckoner::calculation::Given;
use crate::service::reckoner::refused::Refused;
use crate::service::reckoner::treatment::product;

impl Choice for ShockMethod {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::FillMixedIn, "fill_mixed_in", Self::FillMixedIn.name()),
        (Self::FillFedEvenly, "fill_fed_evenly", Self::FillFedEvenly.name()),
        (Self::Coat, "coat", Self::Coat.name()),
        (Self::BottomThenFill, "bottom_then_fill", Self::BottomThenFill.name()),
        (Self::Granules, "granules", Self::Granules.name()),
        (Self::GranulesDouble, "granules_double", Self::GranulesDouble.name()),
        (Self::Scrub, "scrub", Self::Scrub.name()),
    ];
}

pub(super) fn shock() -> Calculation {
    let asked = Calculation::new(
        Topic::Disinfection,
        "shock",
        "Disinfecting a tank",
        "After a tank was emptied and washed: how much of what by each published method, for how long, and what then.",
        reckon,
    )
    .figure("tank_l", "What the tank holds", "", &VOLUME, 1000.0)
    .choice("method", "Method", "", ShockMethod::FillMixedIn)
    .maybe(
        "solution_l",
        "Strong water, where the method does not fill the tank",
        "As much as wets every surface. Empty: a twentieth of the tank.",
        &VOLUME,
    )
    .figure("demand_mg_l", "What the water eats", "", &measures::CHLORINE, 0.0);
    product::poured(asked).flag("after_fuel", "Fuel or chemicals got in", "")
}

fn reckon(given: &Given) -> Result<Answer, Refused> {
    let (product, strength) = product::of_poured(given)?;
    let plan = ShockPlan::of(
        given.choice("method")?,
        q::litres(given.figure("tank_l")?),
        given.maybe("solution_l").map(q::litres),
        q::mg_per_litre(given.figure("demand_mg_l")?),
        product,
        given.flag("after_fuel"),
    )?;
    let mut answer = Answer::new()
        .maybe("product_l", "of the bleach", plan.liquid.map(q::as_litres), Unit::Litre)
        .maybe("product_g", "of the granules", plan.solid.map(q::as_grams), Unit::Gram)
        .figure("solution_l", "water that is made strong", q::as_litres(plan.solution), Unit::Litre)
        .figure("strength_mg_l", "chlorine added to it", q::as_mg_per_litre(plan.strength), Unit::MilligramPerLitre)
        .figure("hold_h", "it stays", q::as_hours(plan.hold), Unit::Hour)
        .maybe(
            "left_mg_l",
            "left at the end, at least",
            plan.left_at_end.map(q::as_mg_per_litre),
            Unit::MilligramPerLitre,
        );
    if let Some((free, time)) = plan.then_full {
        answer = answer.say(
            Message::new("Then fill it up, and keep {free} or more for {time}.")
                .with("free", Arg::Figure(q::as_mg_per_litre(free), Unit::MilligramPerLitre))
                .with("time", Arg::Figure(q::as_hours(time), Unit::Hour)),
        );
    }
    for then in plan.then {
        answer = answer.say(Message::new(then));
    }
    for caution in &plan.cautions {
        answer = answer.warn((*caution).into());
    }
    answer = answer.working(plan.working);
    Ok(match strength {
        Some(strength) => answer.working(strength),
        None => answer,
    })
}
