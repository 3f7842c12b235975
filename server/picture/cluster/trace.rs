//! A vessel's level over time, for its drawing: the fold once more, looked at on the way.

use keepwell_engine::level::Estimate;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::as_litres;

use crate::model::entry::Act;
use crate::model::entry::Entry;
use crate::model::id::VesselId;
use crate::picture::cluster::Cluster;
use crate::picture::cluster::explain::Followers;
use crate::picture::cluster::moment;
use crate::picture::cluster::read::shown;
use crate::picture::cluster::state::State;
use crate::picture::source::Sources;

/// What was believed at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TracePoint {
    pub at: Moment,
    pub estimate: Estimate,
    /// a level was read here, and showed so much
    pub reading: Option<Volume>,
    /// nothing was known yet
    pub known: bool,
}

/// A cluster on its way through its own history.
struct Then<'a> {
    then: Cluster,
    followers: Followers<'a>,
    sources: &'a Sources,
    /// what is said of the levels is that of now, and of so many beginnings and ends of outages
    said: Option<usize>,
}

impl<'a> Then<'a> {
    /// Before the first entry. What some of its vessels hold will be looked at from `from` on.
    fn of(cluster: &'a Cluster, sources: &'a Sources, slots: impl IntoIterator<Item = usize>, from: Moment) -> Self {
        let state = State::first(cluster.members(), cluster.banks(), cluster.history());
        let followers = Followers::of(cluster, slots, from);
        Self { then: Cluster { state, ..cluster.clone() }, followers, sources, said: None }
    }

    fn apply(&mut self, entry: &Entry) {
        let Cluster { state, members, supplies, .. } = &mut self.then;
        state.apply(members, self.sources, supplies, entry);
        self.followers.tell(entry, state);
        self.said = None;
    }

    fn look(&mut self, at: Moment) -> &Cluster {
        let outages = self.then.outages.before(at);
        if self.said != Some(outages) {
            self.then.kept = self.followers.said(at);
            self.said = Some(outages);
        }
        &self.then
    }
}

impl Cluster {
    /// From `from` to `now`: before and after each entry about the vessel, and at least every `step`.
    #[must_use]
    pub fn trace(&self, vessel: VesselId, sources: &Sources, from: Moment, now: Moment, step: Time) -> Vec<TracePoint> {
        let Some(slot) = self.slot(vessel) else { return Vec::new() };
        let mut then = Then::of(self, sources, [slot], from);
        let mut points = Vec::new();
        let look = |then: &mut Then<'_>, at: Moment, reading: Option<Volume>| {
            let cluster = then.look(at);
            TracePoint { at, estimate: cluster.estimate(slot, at), reading, known: cluster.state.is_known(slot) }
        };
        let mut next = from;
        for entry in self.history().iter() {
            let at = moment(entry.at);
            if at > now {
                break;
            }
            while next < at {
                points.push(look(&mut then, next, None));
                next = next.after(step);
            }
            if at >= from {
                points.push(look(&mut then, at, None));
            }
            then.apply(entry);
            if at >= from {
                let read = match &entry.act {
                    Act::Reading(reading) if entry.vessel == Some(vessel) => shown(&self.members[slot], reading),
                    _ => None,
                };
                points.push(look(&mut then, at, read));
            }
        }
        while next < now {
            points.push(look(&mut then, next, None));
            next = next.after(step);
        }
        // What is said of now is said everywhere in the same words.
        let last = if self.history().last().is_none_or(|last| moment(last.at) <= now) {
            TracePoint { at: now, estimate: self.estimate(slot, now), reading: None, known: self.state.is_known(slot) }
        } else {
            look(&mut then, now, None)
        };
        points.push(last);
        points
    }
}

/// An entry, and what each vessel of the cluster held before and after it; none where nobody knew.
#[derive(Clone, Debug)]
pub struct Moved<'a> {
    pub entry: &'a Entry,
    pub at: Moment,
    pub before: Vec<Option<f64>>,
    pub after: Vec<Option<f64>>,
}

impl Cluster {
    /// Everything once more: the cluster as it was at each of these times, given in order, and what every entry between
    /// the first and the last of them did.
    pub fn retrace<'a>(
        &'a self,
        sources: &Sources,
        times: &[Moment],
        mut look: impl FnMut(usize, &Self),
        mut moved: impl FnMut(Moved<'a>),
    ) {
        let (Some(first), Some(last)) = (times.first().copied(), times.last().copied()) else { return };
        let mut then = Then::of(self, sources, 0..self.members().len(), first);
        let mut next = 0;
        for entry in self.history().iter() {
            let at = moment(entry.at);
            while times.get(next).is_some_and(|time| *time < at) {
                look(next, then.look(times[next]));
                next += 1;
            }
            if at > last {
                break;
            }
            let before = (at > first).then(|| then.look(at).held(at));
            then.apply(entry);
            if let Some(before) = before {
                moved(Moved { entry, at, before, after: then.look(at).held(at) });
            }
        }
        for (place, at) in times.iter().enumerate().skip(next) {
            look(place, then.look(*at));
        }
    }

    /// Litres in each vessel.
    fn held(&self, at: Moment) -> Vec<Option<f64>> {
        let litres = |slot: usize| as_litres(self.estimate(slot, at).volume);
        (0..self.members().len()).map(|slot| self.state.is_known(slot).then(|| litres(slot))).collect()
    }
}
