//! Luck that belongs to what it is about: each number comes from the seed, the draw and the name of the thing, never from
//! how many were drawn before it. So what is added, left out or changed moves nobody else's, and two plans are compared
//! draw by draw under the same weather.

use rand_distr::Distribution;
use rand_distr::Exp1;
use rand_distr::Open01;
use rand_distr::StandardNormal;
use rand_pcg::Pcg32;

/// What a number is about.
#[derive(Clone, Copy)]
pub(super) enum About {
    /// how long the mains are off
    Outage = 1,
    /// use of everybody, everywhere
    UseOfAll,
    /// use at a site
    Use,
    /// fuel burnt at a site
    Burn,
    /// what all estimates of a site have in common
    Stocks,
    /// one stock
    Stock,
    /// whether something comes
    Comes,
    /// how late it comes
    Late,
    /// the sun on every battery: one sky over all
    Sun,
}

/// The name of a thing that has luck of its own.
#[derive(Clone, Copy)]
pub(super) struct Name(u64);

impl Name {
    /// What `about` is of the whole neighbourhood.
    pub(super) const fn of_all(about: About) -> Self {
        Self(mix(about as u64))
    }

    /// What `about` is of the site with this key, and there of the thing with this id; "" for the site itself.
    pub(super) fn new(about: About, site: &str, id: &str) -> Self {
        Self(mix(bytes(id.as_bytes(), mix(bytes(site.as_bytes(), mix(about as u64))))))
    }

    /// The thing of this number among those of this name.
    pub(super) const fn number(self, number: u64) -> Self {
        Self(mix(self.0 ^ mix(number)))
    }
}

/// The luck of one draw.
#[derive(Clone, Copy)]
pub(super) struct Luck(u64);

impl Luck {
    pub(super) fn new(seed: u64, draw: u32) -> Self {
        Self(mix(mix(seed).wrapping_add(u64::from(draw).wrapping_mul(GOLDEN))))
    }

    fn stream(self, name: Name) -> Pcg32 {
        Pcg32::new(mix(self.0.wrapping_add(name.0)), 0)
    }

    /// A standard normal number.
    pub(super) fn normal(self, name: Name) -> f64 {
        StandardNormal.sample(&mut self.stream(name))
    }

    /// An exponential number of mean 1.
    pub(super) fn wait(self, name: Name) -> f64 {
        Exp1.sample(&mut self.stream(name))
    }

    /// Evenly between 0 and 1, neither included.
    pub(super) fn even(self, name: Name) -> f64 {
        Open01.sample(&mut self.stream(name))
    }
}

/// 2⁶⁴ ÷ the golden ratio.
const GOLDEN: u64 = 0x9E37_79B9_7F4A_7C15;

/// The finisher of `SplitMix64` (Steele, Lea, Flood 2014, Fast splittable pseudorandom number generators): one to one, and
/// each bit in moves half of the bits out.
const fn mix(number: u64) -> u64 {
    let mut bits = number.wrapping_add(GOLDEN);
    bits = (bits ^ (bits >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    bits = (bits ^ (bits >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    bits ^ (bits >> 31)
}

/// FNV-1a, 64 bits (Fowler, Noll, Vo), going on from `from`.
fn bytes(bytes: &[u8], from: u64) -> u64 {
    bytes
        .iter()
        .fold(0xCBF2_9CE4_8422_2325 ^ from, |hash, byte| (hash ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01B3))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_finisher_and_the_hash_are_the_published_ones() {
        // SplitMix64 from state 0 begins with these (the test vector of its reference code, as rand_core carries it).
        assert_eq!(mix(0), 0xE220_A839_7B1D_CDAF);
        assert_eq!(mix(GOLDEN), 0x6E78_9E6A_A1B9_65F4);
        // FNV-1a of "a" (the authors' table).
        assert_eq!(bytes(b"a", 0), 0xAF63_DC4C_8601_EC8C);
    }

    #[test]
    fn the_numbers_have_the_moments_of_their_distributions() {
        let name = Name::new(About::Stock, "hall", "tank");
        let count = 40_000_u32;
        let (mut normal, mut square, mut wait, mut even, mut across) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for draw in 0..count {
            let luck = Luck::new(7, draw);
            let z = luck.normal(name);
            normal += z;
            square += z * z;
            across += z * luck.normal(Name::new(About::Stock, "hall", "butt"));
            wait += luck.wait(name);
            even += luck.even(name);
        }
        // five standard errors of each mean: 1/√n, √2/√n, 1/√n, 1/√n, 1/√(12 n)
        let error = 5.0 / f64::from(count).sqrt();
        let mean = |sum: f64| sum / f64::from(count);
        assert!(mean(normal).abs() < error);
        assert!((mean(square) - 1.0).abs() < 1.5 * error);
        assert!(mean(across).abs() < error, "two stocks have luck of their own");
        assert!((mean(wait) - 1.0).abs() < error);
        assert!((mean(even) - 0.5).abs() < 0.3 * error);
    }
}
