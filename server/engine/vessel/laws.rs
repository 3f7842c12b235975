//! What holds for every shape there is or will be, tried on [`Shape::samples`] and on random measures.

use super::Kind;
use super::Shape;
use super::ShapeError;
use crate::quantity::Length;
use crate::quantity::Unit;
use crate::quantity::Volume;
use crate::quantity::as_litres;
use crate::quantity::as_metres;
use crate::quantity::as_square_metres;
use crate::quantity::litres;
use crate::quantity::metres;
use proptest::prelude::*;

const STRANGE: [f64; 9] = [
    f64::NAN,
    f64::INFINITY,
    f64::NEG_INFINITY,
    -1.0,
    1e300,
    f64::MAX,
    f64::MIN,
    -f64::MIN_POSITIVE,
    f64::MIN_POSITIVE,
];

/// A shape of any kind with measures from the whole allowed range, leaning to the small end as real ones do.
fn any_shape() -> impl Strategy<Value = Shape> {
    let figure = prop::collection::vec(0.0..=1.0_f64, 5);
    let rows = prop::collection::vec((0.001..0.5, 0.1..5000.0), 1..30);
    (prop::sample::select(&Kind::ALL[..]), figure, rows).prop_filter_map("too large", |(kind, parts, steps)| {
        let mut rows: Vec<(f64, f64)> = Vec::new();
        for (rise, litres) in steps {
            let (depth, volume) = rows.last().copied().unwrap_or_default();
            rows.push((depth + rise, volume + litres));
        }
        let place = |key: &str| kind.dimensions().iter().position(|dimension| dimension.key == key);
        let get = |key: &str| {
            let place = place(key)?;
            let measure = kind.dimensions()[place].measure;
            let least = measure.min.max(0.001);
            let value = least * (measure.max / least).powf(parts[place]);
            Some(if measure.unit == Unit::Count { value.round() } else { value.clamp(measure.min, measure.max) })
        };
        match Shape::from_dimensions(kind, get, if kind == Kind::Table { &rows } else { &[] }) {
            // Figures each allowed by itself may not go together: a knuckle wider than its vessel.
            Err(ShapeError::TooLarge { .. } | ShapeError::OutOfRange { .. }) => None,
            made => Some(made.unwrap()),
        }
    })
}

/// The shape and a depth in it; shapes without depth are left out.
fn any_depth() -> impl Strategy<Value = (Shape, f64)> {
    (any_shape(), 0.0..=1.0).prop_filter_map("no depth", |(shape, part)| {
        let height = as_metres(shape.height()?);
        Some((shape, height * part))
    })
}

/// The same shape with every length multiplied, and every litre by the cube.
fn scaled(shape: &Shape, by: f64) -> Result<Shape, ShapeError> {
    let figures = shape.dimensions();
    let get = |key: &str| {
        let unit = shape.kind().dimensions().iter().find(|dimension| dimension.key == key)?.measure.unit;
        let value = figures.iter().find(|figure| figure.0 == key)?.1;
        Some(match unit {
            Unit::Metre => value * by,
            Unit::Litre => value * by.powi(3),
            _ => value,
        })
    };
    let rows: Vec<_> = shape.table().iter().map(|(depth, volume)| (depth * by, volume * by.powi(3))).collect();
    Shape::from_dimensions(shape.kind(), get, &rows)
}

fn depths(shape: &Shape) -> Vec<Length> {
    let Some(height) = shape.height() else { return Vec::new() };
    (0..=200).map(|step| height * (f64::from(step) / 200.0)).collect()
}

#[test]
fn every_sample_is_made_and_every_kind_has_one() {
    let samples = Shape::samples();
    assert_eq!(samples.len(), Kind::ALL.iter().map(|kind| kind.sheet().samples.len()).sum::<usize>());
    assert!(Kind::ALL.iter().all(|kind| samples.iter().any(|shape| shape.kind() == *kind)));
}

#[test]
fn keys_are_distinct_and_dimensions_described() {
    for kind in Kind::ALL {
        assert_eq!(Kind::ALL.iter().filter(|other| other.key() == kind.key()).count(), 1);
        for dimension in kind.dimensions() {
            assert_eq!(kind.dimensions().iter().filter(|other| other.key == dimension.key).count(), 1);
            assert!(!dimension.label.is_empty() && dimension.hint.ends_with('.') && !dimension.symbol.is_empty());
        }
    }
}

#[test]
fn more_depth_is_more_water() {
    for shape in Shape::samples() {
        let volumes: Vec<_> = depths(&shape).into_iter().map(|depth| shape.volume_at(depth).unwrap()).collect();
        assert!(volumes.windows(2).all(|pair| pair[0] < pair[1]), "{shape:?}");
    }
}

