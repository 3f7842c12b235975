//! What all explanations together say.

use super::Explanations;
use super::normal;
use super::odds;
use super::prune;
use super::state::State;
use super::state::part;
use super::state::unit;
use crate::level::Estimate;
use crate::moment::Moment;
use crate::quantity::Volume;
use crate::quantity::VolumeRate;
use crate::quantity::days;
use crate::quantity::litres_per_day;

/// A rate with one standard deviation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rate {
    /// the best figure
    pub mean: VolumeRate,
    /// one standard deviation
    pub sd: VolumeRate,
}

/// A leak that goes on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Leak {
    /// what runs out
    pub rate: Rate,
    /// when it began, best guess
    pub since: Moment,
    /// how sure it is that there is one, [`odds::CLAIM`] to 1
    pub chance: f64,
}

/// Why a reading does not fit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Why {
    /// it is wrong in itself
    WrongReading,
    /// water went out before it that nobody logged
    UnloggedDraw,
    /// water came in before it that nobody logged
    UnloggedFill,
}

impl Why {
    /// Every reason.
    pub const ALL: [Self; 3] = [Self::WrongReading, Self::UnloggedDraw, Self::UnloggedFill];

    /// The word in files and in addresses.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::WrongReading => "wrong_reading",
            Self::UnloggedDraw => "unlogged_draw",
            Self::UnloggedFill => "unlogged_fill",
        }
    }

    /// In words.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::WrongReading => "the reading is wrong",
            Self::UnloggedDraw => "before it a draw was not logged",
            Self::UnloggedFill => "before it a fill was not logged",
        }
    }
}

/// A reading that does not fit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Misfit {
    /// the entry
    pub id: u64,
    /// the likeliest reason
    pub why: Why,
    /// how sure it is that it does not fit, [`odds::NAMED`] to 1
    pub chance: f64,
}

/// What is believed of a vessel at a moment.
#[derive(Clone, Debug, PartialEq)]
pub struct Belief {
    /// litres with their band
    pub level: Estimate,
    /// mean use a day; nothing of a vessel that stands
    pub usage: Option<Rate>,
    /// a leak going on; nothing of a vessel in use, where it is not told from use
    pub leak: Option<Leak>,
    /// readings that do not fit by all that is known, by id
    pub misfits: Vec<Misfit>,
}

/// Weighted sums of figures that each have a variance: mean and variance of the whole.
#[derive(Clone, Copy, Debug, Default)]
struct Mixture {
    weight: f64,
    first: f64,
    second: f64,
}

impl Mixture {
    fn add(&mut self, weight: f64, mean: f64, variance: f64) {
        self.weight += weight;
        self.first += weight * mean;
        self.second += weight * (variance + mean * mean);
    }

    fn mean(&self) -> f64 {
        self.first / self.weight.max(1e-300)
    }

    fn rate(&self) -> Rate {
        Rate { mean: litres_per_day(self.mean()), sd: litres_per_day(self.sd()) }
    }

    fn sd(&self) -> f64 {
        (self.second / self.weight.max(1e-300) - self.mean().powi(2)).max(0.0).sqrt()
    }
}

/// What all explanations together say from the last entry on, as long as nothing more is told: a small value to keep
/// and to ask for any later moment.
#[derive(Clone, Debug, PartialEq)]
pub struct Outlook {
    pub(super) brim: f64,
    pub(super) capacity_sd: f64,
    /// the brim of a vessel in daily use; nothing of one that stands
    pub(super) used: Option<f64>,
    pub(super) midnight: Moment,
    /// the day of the last entry
    pub(super) now: f64,
    /// the day on which the level was last read or pinned
    read: Option<f64>,
    /// the states that count with their weights, the heaviest first
    likely: Vec<(State, f64)>,
    leak: Option<Leak>,
    misfits: Vec<Misfit>,
}

impl Explanations {
    /// What is believed at `at`, by the entries told so far. An `at` before the last of them counts as it.
    #[must_use]
    pub fn at(&self, at: Moment) -> Belief {
        self.outlook().at(at)
    }

