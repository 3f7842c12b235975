//! From the fold to what is handed out: the picture, with only the touched sites made anew.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::sync::Arc;

use crate::model::id::SiteId;
use crate::model::id::SourceId;
use crate::model::id::VesselId;
use crate::model::setup::Thing;
use crate::picture::Picture;
use crate::picture::SitePicture;
use crate::picture::VesselPicture;
use crate::picture::cluster::Outages;
use crate::picture::fold::Fold;

impl Fold {
    /// Takes a thing out of the set-up that nothing names any more, and hands out the picture without it.
    pub fn remove(&mut self, thing: &Thing, seq: i64) -> Arc<Picture> {
        self.set_up.remove(thing);
        self.rebuild();
        self.show(None, self.picture.entry_seq, seq);
        Arc::clone(&self.picture)
    }

    /// Lets every cluster know when the mains were off.
    pub(super) fn hear_of_outages(&mut self, changed: &[(Thing, i64)]) {
        if !changed.iter().any(|(thing, _)| matches!(thing, Thing::Outage(_))) {
            return;
        }
        self.outages = Arc::new(Outages::of(&self.set_up));
        for cluster in &mut self.clusters {
            Arc::make_mut(cluster).set_outages(&self.outages);
        }
    }

    /// Makes the picture from the fold: of the sites that were touched, or of all.
    pub(super) fn show(&mut self, touched: Option<&BTreeSet<SiteId>>, entry_seq: i64, change_seq: i64) {
        let sites = match touched {
            Some(touched) => {
                let mut sites = self.picture.sites.clone();
                for site in touched {
                    if let Ok(at) = sites.binary_search_by_key(site, |there| there.site.id)
                        && let Some(changed) = self.site(*site)
                    {
                        sites[at] = changed;
                    }
                }
                sites
            }
            None => self.all_sites(),
        };
        let set_up = if touched.is_some() { Arc::clone(&self.picture.set_up) } else { Arc::new(self.set_up.clone()) };
        self.picture = Arc::new(Picture { set_up, entry_seq, change_seq, sources: Arc::clone(&self.sources), sites });
    }

    fn all_sites(&self) -> Vec<Arc<SitePicture>> {
        let mut vessels: BTreeMap<SiteId, Vec<VesselId>> = BTreeMap::new();
        for kept in self.set_up.vessels.values() {
            vessels.entry(kept.thing.site).or_default().push(kept.thing.id);
        }
        let mut sites: BTreeMap<SiteId, SitePicture> = BTreeMap::new();
        for kept in self.set_up.sites.values() {
            let id = kept.thing.id;
            sites.insert(
                id,
                SitePicture {
                    site: Arc::clone(&kept.thing),
                    vessels: self.vessels(vessels.get(&id).map_or(&[], Vec::as_slice)),
                    generators: Vec::new(),
                    fuel_stores: Vec::new(),
                    loads: Vec::new(),
                    batteries: Vec::new(),
                    stages: Vec::new(),
                    pumps: Vec::new(),
                    ledger: self.sites.get(&id).cloned().unwrap_or_default(),
                },
            );
        }
        for kept in self.set_up.generators.values() {
            if let Some(site) = sites.get_mut(&kept.thing.site) {
                site.generators.push(Arc::clone(&kept.thing));
            }
        }
        for kept in self.set_up.fuel_stores.values() {
            if let Some(site) = sites.get_mut(&kept.thing.site) {
                site.fuel_stores.push(Arc::clone(&kept.thing));
            }
        }
        for kept in self.set_up.loads.values() {
            if let Some(site) = sites.get_mut(&kept.thing.site) {
                site.loads.push(Arc::clone(&kept.thing));
            }
        }
        for kept in self.set_up.batteries.values() {
            if let Some(site) = sites.get_mut(&kept.thing.site) {
                site.batteries.push(Arc::clone(&kept.thing));
            }
        }
        for kept in self.set_up.stages.values() {
            if let Some(site) = sites.get_mut(&kept.thing.site) {
                site.stages.push(Arc::clone(&kept.thing));
            }
        }
        for kept in self.set_up.pumps.values() {
            if let Some(site) = sites.get_mut(&kept.thing.site) {
                site.pumps.push(Arc::clone(&kept.thing));
            }
        }
        for site in sites.values_mut() {
            site.stages.sort_by_key(|stage| (stage.place, stage.id));
        }
        sites.into_values().map(Arc::new).collect()
    }

    /// One site of the picture, with what its vessels and its own ledger have come to.
    fn site(&self, id: SiteId) -> Option<Arc<SitePicture>> {
        let before = self.picture.site(id)?;
        let vessels: Vec<VesselId> = before.vessels.iter().map(|vessel| vessel.vessel.id).collect();
        let mut site = SitePicture::clone(before);
        site.vessels = self.vessels(&vessels);
        site.ledger = self.sites.get(&id).cloned().unwrap_or_default();
        Some(Arc::new(site))
    }

    fn vessels(&self, ids: &[VesselId]) -> Vec<VesselPicture> {
        let mut vessels: Vec<VesselPicture> = ids
            .iter()
            .filter_map(|id| {
                let cluster = Arc::clone(self.clusters.get(*self.cluster_of.get(id)?)?);
                let slot = cluster.slot(*id)?;
                let member = cluster.members().get(slot)?;
                let (vessel, body) = (Arc::clone(&member.vessel), Arc::clone(&member.body));
                Some(VesselPicture { vessel, body, slot, cluster })
            })
            .collect();
        vessels.sort_by(|a, b| (&a.vessel.name, a.vessel.id).cmp(&(&b.vessel.name, b.vessel.id)));
        vessels
    }

    /// What a vessel is taken to be filled from where neither it nor an entry says so: the first supply that its site
    /// names, else the first of the neighbourhood's mains.
    pub(super) fn usual_source(&self, site: SiteId) -> Option<SourceId> {
        let named = self.set_up.sites.get(&site).and_then(|site| site.thing.sources.first().copied());
        named.or_else(|| {
            let mains = |kept: &&crate::model::setup::Kept<crate::model::source::Source>| {
                kept.thing.kind == crate::model::source::SourceKind::Mains
            };
            self.set_up.sources.values().find(mains).map(|kept| kept.thing.id)
        })
    }
}
