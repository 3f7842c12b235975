//! The estimator along a history, to say what was believed at moments past.

use std::sync::Arc;

use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::days;

use crate::model::entry::Act;
use crate::model::entry::Entry;
use crate::picture::cluster::Cluster;
use crate::picture::cluster::explain::Explained;
use crate::picture::cluster::explain::Kept;
use crate::picture::cluster::explain::LOOK_BACK_DAYS;
use crate::picture::cluster::explain::MOST_TOLD;
use crate::picture::cluster::explain::teller::Teller;
use crate::picture::cluster::moment;
use crate::picture::cluster::state::State;

/// So many entries are followed at most, two years of a sensor among them; of more, the simple level tells the past.
const MOST_FOLLOWED: usize = 4_096;

/// Some vessels of a cluster, from a moment on.
pub(in crate::picture::cluster) struct Followers<'a> {
    cluster: &'a Cluster,
    each: Vec<Follower<'a>>,
}

struct Follower<'a> {
    slot: usize,
    /// none where nothing has happened since: what is said stands
    along: Option<Along<'a>>,
    said: Option<Arc<Explained>>,
}

/// Where a follower is.
struct Along<'a> {
    /// entries before that are not told
    from: Moment,
    /// who shares the surface now
    slots: Vec<usize>,
    teller: Option<Teller<'a>>,
    /// beginnings and ends of outages before the last that was told
    outages: usize,
    changed: bool,
}

impl<'a> Followers<'a> {
    /// To follow these vessels from `from` on. What was before it is told as far back as for today; a vessel to which
    /// nothing has happened since is told of as it is today.
    pub(in crate::picture::cluster) fn of(
        cluster: &'a Cluster,
        slots: impl IntoIterator<Item = usize>,
        from: Moment,
    ) -> Self {
        let each = slots.into_iter().map(|slot| Follower::of(cluster, slot, from)).collect();
        Self { cluster, each }
    }

    /// What happened next; `state` is as it was after it.
    pub(in crate::picture::cluster) fn tell(&mut self, entry: &Entry, state: &State) {
        for one in &mut self.each {
            if let Some(along) = &mut one.along {
                along.tell(self.cluster, one.slot, entry, state);
            }
        }
    }

    /// What is said of each vessel of the cluster at `at`, by what has happened.
    pub(in crate::picture::cluster) fn said(&mut self, at: Moment) -> Kept {
        if self.cluster.outages.before(at) % 2 == 1 {
            return Kept::of(vec![None; self.cluster.members.len()]);
        }
        let mut said = vec![None; self.cluster.members.len()];
        for one in &mut self.each {
            said[one.slot] = one.said(self.cluster.outages.before(at));
        }
        Kept::of(said)
    }
}

impl<'a> Follower<'a> {
    fn of(cluster: &'a Cluster, slot: usize, from: Moment) -> Self {
        let bank = cluster.members[slot].vessel.bank;
        let family: Vec<usize> = (0..cluster.members.len())
            .filter(|other| *other == slot || bank.is_some() && cluster.members[*other].vessel.bank == bank)
            .collect();
        let concerns = |entry: &&Arc<Entry>| {
            cluster.moves(entry, &family)
                || matches!(&entry.act, Act::Coupling(coupling) if Some(coupling.bank) == bank)
        };
        let ours: Vec<Moment> = cluster
            .history
            .iter()
            .rev()
            .filter(concerns)
            .map(|entry| moment(entry.at))
            .take_while(|at| *at >= from.after(days(-LOOK_BACK_DAYS)))
            .take(MOST_FOLLOWED + 1)
            .collect();
        let since = ours.iter().filter(|at| **at >= from).count();
        if since == 0 && cluster.outages.before(from) == cluster.outages.count() {
            return Self { slot, along: None, said: cluster.explained(slot).map(Arc::clone) };
        }
        let first = ours.get(since + MOST_TOLD).or(ours.last()).copied().unwrap_or(from);
        let followed = ours.len() <= MOST_FOLLOWED;
        let along =
            followed.then(|| Along { from: first, slots: Vec::new(), teller: None, outages: 0, changed: false });
        Self { slot, along, said: None }
    }

    /// `outages`: how many beginnings and ends of them by then.
    fn said(&mut self, outages: usize) -> Option<Arc<Explained>> {
        if self.along.as_ref().is_some_and(|along| along.outages != outages) {
            return None;
        }
        if let Some(along) = self.along.as_mut().filter(|along| along.changed) {
            along.changed = false;
            self.said = along.teller.as_ref().and_then(Teller::explained).map(Arc::new);
        }
        self.said.as_ref().map(Arc::clone)
    }
}

impl<'a> Along<'a> {
    fn tell(&mut self, cluster: &'a Cluster, slot: usize, entry: &Entry, state: &State) {
        if moment(entry.at) < self.from {
            return;
        }
        let slots = state.joint_of(slot).map_or_else(|| vec![slot], |joint| state.joints[joint].slots.clone());
        let outages = cluster.outages.before(moment(entry.at));
        if self.slots != slots || self.outages != outages {
            self.outages = outages;
            self.teller = Teller::of(&cluster.members, slots.clone());
            self.slots = slots;
            self.changed = true;
        }
        if let Some(teller) = self.teller.as_mut().filter(|_| cluster.moves(entry, &self.slots)) {
            teller.tell(entry, false);
            self.changed = true;
        }
    }
}
