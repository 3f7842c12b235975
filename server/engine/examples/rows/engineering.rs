//! Rows of `tests/published/engineering_checks.csv`: vessels, hydraulics, structure.

use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::metres;
use keepwell_engine::vessel::Kind;
use keepwell_engine::vessel::Shape;

use crate::row::Answer;
use crate::row::Row;

/// The answer to a row about vessels, pipes, pumps or structure; `None` for a quantity that is not one.
pub fn answer(row: &Row) -> Option<Answer> {
    let got = match row.quantity {
        "tank_total_volume" => shape(row).map(|shape| as_litres(shape.brim()) / 1000.0),
        "tank_volume_at_depth" => volume_at_depth(row),
        _ => return None,
    };
    Some(got.and_then(|cubic_metres| row.print(cubic_metres, "m3")))
}

fn shape(row: &Row) -> Result<Shape, String> {
    let (kind, tall) = match row.text("shape")? {
        "vertical_cylinder" => (Kind::Upright, "shell_height_m"),
        "horizontal_cylinder" => (Kind::Lying, "shell_length_m"),
        "rectangular" => (Kind::Box, "height_m"),
        other => return Err(format!("shape is {other}; not one of those known")),
    };
    if row.has("head") && row.text("head")? != "flat" {
        return Err(format!("head is {}; only flat is known", row.text("head")?));
    }
    let theirs = |key: &str| match (kind, key) {
        (Kind::Upright, "height_m") | (Kind::Lying, "length_m") => row.number(tall).ok(),
        _ => row.number(key).ok(),
    };
    Shape::from_dimensions(kind, theirs, &[]).map_err(|error| error.to_string())
}

fn volume_at_depth(row: &Row) -> Result<f64, String> {
    let volume = shape(row)?.volume_at(metres(row.number("depth_m")?)).map_err(|error| error.to_string())?;
    Ok(as_litres(volume) / 1000.0)
}
