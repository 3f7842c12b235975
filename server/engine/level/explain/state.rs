//! One explanation's Kalman filter: what it holds for true of the vessel, with variances and how they hang together.

use super::normal;
use super::odds;

/// What is estimated, by its place in the vector.
pub mod part {
    /// litres by the stated capacity: what the surface shows
    pub const LEVEL: usize = 0;
    /// by how much more the vessel holds than stated, as a part
    pub const CAPACITY: usize = 1;
    /// what the sensor reads too high, mm
    pub const OFFSET: usize = 2;
    /// what the sight glass reads too much, as a part
    pub const SCALE: usize = 3;
    /// mean use, litres a day
    pub const USE: usize = 4;
    /// today's use over the mean, litres a day
    pub const TODAY: usize = 5;
    /// litres used since the counter was last read
    pub const COUNTED: usize = 6;
    /// by how much the level rose since it was last read, litres
    pub const MOVED: usize = 7;
    /// what leaks, litres a day
    pub const LEAK: usize = 8;
    /// litres that had leaked before the reading at which the leak is first held possible
    pub const LOST: usize = 9;
    /// how many there are
    pub const COUNT: usize = 10;
}

use part::CAPACITY;
use part::COUNT;
use part::COUNTED;
use part::LEAK;
use part::LEVEL;
use part::LOST;
use part::MOVED;
use part::TODAY;
use part::USE;

/// How a measurement hangs on the parts: the row H of the usual formulas.
pub type Row = [f64; COUNT];

/// Mean and covariance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct State {
    pub mean: [f64; COUNT],
    pub cov: [[f64; COUNT]; COUNT],
}

/// What was measured, to be put against a prediction: a value with its variance, or two ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Seen {
    Exactly(f64),
    Between(f64, f64),
    /// the reading says nothing
    Nothing,
}

impl State {
    /// Everything is nothing, surely.
    pub const ZERO: Self = Self { mean: [0.0; COUNT], cov: [[0.0; COUNT]; COUNT] };

    pub const fn variance(&self, at: usize) -> f64 {
        self.cov[at][at]
    }

    /// Puts a new, independent value in one place.
    pub fn renew(&mut self, at: usize, mean: f64, variance: f64) {
        self.mean[at] = mean;
        for other in 0..COUNT {
            self.cov[at][other] = 0.0;
            self.cov[other][at] = 0.0;
        }
        self.cov[at][at] = variance;
    }

    /// `x[to] += by · x[from]`.
    pub fn add(&mut self, to: usize, by: f64, from: usize) {
        if self.mean[from] == 0.0 && self.cov[from][from] == 0.0 {
            return;
        }
        self.mean[to] += by * self.mean[from];
        for other in 0..COUNT {
            self.cov[to][other] += by * self.cov[from][other];
        }
        for other in 0..COUNT {
            self.cov[other][to] += by * self.cov[other][from];
        }
    }

    /// The level moves by an amount that is exact but for its variance; so does what moved since the last reading.
    pub fn shift(&mut self, by: f64, variance: f64) {
        self.mean[LEVEL] += by;
        self.mean[MOVED] += by;
        for (a, b) in [(LEVEL, LEVEL), (LEVEL, MOVED), (MOVED, LEVEL), (MOVED, MOVED)] {
            self.cov[a][b] += variance;
        }
    }

    /// Water in or out, by true litres: the surface moves less where the vessel holds more than stated.
    pub fn pour(&mut self, litres: f64, variance: f64) {
        let stated = litres * (1.0 - self.mean[CAPACITY]);
        self.shift(stated, variance);
        let spread = self.variance(CAPACITY);
        if spread > 0.0 {
            for at in [LEVEL, MOVED] {
                for other in 0..COUNT {
                    self.cov[at][other] -= litres * self.cov[CAPACITY][other];
                }
                for other in 0..COUNT {
                    self.cov[other][at] -= litres * self.cov[other][CAPACITY];
                }
            }
        }
    }

    /// Use and leak run for part of a day.
    pub fn flow(&mut self, days: f64) {
        for source in [USE, TODAY, LEAK] {
            self.add(LEVEL, -days, source);
            self.add(MOVED, -days, source);
            if source != LEAK {
                self.add(COUNTED, days, source);
            }
        }
    }

