//! A moulded box: rounded upright edges, and a rounded edge round its floor.

use core::f64::consts::PI;

use super::Shape;
use super::ShapeError;
use super::circle;
use super::form::Deep;
use super::form::Dimension;
use super::form::Form;
use super::form::Given;
use super::form::Sample;
use super::form::Sheet;
use super::form::not_too_large;
use super::form::turned;
use super::head::between;
use crate::quantity::Area;
use crate::quantity::DIMENSION;
use crate::quantity::HEIGHT;
use crate::quantity::Length;
use crate::quantity::Measure;
use crate::quantity::Volume;
use crate::quantity::as_metres;
use crate::quantity::cubic_metres;
use crate::quantity::square_metres;

const LONG: Dimension = Dimension {
    key: "length_m",
    label: "Length",
    hint: "Inside, along the longer wall.",
    symbol: "L",
    measure: &Measure { name: "length", ..DIMENSION },
};
const WIDE: Dimension = Dimension {
    key: "width_m",
    label: "Width",
    hint: "Inside, along the shorter wall.",
    symbol: "W",
    measure: &Measure { name: "width", ..DIMENSION },
};
const TALL: Dimension = Dimension {
    key: "height_m",
    label: "Height",
    hint: "Inside, from the floor to the rim or the overflow.",
    symbol: "H",
    measure: &Measure { name: "height", min: DIMENSION.min, ..HEIGHT },
};
const CORNER: Dimension = Dimension {
    key: "corner_radius_m",
    label: "Radius of the upright edges",
    hint: "Of the curve where two walls meet; 0 where they meet sharply.",
    symbol: "rc",
    measure: &Measure { name: "radius of the upright edges", min: 0.0, ..DIMENSION },
};
const EDGE: Dimension = Dimension {
    key: "bottom_edge_radius_m",
    label: "Radius of the edge round the floor",
    hint: "Of the curve where wall and floor meet, at most that of the upright edges; 0 where they meet sharply.",
    symbol: "rb",
    measure: &Measure { name: "radius of the edge round the floor", min: 0.0, ..DIMENSION },
};

pub(super) static SHEET: Sheet = Sheet {
    key: "rounded_box",
    name: "Box with rounded edges",
    dimensions: &[LONG, WIDE, TALL, CORNER, EDGE],
    make: |given: &Given| {
        let box_ = Rounded::new(
            [given.length(&LONG)?, given.length(&WIDE)?, given.length(&TALL)?],
            given.length(&CORNER)?,
            given.length(&EDGE)?,
        )?;
        not_too_large(Shape::Rounded(box_))
    },
    samples: &[
        Sample { figures: &[1.14, 0.94, 1.02, 0.12, 0.08], table: &[] },
        Sample { figures: &[1.14, 0.94, 1.02, 0.12, 0.0], table: &[] },
        Sample { figures: &[1.0, 1.0, 0.9, 0.5, 0.5], table: &[] },
    ],
};

/// A box with rounded upright edges and a rounded edge round its floor, as totes are moulded.
///
/// | | |
/// |---|---|
/// | volume | A₀ (h − rb) + V(rb) over the edge; in it ∫ (A₀ − P i + π i²) dh, i = rb − √(rb² − (rb − h)²) |
/// | A₀ | L W − (4 − π) rc², the plan of the walls |
/// | P | 2 (L + W) − 2 (4 − π) rc, their length round |
/// | L, W | inside length and width, 0.01 to 100 m |
/// | rc | radius of the upright edges, 0 to half the shorter of L and W |
/// | rb | radius of the edge round the floor, 0 to rc and to the height |
/// | h | depth over the floor, 0 to the height, at most 30 m |
/// | error | none for the true shape |
/// | source | the plan shrinks by i on every side, and rc with it: plane geometry |
///
/// ```
/// use keepwell_engine::quantity::{as_litres, metres};
/// use keepwell_engine::vessel::{Rounded, Shape};
/// // ENG-024: 0.52434307 m³ at 0.5 m, by integration.
/// let sides = [1.14, 0.94, 1.02].map(metres);
/// let tote = Shape::Rounded(Rounded::new(sides, metres(0.12), metres(0.08))?);
/// assert!((as_litres(tote.volume_at(metres(0.5))?) - 524.34307).abs() < 1e-4);
/// # Ok::<(), keepwell_engine::vessel::ShapeError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rounded {
    length: f64,
    width: f64,
    height: Length,
    corner: f64,
    edge: f64,
}

