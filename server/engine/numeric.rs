//! Numbers without a closed form: the root of a rising or falling function, the area under one, and straight lines
//! between known points. Each answer says how far off it can be.
//!
//! These work on bare numbers; the callers keep the units.

mod area;

pub use area::area;
pub(crate) use area::smooth_area;

/// Why a numeric answer could not be given.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum NumericError {
    /// the function has the same sign at both ends
    #[error("no root between {low} and {high}: the function has the same sign at both")]
    NotBracketed {
        /// lower end
        low: f64,
        /// upper end
        high: f64,
    },
    /// the ends are not two finite numbers in order
    #[error("the ends {low} and {high} are not finite numbers in order")]
    Ends {
        /// lower end
        low: f64,
        /// upper end
        high: f64,
    },
    /// the tolerance is zero, negative, or not a number
    #[error("the tolerance is {0}; it must be a number above zero")]
    Tolerance(f64),
    /// the function gave no number
    #[error("the function is not a number at {0}")]
    NotANumber(f64),
    /// a line needs two points
    #[error("a line needs two points or more; there are {0}")]
    TooFewPoints(usize),
    /// a point that is not finite
    #[error("point {0} is not a number")]
    PointNotFinite(usize),
    /// a point that does not lie further right and higher than the one before
    #[error("point {0} does not lie further right and higher than the one before it")]
    NotRising(usize),
    /// the area under a function could not be told closely enough
    #[error("the area under the function could not be told to {tolerance} of itself")]
    Rough {
        /// what was asked for, as a part of the answer
        tolerance: f64,
    },
}

/// Two ends between which a root lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bracket {
    /// the lower end
    pub low: f64,
    /// the upper end
    pub high: f64,
}

impl Bracket {
    const fn point(at: f64) -> Self {
        Self { low: at, high: at }
    }

    /// The middle: the best single answer.
    #[must_use]
    pub fn middle(self) -> f64 {
        self.low + (self.high - self.low) / 2.0
    }

    /// How far the root can be from the middle.
    #[must_use]
    pub fn error(self) -> f64 {
        (self.high - self.low) / 2.0
    }
}

/// The root of `f` between `low` and `high`, where it changes sign, to `tolerance` either way.
///
/// The ITP method (interpolate, truncate, project): as quick as the secant on smooth functions, and never more
/// than one step slower than halving. Stops early where two neighbouring floats enclose the root.
///
/// Source: Oliveira and Takahashi, "An enhancement of the bisection method average performance preserving minmax
/// optimality", ACM Transactions on Mathematical Software 47(1), 2020; parameters κ1 = 0.2/(b − a), κ2 = 2, n0 = 1.
///
/// # Errors
/// [`NumericError`] when the ends are not in order, enclose no change of sign, or `f` gives no number.
///
/// ```
/// use keepwell_engine::numeric::root;
/// // The real root of x³ - x - 2, a textbook exercise: 1.52138 (1.5213797068 to ten places).
/// let root = root(|x| x * x * x - x - 2.0, 1.0, 2.0, 1e-10)?;
/// assert!((root.middle() - 1.521_379_706_8).abs() < 2e-10);
/// assert!(root.error() <= 1e-10);
/// # Ok::<(), keepwell_engine::numeric::NumericError>(())
/// ```
pub fn root(f: impl Fn(f64) -> f64, low: f64, high: f64, tolerance: f64) -> Result<Bracket, NumericError> {
    let width = high - low;
    if !(width.is_finite() && width >= 0.0) {
        return Err(NumericError::Ends { low, high });
    }
    if !(tolerance.is_finite() && tolerance > 0.0) {
        return Err(NumericError::Tolerance(tolerance));
    }
    let at = |x: f64| Some(f(x)).filter(|y| !y.is_nan()).ok_or(NumericError::NotANumber(x));
    let (at_low, at_high) = (at(low)?, at(high)?);
    if at_low == 0.0 {
        return Ok(Bracket::point(low));
    }
    if at_high == 0.0 {
        return Ok(Bracket::point(high));
    }
    if (at_low < 0.0) == (at_high < 0.0) {
        return Err(NumericError::NotBracketed { low, high });
    }
    let sign = if at_low < 0.0 { 1.0 } else { -1.0 };
    let mut itp = Itp { a: low, b: high, below: sign * at_low, above: sign * at_high, pull: 0.2 / width, room: 0.0 };
    let halvings = (width / (2.0 * tolerance)).log2().ceil().max(0.0);
    // A hair less than the tolerance, so that rounding does not cost a step at the end.
    itp.room = 0.99 * tolerance * (halvings + 1.0).exp2();
    while itp.b - itp.a > 2.0 * tolerance {
        let Some(x) = itp.next() else { break };
        let y = sign * at(x)?;
        if y == 0.0 {
            return Ok(Bracket::point(x));
        }
        if y < 0.0 {
            (itp.a, itp.below) = (x, y);
        } else {
            (itp.b, itp.above) = (x, y);
        }
        itp.room /= 2.0;
    }
    Ok(Bracket { low: itp.a, high: itp.b })
}

