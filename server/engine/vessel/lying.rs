//! A cylinder lying on its side, with flat or shaped ends.

use core::f64::consts::PI;

use super::Kind;
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
use super::head::CROWN;
use super::head::HEAD_DEPTH;
use super::head::Head;
use super::head::KNUCKLE;
use super::head::Solid;
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
const LONG: Dimension = Dimension {
    key: "length_m",
    label: "Length",
    hint: "Inside, from end to end.",
    symbol: "L",
    measure: &Measure { name: "length", ..DIMENSION },
};
/// The straight part, where the ends have a depth of their own.
const SHELL: Dimension = Dimension {
    key: "shell_length_m",
    label: "Length of the straight wall",
    hint: "Inside, from seam to seam, without the two ends.",
    symbol: "L",
    measure: &Measure { name: "length of the straight wall", ..DIMENSION },
};

pub(super) static FLAT: Sheet = Sheet {
    key: "horizontal_cylinder",
    name: "Lying cylinder",
    dimensions: &[DIAMETER, LONG],
    make: |given: &Given| make(given, &LONG, Head::Flat),
    samples: &[
        Sample { figures: &[1.2, 2.4], table: &[] },
        Sample { figures: &[0.4, 6.0], table: &[] },
        Sample { figures: &[3.0, 12.0], table: &[] },
    ],
};
pub(super) static CONE: Sheet = Sheet {
    key: "horizontal_cone",
    name: "Lying cylinder, cone ends",
    dimensions: &[DIAMETER, SHELL, HEAD_DEPTH],
    make: |given: &Given| {
        let ends = Head::Cone { depth: given.length(&HEAD_DEPTH)?, bore: Length::default() };
        made(given.length(&DIAMETER)?, given.length(&SHELL)?, ends)
    },
    samples: &[Sample { figures: &[1.2, 2.4, 0.3], table: &[] }],
};
pub(super) static DISHED: Sheet = Sheet {
    key: "horizontal_dished",
    name: "Lying cylinder, dished ends",
    dimensions: &[DIAMETER, SHELL, CROWN, KNUCKLE],
    make: |given: &Given| make(given, &SHELL, Head::Dished { crown: Length::default(), knuckle: Length::default() }),
    samples: &[
        Sample { figures: &[1.2, 2.4, 1.2, 0.072], table: &[] },
        Sample { figures: &[2.0, 4.0, 1.6, 0.308], table: &[] },
    ],
};
pub(super) static ELLIPTICAL: Sheet = Sheet {
    key: "horizontal_elliptical",
    name: "Lying cylinder, elliptical ends",
    dimensions: &[DIAMETER, SHELL, HEAD_DEPTH],
    make: |given: &Given| make(given, &SHELL, Head::Elliptical { depth: Length::default() }),
    samples: &[Sample { figures: &[1.2, 2.4, 0.3], table: &[] }, Sample { figures: &[2.2, 5.0, 0.7], table: &[] }],
};
pub(super) static ROUND: Sheet = Sheet {
    key: "horizontal_round",
    name: "Lying cylinder, half-sphere ends",
    dimensions: &[DIAMETER, SHELL],
    make: |given: &Given| make(given, &SHELL, Head::Round),
    samples: &[Sample { figures: &[1.2, 2.4], table: &[] }],
};

fn make(given: &Given, long: &'static Dimension, ends: Head) -> Result<Shape, ShapeError> {
    made(given.length(&DIAMETER)?, given.length(long)?, ends.read(given)?)
}

fn made(diameter: Length, length: Length, ends: Head) -> Result<Shape, ShapeError> {
    Lying::with_ends(diameter, length, ends).map(Shape::Lying).and_then(not_too_large)
}

/// A cylinder lying on its side, with flat or shaped ends, both alike.
///
/// | | |
/// |---|---|
/// | volume | L R²/2 (θ − sin θ), where sin²(θ/4) = h/D: the segment of a circle times the length; and both ends |
/// | elliptical, half-sphere | both ends π (a/R) h² (R − h/3); a = R for the half-sphere |
/// | dished, cone | each end ∫ ζ(ρ) 2 acos(t/ρ) ρ dρ from t = R − h to R, ζ(ρ) how far the end reaches out at ρ from the axis |
/// | D, R | inside diameter, 0.01 to 30 m, and its half |
/// | L | straight wall, 0.01 to 100 m |
/// | a, c, k | the ends' figures: [`Head`]; a lying cone runs to a point |
/// | h | depth over the lowest point, 0 to D |
/// | error | none for the true shape; the integral is exact to 12 digits. The wrong ends are worth 10 to 33 % |
/// | source | area of a circular segment, any table of plane figures; solids of revolution |
///
/// Above the middle the air is reckoned instead, and for thin segments θ − sin θ is a series, so that the last
/// litre is as exact as the first.
///
/// ```
/// use keepwell_engine::quantity::{as_litres, metres};
/// use keepwell_engine::vessel::{Head, Lying, Shape};
/// // ENG-012: fluids 1.3.1 TANK gives 2.67563782 m³.
/// let tank = Shape::Lying(Lying::new(metres(1.2), metres(2.4))?);
/// assert!((as_litres(tank.volume_at(metres(1.15))?) - 2675.63782).abs() < 3e-3);
/// // ENG-018: 2.67725488 m³ at 1.0 m with dished ends of D and 0.06 D, by the same.
/// let dished = Head::Dished { crown: metres(1.2), knuckle: metres(0.072) };
/// let tank = Shape::Lying(Lying::with_ends(metres(1.2), metres(2.4), dished)?);
/// assert!((as_litres(tank.volume_at(metres(1.0))?) - 2677.25488).abs() < 1e-4);
/// # Ok::<(), keepwell_engine::vessel::ShapeError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lying {
    diameter: Length,
    length: Length,
    ends: Head,
    solid: Solid,
}

