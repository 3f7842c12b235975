//! How far a volume can be off because a measure is, or because nobody knows how the vessel is closed.

use super::Head;
use super::Lying;
use super::Shape;
use super::ShapeError;
use super::Upright;
use crate::quantity::Length;
use crate::quantity::OutOfRange;
use crate::quantity::Unit;
use crate::quantity::Volume;
use crate::quantity::as_litres;
use crate::quantity::as_metres;
use crate::quantity::metres;
use crate::working::Figure;
use crate::working::Working;

/// A volume with its standard deviation, and what each measure adds to that.
#[derive(Clone, Debug, PartialEq)]
pub struct Doubted {
    /// the volume
    pub volume: Volume,
    /// one standard deviation of it
    pub sd: Volume,
    /// measure by measure: what it is called, its standard deviation, and what that makes of the volume
    pub parts: Vec<DoubtedPart>,
}

/// What one measure adds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DoubtedPart {
    /// what was measured
    pub name: &'static str,
    /// its letter in the formula
    pub symbol: &'static str,
    /// the measure
    pub value: f64,
    /// one standard deviation of it
    pub sd: f64,
    /// the unit of both
    pub unit: Unit,
    /// how far the volume moves with it, one standard deviation
    pub of_volume: Volume,
}

/// What a vessel holds at a depth when the depth and its measures are themselves uncertain.
///
/// | | |
/// |---|---|
/// | sd | √(Σ uᵢ²), uᵢ = ½ · abs(V(xᵢ + sᵢ) − V(xᵢ − sᵢ)) |
/// | sᵢ | one standard deviation of a measure, 0 or more; measures not named are taken as exact |
/// | depth | 0 to the height; where a vessel turns out lower than its depth, it is full |
/// | error | first order: measures independent of each other, deviations small beside the measures |
/// | source | JCGM 100:2008 (GUM), 5.1.2 and the second note of 5.1.3 |
///
/// A tape read to ±5 mm has s = 5/√3 mm, a limit from one side to the other of a resolution r has r/√12 (GUM 4.3.7).
///
/// # Errors
/// [`ShapeError`] for a depth outside the vessel, a measure that it does not have, a standard deviation that is negative
/// or no number, and measures that one deviation moves out of their range.
///
/// ```
/// use keepwell_engine::quantity::{as_litres, metres};
/// use keepwell_engine::vessel::{Lying, Shape, volume_with_doubt};
/// // ENG-038: 14.4 L for 5 mm at half of a lying cylinder of 1.2 by 2.4 m, first order.
/// let tank = Shape::Lying(Lying::new(metres(1.2), metres(2.4))?);
/// let held = volume_with_doubt(&tank, metres(0.6), metres(0.005), &[])?;
/// assert!((as_litres(held.sd) - 14.4).abs() < 1e-3);
/// # Ok::<(), keepwell_engine::vessel::ShapeError>(())
/// ```
pub fn volume_with_doubt(
    shape: &Shape,
    depth: Length,
    depth_sd: Length,
    sds: &[(&str, f64)],
) -> Result<Doubted, ShapeError> {
    let volume = shape.volume_at(depth)?;
    let rim = shape.height().unwrap_or_default();
    let depth_sd_m = at_least_nothing("depth_sd_m", as_metres(depth_sd))?;
    let depth_sd = metres(depth_sd_m);
    let deeper = shape.volume_at((depth + depth_sd).min(rim))?;
    let lower = shape.volume_at((depth - depth_sd).max(Length::default()))?;
    // At the floor and at the rim only one side is there to move to.
    let room = ((depth + depth_sd).min(rim) - (depth - depth_sd).max(Length::default())) / 2.0;
    let of_depth =
        if room > Length::default() { (deeper - lower) / 2.0 * (depth_sd / room) } else { Volume::default() };
    let mut parts = vec![DoubtedPart {
        name: "depth",
        symbol: "h",
        value: as_metres(depth),
        sd: depth_sd_m,
        unit: Unit::Metre,
        of_volume: of_depth,
    }];
    let figures = shape.dimensions();
    let dimensions = shape.kind().dimensions();
    for &(key, sd) in sds {
        let at =
            figures.iter().position(|figure| figure.0 == key).ok_or(ShapeError::NoSuchFigure { kind: shape.kind() })?;
        let (dimension, (key, value)) = (&dimensions[at], figures[at]);
        let sd = at_least_nothing(key, sd)?;
        let moved = |by: f64| -> Result<Volume, ShapeError> {
            let get =
                |other: &str| figures.iter().find(|f| f.0 == other).map(|f| if f.0 == key { f.1 + by } else { f.1 });
            let other = Shape::from_dimensions(shape.kind(), get, &[])?;
            other.volume_at(depth.min(other.height().unwrap_or_default()))
        };
        let of_volume = (moved(sd)? - moved(-sd)?).abs() / 2.0;
        parts.push(DoubtedPart {
            name: dimension.measure.name,
            symbol: dimension.symbol,
            value,
            sd,
            unit: dimension.measure.unit,
            of_volume,
        });
    }
    let sd = parts.iter().fold(Volume::default(), |sum, part| hypot(sum, part.of_volume));
    Ok(Doubted { volume, sd, parts })
}

