//! What we believe, folded by the engine from the set-up and the ledger: one immutable value, swapped whole after each
//! commit. Readers hold an `Arc` of it and never wait. What depends on the hour is reckoned from it with `now`.

pub mod battery;
pub mod bears;
pub mod body;
pub mod cluster;
pub mod course;
pub mod deliveries;
pub mod fold;
mod groups;
pub mod guards;
pub mod history;
pub mod learned;
pub mod losses;
pub mod moves;
pub mod outlook;
pub mod power;
pub mod residual;
pub mod shared;
mod show;
pub mod site;
pub mod source;
pub mod standing;
pub mod stocks;
pub mod structure;
pub mod suppose;
pub mod today;
pub mod upkeep;
pub mod works;

use std::collections::BTreeSet;
use std::sync::Arc;

use keepwell_engine::grade::Graded;
use keepwell_engine::level::Estimate;
use keepwell_engine::level::explain::Leak;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Time;

use crate::model::battery::Battery;
use crate::model::entry::Entry;
use crate::model::id::SiteId;
use crate::model::id::SourceId;
use crate::model::id::VesselId;
use crate::model::power::FuelStore;
use crate::model::power::Generator;
use crate::model::power::Load;
use crate::model::setup::SetUp;
use crate::model::site::Site;
use crate::model::vessel::Vessel;
use crate::model::works::Pump;
use crate::model::works::Stage;
use crate::picture::body::Body;
use crate::picture::cluster::Cluster;
use crate::picture::cluster::Doubted;
use crate::picture::cluster::Explained;
use crate::picture::cluster::Misfit;
use crate::picture::cluster::TracePoint;
use crate::picture::cluster::VesselState;
use crate::picture::site::SiteLedger;
use crate::picture::source::Sources;

/// The whole neighbourhood.
#[derive(Clone, Debug)]
pub struct Picture {
    pub set_up: Arc<SetUp>,
    /// the last entry and the last change that are in it
    pub entry_seq: i64,
    pub change_seq: i64,
    pub sources: Arc<Sources>,
    /// by id
    sites: Vec<Arc<SitePicture>>,
}

/// One site.
#[derive(Clone, Debug)]
pub struct SitePicture {
    pub site: Arc<Site>,
    /// by name
    pub vessels: Vec<VesselPicture>,
    pub generators: Vec<Arc<Generator>>,
    pub fuel_stores: Vec<Arc<FuelStore>>,
    pub loads: Vec<Arc<Load>>,
    pub batteries: Vec<Arc<Battery>>,
    /// source first
    pub stages: Vec<Arc<Stage>>,
    pub pumps: Vec<Arc<Pump>>,
    pub ledger: SiteLedger,
}

/// One vessel, within the cluster it is folded with.
#[derive(Clone, Debug)]
pub struct VesselPicture {
    pub vessel: Arc<Vessel>,
    pub body: Arc<Body>,
    cluster: Arc<Cluster>,
    slot: usize,
}

/// What one part of a vessel holds now and what that is counted as.
#[derive(Clone, Debug)]
pub struct PartNow {
    /// empty for what is not told apart
    pub lot: String,
    pub estimate: Estimate,
    pub graded: Graded,
}

impl Picture {
    #[must_use]
    pub fn sites(&self) -> &[Arc<SitePicture>] {
        &self.sites
    }

    #[must_use]
    pub fn site(&self, id: SiteId) -> Option<&Arc<SitePicture>> {
        self.sites.binary_search_by_key(&id, |site| site.site.id).ok().and_then(|at| self.sites.get(at))
    }

    /// Reckons of every vessel what is reckoned only when it is asked for, so that nobody waits for it later.
    pub fn look_ahead(&self) {
        for vessel in self.sites.iter().flat_map(|site| &site.vessels) {
            let _ = vessel.explained();
        }
    }

    #[must_use]
    pub fn vessel(&self, id: VesselId) -> Option<(&Arc<SitePicture>, &VesselPicture)> {
        let site = self.site(self.set_up.vessels.get(&id)?.thing.site)?;
        site.vessels.iter().find(|vessel| vessel.vessel.id == id).map(|vessel| (site, vessel))
    }
}

impl SitePicture {
    /// The vessels that are in use: not taken away by now.
    pub fn vessels_at(&self, now: Moment) -> impl Iterator<Item = &VesselPicture> {
        self.vessels.iter().filter(move |vessel| vessel.vessel.ended.is_none_or(|ended| cluster::moment(ended) > now))
    }
}

impl VesselPicture {
    #[must_use]
    pub fn cluster(&self) -> &Cluster {
        &self.cluster
    }

