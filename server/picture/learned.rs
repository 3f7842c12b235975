//! What people used while the mains were off, against what they were rationed: learned from the ledger once there is enough
//! of it, with the people as they were counted then.

use std::collections::BTreeMap;
use std::sync::Arc;

use keepwell_engine::demand;
use keepwell_engine::demand::Learned;
use keepwell_engine::demand::Measured;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::OutOfRange;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::litres;

use crate::model::id::SiteId;
use crate::model::id::VesselId;
use crate::model::outage::Outage;
use crate::model::site::People;
use crate::picture::Picture;
use crate::picture::SitePicture;
use crate::picture::cluster::Cluster;
use crate::picture::cluster::Print;
use crate::picture::cluster::moment;
use crate::picture::course::Course;
use crate::picture::course::Day;
use crate::picture::course::clusters;
use crate::picture::standing::need;
use crate::picture::today::BASIC;
use crate::picture::today::rung;

/// One standard deviation of what people use against what they are rationed. Common practice, no source.
pub const USE_SPREAD: f64 = 0.15;
/// The same of what was filled, as a part of it. Common practice, no source.
const FILL_SPREAD: f64 = 0.1;
/// What was used in one outage is not used to the litre in the next: the spread is this part of the assumed at least.
/// Common practice, no source.
const LEAST_SPREAD: f64 = 0.5;
/// An outage shorter than this tells nothing: who washed before it began?
const LEAST_DAYS: f64 = 1.0;

/// What one site has taught.
#[derive(Clone, Debug)]
pub struct LearnedAt {
    pub site: SiteId,
    /// litres a person a day by the rations in force then
    pub rationed: Volume,
    pub learned: Learned,
}

impl LearnedAt {
    /// What people use, as a part of their ration.
    #[must_use]
    pub fn factor(&self) -> f64 {
        self.learned.each.value / self.rationed.value
    }

    /// One standard deviation of what they will use, as a part of the use.
    #[must_use]
    pub fn spread(&self) -> f64 {
        (self.learned.sd.value / self.learned.each.value).max(LEAST_SPREAD * USE_SPREAD)
    }
}

/// What every cluster did in each outage. To tell it, all that ever happened to the cluster is gone through, so it is told
/// once for as long as nothing changes about that time.
#[derive(Clone, Debug, Default)]
pub struct Past(BTreeMap<(VesselId, Moment), Told>);

#[derive(Clone, Debug)]
struct Told {
    print: Print,
    days: Arc<[(SiteId, Day)]>,
}

type Days = BTreeMap<SiteId, Day>;

impl Past {
    /// What the sites did from then to then, each time by itself, the earliest first, the last of them maybe still going on;
    /// it becomes what is told now.
    fn tell(&mut self, picture: &Picture, spans: &[(Moment, Moment)], goes_on: bool) -> Vec<Days> {
        let mut kept = BTreeMap::new();
        let mut all = vec![Days::new(); spans.len()];
        for cluster in clusters(picture) {
            let Some(first) = cluster.members().first().map(|member| member.vessel.id) else { continue };
            let held = |(since, until): &(Moment, Moment)| {
                let told = self.0.get(&(first, *since))?;
                (told.print == cluster.print(*until)).then(|| told.clone())
            };
            let held: Vec<Option<Told>> = spans.iter().map(held).collect();
            let wanting = spans.iter().zip(&held).filter(|(_, held)| held.is_none()).map(|(span, _)| *span);
            let wanting: Vec<(Moment, Moment)> = wanting.collect();
            let mut anew = anew(picture, cluster, &wanting).into_iter();
            for (place, ((span, held), all)) in spans.iter().zip(held).zip(&mut all).enumerate() {
                let Some(mut told) = held.or_else(|| anew.next()) else { continue };
                if goes_on && place + 1 == spans.len() {
                    told.days = as_it_stands(&told.days, cluster, span.1);
                }
                for (site, day) in &*told.days {
                    let sum = all.entry(*site).or_default();
                    *sum = sum.and(day);
                }
                kept.insert((first, span.0), told);
            }
        }
        self.0 = kept;
        all
    }
}

fn anew(picture: &Picture, cluster: &Cluster, spans: &[(Moment, Moment)]) -> Vec<Told> {
    if spans.is_empty() {
        return Vec::new();
    }
    let sites = Course::whole(picture, cluster, spans);
    let told = |(place, (_, until)): (usize, &(Moment, Moment))| Told {
        print: cluster.print(*until),
        days: sites.iter().filter_map(|(site, days)| Some((*site, days.get(place)?.clone()))).collect(),
    };
    spans.iter().enumerate().map(told).collect()
}

