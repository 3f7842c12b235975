//! A vessel's level over time, for its drawing: the fold once more, looked at on the way.

use keepwell_engine::level::Estimate;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Time;

use crate::model::entry::Act;
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
