//! How water went while the mains were off: what was left at each of some times, what each site used, what it received
//! and gave out. Told from the ledger as it stands, every entry at the time it happened.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::sync::Arc;

use keepwell_engine::grade::Grade;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::days;

use crate::model::entry::Act;
use crate::model::entry::Entry;
use crate::model::id::SiteId;
use crate::picture::Picture;
use crate::picture::VesselPicture;
use crate::picture::cluster::Cluster;
use crate::picture::cluster::Moved;
use crate::picture::cluster::moment;

/// Samples of the whole time at most, and of one day at most.
const SAMPLES: f64 = 80.0;
const A_DAY: f64 = 8.0;

/// From the beginning to its end, or to now.
#[derive(Clone, Debug, PartialEq)]
pub struct Course {
    /// when it was looked at: the beginning, each day's end, times between, the end
    pub times: Vec<Moment>,
    /// drinking water in reach then, all sites
    pub left: Vec<Volume>,
    /// its days of 24 hours; the last may still be going on
    pub days: Vec<(Moment, Moment)>,
    /// what each site did in each of these days
    pub sites: BTreeMap<SiteId, Vec<Day>>,
}

/// One site in one day, in litres of whatever grade.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Day {
    pub before: f64,
    pub after: f64,
    /// variance of what was held at the beginning, and at the end, in litres squared
    pub variance_before: f64,
    pub variance_after: f64,
    /// filled
    pub received: f64,
    /// in vessels that nobody had spoken of before
    pub found: f64,
    /// from and to other sites
    pub came: f64,
    pub went: f64,
    pub poured_away: f64,
    /// handed out, and to how many, as far as they were counted
    pub given_out: f64,
    pub people: f64,
    pub tallies: u32,
    pub readings: u32,
    /// entries that say that water was drawn
    pub draws: u32,
}

impl Day {
    /// What was used: the balance of all the rest. Below 0 where a reading found more than was believed.
    #[must_use]
    pub fn used(&self) -> f64 {
        self.before + self.received + self.found + self.came - self.went - self.poured_away - self.after
    }

    /// Several days as one.
    #[must_use]
    pub fn together<'a>(days: impl IntoIterator<Item = &'a Self>) -> Self {
        let mut days = days.into_iter();
        let Some(first) = days.next() else { return Self::default() };
        days.fold(first.clone(), |so_far, day| so_far.then(day))
    }

    fn then(self, next: &Self) -> Self {
        Self {
            before: self.before,
            after: next.after,
            variance_before: self.variance_before,
            variance_after: next.variance_after,
            ..self.and(next)
        }
    }

    /// Two sites, or two times, added up.
    #[must_use]
    pub fn and(&self, other: &Self) -> Self {
        Self {
            before: self.before + other.before,
            after: self.after + other.after,
            variance_before: self.variance_before + other.variance_before,
            variance_after: self.variance_after + other.variance_after,
            received: self.received + other.received,
            found: self.found + other.found,
            came: self.came + other.came,
            went: self.went + other.went,
            poured_away: self.poured_away + other.poured_away,
            given_out: self.given_out + other.given_out,
            people: self.people + other.people,
            tallies: self.tallies.saturating_add(other.tallies),
            readings: self.readings.saturating_add(other.readings),
            draws: self.draws.saturating_add(other.draws),
        }
    }

    /// Whether anyone said anything from which its use is known.
    #[must_use]
    pub const fn is_known(&self) -> bool {
        self.tallies + self.readings + self.draws > 0
    }
}

impl Course {
    /// What the picture tells of the time from `since` to `until`.
    #[must_use]
    pub fn of(picture: &Picture, since: Moment, until: Moment) -> Self {
        let (times, days) = sampled(since, until.max(since));
        let mut course = Self::begun(picture, times, days);
        for cluster in clusters(picture) {
            course.follow(picture, cluster);
        }
        course.tally(picture);
        course
    }

    /// What one cluster did in each of some times that do not overlap, the earliest first, site by site, with nothing looked
    /// at between; tallies left out.
    pub(super) fn whole(
        picture: &Picture,
        cluster: &Cluster,
        spans: &[(Moment, Moment)],
    ) -> BTreeMap<SiteId, Vec<Day>> {
        let mut times: Vec<Moment> = spans.iter().flat_map(|(since, until)| [*since, *until]).collect();
        times.dedup();
        let mut course = Self::begun(picture, times, spans.to_vec());
        course.follow(picture, cluster);
        let own: BTreeSet<SiteId> = cluster.members().iter().map(|member| member.vessel.site).collect();
        course.sites.retain(|site, _| own.contains(site));
        course.sites
    }

    fn begun(picture: &Picture, times: Vec<Moment>, days: Vec<(Moment, Moment)>) -> Self {
        let each = vec![Day::default(); days.len()];
        let sites = picture.sites().iter().map(|site| (site.site.id, each.clone())).collect();
        Self { left: vec![Volume::default(); times.len()], times, days, sites }
    }

    /// What was left when so much was looked at first, and at the last.
    #[must_use]
    pub fn at_start(&self) -> Volume {
        self.left.first().copied().unwrap_or_default()
    }

    #[must_use]
    pub fn at_end(&self) -> Volume {
        self.left.last().copied().unwrap_or_default()
    }

    /// Everything, all sites together.
    #[must_use]
    pub fn all(&self) -> Day {
        let whole = self.sites.values().map(Day::together);
        whole.fold(Day::default(), |all, site| all.and(&site))
    }

