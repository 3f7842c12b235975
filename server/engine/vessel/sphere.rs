//! A sphere.

use core::f64::consts::PI;

use super::Shape;
use super::ShapeError;
use super::form::Deep;
use super::form::Dimension;
use super::form::Form;
use super::form::Given;
use super::form::Sample;
use super::form::Sheet;
use super::form::not_too_large;
use crate::quantity::Area;
use crate::quantity::DIMENSION;
use crate::quantity::HEIGHT;
use crate::quantity::Length;
use crate::quantity::Measure;
use crate::quantity::Volume;
use crate::quantity::as_metres;
use crate::quantity::cubic_metres;
use crate::quantity::square_metres;

const DIAMETER: Dimension = Dimension {
    key: "diameter_m",
    label: "Diameter",
    hint: "Inside, from the lowest point to the highest.",
    symbol: "D",
    measure: &Measure { name: "diameter", min: DIMENSION.min, ..HEIGHT },
};

pub(super) static SHEET: Sheet = Sheet {
    key: "sphere",
    name: "Sphere",
    dimensions: &[DIAMETER],
    make: |given: &Given| Sphere::new(given.length(&DIAMETER)?).map(Shape::Sphere).and_then(not_too_large),
    samples: &[Sample { figures: &[2.4], table: &[] }],
};

/// A sphere.
///
/// | | |
/// |---|---|
/// | volume | π h² (R − h/3), the cap of a sphere; above the middle the air's cap is taken off |
/// | D, R | inside diameter, 0.01 to 30 m, and its half |
/// | h | depth over the lowest point, 0 to D |
/// | error | none for a true sphere |
/// | source | Archimedes, On the Sphere and Cylinder II.2 |
///
/// ```
/// use keepwell_engine::quantity::{as_litres, metres};
/// use keepwell_engine::vessel::{Shape, Sphere};
/// // ENG-019: 0.536165146 m³ at 0.4 m, by integration.
/// let tank = Shape::Sphere(Sphere::new(metres(2.4))?);
/// assert!((as_litres(tank.volume_at(metres(0.4))?) - 536.165146).abs() < 1e-6);
/// # Ok::<(), keepwell_engine::vessel::ShapeError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sphere {
    diameter: Length,
}

impl Sphere {
    /// From its inside diameter.
    ///
    /// # Errors
    /// [`ShapeError`] for a diameter out of range.
    pub fn new(diameter: Length) -> Result<Self, ShapeError> {
        Ok(Self { diameter: DIAMETER.check_length(diameter)? })
    }

    fn radius(&self) -> f64 {
        as_metres(self.diameter) / 2.0
    }

    fn cap(&self, depth: f64) -> Volume {
        cubic_metres(PI * depth * depth * (self.radius() - depth / 3.0))
    }
}

impl Form for Sphere {
    fn figures(&self) -> Vec<f64> {
        vec![as_metres(self.diameter)]
    }

    fn brim(&self) -> Volume {
        cubic_metres(4.0 / 3.0 * PI * self.radius().powi(3))
    }

    fn outline(&self) -> Vec<(f64, f64)> {
        const STEPS: u32 = 72;
        let radius = self.radius();
        (0..STEPS)
            .map(|step| {
                let (sine, cosine) = (f64::from(step) / f64::from(STEPS) * 2.0 * PI).sin_cos();
                (radius + radius * sine, radius - radius * cosine)
            })
            .collect()
    }

    fn deep(&self) -> Option<&dyn Deep> {
        Some(self)
    }

    fn formula(&self) -> &'static str {
        "V(h) = π · h² · (R − h/3), R = D/2"
    }

    fn source(&self) -> &'static str {
        "Geometry: the cap of a sphere, Archimedes, On the Sphere and Cylinder II.2"
    }
}

impl Deep for Sphere {
    fn height(&self) -> Length {
        self.diameter
    }

    fn volume_at(&self, depth: Length) -> Volume {
        let depth = as_metres(depth);
        if depth <= self.radius() { self.cap(depth) } else { self.brim() - self.cap(as_metres(self.diameter) - depth) }
    }

    fn surface_at(&self, depth: Length) -> Area {
        let depth = as_metres(depth);
        square_metres(PI * depth * (as_metres(self.diameter) - depth))
    }
}