    /// What there is to say from the last entry on.
    #[must_use]
    pub fn outlook(&self) -> Outlook {
        let weights = prune::weights(&self.kept);
        let doubt = doubted(&weights);
        let likely = self.kept.iter().zip(&weights).filter(|&(_, &weight)| weight > doubt);
        Outlook {
            brim: self.tank.brim_litres(),
            capacity_sd: self.tank.capacity_sd(),
            used: self.use_of(),
            midnight: self.midnight,
            now: self.now,
            read: self.read,
            likely: likely.map(|(one, &weight)| (one.state, weight)).collect(),
            leak: self.leak(&weights),
            misfits: self.misfits(&weights),
        }
    }
}

impl Outlook {
    /// What is believed at `at`. An `at` before the last entry counts as it.
    #[must_use]
    pub fn at(&self, at: Moment) -> Belief {
        let most = self.brim * (1.0 + 3.0 * self.capacity_sd);
        let (mut level, mut usage) = (Mixture::default(), Mixture::default());
        for (state, weight) in self.foreseen(at) {
            let (mean, variance) = litres(&state, self.brim);
            level.add(weight, mean, variance);
            usage.add(weight, state.mean[part::USE].max(0.0), state.variance(part::USE));
        }
        Belief {
            level: Estimate::within(most, level.mean().clamp(0.0, most), level.sd()),
            usage: self.used.map(|_| usage.rate()),
            leak: self.leak,
            misfits: self.misfits.clone(),
        }
    }

    /// A leak going on; nothing of a vessel in use, where it is not told from use.
    #[must_use]
    pub const fn leak(&self) -> Option<&Leak> {
        self.leak.as_ref()
    }

    /// Readings that do not fit by all that is known, by id.
    #[must_use]
    pub fn misfits(&self) -> &[Misfit] {
        &self.misfits
    }

    /// One standard deviation of what may have been drawn from a vessel that stands since its level was last read, and
    /// nobody logged it. [`Outlook::at`] does not count it: within two months it is too seldom for a band of eight times
    /// in ten.
    ///
    /// - **Formula** s² = λ·(t − t₀)·E(a²), λ·t₀ = ln(10/9): until t₀, 61 days, the chance of any such draw is less than
    ///   one in ten. a is evenly [`odds::USUAL_DRAW`], at most [`odds::USUAL_DRAW_PART`] of what is there:
    ///   E(a²) = (most³ − least³)/(3·(most − least)).
    /// - **Arguments** `at`: before the last reading it is nothing, as it is for a vessel in use or one never read.
    /// - **Source** λ = [`odds::DRAW_A_DAY`] and the amounts: common practice, no source.
    #[must_use]
    pub fn unlogged(&self, at: Moment) -> Volume {
        let (Some(read), None) = (self.read, self.used) else { return crate::quantity::litres(0.0) };
        let waited = odds::DRAW_A_DAY * (self.day(at) - read) - (10.0_f64 / 9.0).ln();
        let level = self.foreseen(at).next().map_or(0.0, |(state, _)| litres(&state, self.brim).0);
        let most = odds::USUAL_DRAW.1.min(odds::USUAL_DRAW_PART * level);
        let least = odds::USUAL_DRAW.0.min(most / 2.0);
        // (most³ − least³)/(most − least), without the difference below
        let square = (most * most + most * least + least * least) / 3.0;
        crate::quantity::litres((waited.max(0.0) * square).sqrt())
    }

    /// The level at `at`, its band widened by [`Outlook::unlogged`].
    #[must_use]
    pub fn widened(&self, at: Moment) -> Estimate {
        let (volume, sd) = self.at(at).level.litres();
        let most = self.brim * (1.0 + 3.0 * self.capacity_sd);
        Estimate::within(most, volume, sd.hypot(crate::quantity::as_litres(self.unlogged(at))))
    }

    pub(super) fn day(&self, at: Moment) -> f64 {
        crate::quantity::as_days(at.since(self.midnight)).max(self.now)
    }

    /// The states at `at` that count, with their weights, the heaviest first.
    pub(super) fn foreseen(&self, at: Moment) -> impl Iterator<Item = (State, f64)> + '_ {
        let now = self.day(at);
        self.likely.iter().map(move |&(mut state, weight)| {
            state.advance(self.now, now, self.used);
            (state, weight)
        })
    }
}