    #[must_use]
    pub fn state(&self) -> &VesselState {
        &self.cluster.state().vessels[self.slot]
    }

    /// Litres in it now: its own, or its share of an open bank. The one door to this figure, for pages, API and days.
    #[must_use]
    pub fn estimate(&self, now: Moment) -> Estimate {
        self.cluster.estimate(self.slot, now)
    }

    /// What the estimator makes of its history, or of its open bank's: use, a leak, readings that do not fit. Nothing
    /// where it does not hold, and the simple level tells the litres.
    #[must_use]
    pub fn explained(&self) -> Option<&Explained> {
        self.cluster.explained(self.slot).map(|explained| &**explained)
    }

    /// A leak that goes on in a vessel that should stand still.
    #[must_use]
    pub fn leak(&self) -> Option<&Leak> {
        self.explained()?.leak()
    }

    /// Everything that did not fit, as far back as is looked, the earliest first.
    #[must_use]
    pub fn misfits(&self) -> Vec<Doubted> {
        let simple = |misfit: Misfit| Doubted { entry: misfit.entry, at: misfit.at, why: None };
        match self.explained() {
            Some(explained) => explained.misfits().to_vec(),
            None => self.state().misfit.map(simple).into_iter().collect(),
        }
    }

    /// What has not been explained since: a reading that does not fit, or more taken out than was believed to be there.
    #[must_use]
    pub fn misfit(&self) -> Option<Misfit> {
        let Some(explained) = self.explained() else { return self.state().misfit };
        let read = self.state().last_reading;
        let after = |misfit: &Misfit| read.is_none_or(|(at, entry)| at <= misfit.at && entry != misfit.entry);
        let moved = self.state().misfit.filter(after);
        moved.or_else(|| explained.misfit())
    }

    /// Whether anyone ever said how much is in it.
    #[must_use]
    pub fn is_known(&self) -> bool {
        self.cluster.state().is_known(self.slot)
    }

    /// Open to others of its bank at present.
    #[must_use]
    pub fn is_coupled(&self) -> bool {
        self.cluster.state().joint_of(self.slot).is_some()
    }

    /// The vessels that its water stands in too, itself among them: what leaks or is fouled in one is so in all.
    #[must_use]
    pub fn together(&self) -> Vec<VesselId> {
        let (state, members) = (self.cluster.state(), self.cluster.members());
        let joint = state.joint_of(self.slot).map(|joint| &state.joints[joint]);
        let alone = || vec![self.vessel.id];
        joint.map_or_else(alone, |joint| joint.slots.iter().map(|slot| members[*slot].vessel.id).collect())
    }

    /// The supplies that any of its water may have come from: those of the fills since the oldest of it. None where it is
    /// empty.
    #[must_use]
    pub fn may_come_from(&self, now: Moment) -> BTreeSet<SourceId> {
        let oldest = self.parts(now).iter().filter_map(|part| part.graded.clock).min();
        oldest.map_or_else(BTreeSet::new, |oldest| self.cluster.came_from(self.slot, oldest))
    }

    /// Each part with its litres and its grade.
    #[must_use]
    pub fn parts(&self, now: Moment) -> Vec<PartNow> {
        let parts = &self.state().parts;
        let whole = (self.is_coupled() || parts.len() == 1).then(|| self.estimate(now));
        parts
            .iter()
            .map(|part| PartNow {
                lot: part.lot.clone(),
                estimate: whole.unwrap_or_else(|| part.level.at(now)),
                graded: part.water.at(now),
            })
            .collect()
    }

    /// The vessel as it would be with one more entry.
    #[must_use]
    pub fn with(&self, entry: &Arc<Entry>, sources: &Sources) -> Self {
        let mut cluster = Cluster::clone(&self.cluster);
        cluster.add(std::slice::from_ref(entry), sources);
        Self { cluster: Arc::new(cluster), ..self.clone() }
    }

    /// The vessel as it would be if those entries had never been.
    #[must_use]
    pub fn without(&self, entries: &[Arc<Entry>], sources: &Sources) -> Self {
        let mut cluster = Cluster::clone(&self.cluster);
        for entry in entries {
            cluster.remove(entry, sources);
        }
        Self { cluster: Arc::new(cluster), ..self.clone() }
    }

    /// The level over time, for its drawing.
    #[must_use]
    pub fn trace(&self, sources: &Sources, from: Moment, now: Moment, step: Time) -> Vec<TracePoint> {
        self.cluster.trace(self.vessel.id, sources, from, now, step)
    }
}
