//! A box with upright walls and a flat floor.

use super::Shape;
use super::ShapeError;
use super::form::Deep;
use super::form::Dimension;
use super::form::Form;
use super::form::Given;
use super::form::Sample;
use super::form::Sheet;
use super::form::not_too_large;
use super::form::rectangle;
use crate::quantity::Area;
use crate::quantity::DIMENSION;
use crate::quantity::HEIGHT;
use crate::quantity::Length;
use crate::quantity::Measure;
use crate::quantity::Volume;
use crate::quantity::as_metres;

static LONG: Dimension = DIMENSIONS[0];
static WIDE: Dimension = DIMENSIONS[1];
static TALL: Dimension = DIMENSIONS[2];
const DIMENSIONS: &[Dimension] = &[
    Dimension {
        key: "length_m",
        label: "Length",
        hint: "Inside, along the longer wall.",
        symbol: "L",
        measure: &Measure { name: "length", ..DIMENSION },
    },
    Dimension {
        key: "width_m",
        label: "Width",
        hint: "Inside, along the shorter wall.",
        symbol: "W",
        measure: &Measure { name: "width", ..DIMENSION },
    },
    Dimension {
        key: "height_m",
        label: "Height",
        hint: "Inside, from the floor to the rim or the overflow.",
        symbol: "H",
        measure: &Measure { name: "height", min: DIMENSION.min, ..HEIGHT },
    },
];

pub(super) static SHEET: Sheet = Sheet {
    key: "box",
    name: "Box",
    dimensions: DIMENSIONS,
    make: |given: &Given| {
        let cuboid = Cuboid::new(given.length(&LONG)?, given.length(&WIDE)?, given.length(&TALL)?)?;
        not_too_large(Shape::Box(cuboid))
    },
    samples: &[Sample { figures: &[3.0, 1.8, 1.5], table: &[] }, Sample { figures: &[1.14, 0.94, 1.02], table: &[] }],
};

/// A box with upright walls and a flat floor.
///
/// | | |
/// |---|---|
/// | volume | L W h |
/// | L, W | inside length and width, 0.01 to 100 m |
/// | h | depth over the floor, 0 to the height, at most 30 m |
/// | error | rounded edges hold less: a moulded tote of 1.14 × 0.94 × 1.02 m about 1.7 % |
/// | source | Euclid, Elements XI.32 |
///
/// ```
/// use keepwell_engine::quantity::{as_litres, metres};
/// use keepwell_engine::vessel::{Cuboid, Shape};
/// // ENG-021: 1.89 m³ at 0.35 m, closed form.
/// let tank = Shape::Box(Cuboid::new(metres(3.0), metres(1.8), metres(1.5))?);
/// assert!((as_litres(tank.volume_at(metres(0.35))?) - 1890.0).abs() < 1e-3);
/// # Ok::<(), keepwell_engine::vessel::ShapeError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cuboid {
    length: Length,
    width: Length,
    height: Length,
}

impl Cuboid {
    /// From its inside measures.
    ///
    /// # Errors
    /// [`ShapeError`] for a measure out of range.
    pub fn new(length: Length, width: Length, height: Length) -> Result<Self, ShapeError> {
        Ok(Self {
            length: LONG.check_length(length)?,
            width: WIDE.check_length(width)?,
            height: TALL.check_length(height)?,
        })
    }

    fn floor(&self) -> Area {
        self.length * self.width
    }
}

impl Form for Cuboid {
    fn figures(&self) -> Vec<f64> {
        vec![as_metres(self.length), as_metres(self.width), as_metres(self.height)]
    }

    fn brim(&self) -> Volume {
        self.volume_at(self.height)
    }

    fn outline(&self) -> Vec<(f64, f64)> {
        rectangle(as_metres(self.length), as_metres(self.height))
    }

    fn deep(&self) -> Option<&dyn Deep> {
        Some(self)
    }

    fn formula(&self) -> &'static str {
        "V(h) = L · W · h"
    }

    fn source(&self) -> &'static str {
        "Geometry of the box: Euclid, Elements XI.32"
    }
}

impl Deep for Cuboid {
    fn height(&self) -> Length {
        self.height
    }

    fn volume_at(&self, depth: Length) -> Volume {
        self.floor() * depth
    }

    fn surface_at(&self, _depth: Length) -> Area {
        self.floor()
    }

    fn depth_of(&self, volume: Volume) -> Result<Length, ShapeError> {
        Ok((volume / self.floor()).min(self.height))
    }
}
