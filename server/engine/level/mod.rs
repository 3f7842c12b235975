//! What is in one vessel, or in one coupled bank as a whole: litres with a standard deviation, moved by entries and
//! widening with time.
//!
//! A [`Level`] is folded entry by entry in the order of their time. It knows no shapes: the caller turns depths into
//! litres, and passes a bank's joint brim and surface. [`explain`] carries several explanations of a history side by
//! side: it tells use, leaks and readings that do not fit as well.

mod estimate;
pub mod explain;
mod method;
mod working;

#[cfg(test)]
mod tests;

pub use estimate::BAND;
pub use estimate::Estimate;
pub use estimate::Fit;
pub use method::Method;
pub use method::reading_sd;

use crate::moment::Moment;
use crate::quantity::OutOfRange;
use crate::quantity::Time;
use crate::quantity::VOLUME;
use crate::quantity::Volume;
use crate::quantity::as_days;
use crate::quantity::as_litres;
use crate::quantity::litres;

/// Beyond this many joint standard deviations an entry does not fit what was expected. Common practice, no source.
pub const MISFIT: f64 = 3.0;
/// Use that nobody logged: one standard deviation after a day, as a part of the brim, growing with the square root of
/// the days (2 % in a week, 7 % in a quarter). Common practice, no source.
pub const UNLOGGED_A_DAY: f64 = 0.007_5;
/// A level whose band is wider than this part of the brim is stale. Common practice, no source.
pub const STALE_BAND: f64 = 0.2;
/// A draw of an unknown amount: half of them take less than this many litres. Common practice, no source.
pub const UNKNOWN_DRAW_MEDIAN: f64 = 40.0;
/// The standard deviation of the natural logarithm of a draw of an unknown amount. Common practice, no source.
pub const UNKNOWN_DRAW_SPREAD: f64 = 0.7;
/// A vessel drawn down to its outlet holds its heel within this part of it. Common practice, no source.
pub const HEEL_ERROR: f64 = 0.1;
/// "Filled to the top" leaves the surface 0 to this many millimetres under the full mark, evenly spread. Common
/// practice, no source.
pub const TOP_SLACK_MM: f64 = 10.0;

const SQRT_3: f64 = 1.732_050_807_568_877_2;
const SQRT_12: f64 = 2.0 * SQRT_3;

/// The entry that moved the level last, for the working.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Change {
    words: &'static str,
    formula: &'static str,
    before: (f64, f64),
    entered: Option<(f64, f64)>,
}

/// The level of one vessel, or of one coupled bank.
///
/// - **What** litres V with one standard deviation s, from the entries so far.
/// - **Formulas** a reading m with its own standard deviation r: V' = (V/s² + m/r²) / (1/s² + 1/r²),
///   1/s'² = 1/s² + 1/r²; when m lies more than 3·√(s² + r²) from V it does not fit, and V' = m, s' = r. A fill or
///   draw of a: V' = V ± a, s'² = s² + sd(a)². Time t in days: s(t)² = s² + u², u = 0.0075 · brim · √t, at most V,
///   as no more than all of it can have been used.
/// - **Range** 0 to the brim, always; nothing known is "anywhere in the vessel", evenly: brim/2 ± brim/√12, and the
///   first reading is then taken as it is.
/// - **Left out** errors that last (a sensor's offset, a capacity that is not as stated, an eye that errs twice the
///   same way) are taken for new each time; rate of use and leaks are not told apart.
/// - **Reference** inverse-variance weighting of independent estimates; JCGM 100:2008 (GUM) 5.1.2 for sums.
///
/// An upright tank 1.20 m across and 1.70 m deep, dipped at 1.00 m by a stick good to 4 mm: π/4 · 1.2² · 1.0 =
/// 1.13097 m³, and 1.13097 m² · 4 mm = 4.5 L.
/// ```
/// use keepwell_engine::level::Level;
/// use keepwell_engine::moment::Moment;
/// use keepwell_engine::quantity::{as_litres, litres};
/// let now = Moment::from_micros(0);
/// let mut tank = Level::new(litres(1922.65), litres(1922.65))?;
/// assert!(tank.read(now, litres(1130.97), litres(4.52))?.fits());
/// assert!((as_litres(tank.at(now).volume) - 1130.97).abs() < 0.01);
/// # Ok::<(), keepwell_engine::quantity::OutOfRange>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Level {
    brim: f64,
    full: f64,
    volume: f64,
    sd: f64,
    /// false while the figure is only "evenly anywhere between two ends"
    known: bool,
    moved: Option<Moment>,
    last_read: Option<Moment>,
    change: Option<Change>,
}

