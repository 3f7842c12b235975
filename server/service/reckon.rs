//! What is asked of the picture at this minute: the neighbourhood's days, a site's standing. Equal questions within a
//! minute have equal answers, so the last ones are kept.

use std::sync::Arc;
use std::sync::Mutex;
use std::sync::OnceLock;
use std::sync::PoisonError;

use keepwell_engine::forecast::Outage;
use keepwell_engine::moment::Moment;

use crate::findings;
use crate::findings::Before;
use crate::findings::Finding;
use crate::findings::Scene;
use crate::model::id::SiteId;
use crate::model::id::VesselId;
use crate::picture::Picture;
use crate::picture::SitePicture;
use crate::picture::VesselPicture;
use crate::picture::guards;
use crate::picture::guards::Guard;
use crate::picture::losses;
use crate::picture::losses::Loss;
use crate::picture::moves;
use crate::picture::moves::NextMove;
use crate::picture::outlook::Expected;
use crate::picture::source::Sources;
use crate::picture::suppose::Suppose;
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
pub(super) struct Kept(Mutex<Vec<(Key, Answer)>>);

/// The neighbourhood's days, and what is not in order anywhere once that is asked for.
#[derive(Clone, Debug)]
struct Answer {
    today: Arc<Today>,
    sources: Arc<Sources>,
    findings: Arc<OnceLock<Arc<[Finding]>>>,
    moves: Arc<OnceLock<Arc<[NextMove]>>>,
    losses: Arc<OnceLock<Arc<[Loss]>>>,
    guards: Arc<OnceLock<Arc<[Guard]>>>,
    expected: Arc<OnceLock<Arc<Expected>>>,
    /// the same days with the bands of what may be expected
    banded: Arc<OnceLock<Arc<Today>>>,
    /// what was drawn the last time; sites that are as they were then are not drawn again
    drawn: Option<Arc<Expected>>,
    /// what was found the last time, to be looked at before sites are looked at again
    before: Option<Before>,
}

impl App {
    /// The ration in force: an outage's own while one is on; a drill changes no real figure.
    #[must_use]
    pub fn ration(&self) -> String {
        let picture = self.picture();
        let real = picture.set_up.outage().filter(|kept| !kept.thing.is_drill());
        if let Some(ration) = real.and_then(|kept| kept.thing.ration(self.clock.now())) {
            return ration.to_owned();
        }
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
        let question = self.question(ration);
        let today = self.banded(&picture, self.reckon(&picture, question)?)?;
        Ok((picture, today))
    }

    /// The same with something supposed or nothing, without the bands of what may be expected: the figures alone.
    ///
    /// # Errors
    /// As [`App::today`].
    pub fn figures(&self, caller: &Caller, ration: &str, suppose: Suppose) -> Result<Arc<Today>, Error> {
        caller.may(Deed::SeeTotals, None)?;
        self.reckon(&self.picture(), Question { suppose, ..self.question(Some(ration)) })
    }

    /// The neighbourhood's days with something supposed.
    ///
    /// # Errors
    /// As [`App::today`].
    pub fn supposing(
        &self,
        caller: &Caller,
        ration: Option<&str>,
        suppose: Suppose,
    ) -> Result<(Arc<Picture>, Arc<Today>), Error> {
        caller.may(Deed::SeeTotals, None)?;
        let picture = self.picture();
        let question = Question { suppose, ..self.question(ration) };
        let today = self.banded(&picture, self.reckon(&picture, question)?)?;
        Ok((picture, today))
    }

    /// What pages ask unless they ask for another ration.
    fn question(&self, ration: Option<&str>) -> Question {
        let outage = self.picture().set_up.outage().is_some_and(|kept| !kept.thing.is_drill());
        let ration = ration.map_or_else(|| self.ration(), ToOwned::to_owned);
        Question { outage, ration, suppose: Suppose::default() }
    }

