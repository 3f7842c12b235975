//! A vessel's level over time, for its drawing: the fold once more, looked at on the way.

use keepwell_engine::level::Estimate;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::as_litres;

use crate::model::entry::Act;
use crate::model::entry::Entry;
use crate::model::id::VesselId;
use crate::picture::cluster::Cluster;
use crate::picture::cluster::moment;
use crate::picture::cluster::state::State;
use crate::picture::source::Sources;

/// What was believed at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TracePoint {
    pub at: Moment,
    pub estimate: Estimate,
    /// a level was read here
    pub reading: bool,
    /// nothing was known yet
    pub known: bool,
}

impl Cluster {
    /// From `from` to `now`: before and after each entry about the vessel, and at least every `step`.
    #[must_use]
    pub fn trace(&self, vessel: VesselId, sources: &Sources, from: Moment, now: Moment, step: Time) -> Vec<TracePoint> {
        let Some(slot) = self.slot(vessel) else { return Vec::new() };
        let mut state = State::first(self.members(), self.banks(), self.history());
        let mut points = Vec::new();
        let look = |state: &State, at: Moment, reading: bool| TracePoint {
            at,
            estimate: state.estimate(self.members(), slot, at),
            reading,
            known: state.is_known(slot),
        };
        let mut next = from;
        for entry in self.history().iter() {
            let at = moment(entry.at);
            if at > now {
                break;
            }
            while next < at {
                points.push(look(&state, next, false));
                next = next.after(step);
            }
            if at >= from {
                points.push(look(&state, at, false));
            }
            state.apply(self.members(), sources, &self.supplies, entry);
            if at >= from {
                let read = matches!(&entry.act, Act::Reading(reading) if reading.meter_l.is_none());
                points.push(look(&state, at, read && entry.vessel == Some(vessel)));
            }
        }
        while next < now {
            points.push(look(&state, next, false));
            next = next.after(step);
        }
        points.push(look(&state, now, false));
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
        let state = State::first(self.members(), self.banks(), self.history());
        let mut then = Self { state, ..self.clone() };
        let mut next = 0;
        for entry in self.history().iter() {
            let at = moment(entry.at);
            while times.get(next).is_some_and(|time| *time < at) {
                look(next, &then);
                next += 1;
            }
            if at > last {
                break;
            }
            let before = (at > first).then(|| then.held(at));
            then.state.apply(self.members(), sources, &self.supplies, entry);
            if let Some(before) = before {
                moved(Moved { entry, at, before, after: then.held(at) });
            }
        }
        for place in next..times.len() {
            look(place, &then);
        }
    }

    /// Litres in each vessel.
    fn held(&self, at: Moment) -> Vec<Option<f64>> {
        let litres = |slot: usize| as_litres(self.state.estimate(self.members(), slot, at).volume);
        (0..self.members().len()).map(|slot| self.state.is_known(slot).then(|| litres(slot))).collect()
    }
}