impl Level {
    /// A vessel of which nothing is known yet. `brim` is what it can hold, `full` what it holds at its full mark
    /// (the same where it has none).
    ///
    /// # Errors
    /// [`OutOfRange`] when the brim is not between 0 and 10,000,000 L, or full is not between 0 and the brim.
    pub fn new(brim: Volume, full: Volume) -> Result<Self, OutOfRange> {
        let brim = VOLUME.check(as_litres(brim))?;
        let full = as_litres(full);
        // one part in a million: the two come from different formulas of the same shape
        if !(0.0..=brim * (1.0 + 1e-6)).contains(&full) {
            let mut measure = VOLUME;
            measure.name = "volume at the full mark";
            measure.max = brim;
            return Err(OutOfRange { measure, value: full });
        }
        Ok(Self {
            brim,
            full: full.min(brim),
            volume: brim / 2.0,
            sd: brim / SQRT_12,
            known: false,
            moved: None,
            last_read: None,
            change: None,
        })
    }

    /// What is believed at `now`, widened for the time since the last entry. A `now` before it counts as it.
    #[must_use]
    pub fn at(&self, now: Moment) -> Estimate {
        self.estimate(self.widened(now))
    }

    /// Whether the band at `now` is wider than a fifth of the brim: time to look again.
    #[must_use]
    pub fn is_stale(&self, now: Moment) -> bool {
        let Estimate { low, high, .. } = self.at(now);
        as_litres(high - low) > STALE_BAND * self.brim
    }

    /// Whether anything but "somewhere in the vessel" is known: it was read, filled to the top or emptied.
    #[must_use]
    pub const fn is_known(&self) -> bool {
        self.known
    }

    /// When a level was last read.
    #[must_use]
    pub const fn last_read(&self) -> Option<Moment> {
        self.last_read
    }

    /// How long ago a level was last read; nothing when it never was.
    #[must_use]
    pub fn age(&self, now: Moment) -> Option<Time> {
        self.last_read.map(|read| now.since(read))
    }

    /// What it can hold.
    #[must_use]
    pub fn brim(&self) -> Volume {
        litres(self.brim)
    }

    /// What it holds at its full mark.
    #[must_use]
    pub fn full(&self) -> Volume {
        litres(self.full)
    }

    /// A level seen: `volume` with its own standard deviation ([`reading_sd`]). A reading above the brim is one of
    /// the brim.
    ///
    /// # Errors
    /// [`OutOfRange`] when either is not between 0 and 10,000,000 L; the level is then as it was.
    pub fn read(&mut self, at: Moment, volume: Volume, sd: Volume) -> Result<Fit, OutOfRange> {
        let (read, error) = checked(volume, sd)?;
        let before = self.advance(at);
        let joint = self.sd.hypot(error);
        let fit = self.judge((read - self.volume).abs(), joint, before);
        let outright = !self.known || !fit.fits() || joint <= 0.0;
        let (volume, sd) = if outright {
            (read, error)
        } else {
            // the ratios, not the squares, so that small errors do not run out of digits
            let weight = (self.sd / joint).powi(2);
            (self.volume + weight * (read - self.volume), self.sd * (error / joint))
        };
        self.last_read = Some(self.last_read.map_or(at, |last| last.max(at)));
        self.known = true;
        let (words, formula) = if outright {
            ("a reading, taken as it is", "V = m, s = r")
        } else {
            ("a reading, weighed by its error", "V = (V₀/s₀² + m/r²) / (1/s₀² + 1/r²)")
        };
        self.change = Some(Change { words, formula, before: before.litres(), entered: Some((read, error)) });
        self.set(volume, sd);
        Ok(fit)
    }

