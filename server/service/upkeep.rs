//! What is due, overdue and done, at every site that the caller may see.

use std::sync::Arc;

use keepwell_engine::moment::Moment;

use crate::model::id::SiteId;
use crate::model::upkeep::Intervals;
use crate::picture::Picture;
use crate::picture::SitePicture;
use crate::picture::upkeep;
use crate::picture::upkeep::Task;
use crate::service::App;
use crate::service::Caller;
use crate::service::Error;
use crate::service::authorise::Deed;

/// Duties with their sites, in order.
#[derive(Clone, Debug)]
pub struct Upkeep {
    pub picture: Arc<Picture>,
    pub now: Moment,
    pub tasks: Vec<(Arc<SitePicture>, Task)>,
}

impl App {
    /// The days between one time and the next that the neighbourhood keeps to.
    #[must_use]
    pub fn intervals(&self) -> Intervals {
        self.picture().set_up.neighbourhood.as_ref().map_or_else(Intervals::default, |kept| kept.thing.upkeep)
    }

    /// Every duty of one site, or of all that the caller may see.
    ///
    /// # Errors
    /// Nobody has signed in; another's site.
    pub fn upkeep(&self, caller: &Caller, site: Option<SiteId>) -> Result<Upkeep, Error> {
        match site {
            Some(site) => caller.may(Deed::SeeSite, Some(site))?,
            None => caller.may(Deed::SeeTotals, None)?,
        }
        let (picture, now, intervals) = (self.picture(), self.now(), self.intervals());
        if site.is_some_and(|site| picture.site(site).is_none()) {
            return Err(Error::NotFound("site"));
        }
        let sites = picture.sites().iter().filter(|there| {
            let in_use = there.site.ended.is_none_or(|ended| crate::picture::cluster::moment(ended) > now);
            in_use && site.is_none_or(|site| there.site.id == site) && caller.can(Deed::SeeSite, Some(there.site.id))
        });
        let mut tasks: Vec<(Arc<SitePicture>, Task)> = sites
            .flat_map(|site| upkeep::tasks(site, &intervals, now).into_iter().map(|task| (Arc::clone(site), task)))
            .collect();
        tasks.sort_by(|a, b| {
            let key = |pair: &(Arc<SitePicture>, Task)| (pair.1.reckoned.state, pair.1.reckoned.due);
            key(a)
                .cmp(&key(b))
                .then_with(|| a.0.site.name.cmp(&b.0.site.name))
                .then_with(|| a.1.order().cmp(&b.1.order()))
        });
        Ok(Upkeep { picture, now, tasks })
    }
}
