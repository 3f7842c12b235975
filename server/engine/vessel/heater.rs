//! A water heater's tank, of which only the litres are known.

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
use crate::quantity::CONTAINER;
use crate::quantity::Measure;
use crate::quantity::Volume;
use crate::quantity::litres;

/// Height of a heater's tank in diameters; common practice, no source.
const HEATER_TALL: f64 = 2.5;

static LITRES: Dimension = DIMENSIONS[0];
const DIMENSIONS: &[Dimension] = &[Dimension {
    key: "litres",
    label: "Litres",
    hint: "From the heater's own plate.",
    symbol: "V",
    measure: &Measure { name: "litres", ..CONTAINER },
}];

pub(super) static SHEET: Sheet = Sheet {
    key: "heater_tank",
    name: "Water heater",
    dimensions: DIMENSIONS,
    make: |given: &Given| Heater::new(given.figure(&LITRES)?).map(Shape::Heater).and_then(not_too_large),
    samples: &[Sample { figures: &[150.0], table: &[] }, Sample { figures: &[300.0], table: &[] }],
};

/// A water heater's tank: full as long as the mains stands, drained by its cock when it does not.
///
/// Power or gas off first, let it cool, isolate it, open a hot tap for air, then drain at the cock.
///
/// | | |
/// |---|---|
/// | volume | as printed on its plate, 0.1 to 5,000 L |
/// | error | the plate's; some water may stay under the cock, which is not counted off |
/// | source | the plate |
///
/// ```
/// use keepwell_engine::quantity::as_litres;
/// use keepwell_engine::vessel::{Heater, Shape};
/// assert!((as_litres(Shape::Heater(Heater::new(150.0)?).brim()) - 150.0).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::vessel::ShapeError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heater {
    litres: f64,
}

impl Heater {
    /// A heater for so many litres.
    ///
    /// # Errors
    /// [`ShapeError`] for a figure out of range.
    pub fn new(litres: f64) -> Result<Self, ShapeError> {
        Ok(Self { litres: LITRES.check(litres)? })
    }
}

impl Form for Heater {
    fn figures(&self) -> Vec<f64> {
        vec![self.litres]
    }

    fn brim(&self) -> Volume {
        litres(self.litres)
    }

    fn outline(&self) -> Vec<(f64, f64)> {
        let width = (self.brim().value / (FRAC_PI_4 * HEATER_TALL)).cbrt();
        rectangle(width, width * HEATER_TALL)
    }

    fn deep(&self) -> Option<&dyn Deep> {
        None
    }

    fn formula(&self) -> &'static str {
        "V, as printed on the plate"
    }

    fn source(&self) -> &'static str {
        "The heater's plate"
    }
}