impl Explanations {
    fn leak(&self, weights: &[f64]) -> Option<Leak> {
        let mut rate = Mixture::default();
        let (mut rates, mut began) = (Vec::new(), Vec::new());
        for (one, &weight) in self.kept.iter().zip(weights) {
            if let Some((from, to)) = one.leak {
                let more = 1.0 + one.state.mean[part::CAPACITY];
                let variance = one.state.variance(part::LEAK) * more * more;
                let mean = one.state.mean[part::LEAK].max(odds::LEAST_LEAK) * more;
                rate.add(weight, mean, variance);
                rates.push((mean, weight));
                began.push((beginning(&one.state, from, to), weight));
            }
        }
        if rate.weight < odds::CLAIM {
            return None;
        }
        // between a slow leak and a fast one there is none: the middle one, not the mean
        let (mean, sd) = (litres_per_day(median(&mut rates)), litres_per_day(rate.sd()));
        let since = self.midnight.after(days(median(&mut began)));
        Some(Leak { rate: Rate { mean, sd }, since, chance: rate.weight.min(1.0) })
    }

    /// The readings that most of the weight calls wrong, or first after a move that nobody logged.
    fn misfits(&self, weights: &[f64]) -> Vec<Misfit> {
        let mut said: Vec<(u64, Why, f64)> = Vec::new();
        for (one, &weight) in self.kept.iter().zip(weights) {
            let (mut next, mut later) = (one.story, None);
            while let Some(event) = next.and_then(|at| self.events.get(at)) {
                // wrong, and after a move at once: said twice, weighs once
                let weight = if later == Some(event.id) { 0.0 } else { weight };
                said.push((event.id, event.why, weight));
                (next, later) = (event.before, Some(event.id));
            }
        }
        said.sort_by_key(|&(id, why, _)| (id, why));
        let of_one = said.chunk_by(|a, b| a.0 == b.0);
        let named = of_one.filter_map(|of_one| {
            let whys = of_one.chunk_by(|a, b| a.1 == b.1).map(|same| (same[0].1, total(same)));
            let (why, _) = whys.max_by(|a, b| a.1.total_cmp(&b.1))?;
            let chance = total(of_one).min(1.0);
            (chance >= odds::NAMED).then_some(Misfit { id: of_one[0].0, why, chance })
        });
        named.collect()
    }
}

/// The weight of the heaviest explanation of those that together weigh less than [`odds::DOUBT`].
fn doubted(weights: &[f64]) -> f64 {
    let mut sorted = weights.to_vec();
    sorted.sort_by(f64::total_cmp);
    let mut so_far = 0.0;
    let light = sorted.into_iter().take_while(|weight| {
        so_far += weight;
        so_far < odds::DOUBT
    });
    light.last().unwrap_or(-1.0)
}

fn total(said: &[(u64, Why, f64)]) -> f64 {
    said.iter().map(|&(.., weight)| weight).sum()
}

/// True litres: the level by the stated capacity, cut off at floor and brim, times what the vessel holds more.
pub(super) fn litres(state: &State, brim: f64) -> (f64, f64) {
    let mut cut = *state;
    cut.not_below_floor();
    cut.not_over(brim);
    let (level, more) = (cut.mean[part::LEVEL], 1.0 + cut.mean[part::CAPACITY]);
    let mut row = unit(part::LEVEL);
    row[part::LEVEL] = more;
    row[part::CAPACITY] = level;
    let (_, variance) = cut.along(&row);
    (level * more + cut.cov[part::LEVEL][part::CAPACITY], variance)
}

/// When a leak began: what had run by the reading `to`, at its rate, before it; not before the reading `from`.
fn beginning(state: &State, from: f64, to: f64) -> f64 {
    let rate = state.mean[part::LEAK].max(odds::LEAST_LEAK);
    let ago = state.mean[part::LOST] / rate;
    let mut row = unit(part::LOST);
    row[part::LOST] = 1.0 / rate;
    row[part::LEAK] = -ago / rate;
    let (_, variance) = state.along(&row);
    let sd = variance.sqrt().max(1e-6);
    let inside = normal::inside((0.0 - ago) / sd, (to - from - ago) / sd);
    (to - (ago + inside.mean * sd)).clamp(from, to)
}

/// The middle one by weight.
fn median(of: &mut [(f64, f64)]) -> f64 {
    of.sort_by(|a, b| a.0.total_cmp(&b.0));
    let half = of.iter().map(|one| one.1).sum::<f64>() / 2.0;
    let mut so_far = 0.0;
    let middle = of.iter().find(|one| {
        so_far += one.1;
        so_far >= half
    });
    middle.or(of.last()).map_or(0.0, |one| one.0)
}
