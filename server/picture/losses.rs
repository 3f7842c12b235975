//! Days left if one thing is lost: each tried alone, by the reckoning that today is.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use keepwell_engine::grade::Grade;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::litres;

use crate::model::id::SiteId;
use crate::model::id::SourceId;
use crate::model::id::VesselId;
use crate::model::vessel::ShapeKind;
use crate::model::vessel::StandsOn;
use crate::picture::Picture;
use crate::picture::VesselPicture;
use crate::picture::standing::Standing;
use crate::picture::suppose::Suppose;
use crate::picture::today::Question;
use crate::picture::today::Today;
use crate::picture::today::TodayError;

/// Sites, generators and supplies that are lost one by one, the largest first.
const LARGEST: usize = 3;

/// One loss and what it does.
#[derive(Clone, Debug, PartialEq)]
pub struct Loss {
    pub what: Lost,
    /// drinking water in reach that is lost with it
    pub litres: Volume,
    /// the first person to go without then, as placed: where and when
    pub first: Option<(SiteId, Time)>,
    /// the same with the carries, where any are agreed; none inside: nobody, as far as is looked
    pub with_carries: Option<Option<Time>>,
    /// people who go without sooner than they would
    pub people: f64,
}

/// What is lost. That a supply gives nothing is none of them: every day is of stored water, so it hits nobody.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lost {
    /// a leak: what is open to it runs out with it
    Vessel {
        site: SiteId,
        vessel: VesselId,
        /// vessels in all
        vessels: usize,
    },
    /// all that a site stores
    Store { site: SiteId },
    /// a generator does not start: water is then reached by gravity or by hand, and not by its pump
    Generator { site: SiteId },
    /// a pump does not run: likewise
    Pump { site: SiteId },
    /// the ground shakes: what is not anchored falls, what is rigidly joined breaks
    Earthquake { vessels: usize },
    /// a hard frost: what stands in it cannot be drawn
    Frost { vessels: usize },
    /// something gets into a vessel and into whatever is open to it
    Fouled { site: SiteId, vessel: VesselId, vessels: usize },
    /// what was filled from a supply turns out to be spoilt
    Spoilt { source: SourceId },
}

/// The losses that matter, the worst first.
///
/// # Errors
/// A figure that the engine does not take.
pub fn losses(picture: &Picture, today: &Today) -> Result<Vec<Loss>, TodayError> {
    let mut all = Vec::new();
    for (what, suppose) in candidates(today) {
        all.push(tried(picture, today, what, suppose)?);
    }
    // What hits nobody is no loss to speak of.
    all.retain(|loss| loss.people > 0.0);
    all.sort_by(|a, b| a.until().total_cmp(&b.until()).then_with(|| b.people.total_cmp(&a.people)));
    Ok(all)
}

type Candidate = (Lost, Suppose);

fn candidates(today: &Today) -> Vec<Candidate> {
    let suppose = || today.suppose.clone();
    let mut all = Vec::new();
    // What runs out together, or is fouled together.
    if let Some((site, together)) = largest(today)
        && let Some(&vessel) = together.first()
    {
        let vessels = together.len();
        all.push((Lost::Vessel { site, vessel, vessels }, suppose().and_lost(together.iter().copied())));
        all.push((Lost::Fouled { site, vessel, vessels }, suppose().and_fouled(together)));
    }
    let mut stores: Vec<(SiteId, Volume)> =
        today.sites.iter().map(|s| (s.site.site.id, s.standing.water.drink)).collect();
    stores.sort_by(|a, b| b.1.value.total_cmp(&a.1.value));
    for (site, _) in stores.iter().take(LARGEST).filter(|store| store.1 > Volume::default()) {
        all.push((Lost::Store { site: *site }, suppose().and_at(*site, |own| own.lost = true)));
    }
    for site in today.sites.iter().filter(|site| runs(&site.standing)).take(LARGEST) {
        let id = site.site.site.id;
        if site.standing.run.power.is_some() {
            all.push((Lost::Generator { site: id }, suppose().and_at(id, |own| own.unpowered = true)));
        }
        all.push((Lost::Pump { site: id }, suppose().and_at(id, |own| own.pumpless = true)));
    }
    let fallen = fallen(today);
    if !fallen.is_empty() {
        all.push((Lost::Earthquake { vessels: fallen.len() }, suppose().and_lost(fallen)));
    }
    let frozen = taken(today, |vessel| vessel.vessel.may_freeze);
    if !frozen.is_empty() {
        all.push((Lost::Frost { vessels: frozen.len() }, Suppose { frost: true, ..suppose() }));
    }
    for source in drunk(today) {
        let mut suppose = suppose();
        suppose.spoilt.insert(source);
        all.push((Lost::Spoilt { source }, suppose));
    }
    all
}

