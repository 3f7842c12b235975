//! A cylinder lying on its side, with flat ends.

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
static LONG: Dimension = DIMENSIONS[1];
const DIMENSIONS: &[Dimension] = &[
    Dimension {
        key: "diameter_m",
        label: "Diameter",
        hint: "Inside, from the lowest point to the highest.",
        symbol: "D",
        measure: &Measure { name: "diameter", min: DIMENSION.min, ..HEIGHT },
    },
    Dimension {
        key: "length_m",
        label: "Length",
        hint: "Inside, from end to end.",
        symbol: "L",
        measure: &Measure { name: "length", ..DIMENSION },
    },
];

pub(super) static SHEET: Sheet = Sheet {
    key: "horizontal_cylinder",
    name: "Lying cylinder",
    dimensions: DIMENSIONS,
    make: |given: &Given| {
        Lying::new(given.length(&DIAMETER)?, given.length(&LONG)?).map(Shape::Lying).and_then(not_too_large)
    },
    samples: &[
        Sample { figures: &[1.2, 2.4], table: &[] },
        Sample { figures: &[0.4, 6.0], table: &[] },
        Sample { figures: &[3.0, 12.0], table: &[] },
    ],
};

/// A cylinder lying on its side, with flat ends.
///
/// | | |
/// |---|---|
/// | volume | L R²/2 (θ − sin θ), where sin²(θ/4) = h/D: the segment of a circle times the length |
/// | D, R | inside diameter, 0.01 to 30 m, and its half |
/// | L | inside length, 0.01 to 100 m |
/// | h | depth over the lowest point, 0 to D |
/// | error | none for flat ends; dished or round ends hold 10 to 33 % more |
/// | source | area of a circular segment, any table of plane figures |
///
/// Above the middle the air is reckoned instead, and for thin segments θ − sin θ is a series, so that the last
/// litre is as exact as the first.
///
/// ```
/// use keepwell_engine::quantity::{as_litres, metres};
/// use keepwell_engine::vessel::{Lying, Shape};
/// // ENG-012: fluids 1.3.1 TANK gives 2.67563782 m³.
/// let tank = Shape::Lying(Lying::new(metres(1.2), metres(2.4))?);
/// assert!((as_litres(tank.volume_at(metres(1.15))?) - 2675.63782).abs() < 3e-3);
/// # Ok::<(), keepwell_engine::vessel::ShapeError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lying {
    diameter: Length,
    length: Length,
}

impl Lying {
    /// From its inside measures.
    ///
    /// # Errors
    /// [`ShapeError`] for a measure out of range.
    pub fn new(diameter: Length, length: Length) -> Result<Self, ShapeError> {
        Ok(Self { diameter: DIAMETER.check_length(diameter)?, length: LONG.check_length(length)? })
    }

    /// What lies in the segment up to `depth`, at most half of the cylinder.
    fn segment(&self, depth: Length) -> Volume {
        let angle = 4.0 * (depth / self.diameter).value.sqrt().min(1.0).asin();
        let area: Area = self.diameter * self.diameter * (less_its_sine(angle) / 8.0);
        area * self.length
    }
}

impl Form for Lying {
    fn figures(&self) -> Vec<f64> {
        vec![as_metres(self.diameter), as_metres(self.length)]
    }

    fn brim(&self) -> Volume {
        self.diameter * self.diameter * FRAC_PI_4 * self.length
    }

    fn outline(&self) -> Vec<(f64, f64)> {
        rectangle(as_metres(self.length), as_metres(self.diameter))
    }

    fn deep(&self) -> Option<&dyn Deep> {
        Some(self)
    }

    fn formula(&self) -> &'static str {
        "V(h) = L · [R² · acos((R − h)/R) − (R − h) · √(2Rh − h²)], R = D/2"
    }

    fn source(&self) -> &'static str {
        "Geometry: the segment of a circle times the length"
    }
}

impl Deep for Lying {
    fn height(&self) -> Length {
        self.diameter
    }

    fn volume_at(&self, depth: Length) -> Volume {
        if depth * 2.0 <= self.diameter {
            self.segment(depth)
        } else {
            self.brim() - self.segment(self.diameter - depth)
        }
    }

    fn surface_at(&self, depth: Length) -> Area {
        let half: Length = (depth * (self.diameter - depth)).sqrt();
        half * 2.0 * self.length
    }
}

/// θ − sin θ without losing the small difference of two equal numbers.
fn less_its_sine(angle: f64) -> f64 {
    if angle > 1.0 {
        return angle - angle.sin();
    }
    // θ³/3! − θ⁵/5! + θ⁷/7! …: eight terms leave less than 1/19! of the first, far below the last digit.
    let square = angle * angle;
    let inner = (1..8).rev().fold(1.0, |sum, term| {
        let n = f64::from(2 * term + 2);
        1.0 - sum * square / (n * (n + 1.0))
    });
    angle * square / 6.0 * inner
}