/// The state of [`root`]: the ends, a negative value at `a` and a positive one at `b`.
struct Itp {
    a: f64,
    b: f64,
    below: f64,
    above: f64,
    /// κ1: how hard the next point is pulled to the middle
    pull: f64,
    /// how wide half the bracket may still be to keep the bound on the number of steps
    room: f64,
}

impl Itp {
    /// Where to look next; `None` when no float lies between the ends.
    fn next(&self) -> Option<f64> {
        let width = self.b - self.a;
        let middle = self.a + width / 2.0;
        if middle <= self.a || middle >= self.b {
            return None;
        }
        let secant = self.a - self.below * (width / (self.above - self.below));
        let toward = (middle - secant).signum();
        let step = self.pull * width * width;
        let truncated = if step <= (middle - secant).abs() { secant + toward * step } else { middle };
        let reach = (self.room - width / 2.0).max(0.0);
        let projected = if (truncated - middle).abs() <= reach { truncated } else { middle - toward * reach };
        // Rounding can land on an end, and infinite values make the secant useless: then halve.
        Some(if projected > self.a && projected < self.b { projected } else { middle })
    }
}

/// A value read off a line or added up piece by piece, and the most it can be wrong.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// the value
    pub value: f64,
    /// the most it can differ: from any rising truth through the same points, or from the area asked for
    pub error: f64,
}

/// Straight lines through points that rise strictly in both directions, such as depth and litres.
#[derive(Clone, Debug, PartialEq)]
pub struct Rising {
    points: Vec<(f64, f64)>,
}

impl Rising {
    /// A line through these points.
    ///
    /// # Errors
    /// [`NumericError`] names the first point (counted from 0) that is not finite or does not rise.
    pub fn new(points: Vec<(f64, f64)>) -> Result<Self, NumericError> {
        if points.len() < 2 {
            return Err(NumericError::TooFewPoints(points.len()));
        }
        if let Some(index) = points.iter().position(|(x, y)| !(x.is_finite() && y.is_finite())) {
            return Err(NumericError::PointNotFinite(index));
        }
        let falls = points.windows(2).position(|pair| pair[1].0 <= pair[0].0 || pair[1].1 <= pair[0].1);
        match falls {
            Some(index) => Err(NumericError::NotRising(index + 1)),
            None => Ok(Self { points }),
        }
    }

    /// The points it goes through.
    #[must_use]
    pub fn points(&self) -> &[(f64, f64)] {
        &self.points
    }