    /// Use and leak run from `from` to `to`, both in days, a whole number being a midnight. `used` is the brim of a
    /// vessel in daily use; nothing for one that stands.
    ///
    /// - **Formulas** a day's use is u·(1 + 0.35·z), anew each midnight; u wanders by 0.02·u a day. Over n whole days
    ///   the variance of the sum is n·(0.35·u)² + n³·(0.02·u)²/3.
    pub fn advance(&mut self, from: f64, to: f64, used: Option<f64>) {
        let days = to - from;
        if days <= 0.0 {
            return;
        }
        let midnights = to.floor() - from.floor();
        let Some(brim) = used.filter(|_| midnights >= 1.0) else { return self.flow(days) };
        self.flow(from.floor() + 1.0 - from);
        self.midnight(1.0);
        let whole = midnights - 1.0;
        if whole > 0.0 {
            let (of_day, wander) = self.spread_of_use();
            self.renew(TODAY, 0.0, 0.0);
            self.flow(whole);
            let sum = whole * of_day + whole.powi(3) * wander / 3.0;
            for (a, sign_a) in [(LEVEL, -1.0), (COUNTED, 1.0), (MOVED, -1.0)] {
                for (b, sign_b) in [(LEVEL, -1.0), (COUNTED, 1.0), (MOVED, -1.0)] {
                    self.cov[a][b] += sign_a * sign_b * sum;
                }
                let with_use = sign_a * whole * whole * wander / 2.0;
                self.cov[a][USE] += with_use;
                self.cov[USE][a] += with_use;
            }
            self.midnight(whole);
        }
        self.flow(to - to.floor());
        self.forget(brim);
    }

    /// A vessel in use that by the reckoning would have been emptied twice over was filled, and nobody logged it: its
    /// level may be anywhere. And use that may be anything is as unknown as at first.
    fn forget(&mut self, brim: f64) {
        if self.mean[LEVEL] < -brim || self.variance(LEVEL) > 9.0 * brim * brim {
            self.renew(LEVEL, brim / 2.0, brim * brim / 12.0);
            self.renew(MOVED, 0.0, 0.0);
            self.renew(COUNTED, self.mean[COUNTED], self.variance(COUNTED).min(1e6 * brim * brim));
        }
        let (mean, sd) = odds::USE_AT_FIRST;
        if self.mean[USE].abs() > brim || self.variance(USE) > (10.0 * sd * brim).powi(2) {
            self.renew(USE, mean * brim, (sd * brim).powi(2));
        }
    }

    /// Variances of a day's use about the mean, and of a day's wandering of the mean.
    fn spread_of_use(&self) -> (f64, f64) {
        let square = self.mean[USE] * self.mean[USE] + self.variance(USE);
        (odds::USE_OF_A_DAY.powi(2) * square, odds::USE_WANDERS.powi(2) * square)
    }

    fn midnight(&mut self, days: f64) {
        let (of_day, wander) = self.spread_of_use();
        self.cov[USE][USE] += days * wander;
        self.renew(TODAY, 0.0, of_day);
    }

    /// The mean and the variance of what `row` measures.
    pub fn along(&self, row: &Row) -> (f64, f64) {
        let (mut mean, mut variance) = (0.0, 0.0);
        for (i, &by) in row.iter().enumerate() {
            if by != 0.0 {
                mean += by * self.mean[i];
                for (j, &also) in row.iter().enumerate() {
                    if also != 0.0 {
                        variance += by * also * self.cov[i][j];
                    }
                }
            }
        }
        (mean, variance.max(0.0))
    }

