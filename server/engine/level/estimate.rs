//! What is believed of a level, and whether an entry agrees with it.

use crate::quantity::Volume;
use crate::quantity::as_litres;
use crate::quantity::litres;

/// Eight times in ten the truth lies within this many standard deviations: the normal distribution's 90 % quantile.
pub const BAND: f64 = 1.281_6;

/// Litres believed to be in a vessel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// the best figure, 0 to the brim
    pub volume: Volume,
    /// one standard deviation
    pub sd: Volume,
    /// eight times in ten there is at least this much: volume − 1.2816 sd, not below 0
    pub low: Volume,
    /// eight times in ten there is at most this much: volume + 1.2816 sd, not above the brim
    pub high: Volume,
}

/// Whether an entry agrees with what was expected.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fit {
    /// within three joint standard deviations
    Fits,
    /// beyond them. The entry counts all the same (was a fill missed?)
    DoesNotFit {
        /// what was believed just before it
        expected: Estimate,
    },
}

impl Fit {
    /// Whether it agrees.
    #[must_use]
    pub const fn fits(self) -> bool {
        matches!(self, Self::Fits)
    }
}

impl Estimate {
    /// Litres and their standard deviation in a vessel of this brim.
    pub(super) fn within(brim: f64, volume: f64, sd: f64) -> Self {
        Self {
            volume: litres(volume),
            sd: litres(sd),
            low: litres((volume - BAND * sd).max(0.0)),
            high: litres((volume + BAND * sd).min(brim)),
        }
    }

    /// Volume and standard deviation in litres.
    pub(super) fn litres(&self) -> (f64, f64) {
        (as_litres(self.volume), as_litres(self.sd))
    }
}
