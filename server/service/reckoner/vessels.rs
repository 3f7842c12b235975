//! What a vessel holds: a calculation for each shape in which a depth is read, from the shape's own dimensions.

use keepwell_engine::quantity as q;
use keepwell_engine::quantity::DEPTH;
use keepwell_engine::quantity::DIMENSION;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::VOLUME;
use keepwell_engine::vessel::Fittings;
use keepwell_engine::vessel::Kind;
use keepwell_engine::vessel::Shape;
use keepwell_engine::vessel::dip_table;
use keepwell_engine::vessel::lying_with_unknown_ends;
use keepwell_engine::vessel::upright_with_unknown_bottom;
use keepwell_engine::working::Figure;
use keepwell_engine::working::Working;

use crate::model::choice::Choice;
use crate::service::reckoner::Answer;
use crate::service::reckoner::Calculation;
use crate::service::reckoner::Table;
use crate::service::reckoner::Topic;
use crate::service::reckoner::Warning;
use crate::service::reckoner::calculation::Given;
use crate::service::reckoner::refused::Refused;

/// Lines of the dip table between floor and rim.
const LINES: f64 = 20.0;

pub(super) fn all() -> Vec<Calculation> {
    let sample = |kind| Shape::samples().into_iter().find(|shape: &Shape| shape.kind() == kind);
    // What its owner measured is a table already.
    let kinds = Kind::ALL.into_iter().filter(|kind| *kind != Kind::Table);
    let of_kind = |kind| Some(of_shape(kind, &sample(kind)?, q::as_metres(sample(kind)?.height()?)));
    kinds.filter_map(of_kind).chain([unknown()]).collect()
}

/// How the ends of a cylinder are hidden.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Cylinder {
    Lying,
    Upright,
}

impl Choice for Cylinder {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Lying, "lying", "lying, its ends unknown"),
        (Self::Upright, "upright", "standing, its bottom unknown"),
    ];
}

fn unknown() -> Calculation {
    Calculation::new(
        Topic::Vessels,
        "unknown-ends",
        "Cylinder of unknown ends",
        "What it holds at a depth at least and at most, if nobody knows how it is closed.",
        reckon_unknown,
    )
    .choice("cylinder", "Cylinder", "", Cylinder::Lying)
    .figure("diameter_m", "Diameter", "", &DIMENSION, 1.2)
    .figure("shell_m", "Length or height of the straight wall", "", &DIMENSION, 2.4)
    .figure("depth_m", "Depth of water", "Up from the lowest place inside.", &DEPTH, 0.6)
}

fn reckon_unknown(given: &Given) -> Result<Answer, Refused> {
    let (diameter, shell) = (q::metres(given.figure("diameter_m")?), q::metres(given.figure("shell_m")?));
    let depth = q::metres(given.figure("depth_m")?);
    let held = match given.choice("cylinder")? {
        Cylinder::Lying => lying_with_unknown_ends(diameter, shell, depth)?,
        Cylinder::Upright => upright_with_unknown_bottom(diameter, shell, depth)?,
    };
    let litres = |volume| Figure::exact(q::as_litres(volume), Unit::Litre);
    let metres = |length| Figure::exact(q::as_metres(length), Unit::Metre);
    let working = Working::new("Litres in a cylinder of unknown ends", "half way between the least and the most")
        .input("diameter", "D", metres(diameter), "given")
        .input("straight wall", "L", metres(shell), "given")
        .input("depth of water", "h", metres(depth), "given")
        .step(
            "closed so that it holds the least",
            "V(h), of flat, dished, elliptical and half-sphere ends",
            litres(held.least),
        )
        .step("closed so that it holds the most", "the same", litres(held.most))
        .step("one standard deviation", "(most − least)/√12", litres(held.sd))
        .source("JCGM 100:2008 (GUM), 4.3.7");
    Ok(Answer::new()
        .figure("litres", "half way between", q::as_litres(held.middle), Unit::Litre)
        .figure("least_l", "at least", q::as_litres(held.least), Unit::Litre)
        .figure("most_l", "at most", q::as_litres(held.most), Unit::Litre)
        .warn(Warning::TANK)
        .working(working))
}

/// The usual figures are those of the engine's own sample of the shape, half full.
fn of_shape(kind: Kind, usual: &Shape, height: f64) -> Calculation {
    let dimensions = kind.dimensions().iter().zip(usual.dimensions());
    dimensions
        .fold(
            Calculation::new(
                Topic::Vessels,
                kind.key(),
                kind.name(),
                "What it holds at a depth, how deep so many litres stand in it, and its dip table.",
                move |given| reckon(kind, given),
            ),
            |asked, (dimension, (key, usual))| {
                asked.figure(key, dimension.label, dimension.hint, dimension.measure, usual)
            },
        )
        .figure(
            "depth_m",
            "Depth of water",
            "Up from the lowest place inside.",
            &DEPTH,
            (height * 50.0).floor() / 100.0,
        )
        .maybe("litres", "Litres in it", "To be told how deep they stand. May be left out.", &VOLUME)
}

fn reckon(kind: Kind, given: &Given) -> Result<Answer, Refused> {
    let shape = Shape::from_dimensions(kind, |key| given.maybe(key), &[])?;
    let depth = q::metres(given.figure("depth_m")?);
    let volume = shape.volume_at(depth)?;
    let height = shape.height().unwrap_or_default();
    let table = dip_table(&shape, &Fittings::default(), height / LINES)?;
    let row = |row: &keepwell_engine::vessel::DipRow| {
        (String::new(), vec![q::as_metres(row.depth), q::as_metres(row.from_rim), q::as_litres(row.volume), row.part])
    };
    let rows = table.rows.iter().map(row).collect();
    let stands = given.maybe("litres").map(|litres| shape.depth_of(q::litres(litres))).transpose()?;
    Ok(Answer::new()
        .figure("litres", "at this depth", q::as_litres(volume), Unit::Litre)
        .maybe("depth_m", "so deep do the litres stand", stands.map(q::as_metres), Unit::Metre)
        .figure("part", "of all it holds", (volume / shape.brim()).value, Unit::Fraction)
        .figure("brim_l", "full to the rim", q::as_litres(shape.brim()), Unit::Litre)
        .figure("height_m", "from the lowest place inside to the rim", q::as_metres(height), Unit::Metre)
        .figure(
            "surface_m2",
            "surface of the water at this depth",
            q::as_square_metres(shape.surface_at(depth)?),
            Unit::SquareMetre,
        )
        .table(Table {
            of: "",
            columns: vec![
                ("depth", Unit::Metre),
                ("down from the rim", Unit::Metre),
                ("holds", Unit::Litre),
                ("of all", Unit::Fraction),
            ],
            rows,
        })
        .warn(Warning::TANK)
        .working(table.working(&shape)))
}
