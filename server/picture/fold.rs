//! From set-up and entries to the picture, and on from there as more is committed. What it hands out is never changed.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::collections::HashMap;
use std::collections::HashSet;
use std::sync::Arc;

use crate::model::entry::Act;
use crate::model::entry::Entry;
use crate::model::id::BankId;
use crate::model::id::EntryId;
use crate::model::id::SiteId;
use crate::model::id::SourceId;
use crate::model::id::VesselId;
use crate::model::power::FuelStore;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::model::vessel::Bank;
use crate::picture::Picture;
use crate::picture::body::Body;
use crate::picture::cluster::Cluster;
use crate::picture::cluster::Member;
use crate::picture::cluster::Outages;
use crate::picture::cluster::moment;
use crate::picture::groups::Groups;
use crate::picture::history::History;
use crate::picture::history::order;
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
    /// the entries that something that counts declares void
    void: HashSet<EntryId>,
    bodies: HashMap<VesselId, Arc<Body>>,
    pub(super) outages: Arc<Outages>,
    pub(super) clusters: Vec<Arc<Cluster>>,
    pub(super) cluster_of: HashMap<VesselId, usize>,
    pub(super) sources: Arc<Sources>,
    pub(super) sites: BTreeMap<SiteId, SiteLedger>,
    pub(super) picture: Arc<Picture>,
}

