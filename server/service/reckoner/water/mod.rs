//! Water on its way: pipes, pumps, pressure tanks, and what runs of itself.

mod gravity;
mod pipe;
mod pump;
mod suction;
mod tank;

use keepwell_engine::hydraulics::Pipe;
use keepwell_engine::hydraulics::PipeKind;
use keepwell_engine::hydraulics::PipeSize;
use keepwell_engine::hydraulics::Wall;
use keepwell_engine::hydraulics::measures;
use keepwell_engine::hydraulics::water::Water;
use keepwell_engine::quantity as q;
use keepwell_engine::quantity::Length;
use keepwell_engine::quantity::Measure;
use keepwell_engine::quantity::Unit;

use crate::model::choice::Choice;
use crate::service::reckoner::Calculation;
use crate::service::reckoner::calculation::Given;
use crate::service::reckoner::refused::Refused;

pub(super) fn all() -> Vec<Calculation> {
    vec![
        pipe::friction(),
        pipe::fittings(),
        pipe::valve(),
        pipe::filter(),
        pump::duty(),
        pump::energy(),
        tank::pressure_tank(),
        suction::npsh(),
        suction::siphon(),
        suction::pressure(),
        suction::freezing(),
        gravity::outlet(),
        gravity::hose(),
        gravity::drain(),
        gravity::fill(),
    ]
}

/// The engine's bores, in millimetres as pipes are measured.
const BORE: Measure = in_millimetres(measures::BORE);

const fn in_millimetres(measure: Measure) -> Measure {
    Measure { unit: Unit::Millimetre, min: measure.min * 1000.0, max: measure.max * 1000.0, ..measure }
}

/// Which pipe: as sold, or as measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Sold {
    Measured,
    As(PipeKind),
}

impl Choice for Sold {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::As(PipeKind::PlasticAverage), "pvc_average", PipeKind::PlasticAverage.name()),
        (Self::As(PipeKind::PlasticThinnest), "pvc_thinnest", PipeKind::PlasticThinnest.name()),
        (Self::As(PipeKind::CopperL), "copper_l", PipeKind::CopperL.name()),
        (Self::Measured, "measured", "another: its bore and wall are given below"),
    ];
}

impl Choice for PipeSize {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Half, "half", Self::Half.name()),
        (Self::ThreeQuarters, "three_quarters", Self::ThreeQuarters.name()),
        (Self::One, "one", Self::One.name()),
        (Self::OneAndQuarter, "one_and_quarter", Self::OneAndQuarter.name()),
        (Self::OneAndHalf, "one_and_half", Self::OneAndHalf.name()),
        (Self::Two, "two", Self::Two.name()),
    ];
}

impl Choice for Wall {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Drawn, "drawn", "plastic, copper, hose"),
        (Self::Steel, "steel", "steel"),
        (Self::Galvanised, "galvanised", "galvanised steel"),
    ];
}

/// The questions about a pipe.
fn piped(calculation: Calculation, length_m: f64) -> Calculation {
    calculation
        .choice("pipe", "Pipe", "", Sold::As(PipeKind::PlasticAverage))
        .choice("size", "Nominal size", "Of a pipe as sold.", PipeSize::One)
        .figure("bore_mm", "Bore", "Of another pipe: inside, from wall to wall.", &BORE, 25.0)
        .choice("wall", "Wall", "Of another pipe.", Wall::Drawn)
        .figure("length_m", "Length", "", &measures::PIPE_LENGTH, length_m)
}

/// The pipe with the smoothness that the water works' formula has for it, where it is a pipe as sold.
fn of_pipe(given: &Given) -> Result<(Pipe, Option<f64>), Refused> {
    let length = q::metres(given.figure("length_m")?);
    let (bore, roughness, smoothness) = match given.choice("pipe")? {
        Sold::As(kind) => (kind.bore(given.choice("size")?), kind.roughness(), Some(kind.smoothness())),
        Sold::Measured => (bore(given)?, given.choice::<Wall>("wall")?.roughness(), None),
    };
    Ok((Pipe::new(bore, length, roughness)?, smoothness))
}

fn bore(given: &Given) -> Result<Length, Refused> {
    Ok(q::millimetres(given.figure("bore_mm")?))
}

fn warm(calculation: Calculation) -> Calculation {
    calculation.figure("temperature_c", "Water temperature", "", &measures::TEMPERATURE, 15.0)
}

fn of_water(given: &Given) -> Result<Water, Refused> {
    Ok(Water::at(q::celsius(given.figure("temperature_c")?))?)
}