    /// The height of the line at `x`; `None` beyond its ends.
    ///
    /// Between two points a rising truth stays between their heights, so the line is off by at most the larger of
    /// the rise behind it and the rise ahead.
    ///
    /// ```
    /// use keepwell_engine::numeric::Rising;
    /// // Squares, by hand: half way from (1, 1) to (2, 4) the line gives 2.5, the truth is 2.25.
    /// let squares = Rising::new(vec![(0.0, 0.0), (1.0, 1.0), (2.0, 4.0)])?;
    /// let read = squares.at(1.5).unwrap();
    /// assert_eq!((read.value, read.error), (2.5, 1.5));
    /// assert!((read.value - 2.25).abs() <= read.error);
    /// assert!(squares.at(2.1).is_none());
    /// # Ok::<(), keepwell_engine::numeric::NumericError>(())
    /// ```
    #[must_use]
    pub fn at(&self, x: f64) -> Option<Estimate> {
        let ((x0, y0), (x1, y1)) = self.segment(|point| point.0, x)?;
        let value = between(y0, y1, (x - x0) / (x1 - x0));
        let known = value <= y0 || value >= y1;
        Some(Estimate { value, error: if known { 0.0 } else { (value - y0).max(y1 - value) } })
    }

    /// Where the line has height `y`; `None` beyond its ends.
    #[must_use]
    pub fn inverse(&self, y: f64) -> Option<f64> {
        let ((x0, y0), (x1, y1)) = self.segment(|point| point.1, y)?;
        Some(between(x0, x1, (y - y0) / (y1 - y0)))
    }

    /// How steep the line is at `x`, to the right of a point, to the left of the last; `None` beyond its ends.
    #[must_use]
    pub fn slope(&self, x: f64) -> Option<f64> {
        let ((x0, y0), (x1, y1)) = self.segment(|point| point.0, x)?;
        Some((y1 - y0) / (x1 - x0))
    }

    /// The two points on either side of `value`, measured by `of`.
    fn segment(&self, of: impl Fn(&(f64, f64)) -> f64, value: f64) -> Option<((f64, f64), (f64, f64))> {
        let (first, last) = (self.points.first()?, self.points.last()?);
        if !(of(first)..=of(last)).contains(&value) {
            return None;
        }
        let after = self.points.partition_point(|point| of(point) <= value).clamp(1, self.points.len() - 1);
        Some((self.points[after - 1], self.points[after]))
    }
}

/// The value `part` of the way from `low` to `high`: exact at both ends and never beyond them.
fn between(low: f64, high: f64, part: f64) -> f64 {
    ((1.0 - part) * low + part * high).clamp(low, high)
}

#[cfg(test)]
mod tests {
    use super::*;
    use core::cell::Cell;
    use proptest::prelude::*;

    #[test]
    fn finds_textbook_roots() {
        // Dottie's number, the fixed point of the cosine: OEIS A003957.
        let dottie = root(|x| x - x.cos(), 0.0, 1.0, 1e-12).unwrap();
        assert!((dottie.middle() - 0.739_085_133_215_160_6).abs() <= 1e-12);
        // The square root of two, with a falling function.
        let two = root(|x| 2.0 - x * x, 0.0, 2.0, 1e-12).unwrap();
        assert!((two.middle() - core::f64::consts::SQRT_2).abs() <= 1e-12);
    }

    #[test]
    fn never_takes_more_than_one_step_over_halving() {
        let hard: [fn(f64) -> f64; 4] = [
            |x| (x - 0.3).powi(9),
            |x| if x < 0.9 { -1e-12 } else { 1e12 },
            |x| (x - 1e-9).cbrt(),
            |x| (20.0 * x).exp() - 1.5,
        ];
        for f in hard {
            let calls = Cell::new(0_u32);
            let counted = |x| {
                calls.set(calls.get() + 1);
                f(x)
            };
            let found = root(counted, -1.0, 1.0, 1e-9).unwrap();
            assert!(found.error() <= 1e-9);
            assert!(f(found.low) <= 0.0 && f(found.high) >= 0.0);
            // 2 for the ends, log2(2 / 2e-9) = 29.9 halvings, and one.
            assert!(calls.get() <= 2 + 30 + 1, "{} calls", calls.get());
        }
    }

