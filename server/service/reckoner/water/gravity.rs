//! What runs of itself, and how long it takes.

use keepwell_engine::hydraulics::Opening;
use keepwell_engine::hydraulics::Pipe;
use keepwell_engine::hydraulics::Wall;
use keepwell_engine::hydraulics::drain_through_hose;
use keepwell_engine::hydraulics::fill_time;
use keepwell_engine::hydraulics::gravity_flow;
use keepwell_engine::hydraulics::measures;
use keepwell_engine::hydraulics::velocity;
use keepwell_engine::quantity as q;
use keepwell_engine::quantity::CONTAINER;
use keepwell_engine::quantity::DEPTH;
use keepwell_engine::quantity::DIMENSION;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::VOLUME;
use keepwell_engine::vessel::Cuboid;
use keepwell_engine::vessel::Lying;
use keepwell_engine::vessel::Shape;
use keepwell_engine::vessel::Upright;

use crate::model::choice::Choice;
use crate::model::message::Message;
use crate::service::reckoner::Answer;
use crate::service::reckoner::Calculation;
use crate::service::reckoner::Topic;
use crate::service::reckoner::Warning;
use crate::service::reckoner::calculation::Given;
use crate::service::reckoner::refused::Refused;
use crate::service::reckoner::water::BORE;
use crate::service::reckoner::water::bore;
use crate::service::reckoner::water::of_water;
use crate::service::reckoner::water::warm;

fn opening(calculation: Calculation) -> Calculation {
    calculation.figure("bore_mm", "Bore of the outlet", "", &BORE, 19.0).figure(
        "discharge",
        "Discharge coefficient",
        "A sharp hole 0.61, a small valve with its fittings 0.6 to 0.7, a short tube 0.8.",
        &measures::DISCHARGE,
        0.61,
    )
}

pub(super) fn outlet() -> Calculation {
    opening(
        Calculation::new(
            Topic::Water,
            "outlet",
            "Flow from an outlet",
            "What runs out of an open outlet under the water that stands over it.",
            |given| {
                let flow = Opening::round(bore(given)?, given.figure("discharge")?)?
                    .flow(q::metres(given.figure("head_m")?))?;
                Ok(Answer::new()
                    .figure("flow_l_min", "from the outlet", q::as_litres_per_minute(flow.value), Unit::LitrePerMinute)
                    .working(flow.working))
            },
        )
        .figure("head_m", "Water over the outlet", "", &measures::HEAD, 1.5),
    )
}

pub(super) fn hose() -> Calculation {
    warm(
        Calculation::new(
            Topic::Water,
            "hose",
            "Flow through a hose by gravity",
            "What runs through a hose or a siphon from the water's surface down to where it comes out, and how long a can takes.",
            reckon_hose,
        )
        .figure("head_m", "From the surface down to the end", "", &measures::HEAD, 1.5)
        .figure("bore_mm", "Bore of the hose", "", &BORE, 15.9)
        .figure("length_m", "Length", "", &measures::PIPE_LENGTH, 15.0)
        .choice("wall", "Wall", "", Wall::Drawn)
        .figure("loss_factor", "Loss factor of the fittings", "Without the end, which is counted.", &measures::LOSS_FACTOR, 3.0)
        .figure("container_l", "Container to fill", "", &CONTAINER, 20.0),
    )
}

fn reckon_hose(given: &Given) -> Result<Answer, Refused> {
    let roughness = given.choice::<Wall>("wall")?.roughness();
    let hose = Pipe::new(bore(given)?, q::metres(given.figure("length_m")?), roughness)?;
    let water = of_water(given)?;
    let flow = gravity_flow(q::metres(given.figure("head_m")?), &hose, given.figure("loss_factor")?, &water)?;
    let answer = Answer::new()
        .figure("flow_l_min", "through the hose", q::as_litres_per_minute(flow.value), Unit::LitrePerMinute)
        .figure(
            "speed_m_s",
            "speed in it",
            q::as_metres_per_second(velocity(flow.value, hose.bore())?.value),
            Unit::MetrePerSecond,
        );
    // So little that no container is ever filled.
    if q::as_litres_per_minute(flow.value) < measures::RATED_FLOW.min {
        return Ok(answer.say(Message::new("Nothing to speak of runs.")).working(flow.working));
    }
    let fills = fill_time(q::litres(given.figure("container_l")?), flow.value)?;
    Ok(answer
        .figure("fill_h", "to fill the container", q::as_hours(fills.value), Unit::Hour)
        .warn(Warning::BACKFLOW)
        .working(flow.working)
        .working(fills.working))
}