impl Lying {
    /// With flat ends, from its inside measures.
    ///
    /// # Errors
    /// [`ShapeError`] for a measure out of range.
    pub fn new(diameter: Length, length: Length) -> Result<Self, ShapeError> {
        Self::with_ends(diameter, length, Head::Flat)
    }

    /// With two such ends; `length` is the straight wall alone. A bore at the point of a cone is not counted.
    ///
    /// # Errors
    /// [`ShapeError`] for a measure out of range, or ends that do not go with the diameter.
    pub fn with_ends(diameter: Length, length: Length, ends: Head) -> Result<Self, ShapeError> {
        let diameter = DIAMETER.check_length(diameter)?;
        let length = if ends == Head::Flat { LONG.check_length(length) } else { SHELL.check_length(length) }?;
        let ends = match ends {
            Head::Cone { depth, .. } => Head::Cone { depth, bore: Length::default() },
            ends => ends,
        };
        Ok(Self { diameter, length, ends, solid: ends.on(diameter)? })
    }

    /// How it is closed at both ends.
    #[must_use]
    pub const fn ends(&self) -> Head {
        self.ends
    }

    pub(super) const fn kind(&self) -> Kind {
        match self.ends {
            Head::Flat => Kind::Lying,
            Head::Cone { .. } => Kind::LyingCone,
            Head::Dished { .. } => Kind::LyingDished,
            Head::Elliptical { .. } => Kind::LyingElliptical,
            Head::Round => Kind::LyingRound,
        }
    }

    fn radius(&self) -> f64 {
        as_metres(self.diameter) / 2.0
    }

    /// What lies below `depth`, at most half of the diameter.
    fn lower(&self, depth: f64) -> f64 {
        circle::segment(self.radius(), depth) * as_metres(self.length) + 2.0 * self.solid.lying(depth)
    }
}

impl Form for Lying {
    fn figures(&self) -> Vec<f64> {
        let mut figures = vec![as_metres(self.diameter), as_metres(self.length)];
        match self.ends {
            Head::Cone { depth, .. } => figures.push(as_metres(depth)),
            ends => figures.extend(ends.figures()),
        }
        figures
    }

    fn brim(&self) -> Volume {
        let radius = self.radius();
        cubic_metres(PI * radius * radius * as_metres(self.length) + 2.0 * self.solid.volume())
    }

    fn outline(&self) -> Vec<(f64, f64)> {
        let (radius, length, beyond) = (self.radius(), as_metres(self.length), self.solid.depth());
        // The right end from the lowest point to the highest, then the left one back.
        let end = self.solid.outline();
        let low = end.iter().rev().map(|(off, out)| (beyond - out, radius - off));
        let high = end.iter().map(|(off, out)| (beyond - out, radius + off));
        let right: Vec<_> = low.chain(high).map(|(out, up)| (beyond + length + out, up)).collect();
        let left = right.iter().rev().map(|(across, up)| (2.0 * beyond + length - across, *up));
        right.iter().copied().chain(left).collect()
    }

    fn deep(&self) -> Option<&dyn Deep> {
        Some(self)
    }

    fn formula(&self) -> &'static str {
        match self.ends {
            Head::Flat => "V(h) = L · [R² · acos((R − h)/R) − (R − h) · √(2Rh − h²)], R = D/2",
            Head::Elliptical { .. } => {
                "V(h) = L · [R² · acos((R − h)/R) − (R − h) · √(2Rh − h²)] + π · a/R · h² · (R − h/3)"
            }
            Head::Round => "V(h) = L · [R² · acos((R − h)/R) − (R − h) · √(2Rh − h²)] + π · h² · (R − h/3)",
            Head::Cone { .. } | Head::Dished { .. } => {
                "V(h) = L · [R² · acos((R − h)/R) − (R − h) · √(2Rh − h²)] + 2 · ∫ ζ(ρ) · 2 acos((R − h)/ρ) · ρ dρ"
            }
        }
    }

    fn source(&self) -> &'static str {
        match self.ends {
            Head::Flat => "Geometry: the segment of a circle times the length",
            _ => "Geometry: the segment of a circle times the length, and the ends as solids of revolution",
        }
    }
}

impl Deep for Lying {
    fn height(&self) -> Length {
        self.diameter
    }

    fn volume_at(&self, depth: Length) -> Volume {
        if depth * 2.0 <= self.diameter {
            cubic_metres(self.lower(as_metres(depth)))
        } else {
            self.brim() - cubic_metres(self.lower(as_metres(self.diameter - depth)))
        }
    }

    fn surface_at(&self, depth: Length) -> Area {
        let depth = as_metres(depth.min(self.diameter - depth)).max(0.0);
        let straight = 2.0 * circle::half_chord(self.radius(), depth) * as_metres(self.length);
        square_metres(straight + 2.0 * self.solid.lying_surface(depth))
    }
}
