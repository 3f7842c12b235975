//! The shapes against `tests/published/vessel_volumes.csv`: figures reckoned outside this project, each with its source.

use super::DrawPoint;
use super::Fittings;
use super::Kind;
use super::Shape;
use super::Way;
use super::usable;
use crate::quantity::as_litres;
use crate::quantity::as_metres;
use crate::quantity::as_square_metres;
use crate::quantity::litres;
use crate::quantity::metres;
use serde_json::Value;

#[derive(serde::Deserialize)]
struct Row {
    id: String,
    quantity: String,
    inputs: String,
    expected: f64,
    unit: String,
    tolerance_rel: f64,
    source: String,
}

fn number(inputs: &Value, key: &str) -> f64 {
    inputs[key].as_f64().unwrap_or_else(|| panic!("{key} in {inputs}"))
}

fn shape(inputs: &Value) -> Shape {
    let (kind, renamed): (_, &[(&str, &str)]) = match inputs["shape"].as_str().unwrap() {
        "vertical_cylinder" => (Kind::Upright, &[("height_m", "shell_height_m")]),
        "horizontal_cylinder" => (Kind::Lying, &[("length_m", "shell_length_m")]),
        "rectangular" => (Kind::Box, &[]),
        other => panic!("no such shape: {other}"),
    };
    assert!(kind == Kind::Box || inputs["head"] == "flat");
    let theirs = |key: &str| renamed.iter().find(|pair| pair.0 == key).map_or(key.to_owned(), |pair| pair.1.to_owned());
    Shape::from_dimensions(kind, |key| Some(number(inputs, &theirs(key))), &[]).unwrap()
}

fn answer(row: &Row) -> (f64, &'static str) {
    let inputs: Value = serde_json::from_str(&row.inputs).unwrap();
    let shape = shape(&inputs);
    let depth = || metres(number(&inputs, "depth_m"));
    match row.quantity.as_str() {
        "tank_volume_at_depth" => (as_litres(shape.volume_at(depth()).unwrap()) / 1000.0, "m3"),
        "tank_total_volume" => (as_litres(shape.brim()) / 1000.0, "m3"),
        "tank_surface_area" => (as_square_metres(shape.surface_at(depth()).unwrap()), "m2"),
        "tank_depth_for_volume" => {
            let volume = litres(number(&inputs, "volume_m3") * 1000.0);
            (as_metres(shape.depth_of(volume).unwrap()), "m")
        }
        "tank_usable_volume" => {
            let outlet = DrawPoint { way: Way::Gravity, height: metres(number(&inputs, "outlet_height_m")) };
            let fittings = Fittings { full: None, draws: vec![outlet] };
            let (drawn, _) = usable(&shape, &fittings, shape.volume_at(depth()).unwrap()).unwrap();
            (as_litres(drawn) / 1000.0, "m3")
        }
        other => panic!("no such quantity: {other}"),
    }
}

#[test]
fn the_shapes_match_the_published_volumes() {
    let mut table = csv::Reader::from_reader(include_str!("../../../tests/published/vessel_volumes.csv").as_bytes());
    let rows: Vec<Row> = table.deserialize().collect::<Result<_, _>>().unwrap();
    for row in &rows {
        let (value, unit) = answer(row);
        assert_eq!(unit, row.unit, "{}", row.id);
        let off = (value - row.expected).abs();
        assert!(
            off <= row.expected.abs() * row.tolerance_rel,
            "{}: {value}, not {} ({})",
            row.id,
            row.expected,
            row.source
        );
    }
    assert_eq!(rows.len(), 12, "rows tried");
}
