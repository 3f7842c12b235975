//! Whether a vessel gets to its place: through a door, and round the turn of a stair or passage.

use super::error::StructureError;
use super::measures::SIZE;
use crate::quantity::Length;
use crate::quantity::Unit;
use crate::quantity::as_metres;
use crate::quantity::metres;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

/// A vessel as it is carried: three sizes over all, 1 mm to 100 m each.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Passage {
    sizes: [f64; 3],
}

impl Passage {
    /// From length, width and height over all; a round vessel has its diameter twice.
    ///
    /// # Errors
    /// [`StructureError`] for a size out of range.
    pub fn new(sizes: [Length; 3]) -> Result<Self, StructureError> {
        let mut checked = [0.0; 3];
        for (place, size) in checked.iter_mut().zip(sizes) {
            *place = SIZE.check(as_metres(size))?;
        }
        checked.sort_by(f64::total_cmp);
        Ok(Self { sizes: checked })
    }
}

/// What is left on the tighter side when a vessel goes straight through a door, carried the best of its three ways
/// (no slanting): below 0 it does not pass.
///
/// | | |
/// |---|---|
/// | room | the larger of min(W − s, H − m) and min(W − m, H − s), s and m the two smaller sizes |
/// | W, H | clear width and height of the door, 1 mm to 100 m; a doorway of 0.91 m decides which tank gets in |
/// | source | common practice, no source |
///
/// # Errors
/// [`StructureError`] for a size out of range.
///
/// ```
/// use keepwell_engine::quantity::{as_metres, metres};
/// use keepwell_engine::structure::{Passage, passes};
/// // By hand: a tote of 1.2 × 1.0 × 1.16 m lacks 9 cm at a door of 0.91 × 2.03 m; a drum of 0.6 × 0.6 × 0.9 has 31 to spare.
/// let tote = Passage::new([1.2, 1.0, 1.16].map(metres))?;
/// assert!((as_metres(passes(&tote, metres(0.91), metres(2.03))?.value) + 0.09).abs() < 1e-12);
/// let drum = Passage::new([0.6, 0.6, 0.9].map(metres))?;
/// assert!((as_metres(passes(&drum, metres(0.91), metres(2.03))?.value) - 0.31).abs() < 1e-12);
/// # Ok::<(), keepwell_engine::structure::StructureError>(())
/// ```
pub fn passes(vessel: &Passage, width: Length, height: Length) -> Result<Reckoned<Length>, StructureError> {
    let (width, height) = (SIZE.check(as_metres(width))?, SIZE.check(as_metres(height))?);
    let [small, middle, _] = vessel.sizes;
    let room = (width - small).min(height - middle).max((width - middle).min(height - small));
    Ok(Working::new("Room to spare at a door", "min(W − s, H − m) or min(W − m, H − s), the larger")
        .input("clear width", "W", Figure::exact(width, Unit::Metre), "measured")
        .input("clear height", "H", Figure::exact(height, Unit::Metre), "measured")
        .input("smallest size", "s", Figure::exact(small, Unit::Metre), "set-up")
        .input("middle size", "m", Figure::exact(middle, Unit::Metre), "set-up")
        .step("room to spare", "min(W − s, H − m) or min(W − m, H − s)", Figure::exact(room, Unit::Metre))
        .without("Handles, fittings and fingers")
        .source("Common practice, no source")
        .gives(metres(room)))
}

/// The longest vessel of this breadth that goes level round a right-angled turn between two passages of widths a and b,
/// less the vessel's own length: below 0 it does not get round.
///
/// | | |
/// |---|---|
/// | longest | min over φ of (a − w cos φ)/sin φ + (b − w sin φ)/cos φ, w the breadth |
/// | carried | on its smallest or middle size, whichever lets more round, under a ceiling high enough for the other |
/// | source | the ladder round a corner with a breadth: plane geometry |
///
/// # Errors
/// [`StructureError`] for a size out of range.
///
/// ```
/// use keepwell_engine::quantity::{as_metres, metres};
/// use keepwell_engine::structure::{Passage, turns};
/// // The ladder without a breadth is (a^(2/3) + b^(2/3))^(3/2), a textbook exercise: 2.8284 m round 1 m and 1 m.
/// let pole = Passage::new([0.001, 0.001, 2.8].map(metres))?;
/// let room = turns(&pole, (metres(1.0), metres(1.0)), metres(2.0))?.value;
/// assert!((as_metres(room) - 0.0284).abs() < 0.003);
/// # Ok::<(), keepwell_engine::structure::StructureError>(())
/// ```
pub fn turns(
    vessel: &Passage,
    (before, after): (Length, Length),
    ceiling: Length,
) -> Result<Reckoned<Length>, StructureError> {
    let (before, after) = (SIZE.check(as_metres(before))?, SIZE.check(as_metres(after))?);
    let ceiling = SIZE.check(as_metres(ceiling))?;
    let [small, middle, large] = vessel.sizes;
    // Level, with one of its sizes upright; the two others lie in plan, the longer of them along the way.
    let lying = |up: f64, breadth: f64, length: f64| (longest(before, after, breadth) - length).min(ceiling - up);
    let room = lying(small, middle, large).max(lying(middle, small, large)).max(lying(large, small, middle));
    Ok(Working::new("Room to spare at a turn", "longest(a, b, w) − length, or what the ceiling leaves")
        .input("width before the turn", "a", Figure::exact(before, Unit::Metre), "measured")
        .input("width after the turn", "b", Figure::exact(after, Unit::Metre), "measured")
        .input("height of the passage", "c", Figure::exact(ceiling, Unit::Metre), "measured")
        .step(
            "room to spare, carried the best way",
            "min over φ of (a − w · cos φ)/sin φ + (b − w · sin φ)/cos φ",
            Figure::exact(room, Unit::Metre),
        )
        .without("Steps and slope: on a stair tilt costs more room")
        .source("Plane geometry: the ladder round a corner, with a breadth")
        .gives(metres(room)))
}

/// The longest rectangle of breadth `w` round a right angle between widths `a` and `b`, found on a fine fan of angles and
/// then by golden section.
fn longest(a: f64, b: f64, w: f64) -> f64 {
    if w > a || w > b {
        return 0.0;
    }
    let at = |angle: f64| {
        let (sine, cosine) = angle.sin_cos();
        (a - w * cosine) / sine + (b - w * sine) / cosine
    };
    const FAN: u32 = 200;
    let angle = |step: u32| f64::from(step) / f64::from(FAN) * core::f64::consts::FRAC_PI_2;
    let best = (1..FAN).min_by(|one, other| at(angle(*one)).total_cmp(&at(angle(*other)))).unwrap_or(1);
    let (mut low, mut high) = (angle(best - 1).max(1e-9), angle(best + 1).min(core::f64::consts::FRAC_PI_2 - 1e-9));
    for _ in 0..80 {
        let (left, right) = (high - (high - low) * 0.618_033_988_749_895, low + (high - low) * 0.618_033_988_749_895);
        if at(left) < at(right) { high = right } else { low = left }
    }
    // Straight on, without turning, it may be as long as the wider way allows: no less than a square of it.
    at(f64::midpoint(low, high)).max(w)
}
