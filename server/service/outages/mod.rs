//! Outages: begun, changed and ended by the coordinator, and what is told of one: its course so far, how it goes on.

mod check;

use std::sync::Arc;
use std::sync::Mutex;
use std::sync::PoisonError;

use keepwell_engine::burn_down::Plan;
use keepwell_engine::burn_down::drink_left;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::days;

use crate::model::id::OutageId;
use crate::model::outage::Outage;
use crate::model::setup::Kept;
use crate::model::setup::Thing;
use crate::picture::Picture;
use crate::picture::cluster::moment;
use crate::picture::course::Course;
use crate::picture::suppose::Suppose;
use crate::picture::today::BASIC;
use crate::picture::today::Question;
use crate::picture::today::Today;
use crate::service::App;
use crate::service::Caller;
use crate::service::Error;
use crate::service::authorise::Deed;
use crate::service::entries::New;

pub(super) use check::ahead;
pub(super) use check::check;

/// Points at which the water of each site on its own is looked at ahead.
const AHEAD: u32 = 24;

/// The last answer, and what it depends on.
pub(super) type Told = Mutex<Option<((i64, i64, Moment, OutageId), Arc<OutageAnswer>)>>;

/// An outage as it is shown.
#[derive(Clone, Debug)]
pub struct OutageAnswer {
    pub picture: Arc<Picture>,
    pub kept: Kept<Outage>,
    /// now, or when it ended
    pub until: Moment,
    pub course: Arc<Course>,
    pub plan: Plan,
    /// how it goes on from now; none once it has ended
    pub ahead: Option<Ahead>,
}

/// From now on, at the ration in force.
#[derive(Clone, Debug)]
pub struct Ahead {
    pub today: Arc<Today>,
    /// time from now, and drinking water then in reach if every site lives on its own
    pub as_placed: Vec<(Time, Volume)>,
}

impl OutageAnswer {
    #[must_use]
    pub fn since(&self) -> Moment {
        moment(self.kept.thing.since)
    }

    /// How long it has been going on, or went on.
    #[must_use]
    pub fn elapsed(&self) -> Time {
        self.until.since(self.since())
    }

    #[must_use]
    pub const fn is_on(&self) -> bool {
        self.ahead.is_some()
    }
}

impl App {
    /// Every outage that was kept, the newest first.
    ///
    /// # Errors
    /// Nobody has signed in.
    pub fn outages(&self, caller: &Caller) -> Result<Vec<Kept<Outage>>, Error> {
        caller.may(Deed::SeeTotals, None)?;
        let mut all: Vec<Kept<Outage>> = self.picture().set_up.outages.values().cloned().collect();
        all.sort_by_key(|kept| core::cmp::Reverse(kept.thing.since));
        Ok(all)
    }

    /// The outage that is on, or the one of that id.
    ///
    /// # Errors
    /// Nobody has signed in; there is none of that id; a figure that cannot be reckoned with.
    pub fn outage(&self, caller: &Caller, id: Option<OutageId>) -> Result<Option<Arc<OutageAnswer>>, Error> {
        caller.may(Deed::SeeTotals, None)?;
        let picture = self.picture();
        let kept = match id {
            Some(id) => Some(picture.set_up.outages.get(&id).ok_or(Error::NotFound("outage"))?),
            None => picture.set_up.outage(),
        };
        kept.map(|kept| self.told(&picture, kept)).transpose()
    }

    fn told(&self, picture: &Arc<Picture>, kept: &Kept<Outage>) -> Result<Arc<OutageAnswer>, Error> {
        let now = self.now();
        let key = (picture.entry_seq, picture.change_seq, now, kept.thing.id);
        let held = || self.outage_told.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, answer)) = held().as_ref().filter(|(there, _)| *there == key) {
            return Ok(Arc::clone(answer));
        }
        let outage = &kept.thing;
        let until = outage.ended.map_or(now, moment);
        let course = Arc::new(Course::of(picture, moment(outage.since), until));
        let target = days(outage.target_days);
        let plan = Plan::new(course.at_start(), target).map_err(|error| Error::Internal(error.into()))?;
        let ahead = match outage.ended {
            Some(_) => None,
            None => {
                let ration = outage.ration(self.clock.now()).unwrap_or(BASIC).to_owned();
                let question = Question { outage: true, ration, suppose: Suppose::default() };
                let today = self.banded(picture, self.reckon(picture, question)?)?;
                let as_placed = as_placed(&today);
                Some(Ahead { today, as_placed })
            }
        };
        let answer =
            Arc::new(OutageAnswer { picture: Arc::clone(picture), kept: kept.clone(), until, course, plan, ahead });
        *held() = Some((key, Arc::clone(&answer)));
        Ok(answer)
    }

    /// Keeps an outage, new (`began_from` is none) or changed, and what is logged with it: all or none.
    ///
    /// # Errors
    /// Only the coordinator; what does not hold; another is on; changed by another meanwhile.
    pub async fn keep_outage(
        &self,
        caller: &Caller,
        outage: Outage,
        began_from: Option<i64>,
        with: Vec<New>,
    ) -> Result<(), Error> {
        let things = vec![(Thing::Outage(outage), began_from)];
        self.may_keep_all(caller, &things)?;
        let picture = self.picture();
        let entries = with.into_iter().map(|new| self.check(caller, &picture, new)).collect::<Result<_, _>>()?;
        Ok(self.store.write_all(caller.id(), self.clock.now(), things, entries).await?)
    }
}

/// Every site on its own store, looked at until pooled water would be spent, and half as long again.
fn as_placed(today: &Today) -> Vec<(Time, Volume)> {
    let length = today.pooled.days.map_or(14.0, as_days).clamp(0.5, 120.0) * 1.5;
    (0..=AHEAD)
        .map(|step| {
            let at = days(length * f64::from(step) / f64::from(AHEAD));
            let left = today.sites.iter().map(|site| drink_left(&site.standing.run, &site.standing.timeline, at));
            (at, left.sum())
        })
        .collect()
}