    pub(super) fn reckon(&self, picture: &Picture, question: Question) -> Result<Arc<Today>, Error> {
        let key = (picture.entry_seq, picture.change_seq, self.now(), question);
        let held = || self.reckoned.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, answer)) = held().iter().find(|kept| kept.0 == key) {
            return Ok(Arc::clone(&answer.today));
        }
        // Reckoned outside the lock: two may do the same work, nobody waits.
        let like = |kept: &&(Key, Answer)| kept.0.1 == key.1 && kept.0.2 == key.2 && kept.0.3 == key.3;
        let plain = |kept: &&(Key, Answer)| {
            kept.0.2 == key.2 && kept.0.3.ration == key.3.ration && kept.0.3.suppose.is_nothing()
        };
        let last = {
            let kept = held();
            let found = kept.iter().rev().find(like).or_else(|| kept.iter().rev().find(plain));
            found.map(|kept| kept.1.clone())
        };
        let before = last.as_ref().map(|last| &*last.today);
        let today = Today::of(picture, &key.3, key.2, before).map_err(|error| Error::Internal(error.into()))?;
        let today = Arc::new(today);
        let drawn = last.as_ref().and_then(|last| last.expected.get().or(last.drawn.as_ref())).map(Arc::clone);
        let before = last.and_then(|last| match last.findings.get() {
            Some(found) => Some(Before { sources: last.sources, today: last.today, found: Arc::clone(found) }),
            None => last.before,
        });
        let sources = Arc::clone(&picture.sources);
        let answer = Answer {
            today: Arc::clone(&today),
            sources,
            findings: Arc::default(),
            moves: Arc::default(),
            losses: Arc::default(),
            guards: Arc::default(),
            expected: Arc::default(),
            banded: Arc::default(),
            drawn,
            before,
        };
        let mut kept = held();
        // The newest takes the place of the one it grew from, so that all rations have room.
        kept.retain(|there| !(there.0.2 == key.2 && there.0.3 == key.3));
        if kept.len() >= KEPT {
            kept.remove(0);
        }
        kept.push((key, answer));
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
        let question = self.question(ration);
        let today = self.banded(&picture, self.reckon(&picture, question)?)?;
        let standing = today.site(id).cloned();
        Ok(SiteAnswer { now: today.now, picture, today, site, standing })
    }

    /// The same with something supposed.
    ///
    /// # Errors
    /// As [`App::site`].
    pub fn site_supposing(
        &self,
        caller: &Caller,
        id: SiteId,
        ration: Option<&str>,
        suppose: Suppose,
    ) -> Result<SiteAnswer, Error> {
        let answer = self.site(caller, id, ration)?;
        let (picture, today) = self.supposing(caller, ration, suppose)?;
        let standing = today.site(id).cloned();
        Ok(SiteAnswer { picture, today, standing, ..answer })
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

fn internal(error: impl Into<anyhow::Error>) -> Error {
    Error::Internal(error.into())
}

impl App {
    /// What is not in order at a site.
    ///
    /// # Errors
    /// There is none, or it is another's.
    pub fn findings(&self, caller: &Caller, answer: &SiteAnswer) -> Result<Vec<Finding>, Error> {
        caller.may(Deed::SeeSite, Some(answer.site.site.id))?;
        let standing = answer.standing.as_ref().map(|site| &*site.standing);
        Ok(findings::at(&Scene { picture: &answer.picture, site: &answer.site, standing, now: answer.now }))
    }

    /// What would help most, the most litres for the work first.
    ///
    /// # Errors
    /// Nobody has signed in; a figure that cannot be reckoned with.
    pub fn next_moves(&self, caller: &Caller, picture: &Picture, today: &Today) -> Result<Arc<[NextMove]>, Error> {
        caller.may(Deed::SeeTotals, None)?;
        let found = || Ok(moves::next_moves(picture, today).map_err(internal)?.into());
        self.once(today, |answer| Arc::clone(&answer.moves), found)
    }

    /// Days left if one thing is lost, the worst first.
    ///
    /// # Errors
    /// As [`App::next_moves`].
    pub fn losses(&self, caller: &Caller, picture: &Picture, today: &Today) -> Result<Arc<[Loss]>, Error> {
        caller.may(Deed::SeeTotals, None)?;
        let found = || Ok(losses::losses(picture, today).map_err(internal)?.into());
        self.once(today, |answer| Arc::clone(&answer.losses), found)
    }

    /// What would hurt less after a loss, the most litres for the work first.
    ///
    /// # Errors
    /// As [`App::next_moves`].
    pub fn guards(&self, caller: &Caller, picture: &Picture, today: &Today) -> Result<Arc<[Guard]>, Error> {
        caller.may(Deed::SeeTotals, None)?;
        let found = || Ok(guards::guards(picture, today).map_err(internal)?.into());
        self.once(today, |answer| Arc::clone(&answer.guards), found)
    }

    /// What may be expected once what is uncertain is drawn from its errors. It takes both cores for a moment, so it is
    /// reckoned beside the threads that answer.
    ///
    /// # Errors
    /// As [`App::next_moves`].
    pub async fn expected(
        &self,
        caller: &Caller,
        picture: &Arc<Picture>,
        today: &Arc<Today>,
    ) -> Result<Arc<Expected>, Error> {
        caller.may(Deed::SeeTotals, None)?;
        let (app, picture, today) = (self.clone(), Arc::clone(picture), Arc::clone(today));
        let work = move || app.drawn(&picture, &today);
        tokio::task::spawn_blocking(work).await.map_err(|error| Error::Internal(error.into()))?
    }

    /// The same once it is asked how long the mains stay off.
    ///
    /// # Errors
    /// As [`App::next_moves`]; an outage that the engine does not take.
    pub async fn expected_of_an_outage(
        &self,
        caller: &Caller,
        picture: &Arc<Picture>,
        today: &Arc<Today>,
        outage: Outage,
    ) -> Result<Arc<Expected>, Error> {
        caller.may(Deed::SeeTotals, None)?;
        let (picture, today) = (Arc::clone(picture), Arc::clone(today));
        let before = self.answer_of(&today).and_then(|answer| answer.expected.get().cloned().or(answer.drawn));
        let work = move || Expected::of(&picture, &today, Some(outage), before.as_deref());
        let expected = tokio::task::spawn_blocking(work).await.map_err(|error| Error::Internal(error.into()))?;
        Ok(Arc::new(expected.map_err(internal)?))
    }

    fn drawn(&self, picture: &Picture, today: &Today) -> Result<Arc<Expected>, Error> {
        let found = || {
            let before = self.answer_of(today).and_then(|answer| answer.drawn);
            Ok(Arc::new(Expected::of(picture, today, None, before.as_deref()).map_err(internal)?))
        };
        self.once(today, |answer| Arc::clone(&answer.expected), found)
    }

    /// The kept answer that these days are of.
    fn answer_of(&self, today: &Today) -> Option<Answer> {
        let is = |there: &Arc<Today>| core::ptr::eq(Arc::as_ptr(there), today);
        let kept = self.reckoned.0.lock().unwrap_or_else(PoisonError::into_inner);
        let of = kept.iter().find(|kept| is(&kept.1.today) || kept.1.banded.get().is_some_and(is));
        of.map(|kept| kept.1.clone())
    }

    /// The days with the bands of what may be expected, where there are few enough sites for that.
    pub(super) fn banded(&self, picture: &Picture, today: Arc<Today>) -> Result<Arc<Today>, Error> {
        if !Expected::is_for(&today) {
            return Ok(today);
        }
        let expected = self.drawn(picture, &today)?;
        let found = || {
            let mut banded = Today::clone(&today);
            expected.into_bands(&mut banded).map_err(internal)?;
            Ok(Arc::new(banded))
        };
        self.once(&today, |answer| Arc::clone(&answer.banded), found)
    }

    /// What belongs to an answer and is reckoned when it is first asked for.
    fn once<T: ?Sized>(
        &self,
        today: &Today,
        place: impl Fn(&Answer) -> Arc<OnceLock<Arc<T>>>,
        reckon: impl FnOnce() -> Result<Arc<T>, Error>,
    ) -> Result<Arc<T>, Error> {
        let place = self.answer_of(today).map(|answer| place(&answer));
        if let Some(there) = place.as_ref().and_then(|place| place.get()) {
            return Ok(Arc::clone(there));
        }
        // Two may do the same work, nobody waits.
        let found = reckon()?;
        Ok(place.map_or_else(|| Arc::clone(&found), |place| Arc::clone(place.get_or_init(|| Arc::clone(&found)))))
    }

    /// What is not in order at all sites that the caller may see, the most pressing first.
    ///
    /// # Errors
    /// Nobody has signed in.
    pub fn all_findings(
        &self,
        caller: &Caller,
        picture: &Picture,
        today: &Arc<Today>,
    ) -> Result<Arc<[Finding]>, Error> {
        caller.may(Deed::SeeTotals, None)?;
        let kept = self.answer_of(today).map(|answer| (answer.findings, answer.before));
        let (kept, before) = kept.unwrap_or_default();
        let all = kept.get_or_init(|| findings::everywhere(picture, today, before.as_ref()).into());
        let sees = |finding: &&Finding| caller.can(Deed::SeeSite, Some(finding.site));
        if all.iter().all(|finding| sees(&finding)) {
            return Ok(Arc::clone(all));
        }
        Ok(all.iter().filter(sees).cloned().collect())
    }
}