    /// Water in: an amount with its standard deviation, or nobody knows how much, anywhere from here to full. What
    /// does not go in runs away over the brim.
    ///
    /// # Errors
    /// [`OutOfRange`] when either is not between 0 and 10,000,000 L; the level is then as it was.
    pub fn fill(&mut self, at: Moment, volume: Option<Volume>, sd: Volume) -> Result<Fit, OutOfRange> {
        let Some(volume) = volume else {
            let before = self.advance(at);
            let room = (self.full - self.volume).max(0.0);
            // v evenly anywhere from V to full: var = (room² + s²)/12 + s²/4; an unknown amount never makes surer
            let spread = (room / SQRT_12).hypot(self.sd / SQRT_3);
            self.change = Some(Change {
                words: "a fill of an unknown amount",
                formula: "V = (V₀ + full)/2, s² = (full − V₀)²/12 + s₀²/3",
                before: before.litres(),
                entered: None,
            });
            self.set(self.volume + room / 2.0, self.sd.max(spread));
            return Ok(Fit::Fits);
        };
        let (amount, error) = checked(volume, sd)?;
        let before = self.advance(at);
        let joint = self.sd.hypot(error);
        let fit = self.judge(self.volume + amount - self.brim, joint, before);
        self.change = Some(Change {
            words: "a fill",
            formula: "V = V₀ + m, s² = s₀² + r²",
            before: before.litres(),
            entered: Some((amount, error)),
        });
        self.shift(amount, joint);
        Ok(fit)
    }

    /// Filled to the top: the surface stands 0 to 10 mm under the full mark. `slack` is the litres between the full
    /// mark and [`TOP_SLACK_MM`] below it (0 where that has no meaning).
    ///
    /// # Errors
    /// [`OutOfRange`] when the slack is not between 0 and 10,000,000 L; the level is then as it was.
    pub fn fill_to_top(&mut self, at: Moment, slack: Volume) -> Result<Fit, OutOfRange> {
        let slack = VOLUME.check(as_litres(slack))?.min(self.full);
        let before = self.advance(at);
        self.pin(
            "filled to the top",
            "V = full − slack/2, s = slack/√12",
            before,
            self.full - slack / 2.0,
            slack / SQRT_12,
        );
        Ok(Fit::Fits)
    }

    /// Water out: an amount with its standard deviation, or nobody knows how much. More than was believed to be there
    /// is no error: the belief was wrong. It then does not fit, nothing is counted as left, and the band reaches to
    /// where a missed fill would have left it.
    ///
    /// # Errors
    /// [`OutOfRange`] when either is not between 0 and 10,000,000 L; the level is then as it was.
    pub fn draw(&mut self, at: Moment, volume: Option<Volume>, sd: Volume) -> Result<Fit, OutOfRange> {
        let Some(volume) = volume else {
            let before = self.advance(at);
            let (mean, spread) = unknown_draw();
            // no more than is there: where the usual draw is more than half of it, evenly anything up to all
            let (taken, error) =
                if mean < self.volume / 2.0 { (mean, spread) } else { (self.volume / 2.0, self.volume / SQRT_12) };
            self.change = Some(Change {
                words: "a draw of an unknown amount",
                formula: "V = V₀ − m, s² = s₀² + r², log-normal, median 40 L",
                before: before.litres(),
                entered: Some((taken, error)),
            });
            self.set(self.volume - taken, self.sd.hypot(error));
            return Ok(Fit::Fits);
        };
        let (amount, error) = checked(volume, sd)?;
        let before = self.advance(at);
        let joint = self.sd.hypot(error);
        let fit = self.judge(amount - self.volume, joint, before);
        self.change = Some(Change {
            words: "a draw",
            formula: "V = V₀ − m, s² = s₀² + r²",
            before: before.litres(),
            entered: Some((amount, error)),
        });
        self.shift(-amount, joint);
        if !fit.fits() {
            let left_by_a_missed_fill = (self.full - amount).max(0.0);
            self.set(0.0, joint.max(left_by_a_missed_fill / SQRT_3));
        }
        Ok(fit)
    }

