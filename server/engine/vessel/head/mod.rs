//! What closes a cylinder: the bottom of a standing one, both ends of a lying one.

mod solid;

pub(super) use solid::Solid;

use super::ShapeError;
use super::form::Dimension;
use super::form::Given;
use crate::quantity::DIMENSION;
use crate::quantity::HEIGHT;
use crate::quantity::Length;
use crate::quantity::Measure;
use crate::quantity::OutOfRange;
use crate::quantity::as_metres;

pub(super) const HEAD_DEPTH: Dimension = Dimension {
    key: "head_depth_m",
    label: "Depth of the end",
    hint: "Inside, from where the straight wall ends to the furthest point. In an end called 2:1 it is a quarter of the diameter.",
    symbol: "a",
    measure: &Measure { name: "depth of the end", min: DIMENSION.min, ..HEIGHT },
};
pub(super) const CROWN: Dimension = Dimension {
    key: "crown_radius_m",
    label: "Radius of the dish",
    hint: "Of the large curve in the middle. The usual dished end has the vessel's own diameter here.",
    symbol: "c",
    measure: &Measure { name: "radius of the dish", ..DIMENSION },
};
pub(super) const KNUCKLE: Dimension = Dimension {
    key: "knuckle_radius_m",
    label: "Radius of the knuckle",
    hint: "Of the small curve where the dish meets the wall. The usual dished end has 0.06 of the diameter here; 0 for a plain dish.",
    symbol: "k",
    measure: &Measure { name: "radius of the knuckle", min: 0.0, ..DIMENSION },
};
pub(super) const BORE: Dimension = Dimension {
    key: "bore_m",
    label: "Bore at the point",
    hint: "Diameter of the opening where the cone ends; 0 for a cone that runs to a point.",
    symbol: "d",
    measure: &Measure { name: "bore at the point", min: 0.0, ..DIMENSION },
};

/// How a cylinder is closed.
///
/// | head | depth a | what it holds |
/// |---|---|---|
/// | flat | 0 | 0 |
/// | cone | as given | π a (R² + R r + r²)/3, r half the bore at the point |
/// | dished (torispherical) | c − √((c − k)² − (R − k)²) | a cap of radius c and a ring of radius k |
/// | elliptical | as given | 2/3 π R² a |
/// | round (hemispherical) | R | 2/3 π R³ |
///
/// The usual dished head (ASME F&D) has c = D, k = 0.06 D; the usual elliptical one a = D/4.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Head {
    /// no depth
    Flat,
    /// a cone, cut off at a bore or run to a point
    Cone {
        /// from the wall to the point
        depth: Length,
        /// diameter of the opening at the point; 0 for none
        bore: Length,
    },
    /// torispherical
    Dished {
        /// the radius of the dish
        crown: Length,
        /// the radius between dish and wall
        knuckle: Length,
    },
    /// half an ellipsoid
    Elliptical {
        /// from the wall to the furthest point
        depth: Length,
    },
    /// half a sphere
    Round,
}

impl Head {
    /// The figures it needs beside the diameter.
    pub(super) fn read(self, given: &Given) -> Result<Self, ShapeError> {
        Ok(match self {
            Self::Flat => Self::Flat,
            Self::Cone { .. } => Self::Cone { depth: given.length(&HEAD_DEPTH)?, bore: given.length(&BORE)? },
            Self::Dished { .. } => Self::Dished { crown: given.length(&CROWN)?, knuckle: given.length(&KNUCKLE)? },
            Self::Elliptical { .. } => Self::Elliptical { depth: given.length(&HEAD_DEPTH)? },
            Self::Round => Self::Round,
        })
    }

    /// Its figures, in the order of the dimensions.
    pub(super) fn figures(self) -> Vec<f64> {
        match self {
            Self::Flat | Self::Round => vec![],
            Self::Cone { depth, bore } => vec![as_metres(depth), as_metres(bore)],
            Self::Dished { crown, knuckle } => vec![as_metres(crown), as_metres(knuckle)],
            Self::Elliptical { depth } => vec![as_metres(depth)],
        }
    }

    /// The head as a solid on a cylinder of this diameter, if its figures go together.
    pub(super) fn on(self, diameter: Length) -> Result<Solid, ShapeError> {
        let radius = as_metres(diameter) / 2.0;
        Ok(match self {
            Self::Flat => Solid::flat(radius),
            Self::Cone { depth, bore } => {
                let depth = HEAD_DEPTH.check(as_metres(depth))?;
                let bore = between(&BORE, as_metres(bore), 0.0, as_metres(diameter))?;
                Solid::cone(radius, depth, bore / 2.0)
            }
            Self::Dished { crown, knuckle } => {
                let crown = between(&CROWN, as_metres(crown), radius, CROWN.measure.max)?;
                let knuckle = between(&KNUCKLE, as_metres(knuckle), 0.0, radius)?;
                Solid::dished(radius, crown, knuckle)
            }
            Self::Elliptical { depth } => Solid::elliptical(radius, HEAD_DEPTH.check(as_metres(depth))?),
            Self::Round => Solid::elliptical(radius, radius),
        })
    }
}

/// The value, if it lies in the dimension's own range and between what the other figures leave it.
pub(super) fn between(dimension: &'static Dimension, value: f64, min: f64, max: f64) -> Result<f64, ShapeError> {
    let value = dimension.check(value)?;
    if (min..=max).contains(&value) {
        return Ok(value);
    }
    let measure =
        Measure { min: min.max(dimension.measure.min), max: max.min(dimension.measure.max), ..*dimension.measure };
    Err(ShapeError::OutOfRange { key: dimension.key, error: OutOfRange { measure, value } })
}
