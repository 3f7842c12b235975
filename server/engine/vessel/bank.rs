//! Vessels joined by a manifold, left to settle: their water stands at one elevation, each depth counted from its own
//! floor. A vessel whose floor lies above the surface is empty; one whose rim lies below it is full to its rim.

use super::HAIR_OF_BRIM;
use super::Shape;
use super::ShapeError;
use crate::numeric;
use crate::numeric::Bracket;
use crate::quantity::ELEVATION;
use crate::quantity::Length;
use crate::quantity::OutOfRange;
use crate::quantity::Volume;
use crate::quantity::as_litres;
use crate::quantity::as_metres;
use crate::quantity::metres;

/// How closely the common surface is searched for, either way.
const SURFACE_TOLERANCE_METRES: f64 = 1e-10;

/// What the vessels hold together with their surface at `elevation`. Each comes with the elevation of its lowest
/// inside point; all count from one datum.
///
/// | | |
/// |---|---|
/// | volume | Σ Vᵢ(elevation − floorᵢ), each between empty and its brim |
/// | floor | −500 to 6,000 m |
/// | source | communicating vessels: one free surface under one pressure, at rest |
///
/// # Errors
/// [`ShapeError`] for a vessel without depth, a floor out of range, or an elevation that is no number.
///
/// ```
/// use keepwell_engine::quantity::{as_litres, metres};
/// use keepwell_engine::vessel::{Shape, Upright, bank};
/// let tank = Shape::Upright(Upright::new(metres(2.413), metres(2.3))?);
/// // ENG-001 and ENG-002: 0.68595525 m³ at 0.15 m and 6.8595525 m³ at 1.5 m, here side by side on two steps.
/// let both = bank::volume_at_elevation(&[(&tank, metres(0.0)), (&tank, metres(1.35))], metres(1.5))?;
/// assert!((as_litres(both) - (685.95525 + 6859.5525)).abs() < 1e-2);
/// # Ok::<(), keepwell_engine::vessel::ShapeError>(())
/// ```
pub fn volume_at_elevation(members: &[(&Shape, Length)], elevation: Length) -> Result<Volume, ShapeError> {
    Ok(shares_at(members, elevation)?.into_iter().fold(Volume::default(), |sum, share| sum + share))
}

/// What each vessel holds when `total` has settled among them, in their order. The shares add up to the total.
///
/// # Errors
/// [`ShapeError`] for a vessel without depth, a floor out of range, or a total below nothing or above all their brims.
///
/// ```
/// use keepwell_engine::quantity::{as_litres, litres, metres};
/// use keepwell_engine::vessel::{Cuboid, Shape, bank};
/// // By hand: two tanks of 1 m² floor, one 0.5 m higher. 900 L stand at (0.9 + 0.5)/2 = 0.7 m: 700 and 200 L.
/// let tank = Shape::Box(Cuboid::new(metres(1.0), metres(1.0), metres(1.0))?);
/// let shares = bank::settle(&[(&tank, metres(0.0)), (&tank, metres(0.5))], litres(900.0))?;
/// assert!((as_litres(shares[0]) - 700.0).abs() < 1e-6 && (as_litres(shares[1]) - 200.0).abs() < 1e-6);
/// # Ok::<(), keepwell_engine::vessel::ShapeError>(())
/// ```
pub fn settle(members: &[(&Shape, Length)], total: Volume) -> Result<Vec<Volume>, ShapeError> {
    let total = held(members, total)?;
    let Some(found) = bracket(members, total)? else { return Ok(Vec::new()) };
    let low = shares_at(members, metres(found.low))?;
    let high = shares_at(members, metres(found.high))?;
    let sum = |shares: &[Volume]| shares.iter().fold(Volume::default(), |sum, share| sum + *share);
    let span = sum(&high) - sum(&low);
    // Between the two ends of the search the shares rise together: what is missing is given out in proportion.
    let part = if span > Volume::default() { ((total - sum(&low)) / span).value.clamp(0.0, 1.0) } else { 0.0 };
    Ok(low.into_iter().zip(high).map(|(low, high)| low + (high - low) * part).collect())
}

