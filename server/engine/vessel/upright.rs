//! A cylinder standing upright, on a flat bottom or on a shaped one.

use core::f64::consts::FRAC_PI_4;

use super::Kind;
use super::Shape;
use super::ShapeError;
use super::form::Deep;
use super::form::Dimension;
use super::form::Form;
use super::form::Given;
use super::form::Sample;
use super::form::Sheet;
use super::form::not_too_large;
use super::form::turned;
use super::head::BORE;
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
use crate::quantity::metres;
use crate::quantity::square_metres;

const DIAMETER: Dimension = Dimension {
    key: "diameter_m",
    label: "Diameter",
    hint: "Inside, from wall to wall through the middle.",
    symbol: "D",
    measure: &Measure { name: "diameter", ..DIMENSION },
};
const TALL: Dimension = Dimension {
    key: "height_m",
    label: "Height",
    hint: "Inside, from the floor to the rim or the overflow.",
    symbol: "H",
    measure: &Measure { name: "height", min: DIMENSION.min, ..HEIGHT },
};
/// The straight part, where the bottom has a depth of its own.
const SHELL: Dimension = Dimension {
    key: "shell_height_m",
    label: "Height of the straight wall",
    hint: "Inside, from where the bottom curves or slopes away to the rim or the overflow.",
    symbol: "H",
    measure: &Measure { name: "height of the straight wall", min: DIMENSION.min, ..HEIGHT },
};

pub(super) static FLAT: Sheet = Sheet {
    key: "upright_cylinder",
    name: "Upright cylinder",
    dimensions: &[DIAMETER, TALL],
    make: |given: &Given| make(given, &TALL, Head::Flat),
    samples: &[
        Sample { figures: &[1.2, 2.0], table: &[] },
        Sample { figures: &[0.5715, 0.8509], table: &[] },
        Sample { figures: &[12.0, 3.5], table: &[] },
    ],
};
pub(super) static CONE: Sheet = Sheet {
    key: "upright_cone",
    name: "Upright cylinder, cone bottom",
    dimensions: &[DIAMETER, SHELL, HEAD_DEPTH, BORE],
    make: |given: &Given| make(given, &SHELL, Head::Cone { depth: metres(0.0), bore: metres(0.0) }),
    samples: &[
        Sample { figures: &[1.8, 1.6, 0.6, 0.0], table: &[] },
        Sample { figures: &[1.2, 1.0, 0.5, 0.1], table: &[] },
    ],
};
pub(super) static DISHED: Sheet = Sheet {
    key: "upright_dished",
    name: "Upright cylinder, dished bottom",
    dimensions: &[DIAMETER, SHELL, CROWN, KNUCKLE],
    make: |given: &Given| make(given, &SHELL, Head::Dished { crown: metres(0.0), knuckle: metres(0.0) }),
    samples: &[
        Sample { figures: &[1.6, 1.5, 1.6, 0.096], table: &[] },
        Sample { figures: &[1.6, 1.5, 1.28, 0.2464], table: &[] },
        Sample { figures: &[2.0, 1.0, 3.0, 0.0], table: &[] },
    ],
};
pub(super) static ELLIPTICAL: Sheet = Sheet {
    key: "upright_elliptical",
    name: "Upright cylinder, elliptical bottom",
    dimensions: &[DIAMETER, SHELL, HEAD_DEPTH],
    make: |given: &Given| make(given, &SHELL, Head::Elliptical { depth: metres(0.0) }),
    samples: &[Sample { figures: &[1.6, 1.5, 0.4], table: &[] }, Sample { figures: &[1.0, 0.5, 0.9], table: &[] }],
};
pub(super) static ROUND: Sheet = Sheet {
    key: "upright_round",
    name: "Upright cylinder, half-sphere bottom",
    dimensions: &[DIAMETER, SHELL],
    make: |given: &Given| make(given, &SHELL, Head::Round),
    samples: &[Sample { figures: &[1.6, 1.5], table: &[] }],
};

fn make(given: &Given, tall: &'static Dimension, bottom: Head) -> Result<Shape, ShapeError> {
    let (diameter, shell) = (given.length(&DIAMETER)?, given.length(tall)?);
    Upright::with_bottom(diameter, shell, bottom.read(given)?).map(Shape::Upright).and_then(not_too_large)
}

