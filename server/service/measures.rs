//! A vessel's figures that make no vessel, said beside the figure that does not hold.

use keepwell_engine::grade::Refused;
use keepwell_engine::quantity::Unit;
use keepwell_engine::vessel::Kind;
use keepwell_engine::vessel::ShapeError;
use keepwell_engine::vessel::Way;

use crate::model::entry::fields::Problem;
use crate::model::entry::fields::out_of_range;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::vessel::ShapeKind;
use crate::picture::body::BodyError;
use crate::picture::body::kind;

/// Why a vessel's figures make no vessel, under the figure that does not hold: a dimension by its key, a way of
/// drawing as `pump_m`, `gravity_m` or `dip_m`.
#[must_use]
pub fn shape_problem(kind: Kind, error: ShapeError) -> Problem {
    let whole = kind.dimensions().first().map_or("strapping", |dimension| dimension.key);
    let metres = |metres: f64| Arg::Exact(metres, Unit::Metre);
    match error {
        ShapeError::Missing { key, name } => {
            Problem::new(key, Message::new("{Field} is missing.").with("field", Arg::Word(name)))
        }
        ShapeError::OutOfRange { key, error } => Problem::new(key, out_of_range(error.measure.name, &error)),
        ShapeError::NotWhole { key, name, .. } => {
            Problem::new(key, Message::new("{Field} is a whole number.").with("field", Arg::Word(name)))
        }
        ShapeError::TooLarge { litres, max } => Problem::new(
            whole,
            Message::new("These measures make a vessel for {litres}; allowed is {most} at most.")
                .with("litres", Arg::Figure(litres, Unit::Litre))
                .with("most", Arg::Figure(max, Unit::Litre)),
        ),
        ShapeError::FullMark { height, rim } => Problem::new(
            "full_m",
            Message::new("The full mark is {height} over the floor; allowed is above 0, up to the rim at {rim}.")
                .with("height", metres(height))
                .with("rim", metres(rim)),
        ),
        ShapeError::DrawHeight { way, height, full } => Problem::new(
            match way {
                Way::Pump => "pump_m",
                Way::Gravity => "gravity_m",
                Way::Dip => "dip_m",
            },
            Message::new("{Way} is {height} over the floor; allowed is 0 to the full mark at {full}.")
                .with("way", Arg::Word(way.name()))
                .with("height", metres(height))
                .with("full", metres(full)),
        ),
        ShapeError::NoDepth { .. } => {
            Problem::new("full_m", Message::new("No depth is read in it, so it has no full mark and no outlet height."))
        }
        ShapeError::TableTooShort => {
            Problem::new("strapping", Message::new("The table needs one row or more above a depth of 0."))
        }
        ShapeError::TableOutOfRange { row, error } => Problem::new(
            "strapping",
            Message::new("Row {row}: {problem}")
                .with("row", count(row))
                .with("problem", out_of_range(error.measure.name, &error).into()),
        ),
        ShapeError::TableFloor { row, .. } => Problem::new(
            "strapping",
            Message::new("Row {row}: an empty vessel holds nothing at a depth of 0.").with("row", count(row)),
        ),
        ShapeError::TableNotRising { row, .. } => Problem::new(
            "strapping",
            Message::new("Row {row}: depth and volume must both be more than in the row before.")
                .with("row", count(row)),
        ),
        error => Problem::new(whole, not_hold(error.to_string())),
    }
}

/// The same for all that is kept of a vessel: its measures and its policy.
pub(super) fn body_problem(shape: ShapeKind, error: BodyError) -> Problem {
    match error {
        BodyError::Shape(error) => shape_problem(kind(shape), error),
        BodyError::Policy(Refused::Range(error)) => {
            Problem::new("floor_mg_l", out_of_range(error.measure.name, &error))
        }
        BodyError::Policy(error) => Problem::new("interval_days", not_hold(error.to_string())),
    }
}

fn not_hold(why: String) -> Message {
    Message::new("Its measures do not hold: {why}").with("why", Arg::text(why))
}

fn count(row: usize) -> Arg {
    Arg::Count(u64::try_from(row).unwrap_or(u64::MAX))
}
