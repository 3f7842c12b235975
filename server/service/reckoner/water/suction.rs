//! The side a pump draws from, siphons, the pressure under water, and the room that it takes.

use keepwell_engine::hydraulics::Suction;
use keepwell_engine::hydraulics::atmospheric_pressure;
use keepwell_engine::hydraulics::measures;
use keepwell_engine::hydraulics::pressure_of_head;
use keepwell_engine::hydraulics::water::freezing_expansion;
use keepwell_engine::hydraulics::water::vapour_pressure;
use keepwell_engine::hydraulics::water::volume_ratio;
use keepwell_engine::quantity as q;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::VOLUME;

use crate::model::message::Message;
use crate::service::reckoner::Answer;
use crate::service::reckoner::Calculation;
use crate::service::reckoner::Topic;
use crate::service::reckoner::Warning;
use crate::service::reckoner::calculation::Given;
use crate::service::reckoner::refused::Refused;
use crate::service::reckoner::water::of_water;
use crate::service::reckoner::water::warm;

fn under_air(calculation: Calculation) -> Calculation {
    warm(calculation.figure("elevation_m", "Height over the sea", "", &measures::ALTITUDE, 0.0))
}

fn suction(given: &Given) -> Result<Suction, Refused> {
    let air = atmospheric_pressure(q::metres(given.figure("elevation_m")?))?.value;
    let vapour = vapour_pressure(q::celsius(given.figure("temperature_c")?))?.value;
    Ok(Suction::new(air, vapour, of_water(given)?.density())?)
}

pub(super) fn npsh() -> Calculation {
    under_air(
        Calculation::new(
            Topic::Water,
            "npsh",
            "Whether a pump can draw",
            "The suction head available at a pump (NPSH) against what it requires, and how high over the water it may stand.",
            reckon_npsh,
        )
        .figure("level_m", "Water over the pump", "Below 0 where it must be lifted.", &measures::LIFT, -2.0)
        .figure("loss_m", "Head lost in the suction line", "", &measures::HEAD, 0.8)
        .figure("required_m", "What the pump requires", "From its maker's curve.", &measures::HEAD, 3.0)
        .figure("margin_m", "Margin", "0.6 to 1 m is usual (common practice, no source).", &measures::HEAD, 0.6),
    )
}

fn reckon_npsh(given: &Given) -> Result<Answer, Refused> {
    let suction = suction(given)?;
    let loss = q::metres(given.figure("loss_m")?);
    let (required, margin) = (given.figure("required_m")?, given.figure("margin_m")?);
    let left = suction.npsh(q::metres(given.figure("level_m")?), loss)?;
    let lift = suction.max_lift(loss, q::metres(required), q::metres(margin))?;
    let (available, highest) = (q::as_metres(left.value), q::as_metres(lift.value));
    Ok(Answer::new()
        .figure("available_m", "available", available, Unit::Metre)
        .figure("required_m", "required, with the margin", required + margin, Unit::Metre)
        .figure("highest_m", "how high over the water the pump may stand", highest, Unit::Metre)
        .say_if(available <= 0.0, "Nothing is left: the water boils at the pump, and nothing is drawn.")
        .say_if(
            available > 0.0 && available < required + margin,
            "It is less than required: the pump rattles and wears, and may lose its prime. Lower it, or shorten and widen the suction line.",
        )
        .say_if(available >= required + margin, "It is enough.")
        .say_if(highest < 0.0, "It must stand below the water.")
        .working(left.working)
        .working(lift.working))
}

pub(super) fn siphon() -> Calculation {
    under_air(
        Calculation::new(
            Topic::Water,
            "siphon",
            "How high a siphon may rise",
            "How far the highest place of a siphon may stand over the water it draws from.",
            |given| {
                let speed = q::metres_per_second(given.figure("speed_m_s")?);
                let crest = suction(given)?.siphon_crest(speed, q::metres(given.figure("loss_m")?))?;
                Ok(Answer::new()
                    .figure("crest_m", "over the water, in theory", q::as_metres(crest.value), Unit::Metre)
                    .say(Message::new("In practice 6 to 7 m, for air comes out of the water (common practice, no source)."))
                    .say(Message::new("What flows is what a hose gives by gravity: from the water's surface down to where it comes out."))
                    .warn(Warning::BACKFLOW)
                    .working(crest.working))
            },
        )
        .figure("speed_m_s", "Speed in the hose", "", &measures::VELOCITY, 1.5)
        .figure("loss_m", "Head lost on the way up", "", &measures::HEAD, 0.5),
    )
}

pub(super) fn pressure() -> Calculation {
    warm(
        Calculation::new(
            Topic::Water,
            "head-pressure",
            "Pressure under a height of water",
            "The pressure at a tap below a tank, or at the bottom of one, with nothing flowing.",
            |given| {
                let pressure = pressure_of_head(q::metres(given.figure("head_m")?), of_water(given)?.density())?;
                Ok(Answer::new()
                    .figure("pressure_kpa", "with nothing flowing", q::as_kilopascals(pressure.value), Unit::Kilopascal)
                    .working(pressure.working))
            },
        )
        .figure("head_m", "From the water's surface down to the tap", "", &measures::LIFT, 6.0),
    )
}

pub(super) fn freezing() -> Calculation {
    warm(
        Calculation::new(
            Topic::Water,
            "freezing",
            "The room that ice and warm water take",
            "How much more room the water of a vessel takes when it freezes, and when it warms.",
            |given| {
                let (now, then) = (q::celsius(given.figure("temperature_c")?), q::celsius(given.figure("warmer_c")?));
                let (ice, warmer) = (freezing_expansion(now)?, volume_ratio(now, then)?);
                let litres = given.figure("litres")?;
                Ok(Answer::new()
                    .figure("ice_l", "more room as ice", litres * ice.value, Unit::Litre)
                    .figure("ice_part", "more, as a part", ice.value, Unit::Fraction)
                    .figure(
                        "warmer_l",
                        "more room at the other temperature",
                        litres * (warmer.value - 1.0),
                        Unit::Litre,
                    )
                    .say(Message::new(
                        "A closed vessel that freezes full is burst. Pipes and pumps freeze before tanks do.",
                    ))
                    .working(ice.working)
                    .working(warmer.working))
            },
        )
        .figure("litres", "Water", "", &VOLUME, 1000.0)
        .figure("warmer_c", "Temperature to compare with", "", &measures::TEMPERATURE, 35.0),
    )
}
