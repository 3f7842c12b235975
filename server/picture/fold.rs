//! From set-up and entries to the picture, and on from there as more is committed. The one place that is ever changed;
//! what it hands out is not.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::collections::HashMap;
use std::sync::Arc;

use crate::model::entry::Act;
use crate::model::entry::Entry;
use crate::model::id::BankId;
use crate::model::id::EntryId;
use crate::model::id::SiteId;
use crate::model::id::SourceId;
use crate::model::id::VesselId;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::model::vessel::Bank;
use crate::picture::Picture;
use crate::picture::body::Body;
use crate::picture::cluster::Cluster;
use crate::picture::cluster::Member;
use crate::picture::cluster::moment;
use crate::picture::groups::Groups;
use crate::picture::history::History;
use crate::picture::site::SiteLedger;
use crate::picture::site::concerns_site;
use crate::picture::source::Sources;

/// The fold in progress: every entry by its id, which of them are void, and the picture so far.
#[derive(Debug)]
pub struct Fold {
    pub(super) set_up: SetUp,
    entries: HashMap<EntryId, Arc<Entry>>,
    /// what declares an entry void; a void may itself be void
    voids: HashMap<EntryId, Vec<EntryId>>,
    bodies: HashMap<VesselId, Arc<Body>>,
    pub(super) clusters: Vec<Arc<Cluster>>,
    pub(super) cluster_of: HashMap<VesselId, usize>,
    pub(super) sources: Arc<Sources>,
    pub(super) sites: BTreeMap<SiteId, SiteLedger>,
    pub(super) picture: Arc<Picture>,
}

impl Fold {
    /// From everything at once.
    #[must_use]
    pub fn of(set_up: SetUp, entries: Vec<Arc<Entry>>, entry_seq: i64, change_seq: i64) -> Self {
        let mut fold = Self {
            picture: Arc::new(Picture {
                set_up: Arc::new(set_up.clone()),
                entry_seq,
                change_seq,
                sources: Arc::default(),
                sites: Vec::new(),
            }),
            set_up,
            entries: HashMap::with_capacity(entries.len()),
            voids: HashMap::new(),
            bodies: HashMap::new(),
            clusters: Vec::new(),
            cluster_of: HashMap::new(),
            sources: Arc::default(),
            sites: BTreeMap::new(),
        };
        for entry in entries {
            fold.note(&entry);
        }
        fold.rebuild();
        fold.show(None, entry_seq, change_seq);
        fold
    }

    #[must_use]
    pub const fn picture(&self) -> &Arc<Picture> {
        &self.picture
    }

    /// Whether that entry is in the ledger.
    #[must_use]
    pub fn entry(&self, id: EntryId) -> Option<&Arc<Entry>> {
        self.entries.get(&id)
    }

    /// Every entry that counts or once did, in no order.
    pub fn entries(&self) -> impl Iterator<Item = &Arc<Entry>> {
        self.entries.values()
    }

    /// The entry that declares that one void, if one does.
    #[must_use]
    pub fn void_of(&self, id: EntryId) -> Option<Arc<Entry>> {
        let void = self.voids.get(&id)?.iter().find(|void| self.is_live(**void))?;
        self.entries.get(void).map(Arc::clone)
    }

    /// Takes in new entries, in whatever order of time, and hands out the picture with them.
    pub fn add(&mut self, new: &[Arc<Entry>], seq: i64) -> Arc<Picture> {
        let mut touched = BTreeSet::new();
        for entry in new {
            self.note(entry);
            if self.is_live(entry.id) {
                self.put(entry, true, &mut touched);
            }
            if let Act::Void(void) = &entry.act {
                self.revoke(void.entry, &mut touched);
            }
        }
        let change_seq = self.picture.change_seq;
        self.show(Some(&touched), seq, change_seq);
        Arc::clone(&self.picture)
    }

    /// Takes in changes of the set-up. What they do not touch stays as it is.
    pub fn change(&mut self, things: &[(Thing, i64)], seq: i64) -> Arc<Picture> {
        let mut water = false;
        for (thing, revision) in things {
            water |= match thing {
                Thing::Vessel(_) | Thing::Bank(_) | Thing::Source(_) => true,
                Thing::Site(site) => {
                    self.set_up.sites.get(&site.id).is_none_or(|before| before.thing.sources != site.sources)
                }
                Thing::FuelStore(_) => true,
                Thing::Neighbourhood(_) | Thing::Generator(_) | Thing::Load(_) | Thing::Person(_) => false,
            };
            if let Thing::Vessel(vessel) = thing {
                self.bodies.remove(&vessel.id);
            }
            self.set_up.put(thing.clone(), *revision);
        }
        if water {
            self.rebuild();
        }
        let entry_seq = self.picture.entry_seq;
        self.show(None, entry_seq, seq);
        Arc::clone(&self.picture)
    }

