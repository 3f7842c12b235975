//! The forecast: the same runs many times over, with what is uncertain drawn from its errors.
//!
//! Each draw is one way that things may be: what truly is in the stocks, how much people use, what the generator burns, what
//! comes and when. The answer is how the days are spread over the draws, and in how many of them the target is reached.
//!
//! - The same seed has the same answer to the last bit, on any number of threads.
//! - Luck belongs to what it is about (seed, draw, site, stock): a plan that changes one stock moves nobody else's luck, so
//!   two plans are compared draw by draw.
//! - What lasts to the horizon is "at least" that long, never "for ever".

mod check;
mod luck;
mod spread;
mod trials;
mod working;

#[cfg(test)]
mod laws;
#[cfg(test)]
mod tests;

use std::collections::HashMap;
use std::sync::Arc;

use rayon::iter::IndexedParallelIterator;
use rayon::iter::IntoParallelRefIterator;
use rayon::iter::ParallelIterator;

use crate::endurance::Run;
use crate::forecast::spread::Gathered;
use crate::forecast::spread::Spread;
use crate::forecast::trials::Trials;
use crate::quantity::Time;
use crate::quantity::Volume;
use crate::quantity::as_days;

pub use check::Refusal;
pub use spread::Chance;
pub use spread::Day;
pub use spread::Days;
pub use spread::Outlook;
pub use spread::Through;
pub use working::working;

/// How well the litres of a stock are known.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Doubt {
    /// one standard deviation
    pub sd: Volume,
    /// the most that it can hold, if that is known: no draw has more
    pub brim: Option<Volume>,
}

/// Whether an event comes, and how late.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coming {
    /// the chance that it comes at all, 0 to 1
    pub comes: f64,
    /// how late it comes on average; the delays are exponential, so that it never comes early. 0 is on its day
    pub late: Time,
}

impl Coming {
    /// It comes, on its day.
    pub const SURE: Self = Self {
        comes: 1.0,
        late: Time { dimension: core::marker::PhantomData, units: core::marker::PhantomData, value: 0.0 },
    };
}

/// One site, and what is uncertain about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Site {
    /// its own key, the same in every plan; no two alike
    pub key: String,
    /// the run with every figure at its best estimate
    pub run: Run,
    /// for each stock of the run, in its order
    pub stocks: Vec<Doubt>,
    /// the part of the stocks' variance that they all share (one dipstick, one table), 0 to 1
    pub stocks_joint: f64,
    /// spread of use per person: one standard deviation, as a part of the use; 0 to 3. Log-normal, its mean the use entered
    pub use_spread: f64,
    /// spread of the fuel burnt an hour, likewise
    pub burn_spread: f64,
    /// the same of what the sun gives a battery, which is drawn once for all sites and all days
    pub sun_spread: f64,
    /// for each event of the run, in its order; a change of ration may be uncertain too
    pub events: Vec<Coming>,
}

/// How long the mains stay off, as far as such outages tell: log-normal through these two.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outage {
    /// half of them are over by then; 0.001 to 3,650 days
    pub half_over: Time,
    /// nine in ten are over by then; at least as long. Equal: the end is known
    pub nine_in_ten_over: Time,
}

/// What is asked of a forecast.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Question {
    /// where the luck begins: the same seed has the same answer
    pub seed: u64,
    /// how many times; 1 to 10,000
    pub draws: u32,
    /// days that are to be reached, no more than the horizon
    pub target: Time,
    /// how long the mains stay off; `None`: nobody knows
    pub outage: Option<Outage>,
    /// the part of the variance of use that all sites share (heat, a notice), 0 to 1
    pub use_joint: f64,
}

/// What one site may expect.
#[derive(Clone, Debug, PartialEq)]
pub struct SiteOutlook {
    /// its own days
    pub outlook: Outlook,
    /// in how many draws its people are the first of all to go without the ration
    pub first: Chance,
}

/// What may be expected.
#[derive(Clone, Debug, PartialEq)]
pub struct Forecast {
    /// each site, in the order of the list
    pub sites: Vec<SiteOutlook>,
    /// until the first person anywhere goes without: the ration in full, any water at all
    pub first: Outlook,
    /// all drinking water in reach, what can be made it, and what comes on the way, at all need at the ration as it changes, as
    /// if every litre could be moved. An upper bound, never shown alone. `None`: nothing is needed
    pub pooled: Option<Days>,
    /// in how many draws the outage is longer than the horizon, so that nobody knows whether what lasts to it lasts through
    pub beyond_horizon: Option<Chance>,
}

/// One draw of one site: when the ration and the water end. `None`: not before the horizon.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drawn {
    /// when the ration cannot be met in full any more
    pub ration_ends: Option<Time>,
    /// when it is first dry
    pub dry_from: Option<Time>,
}

/// Sites whose draws are made at once, before they are added up in the order of the list.
const AT_ONCE: usize = 64;

