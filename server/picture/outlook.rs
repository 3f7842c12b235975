//! What may be expected: the neighbourhood's runs many times over, with levels, use and burn drawn from their errors.

use std::sync::Arc;

use keepwell_engine::endurance::Change;
use keepwell_engine::endurance::Event;
use keepwell_engine::endurance::Run;
use keepwell_engine::forecast;
use keepwell_engine::forecast::Days;
use keepwell_engine::forecast::Doubt;
use keepwell_engine::forecast::Drawn;
use keepwell_engine::forecast::Draws;
use keepwell_engine::forecast::Forecast;
use keepwell_engine::forecast::Outage;
use keepwell_engine::forecast::Question;
use keepwell_engine::neighbourhood::share::share;
use keepwell_engine::quantity::OutOfRange;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::days;

use crate::picture::Picture;
use crate::picture::learned::LearnedAt;
use crate::picture::learned::Past;
use crate::picture::learned::USE_SPREAD;
use crate::picture::learned::learned;
use crate::picture::shared::WithCarries;
use crate::picture::shared::shared_site;
use crate::picture::standing::HORIZON_DAYS;
use crate::picture::suppose::Suppose;
use crate::picture::today::SiteToday;
use crate::picture::today::Today;
use crate::picture::today::TodayError;

/// Where the luck begins, always the same: equal questions have equal answers, and two plans are compared fairly.
const SEED: u64 = 0x6b65_6570;
/// How often. The standard error of a chance is then 1.6 in a hundred at most.
const DRAWS: u32 = 1000;
/// Beyond so many sites fewer draws are made, so that a page is not waited for.
const FULL_UP_TO: usize = 100;
const FEW_DRAWS: u32 = 100;
/// One standard deviation of what a generator burns against its line; and the part of the spread of use that all share: a
/// hot week, a notice. Common practice, no source.
const BURN_SPREAD: f64 = 0.1;
const USE_JOINT: f64 = 0.5;
/// One standard deviation of what the sun gives against its months. Assumed: by the manual of PVWatts (NREL, Dobos 2014) one
/// month may stray by 30 to 40 %, a year by 10 to 20 %.
const SUN_SPREAD: f64 = 0.2;
/// Used where the neighbourhood has set no target.
const USUAL_TARGET: f64 = 14.0;

/// The forecast with what was asked of it.
#[derive(Clone, Debug)]
pub struct Expected {
    pub question: Question,
    /// sites in the order of the answer
    pub forecast: Forecast,
    /// what people used in outages that there have been
    pub learned: Vec<LearnedAt>,
    past: Past,
    /// likewise; none where there are so many sites that they would fill the memory
    draws: Vec<Arc<Draws>>,
}