/// The same with what is left now: the end of an outage that goes on moves.
fn as_it_stands(days: &[(SiteId, Day)], cluster: &Cluster, now: Moment) -> Arc<[(SiteId, Day)]> {
    let mut days = days.to_vec();
    for (site, day) in &mut days {
        (day.after, day.variance_after) = (0.0, 0.0);
        for (slot, member) in cluster.members().iter().enumerate().filter(|(_, member)| member.vessel.site == *site) {
            let gone = member.vessel.ended.is_some_and(|ended| moment(ended) <= now);
            if !gone && cluster.state().is_known(slot) {
                let estimate = cluster.estimate(slot, now);
                day.after += as_litres(estimate.volume);
                day.variance_after += as_litres(estimate.sd).powi(2);
            }
        }
    }
    days.into()
}

/// What each site has taught in outages, drills left out; none of a site where nothing was measured. `past` is what was told
/// before, and becomes what is told now.
///
/// # Errors
/// A figure that the engine does not take.
pub fn learned(picture: &Picture, now: Moment, past: &mut Past) -> Result<Vec<LearnedAt>, OutOfRange> {
    let real = picture.set_up.outages.values().map(|kept| &*kept.thing).filter(|outage| !outage.is_drill());
    let mut real: Vec<(&Outage, Moment)> = real
        .map(|outage| (outage, outage.ended.map_or(now, moment)))
        .filter(|(outage, until)| as_days(until.since(moment(outage.since))) >= LEAST_DAYS)
        .collect();
    real.sort_by_key(|(outage, _)| outage.since);
    let spans: Vec<(Moment, Moment)> = real.iter().map(|(outage, until)| (moment(outage.since), *until)).collect();
    let goes_on = real.last().is_some_and(|(outage, _)| outage.ended.is_none());
    let days = past.tell(picture, &spans, goes_on);
    let told: Vec<(&Outage, Moment, Days)> =
        real.into_iter().zip(days).map(|((outage, until), days)| (outage, until, days)).collect();
    let mut found = Vec::new();
    for site in picture.sites() {
        let (mut measured, mut rationed, mut person_days) = (Vec::new(), 0.0, 0.0);
        for (outage, until, course) in &told {
            let Some(whole) = course.get(&site.site.id).filter(|day| day.readings > 0) else {
                continue;
            };
            let stretch = stretch(picture, site, outage, *until)?;
            let over = until.since(moment(outage.since));
            // Below 0 is a reading that found more than was believed: nothing is learned from it.
            if stretch.person_days <= 0.0 || whole.used() < 0.0 {
                continue;
            }
            let filled = FILL_SPREAD * (whole.received + whole.came);
            measured.push(Measured {
                used: litres(whole.used()),
                sd: litres((whole.variance_before + whole.variance_after + filled * filled).sqrt().max(1.0)),
                people: stretch.person_days / as_days(over),
                over,
            });
            rationed += stretch.litres;
            person_days += stretch.person_days;
        }
        if person_days > 0.0 && rationed > 0.0 {
            let each = rationed / person_days;
            let learned = demand::learned(litres(each), litres(each * USE_SPREAD), &measured)?;
            found.push(LearnedAt { site: site.site.id, rationed: litres(each), learned });
        }
    }
    Ok(found)
}

/// What a site would have used by the rations, and by how many.
#[derive(Default)]
struct Stretch {
    litres: f64,
    person_days: f64,
}

fn stretch(picture: &Picture, site: &SitePicture, outage: &Outage, until: Moment) -> Result<Stretch, OutOfRange> {
    let counted = picture.set_up.counted.get(&site.site.id).map_or(&[][..], Vec::as_slice);
    let since = moment(outage.since);
    let inside = |at: &Moment| *at > since && *at < until;
    let mut times: Vec<Moment> = counted.iter().map(|counted| moment(counted.since)).filter(inside).collect();
    times.extend(outage.rations.iter().map(|step| moment(step.since)).filter(inside));
    times.extend([since, until]);
    times.sort();
    let mut all = Stretch::default();
    for pair in times.windows(2) {
        let &[from, to] = pair else { continue };
        let people = people_at(counted, from).unwrap_or(&site.site.people);
        let step = outage.rations.iter().rev().find(|step| moment(step.since) <= from).or(outage.rations.first());
        let uses = rung(step.map_or(BASIC, |step| &step.ration)).uses();
        let (heads, each) = need(&site.site, people, 0, uses)?.per_head();
        let length = as_days(to.since(from));
        all.person_days += heads * length;
        all.litres += heads * as_litres(each.total()) * length;
    }
    Ok(all)
}

/// Who was counted then; before the first record, those of the first.
fn people_at(counted: &[crate::model::setup::Counted], at: Moment) -> Option<&Vec<People>> {
    let then = counted.iter().rev().find(|counted| moment(counted.since) <= at);
    then.or_else(|| counted.first()).map(|counted| &counted.people)
}