impl Rounded {
    /// From its inside length, width and height, the radius of the upright edges and of the edge round the floor.
    ///
    /// # Errors
    /// [`ShapeError`] for a measure out of range, or radii that do not fit in.
    pub fn new(sides: [Length; 3], corner: Length, edge: Length) -> Result<Self, ShapeError> {
        let (length, width) = (LONG.check(as_metres(sides[0]))?, WIDE.check(as_metres(sides[1]))?);
        let height = TALL.check_length(sides[2])?;
        let corner = between(&CORNER, as_metres(corner), 0.0, length.min(width) / 2.0)?;
        let edge = between(&EDGE, as_metres(edge), 0.0, corner.min(as_metres(height)))?;
        Ok(Self { length, width, height, corner, edge })
    }

    /// Where the rounded edge ends, metres.
    pub(super) const fn seam(&self) -> f64 {
        self.edge
    }

    /// The plan where the walls stand upright.
    fn plan(&self) -> f64 {
        self.length * self.width - (4.0 - PI) * self.corner * self.corner
    }

    fn round(&self) -> f64 {
        2.0 * (self.length + self.width) - 2.0 * (4.0 - PI) * self.corner
    }

    /// What the rounded edge round the floor holds up to `depth`, at most its radius.
    fn lower(&self, depth: f64) -> f64 {
        let edge = self.edge;
        // ∫ √(rb² − w²) dw along the edge: half a circle's segment.
        let chord = circle::segment(edge, depth) / 2.0;
        let inset = edge * depth - chord;
        // (rb³ − (rb − h)³)/3 without losing the small difference
        let square =
            2.0 * edge * edge * depth - 2.0 * edge * chord - depth * (edge * edge - edge * depth + depth * depth / 3.0);
        self.plan() * depth - self.round() * inset + PI * square
    }
}

impl Form for Rounded {
    fn figures(&self) -> Vec<f64> {
        vec![self.length, self.width, as_metres(self.height), self.corner, self.edge]
    }

    fn brim(&self) -> Volume {
        self.volume_at(self.height)
    }

    fn outline(&self) -> Vec<(f64, f64)> {
        const STEPS: u32 = 12;
        let half = self.length / 2.0;
        let mut right = vec![(half - self.edge, 0.0)];
        if self.edge > 0.0 {
            right.extend((1..=STEPS).map(|step| {
                let (sine, cosine) = (f64::from(step) / f64::from(STEPS) * core::f64::consts::FRAC_PI_2).sin_cos();
                (half - self.edge + self.edge * sine, self.edge * (1.0 - cosine))
            }));
        }
        right.push((half, as_metres(self.height)));
        turned(&right)
    }

    fn deep(&self) -> Option<&dyn Deep> {
        Some(self)
    }

    fn formula(&self) -> &'static str {
        "V(h) = (L · W − (4 − π) · rc²) · h; below rb the plan shrinks on every side by i = rb − √(rb² − (rb − h)²)"
    }

    fn source(&self) -> &'static str {
        "Plane geometry: a rectangle with rounded corners"
    }
}

impl Deep for Rounded {
    fn height(&self) -> Length {
        self.height
    }

    fn volume_at(&self, depth: Length) -> Volume {
        let depth = as_metres(depth);
        let rounded = self.lower(depth.min(self.edge));
        cubic_metres(rounded + self.plan() * (depth - self.edge).max(0.0))
    }

    fn surface_at(&self, depth: Length) -> Area {
        let depth = as_metres(depth);
        let inset = if depth < self.edge { self.edge - circle::half_chord(self.edge, depth) } else { 0.0 };
        square_metres(self.plan() - self.round() * inset + PI * inset * inset)
    }
}