/// The elevation at which `total` stands when it has settled; `None` for no vessels. Where it is not the only one (all
/// vessels below are full and those above still empty), it is one of those.
///
/// # Errors
/// As [`settle`].
pub fn surface(members: &[(&Shape, Length)], total: Volume) -> Result<Option<Length>, ShapeError> {
    let total = held(members, total)?;
    Ok(bracket(members, total)?.map(|found| metres(found.middle())))
}

/// The total, if it fits.
fn held(members: &[(&Shape, Length)], total: Volume) -> Result<Volume, ShapeError> {
    let (none, brim) =
        (Volume::default(), members.iter().fold(Volume::default(), |sum, (shape, _)| sum + shape.brim()));
    let hair = brim * HAIR_OF_BRIM;
    if (none - hair..=brim + hair).contains(&total) {
        Ok(total.max(none).min(brim))
    } else {
        Err(ShapeError::Volume { litres: as_litres(total), brim: as_litres(brim) })
    }
}

/// Two elevations close together between which `total` stands.
fn bracket(members: &[(&Shape, Length)], total: Volume) -> Result<Option<Bracket>, ShapeError> {
    let mut ends: Option<(Length, Length)> = None;
    for &(shape, floor) in members {
        let rim = checked(floor)? + height(shape)?;
        ends = Some(ends.map_or((floor, rim), |(low, high)| (low.min(floor), high.max(rim))));
    }
    let Some((low, high)) = ends else { return Ok(None) };
    // Rounding may leave the sum a last digit short of the total at the top: what is asked for is then the top.
    let full = volume_at_elevation(members, high)?;
    let total = total.min(full);
    let over = |elevation: f64| {
        volume_at_elevation(members, metres(elevation)).map_or(f64::NAN, |volume| (volume - total).value)
    };
    Ok(Some(numeric::root(over, as_metres(low), as_metres(high), SURFACE_TOLERANCE_METRES)?))
}

fn shares_at(members: &[(&Shape, Length)], elevation: Length) -> Result<Vec<Volume>, ShapeError> {
    if elevation.is_nan() {
        return Err(out_of_range(elevation));
    }
    let share = |&(shape, floor): &(&Shape, Length)| {
        let depth = elevation - checked(floor)?;
        shape.volume_at(depth.max(Length::default()).min(height(shape)?))
    };
    members.iter().map(share).collect()
}

fn height(shape: &Shape) -> Result<Length, ShapeError> {
    shape.height().ok_or(ShapeError::NoDepth { kind: shape.kind() })
}

fn checked(floor: Length) -> Result<Length, ShapeError> {
    ELEVATION.check(as_metres(floor)).map(|_| floor).map_err(|_| out_of_range(floor))
}

fn out_of_range(elevation: Length) -> ShapeError {
    let error = OutOfRange { measure: ELEVATION, value: as_metres(elevation) };
    ShapeError::OutOfRange { key: "elevation_m", error }
}

#[cfg(test)]
mod tests {
    use super::super::Cuboid;
    use super::super::Heater;
    use super::*;
    use crate::quantity::litres;
    use proptest::prelude::*;

    fn cube(side: f64) -> Shape {
        Shape::Box(Cuboid::new(metres(side), metres(side), metres(side)).unwrap())
    }

    #[track_caller]
    fn shares(members: &[(&Shape, Length)], total: f64, expected: &[f64]) {
        let found: Vec<_> = settle(members, litres(total)).unwrap().into_iter().map(as_litres).collect();
        assert_eq!(found.len(), expected.len());
        for (share, expected) in found.iter().zip(expected) {
            assert!((share - expected).abs() < 1e-6, "{found:?}");
        }
    }

