//! Chance with a seed: equal seeds have equal worlds.

use core::f64::consts::TAU;

/// A stream of chance.
pub struct Chance(u64);

impl Chance {
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// `SplitMix64`: Steele, Lea and Flood, "Fast splittable pseudorandom number generators", 2014.
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Evenly from 0 to 1, never either.
    fn part(&mut self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "53 bits fit an f64 exactly")]
        let bits = (self.next() >> 11) as f64;
        (bits + 0.5) / 9_007_199_254_740_992.0
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.part()
    }

    /// Evenly in the logarithm.
    pub fn log_between(&mut self, low: f64, high: f64) -> f64 {
        self.between(low.ln(), high.ln()).exp()
    }

    pub fn happens(&mut self, odds: f64) -> bool {
        self.part() < odds
    }

    pub fn one_of<T: Copy>(&mut self, choice: &[T]) -> T {
        let at = self.next() % choice.len() as u64;
        choice[usize::try_from(at).unwrap_or(0)]
    }

    /// Box and Muller, 1958.
    pub fn normal(&mut self) -> f64 {
        (-2.0 * self.part().ln()).sqrt() * (TAU * self.part()).cos()
    }

    /// Marsaglia and Tsang, "A simple method for generating gamma variables", 2000; for a shape of 1 or more, as here.
    pub fn gamma(&mut self, mean: f64, relative_sd: f64) -> f64 {
        let shape = 1.0 / (relative_sd * relative_sd);
        let d = shape - 1.0 / 3.0;
        let c = 1.0 / (9.0 * d).sqrt();
        loop {
            let x = self.normal();
            let v = (1.0 + c * x).powi(3);
            if v > 0.0 && self.part().ln() < 0.5 * x * x + d - d * v + d * v.ln() {
                return mean * d * v / shape;
            }
        }
    }
}