/// What becomes one cluster.
#[derive(Default)]
struct Gathered {
    members: Vec<Member>,
    banks: BTreeMap<BankId, Arc<Bank>>,
    entries: Vec<Arc<Entry>>,
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
            void: HashSet::new(),
            bodies: HashMap::new(),
            outages: Arc::default(),
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
        let mut new: Vec<&Arc<Entry>> = new.iter().filter(|entry| !self.entries.contains_key(&entry.id)).collect();
        // In the order in which they count, so that most are folded on at the end.
        new.sort_by_key(|entry| order(entry));
        let mut waiting = Vec::new();
        for entry in new {
            let others = self.note(entry);
            if is_of_vessel_alone(entry) {
                waiting.push(entry);
            } else if self.is_live(entry.id) {
                self.put(entry, true, &mut touched);
            }
            for other in others {
                self.put(&other, self.is_live(other.id), &mut touched);
            }
        }
        self.put_together(&waiting, &mut touched);
        self.show(Some(&touched), seq, self.picture.change_seq);
        Arc::clone(&self.picture)
    }

    /// Puts what counts of these entries in its clusters, so that each is folded anew once however many come late.
    fn put_together(&mut self, entries: &[&Arc<Entry>], touched: &mut BTreeSet<SiteId>) {
        let mut by_place: BTreeMap<usize, Vec<Arc<Entry>>> = BTreeMap::new();
        for entry in entries {
            if self.is_live(entry.id)
                && let Some(place) = self.place(entry)
            {
                by_place.entry(place).or_default().push(Arc::clone(entry));
            }
        }
        for (place, entries) in by_place {
            let cluster = Arc::make_mut(&mut self.clusters[place]);
            cluster.add(&entries, &self.sources);
            touched.extend(cluster.members().iter().map(|member| member.vessel.site));
        }
    }

    /// Takes in changes of the set-up. What they do not touch stays as it is.
    pub fn change(&mut self, things: &[(Thing, i64)], seq: i64, at: jiff::Timestamp) -> Arc<Picture> {
        let mut water = false;
        for (thing, revision) in things {
            water |= match thing {
                Thing::Vessel(_) | Thing::Bank(_) | Thing::Source(_) | Thing::FuelStore(_) => true,
                Thing::Site(site) => {
                    self.set_up.sites.get(&site.id).is_none_or(|before| before.thing.sources != site.sources)
                }
                Thing::Neighbourhood(_)
                | Thing::Generator(_)
                | Thing::Load(_)
                | Thing::Battery(_)
                | Thing::Carry(_)
                | Thing::Stage(_)
                | Thing::Pump(_)
                | Thing::Person(_)
                | Thing::Token(_)
                | Thing::Outage(_) => false,
            };
            if let Thing::Vessel(vessel) = thing {
                self.bodies.remove(&vessel.id);
            }
            self.set_up.note(thing, at);
            self.set_up.put(thing.clone(), *revision);
        }
        if water {
            self.rebuild();
        }
        self.hear_of_outages(things);
        self.show(None, self.picture.entry_seq, seq);
        Arc::clone(&self.picture)
    }

    /// Takes an entry in; the others that count no more by it, or count again.
    fn note(&mut self, entry: &Arc<Entry>) -> Vec<Arc<Entry>> {
        self.entries.insert(entry.id, Arc::clone(entry));
        if self.is_declared_void(entry.id) {
            self.void.insert(entry.id);
        }
        let mut others = Vec::new();
        let Act::Void(void) = &entry.act else { return others };
        self.voids.entry(void.entry).or_default().push(entry.id);
        // On from void to void, as far as it makes a difference. No entry is looked at twice: a ring of voids cannot be
        // logged, and a file that was tampered with must not hold us up.
        let mut seen = HashSet::from([entry.id]);
        let mut next = Some(void.entry);
        while let Some(other) = next.and_then(|next| self.entries.get(&next)).map(Arc::clone)
            && seen.insert(other.id)
            && self.is_declared_void(other.id) == self.is_live(other.id)
        {
            if !self.void.remove(&other.id) {
                self.void.insert(other.id);
            }
            next = if let Act::Void(void) = &other.act { Some(void.entry) } else { None };
            others.push(other);
        }
        others
    }

    /// Whether anything that counts declares that entry void.
    fn is_declared_void(&self, id: EntryId) -> bool {
        self.voids.get(&id).is_some_and(|voids| voids.iter().any(|void| self.is_live(*void)))
    }

    /// An entry counts unless something that counts declares it void.
    fn is_live(&self, id: EntryId) -> bool {
        !self.void.contains(&id)
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
            && let Some(from) = entry.vessel
            && let (Some(&one), Some(&other)) = (self.cluster_of.get(&from), self.cluster_of.get(&transfer.to))
            && (one != other || !live)
        {
            // What was apart is joined; what it joined may come apart.
            return self.regroup(BTreeSet::from([one, other]), entry, live, touched);
        }
        if let Some(place) = self.place(entry) {
            let sources = Arc::clone(&self.sources);
            let cluster = Arc::make_mut(&mut self.clusters[place]);
            if live {
                cluster.add(std::slice::from_ref(entry), &sources);
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

    /// Groups and folds the vessels of some clusters anew, with that entry or without it.
    fn regroup(&mut self, places: BTreeSet<usize>, entry: &Arc<Entry>, with: bool, touched: &mut BTreeSet<SiteId>) {
        let mut members = Vec::new();
        let mut entries: Vec<Arc<Entry>> = with.then(|| Arc::clone(entry)).into_iter().collect();
        for place in places.into_iter().rev() {
            let gone = self.clusters.swap_remove(place);
            if let Some(moved) = self.clusters.get(place) {
                self.cluster_of.extend(moved.members().iter().map(|member| (member.vessel.id, place)));
            }
            touched.extend(gone.members().iter().map(|member| member.vessel.site));
            members.extend(gone.members().iter().cloned());
            entries.extend(gone.history().iter().filter(|there| there.id != entry.id).map(Arc::clone));
        }
        self.cluster(members, &entries);
    }

    /// Groups the vessels anew and folds them all.
    pub(super) fn rebuild(&mut self) {
        let live: Vec<Arc<Entry>> =
            self.entries.values().filter(|entry| self.is_live(entry.id)).map(Arc::clone).collect();
        let mut said: BTreeMap<SourceId, Vec<Arc<Entry>>> = BTreeMap::new();
        let mut by_site: BTreeMap<SiteId, Vec<Arc<Entry>>> = BTreeMap::new();
        for entry in &live {
            if let Some(source) = entry.act.source() {
                said.entry(source).or_default().push(Arc::clone(entry));
            }
            if concerns_site(entry)
                && let Some(site) = entry.site
            {
                by_site.entry(site).or_default().push(Arc::clone(entry));
            }
        }
        let said = said.into_iter().map(|(source, entries)| (source, History::of(entries))).collect();
        self.sources = Arc::new(Sources::of(&self.set_up, said));
        let mut stores: BTreeMap<SiteId, Vec<Arc<FuelStore>>> = BTreeMap::new();
        for kept in self.set_up.fuel_stores.values() {
            stores.entry(kept.thing.site).or_default().push(Arc::clone(&kept.thing));
        }
        let sites = self.set_up.sites.keys().map(|site| {
            let entries = History::of(by_site.remove(site).unwrap_or_default());
            (*site, SiteLedger::of(&stores.remove(site).unwrap_or_default(), entries))
        });
        self.sites = sites.collect();
        self.outages = Arc::new(Outages::of(&self.set_up));
        let members = self.members();
        self.clusters = Vec::with_capacity(members.len());
        self.cluster_of = HashMap::with_capacity(members.len());
        self.cluster(members, &live);
    }

    /// Every vessel with its body, made where it is not known yet.
    fn members(&mut self) -> Vec<Member> {
        let mut members = Vec::with_capacity(self.set_up.vessels.len());
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
            let usual = vessel.source.or_else(|| self.usual_source(vessel.site));
            members.push(Member { vessel: Arc::clone(vessel), body, usual });
        }
        members
    }

    /// Makes clusters of vessels and of what happened to them.
    fn cluster(&mut self, mut members: Vec<Member>, entries: &[Arc<Entry>]) {
        members.sort_by_key(|member| member.vessel.id);
        let mut groups = Groups::of(&members, entries);
        let mut gathered: BTreeMap<VesselId, Gathered> = BTreeMap::new();
        let mut of_bank: HashMap<BankId, VesselId> = HashMap::new();
        for member in members {
            let root = groups.root(member.vessel.id);
            let group = gathered.entry(root).or_default();
            if let Some(bank) = member.vessel.bank.and_then(|bank| self.set_up.banks.get(&bank)) {
                group.banks.insert(bank.thing.id, Arc::clone(&bank.thing));
                of_bank.insert(bank.thing.id, root);
            }
            group.members.push(member);
        }
        for entry in entries {
            let root = match &entry.act {
                Act::Coupling(coupling) => of_bank.get(&coupling.bank).copied(),
                _ if entry.act.source().is_some() => None,
                _ => entry.vessel.map(|vessel| groups.root(vessel)),
            };
            if let Some(group) = root.and_then(|root| gathered.get_mut(&root)) {
                group.entries.push(Arc::clone(entry));
            }
        }
        for Gathered { members, banks, entries } in gathered.into_values() {
            self.cluster_of.extend(members.iter().map(|member| (member.vessel.id, self.clusters.len())));
            self.clusters.push(Arc::new(Cluster::of(members, banks, &self.outages, entries, &self.sources)));
        }
    }

    fn stores(&self, site: SiteId) -> Vec<Arc<FuelStore>> {
        let there = self.set_up.fuel_stores.values().filter(|kept| kept.thing.site == site);
        there.map(|kept| Arc::clone(&kept.thing)).collect()
    }
}

/// Whether an entry moves one cluster's water and nothing else: no supply, no site, no two clusters.
fn is_of_vessel_alone(entry: &Entry) -> bool {
    entry.act.source().is_none() && !concerns_site(entry) && !matches!(entry.act, Act::Transfer(_) | Act::Void(_))
}