#[test]
fn the_floor_is_empty_and_the_rim_is_the_brim() {
    for shape in Shape::samples() {
        let Some(height) = shape.height() else { continue };
        assert_eq!(shape.volume_at(metres(0.0)), Ok(Volume::default()));
        assert_eq!(shape.volume_at(height), Ok(shape.brim()));
        assert_eq!(shape.depth_of(Volume::default()).map(as_metres), Ok(0.0));
        assert!((as_metres(shape.depth_of(shape.brim()).unwrap()) - as_metres(height)).abs() < 1e-12);
    }
}

#[test]
fn the_surface_is_how_fast_the_volume_rises() {
    for shape in Shape::samples() {
        let rows: Vec<_> = shape.table().iter().map(|row| row.0).collect();
        let Some(height) = shape.height() else { continue };
        let step = as_metres(height) * 1e-5;
        for depth in depths(&shape).into_iter().map(as_metres) {
            let at_an_end = depth < 2.0 * step || depth > as_metres(height) - 2.0 * step;
            // A straight-line table has no one slope at its own rows.
            if at_an_end || rows.iter().any(|row| (row - depth).abs() < 2.0 * step) {
                continue;
            }
            let at = |depth: f64| as_litres(shape.volume_at(metres(depth)).unwrap()) / 1000.0;
            let rise = (at(depth + step) - at(depth - step)) / (2.0 * step);
            let surface = as_square_metres(shape.surface_at(metres(depth)).unwrap());
            assert!((rise - surface).abs() < surface * 1e-5, "{shape:?} at {depth} m: {rise} and {surface}");
        }
    }
}

#[test]
fn twice_as_long_each_way_holds_eight_times() {
    for shape in Shape::samples() {
        let large = scaled(&shape, 2.0).unwrap();
        assert!((as_litres(large.brim()) / as_litres(shape.brim()) - 8.0).abs() < 1e-12);
        for depth in depths(&shape).into_iter().skip(1) {
            let ratio = as_litres(large.volume_at(depth * 2.0).unwrap()) / as_litres(shape.volume_at(depth).unwrap());
            assert!((ratio - 8.0).abs() < 1e-9, "{shape:?}: {ratio}");
        }
    }
}

#[test]
fn a_shape_comes_back_from_its_figures_bit_for_bit() {
    for shape in Shape::samples() {
        assert_eq!(scaled(&shape, 1.0), Ok(shape));
    }
}

#[test]
fn the_outline_stands_on_the_floor_and_reaches_the_rim() {
    for shape in Shape::samples() {
        let outline = shape.outline();
        assert!(outline.len() >= 3 && outline.iter().all(|point| point.0.is_finite() && point.1.is_finite()));
        let (low, high) = outline.iter().fold((f64::MAX, f64::MIN), |(low, high), p| (low.min(p.1), high.max(p.1)));
        let left = outline.iter().fold(f64::MAX, |left, point| left.min(point.0));
        assert!(low.abs() < 1e-12 && left.abs() < 1e-12, "{shape:?}: {outline:?}");
        if let Some(height) = shape.height() {
            assert!((high - as_metres(height)).abs() < 1e-12);
        }
    }
}

#[test]
fn a_hair_of_rounding_is_forgiven_and_no_more() {
    for shape in Shape::samples() {
        let Some(height) = shape.height() else { continue };
        let hair = metres(9e-10);
        assert_eq!(shape.volume_at(height + hair), Ok(shape.brim()));
        assert_eq!(shape.volume_at(metres(0.0) - hair), Ok(Volume::default()));
        assert!(matches!(shape.volume_at(height + metres(1e-6)), Err(ShapeError::Depth { .. })));
        assert!(matches!(shape.volume_at(metres(-1e-6)), Err(ShapeError::Depth { .. })));
        assert!(matches!(shape.depth_of(shape.brim() * 1.000_001), Err(ShapeError::Volume { .. })));
        assert!(shape.depth_of(shape.brim() * (1.0 + 1e-10)).is_ok());
    }
}

#[test]
fn a_vessel_without_depth_says_so() {
    for shape in Shape::samples().into_iter().filter(|shape| shape.height().is_none()) {
        let refused = ShapeError::NoDepth { kind: shape.kind() };
        assert_eq!(shape.volume_at(metres(0.1)), Err(refused));
        assert_eq!(shape.surface_at(metres(0.1)), Err(refused));
        assert_eq!(shape.depth_of(litres(1.0)), Err(refused));
    }
}

#[test]
fn strange_depths_and_volumes_are_errors() {
    for shape in Shape::samples() {
        for value in STRANGE {
            let depth = shape.volume_at(metres(value)).map(as_litres);
            let surface = shape.surface_at(metres(value)).map(as_square_metres);
            let volume = shape.depth_of(litres(value)).map(as_metres);
            for answer in [depth, surface, volume].into_iter().flatten() {
                assert!(value.abs() <= f64::MIN_POSITIVE && answer.is_finite());
            }
        }
    }
}

