//! What an entry is logged about: a vessel, a site, or a supply of the neighbourhood.

use std::sync::Arc;

use keepwell_engine::moment::Moment;

use crate::model::entry::About;
use crate::model::entry::Kind;
use crate::model::id::SiteId;
use crate::model::id::SourceId;
use crate::model::id::VesselId;
use crate::model::vessel::ShapeKind;
use crate::picture::Picture;
use crate::picture::SitePicture;
use crate::picture::VesselPicture;
use crate::picture::source::SourcePicture;
use crate::service::App;
use crate::service::Caller;
use crate::service::Error;
use crate::service::authorise::Deed;

/// The thing, with the picture it was found in.
pub(super) struct Subject {
    pub picture: Arc<Picture>,
    pub now: Moment,
    pub thing: Thing,
}

pub(super) enum Thing {
    Vessel(Arc<SitePicture>, Box<VesselPicture>),
    Site(Arc<SitePicture>),
    Supply(Box<SourcePicture>),
}

impl Subject {
    /// # Errors
    /// There is none, or it is not the caller's to log at.
    pub fn vessel(app: &App, caller: &Caller, id: VesselId) -> Result<Self, Error> {
        let found = app.vessel(caller, id)?;
        caller.may(Deed::Log, Some(found.site.site.id))?;
        Ok(Self { picture: found.picture, now: found.now, thing: Thing::Vessel(found.site, Box::new(found.vessel)) })
    }

    /// # Errors
    /// As [`Subject::vessel`].
    pub fn site(app: &App, caller: &Caller, id: SiteId) -> Result<Self, Error> {
        caller.may(Deed::Log, Some(id))?;
        let picture = app.picture();
        let site = picture.site(id).map(Arc::clone).ok_or(Error::NotFound("site"))?;
        Ok(Self { picture, now: app.now(), thing: Thing::Site(site) })
    }

    /// # Errors
    /// As [`Subject::vessel`].
    pub fn supply(app: &App, caller: &Caller, id: SourceId) -> Result<Self, Error> {
        caller.may(Deed::LogSupply, None)?;
        let picture = app.picture();
        let supply = picture.sources.all.get(&id).cloned().ok_or(Error::NotFound("supply"))?;
        Ok(Self { picture, now: app.now(), thing: Thing::Supply(Box::new(supply)) })
    }

    pub fn name(&self) -> &str {
        match &self.thing {
            Thing::Vessel(_, vessel) => vessel.vessel.name.as_str(),
            Thing::Site(site) => site.site.name.as_str(),
            Thing::Supply(supply) => supply.source.name.as_str(),
        }
    }

    /// Where what happened to it is chosen.
    pub fn href(&self) -> String {
        match &self.thing {
            Thing::Vessel(_, vessel) => format!("/log/vessels/{}", vessel.vessel.id),
            Thing::Site(site) => format!("/log/sites/{}", site.site.id),
            Thing::Supply(supply) => format!("/log/supplies/{}", supply.source.id),
        }
    }

    pub fn as_site(&self) -> Option<&Arc<SitePicture>> {
        match &self.thing {
            Thing::Vessel(site, _) | Thing::Site(site) => Some(site),
            Thing::Supply(_) => None,
        }
    }

    pub fn as_vessel(&self) -> Option<&VesselPicture> {
        match &self.thing {
            Thing::Vessel(_, vessel) => Some(vessel),
            Thing::Site(_) | Thing::Supply(_) => None,
        }
    }

    pub fn as_supply(&self) -> Option<&SourcePicture> {
        match &self.thing {
            Thing::Supply(supply) => Some(supply),
            Thing::Vessel(..) | Thing::Site(_) => None,
        }
    }

    pub fn is_set(&self) -> bool {
        self.as_vessel().is_some_and(|vessel| vessel.vessel.shape == ShapeKind::Set)
    }

    /// Whether an entry of that kind can be about it. What a site has one of (its fuel, its generator, its banks) is
    /// logged at the site.
    pub fn takes(&self, kind: Kind) -> bool {
        let site_alone = matches!(kind, Kind::Fuel | Kind::GeneratorRun | Kind::Coupling | Kind::Inlet);
        match (&self.thing, kind.about()) {
            (Thing::Vessel(..), About::Vessel) | (Thing::Site(_), About::Site) | (Thing::Supply(_), About::Source) => {
                true
            }
            (Thing::Vessel(..), About::Site) => !site_alone,
            _ => false,
        }
    }
}