/// Why nothing can be said of what may be expected. Service checks all figures before they are kept.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ExpectedError {
    #[error(transparent)]
    Forecast(#[from] forecast::Refusal),
    #[error(transparent)]
    Learned(#[from] OutOfRange),
}

/// Draws of the sharing: each is a share of its own.
const SHARED_DRAWS: u32 = 100;

impl Expected {
    /// Whether so few sites are asked about that the bands of an answer are drawn rather than reckoned from the levels.
    #[must_use]
    pub fn is_for(today: &Today) -> bool {
        today.sites.len() <= FULL_UP_TO
    }

    /// Puts the bands of the forecast into the answer: for how well the levels are known, and for what people will use and
    /// generators burn besides.
    ///
    /// # Errors
    /// A figure that the engine does not take.
    pub fn into_bands(&self, today: &mut Today) -> Result<(), TodayError> {
        let band = |days: &Days| (days.p10.at, days.p90.at);
        let carried = match &today.with_carries {
            Some(with) if with.first.is_some() => self.carried(today, with)?,
            _ => None,
        };
        if let Some(with) = &mut today.with_carries {
            with.band = carried;
        }
        today.first_band = today.first_band.map(|_| band(&self.forecast.first.ration));
        today.pooled_band = today.pooled_band.and(self.forecast.pooled.as_ref().map(band));
        for (site, found) in today.sites.iter_mut().zip(&self.forecast.sites) {
            let standing = Arc::make_mut(&mut site.standing);
            (standing.low, standing.high) = band(&found.outlook.ration);
        }
        Ok(())
    }

    /// The first to go without, with the carries, in the same draws.
    fn carried(&self, today: &Today, with: &WithCarries) -> Result<Option<(Time, Time)>, TodayError> {
        let mut shares = vec![with.sharing.clone(); SHARED_DRAWS as usize];
        for (place, (of, draws)) in today.sites.iter().zip(&self.draws).enumerate() {
            for (sharing, Drawn { ration_ends, .. }) in shares.iter_mut().zip(draws.each()) {
                sharing.sites[place] = shared_site(of, ration_ends.unwrap_or(of.standing.run.horizon));
            }
        }
        let mut firsts = Vec::with_capacity(shares.len());
        for sharing in &shares {
            firsts.extend(share(sharing)?.first().map(|(_, at)| at));
        }
        firsts.sort_by(|a, b| a.value.total_cmp(&b.value));
        // nearest rank, as the forecast has it
        let rank = |tenths: usize| firsts.get((firsts.len() * tenths).div_ceil(10).max(1) - 1).copied();
        Ok(rank(1).zip(rank(9)))
    }

    /// What has not changed since `before` is not drawn again.
    ///
    /// # Errors
    /// A figure that the engine does not take.
    pub fn of(
        picture: &Picture,
        today: &Today,
        outage: Option<Outage>,
        before: Option<&Self>,
    ) -> Result<Self, ExpectedError> {
        let target = today.target_days(picture).unwrap_or(USUAL_TARGET).min(HORIZON_DAYS);
        let draws = if Self::is_for(today) { DRAWS } else { FEW_DRAWS };
        let question = Question { seed: SEED, draws, target: days(target), outage, use_joint: USE_JOINT };
        let mut past = before.map(|before| before.past.clone()).unwrap_or_default();
        let learned = learned(picture, today.now, &mut past)?;
        let sites: Vec<forecast::Site> = today
            .sites
            .iter()
            .map(|of| {
                let taught = learned.iter().find(|taught| taught.site == of.site.site.id);
                site(of, &today.suppose, taught.filter(|taught| taught.learned.enough))
            })
            .collect();
        if !Self::is_for(today) {
            let forecast = forecast::forecast(&sites, &question)?;
            return Ok(Self { question, forecast, learned, past, draws: Vec::new() });
        }
        let before = before.map_or(&[][..], |before| &before.draws);
        let (forecast, draws) = forecast::forecast_on(&sites, &question, before)?;
        Ok(Self { question, forecast, learned, past, draws })
    }
}

fn site(site: &SiteToday, suppose: &Suppose, taught: Option<&LearnedAt>) -> forecast::Site {
    let standing = &site.standing;
    let mut stocks: Vec<Doubt> =
        standing.stocks.iter().map(|of| Doubt { sd: of.estimate.sd, brim: of.brim(&site.site) }).collect();
    // What is supposed beside the vessels is supposed exactly.
    stocks.resize(standing.run.stocks.len(), Doubt { sd: Volume::default(), brim: None });
    let promised = suppose.at(site.site.site.id).delivery.map_or(1.0, |delivery| delivery.chance);
    let coming = |event: &Event| match event.change {
        Change::AddWater { .. } => forecast::Coming { comes: promised, ..forecast::Coming::SURE },
        Change::AddFuel(_) | Change::Sun(_) | Change::Uses { .. } => forecast::Coming::SURE,
    };
    forecast::Site {
        key: site.site.site.id.to_string(),
        events: standing.run.events.iter().map(coming).collect(),
        run: taught.map_or_else(|| standing.run.clone(), |taught| at_use(&standing.run, taught.factor())),
        stocks,
        stocks_joint: 0.0,
        use_spread: taught.map_or(USE_SPREAD, LearnedAt::spread),
        burn_spread: BURN_SPREAD,
        sun_spread: SUN_SPREAD,
    }
}

/// The run with so many times the use.
fn at_use(run: &Run, factor: f64) -> Run {
    let mut run = run.clone();
    for level in &mut run.levels {
        level.uses = level.uses.times(factor);
    }
    for event in &mut run.events {
        if let Change::Uses { uses, .. } = &mut event.change {
            *uses = uses.times(factor);
        }
    }
    run
}