    fn note(&mut self, entry: &Arc<Entry>) {
        if let Act::Void(void) = &entry.act {
            self.voids.entry(void.entry).or_default().push(entry.id);
        }
        self.entries.insert(entry.id, Arc::clone(entry));
    }

    /// An entry counts unless something that counts declares it void.
    fn is_live(&self, id: EntryId) -> bool {
        self.voids.get(&id).is_none_or(|voids| !voids.iter().any(|void| self.is_live(*void)))
    }

    /// An entry was declared void, or that declaration was.
    fn revoke(&mut self, id: EntryId, touched: &mut BTreeSet<SiteId>) {
        let Some(entry) = self.entries.get(&id).map(Arc::clone) else { return };
        let live = self.is_live(id);
        self.put(&entry, live, touched);
        if let Act::Void(void) = &entry.act {
            self.revoke(void.entry, touched);
        }
    }

    /// Puts a counting entry where it belongs, or takes it out of there.
    fn put(&mut self, entry: &Arc<Entry>, live: bool, touched: &mut BTreeSet<SiteId>) {
        if let Some(source) = entry.act.source() {
            return self.put_source(source, entry, live, touched);
        }
        touched.extend(entry.site);
        if concerns_site(entry)
            && let Some(site) = entry.site
        {
            let stores = self.stores(site);
            let ledger = self.sites.entry(site).or_default();
            if live {
                ledger.add(entry, &stores);
            } else {
                ledger.remove(entry, &stores);
            }
        }
        if let Act::Transfer(transfer) = &entry.act
            && live
            && let Some(from) = entry.vessel
            && self.cluster_of.get(&from) != self.cluster_of.get(&transfer.to)
        {
            self.join(from, transfer.to);
        }
        if let Some(place) = self.place(entry) {
            let sources = Arc::clone(&self.sources);
            let cluster = Arc::make_mut(&mut self.clusters[place]);
            if live {
                cluster.add(entry, &sources);
            } else {
                cluster.remove(entry, &sources);
            }
            touched.extend(cluster.members().iter().map(|member| member.vessel.site));
        }
    }

    /// The cluster whose water the entry moves or speaks of.
    fn place(&self, entry: &Entry) -> Option<usize> {
        if let Act::Coupling(coupling) = &entry.act {
            return self.clusters.iter().position(|cluster| cluster.banks().contains_key(&coupling.bank));
        }
        entry.vessel.and_then(|vessel| self.cluster_of.get(&vessel)).copied()
    }

    fn put_source(&mut self, source: SourceId, entry: &Arc<Entry>, live: bool, touched: &mut BTreeSet<SiteId>) {
        let sources = Arc::make_mut(&mut self.sources);
        if live {
            sources.add(source, entry);
        } else {
            sources.remove(source, entry);
        }
        let sources = Arc::clone(&self.sources);
        for cluster in &mut self.clusters {
            // What was heard later than this must be heard again, in order.
            if cluster.fills_from(source) && cluster.state().heard_to().is_some_and(|heard| heard >= moment(entry.at)) {
                let cluster = Arc::make_mut(cluster);
                cluster.refold(&sources);
                touched.extend(cluster.members().iter().map(|member| member.vessel.site));
            }
        }
    }

    /// Two clusters become one: water passed between them.
    fn join(&mut self, one: VesselId, other: VesselId) {
        let (Some(&one), Some(&other)) = (self.cluster_of.get(&one), self.cluster_of.get(&other)) else { return };
        let (keep, gone) = (one.min(other), one.max(other));
        let parts = [&self.clusters[keep], &self.clusters[gone]];
        let mut members: Vec<Member> = parts.iter().flat_map(|cluster| cluster.members().iter().cloned()).collect();
        members.sort_by_key(|member| member.vessel.id);
        let banks =
            parts.iter().flat_map(|cluster| cluster.banks().iter().map(|(id, bank)| (*id, Arc::clone(bank)))).collect();
        let entries = parts.iter().flat_map(|cluster| cluster.history().iter().map(Arc::clone)).collect();
        self.clusters[keep] = Arc::new(Cluster::of(members, banks, entries, &self.sources));
        self.clusters.swap_remove(gone);
        for place in [keep, gone] {
            if let Some(cluster) = self.clusters.get(place) {
                for member in cluster.members() {
                    self.cluster_of.insert(member.vessel.id, place);
                }
            }
        }
    }