    #[test]
    fn takes_less_than_half_the_steps_of_halving_on_smooth_functions() {
        let smooth: [fn(f64) -> f64; 3] = [|x| x * x * x - x - 2.0, |x| x.ln() - 0.5, |x| 1.7 - x * x];
        for f in smooth {
            let calls = Cell::new(0_u32);
            let counted = |x| {
                calls.set(calls.get() + 1);
                f(x)
            };
            root(counted, 1.0, 2.0, 1e-12).unwrap();
            // Halving 1 down to 2e-12 takes 39.
            assert!(calls.get() - 2 < 39 / 2, "{} calls", calls.get());
        }
    }

    #[test]
    fn refuses_what_has_no_root() {
        assert_eq!(root(|x| x, 1.0, 2.0, 1e-9), Err(NumericError::NotBracketed { low: 1.0, high: 2.0 }));
        assert_eq!(root(|x| x, 2.0, -1.0, 1e-9), Err(NumericError::Ends { low: 2.0, high: -1.0 }));
        assert!(matches!(root(|x| x, f64::NAN, 1.0, 1e-9), Err(NumericError::Ends { .. })));
        assert!(matches!(root(|x| x, f64::NEG_INFINITY, 1.0, 1e-9), Err(NumericError::Ends { .. })));
        assert_eq!(root(|x| x, -1.0, 1.0, 0.0), Err(NumericError::Tolerance(0.0)));
        assert!(matches!(root(|_| f64::NAN, -1.0, 1.0, 1e-9), Err(NumericError::NotANumber(_))));
    }

    #[test]
    fn stops_between_neighbouring_floats() {
        let found = root(|x| if x < 1e6 { -1.0 } else { 1.0 }, 0.0, 1e7, 1e-30).unwrap();
        assert!(found.high.to_bits() - found.low.to_bits() <= 1);
    }

    #[test]
    fn refuses_points_that_do_not_rise() {
        assert_eq!(Rising::new(vec![(0.0, 0.0)]), Err(NumericError::TooFewPoints(1)));
        assert_eq!(Rising::new(vec![(0.0, 0.0), (1.0, 2.0), (2.0, 1.0)]), Err(NumericError::NotRising(2)));
        assert_eq!(Rising::new(vec![(0.0, 0.0), (0.0, 1.0)]), Err(NumericError::NotRising(1)));
        assert_eq!(Rising::new(vec![(0.0, 0.0), (1.0, f64::NAN)]), Err(NumericError::PointNotFinite(1)));
    }

    proptest! {
        #[test]
        fn a_line_passes_through_its_points_and_back(steps in prop::collection::vec((0.001..10.0, 0.001..1e4), 1..40)) {
            let mut points = vec![(0.0, 0.0)];
            for (dx, dy) in steps {
                let (x, y) = points[points.len() - 1];
                points.push((x + dx, y + dy));
            }
            let line = Rising::new(points.clone()).unwrap();
            for (x, y) in points {
                prop_assert_eq!(line.at(x), Some(Estimate { value: y, error: 0.0 }));
                prop_assert_eq!(line.inverse(y), Some(x));
            }
        }

        #[test]
        fn a_rising_truth_stays_within_the_stated_error(x in 0.0..3.0) {
            let cubes = Rising::new((0..=6).map(|i| f64::from(i) / 2.0).map(|x| (x, x.powi(3))).collect()).unwrap();
            let read = cubes.at(x).unwrap();
            prop_assert!((read.value - x.powi(3)).abs() <= read.error + 1e-12);
        }

        #[test]
        fn any_ends_and_tolerance_end_in_an_answer_or_an_error(
            low in prop::num::f64::ANY, high in prop::num::f64::ANY, tolerance in prop::num::f64::ANY
        ) {
            if let Ok(found) = root(|x| x.atan() - 0.1, low, high, tolerance) {
                prop_assert!(found.low <= found.high && found.middle().is_finite());
            }
        }
    }
}
