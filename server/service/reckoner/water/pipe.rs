//! What pipes, fittings, valves and filters cost.

use keepwell_engine::hydraulics::Filter;
use keepwell_engine::hydraulics::Fitting;
use keepwell_engine::hydraulics::PipeKind;
use keepwell_engine::hydraulics::PipeSize;
use keepwell_engine::hydraulics::hazen_williams;
use keepwell_engine::hydraulics::line_loss;
use keepwell_engine::hydraulics::measures;
use keepwell_engine::hydraulics::minor_loss;
use keepwell_engine::hydraulics::pipe_contents;
use keepwell_engine::hydraulics::pressure_of_head;
use keepwell_engine::hydraulics::valve_drop;
use keepwell_engine::quantity as q;
use keepwell_engine::quantity::Measure;
use keepwell_engine::quantity::Unit;

use crate::model::choice::Choice;
use crate::service::reckoner::Answer;
use crate::service::reckoner::Calculation;
use crate::service::reckoner::Topic;
use crate::service::reckoner::Warning;
use crate::service::reckoner::calculation::Given;
use crate::service::reckoner::refused::Refused;
use crate::service::reckoner::water::of_pipe;
use crate::service::reckoner::water::of_water;
use crate::service::reckoner::water::piped;
use crate::service::reckoner::water::warm;

/// Plastic is kept below this: a maker's usual advice.
const BRISK: f64 = 1.5;

pub(super) fn friction() -> Calculation {
    let asked = Calculation::new(
        Topic::Water,
        "pipe-friction",
        "Friction in a pipe",
        "The head and pressure that a pipe and its fittings cost at a flow, by two formulas side by side.",
        reckon_friction,
    )
    .figure("flow_l_min", "Flow", "", &measures::FLOW, 30.0);
    warm(
        piped(asked, 25.0)
            .figure(
                "loss_factor",
                "Loss factor of the fittings",
                "The sum of K: its own page adds them up.",
                &measures::LOSS_FACTOR,
                5.0,
            )
            .figure(
                "smoothness",
                "Hazen–Williams C",
                "Of another pipe: plastic 150, new steel 120 to 140.",
                &measures::SMOOTHNESS,
                140.0,
            ),
    )
}

fn reckon_friction(given: &Given) -> Result<Answer, Refused> {
    let flow = q::litres_per_minute(given.figure("flow_l_min")?);
    let (pipe, smoothness) = of_pipe(given)?;
    let water = of_water(given)?;
    let loss = line_loss(flow, &pipe, given.figure("loss_factor")?, &water)?;
    let works = match smoothness {
        Some(smoothness) => hazen_williams(flow, pipe.bore(), pipe.length(), smoothness)?,
        None => hazen_williams(flow, pipe.bore(), pipe.length(), given.figure("smoothness")?)?,
    };
    let contents = pipe_contents(pipe.bore(), pipe.length())?;
    let pressure = pressure_of_head(loss.total(), water.density())?;
    let speed = q::as_metres_per_second(loss.velocity);
    Ok(Answer::new()
        .figure("lost_m", "of head lost in all", q::as_metres(loss.total()), Unit::Metre)
        .figure("lost_kpa", "which is a pressure of", q::as_kilopascals(pressure.value), Unit::Kilopascal)
        .figure("wall_m", "to the wall of the pipe", q::as_metres(loss.friction), Unit::Metre)
        .figure("works_m", "the same by the water works' formula", q::as_metres(works.value), Unit::Metre)
        .figure("fittings_m", "to the fittings", q::as_metres(loss.minor), Unit::Metre)
        .figure("speed_m_s", "speed of the water", speed, Unit::MetrePerSecond)
        .figure("reynolds", "Reynolds number", loss.reynolds, Unit::Count)
        .figure("contents_l", "water that stands in the pipe", q::as_litres(contents.value), Unit::Litre)
        .say_if(
            speed > BRISK,
            "Over 1.5 m/s: makers of plastic pipe advise less, for noise and for the knock of a valve that shuts.",
        )
        .warn(Warning::BACKFLOW)
        .working(loss.working())
        .working(works.working))
}

const HOW_MANY: Measure = Measure { name: "how many", unit: Unit::Count, min: 0.0, max: 1_000.0 };

/// Each fitting: its key, its name, how many there usually are.
const FITTINGS: [(Fitting, &str, &str, u32); 13] = [
    (Fitting::SharpEntry, "sharp_entry", "Sharp entries from a tank", 1),
    (Fitting::InwardEntry, "inward_entry", "Pipes standing into a tank", 0),
    (Fitting::RoundedEntry, "rounded_entry", "Rounded entries from a tank", 0),
    (Fitting::BallValve, "ball_valve", "Ball valves, full bore", 2),
    (Fitting::GateValve, "gate_valve", "Gate valves", 0),
    (Fitting::SwingCheck, "swing_check", "Swing check valves", 0),
    (Fitting::StraightCheck, "straight_check", "Swing check valves, straight body", 1),
    (Fitting::Elbow90, "elbow_90", "Elbows, 90°", 4),
    (Fitting::Elbow45, "elbow_45", "Elbows, 45°", 0),
    (Fitting::TeeRun, "tee_run", "Tees, straight through", 1),
    (Fitting::TeeBranch, "tee_branch", "Tees, round the corner", 0),
    (Fitting::Union, "union", "Unions and couplings", 2),
    (Fitting::Exit, "exit", "Ends into a tank or the open air", 1),
];