/// A cylinder standing upright, on a flat bottom or on a shaped one. Depths count from the lowest inside point.
///
/// | | |
/// |---|---|
/// | volume | V(bottom, h) up to the straight wall, above it the bottom's whole volume + π/4 D² (h − a) |
/// | cone bottom | π h (r² + r ρ + ρ²)/3, ρ = r + (R − r) h/a, r half the bore at the point |
/// | elliptical, half-sphere | π R² (h²/a − h³/(3 a²)); a = R for the half-sphere |
/// | dished | π h² (c − h/3) in the dish, above it the ring ∫ π (R − k + √(k² − u²))² du, u = a − h |
/// | D, R | inside diameter, 0.01 to 100 m, and its half |
/// | H | straight wall, 0.01 to 30 m |
/// | a, c, k | the bottom's figures: [`Head`] |
/// | error | none for the true shape; a floor out of level moves a reading at the wall by R tan θ |
/// | source | Euclid, Elements XII.10; solids of revolution |
///
/// ```
/// use keepwell_engine::quantity::{as_litres, metres};
/// use keepwell_engine::vessel::{Head, Shape, Upright};
/// // ENG-001: fluids 1.3.1 TANK gives 0.68595525 m³.
/// let tank = Shape::Upright(Upright::new(metres(2.413), metres(2.3))?);
/// assert!((as_litres(tank.volume_at(metres(0.15))?) - 685.95525).abs() < 1e-3);
/// // ENG-151: 0.537337236 m³ just above a dished bottom of 0.8 D and 0.154 D, by the same.
/// let dished = Head::Dished { crown: metres(0.8 * 1.6), knuckle: metres(0.154 * 1.6) };
/// let tank = Shape::Upright(Upright::with_bottom(metres(1.6), metres(1.5), dished)?);
/// assert!((as_litres(tank.volume_at(metres(0.408))?) - 537.337236).abs() < 1e-3);
/// # Ok::<(), keepwell_engine::vessel::ShapeError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Upright {
    diameter: Length,
    shell: Length,
    bottom: Head,
    solid: Solid,
}

impl Upright {
    /// On a flat bottom, from its inside measures.
    ///
    /// # Errors
    /// [`ShapeError`] for a measure out of range.
    pub fn new(diameter: Length, height: Length) -> Result<Self, ShapeError> {
        Self::with_bottom(diameter, height, Head::Flat)
    }

    /// On this bottom; `shell` is the straight wall alone.
    ///
    /// # Errors
    /// [`ShapeError`] for a measure out of range, or a bottom that does not go with the diameter.
    pub fn with_bottom(diameter: Length, shell: Length, bottom: Head) -> Result<Self, ShapeError> {
        let diameter = DIAMETER.check_length(diameter)?;
        let shell = if bottom == Head::Flat { TALL.check_length(shell) } else { SHELL.check_length(shell) }?;
        Ok(Self { diameter, shell, bottom, solid: bottom.on(diameter)? })
    }

    /// What it stands on.
    #[must_use]
    pub const fn bottom(&self) -> Head {
        self.bottom
    }

    pub(super) const fn kind(&self) -> Kind {
        match self.bottom {
            Head::Flat => Kind::Upright,
            Head::Cone { .. } => Kind::UprightCone,
            Head::Dished { .. } => Kind::UprightDished,
            Head::Elliptical { .. } => Kind::UprightElliptical,
            Head::Round => Kind::UprightRound,
        }
    }

    /// Where the bottom ends, metres.
    pub(super) const fn seam(&self) -> f64 {
        self.solid.depth()
    }

    fn floor(&self) -> Area {
        self.diameter * self.diameter * FRAC_PI_4
    }
}

impl Form for Upright {
    fn figures(&self) -> Vec<f64> {
        let mut figures = vec![as_metres(self.diameter), as_metres(self.shell)];
        figures.extend(self.bottom.figures());
        figures
    }

    fn brim(&self) -> Volume {
        self.volume_at(self.height())
    }

    fn outline(&self) -> Vec<(f64, f64)> {
        let mut half = self.solid.outline();
        half.push((as_metres(self.diameter) / 2.0, as_metres(self.height())));
        turned(&half)
    }

    fn deep(&self) -> Option<&dyn Deep> {
        Some(self)
    }

    fn formula(&self) -> &'static str {
        match self.bottom {
            Head::Flat => "V(h) = π/4 · D² · h",
            Head::Cone { .. } => {
                "V(h) = π · h · (r² + r · ρ + ρ²)/3 up to a, ρ = r + (R − r) · h/a; above V(a) + π/4 · D² · (h − a)"
            }
            Head::Elliptical { .. } => "V(h) = π · R² · (h²/a − h³/(3 · a²)) up to a; above V(a) + π/4 · D² · (h − a)",
            Head::Round => "V(h) = π · h² · (R − h/3) up to R; above V(R) + π/4 · D² · (h − R)",
            Head::Dished { .. } => {
                "V(h) = π · h² · (c − h/3) in the dish, ∫ π · (R − k + √(k² − u²))² du in the knuckle; above V(a) + π/4 · D² · (h − a)"
            }
        }
    }

    fn source(&self) -> &'static str {
        match self.bottom {
            Head::Flat => "Geometry of the cylinder: Euclid, Elements XII.10",
            _ => "Geometry: solids of revolution",
        }
    }
}

impl Deep for Upright {
    fn height(&self) -> Length {
        metres(self.solid.depth()) + self.shell
    }

    fn volume_at(&self, depth: Length) -> Volume {
        let over = as_metres(depth) - self.solid.depth();
        if over < 0.0 {
            return cubic_metres(self.solid.standing(as_metres(depth)));
        }
        cubic_metres(self.solid.volume()) + self.floor() * metres(over)
    }

    fn surface_at(&self, depth: Length) -> Area {
        if as_metres(depth) < self.solid.depth() {
            return square_metres(self.solid.standing_surface(as_metres(depth)));
        }
        self.floor()
    }

    fn depth_of(&self, volume: Volume) -> Result<Length, ShapeError> {
        let bottom = cubic_metres(self.solid.volume());
        if volume < bottom {
            return super::form::search(self, volume, self.solid.depth());
        }
        Ok((metres(self.solid.depth()) + (volume - bottom) / self.floor()).min(self.height()))
    }
}
