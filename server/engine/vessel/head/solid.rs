//! A head as a solid of revolution: what it holds standing below a cylinder, and lying at the end of one.
//!
//! Bare metres throughout; the shapes keep the units.

use core::f64::consts::PI;

use super::super::circle;
use crate::numeric::smooth_area;

/// How near the axis the water stands, in radii, where a lying head is reckoned from its middle.
const NEAR_THE_MIDDLE: f64 = 0.25;

/// A head's inside on a cylinder of `radius`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::vessel) struct Solid {
    radius: f64,
    depth: f64,
    curve: Curve,
    /// all it holds
    volume: f64,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Curve {
    Flat,
    /// half the bore at the point
    Cone {
        tip: f64,
    },
    /// `joint` is where dish and knuckle meet, seen from the axis; `cap` how high over the lowest point
    Dished {
        crown: f64,
        knuckle: f64,
        joint: f64,
        cap: f64,
    },
    Elliptical,
}

impl Solid {
    pub const fn flat(radius: f64) -> Self {
        Self { radius, depth: 0.0, curve: Curve::Flat, volume: 0.0 }
    }

    pub fn cone(radius: f64, depth: f64, tip: f64) -> Self {
        Self { radius, depth, curve: Curve::Cone { tip }, volume: frustum(tip, radius, depth) }
    }

    /// Half an ellipsoid, half a sphere where `depth` is the radius.
    pub fn elliptical(radius: f64, depth: f64) -> Self {
        Self { radius, depth, curve: Curve::Elliptical, volume: 2.0 / 3.0 * PI * radius * radius * depth }
    }

    /// A cap of a sphere of radius `crown`, at least `radius`, and a ring of radius `knuckle`, at most `radius`.
    pub fn dished(radius: f64, crown: f64, knuckle: f64) -> Self {
        let (across, along) = (radius - knuckle, crown - knuckle);
        // A dish as narrow as the vessel is half a sphere, whatever the knuckle.
        let sine = if along > 0.0 { (across / along).min(1.0) } else { 1.0 };
        let cosine = (1.0 - sine * sine).max(0.0).sqrt();
        // 1 − cos without losing the small difference
        let cap = crown * sine * sine / (1.0 + cosine);
        let depth = cap + knuckle * cosine;
        let curve = Curve::Dished { crown, knuckle, joint: crown * sine, cap };
        let mut solid = Self { radius, depth, curve, volume: 0.0 };
        solid.volume = solid.standing(depth);
        solid
    }

    pub const fn depth(&self) -> f64 {
        self.depth
    }

    pub const fn volume(&self) -> f64 {
        self.volume
    }

    /// What it holds up to `height`, the head below.
    pub fn standing(&self, height: f64) -> f64 {
        match self.curve {
            Curve::Flat => 0.0,
            Curve::Cone { tip } => frustum(tip, tip + (self.radius - tip) * height / self.depth, height),
            Curve::Elliptical => {
                let part = height / self.depth;
                PI * self.radius * self.radius * height * part * (1.0 - part / 3.0)
            }
            Curve::Dished { crown, knuckle, cap, .. } => {
                let in_cap = height.min(cap);
                let dish = PI * in_cap * in_cap * (crown - in_cap / 3.0);
                if height <= cap {
                    return dish;
                }
                let across = self.radius - knuckle;
                // From the wall down: ∫ (across + √(k² − u²))² du.
                let ring = |u: f64| {
                    let chord = ((knuckle - u) * (knuckle + u)).max(0.0).sqrt();
                    let quarter = u * chord + knuckle * knuckle * (u / knuckle).clamp(-1.0, 1.0).asin();
                    across * across * u + across * quarter + knuckle * knuckle * u - u * u * u / 3.0
                };
                dish + PI * (ring(self.depth - cap) - ring((self.depth - height).max(0.0)))
            }
        }
    }

    /// The free surface at `height`, the head below.
    pub fn standing_surface(&self, height: f64) -> f64 {
        match self.curve {
            Curve::Flat => PI * self.radius * self.radius,
            Curve::Cone { .. } | Curve::Dished { .. } => {
                let across = self.across(height);
                PI * across * across
            }
            Curve::Elliptical => {
                let part = height / self.depth;
                PI * self.radius * self.radius * part * (2.0 - part)
            }
        }
    }

    /// How far it reaches from its axis at `height` over its furthest point.
    fn across(&self, height: f64) -> f64 {
        match self.curve {
            Curve::Flat => self.radius,
            Curve::Cone { tip } => tip + (self.radius - tip) * height / self.depth,
            Curve::Elliptical => self.radius * circle::half_chord(1.0, height / self.depth),
            Curve::Dished { crown, cap, .. } if height <= cap => circle::half_chord(crown, height),
            Curve::Dished { knuckle, .. } => {
                let u = (self.depth - height).max(0.0);
                self.radius - knuckle + ((knuckle - u) * (knuckle + u)).max(0.0).sqrt()
            }
        }
    }

