//! The neighbourhood at a moment and a ration: every site's standing, the day the first person goes without, the curve
//! of people still supplied, and all of it pooled, which is an upper bound and never shown alone.

use std::collections::HashMap;
use std::sync::Arc;

use keepwell_engine::demand::Ladder;
use keepwell_engine::demand::Rung;
use keepwell_engine::level::BAND;
use keepwell_engine::moment::Moment;
use keepwell_engine::neighbourhood::AsPlaced;
use keepwell_engine::neighbourhood::Place;
use keepwell_engine::neighbourhood::Pooled;
use keepwell_engine::neighbourhood::Refusal;
use keepwell_engine::neighbourhood::as_placed;
use keepwell_engine::neighbourhood::pooled;
use keepwell_engine::neighbourhood::share;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Volume;

use crate::model::id::SiteId;
use crate::picture::Picture;
use crate::picture::SitePicture;
use crate::picture::cluster::moment;
use crate::picture::shared::WithCarries;
use crate::picture::standing::Standing;
use crate::picture::standing::StandingError;
use crate::picture::stocks::Water;
use crate::picture::suppose::Suppose;

/// What is asked.
#[derive(Clone, Debug, PartialEq)]
pub struct Question {
    /// an outage is on: what counts only then counts
    pub outage: bool,
    /// a rung of the ladder, by its key
    pub ration: String,
    /// what is supposed beside what is believed
    pub suppose: Suppose,
}