#[test]
fn every_figure_is_asked_for_and_checked() {
    for shape in Shape::samples() {
        let (kind, figures) = (shape.kind(), shape.dimensions());
        for dimension in kind.dimensions() {
            let with = |value: Option<f64>| {
                let get = |key: &str| {
                    if key == dimension.key { value } else { Some(figures.iter().find(|figure| figure.0 == key)?.1) }
                };
                Shape::from_dimensions(kind, get, &[])
            };
            let name = dimension.measure.name;
            assert_eq!(with(None), Err(ShapeError::Missing { key: dimension.key, name }));
            let least = if dimension.measure.min > 0.0 { 0.0 } else { -0.001 };
            for value in [f64::NAN, f64::INFINITY, -1.0, least, dimension.measure.max * 1.01] {
                let refused = with(Some(value));
                assert!(
                    matches!(refused, Err(ShapeError::OutOfRange { key, .. }) if key == dimension.key),
                    "{refused:?}"
                );
            }
        }
    }
}

#[test]
fn a_bad_table_is_named_by_its_row() {
    let make = |rows: &[(f64, f64)]| Shape::from_dimensions(Kind::Table, |_| None, rows).unwrap_err();
    assert_eq!(make(&[]), ShapeError::TableTooShort);
    assert_eq!(make(&[(0.0, 0.0)]), ShapeError::TableTooShort);
    assert_eq!(make(&[(0.0, 5.0), (1.0, 9.0)]), ShapeError::TableFloor { row: 1, litres: 5.0 });
    let goes_down = ShapeError::TableNotRising { row: 3, depth: 1.0, litres: 90.0 };
    assert_eq!(make(&[(0.0, 0.0), (0.5, 100.0), (1.0, 90.0)]), goes_down);
    let flat = ShapeError::TableNotRising { row: 2, depth: 0.5, litres: 100.0 };
    assert_eq!(make(&[(0.4, 100.0), (0.5, 100.0)]), flat);
    assert_eq!(make(&[(0.4, 0.0)]), ShapeError::TableNotRising { row: 1, depth: 0.4, litres: 0.0 });
    for value in [f64::NAN, f64::INFINITY, -1.0, 1e9] {
        assert!(matches!(make(&[(0.5, 10.0), (value, 20.0)]), ShapeError::TableOutOfRange { row: 2, .. }));
        assert!(matches!(make(&[(0.5, 10.0), (0.6, value)]), ShapeError::TableOutOfRange { row: 2, .. }));
    }
    let refused = Shape::from_dimensions(Kind::Heater, |_| Some(100.0), &[(1.0, 2.0)]);
    assert_eq!(refused, Err(ShapeError::NoTable { kind: Kind::Heater }));
}

#[test]
fn a_vessel_larger_than_any_is_refused() {
    let refused = Shape::from_dimensions(Kind::Box, |_| Some(30.0), &[]).unwrap_err();
    assert_eq!(refused.to_string(), "these figures make a vessel for 27000000 L; allowed is at most 10000000 L");
}

proptest! {
    #[test]
    fn depth_comes_back_from_volume((shape, depth) in any_depth()) {
        let volume = shape.volume_at(metres(depth)).unwrap();
        prop_assert!(volume >= Volume::default() && volume <= shape.brim());
        let back = as_metres(shape.depth_of(volume).unwrap());
        // The depth itself to a nanometre, or as near as one rounding of the volume lets it be told.
        let again = shape.volume_at(metres(back)).unwrap();
        let same_water = (again - volume).abs() <= shape.brim() * 4.0 * f64::EPSILON;
        prop_assert!((back - depth).abs() < 1e-9 || same_water, "{shape:?} {depth} {back}");
    }

    #[test]
    fn volume_comes_back_from_depth((shape, part) in (any_shape(), 0.0..=1.0)) {
        prop_assume!(shape.height().is_some());
        let volume = shape.brim() * part;
        let again = shape.volume_at(shape.depth_of(volume).unwrap()).unwrap();
        prop_assert!((again - volume).abs() <= shape.brim() * 1e-9, "{shape:?} {part}");
    }

    #[test]
    fn deeper_never_holds_less((shape, depth) in any_depth(), part in 0.0..=1.0) {
        let (less, more) = (shape.volume_at(metres(depth * part)), shape.volume_at(metres(depth)));
        prop_assert!(less.unwrap() <= more.unwrap() + shape.brim() * f64::EPSILON);
    }

    #[test]
    fn any_figures_are_a_shape_or_an_error(
        kind in prop::sample::select(&Kind::ALL[..]), figures in prop::array::uniform5(prop::num::f64::ANY),
        rows in prop::collection::vec((prop::num::f64::ANY, prop::num::f64::ANY), 0..4), depth in prop::num::f64::ANY
    ) {
        let place = |key: &str| kind.dimensions().iter().position(|dimension| dimension.key == key);
        let get = |key: &str| figures.get(place(key)?).copied();
        if let Ok(shape) = Shape::from_dimensions(kind, get, &rows) {
            prop_assert!(as_litres(shape.brim()).is_finite() && shape.brim() > Volume::default());
            if let Ok(volume) = shape.volume_at(metres(depth)) {
                prop_assert!(as_litres(volume).is_finite());
            }
        }
    }
}
