//! Ultraviolet light.

use keepwell_engine::quantity as q;
use keepwell_engine::quantity::TURBIDITY;
use keepwell_engine::quantity::Unit;
use keepwell_engine::treatment::Caution;
use keepwell_engine::treatment::Clearness;
use keepwell_engine::treatment::Germ;
use keepwell_engine::treatment::Lamp;
use keepwell_engine::treatment::UvClass;
use keepwell_engine::treatment::measures;
use keepwell_engine::treatment::uv_dose_for;
use keepwell_engine::treatment::water_factor;

use crate::model::choice::Choice;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::service::reckoner::Answer;
use crate::service::reckoner::Calculation;
use crate::service::reckoner::Table;
use crate::service::reckoner::Topic;
use crate::service::reckoner::Warning;
use crate::service::reckoner::calculation::Given;
use crate::service::reckoner::refused::Refused;

impl Choice for UvClass {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::A, "a", "NSF/ANSI 55 Class A"),
        (Self::B, "b", "NSF/ANSI 55 Class B"),
        (Self::Untested, "untested", "not tested"),
    ];
}

pub(super) fn lamp() -> Calculation {
    Calculation::new(
        Topic::Disinfection,
        "uv",
        "What a UV unit gives",
        "The dose at a flow with a lamp of that age, and the credit of the unit as it runs now.",
        reckon_lamp,
    )
    .choice("class", "Tested as", "", UvClass::A)
    .figure("rated_mj_cm2", "Dose by its maker, lamp new", "", &measures::UV_DOSE, 40.0)
    .figure("rated_l_min", "at a flow of", "", &measures::FLOW, 30.0)
    .figure("flow_l_min", "Flow now", "", &measures::FLOW, 20.0)
    .figure("lamp_h", "Hours that the lamp has burnt", "", &measures::LAMP, 4000.0)
    .maybe("turbidity_ntu", "Cloudiness", "Empty: not measured.", &TURBIDITY)
    .maybe("transmittance", CLEAR_NOW, "Empty: as clear as the maker's test water.", &measures::TRANSMITTANCE)
    .maybe("rated_transmittance", CLEAR_RATED, "From the maker's sheet.", &measures::TRANSMITTANCE)
    .maybe("path_mm", WAY, "From the lamp's sleeve to the wall.", &PATH)
    .flag("no_power", "It has no power", "")
    .flag("sleeve_overdue", "The sleeve is dirty or overdue", "")
    .flag("alarm", "Its sensor gives the alarm", "")
}

fn reckon_lamp(given: &Given) -> Result<Answer, Refused> {
    let lamp = Lamp {
        rated_dose: q::mj_per_cm2(given.figure("rated_mj_cm2")?),
        rated_flow: q::litres_per_minute(given.figure("rated_l_min")?),
        burnt: q::hours(given.figure("lamp_h")?),
        powered: !given.flag("no_power"),
        sleeve_in_date: !given.flag("sleeve_overdue"),
        alarm: given.flag("alarm"),
    };
    let flow = q::litres_per_minute(given.figure("flow_l_min")?);
    let (class, ntu) = (given.choice("class")?, given.maybe("turbidity_ntu"));
    let dose = lamp.dose_at(flow, clearness(given)?)?;
    let credit = |germ| lamp.credit_at(flow, class, germ, ntu);
    let crypto = credit(Germ::Cryptosporidium)?;
    let mut rows = Vec::new();
    for log in [1.0, 2.0, 3.0, 4.0] {
        let mut row = vec![log];
        for germ in [Germ::Cryptosporidium, Germ::Giardia, Germ::Virus] {
            row.push(q::as_mj_per_cm2(uv_dose_for(germ, log)?.value));
        }
        rows.push((String::new(), row));
    }
    let light = Unit::MillijoulePerSquareCentimetre;
    Ok(Answer::new()
        .figure("dose_mj_cm2", "at this flow", q::as_mj_per_cm2(dose.value), light)
        .figure("cryptosporidium_log", "powers of ten of Cryptosporidium, credited", crypto.value, Unit::Log10)
        .figure("giardia_log", "powers of ten of Giardia, credited", credit(Germ::Giardia)?.value, Unit::Log10)
        .figure("virus_log", "powers of ten of viruses, credited", credit(Germ::Virus)?.value, Unit::Log10)
        .table(Table {
            of: "",
            columns: vec![
                ("powers of ten", Unit::Log10),
                ("dose asked, Cryptosporidium", light),
                ("Giardia", light),
                ("viruses", light),
            ],
            rows,
        })
        .say_if(!lamp.powered, "Without power it treats nothing: shut the water off.")
        .warn(Caution::LightLeavesNothing.into())
        .warn(Warning::NOTICE)
        .working(dose.working)
        .working(crypto.working))
}

const CLEAR_NOW: &str = "Passes 1 cm of the water, per cent";
const CLEAR_RATED: &str = "Passes 1 cm of the maker's test water, per cent";
const WAY: &str = "Way of the light through the water";

/// How clear the water is, where anything is said of it: then all three figures are needed.
fn clearness(given: &Given) -> Result<Option<Clearness>, Refused> {
    let asked = [("transmittance", CLEAR_NOW), ("rated_transmittance", CLEAR_RATED), ("path_mm", WAY)];
    if asked.iter().all(|(key, _)| given.maybe(key).is_none()) {
        return Ok(None);
    }
    let needed = |(key, label): (&'static str, &'static str)| {
        let missing = Message::new("{Field} is missing.").with("field", Arg::Word(label));
        given.maybe(key).ok_or(Refused::Said(key, missing))
    };
    let path = q::metres(needed(asked[2])? / 1000.0);
    Ok(Some(Clearness { now: needed(asked[0])?, rated: needed(asked[1])?, path }))
}

pub(super) fn water() -> Calculation {
    Calculation::new(
        Topic::Disinfection,
        "uv-water",
        "How much light the water takes",
        "Of the light that enters, the mean that reaches the water, by how clear the water is to it.",
        |given| {
            let factor = water_factor(given.figure("transmittance")?, q::metres(given.figure("path_mm")? / 1000.0))?;
            Ok(Answer::new()
                .figure("factor", "of the light, on the mean", factor.value, Unit::Fraction)
                .warn(Caution::LightLeavesNothing.into())
                .working(factor.working))
        },
    )
    .figure("transmittance", CLEAR_NOW, "", &measures::TRANSMITTANCE, 90.0)
    .figure("path_mm", WAY, "", &PATH, 50.0)
}

/// The engine's range, in millimetres.
const PATH: q::Measure = q::Measure {
    name: measures::PATH.name,
    unit: Unit::Millimetre,
    min: measures::PATH.min * 1000.0,
    max: measures::PATH.max * 1000.0,
};
