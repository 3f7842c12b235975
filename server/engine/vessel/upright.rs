//! A cylinder standing on its flat bottom.

use core::f64::consts::FRAC_PI_4;

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

static DIAMETER: Dimension = DIMENSIONS[0];
static TALL: Dimension = DIMENSIONS[1];
const DIMENSIONS: &[Dimension] = &[
    Dimension {
        key: "diameter_m",
        label: "Diameter",
        hint: "Inside, from wall to wall through the middle.",
        symbol: "D",
        measure: &Measure { name: "diameter", ..DIMENSION },
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
    key: "upright_cylinder",
    name: "Upright cylinder",
    dimensions: DIMENSIONS,
    make: |given: &Given| {
        Upright::new(given.length(&DIAMETER)?, given.length(&TALL)?).map(Shape::Upright).and_then(not_too_large)
    },
    samples: &[
        Sample { figures: &[1.2, 2.0], table: &[] },
        Sample { figures: &[0.5715, 0.8509], table: &[] },
        Sample { figures: &[12.0, 3.5], table: &[] },
    ],
};

/// A cylinder standing on its flat bottom.
///
/// | | |
/// |---|---|
/// | volume | π/4 D² h |
/// | D | inside diameter, 0.01 to 100 m |
/// | h | depth over the floor, 0 to the height, at most 30 m |
/// | error | none for a true cylinder; a floor out of level moves a reading at the wall by R tan θ |
/// | source | Euclid, Elements XII.10 and Archimedes, Measurement of a Circle |
///
/// ```
/// use keepwell_engine::quantity::{as_litres, metres};
/// use keepwell_engine::vessel::{Shape, Upright};
/// // ENG-001: fluids 1.3.1 TANK gives 0.68595525 m³.
/// let tank = Shape::Upright(Upright::new(metres(2.413), metres(2.3))?);
/// assert!((as_litres(tank.volume_at(metres(0.15))?) - 685.95525).abs() < 1e-3);
/// # Ok::<(), keepwell_engine::vessel::ShapeError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Upright {
    diameter: Length,
    height: Length,
}

impl Upright {
    /// From its inside measures.
    ///
    /// # Errors
    /// [`ShapeError`] for a measure out of range.
    pub fn new(diameter: Length, height: Length) -> Result<Self, ShapeError> {
        Ok(Self { diameter: DIAMETER.check_length(diameter)?, height: TALL.check_length(height)? })
    }

    fn floor(&self) -> Area {
        self.diameter * self.diameter * FRAC_PI_4
    }
}

impl Form for Upright {
    fn figures(&self) -> Vec<f64> {
        vec![as_metres(self.diameter), as_metres(self.height)]
    }

    fn brim(&self) -> Volume {
        self.volume_at(self.height)
    }

    fn outline(&self) -> Vec<(f64, f64)> {
        rectangle(as_metres(self.diameter), as_metres(self.height))
    }

    fn deep(&self) -> Option<&dyn Deep> {
        Some(self)
    }

    fn formula(&self) -> &'static str {
        "V(h) = π/4 · D² · h"
    }

    fn source(&self) -> &'static str {
        "Geometry of the cylinder: Euclid, Elements XII.10"
    }
}

impl Deep for Upright {
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
