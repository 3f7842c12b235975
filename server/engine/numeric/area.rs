//! The area under a function, piece by piece.

use super::Estimate;
use super::NumericError;

/// The ten positive nodes of Gauss and Legendre's rule of twenty points, each with its weight.
///
/// Source: NIST Digital Library of Mathematical Functions, section 3.5(v), whose defining equations these solve.
const NODES: [(f64, f64); 10] = [
    (0.993_128_599_185_094_9, 0.017_614_007_139_152_118),
    (0.963_971_927_277_913_8, 0.040_601_429_800_386_94),
    (0.912_234_428_251_326, 0.062_672_048_334_109_06),
    (0.839_116_971_822_218_8, 0.083_276_741_576_704_75),
    (0.746_331_906_460_150_8, 0.101_930_119_817_240_44),
    (0.636_053_680_726_515, 0.118_194_531_961_518_42),
    (0.510_867_001_950_827_1, 0.131_688_638_449_176_63),
    (0.373_706_088_715_419_56, 0.142_096_109_318_382_05),
    (0.227_785_851_141_645_08, 0.149_172_986_472_603_75),
    (0.076_526_521_133_497_33, 0.152_753_387_130_725_85),
];

/// The area under `f` from `low` to `high` by twenty points, exact to rounding where `f` is smooth inside and no worse
/// than a square root at either end. No error is told: for functions known beforehand.
///
/// The points are crowded towards both ends by x = (3s − s³)/2, which makes a square root there a straight line.
pub(crate) fn smooth_area(f: impl Fn(f64) -> f64, low: f64, high: f64) -> f64 {
    let half = (high - low) / 2.0;
    let middle = low + half;
    let sum: f64 = NODES
        .iter()
        .map(|(node, weight)| {
            let reach = half * node * (3.0 - node * node) / 2.0;
            weight * 1.5 * (1.0 - node * node) * (f(middle - reach) + f(middle + reach))
        })
        .sum();
    sum * half
}

/// How many parts [`area`] begins with.
const FIRST_PIECES: u32 = 8;
/// How often [`area`] may halve its widest doubt.
const MOST_PIECES: usize = 400;

/// The area under `f` from `low` to `high`, to `tolerance` as a part of it.
///
/// Twenty points of Gauss and Legendre on each piece against the same on its two halves; the piece in most doubt is
/// halved next. Square roots at the ends, kinks and steps inside are found and fenced in.
///
/// # Errors
/// [`NumericError`] when the ends are not in order, `f` gives no number, or the doubt stays larger than asked.
///
/// ```
/// use keepwell_engine::numeric::area;
/// // A quarter of the unit circle is π/4 (Archimedes), in spite of its upright end.
/// let quarter = area(|x| (1.0 - x * x).max(0.0).sqrt(), 0.0, 1.0, 1e-10)?;
/// assert!((quarter.value - core::f64::consts::FRAC_PI_4).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::numeric::NumericError>(())
/// ```
pub fn area(f: impl Fn(f64) -> f64, low: f64, high: f64, tolerance: f64) -> Result<Estimate, NumericError> {
    if !((high - low).is_finite() && high >= low) {
        return Err(NumericError::Ends { low, high });
    }
    if !(tolerance.is_finite() && tolerance > 0.0) {
        return Err(NumericError::Tolerance(tolerance));
    }
    // Several from the start: one rule against another can agree by chance about a kink, but then only in one of them.
    let end = |piece: u32| low + (high - low) * (f64::from(piece) / f64::from(FIRST_PIECES));
    let mut pieces: Vec<_> = (0..FIRST_PIECES).map(|piece| Piece::of(&f, end(piece), end(piece + 1))).collect();
    loop {
        let value: f64 = pieces.iter().map(|piece| piece.value).sum();
        let error: f64 = pieces.iter().map(|piece| piece.error).sum();
        if !value.is_finite() {
            return Err(NumericError::NotANumber(low));
        }
        if error <= tolerance * value.abs() || error <= f64::MIN_POSITIVE {
            return Ok(Estimate { value, error });
        }
        let worst = (0..pieces.len()).max_by(|a, b| pieces[*a].error.total_cmp(&pieces[*b].error)).unwrap_or_default();
        if pieces.len() >= MOST_PIECES {
            return Err(NumericError::Rough { tolerance });
        }
        let Piece { low, high, .. } = pieces.swap_remove(worst);
        let middle = low + (high - low) / 2.0;
        pieces.extend([Piece::of(&f, low, middle), Piece::of(&f, middle, high)]);
    }
}

/// A part of the way of [`area`].
struct Piece {
    low: f64,
    high: f64,
    value: f64,
    error: f64,
}

impl Piece {
    fn of(f: &impl Fn(f64) -> f64, low: f64, high: f64) -> Self {
        let middle = low + (high - low) / 2.0;
        let whole = smooth_area(f, low, high);
        let value = smooth_area(f, low, middle) + smooth_area(f, middle, high);
        Self { low, high, value, error: (value - whole).abs() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn finds_textbook_areas() {
        // By hand: x⁷ from 0 to 2 is 2⁸/8 = 32; √x from 0 to 1 is 2/3; a step at 1/3 of height 3 from 0 to 1 is 2.
        assert!((area(|x| x.powi(7), 0.0, 2.0, 1e-12).unwrap().value - 32.0).abs() < 1e-12);
        assert!((area(f64::sqrt, 0.0, 1.0, 1e-12).unwrap().value - 2.0 / 3.0).abs() < 1e-12);
        let step = area(|x| if x < 1.0 / 3.0 { 0.0 } else { 3.0 }, 0.0, 1.0, 1e-9).unwrap();
        assert!((step.value - 2.0).abs() < 1e-8);
        assert!((smooth_area(f64::sqrt, 0.0, 1.0) - 2.0 / 3.0).abs() < 1e-14);
        assert_eq!(area(|_| 0.0, 0.0, 1.0, 1e-9), Ok(Estimate { value: 0.0, error: 0.0 }));
    }

    #[test]
    fn refuses_what_has_no_area() {
        assert_eq!(area(|x| x, 1.0, 0.0, 1e-9), Err(NumericError::Ends { low: 1.0, high: 0.0 }));
        assert!(matches!(area(|x| x, 0.0, f64::INFINITY, 1e-9), Err(NumericError::Ends { .. })));
        assert!(matches!(area(|_| f64::NAN, 0.0, 1.0, 1e-9), Err(NumericError::NotANumber(_))));
        assert!(matches!(area(|x| x, 0.0, 1.0, f64::NAN), Err(NumericError::Tolerance(_))));
    }

    proptest! {
        #[test]
        fn any_ends_end_in_an_area_or_an_error(low in prop::num::f64::ANY, high in prop::num::f64::ANY, tolerance in prop::num::f64::ANY) {
            if let Ok(found) = area(|x| x.atan(), low, high, tolerance) {
                prop_assert!(found.value.is_finite() && found.error >= 0.0);
            }
        }
    }
}