impl Doubted {
    /// What is behind it.
    #[must_use]
    pub fn working(&self, shape: &Shape) -> Working {
        let mut working = Working::new("Water in the vessel, with its error", shape.form().formula());
        for part in &self.parts {
            working =
                working.input(part.name, part.symbol, Figure::uncertain(part.value, part.sd, part.unit), "set-up");
        }
        for part in &self.parts {
            let litres = Figure::exact(as_litres(part.of_volume), Unit::Litre);
            working = working.step(part.name, "½ · |V(x + s) − V(x − s)|", litres);
        }
        working
            .step(
                "All of them together",
                "√(Σ uᵢ²)",
                Figure::uncertain(as_litres(self.volume), as_litres(self.sd), Unit::Litre),
            )
            .source(shape.form().source())
            .source("JCGM 100:2008 (GUM), 5.1.2 and 5.1.3 note 2")
    }
}

/// Volumes between which the truth lies when nobody knows how a vessel is closed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Between {
    /// closed so that it holds the least
    pub least: Volume,
    /// closed so that it holds the most
    pub most: Volume,
    /// half way
    pub middle: Volume,
    /// one standard deviation, every way of closing held equally likely
    pub sd: Volume,
}

/// What a lying cylinder holds at a depth if its ends may be flat, dished, elliptical or half spheres.
///
/// | | |
/// |---|---|
/// | limits | flat ends; half spheres |
/// | sd | (most − least)/√12 |
/// | error | the ends are one of the four usual ones |
/// | source | JCGM 100:2008 (GUM), 4.3.7 |
///
/// # Errors
/// [`ShapeError`] for measures out of range or a depth outside the vessel.
///
/// ```
/// use keepwell_engine::quantity::{as_litres, metres};
/// use keepwell_engine::vessel::lying_with_unknown_ends;
/// // The table of four heads by fluids 1.3.1 TANK, 1.2 by 2.4 m full: 2.7143 to 3.6191 m³.
/// let held = lying_with_unknown_ends(metres(1.2), metres(2.4), metres(1.2))?;
/// assert!((as_litres(held.least) - 2714.3).abs() < 0.1 && (as_litres(held.most) - 3619.1).abs() < 0.1);
/// # Ok::<(), keepwell_engine::vessel::ShapeError>(())
/// ```
pub fn lying_with_unknown_ends(diameter: Length, shell: Length, depth: Length) -> Result<Between, ShapeError> {
    between(diameter, depth, |ends| Lying::with_ends(diameter, shell, ends).map(Shape::Lying))
}

/// What a standing cylinder holds at a depth over its lowest point if its bottom may be flat, dished, elliptical or
/// half a sphere. As [`lying_with_unknown_ends`], flat holding the most.
///
/// # Errors
/// [`ShapeError`] for measures out of range or a depth outside the vessel.
pub fn upright_with_unknown_bottom(diameter: Length, shell: Length, depth: Length) -> Result<Between, ShapeError> {
    between(diameter, depth, |bottom| Upright::with_bottom(diameter, shell, bottom).map(Shape::Upright))
}