impl Choice for PipeKind {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::PlasticAverage, "pvc_average", Self::PlasticAverage.name()),
        (Self::PlasticThinnest, "pvc_thinnest", Self::PlasticThinnest.name()),
        (Self::CopperL, "copper_l", Self::CopperL.name()),
    ];
}

pub(super) fn fittings() -> Calculation {
    let asked = Calculation::new(
        Topic::Water,
        "fittings",
        "What fittings cost",
        "The loss factors of valves, elbows and tees added up, and the head they cost at a flow.",
        reckon_fittings,
    )
    .figure("flow_l_min", "Flow", "", &measures::FLOW, 30.0)
    .choice("pipe", "Pipe", "", PipeKind::PlasticAverage)
    .choice("size", "Nominal size", "", PipeSize::One);
    FITTINGS.into_iter().fold(asked, |asked, (_, key, label, usual)| asked.whole(key, label, "", &HOW_MANY, usual))
}

fn reckon_fittings(given: &Given) -> Result<Answer, Refused> {
    let (kind, size): (PipeKind, PipeSize) = (given.choice("pipe")?, given.choice("size")?);
    let mut sum = 0.0;
    for (fitting, key, _, _) in FITTINGS {
        sum += f64::from(given.count(key)?) * fitting.loss_factor(size);
    }
    let lost = minor_loss(q::litres_per_minute(given.figure("flow_l_min")?), kind.bore(size), sum)?;
    let turbulent = size.turbulent_factor();
    Ok(Answer::new()
        .figure("loss_factor", "loss factor of them all, the sum of K", sum, Unit::Count)
        .figure("lost_m", "head that they cost at this flow", q::as_metres(lost.value), Unit::Metre)
        .figure("turbulent_factor", "fully turbulent friction factor of that size", turbulent, Unit::Count)
        .working(lost.working.source("K = n · fT: Crane TP-410, appendix A, as reproduced and from memory")))
}

pub(super) fn valve() -> Calculation {
    Calculation::new(
        Topic::Water,
        "valve",
        "What a valve costs",
        "The pressure lost in a valve or a tap by its flow coefficient Cv.",
        |given| {
            let drop = valve_drop(q::litres_per_minute(given.figure("flow_l_min")?), given.figure("cv")?)?;
            Ok(Answer::new()
                .figure("drop_kpa", "lost in the valve", q::as_kilopascals(drop.value), Unit::Kilopascal)
                .working(drop.working))
        },
    )
    .figure("flow_l_min", "Flow", "", &measures::FLOW, 30.0)
    .figure(
        "cv",
        "Flow coefficient Cv",
        "US gallons a minute at 1 psi, from its maker.",
        &measures::FLOW_COEFFICIENT,
        12.0,
    )
}

pub(super) fn filter() -> Calculation {
    Calculation::new(
        Topic::Water,
        "filter",
        "How clogged a filter is",
        "The pressure a clean filter costs at a flow, and how much of it is clogged by the pressure it costs now.",
        |given| {
            let (drop, flow) = (given.figure("clean_kpa")?, given.figure("rated_l_min")?);
            let filter = Filter::new(q::kilopascals(drop), q::litres_per_minute(flow), given.figure("exponent")?)?;
            let now = q::litres_per_minute(given.figure("flow_l_min")?);
            let clean = filter.drop_at(now, 0.0)?;
            let clogged = filter.clogged(now, q::kilopascals(given.figure("drop_kpa")?))?;
            Ok(Answer::new()
                .figure("clogged", "of its way through is clogged", clogged.value, Unit::Fraction)
                .figure(
                    "clean_kpa",
                    "it would cost clean at this flow",
                    q::as_kilopascals(clean.value),
                    Unit::Kilopascal,
                )
                .working(clogged.working)
                .working(clean.working))
        },
    )
    .figure("clean_kpa", "Pressure lost when clean, by its maker", "", &measures::GAUGE, 35.0)
    .figure("rated_l_min", "at a flow of", "", &measures::RATED_FLOW, 30.0)
    .figure("exponent", "Exponent", "About 1 for carbon and membranes, about 2 for housings.", &measures::EXPONENT, 1.5)
    .figure("flow_l_min", "Flow now", "", &measures::RATED_FLOW, 20.0)
    .figure(
        "drop_kpa",
        "Pressure lost now",
        "The gauge before it less the gauge behind it.",
        &measures::GAUGE,
        60.0,
    )
}