    /// Takes in that what `row` measures, with an error of this variance, lies `off` from its prediction; `left` is
    /// the variance of that distance where it is not known exactly. A level that moves by an unknown amount at the
    /// same time is moved by `along` of it.
    pub fn take(&mut self, row: &Row, error: f64, off: f64, left: f64, along: Option<(f64, f64)>) {
        let mut with = [0.0; COUNT];
        for (i, &by) in row.iter().enumerate() {
            if by != 0.0 {
                for (j, sum) in with.iter_mut().enumerate() {
                    *sum += by * self.cov[i][j];
                }
            }
        }
        let own: f64 = row.iter().zip(&with).map(|(by, with)| by * with).sum::<f64>().max(0.0);
        let total = own + error;
        if total <= 0.0 {
            return;
        }
        // Part by part, for the square of a small variance is nothing.
        let keep = 1.0 - left / total;
        for (mean, by) in self.mean.iter_mut().zip(&with) {
            *mean += by / total * off;
        }
        for (row, by) in self.cov.iter_mut().zip(&with) {
            let share = by / total * keep;
            for (cov, also) in row.iter_mut().zip(&with) {
                *cov -= share * also;
            }
        }
        if let Some((amount, variance)) = along {
            self.mean[LEVEL] += amount;
            for (i, by) in with.iter().enumerate() {
                let shared = by / total * variance;
                self.cov[LEVEL][i] -= shared;
                self.cov[i][LEVEL] -= shared;
            }
            self.cov[LEVEL][LEVEL] += variance;
        }
        self.mend();
    }

    /// No variance below nothing, by rounding.
    fn mend(&mut self) {
        for i in 0..COUNT {
            if self.cov[i][i] < 0.0 {
                self.renew(i, self.mean[i], 0.0);
            }
        }
    }

    /// Nothing flows out of an empty vessel: what the reckoning drew below the floor did not run.
    pub fn not_below_floor(&mut self) {
        let (mean, variance, part) = normal::above_nothing(self.mean[LEVEL], self.variance(LEVEL));
        if part < 1.0 {
            self.bend(mean, variance, part);
        }
    }

    /// What runs away over the brim is not in the vessel.
    pub fn not_over(&mut self, brim: f64) {
        let (room, variance, part) = normal::above_nothing(brim - self.mean[LEVEL], self.variance(LEVEL));
        if part < 1.0 {
            self.bend(brim - room, variance, part);
        }
    }

    /// The level cut off at one end: mean, variance, and the part that was not cut. By Stein's lemma its covariance
    /// with all else shrinks by that part.
    fn bend(&mut self, mean: f64, variance: f64, part: f64) {
        let by = mean - self.mean[LEVEL];
        self.mean[LEVEL] = mean;
        self.mean[MOVED] += by;
        for other in 0..COUNT {
            self.cov[LEVEL][other] *= part;
            self.cov[other][LEVEL] *= part;
        }
        self.cov[LEVEL][LEVEL] = variance;
    }

    /// The vessel has run dry: the overdraft did not run, and the floor is where the level is.
    pub fn dry(&mut self) {
        let row = unit(LEVEL);
        let sd = self.variance(LEVEL).sqrt();
        if sd > 0.0 {
            let cut = normal::inside(f64::NEG_INFINITY, -self.mean[LEVEL] / sd);
            self.take(&row, 0.0, cut.mean * sd, cut.variance * sd * sd, None);
        }
        self.add(COUNTED, 1.0, LEVEL);
        self.renew(LEVEL, 0.0, 0.0);
    }

    /// A leak starts: its rate, and what had run by now if it may have begun any time in the last `days`.
    ///
    /// - **Formulas** lost = rate·w, w evenly from 0 to t: mean r·t/2, variance E(r²)·t²/3 − (r·t/2)², covariance with
    ///   the rate var(r)·t/2.
    pub fn spring(&mut self, rate: f64, sd: f64, days: f64) {
        let (mean, variance, with_rate) = lost(rate, sd, days);
        self.renew(LEAK, rate, sd * sd);
        self.renew(LOST, mean, variance);
        self.cov[LEAK][LOST] = with_rate;
        self.cov[LOST][LEAK] = with_rate;
        self.add(LEVEL, -1.0, LOST);
        self.add(MOVED, -1.0, LOST);
    }
}

/// Mean and variance of what a leak of `rate` ± `sd` lost that began at any time in the last `days`, and the
/// covariance with the rate.
pub fn lost(rate: f64, sd: f64, days: f64) -> (f64, f64, f64) {
    let mean = rate * days / 2.0;
    (mean, (rate * rate + sd * sd) * days * days / 3.0 - mean * mean, sd * sd * days / 2.0)
}

/// The row that measures one part alone.
pub const fn unit(at: usize) -> Row {
    let mut row = [0.0; COUNT];
    row[at] = 1.0;
    row
}