/// A figure that the engine does not take. Service checks all of them before they are kept.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum TodayError {
    #[error("site {site}: {error}")]
    Site { site: SiteId, error: StandingError },
    #[error(transparent)]
    Neighbourhood(#[from] Refusal),
    #[error(transparent)]
    Carries(#[from] share::Refusal),
    #[error(transparent)]
    Forecast(#[from] keepwell_engine::forecast::Refusal),
}

/// The answer for the whole neighbourhood.
#[derive(Clone, Debug)]
pub struct Today {
    /// what counts only in an outage was counted
    pub outage: bool,
    pub suppose: Suppose,
    pub rung: Rung,
    pub now: Moment,
    /// every site in use, the shortest-lived first; those that need nothing last
    pub sites: Vec<SiteToday>,
    pub as_placed: AsPlaced,
    pub pooled: Pooled,
    /// none where no carries are agreed
    pub with_carries: Option<WithCarries>,
    /// 8 times in 10 the first person goes without between these; none if nobody does
    pub first_band: Option<(Time, Time)>,
    /// the same for the pooled days
    pub pooled_band: Option<(Time, Time)>,
    pub water: Water,
    /// people counted, each once
    pub people: f64,
    /// litres a day, drink-grade, in all
    pub need: Volume,
}

/// One site of the answer.
#[derive(Clone, Debug)]
pub struct SiteToday {
    pub site: Arc<SitePicture>,
    pub standing: Arc<Standing>,
}

impl Today {
    /// `before` is an answer of the same minute at the same ration: a site that is as it was then is not reckoned again.
    ///
    /// # Errors
    /// [`TodayError`]: rather no answer than one with a site left out.
    pub fn of(picture: &Picture, question: &Question, now: Moment, before: Option<&Self>) -> Result<Self, TodayError> {
        let rung = rung(&question.ration);
        let before = before
            .filter(|before| before.now == now && before.rung.key() == rung.key() && before.outage == question.outage);
        let mut reckoned: HashMap<SiteId, &SiteToday> = HashMap::new();
        if let Some(before) = before {
            reckoned.extend(before.sites.iter().map(|site| (site.site.site.id, site)));
        }
        let mut sites: Vec<SiteToday> = picture
            .sites()
            .iter()
            .filter(|site| site.site.ended.is_none_or(|ended| moment(ended) > now))
            .map(|site| {
                if let Some(same) = reckoned.get(&site.site.id).filter(|there| Arc::ptr_eq(&there.site, site))
                    && before.is_some_and(|before| same_of(site, &before.suppose, &question.suppose))
                {
                    return Ok(SiteToday::clone(same));
                }
                let standing = Standing::supposing(site, &rung, now, question.outage, &question.suppose)
                    .map_err(|error| TodayError::Site { site: site.site.id, error })?;
                Ok(SiteToday { site: Arc::clone(site), standing: Arc::new(standing) })
            })
            .collect::<Result<_, TodayError>>()?;
        sites.sort_by(|a, b| {
            let key = |site: &SiteToday| (!site.standing.needs_water(), site.standing.timeline.days_at_ration.value);
            let (a_key, b_key) = (key(a), key(b));
            a_key
                .0
                .cmp(&b_key.0)
                .then(a_key.1.total_cmp(&b_key.1))
                .then_with(|| a.site.site.name.cmp(&b.site.site.name))
        });
        Self::answer(picture, question, rung, sites, now)
    }

    fn answer(
        picture: &Picture,
        question: &Question,
        rung: Rung,
        sites: Vec<SiteToday>,
        now: Moment,
    ) -> Result<Self, TodayError> {
        let Question { outage, suppose, .. } = question.clone();
        let places: Vec<Place> = sites.iter().map(|site| site.standing.place()).collect();
        let mut water = Water::default();
        let mut need = Volume::default();
        let mut people = 0.0;
        let mut variance = 0.0;
        for SiteToday { standing, .. } in &sites {
            water.add(&standing.water);
            need += standing.demand.drink_grade();
            people += standing.run.people;
            variance += standing.water.drink_sd.value * standing.water.drink_sd.value;
        }
        water.drink_sd = Volume { value: variance.sqrt(), ..Volume::default() };
        let as_placed = as_placed(&places)?;
        let pooled = pooled(&places)?.with_steps(sites.iter().flat_map(|site| site.standing.steps()).collect());
        let first_band = as_placed.ration.first().map(|_| first_band(&sites));
        let pooled_band = pooled.days.map(|days| {
            let part = if water.drink > Volume::default() { BAND * (water.drink_sd / water.drink).value } else { 0.0 };
            (days * (1.0 - part).max(0.0), days * (1.0 + part))
        });
        let wanted = picture.set_up.neighbourhood.as_ref().map(|kept| kept.thing.target_days);
        let target = suppose.target_days.or(wanted);
        // A carry is reckoned for a need that stays.
        let with_carries = if suppose.uncarried || suppose.need_changes() {
            None
        } else {
            WithCarries::of(picture, &sites, now, target)?
        };
        Ok(Self {
            outage,
            suppose,
            rung,
            now,
            sites,
            as_placed,
            pooled,
            with_carries,
            first_band,
            pooled_band,
            water,
            people,
            need,
        })
    }

    /// The days that the neighbourhood wants to last, or that are supposed instead.
    #[must_use]
    pub fn target_days(&self, picture: &Picture) -> Option<f64> {
        let wanted = picture.set_up.neighbourhood.as_ref().map(|kept| kept.thing.target_days);
        self.suppose.target_days.or(wanted)
    }

    /// The site of the first person to go without.
    #[must_use]
    pub fn first(&self) -> Option<&SiteToday> {
        self.as_placed.ration.first().and_then(|fall| self.sites.get(fall.place))
    }

    #[must_use]
    pub fn site(&self, id: SiteId) -> Option<&SiteToday> {
        self.sites.iter().find(|site| site.site.site.id == id)
    }
}

/// Whether a site's own days are the same under both.
fn same_of(site: &SitePicture, one: &Suppose, other: &Suppose) -> bool {
    let vessels = || site.vessels.iter().map(|vessel| vessel.vessel.id);
    let touches = |suppose: &Suppose| suppose.touches(site.site.id, vessels());
    one == other || !touches(one) && !touches(other)
}

/// The earliest end, with every site at the low and at the high end of its own band.
fn first_band(sites: &[SiteToday]) -> (Time, Time) {
    let needy = || sites.iter().filter(|site| site.standing.needs_water()).map(|site| &site.standing);
    let least = |times: Vec<Time>| times.into_iter().reduce(|least, time| if time < least { time } else { least });
    let low = least(needy().map(|standing| standing.low).collect()).unwrap_or_default();
    let high = least(needy().map(|standing| standing.high).collect()).unwrap_or_default();
    (low, high)
}

/// The rung of that key; the ladder's Basic where there is none (an address may ask for anything).
#[must_use]
pub fn rung(key: &str) -> Rung {
    Ladder::default().rung(key).cloned().unwrap_or_else(Rung::basic)
}

/// The key of the rung that days are reckoned at unless the neighbourhood chose another.
pub const BASIC: &str = "basic";

impl Water {
    fn add(&mut self, other: &Self) {
        self.drink += other.drink;
        self.treat += other.treat;
        self.utility += other.utility;
        self.hold += other.hold;
        self.waiting += other.waiting;
        self.out_of_reach += other.out_of_reach;
        self.tested += other.tested;
        self.untested += other.untested;
    }
}
