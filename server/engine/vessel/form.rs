//! What every shape says about itself.

use super::Shape;
use super::ShapeError;
use crate::numeric;
use crate::quantity::Area;
use crate::quantity::Length;
use crate::quantity::Measure;
use crate::quantity::Unit;
use crate::quantity::VOLUME;
use crate::quantity::Volume;
use crate::quantity::as_litres;
use crate::quantity::as_metres;
use crate::quantity::metres;

/// How closely a depth is searched for, either way.
const DEPTH_TOLERANCE_METRES: f64 = 1e-13;

/// A figure that has to be known of a vessel: forms, file columns and checks are made from it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dimension {
    /// the name it is stored under, unit included
    pub key: &'static str,
    /// what a person calls it
    pub label: &'static str,
    /// how to measure it
    pub hint: &'static str,
    /// its letter in the formula
    pub symbol: &'static str,
    /// its unit and range
    pub measure: &'static Measure,
}

impl Dimension {
    /// The value, if it is allowed.
    pub(super) fn check(&'static self, value: f64) -> Result<f64, ShapeError> {
        let value = self.measure.check(value).map_err(|error| ShapeError::OutOfRange { key: self.key, error })?;
        if self.measure.unit == Unit::Count && value.fract() != 0.0 {
            return Err(ShapeError::NotWhole { key: self.key, name: self.measure.name, value });
        }
        Ok(value)
    }

    /// The length, if it is allowed.
    pub(super) fn check_length(&'static self, length: Length) -> Result<Length, ShapeError> {
        self.check(as_metres(length)).map(metres)
    }
}

/// A kind of vessel as data.
pub(super) struct Sheet {
    pub key: &'static str,
    pub name: &'static str,
    pub dimensions: &'static [Dimension],
    pub make: fn(&Given) -> Result<Shape, ShapeError>,
    pub samples: &'static [Sample],
}

/// The figures of one vessel, in the order of the kind's dimensions.
pub(super) struct Sample {
    pub figures: &'static [f64],
    pub table: &'static [(f64, f64)],
}

/// What a person gave: figures by key, and rows.
pub(super) struct Given<'a> {
    pub get: &'a dyn Fn(&str) -> Option<f64>,
    pub table: &'a [(f64, f64)],
}

impl Given<'_> {
    /// The figure, as given.
    pub fn figure(&self, dimension: &'static Dimension) -> Result<f64, ShapeError> {
        let missing = ShapeError::Missing { key: dimension.key, name: dimension.measure.name };
        (self.get)(dimension.key).ok_or(missing)
    }

    /// The figure as a length.
    pub fn length(&self, dimension: &'static Dimension) -> Result<Length, ShapeError> {
        self.figure(dimension).map(metres)
    }
}

/// A vessel's shape.
pub(super) trait Form {
    /// Its figures, in the order of the kind's dimensions, as they were given.
    fn figures(&self) -> Vec<f64>;
    /// All it holds.
    fn brim(&self) -> Volume;
    /// The section, for drawing.
    fn outline(&self) -> Vec<(f64, f64)>;
    /// Its depth, if one is read.
    fn deep(&self) -> Option<&dyn Deep>;
    /// What its volumes are reckoned by.
    fn formula(&self) -> &'static str;
    /// Where that comes from.
    fn source(&self) -> &'static str;
}

/// A shape in which a depth is read. Depths arrive between 0 and the height, volumes between 0 and the brim.
pub(super) trait Deep {
    /// From the lowest inside point to the rim.
    fn height(&self) -> Length;
    /// What it holds at a depth.
    fn volume_at(&self, depth: Length) -> Volume;
    /// The free surface at a depth.
    fn surface_at(&self, depth: Length) -> Area;
    /// The most the volume can be wrong by the shape itself.
    fn doubt_at(&self, _depth: Length) -> Volume {
        Volume::default()
    }
    /// The depth of a volume; searched for unless the shape knows better.
    fn depth_of(&self, volume: Volume) -> Result<Length, ShapeError> {
        search(self, volume, as_metres(self.height()))
    }
}

/// The depth of `volume`, which stands no higher than `high`.
pub(super) fn search(shape: &(impl Deep + ?Sized), volume: Volume, high: f64) -> Result<Length, ShapeError> {
    let over = |depth: f64| (shape.volume_at(metres(depth)) - volume).value;
    let found = numeric::root(over, 0.0, high, DEPTH_TOLERANCE_METRES)?;
    Ok(metres(found.middle()))
}

/// The shape, if it is not larger than any vessel may be.
pub(super) fn not_too_large(shape: Shape) -> Result<Shape, ShapeError> {
    let litres = as_litres(shape.brim());
    match VOLUME.check(litres) {
        Ok(_) => Ok(shape),
        Err(_) => Err(ShapeError::TooLarge { litres, max: VOLUME.max }),
    }
}

/// A rectangle standing on the floor.
pub(super) fn rectangle(width: f64, height: f64) -> Vec<(f64, f64)> {
    vec![(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)]
}

/// Half a section, distances from the axis and heights from the floor up, turned about its axis.
pub(super) fn turned(half: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let widest = half.iter().fold(0.0, |widest: f64, point| widest.max(point.0));
    let left = half.iter().rev().map(|(across, up)| (widest - across, *up));
    half.iter().map(|(across, up)| (widest + across, *up)).chain(left).collect()
}