    /// How far it reaches beyond the wall's end at a distance `off` from its axis.
    fn beyond(&self, off: f64) -> f64 {
        match self.curve {
            Curve::Flat => 0.0,
            // A lying cone runs to a point.
            Curve::Cone { .. } => self.depth * (1.0 - off / self.radius).max(0.0),
            Curve::Elliptical => {
                let part = off / self.radius;
                self.depth * ((1.0 - part) * (1.0 + part)).max(0.0).sqrt()
            }
            Curve::Dished { crown, joint, .. } if off <= joint => {
                self.depth - off * off / (crown + ((crown - off) * (crown + off)).max(0.0).sqrt())
            }
            Curve::Dished { knuckle, .. } => {
                let u = off - (self.radius - knuckle);
                ((knuckle - u) * (knuckle + u)).max(0.0).sqrt()
            }
        }
    }

    /// Where the curve changes, seen from the axis; the radius where it does not.
    const fn joint(&self) -> f64 {
        match self.curve {
            Curve::Dished { joint, .. } => joint,
            _ => self.radius,
        }
    }

    /// What one head holds up to `height` over the lowest point, lying, `height` at most the radius.
    ///
    /// Each ring of radius ρ about the axis lies in the water with the angle 2 acos(t/ρ), t the water's distance below
    /// the axis, and reaches ζ(ρ) beyond the wall: V = ∫ ζ(ρ) 2 acos(t/ρ) ρ dρ from t to R.
    pub fn lying(&self, height: f64) -> f64 {
        match self.curve {
            Curve::Flat => 0.0,
            // Half of an ellipsoid's cap, which is a sphere's with one axis stretched.
            Curve::Elliptical => self.depth / self.radius * PI * height * height * (self.radius - height / 3.0) / 2.0,
            Curve::Cone { .. } | Curve::Dished { .. } => {
                let below = self.radius - height;
                // Near the middle the rings close to the axis turn too fast for that; there the surface is added up.
                if below < NEAR_THE_MIDDLE * self.radius {
                    return self.volume / 2.0 - smooth_area(|up| self.lying_surface(self.radius - up), 0.0, below);
                }
                // acos(t/ρ) as atan2, exact near t = ρ.
                let ring = |off: f64| {
                    let chord = ((off - below) * (off + below)).max(0.0).sqrt();
                    self.beyond(off) * 2.0 * chord.atan2(below) * off
                };
                self.pieces(below, ring)
            }
        }
    }

    /// The free surface in one head at `height`, lying, `height` at most the radius.
    pub fn lying_surface(&self, height: f64) -> f64 {
        match self.curve {
            Curve::Flat => 0.0,
            Curve::Elliptical => self.depth / self.radius * PI / 2.0 * height * (2.0 * self.radius - height),
            Curve::Cone { .. } => {
                // ∫ (1 − √(t² + x²)/R) dx
                let (below, side) = (self.radius - height, circle::half_chord(self.radius, height));
                let bend = if below > 0.0 { below * below / self.radius * (side / below).asinh() } else { 0.0 };
                self.depth * (side - bend).max(0.0)
            }
            Curve::Dished { .. } => {
                let below = self.radius - height;
                let side = |off: f64| ((off - below) * (off + below)).max(0.0).sqrt();
                let (joint, wall) = (side(self.joint().max(below)), side(self.radius));
                let across = |x: f64| self.beyond(x.hypot(below));
                2.0 * (smooth_area(across, 0.0, joint) + smooth_area(across, joint, wall))
            }
        }
    }

    fn pieces(&self, from: f64, of: impl Fn(f64) -> f64) -> f64 {
        let joint = self.joint().clamp(from, self.radius);
        smooth_area(&of, from, joint) + smooth_area(&of, joint, self.radius)
    }

    /// Half the section from the furthest point to the wall: distance from the axis, and height over that point.
    pub fn outline(&self) -> Vec<(f64, f64)> {
        const STEPS: u32 = 24;
        match self.curve {
            Curve::Flat => vec![(self.radius, 0.0)],
            Curve::Cone { tip } => vec![(tip, 0.0), (self.radius, self.depth)],
            Curve::Elliptical | Curve::Dished { .. } => (0..=STEPS)
                .map(|step| {
                    // crowded where it is steep
                    let turn = f64::from(step) / f64::from(STEPS) * core::f64::consts::FRAC_PI_2;
                    let height = self.depth * (1.0 - turn.cos());
                    if step == STEPS { (self.radius, self.depth) } else { (self.across(height), height) }
                })
                .collect(),
        }
    }
}

/// A cone cut off: half the widths at both ends, and the height.
fn frustum(low: f64, high: f64, height: f64) -> f64 {
    PI * height * (low * low + low * high + high * high) / 3.0
}
