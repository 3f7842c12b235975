//! What the engine says against a vessel's figures, or against what was read in it, as a message beside its column.

use keepwell_engine::quantity::OutOfRange;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::as_metres;
use keepwell_engine::vessel::Shape;
use keepwell_engine::vessel::ShapeError;

use crate::model::entry::reading::Reading;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::picture::body::BodyError;

/// The column that is to blame and why, for a vessel that is none.
pub fn of_vessel(error: &BodyError) -> (&'static str, Message) {
    let BodyError::Shape(error) = error else {
        return ("rotate every", Message::new("{error}").with("error", Arg::text(error.to_string())));
    };
    let key = match error {
        ShapeError::Missing { key, .. } | ShapeError::OutOfRange { key, .. } | ShapeError::NotWhole { key, .. } => *key,
        ShapeError::NoTable { .. }
        | ShapeError::TableTooShort
        | ShapeError::TableOutOfRange { .. }
        | ShapeError::TableFloor { .. }
        | ShapeError::TableNotRising { .. } => "table",
        ShapeError::FullMark { .. } => "full mark",
        ShapeError::DrawHeight { way, .. } => way.key(),
        _ => "shape",
    };
    (key, said(error))
}

fn said(error: &ShapeError) -> Message {
    let metres = |figure: f64| Arg::Exact(figure, Unit::Metre);
    match error {
        ShapeError::Missing { name, .. } => Message::new("{Field} is missing.").with("field", Arg::Word(name)),
        ShapeError::OutOfRange { error, .. } => out_of_range(error),
        ShapeError::NotWhole { name, value, .. } => Message::new("{Field} is {value}; it is a whole number.")
            .with("field", Arg::Word(name))
            .with("value", Arg::Exact(*value, Unit::Count)),
        ShapeError::TooLarge { litres, max } => {
            Message::new("These figures make a vessel for {litres}; at most {most} are allowed.")
                .with("litres", Arg::Figure(*litres, Unit::Litre))
                .with("most", Arg::Exact(*max, Unit::Litre))
        }
        ShapeError::FullMark { height, rim } => {
            Message::new("The full mark is {value} over the floor; it is above the floor and at most {most}, the rim.")
                .with("value", metres(*height))
                .with("most", metres(*rim))
        }
        ShapeError::DrawHeight { height, full, .. } => {
            Message::new("The outlet is {value} over the floor; allowed is {least} to {most}, the full mark.")
                .with("value", metres(*height))
                .with("least", metres(0.0))
                .with("most", metres(*full))
        }
        ShapeError::TableOutOfRange { row, error } => Message::new("Pair {row} of the table: {why}")
            .with("row", Arg::Count(u64::try_from(*row).unwrap_or(u64::MAX)))
            .with("why", Arg::from(out_of_range(error))),
        ShapeError::TableFloor { litres, .. } => {
            Message::new("The table has {litres} at the floor; an empty vessel holds nothing.")
                .with("litres", Arg::Exact(*litres, Unit::Litre))
        }
        ShapeError::TableTooShort => Message::new("The table needs one pair or more above the floor."),
        ShapeError::TableNotRising { row, depth, litres } => {
            Message::new("Pair {row} of the table, {depth} and {litres}: both are more than in the pair before.")
                .with("row", Arg::Count(u64::try_from(*row).unwrap_or(u64::MAX)))
                .with("depth", metres(*depth))
                .with("litres", Arg::Exact(*litres, Unit::Litre))
        }
        other => Message::new("{error}").with("error", Arg::text(other.to_string())),
    }
}

fn out_of_range(error: &OutOfRange) -> Message {
    Message::new("{Field} is {value}; allowed is {least} to {most}.")
        .with("field", Arg::Word(error.measure.name))
        .with("value", Arg::Exact(error.value, error.measure.unit))
        .with("least", Arg::Exact(error.measure.min, error.measure.unit))
        .with("most", Arg::Exact(error.measure.max, error.measure.unit))
}

/// The reading's field that cannot be so in a vessel of that shape, and why.
pub fn of_reading(shape: &Shape, reading: &Reading) -> Result<(), (&'static str, Message)> {
    let above = |key: &'static str, what: &'static str, value: f64, most: f64, unit: Unit| {
        let message = Message::new("{Field} is {value}; this vessel allows {least} to {most}.")
            .with("field", Arg::Word(what))
            .with("value", Arg::Exact(value, unit))
            .with("least", Arg::Exact(0.0, unit))
            .with("most", Arg::Exact(most, unit));
        Err((key, message))
    };
    if let Some(depth) = reading.depth_m {
        let Some(height) = shape.height() else {
            let message =
                Message::new("No depth is read in this kind of vessel: give the volume, the part or the count.");
            return Err(("depth_m", message));
        };
        // What rounds to the rim is the rim.
        if depth > as_metres(height) + 1e-9 {
            return above("depth_m", "depth", depth, as_metres(height), Unit::Metre);
        }
    }
    if let Some(litres) = reading.litres {
        let brim = as_litres(shape.brim());
        if litres > brim * (1.0 + 1e-9) {
            return above("litres", "volume", litres, brim, Unit::Litre);
        }
    }
    if let Some(full) = reading.full {
        let Shape::Set(set) = shape else {
            return Err(("full", Message::new("Only of a set of containers is it counted how many are full.")));
        };
        if full > set.count() {
            return above("full", "full containers", full, set.count(), Unit::Count);
        }
    }
    Ok(())
}
