//! How days are spread over the draws.

use crate::forecast::Forecast;
use crate::forecast::SiteOutlook;
use crate::forecast::trials::Trials;
use crate::neighbourhood::placed;
use crate::neighbourhood::placed::Plain;
use crate::quantity::Time;
use crate::quantity::days;

/// Days closer than this are one, as in a run.
const SAME: f64 = 1e-9;

/// In how many draws something is so.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Chance {
    /// in so many
    pub met: u32,
    /// of so many
    pub of: u32,
}

impl Chance {
    /// As a part, 0 to 1; of no draw at all 0.
    #[must_use]
    pub fn part(self) -> f64 {
        if self.of == 0 { 0.0 } else { f64::from(self.met) / f64::from(self.of) }
    }

    fn count(draws: impl Iterator<Item = bool>) -> Self {
        draws.fold(Self::default(), |chance, met| Self { met: chance.met + u32::from(met), of: chance.of + 1 })
    }
}

/// A day, or as far as was looked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Day {
    /// from now
    pub at: Time,
    /// it lasts to the horizon, so `at` is only "at least"
    pub at_least: bool,
}

/// Percentiles of days: in one of ten draws, in half, in nine of ten it is no longer than this.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Days {
    /// nine times in ten it lasts this long or longer
    pub p10: Day,
    /// as likely longer as shorter
    pub p50: Day,
    /// one time in ten it lasts this long or longer
    pub p90: Day,
}

/// The chance of lasting until the mains are back; what lasts to the horizon counts as lasting.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Through {
    /// at the ration in full
    pub ration: Chance,
    /// with any water at all
    pub water: Chance,
}

/// What may be expected, somewhere or of all.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outlook {
    /// days at the ration
    pub ration: Days,
    /// days to dry
    pub dry: Days,
    /// the chance of reaching the target at the ration
    pub ration_reaches: Chance,
    /// the chance of reaching the target with any water at all
    pub water_reaches: Chance,
    /// the chance of lasting until the mains are back; `None`: nobody knows when that is
    pub through: Option<Through>,
}

/// What draws are held against.
pub(super) struct Spread {
    pub(super) horizon: f64,
    pub(super) target: f64,
    /// days of the outage in each draw
    pub(super) outages: Option<Vec<f64>>,
}

impl Spread {
    pub(super) fn outlook(&self, ration: &[f64], dry: &[f64]) -> Outlook {
        let reaches = |ends: &[f64]| Chance::count(ends.iter().map(|end| *end >= self.target - SAME));
        let lasts = |ends: &[f64], outages: &[f64]| {
            Chance::count(ends.iter().zip(outages).map(|(end, outage)| *end >= *outage - SAME))
        };
        let through = self.outages.as_ref();
        Outlook {
            ration: self.days(ration),
            dry: self.days(dry),
            ration_reaches: reaches(ration),
            water_reaches: reaches(dry),
            through: through.map(|outages| Through { ration: lasts(ration, outages), water: lasts(dry, outages) }),
        }
    }

    fn days(&self, ends: &[f64]) -> Days {
        let mut ends = ends.to_vec();
        let mut percentile = |percent: usize| {
            // nearest rank: the least that at least so many in a hundred do not exceed
            let rank = (ends.len() * percent).div_ceil(100).max(1) - 1;
            if rank >= ends.len() {
                return Day { at: days(self.horizon), at_least: true };
            }
            let (_, day, _) = ends.select_nth_unstable_by(rank, f64::total_cmp);
            let at_least = day.is_infinite();
            Day { at: days(if at_least { self.horizon } else { *day }), at_least }
        };
        Days { p10: percentile(10), p50: percentile(50), p90: percentile(90) }
    }
}

/// The neighbourhood, site by site in the order of the list, so that sums come out the same on any number of threads.
pub(super) struct Gathered {
    sites: Vec<Outlook>,
    ration: Vec<f64>,
    dry: Vec<f64>,
    drink: Vec<f64>,
    need: Vec<f64>,
    /// what changes on the way, draw by draw; empty where nothing does
    steps: Vec<Vec<Plain>>,
    /// which site is the first to go without, draw by draw
    first: Vec<Option<usize>>,
}

impl Gathered {
    pub(super) fn new(draws: u32, sites: usize) -> Self {
        let all = |value: f64| vec![value; draws as usize];
        Self {
            sites: Vec::with_capacity(sites),
            ration: all(f64::INFINITY),
            dry: all(f64::INFINITY),
            drink: all(0.0),
            need: all(0.0),
            steps: Vec::new(),
            first: vec![None; draws as usize],
        }
    }

    pub(super) fn add(&mut self, trials: &Trials, outlook: Outlook) {
        let site = self.sites.len();
        self.sites.push(outlook);
        for (sum, drink) in self.drink.iter_mut().zip(&trials.drink) {
            *sum += drink;
        }
        for (sum, need) in self.need.iter_mut().zip(&trials.need) {
            *sum += need;
        }
        if !trials.steps.is_empty() {
            self.steps.resize(self.need.len(), Vec::new());
            for (draw, step) in &trials.steps {
                self.steps[*draw as usize].push(*step);
            }
        }
        if !trials.needed {
            return;
        }
        for ((least, first), end) in self.ration.iter_mut().zip(&mut self.first).zip(&trials.ration) {
            if *end < *least {
                (*least, *first) = (*end, Some(site));
            }
        }
        for (least, end) in self.dry.iter_mut().zip(&trials.dry) {
            *least = least.min(*end);
        }
    }

    pub(super) fn finish(self, spread: &Spread) -> Forecast {
        let of = u32::try_from(self.first.len()).unwrap_or(u32::MAX);
        let mut met = vec![0_u32; self.sites.len()];
        for site in self.first.iter().flatten() {
            met[*site] += 1;
        }
        let mut steps = self.steps.into_iter();
        let pooled = self.drink.iter().zip(&self.need);
        let pooled: Vec<f64> =
            pooled.map(|(drink, need)| placed::lasts(*drink, *need, &mut steps.next().unwrap_or_default())).collect();
        let sites = self.sites.into_iter().zip(met);
        Forecast {
            first: spread.outlook(&self.ration, &self.dry),
            // a need so small that the days overflow is no need
            pooled: pooled.iter().all(|day| day.is_finite()).then(|| spread.days(&pooled)),
            beyond_horizon: spread
                .outages
                .as_ref()
                .map(|outages| Chance::count(outages.iter().map(|outage| *outage > spread.horizon))),
            sites: sites.map(|(outlook, met)| SiteOutlook { outlook, first: Chance { met, of } }).collect(),
        }
    }
}
