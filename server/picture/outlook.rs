//! What may be expected: the neighbourhood's runs many times over, with levels, use and burn drawn from their errors.

use keepwell_engine::forecast;
use keepwell_engine::forecast::Doubt;
use keepwell_engine::forecast::Forecast;
use keepwell_engine::forecast::Question;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::days;

use crate::picture::Picture;
use crate::picture::standing::HORIZON_DAYS;
use crate::picture::today::SiteToday;
use crate::picture::today::Today;

/// Where the luck begins, always the same: equal questions have equal answers, and two plans are compared fairly.
const SEED: u64 = 0x6b65_6570;
/// How often. The standard error of a chance is then 1.6 in a hundred at most.
const DRAWS: u32 = 1000;
/// Beyond so many sites fewer draws are made, so that a page is not waited for.
const FULL_UP_TO: usize = 200;
const FEW_DRAWS: u32 = 100;
/// One standard deviation of what people use against what they are rationed, and of what a generator burns against its
/// line; and the part of it that all share: a hot week, a notice. Common practice, no source.
const USE_SPREAD: f64 = 0.15;
const BURN_SPREAD: f64 = 0.1;
const USE_JOINT: f64 = 0.5;
/// Used where the neighbourhood has set no target.
const USUAL_TARGET: f64 = 14.0;

/// The forecast with what was asked of it.
#[derive(Clone, Debug)]
pub struct Expected {
    pub question: Question,
    /// sites in the order of the answer
    pub forecast: Forecast,
}

impl Expected {
    /// # Errors
    /// A figure that the engine does not take.
    pub fn of(picture: &Picture, today: &Today) -> Result<Self, forecast::Refusal> {
        let target = today.target_days(picture).unwrap_or(USUAL_TARGET).min(HORIZON_DAYS);
        let draws = if today.sites.len() <= FULL_UP_TO { DRAWS } else { FEW_DRAWS };
        let question = Question { seed: SEED, draws, target: days(target), outage: None, use_joint: USE_JOINT };
        let sites: Vec<forecast::Site> = today.sites.iter().map(site).collect();
        let forecast = forecast::forecast(&sites, &question)?;
        Ok(Self { question, forecast })
    }
}

fn site(site: &SiteToday) -> forecast::Site {
    let standing = &site.standing;
    let brim = |of: &crate::picture::stocks::StockOf| {
        let vessel = site.site.vessels.iter().find(|vessel| vessel.vessel.id == of.vessel)?;
        Some(vessel.body.capacity.brim)
    };
    let mut stocks: Vec<Doubt> =
        standing.stocks.iter().map(|of| Doubt { sd: of.estimate.sd, brim: brim(of) }).collect();
    // What is supposed beside the vessels is supposed exactly.
    stocks.resize(standing.run.stocks.len(), Doubt { sd: Volume::default(), brim: None });
    forecast::Site {
        key: site.site.site.id.to_string(),
        events: standing.run.events.iter().map(|_| forecast::Coming::SURE).collect(),
        run: standing.run.clone(),
        stocks,
        stocks_joint: 0.0,
        use_spread: USE_SPREAD,
        burn_spread: BURN_SPREAD,
    }
}