/// How long the water may last, everywhere, given what is uncertain.
///
/// **Formula.** In draw k, with z standard normal numbers of their own for each thing: litres = V + sd·(√j·z_site +
/// √(1 − j)·z_stock), not below 0 nor over the brim; use, burn and sun × exp(s·z − s²/2) with s² = ln(1 + spread²), so that the
/// mean is the figure entered; an event comes if an even number falls below its chance, and late by an exponential wait. Each
/// draw is an [`crate::endurance::run`]. The p-th percentile is the least day that at least p in a hundred draws do not
/// exceed (nearest rank): 10th percentile 9 days = nine times in ten it lasts 9 days or longer.
///
/// **Arguments.** [`Site`] and [`Question`] with their ranges; all runs have one horizon.
///
/// **Error of the answer.** Of n draws a chance p has a standard error of √(p·(1 − p)/n): at 1,000 draws 0.016 at most.
///
/// **Reference.** Monte Carlo propagation of distributions: JCGM 101:2008. Log-normal by mean and relative standard
/// deviation: its closed forms. Nearest rank: Hyndman and Fan 1996, definition 1 (from memory).
///
/// 900 ± 90 L at 90 L a day: normal, so the 10th percentile is 10 − 1.2816 × 1 = 8.72 days (z from any table).
/// ```
/// use keepwell_engine::endurance::{Heels, Level, Reach, Run, Stock, Uses};
/// use keepwell_engine::forecast::{forecast, Doubt, Question, Site};
/// use keepwell_engine::grade::Grade;
/// use keepwell_engine::quantity::{as_days, days, litres};
/// let reach = Reach { dip: true, ..Reach::default() };
/// let run = Run {
///     horizon: days(365.0),
///     people: 6.0,
///     levels: vec![Level { name: "hand".into(), reach, uses: Uses::litres(3.0, 6.0, 6.0, 0.0) }],
///     stocks: vec![Stock {
///         id: "tank".into(),
///         grade: Grade::Drink,
///         volume: litres(900.0),
///         heel: Heels { dip: Some(litres(0.0)), ..Heels::default() },
///     }],
///     power: None,
///     battery: None,
///     treatment: None,
///     keep_drinking: days(0.0),
///     events: vec![],
/// };
/// let site = Site {
///     key: "house".into(),
///     run,
///     stocks: vec![Doubt { sd: litres(90.0), brim: None }],
///     stocks_joint: 0.0,
///     use_spread: 0.0,
///     burn_spread: 0.0,
///     sun_spread: 0.0,
///     events: vec![],
/// };
/// let question = Question { seed: 1, draws: 10_000, target: days(10.0), outage: None, use_joint: 0.0 };
/// let found = forecast(&[site], &question)?;
/// let ration = found.sites[0].outlook.ration;
/// assert!((as_days(ration.p10.at) - 8.72).abs() < 0.09, "five standard errors of a 10th percentile of 10,000");
/// assert!((found.sites[0].outlook.ration_reaches.part() - 0.5).abs() < 0.025);
/// # Ok::<(), keepwell_engine::forecast::Refusal>(())
/// ```
///
/// # Errors
/// [`Refusal`] names the site, the field, the value and what is allowed.
pub fn forecast(sites: &[Site], question: &Question) -> Result<Forecast, Refusal> {
    let spread = spread_of(sites, question)?;
    let mut gathered = Gathered::new(question.draws, sites.len());
    for (chunk, group) in sites.chunks(AT_ONCE).enumerate() {
        let made: Result<Vec<(Trials, Outlook)>, Refusal> = group
            .par_iter()
            .enumerate()
            .map(|(place, site)| {
                let trials = trials::trials(chunk * AT_ONCE + place, site, question)?;
                let outlook = spread.outlook(&trials.ration, &trials.dry);
                Ok((trials, outlook))
            })
            .collect();
        for (trials, outlook) in made? {
            gathered.add(&trials, outlook);
        }
    }
    Ok(gathered.finish(&spread))
}

/// The draws of one site, kept so that a forecast in which nothing about it has changed need not make them again.
#[derive(Debug)]
pub struct Draws {
    site: Site,
    question: Question,
    trials: Trials,
    outlook: Outlook,
}

impl Draws {
    /// Every draw, in order: the days behind its percentiles, and what two plans are compared by.
    pub fn each(&self) -> impl Iterator<Item = Drawn> {
        let both = self.trials.ration.iter().zip(&self.trials.dry);
        both.map(|(ration, dry)| Drawn { ration_ends: ends(*ration), dry_from: ends(*dry) })
    }
}

/// The [`forecast`], and the draws of every site. Those in `before` are taken over where the site and the question are the
/// same, so that the answer is the same to the last bit as if all were made anew.
///
/// # Errors
/// As [`forecast`].
pub fn forecast_on(
    sites: &[Site],
    question: &Question,
    before: &[Arc<Draws>],
) -> Result<(Forecast, Vec<Arc<Draws>>), Refusal> {
    let spread = spread_of(sites, question)?;
    let before: HashMap<&str, &Arc<Draws>> =
        before.iter().filter(|draws| draws.question == *question).map(|draws| (&*draws.site.key, draws)).collect();
    let made = sites.par_iter().enumerate().map(|(place, site)| {
        if let Some(same) = before.get(&*site.key).filter(|draws| draws.site == *site) {
            return Ok(Arc::clone(same));
        }
        let trials = trials::trials(place, site, question)?;
        let outlook = spread.outlook(&trials.ration, &trials.dry);
        Ok(Arc::new(Draws { site: site.clone(), question: *question, trials, outlook }))
    });
    let made: Vec<Arc<Draws>> = made.collect::<Result<_, Refusal>>()?;
    let mut gathered = Gathered::new(question.draws, sites.len());
    for draws in &made {
        gathered.add(&draws.trials, draws.outlook);
    }
    Ok((gathered.finish(&spread), made))
}

fn spread_of(sites: &[Site], question: &Question) -> Result<Spread, Refusal> {
    check::check_question(question)?;
    check::check_sites(sites, question)?;
    let horizon = sites.first().map_or(question.target, |site| site.run.horizon);
    let outages = trials::outages(question);
    Ok(Spread { horizon: as_days(horizon), target: as_days(question.target), outages })
}

/// What does not end is infinite within this room, and nowhere else.
fn ends(day: f64) -> Option<Time> {
    day.is_finite().then(|| crate::quantity::days(day))
}
