//! What is asked of the picture at this minute: the neighbourhood's days, a site's standing. Equal questions within a
//! minute have equal answers, so the last ones are kept.

use std::sync::Arc;
use std::sync::Mutex;
use std::sync::PoisonError;

use keepwell_engine::moment::Moment;

use crate::model::id::SiteId;
use crate::model::id::VesselId;
use crate::picture::Picture;
use crate::picture::SitePicture;
use crate::picture::VesselPicture;
use crate::picture::today::Question;
use crate::picture::today::SiteToday;
use crate::picture::today::Today;
use crate::service::App;
use crate::service::Caller;
use crate::service::Error;
use crate::service::authorise::Deed;

/// Answers kept at once: one for each rung that pages show side by side, and a few to spare.
const KEPT: usize = 12;

/// What an answer depends on.
type Key = (i64, i64, Moment, Question);

/// The newest answers, the last asked for at the end.
#[derive(Debug, Default)]
pub(super) struct Kept(Mutex<Vec<(Key, Arc<Today>)>>);

impl App {
    /// The ration in force.
    #[must_use]
    pub fn ration(&self) -> String {
        let picture = self.picture();
        let set = picture.set_up.neighbourhood.as_ref().map(|kept| kept.thing.ration.clone());
        set.unwrap_or_else(|| crate::picture::today::BASIC.to_owned())
    }

    /// The neighbourhood's days at a ration: the one in force where none is named.
    ///
    /// # Errors
    /// Nobody has signed in; a figure that cannot be reckoned with.
    pub fn today(&self, caller: &Caller, ration: Option<&str>) -> Result<(Arc<Picture>, Arc<Today>), Error> {
        caller.may(Deed::SeeTotals, None)?;
        let picture = self.picture();
        let question = Question { ration: ration.map_or_else(|| self.ration(), ToOwned::to_owned) };
        let today = self.reckon(&picture, question)?;
        Ok((picture, today))
    }

    fn reckon(&self, picture: &Picture, question: Question) -> Result<Arc<Today>, Error> {
        let key = (picture.entry_seq, picture.change_seq, self.now(), question);
        let held = || self.reckoned.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, today)) = held().iter().find(|kept| kept.0 == key) {
            return Ok(Arc::clone(today));
        }
        // Reckoned outside the lock: two may do the same work, nobody waits.
        let today = Arc::new(Today::of(picture, &key.3, key.2).map_err(|error| Error::Internal(error.into()))?);
        let mut kept = held();
        if kept.len() >= KEPT {
            kept.remove(0);
        }
        kept.push((key, Arc::clone(&today)));
        Ok(today)
    }

    /// A site with its standing.
    ///
    /// # Errors
    /// There is none, or it is another's.
    pub fn site(&self, caller: &Caller, id: SiteId, ration: Option<&str>) -> Result<SiteAnswer, Error> {
        caller.may(Deed::SeeSite, Some(id))?;
        let picture = self.picture();
        let site = picture.site(id).map(Arc::clone).ok_or(Error::NotFound("site"))?;
        let question = Question { ration: ration.map_or_else(|| self.ration(), ToOwned::to_owned) };
        let today = self.reckon(&picture, question)?;
        let standing = today.site(id).cloned();
        Ok(SiteAnswer { now: today.now, picture, today, site, standing })
    }

    /// A vessel with its site.
    ///
    /// # Errors
    /// There is none, or it is at another's site.
    pub fn vessel(&self, caller: &Caller, id: VesselId) -> Result<VesselAnswer, Error> {
        let picture = self.picture();
        let (site, vessel) = picture.vessel(id).ok_or(Error::NotFound("vessel"))?;
        caller.may(Deed::SeeSite, Some(site.site.id)).map_err(|error| match error {
            Error::NotFound(_) => Error::NotFound("vessel"),
            error => error,
        })?;
        let (site, vessel) = (Arc::clone(site), vessel.clone());
        Ok(VesselAnswer { now: self.now(), picture, site, vessel })
    }
}

/// A site as it is shown.
#[derive(Clone, Debug)]
pub struct SiteAnswer {
    pub now: Moment,
    pub picture: Arc<Picture>,
    pub today: Arc<Today>,
    pub site: Arc<SitePicture>,
    /// none for a site that is no longer in use
    pub standing: Option<SiteToday>,
}

/// A vessel as it is shown.
#[derive(Clone, Debug)]
pub struct VesselAnswer {
    pub now: Moment,
    pub picture: Arc<Picture>,
    pub site: Arc<SitePicture>,
    pub vessel: VesselPicture,
}
