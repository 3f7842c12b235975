//! The carries as a graph between what is given and what is received.
//!
//! Every site is two nodes: `i`, the giver, with the litres it may give, and `sites + i`, the receiver, with its need.
//! Nothing is passed on, so every arc leads from a giver to a receiver; a site's own spare water reaches itself by an
//! arc of its own, without limit, loss or labour.

use crate::neighbourhood::share::Sharing;
use crate::quantity::as_litres;
use crate::quantity::as_litres_per_day;

/// A carry's labour is told apart from another's by this part at most, so that no two plans cost the same and the
/// search cannot go round in circles; far below the 1e-6 to which the least total is asked for.
const NUDGE: f64 = 1e-7;

/// One way for water to go.
#[derive(Clone, Copy, Debug)]
pub(super) struct Arc {
    pub giver: usize,
    pub receiver: usize,
    /// litres a day at most; without end from a site to itself
    pub daily: f64,
    /// what arrives of a litre sent
    pub gain: f64,
    /// labour of a litre sent
    pub cost: f64,
}

/// What may go where.
pub(super) struct Network {
    /// how many sites
    pub sites: usize,
    /// the carries in the order given, then every site's arc to itself
    pub arcs: Vec<Arc>,
    /// litres that each site may give
    pub spare: Vec<f64>,
    /// litres that each site keeps and lives on
    pub kept: Vec<f64>,
    /// litres a day that each site needs
    pub need: Vec<f64>,
    /// whether water is lost on any way
    pub lossy: bool,
    starts: Vec<usize>,
    ways: Vec<Way>,
}

/// An arc as one of its ends sees it, with what the search asks of it most.
#[derive(Clone, Copy, Debug)]
pub(super) struct Way {
    pub arc: usize,
    pub other: usize,
    pub gain: f64,
    pub cost: f64,
}

impl Network {
    pub fn new(sharing: &Sharing) -> Self {
        let sites = sharing.sites.len();
        let litres: Vec<f64> = sharing.sites.iter().map(|site| as_litres(site.volume)).collect();
        let kept: Vec<f64> =
            sharing.sites.iter().zip(&litres).map(|(site, litres)| as_litres(site.keep).min(*litres)).collect();
        let spare: Vec<f64> = litres.iter().zip(&kept).map(|(litres, kept)| litres - kept).collect();
        let need: Vec<f64> = sharing.sites.iter().map(|site| as_litres_per_day(site.need)).collect();
        let carries = sharing.carries.iter().zip(0_u64..).map(|(carry, index)| Arc {
            giver: carry.from,
            receiver: sites + carry.to,
            daily: as_litres_per_day(carry.daily),
            gain: 1.0 - carry.loss,
            cost: 1.0 + NUDGE * scattered(index),
        });
        let own = (0..sites).map(|site| Arc {
            giver: site,
            receiver: sites + site,
            daily: f64::INFINITY,
            gain: 1.0,
            cost: 0.0,
        });
        let arcs: Vec<Arc> = carries.chain(own).collect();
        let (starts, ways) = sorted(sites, &arcs, |arc| {
            arc.daily > 0.0
                && spare.get(arc.giver).is_some_and(|spare| *spare > 0.0)
                && need.get(arc.receiver - sites).is_some_and(|need| *need > 0.0)
        });
        let lossy = arcs.iter().any(|arc| arc.gain < 1.0);
        Self { sites, arcs, spare, kept, need, lossy, starts, ways }
    }

    /// The arcs out of a giver, or into a receiver, that can carry anything.
    pub fn ways(&self, node: usize) -> &[Way] {
        &self.ways[self.starts[node]..self.starts[node + 1]]
    }

    /// The same, by the arcs' places alone.
    pub fn around(&self, node: usize) -> impl Iterator<Item = usize> {
        self.ways(node).iter().map(|way| way.arc)
    }

    pub const fn gives(&self, node: usize) -> bool {
        node < self.sites
    }

    /// What a litre sent on the arc counts for at one of its ends.
    pub fn share(&self, node: usize, arc: usize) -> f64 {
        if self.gives(node) { 1.0 } else { self.arcs[arc].gain }
    }
}

/// The usable arcs of every node, side by side.
fn sorted(sites: usize, arcs: &[Arc], usable: impl Fn(&Arc) -> bool) -> (Vec<usize>, Vec<Way>) {
    let ends = |arc: &Arc| [arc.giver, arc.receiver];
    let mut starts = vec![0; 2 * sites + 1];
    for node in arcs.iter().filter(|arc| usable(arc)).flat_map(ends) {
        starts[node + 1] += 1;
    }
    for node in 0..2 * sites {
        starts[node + 1] += starts[node];
    }
    let mut next = starts.clone();
    let mut ways = vec![Way { arc: 0, other: 0, gain: 0.0, cost: 0.0 }; starts[2 * sites]];
    for (index, arc) in arcs.iter().enumerate().filter(|(_, arc)| usable(arc)) {
        let Arc { giver, receiver, gain, cost, .. } = *arc;
        for (node, other) in [(giver, receiver), (receiver, giver)] {
            ways[next[node]] = Way { arc: index, other, gain, cost };
            next[node] += 1;
        }
    }
    (starts, ways)
}

/// A number from 0 to 1 for every index, the same each time (the finaliser of `SplitMix64`, Steele et al. 2014).
fn scattered(index: u64) -> f64 {
    let mut bits = index.wrapping_add(1).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    bits = (bits ^ (bits >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    bits = (bits ^ (bits >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    // 32 bits are a number exactly
    u32::try_from((bits ^ (bits >> 31)) >> 32).map_or(0.0, |bits| f64::from(bits) / f64::from(u32::MAX))
}