/// The vessels that a time to drain is asked of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Drained {
    Upright,
    Lying,
    Box,
}

impl Choice for Drained {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Upright, "upright", "upright cylinder"),
        (Self::Lying, "lying", "lying cylinder"),
        (Self::Box, "box", "box"),
    ];
}

pub(super) fn drain() -> Calculation {
    let asked = Calculation::new(
        Topic::Water,
        "drain-time",
        "How long a tank takes to drain",
        "From one depth to a lower one, through an open outlet or through a hose.",
        reckon_drain,
    )
    .choice("shape", "Tank", "", Drained::Upright)
    .figure("across_m", "Diameter, or width of a box", "", &DIMENSION, 1.2)
    .figure("length_m", "Length, of a lying cylinder or a box", "", &DIMENSION, 2.0)
    .figure("start_m", "Depth at first", "", &DEPTH, 1.1)
    .figure("end_m", "Depth at last", "", &DEPTH, 0.2)
    .figure("outlet_m", "Outlet over the lowest place inside", "", &DEPTH, 0.05);
    warm(
        opening(asked)
            .maybe(
                "hose_m",
                "Length of a hose on the outlet",
                "Of the outlet's bore. Empty: none, it runs free.",
                &measures::PIPE_LENGTH,
            )
            .figure("drop_m", "End of the hose below the outlet", "Below 0 where it is higher.", &measures::LIFT, 0.0),
    )
}

fn reckon_drain(given: &Given) -> Result<Answer, Refused> {
    let metres = |key| Ok::<_, Refused>(q::metres(given.figure(key)?));
    let (across, length) = (metres("across_m")?, metres("length_m")?);
    let (start, end, outlet) = (metres("start_m")?, metres("end_m")?, metres("outlet_m")?);
    let tall = start.max(q::metres(DIMENSION.min));
    let shape = match given.choice("shape")? {
        Drained::Upright => Shape::Upright(Upright::new(across, tall)?),
        Drained::Lying => Shape::Lying(Lying::new(across, length)?),
        Drained::Box => Shape::Box(Cuboid::new(length, across, tall)?),
    };
    let time = match given.maybe("hose_m") {
        None => Opening::round(bore(given)?, given.figure("discharge")?)?.drain(&shape, start, end, outlet)?,
        Some(hose) => {
            let hose = Pipe::new(bore(given)?, q::metres(hose), Wall::Drawn.roughness())?;
            drain_through_hose(&shape, (start, end), (outlet, metres("drop_m")?), (&hose, 0.5), &of_water(given)?)?
        }
    };
    let litres = shape.volume_at(start)? - shape.volume_at(end)?;
    Ok(Answer::new()
        .figure("time_h", "to drain", q::as_hours(time.value), Unit::Hour)
        .figure("litres", "that run out", q::as_litres(litres), Unit::Litre)
        .say(Message::new("With the vent open: a tank without one drinks air through the outlet, or is crushed."))
        .warn(Warning::TANK)
        .working(time.working))
}

pub(super) fn fill() -> Calculation {
    Calculation::new(
        Topic::Water,
        "fill-time",
        "How long a tank takes to fill",
        "The room in it over a steady flow.",
        |given| {
            let time =
                fill_time(q::litres(given.figure("room_l")?), q::litres_per_minute(given.figure("flow_l_min")?))?;
            Ok(Answer::new()
                .figure("time_h", "to fill", q::as_hours(time.value), Unit::Hour)
                .warn(Warning::BACKFLOW)
                .working(time.working))
        },
    )
    .figure("room_l", "Room in the tank", "", &VOLUME, 1000.0)
    .figure("flow_l_min", "Flow", "Measure it: a bucket and a watch.", &measures::RATED_FLOW, 20.0)
}
