//! Days left if one thing is lost: each tried alone, by the reckoning that today is.

use keepwell_engine::grade::Grade;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::litres;

use crate::model::id::BankId;
use crate::model::id::SiteId;
use crate::model::id::SourceId;
use crate::model::id::VesselId;
use crate::model::vessel::ShapeKind;
use crate::picture::Picture;
use crate::picture::VesselPicture;
use crate::picture::standing::Standing;
use crate::picture::suppose::Suppose;
use crate::picture::today::Question;
use crate::picture::today::SiteToday;
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

/// What is lost.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Lost {
    Vessel {
        site: SiteId,
        vessel: VesselId,
    },
    /// all that a site stores
    Store {
        site: SiteId,
    },
    /// a generator does not start, or its pump fails: water is then reached by hand
    Generator {
        site: SiteId,
    },
    /// the ground shakes: what is not anchored falls, what is rigidly joined breaks
    Earthquake {
        vessels: usize,
        /// what would have helped most, done beforehand
        eased: Option<Eased>,
    },
    /// a hard frost: what stands in it cannot be drawn
    Frost {
        vessels: usize,
    },
    /// what was filled from a supply turns out to be spoilt
    Spoilt {
        source: SourceId,
    },
}

/// What is done before an earthquake, and what comes of it then.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Eased {
    pub site: SiteId,
    pub what: Ease,
    /// the first person to go without then; none: nobody, as far as is looked
    pub first: Option<Time>,
    /// people fewer who go without sooner
    pub people: f64,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ease {
    /// a vessel is anchored
    Anchor(VesselId),
    /// a bank is taken apart
    Uncouple(BankId),
}

/// The losses that matter, the worst first.
///
/// # Errors
/// A figure that the engine does not take.
pub fn losses(picture: &Picture, today: &Today) -> Result<Vec<Loss>, TodayError> {
    let mut all = Vec::new();
    for (what, suppose) in candidates(picture, today) {
        all.push(tried(picture, today, what, suppose)?);
    }
    all.extend(shaken(picture, today)?);
    // What hits nobody is no loss to speak of.
    all.retain(|loss| loss.people > 0.0);
    all.sort_by(|a, b| a.until().total_cmp(&b.until()).then_with(|| b.people.total_cmp(&a.people)));
    Ok(all)
}

fn candidates(picture: &Picture, today: &Today) -> Vec<(Lost, Suppose)> {
    let mut all = Vec::new();
    let mut vessels: Vec<(SiteId, VesselId, Volume)> = Vec::new();
    for site in &today.sites {
        for stock in site.standing.stocks.iter().filter(|stock| stock.grade == Grade::Drink) {
            match vessels.iter_mut().find(|there| there.1 == stock.vessel) {
                Some(there) => there.2 += stock.in_reach,
                None => vessels.push((site.site.site.id, stock.vessel, stock.in_reach)),
            }
        }
    }
    let largest = vessels.iter().max_by(|a, b| a.2.value.total_cmp(&b.2.value));
    if let Some((site, vessel, _)) = largest {
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
    let frozen: usize = today.sites.iter().map(|site| known(site, today).filter(|v| v.vessel.may_freeze).count()).sum();
    if frozen > 0 {
        all.push((Lost::Frost { vessels: frozen }, Suppose { frost: true, ..today.suppose.clone() }));
    }
    // Those whose water is most of what is drunk.
    let mut filled: Vec<(SourceId, Volume)> = picture
        .set_up
        .sources
        .keys()
        .map(|source| {
            let from_it = vessels.iter().filter(|(_, vessel, _)| {
                picture.vessel(*vessel).is_some_and(|(_, there)| there.cluster.fills_from(*source))
            });
            (*source, from_it.map(|there| there.2).sum())
        })
        .filter(|(_, volume)| *volume > Volume::default())
        .collect();
    filled.sort_by(|a, b| b.1.value.total_cmp(&a.1.value));
    for (source, _) in filled.into_iter().take(LARGEST) {
        let mut suppose = today.suppose.clone();
        suppose.spoilt.insert(source);
        all.push((Lost::Spoilt { source }, suppose));
    }
    all
}

fn known<'a>(site: &'a SiteToday, today: &'a Today) -> impl Iterator<Item = &'a VesselPicture> {
    site.site.vessels_at(today.now).filter(|vessel| vessel.is_known())
}

/// The ground shakes: what it takes, and what would have helped most.
fn shaken(picture: &Picture, today: &Today) -> Result<Option<Loss>, TodayError> {
    // Single cans are set down where they stand.
    let loose = |vessel: &VesselPicture| !vessel.vessel.anchored && vessel.vessel.shape != ShapeKind::Set;
    let mut suppose = today.suppose.clone();
    let mut eases: Vec<(SiteId, Ease, Vec<VesselId>, Volume)> = Vec::new();
    for site in &today.sites {
        let (id, held) = (site.site.site.id, |vessel: &VesselPicture| vessel.estimate(today.now).volume);
        for vessel in known(site, today).filter(|vessel| loose(vessel) || vessel.is_coupled()) {
            let lost = vessel.vessel.id;
            suppose.lost.insert(lost);
            if !vessel.is_coupled() {
                eases.push((id, Ease::Anchor(lost), vec![lost], held(vessel)));
            } else if let Some(bank) = vessel.vessel.bank.filter(|_| !loose(vessel)) {
                // Taken apart, what is anchored stands.
                match eases.iter_mut().find(|there| there.1 == Ease::Uncouple(bank)) {
                    Some((_, _, saved, volume)) => {
                        saved.push(lost);
                        *volume += held(vessel);
                    }
                    None => eases.push((id, Ease::Uncouple(bank), vec![lost], held(vessel))),
                }
            }
        }
    }
    if suppose.lost == today.suppose.lost {
        return Ok(None);
    }
    let vessels = suppose.lost.len() - today.suppose.lost.len();
    let mut loss = tried(picture, today, Lost::Earthquake { vessels, eased: None }, suppose.clone())?;
    eases.sort_by(|a, b| b.3.value.total_cmp(&a.3.value));
    let mut best: Option<Loss> = None;
    let mut eased = None;
    for (site, what, saved, _) in eases.into_iter().take(2 * LARGEST) {
        let mut done = suppose.clone();
        done.lost.retain(|vessel| !saved.contains(vessel));
        let then = tried(picture, today, loss.what, done)?;
        let beats = |one: &Loss, other: &Loss| {
            one.until() > other.until() || one.until() >= other.until() && one.people < other.people
        };
        if beats(&then, best.as_ref().unwrap_or(&loss)) {
            eased = Some(Eased { site, what, first: then.at(), people: loss.people - then.people });
            best = Some(then);
        }
    }
    loss.what = Lost::Earthquake { vessels, eased };
    Ok(Some(loss))
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
