//! The normal distribution: density, probability of an interval, and what is left of it inside one.

use core::f64::consts::FRAC_1_SQRT_2;
use core::f64::consts::FRAC_2_SQRT_PI;
use core::f64::consts::TAU;

/// Probabilities below this are this: a logarithm of nothing helps nobody.
const LEAST: f64 = 1e-300;
/// Terms of the series and of the continued fraction: more than either needs where it is used.
const TERMS: u32 = 120;
/// Where the series hands over to the continued fraction.
const SPLIT: f64 = 2.5;

/// 1 − erf(x), to about twelve digits of itself, tails included.
///
/// Sources: DLMF 7.6.2 (series) below 2.5, DLMF 7.9.1 (continued fraction of erfc) above.
pub fn erfc(x: f64) -> f64 {
    if x < 0.0 {
        return 2.0 - erfc(-x);
    }
    let fall = FRAC_2_SQRT_PI * (-x * x).exp();
    if x < SPLIT {
        let (mut term, mut sum) = (x, x);
        for n in 1..TERMS {
            term *= 2.0 * x * x / f64::from(2 * n + 1);
            sum += term;
            if term <= sum * 1e-17 {
                break;
            }
        }
        return 1.0 - fall * sum;
    }
    let mut below = x;
    for n in (1..TERMS / 2).rev() {
        below = x + f64::from(n) / 2.0 / below;
    }
    0.5 * fall / below
}

/// The probability of a value below `x`.
pub fn below(x: f64) -> f64 {
    0.5 * erfc(-x * FRAC_1_SQRT_2)
}

/// The density at `x`.
pub fn density(x: f64) -> f64 {
    (-0.5 * x * x).exp() / TAU.sqrt()
}

/// The logarithm of the density of a normal of this `variance` at distance `off` from its mean.
pub fn log_density(off: f64, variance: f64) -> f64 {
    -0.5 * (off * off / variance + (TAU * variance).ln())
}

/// The logarithm of a probability, never minus infinity.
pub fn log(probability: f64) -> f64 {
    probability.max(LEAST).ln()
}

/// A standard normal known to lie between two ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Inside {
    /// logarithm of the probability that it does
    pub log: f64,
    /// the mean of what lies there
    pub mean: f64,
    /// its variance
    pub variance: f64,
}

/// What is left of a standard normal between `low` and `high`, either of which may be infinite.
///
/// - **Formulas** Z = Φ(b) − Φ(a); mean (φ(a) − φ(b))/Z; variance 1 + (a·φ(a) − b·φ(b))/Z − mean².
/// - **Reference** Johnson, Kotz and Balakrishnan, Continuous Univariate Distributions 1, 13.10 (from memory).
pub fn inside(low: f64, high: f64) -> Inside {
    if low > 0.0 {
        // the left tail keeps its digits
        let Inside { log, mean, variance } = inside(-high, -low);
        return Inside { log, mean: -mean, variance };
    }
    if high - low < 1e-3 {
        let middle = f64::midpoint(low, high);
        let width = (high - low).max(1e-12);
        return Inside { log: log_density(middle, 1.0) + width.ln(), mean: middle, variance: width * width / 12.0 };
    }
    if high < -30.0 {
        // the far tail: 1/x² beside the end
        return Inside {
            log: log_density(high, 1.0) - (-high).ln(),
            mean: high + 1.0 / high,
            variance: 1.0 / (high * high),
        };
    }
    let part = (below(high) - below(low)).max(LEAST);
    let edge = |x: f64| if x.is_finite() { (density(x), x * density(x)) } else { (0.0, 0.0) };
    let ((at_low, slope_low), (at_high, slope_high)) = (edge(low), edge(high));
    let mean = ((at_low - at_high) / part).clamp(low, high);
    let variance = 1.0 + (slope_low - slope_high) / part - mean * mean;
    Inside { log: part.ln(), mean, variance: variance.clamp(1e-9, 1.0) }
}

/// The larger of 0 and a normal: its mean, its variance, and the part of it above 0.
///
/// - **Formulas** with α = m/s: mean m·Φ(α) + s·φ(α); mean square (m² + s²)·Φ(α) + m·s·φ(α).
pub fn above_nothing(mean: f64, variance: f64) -> (f64, f64, f64) {
    let sd = variance.max(0.0).sqrt();
    if mean >= 6.0 * sd {
        return (mean.max(0.0), variance.max(0.0), 1.0);
    }
    if mean <= -8.0 * sd {
        return (0.0, 0.0, 0.0);
    }
    let (part, edge) = (below(mean / sd), density(mean / sd));
    let first = (mean * part + sd * edge).max(0.0);
    let second = (mean * mean + variance) * part + mean * sd * edge;
    (first, (second - first * first).max(0.0), part)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn near(got: f64, expected: f64) {
        assert!((got - expected).abs() <= 1e-9 * expected.abs(), "{got} is not {expected}");
    }

    #[test]
    fn agrees_with_the_published_table() {
        // Abramowitz and Stegun, table 7.1 (erf to ten places) and table 7.3 (x·exp(x²)·erfc(x)), from memory.
        near(1.0 - erfc(0.5), 0.520_499_877_8);
        near(1.0 - erfc(1.0), 0.842_700_792_9);
        near(1.0 - erfc(2.0), 0.995_322_265_0);
        // The normal distribution's usual quantiles: 90 % and 97.5 %.
        assert!((below(1.281_551_565_5) - 0.9).abs() < 1e-9);
        assert!((below(-1.959_963_984_5) - 0.025).abs() < 1e-9);
    }

    #[test]
    fn series_and_fraction_meet() {
        // Two expansions of one function that share nothing: they must agree where one hands over to the other.
        let (left, right) = (erfc(SPLIT - 1e-9), erfc(SPLIT));
        assert!((left - right - 2e-9 / core::f64::consts::PI.sqrt() * (-SPLIT * SPLIT).exp()).abs() < 1e-13);
    }

    #[test]
    fn half_a_normal_is_known_in_closed_form() {
        // Half-normal: mean √(2/π), variance 1 − 2/π.
        let half = inside(0.0, f64::INFINITY);
        near(half.log, 0.5_f64.ln());
        near(half.mean, (2.0 / core::f64::consts::PI).sqrt());
        near(half.variance, 1.0 - 2.0 / core::f64::consts::PI);
        let (mean, variance, part) = above_nothing(0.0, 4.0);
        // 2·max(0, z): mean 2·φ(0), mean square 4/2
        near(mean, 2.0 / TAU.sqrt());
        near(variance, 2.0 - mean * mean);
        near(part, 0.5);
    }

    #[test]
    fn the_ends_hold_what_is_inside() {
        for (low, high) in [(-1.0, 1.0), (5.0, 6.0), (-40.0, -35.0), (33.0, f64::INFINITY), (0.2, 0.2 + 1e-6)] {
            let Inside { log, mean, variance } = inside(low, high);
            assert!(log.is_finite() && variance > 0.0);
            assert!(mean >= low && mean <= high, "{mean} is not within {low} and {high}");
        }
    }
}
