//! Days left if one thing is lost: each tried alone, by the reckoning that today is.

use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::litres;

use crate::model::id::SiteId;
use crate::model::id::VesselId;
use crate::model::vessel::ShapeKind;
use crate::picture::Picture;
use crate::picture::VesselPicture;
use crate::picture::standing::Standing;
use crate::picture::suppose::Suppose;
use crate::picture::today::Question;
use crate::picture::today::Today;
use crate::picture::today::TodayError;

/// Vessels and sites that are lost one by one, the largest first.
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

/// What is lost.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lost {
    Vessel {
        site: SiteId,
        vessel: VesselId,
    },
    /// all that a site stores
    Store {
        site: SiteId,
    },
    /// a generator does not start
    Generator {
        site: SiteId,
    },
    /// the ground shakes: what is not anchored falls, what is rigidly joined breaks
    Earthquake {
        vessels: usize,
    },
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
    let key = |loss: &Loss| {
        let first = loss.with_carries.unwrap_or_else(|| loss.first.map(|first| first.1));
        first.map_or(f64::INFINITY, |at| at.value)
    };
    all.sort_by(|a, b| key(a).total_cmp(&key(b)).then_with(|| b.people.total_cmp(&a.people)));
    Ok(all)
}

fn candidates(today: &Today) -> Vec<(Lost, Suppose)> {
    let mut all = Vec::new();
    let mut vessels: Vec<(SiteId, VesselId, Volume)> = Vec::new();
    for site in &today.sites {
        for stock in &site.standing.stocks {
            match vessels.iter_mut().find(|there| there.1 == stock.vessel) {
                Some(there) => there.2 += stock.in_reach,
                None => vessels.push((site.site.site.id, stock.vessel, stock.in_reach)),
            }
        }
    }
    vessels.sort_by(|a, b| b.2.value.total_cmp(&a.2.value));
    for (site, vessel, _) in vessels.iter().take(LARGEST) {
        let mut suppose = today.suppose.clone();
        suppose.lost.insert(*vessel);
        all.push((Lost::Vessel { site: *site, vessel: *vessel }, suppose));
    }
    let mut stores: Vec<(SiteId, Volume)> =
        today.sites.iter().map(|s| (s.site.site.id, s.standing.water.drink)).collect();
    stores.sort_by(|a, b| b.1.value.total_cmp(&a.1.value));
    for (site, _) in stores.iter().take(LARGEST).filter(|store| store.1 > Volume::default()) {
        all.push((Lost::Store { site: *site }, today.suppose.clone().and_at(*site, |own| own.lost = true)));
    }
    for site in today.sites.iter().filter(|site| runs(&site.standing)).take(LARGEST) {
        let id = site.site.site.id;
        all.push((Lost::Generator { site: id }, today.suppose.clone().and_at(id, |own| own.unpowered = true)));
    }
    let mut shaken = today.suppose.clone();
    for site in &today.sites {
        // Single cans are set down where they stand.
        let loose = |vessel: &VesselPicture| !vessel.vessel.anchored && vessel.vessel.shape != ShapeKind::Set;
        let falls = |vessel: &VesselPicture| loose(vessel) || vessel.is_coupled();
        let fallen = site.site.vessels_at(today.now).filter(|vessel| vessel.is_known() && falls(vessel));
        shaken.lost.extend(fallen.map(|vessel| vessel.vessel.id));
    }
    if !shaken.lost.is_empty() {
        all.push((Lost::Earthquake { vessels: shaken.lost.len() }, shaken));
    }
    all
}

/// Whether a site's best level of service hangs on its generator.
fn runs(standing: &Standing) -> bool {
    standing.power.is_some() && standing.timeline.spans.first().is_some_and(|span| span.level == Some(0))
}

fn tried(picture: &Picture, today: &Today, what: Lost, suppose: Suppose) -> Result<Loss, TodayError> {
    let question = Question { outage: today.outage, ration: today.rung.key().to_owned(), suppose };
    let then = Today::of(picture, &question, today.now, Some(today))?;
    let sooner = |id: SiteId, at: Time| {
        let was = today.site(id).map(|site| site.standing.timeline.days_at_ration);
        was.is_some_and(|was| at < was)
    };
    let hit = then.sites.iter().filter(|site| sooner(site.site.site.id, site.standing.timeline.days_at_ration));
    let people = hit.map(|site| site.standing.run.people).sum();
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