    fn follow(&mut self, picture: &Picture, cluster: &Cluster) {
        let times = self.times.clone();
        let mut moves: Vec<(usize, SiteId, Day)> = Vec::new();
        let days = self.days.clone();
        let day_of = |at: Moment| days.iter().position(|(from, end)| at > *from && at <= *end);
        let (left, sites) = (&mut self.left, &mut self.sites);
        let look = |place: usize, then: &Cluster| {
            let at = times[place];
            let then = Arc::new(then.clone());
            for (slot, member) in then.members().iter().enumerate() {
                let (vessel, body) = (Arc::clone(&member.vessel), Arc::clone(&member.body));
                let vessel = VesselPicture { vessel, body, cluster: Arc::clone(&then), slot };
                if vessel.vessel.ended.is_some_and(|ended| moment(ended) <= at) || !vessel.is_known() {
                    continue;
                }
                left[place] += drink_in_reach(&vessel, at);
                let Some(site) = sites.get_mut(&vessel.vessel.site) else { continue };
                let estimate = vessel.estimate(at);
                let (held, variance) = (as_litres(estimate.volume), as_litres(estimate.sd).powi(2));
                for (day, (from, to)) in site.iter_mut().zip(&days) {
                    if *from == at {
                        day.before += held;
                        day.variance_before += variance;
                    }
                    if *to == at {
                        day.after += held;
                        day.variance_after += variance;
                    }
                }
            }
        };
        cluster.retrace(&picture.sources, &times, look, |moved| {
            if let Some(day) = day_of(moved.at) {
                moves.extend(said(cluster, &moved).into_iter().map(|(site, what)| (day, site, what)));
            }
        });
        for (day, site, what) in moves {
            if let Some(there) = self.sites.get_mut(&site).and_then(|site| site.get_mut(day)) {
                *there = there.and(&what);
            }
        }
    }

    /// What was handed out, counted at the site whether or not it came out of a vessel that is known.
    fn tally(&mut self, picture: &Picture) {
        let (Some(since), Some(until)) = (self.times.first().copied(), self.times.last().copied()) else { return };
        for site in picture.sites() {
            for entry in site.ledger.history.iter() {
                let at = moment(entry.at);
                let Act::GivenOut(given) = &entry.act else { continue };
                if at <= since || at > until {
                    continue;
                }
                let day = self.days.iter().position(|(_, end)| at <= *end);
                let days = self.sites.get_mut(&site.site.id);
                if let Some(day) = days.and_then(|days| days.get_mut(day?)) {
                    day.given_out += given.litres();
                    day.people += given.people.unwrap_or(0.0);
                    day.tallies = day.tallies.saturating_add(1);
                }
            }
        }
    }
}

/// The clusters of all vessels, each once.
pub(super) fn clusters(picture: &Picture) -> impl Iterator<Item = &Arc<Cluster>> {
    let mut seen: Vec<*const Cluster> = Vec::new();
    let vessels = picture.sites().iter().flat_map(|site| &site.vessels);
    vessels.map(|vessel| &vessel.cluster).filter(move |cluster| {
        let at = Arc::as_ptr(cluster);
        let again = cluster.members().len() > 1 && seen.contains(&at);
        seen.extend((cluster.members().len() > 1).then_some(at));
        !again
    })
}

/// The times to look at, and the days.
fn sampled(since: Moment, until: Moment) -> (Vec<Moment>, Vec<(Moment, Moment)>) {
    let length = as_days(until.since(since));
    let a_day = (SAMPLES / length.max(1.0)).floor().clamp(1.0, A_DAY);
    let mut times = vec![since];
    let mut ends = Vec::new();
    let mut step = 1.0;
    while step / a_day < length {
        let at = since.after(days(step / a_day));
        if at >= until {
            break;
        }
        times.push(at);
        if (step % a_day).abs() < 0.5 {
            ends.push(at);
        }
        step += 1.0;
    }
    times.push(until);
    ends.push(until);
    let mut from = since;
    let days = ends.into_iter().map(|end| (core::mem::replace(&mut from, end), end)).collect();
    (times, days)
}

/// Drinking water in a vessel, above the lowest way to draw it.
fn drink_in_reach(vessel: &VesselPicture, at: Moment) -> Volume {
    let Some(heel) = vessel.body.lowest_heel() else { return Volume::default() };
    let parts = vessel.parts(at).into_iter().filter(|part| part.graded.grade == Some(Grade::Drink));
    parts.map(|part| (part.estimate.volume - heel).max(Volume::default())).sum()
}

/// What an entry did, site by site.
fn said(cluster: &Cluster, moved: &Moved<'_>) -> Vec<(SiteId, Day)> {
    let mut said = Vec::new();
    let entry: &Entry = moved.entry;
    for (slot, member) in cluster.members().iter().enumerate() {
        let (before, after) = (moved.before.get(slot).copied().flatten(), moved.after.get(slot).copied().flatten());
        let mut day = Day::default();
        let own = entry.vessel == Some(member.vessel.id);
        match (before, after) {
            (None, Some(after)) => day.found = after,
            (Some(before), Some(after)) => match &entry.act {
                Act::Fill(_) => day.received = after - before,
                Act::Discard(_) => day.poured_away = before - after,
                Act::Transfer(_) if own => day.went = before - after,
                Act::Transfer(_) => day.came = after - before,
                _ => {}
            },
            (Some(_) | None, None) => {}
        }
        if own {
            match &entry.act {
                Act::Reading(_) => day.readings = 1,
                Act::Draw(_) => day.draws = 1,
                _ => {}
            }
        }
        if day != Day::default() {
            said.push((member.vessel.site, day));
        }
    }
    said
}