    /// Groups the vessels anew and folds them all.
    fn rebuild(&mut self) {
        let live: Vec<Arc<Entry>> =
            self.entries.values().filter(|entry| self.is_live(entry.id)).map(Arc::clone).collect();
        let mut said: BTreeMap<SourceId, Vec<Arc<Entry>>> = BTreeMap::new();
        let mut by_site: BTreeMap<SiteId, Vec<Arc<Entry>>> = BTreeMap::new();
        let mut groups = Groups::of(&self.set_up);
        for entry in &live {
            if let Some(source) = entry.act.source() {
                said.entry(source).or_default().push(Arc::clone(entry));
            }
            if concerns_site(entry)
                && let Some(site) = entry.site
            {
                by_site.entry(site).or_default().push(Arc::clone(entry));
            }
            if let Act::Transfer(transfer) = &entry.act
                && let Some(from) = entry.vessel
            {
                groups.join(from, transfer.to);
            }
        }
        let said = said.into_iter().map(|(source, entries)| (source, History::of(entries))).collect();
        self.sources = Arc::new(Sources::of(&self.set_up, said));
        let sites: Vec<SiteId> = self.set_up.sites.keys().copied().collect();
        self.sites = sites
            .into_iter()
            .map(|site| {
                let entries = by_site.remove(&site).unwrap_or_default();
                (site, SiteLedger::of(&self.stores(site), History::of(entries)))
            })
            .collect();
        self.cluster(&live, &mut groups);
    }

    fn cluster(&mut self, live: &[Arc<Entry>], groups: &mut Groups) {
        let mut members: BTreeMap<VesselId, Vec<Member>> = BTreeMap::new();
        let mut banks: BTreeMap<VesselId, BTreeMap<BankId, Arc<Bank>>> = BTreeMap::new();
        let mut of_bank: HashMap<BankId, VesselId> = HashMap::new();
        for kept in self.set_up.vessels.values() {
            let vessel = &kept.thing;
            let body = match self.bodies.get(&vessel.id) {
                Some(body) => Arc::clone(body),
                None => match Body::of(vessel) {
                    Ok(body) => {
                        self.bodies.insert(vessel.id, Arc::clone(&body));
                        body
                    }
                    Err(error) => {
                        tracing::error!(vessel = %vessel.id, "a vessel that was kept does not hold: {error}");
                        continue;
                    }
                },
            };
            let root = groups.root(vessel.id);
            let usual = vessel.source.or_else(|| self.usual_source(vessel.site));
            members.entry(root).or_default().push(Member { vessel: Arc::clone(vessel), body, usual });
            if let Some(bank) = vessel.bank.and_then(|bank| self.set_up.banks.get(&bank)) {
                banks.entry(root).or_default().insert(bank.thing.id, Arc::clone(&bank.thing));
                of_bank.insert(bank.thing.id, root);
            }
        }
        let mut entries: HashMap<VesselId, Vec<Arc<Entry>>> = HashMap::new();
        for entry in live {
            let root = match &entry.act {
                Act::Coupling(coupling) => of_bank.get(&coupling.bank).copied(),
                _ if entry.act.source().is_some() => None,
                _ => entry.vessel.map(|vessel| groups.root(vessel)),
            };
            if let Some(root) = root {
                entries.entry(root).or_default().push(Arc::clone(entry));
            }
        }
        self.clusters = Vec::with_capacity(members.len());
        self.cluster_of = HashMap::with_capacity(self.set_up.vessels.len());
        for (root, members) in members {
            for member in &members {
                self.cluster_of.insert(member.vessel.id, self.clusters.len());
            }
            let banks = banks.remove(&root).unwrap_or_default();
            let entries = entries.remove(&root).unwrap_or_default();
            self.clusters.push(Arc::new(Cluster::of(members, banks, entries, &self.sources)));
        }
    }

    /// What a vessel is taken to be filled from where neither it nor an entry says so: the first supply that its site
    /// names, else the first of the neighbourhood's mains.
    fn usual_source(&self, site: SiteId) -> Option<SourceId> {
        let named = self.set_up.sites.get(&site).and_then(|site| site.thing.sources.first().copied());
        named.or_else(|| {
            let mains = |kept: &&crate::model::setup::Kept<crate::model::source::Source>| {
                kept.thing.kind == crate::model::source::SourceKind::Mains
            };
            self.set_up.sources.values().find(mains).map(|kept| kept.thing.id)
        })
    }

    fn stores(&self, site: SiteId) -> Vec<Arc<crate::model::power::FuelStore>> {
        let there = self.set_up.fuel_stores.values().filter(|kept| kept.thing.site == site);
        there.map(|kept| Arc::clone(&kept.thing)).collect()
    }
}