fn between(
    diameter: Length,
    depth: Length,
    make: impl Fn(Head) -> Result<Shape, ShapeError>,
) -> Result<Between, ShapeError> {
    let usual = [
        Head::Flat,
        Head::Dished { crown: diameter, knuckle: diameter * 0.06 },
        Head::Elliptical { depth: diameter / 4.0 },
        Head::Round,
    ];
    let mut ends: Option<(Volume, Volume)> = None;
    for head in usual {
        let volume = make(head)?.volume_at(depth)?;
        ends = Some(ends.map_or((volume, volume), |(least, most)| (least.min(volume), most.max(volume))));
    }
    let (least, most) = ends.unwrap_or_default();
    Ok(Between { least, most, middle: (least + most) / 2.0, sd: (most - least) / 12.0_f64.sqrt() })
}

fn at_least_nothing(key: &'static str, sd: f64) -> Result<f64, ShapeError> {
    let error = OutOfRange { measure: crate::quantity::STANDARD_DEVIATION, value: sd };
    crate::quantity::STANDARD_DEVIATION.check(sd).map_err(|_| ShapeError::OutOfRange { key, error })
}

fn hypot(a: Volume, b: Volume) -> Volume {
    Volume { value: a.value.hypot(b.value), ..a }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn each_measure_adds_its_part_in_quadrature() {
        // By hand: a box of 2 × 1 × 1 m at 0.5 m is 1000 L; 1 % of length is 10 L, 2 % of width 20 L, 1 % of depth 10 L:
        // √(10² + 20² + 10²) = 24.495 L.
        let tank = Shape::Box(super::super::Cuboid::new(metres(2.0), metres(1.0), metres(1.0)).unwrap());
        let held =
            volume_with_doubt(&tank, metres(0.5), metres(0.005), &[("length_m", 0.02), ("width_m", 0.02)]).unwrap();
        assert!((as_litres(held.sd) - 24.494_897).abs() < 1e-5);
        assert_eq!(held.parts.len(), 3);
        assert_eq!(held.working(&tank).steps.len(), 4);
    }

    #[test]
    fn what_a_vessel_does_not_have_is_named() {
        let tank = Shape::Upright(Upright::new(metres(1.0), metres(1.0)).unwrap());
        let refused = volume_with_doubt(&tank, metres(0.5), metres(0.0), &[("length_m", 0.01)]);
        assert_eq!(refused, Err(ShapeError::NoSuchFigure { kind: tank.kind() }));
        for bad in [f64::NAN, -1.0, f64::INFINITY] {
            assert!(volume_with_doubt(&tank, metres(0.5), metres(bad), &[]).is_err());
            assert!(volume_with_doubt(&tank, metres(0.5), metres(0.0), &[("diameter_m", bad)]).is_err());
        }
    }

    #[test]
    fn an_unknown_bottom_lies_between_the_usual_ones() {
        // engineering.md 2.3, D 1.6 m, shell 1.5 m, by fluids 1.3.1: at 0.4 m 0.8042 flat, 0.3351 half a sphere.
        let held = upright_with_unknown_bottom(metres(1.6), metres(1.5), metres(0.4)).unwrap();
        assert!((as_litres(held.most) - 804.2).abs() < 0.1 && (as_litres(held.least) - 335.1).abs() < 0.1);
        assert!((as_litres(held.sd) - (804.2 - 335.1) / 12.0_f64.sqrt()).abs() < 0.1);
    }

    proptest! {
        #[test]
        fn any_figures_are_an_answer_or_an_error(
            depth in prop::num::f64::ANY, part in 0.0..=1.0, sd in prop::num::f64::ANY, small in 0.0..0.01, of in prop::num::f64::ANY
        ) {
            for shape in Shape::samples() {
                let inside = shape.height().unwrap_or_default() * part;
                for (depth, sd) in [(metres(depth), sd), (inside, small), (inside, sd)] {
                    let keys: Vec<_> = shape.dimensions().iter().map(|figure| (figure.0, sd)).collect();
                    let all = volume_with_doubt(&shape, depth, metres(sd), &keys);
                    if let Ok(held) = volume_with_doubt(&shape, depth, metres(sd), &[]).or(all) {
                        prop_assert!(held.sd.is_finite() && held.sd >= Volume::default());
                    }
                }
            }
            if let Ok(held) = lying_with_unknown_ends(metres(of), metres(sd), metres(depth)) {
                prop_assert!(held.sd.is_finite() && held.least <= held.most);
            }
        }
    }
}
