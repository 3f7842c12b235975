//! How much to add, and what so much makes.

use keepwell_engine::quantity as q;
use keepwell_engine::quantity::TURBIDITY;
use keepwell_engine::quantity::Unit;
use keepwell_engine::treatment::Dose;
use keepwell_engine::treatment::Need;
use keepwell_engine::treatment::Purpose;
use keepwell_engine::treatment::concentration_of_liquid;
use keepwell_engine::treatment::measures;

use crate::model::message::Arg;
use crate::model::message::Message;
use crate::service::reckoner::Answer;
use crate::service::reckoner::Calculation;
use crate::service::reckoner::Topic;
use crate::service::reckoner::Warning;
use crate::service::reckoner::calculation::Given;
use crate::service::reckoner::refused::Refused;
use crate::service::reckoner::treatment::product;

pub(super) fn dose() -> Calculation {
    let asked = Calculation::new(
        Topic::Disinfection,
        "dose",
        "How much disinfectant to add",
        "Bleach or granules for a residual in water that is to be drunk: in mL or grams, in spoons and in drops.",
        reckon_dose,
    )
    .figure("litres", "Water in the vessel now", "", &measures::WATER, 1000.0)
    .figure("target_mg_l", "Free chlorine wanted", "", &measures::CHLORINE, 0.5);
    product::poured(asked)
        .maybe("free_mg_l", "Free chlorine there now", "Empty: not tested, and counted as none.", &measures::CHLORINE)
        .maybe(
            "demand_mg_l",
            "What the water eats in 30 minutes",
            "From a sample that was dosed and read. Empty: counted as none.",
            &measures::CHLORINE,
        )
        .maybe("turbidity_ntu", "Cloudiness", "Empty: not measured.", &TURBIDITY)
        .flag("chloramine", "From mains that hold chloramine", "and nobody confirmed free chlorine")
        .flag("dosed_untested", "Dosed since the last test", "")
}

fn reckon_dose(given: &Given) -> Result<Answer, Refused> {
    let (product, strength) = product::of_poured(given)?;
    let need = Need {
        water: q::litres(given.figure("litres")?),
        demand: given.maybe("demand_mg_l").map(q::mg_per_litre),
        target: q::mg_per_litre(given.figure("target_mg_l")?),
        present: given.maybe("free_mg_l").map(q::mg_per_litre),
        turbidity: given.maybe("turbidity_ntu"),
        chloramine: given.flag("chloramine"),
        dosed_untested: given.flag("dosed_untested"),
        purpose: Purpose::Residual,
    };
    let dose = Dose::of(&need, product)?;
    let mut answer = Answer::new()
        .maybe("product_ml", "of the bleach", dose.liquid.map(q::as_millilitres), Unit::Millilitre)
        .maybe("product_g", "of the granules", dose.solid.map(q::as_grams), Unit::Gram)
        .figure("added_mg_l", "chlorine added", q::as_mg_per_litre(dose.added), Unit::MilligramPerLitre);
    if let Some(spoon) = dose.spoons {
        answer = answer.say(
            Message::new("In level teaspoons: {whole} and {eighths} eighths.")
                .with("whole", Arg::Figure((spoon.teaspoon_eighths / 8.0).floor(), Unit::Count))
                .with("eighths", Arg::Figure(spoon.teaspoon_eighths % 8.0, Unit::Count)),
        );
    }
    if let Some(drops) = dose.drops {
        answer = answer.say(
            Message::new("In drops: {least} to {most}, for a drop is no measure.")
                .with("least", Arg::Figure(drops.least, Unit::Count))
                .with("most", Arg::Figure(drops.most, Unit::Count)),
        );
    }
    answer = answer.say(Message::new(dose.then));
    for caution in &dose.cautions {
        answer = answer.warn((*caution).into());
    }
    answer = answer.warn(Warning::NOTICE).working(dose.working);
    Ok(match strength {
        Some(strength) => answer.working(strength),
        None => answer,
    })
}

pub(super) fn made() -> Calculation {
    let asked = Calculation::new(
        Topic::Disinfection,
        "dose-made",
        "What a dose made of the water",
        "So much bleach went into so much water: how strong that made it, before the water eats any of it.",
        |given| {
            let strength = product::of_bottle(given)?.strength_now()?;
            let water = q::litres(given.figure("litres")?);
            let made = concentration_of_liquid(q::millilitres(given.figure("product_ml")?), strength.value, water)?;
            let mg_l = q::as_mg_per_litre(made.value);
            Ok(Answer::new()
                .figure("dose_mg_l", "chlorine, at the moment of dosing", mg_l, Unit::MilligramPerLitre)
                .figure(
                    "strength_g_l",
                    "available chlorine of the bleach now",
                    q::as_grams_per_litre(strength.value),
                    Unit::GramPerLitre,
                )
                .say_if(mg_l > 4.0, "Over 4 mg/L it is on hold: let it stand, and test again before anyone drinks.")
                .say(Message::new("Only a test after 30 minutes says what is left of it."))
                .warn(Warning::NOTICE)
                .working(made.working)
                .working(strength.working))
        },
    )
    .figure("litres", "Water in the vessel", "", &measures::WATER, 1000.0)
    .figure("product_ml", "Bleach that went in", "", &measures::LIQUID, 50.0);
    product::bottle(asked)
}