    /// Drawn down to an outlet: what is left is its `heel`, within a tenth of it.
    ///
    /// # Errors
    /// [`OutOfRange`] when the heel is not between 0 and 10,000,000 L; the level is then as it was.
    pub fn draw_to(&mut self, at: Moment, heel: Volume) -> Result<Fit, OutOfRange> {
        let heel = VOLUME.check(as_litres(heel))?;
        let before = self.advance(at);
        let error = HEEL_ERROR * heel;
        let fit = self.judge(heel - self.volume, self.sd.hypot(error), before);
        self.pin("drawn down to the outlet", "V = heel, s = heel/10", before, heel, error);
        Ok(fit)
    }

    /// Emptied, heel and all.
    pub fn empty(&mut self, at: Moment) -> Fit {
        let before = self.advance(at);
        self.pin("emptied", "V = 0, s = 0", before, 0.0, 0.0);
        Fit::Fits
    }

    pub(super) fn idle_days(&self, now: Moment) -> f64 {
        self.moved.map_or(0.0, |moved| as_days(now.since(moved)).max(0.0))
    }

    /// One standard deviation of what may have been used since the last entry.
    pub(super) fn unlogged(&self, now: Moment) -> f64 {
        (UNLOGGED_A_DAY * self.brim * self.idle_days(now).sqrt()).min(self.volume)
    }

    fn widened(&self, now: Moment) -> f64 {
        self.sd.hypot(self.unlogged(now)).min(self.most_sd())
    }

    /// No figure within the vessel is further from a truth that may be anywhere in it: √(brim²/3), from one end.
    fn most_sd(&self) -> f64 {
        self.brim / SQRT_3
    }

    fn estimate(&self, sd: f64) -> Estimate {
        Estimate::within(self.brim, self.volume, sd)
    }

    /// Brings the level to the time of an entry and says what was believed then.
    fn advance(&mut self, at: Moment) -> Estimate {
        self.sd = self.widened(at);
        self.moved = Some(self.moved.map_or(at, |moved| moved.max(at)));
        self.estimate(self.sd)
    }

    fn judge(&self, off: f64, joint: f64, before: Estimate) -> Fit {
        // a millionth of the brim is rounding, not a misfit
        if off > MISFIT * joint + 1e-6 * self.brim { Fit::DoesNotFit { expected: before } } else { Fit::Fits }
    }

    /// Moves the level by an amount. While it is only "evenly anywhere between two ends", the ends move, and stop at
    /// floor and brim.
    fn shift(&mut self, by: f64, joint: f64) {
        if self.known {
            self.set(self.volume + by, joint);
        } else {
            let end = |end: f64| (end + by).clamp(0.0, self.brim);
            let (low, high) = (end(self.volume - SQRT_3 * self.sd), end(self.volume + SQRT_3 * self.sd));
            self.set(f64::midpoint(low, high), (high - low) / SQRT_12);
        }
    }

    fn pin(&mut self, words: &'static str, formula: &'static str, before: Estimate, volume: f64, sd: f64) {
        self.known = true;
        self.change = Some(Change { words, formula, before: before.litres(), entered: None });
        self.set(volume, sd);
    }

    fn set(&mut self, volume: f64, sd: f64) {
        self.volume = volume.clamp(0.0, self.brim);
        self.sd = sd.min(self.most_sd());
    }
}

fn checked(volume: Volume, sd: Volume) -> Result<(f64, f64), OutOfRange> {
    Ok((VOLUME.check(as_litres(volume))?, VOLUME.check(as_litres(sd))?))
}

/// Mean and standard deviation of a log-normal amount: m = median · exp(σ²/2), sd = m · √(exp(σ²) − 1).
fn unknown_draw() -> (f64, f64) {
    let variance = UNKNOWN_DRAW_SPREAD * UNKNOWN_DRAW_SPREAD;
    let mean = UNKNOWN_DRAW_MEDIAN * (variance / 2.0).exp();
    (mean, mean * variance.exp_m1().sqrt())
}