    #[test]
    fn water_stands_at_one_elevation() {
        // By hand: cubes of 1 m and 2 m side, floors level: 1 and 4 m² share 2,500 L at 0.5 m.
        let (small, large) = (cube(1.0), cube(2.0));
        shares(&[(&small, metres(0.0)), (&large, metres(0.0))], 2500.0, &[500.0, 2000.0]);
        // By hand: 5,000 L fill the small one at 1 m; 6,000 L leave it full and the large one at 1.25 m.
        shares(&[(&small, metres(0.0)), (&large, metres(0.0))], 6000.0, &[1000.0, 5000.0]);
    }

    #[test]
    fn a_vessel_above_the_surface_is_empty_and_one_below_it_full() {
        let cube = cube(1.0);
        let steps = [(&cube, metres(2.0)), (&cube, metres(0.0))];
        shares(&steps, 400.0, &[0.0, 400.0]);
        shares(&steps, 1000.0, &[0.0, 1000.0]);
        shares(&steps, 1300.0, &[300.0, 1000.0]);
        shares(&steps, 2000.0, &[1000.0, 1000.0]);
        shares(&steps, 0.0, &[0.0, 0.0]);
        let at = surface(&steps, litres(1300.0)).unwrap().unwrap();
        assert!((as_metres(at) - 2.3).abs() < 1e-9);
    }

    #[test]
    fn what_cannot_settle_is_refused() {
        let (cube, heater) = (cube(1.0), Shape::Heater(Heater::new(100.0).unwrap()));
        assert!(matches!(settle(&[(&cube, metres(0.0))], litres(1001.0)), Err(ShapeError::Volume { .. })));
        assert!(matches!(settle(&[(&cube, metres(0.0))], litres(-1.0)), Err(ShapeError::Volume { .. })));
        assert!(matches!(settle(&[(&cube, metres(0.0))], litres(f64::NAN)), Err(ShapeError::Volume { .. })));
        assert!(matches!(settle(&[(&cube, metres(f64::NAN))], litres(1.0)), Err(ShapeError::OutOfRange { .. })));
        assert!(matches!(settle(&[(&heater, metres(0.0))], litres(1.0)), Err(ShapeError::NoDepth { .. })));
        assert!(volume_at_elevation(&[(&cube, metres(0.0))], metres(f64::NAN)).is_err());
        assert_eq!(settle(&[], litres(0.0)), Ok(Vec::new()));
        assert!(settle(&[], litres(1.0)).is_err());
    }

    proptest! {
        #[test]
        fn settling_conserves_and_stays_between_floor_and_rim(
            floors in prop::collection::vec(-3.0..3.0, 1..6), part in 0.0..=1.0
        ) {
            let deep: Vec<_> = Shape::samples().into_iter().filter(|shape| shape.height().is_some()).collect();
            let floors = floors.into_iter().map(metres);
            let members: Vec<_> = deep.iter().cycle().zip(floors).collect();
            let brim = members.iter().fold(Volume::default(), |sum, (shape, _)| sum + shape.brim());
            let total = brim * part;
            let shares = settle(&members, total).unwrap();
            let sum = shares.iter().fold(Volume::default(), |sum, share| sum + *share);
            prop_assert!((sum - total).abs() <= brim * 1e-12);
            let level = surface(&members, total).unwrap().unwrap();
            for ((shape, floor), share) in members.iter().zip(&shares) {
                prop_assert!(*share >= Volume::default() && *share <= shape.brim());
                let depth = shape.depth_of(*share).unwrap();
                let stands = *floor + depth;
                let empty = *share <= shape.brim() * 1e-9 && level <= *floor + metres(1e-4);
                let full = *share >= shape.brim() * (1.0 - 1e-9) && stands <= level + metres(1e-4);
                prop_assert!(empty || full || (stands - level).abs() < metres(1e-6));
            }
        }
    }
}
