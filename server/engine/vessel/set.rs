//! A number of identical containers, counted rather than dipped.

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
use crate::quantity::CONTAINERS;
use crate::quantity::Volume;
use crate::quantity::litres;

/// Height of a hand-carried container in widths; common practice, no source.
const CONTAINER_TALL: f64 = 1.6;

static COUNT: Dimension = DIMENSIONS[0];
static EACH: Dimension = DIMENSIONS[1];
const DIMENSIONS: &[Dimension] = &[
    Dimension { key: "count", label: "How many", hint: "Containers of this size.", symbol: "n", measure: &CONTAINERS },
    Dimension {
        key: "litres_each",
        label: "Litres each",
        hint: "What one holds when full.",
        symbol: "v",
        measure: &CONTAINER,
    },
];

pub(super) static SHEET: Sheet = Sheet {
    key: "set",
    name: "Set of containers",
    dimensions: DIMENSIONS,
    make: |given: &Given| Set::new(given.figure(&COUNT)?, given.figure(&EACH)?).map(Shape::Set).and_then(not_too_large),
    samples: &[Sample { figures: &[24.0, 20.0], table: &[] }, Sample { figures: &[48.0, 1.5], table: &[] }],
};

/// A number of identical containers. No depth is read: they are counted, full, part and empty.
///
/// | | |
/// |---|---|
/// | volume | n v |
/// | n | how many, 1 to 100,000 |
/// | v | litres each, 0.1 to 5,000 |
/// | error | a container's printed volume; makers leave some air above it |
/// | source | counting |
///
/// ```
/// use keepwell_engine::quantity::as_litres;
/// use keepwell_engine::vessel::{Set, Shape};
/// // Twenty-four cans of 20 L: 480 L, by counting.
/// assert!((as_litres(Shape::Set(Set::new(24.0, 20.0)?).brim()) - 480.0).abs() < 1e-9);
/// assert_eq!(Set::new(2.5, 20.0).unwrap_err().to_string(), "number of containers is 2.5; allowed are whole numbers");
/// # Ok::<(), keepwell_engine::vessel::ShapeError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Set {
    count: f64,
    litres_each: f64,
}

impl Set {
    /// So many containers of so many litres.
    ///
    /// # Errors
    /// [`ShapeError`] for a figure out of range, or a part of a container.
    pub fn new(count: f64, litres_each: f64) -> Result<Self, ShapeError> {
        Ok(Self { count: COUNT.check(count)?, litres_each: EACH.check(litres_each)? })
    }

    /// How many there are.
    #[must_use]
    pub const fn count(&self) -> f64 {
        self.count
    }

    /// What one holds.
    #[must_use]
    pub fn each(&self) -> Volume {
        litres(self.litres_each)
    }
}

impl Form for Set {
    fn figures(&self) -> Vec<f64> {
        vec![self.count, self.litres_each]
    }

    fn brim(&self) -> Volume {
        litres(self.count * self.litres_each)
    }

    fn outline(&self) -> Vec<(f64, f64)> {
        let width = (self.each().value / CONTAINER_TALL).cbrt();
        rectangle(width, width * CONTAINER_TALL)
    }

    fn deep(&self) -> Option<&dyn Deep> {
        None
    }

    fn formula(&self) -> &'static str {
        "V = n · v"
    }

    fn source(&self) -> &'static str {
        "Counting"
    }
}
