//! One run many times over, with its figures moved: checked once, and no memory taken from one time to the next.

use crate::endurance::Change;
use crate::endurance::Event;
use crate::endurance::Refusal;
use crate::endurance::Run;
use crate::endurance::check;
use crate::endurance::course::Course;
use crate::endurance::course::Ends;
use crate::endurance::course::Far;
use crate::quantity::as_days;

/// The events with their days, by rising day; those of one day in the order of the list.
pub(super) fn by_day(events: &[Event]) -> Vec<(f64, Change)> {
    let mut by_day: Vec<(f64, Change)> = events.iter().map(|event| (as_days(event.at), event.change)).collect();
    by_day.sort_by(|one, other| one.0.total_cmp(&other.0));
    by_day
}

/// A run to be gone through many times.
pub(crate) struct Trial {
    first: Course,
    course: Course,
    horizon: f64,
    /// day and change, in the order of the run's list
    events: Vec<(f64, Change)>,
    /// those that come this time, by rising day
    coming: Vec<(f64, Change)>,
}

impl Trial {
    pub(crate) fn new(run: &Run) -> Result<Self, Refusal> {
        check::check(run)?;
        let first = Course::new(run);
        Ok(Self {
            course: first.clone(),
            first,
            horizon: as_days(run.horizon),
            events: run.events.iter().map(|event| (as_days(event.at), event.change)).collect(),
            coming: Vec::with_capacity(run.events.len()),
        })
    }

    /// Runs until both have ended, with `uses` times the use of every person, `burn` times the fuel an hour, `sun` times the sun, each stock's
    /// litres as `litres` makes them of its own, and each event so many days late, or never where `late` says none.
    ///
    /// Factors and delays are finite and not below 0; litres that are made too.
    pub(crate) fn go(
        &mut self,
        [uses, burn, sun]: [f64; 3],
        mut litres: impl FnMut(usize, f64) -> f64,
        mut late: impl FnMut(usize) -> Option<f64>,
    ) -> Ends {
        self.course.again(&self.first, uses, burn, sun);
        for (stock, volume) in self.course.litres_mut().iter_mut().enumerate() {
            *volume = litres(stock, *volume);
        }
        self.coming.clear();
        for (place, (day, change)) in self.events.iter().enumerate() {
            if let Some(late) = late(place) {
                self.coming.push((day + late, *change));
            }
        }
        self.coming.sort_by(|one, other| one.0.total_cmp(&other.0));
        self.course.go(self.horizon, &self.coming, Far::ToTheEnds, |_| {})
    }
}