/// The most drinking water that stands open together: where, and the vessels.
fn largest(today: &Today) -> Option<(SiteId, Vec<VesselId>)> {
    let mut found: Vec<(SiteId, Vec<VesselId>, Volume)> = Vec::new();
    for site in &today.sites {
        let id = site.site.site.id;
        for stock in site.standing.stocks.iter().filter(|stock| stock.grade == Grade::Drink) {
            if let Some(there) = found.iter_mut().find(|there| there.0 == id && there.1.contains(&stock.vessel)) {
                there.2 += stock.in_reach;
            } else {
                let vessel = site.site.vessels.iter().find(|vessel| vessel.vessel.id == stock.vessel);
                found.extend(vessel.map(|vessel| (id, vessel.together(), stock.in_reach)));
            }
        }
    }
    let most = found.into_iter().max_by(|a, b| a.2.value.total_cmp(&b.2.value));
    most.filter(|most| most.2 > Volume::default()).map(|(site, vessels, _)| (site, vessels))
}

/// The supplies of which most is stored to drink.
fn drunk(today: &Today) -> Vec<SourceId> {
    let mut held: BTreeMap<SourceId, Volume> = BTreeMap::new();
    for site in &today.sites {
        for vessel in site.site.vessels_at(today.now) {
            let stocks = site.standing.stocks.iter().filter(|stock| stock.vessel == vessel.vessel.id);
            let volume: Volume = stocks.filter(|stock| stock.grade == Grade::Drink).map(|stock| stock.in_reach).sum();
            if volume > Volume::default() {
                for source in vessel.may_come_from(today.now) {
                    *held.entry(source).or_default() += volume;
                }
            }
        }
    }
    let mut held: Vec<(SourceId, Volume)> = held.into_iter().collect();
    held.sort_by(|a, b| b.1.value.total_cmp(&a.1.value));
    held.into_iter().take(LARGEST).map(|(source, _)| source).collect()
}

/// The vessels that an earthquake takes: those held to nothing, and those that are rigidly joined.
#[must_use]
pub fn fallen(today: &Today) -> BTreeSet<VesselId> {
    taken(today, |vessel| is_loose(vessel) || vessel.is_coupled())
}

/// The known vessels that something takes, of those that are not lost anyway.
fn taken(today: &Today, takes: impl Fn(&VesselPicture) -> bool) -> BTreeSet<VesselId> {
    let vessels = today.sites.iter().flat_map(|site| site.site.vessels_at(today.now));
    let taken = vessels.filter(|vessel| vessel.is_known() && takes(vessel)).map(|vessel| vessel.vessel.id);
    taken.filter(|vessel| !today.suppose.lost.contains(vessel)).collect()
}

/// Held to nothing. Single cans are set down where they stand, and what is buried cannot fall.
#[must_use]
pub fn is_loose(vessel: &VesselPicture) -> bool {
    let own = &vessel.vessel;
    !own.anchored && own.shape != ShapeKind::Set && own.stands_on != StandsOn::Buried
}

impl Loss {
    /// When the first person goes without then, with the carries where any are agreed; none: nobody, as far as is looked.
    #[must_use]
    pub fn at(&self) -> Option<Time> {
        self.with_carries.unwrap_or_else(|| self.first.map(|first| first.1))
    }

    /// The same in days, infinite where nobody does.
    fn until(&self) -> f64 {
        self.at().map_or(f64::INFINITY, as_days)
    }
}

/// Whether a site's best level of service hangs on its pump.
fn runs(standing: &Standing) -> bool {
    let run = &standing.run;
    (run.power.is_some() || run.battery.is_some())
        && standing.timeline.spans.first().is_some_and(|span| span.level == Some(0))
}

fn tried(picture: &Picture, today: &Today, what: Lost, suppose: Suppose) -> Result<Loss, TodayError> {
    let question = Question { outage: today.outage, ration: today.rung.key().to_owned(), suppose };
    let then = Today::of(picture, &question, today.now, Some(today))?;
    let sooner = |id: SiteId, at: Time| {
        let was = today.site(id).map(|site| site.standing.timeline.days_at_ration);
        was.is_some_and(|was| at < was)
    };
    let hit = then.sites.iter().filter(|site| sooner(site.site.site.id, site.standing.timeline.days_at_ration));
    // a sum of none is −0
    let people = hit.map(|site| site.standing.run.people).fold(0.0, |sum, people| sum + people);
    let litres_lost = (today.water.drink - then.water.drink).max(litres(0.0));
    let first = then.as_placed.ration.first();
    Ok(Loss {
        what,
        litres: litres_lost,
        first: first.and_then(|fall| Some((then.sites.get(fall.place)?.site.site.id, fall.at))),
        with_carries: then.with_carries.as_ref().map(|with| with.first.map(|first| first.1)),
        people,
    })
}
