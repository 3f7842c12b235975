//! A vessel of any shape that its owner measured: a strapping table of depths and litres.

use core::f64::consts::PI;

use super::Shape;
use super::ShapeError;
use super::form::Deep;
use super::form::Form;
use super::form::Given;
use super::form::Sample;
use super::form::Sheet;
use crate::numeric::NumericError;
use crate::numeric::Rising;
use crate::quantity::Area;
use crate::quantity::DEPTH;
use crate::quantity::Length;
use crate::quantity::VOLUME;
use crate::quantity::Volume;
use crate::quantity::as_litres;
use crate::quantity::as_metres;
use crate::quantity::litres;
use crate::quantity::metres;

pub(super) static SHEET: Sheet = Sheet {
    key: "table",
    name: "Own depth-to-litres table",
    dimensions: &[],
    make: |given: &Given| Table::new(given.table).map(Shape::Table),
    samples: &[
        Sample { figures: &[], table: &[(0.0, 0.0), (0.25, 120.0), (0.5, 310.0), (1.0, 820.0), (1.25, 990.0)] },
        Sample { figures: &[], table: &[(0.5, 400.0), (1.0, 500.0)] },
    ],
};

/// A vessel of any shape that its owner measured: depths over the lowest inside point, and the litres there.
///
/// Between two rows a straight line. An empty vessel holds nothing: the row 0 m, 0 L is understood where the table
/// starts higher. The last row is the brim.
///
/// | | |
/// |---|---|
/// | volume | V₀ + (V₁ − V₀)(h − h₀)/(h₁ − h₀) between neighbouring rows |
/// | h | 0 to the last row, at most 30 m |
/// | V | 0 to 10,000,000 L |
/// | error | between rows at most the larger part of the rise from row to row: `Shape::doubt_at` |
/// | source | the owner's own measuring |
///
/// ```
/// use keepwell_engine::quantity::{as_litres, metres};
/// use keepwell_engine::vessel::{Shape, Table};
/// // A 48 in tank's chart at 7.83 US gal an inch, 1.167 L a mm: half way between rows, by hand.
/// let tank = Shape::Table(Table::new(&[(0.0, 0.0), (0.5, 583.5), (1.0, 1167.0)])?);
/// assert!((as_litres(tank.volume_at(metres(0.75))?) - 875.25).abs() < 1e-9);
/// let error = Table::new(&[(0.5, 583.5), (1.0, 500.0)]).unwrap_err();
/// assert_eq!(error.to_string(), "row 2 of the table: 1 m, 500 L; both must be more than in the row before");
/// # Ok::<(), keepwell_engine::vessel::ShapeError>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    line: Rising,
    /// the rows as they were given, without the one that is understood
    given: usize,
}

impl Table {
    /// From rows of metres and litres, lowest first.
    ///
    /// # Errors
    /// [`ShapeError`] names the first row that is out of range, no number, or does not rise.
    pub fn new(rows: &[(f64, f64)]) -> Result<Self, ShapeError> {
        for (index, &(depth, volume)) in rows.iter().enumerate() {
            let row = index + 1;
            let checked = DEPTH.check(depth).and_then(|_| VOLUME.check(volume));
            checked.map_err(|error| ShapeError::TableOutOfRange { row, error })?;
            if depth == 0.0 && volume != 0.0 {
                return Err(ShapeError::TableFloor { row, litres: volume });
            }
        }
        let understood = usize::from(rows.first().is_some_and(|row| row.0 > 0.0));
        let points: Vec<_> = [(0.0, 0.0)].into_iter().take(understood).chain(rows.iter().copied()).collect();
        let line = Rising::new(points).map_err(|error| match error {
            NumericError::NotRising(point) => {
                let index = point - understood;
                let (depth, litres) = rows.get(index).copied().unwrap_or_default();
                ShapeError::TableNotRising { row: index + 1, depth, litres }
            }
            NumericError::TooFewPoints(_) => ShapeError::TableTooShort,
            other => ShapeError::Numeric(other),
        })?;
        Ok(Self { line, given: rows.len() })
    }

    /// The rows as given: metres and litres.
    #[must_use]
    pub fn rows(&self) -> &[(f64, f64)] {
        let points = self.line.points();
        &points[points.len() - self.given..]
    }

    fn top(&self) -> (f64, f64) {
        self.line.points().last().copied().unwrap_or_default()
    }
}

impl Form for Table {
    fn figures(&self) -> Vec<f64> {
        Vec::new()
    }

    fn brim(&self) -> Volume {
        litres(self.top().1)
    }

    /// As if it were round: the width at a row is the diameter of the mean surface about it.
    fn outline(&self) -> Vec<(f64, f64)> {
        let points = self.line.points();
        let slope = |low: usize, high: usize| (points[high].1 - points[low].1) / (points[high].0 - points[low].0);
        let last = points.len() - 1;
        let half = |row: usize| (slope(row.saturating_sub(1), (row + 1).min(last)) / 1000.0 / PI).sqrt();
        let widest = (0..=last).map(half).fold(0.0, f64::max);
        let right = (0..=last).map(|row| (widest + half(row), points[row].0));
        let left = (0..=last).rev().map(|row| (widest - half(row), points[row].0));
        right.chain(left).collect()
    }

    fn deep(&self) -> Option<&dyn Deep> {
        Some(self)
    }

    fn formula(&self) -> &'static str {
        "V(h) = V₀ + (V₁ − V₀) · (h − h₀)/(h₁ − h₀) between two rows"
    }

    fn source(&self) -> &'static str {
        "The owner's own table"
    }
}

// Depths and volumes arrive checked against the last row; what lies beyond it by a rounding is the rim.
impl Deep for Table {
    fn height(&self) -> Length {
        metres(self.top().0)
    }

    fn volume_at(&self, depth: Length) -> Volume {
        self.line.at(as_metres(depth)).map_or_else(|| self.brim(), |read| litres(read.value))
    }

    fn surface_at(&self, depth: Length) -> Area {
        let litres_a_metre = self.line.slope(as_metres(depth)).unwrap_or_default();
        litres(litres_a_metre) / metres(1.0)
    }

    fn doubt_at(&self, depth: Length) -> Volume {
        litres(self.line.at(as_metres(depth)).map_or(0.0, |read| read.error))
    }

    fn depth_of(&self, volume: Volume) -> Result<Length, ShapeError> {
        Ok(self.line.inverse(as_litres(volume)).map_or_else(|| self.height(), metres))
    }
}
