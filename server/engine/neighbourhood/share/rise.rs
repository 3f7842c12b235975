//! Water filling, by the day. All sites of a class rise together from day 0: on every day t the flows are the least
//! labour by which each of them lasts t days. As t rises each flow changes along a straight line, until one of them
//! reaches nothing or its limit; another then takes its place (a step of the dual simplex method, on a network with
//! losses). Where none can, the sites that hang on it have got all they can get: that day is theirs, and they and their
//! givers are closed. So every level of the fairest vector is met in order, at its exact day, and what was closed is
//! never touched again.

use crate::neighbourhood::share::forest::Forest;
use crate::neighbourhood::share::forest::Link;
use crate::neighbourhood::share::forest::NONE;
use crate::neighbourhood::share::forest::Node;
use crate::neighbourhood::share::network::Arc;
use crate::neighbourhood::share::network::Network;
use crate::neighbourhood::share::queue::Queue;

/// Two amounts this near, as a part of them, are one: a carry that just meets the need keeps up.
pub(super) const JUST: f64 = 1e-9;

/// What is this small beside the flows around it is rounding.
const ROUNDING: f64 = 1e-13;

/// Whether an arc carries nothing, all it can, or something between.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Held {
    Nothing,
    Full,
    Between,
}

/// How far a site with need has come.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Stand {
    /// it lives on what it keeps, or its class is yet to come
    Away,
    /// it rises with the day
    Rising,
    /// it has so many days, and will go on from there
    Paused(f64),
    /// it has its days
    Closed(f64),
}

/// What the search asks of a node most.
#[derive(Clone, Copy)]
pub(super) struct At {
    /// the labour that one litre here would save
    pub price: f64,
    /// what a litre here does at the top of the marked tree
    pub weight: f64,
    /// the tree that it was marked with last
    pub mark: u64,
    /// a giver not all of whose water is spoken for, or a receiver that has begun and has not got its days
    pub open: bool,
}

/// The search went on for longer than any search can that gets nearer its end.
pub(super) struct Unsettled;

/// The state of the filling.
pub(super) struct Rise<'a> {
    pub net: &'a Network,
    pub forest: Forest,
    pub queue: Queue,
    /// by arc
    pub held: Vec<Held>,
    /// by arc, once closed
    pub flow: Vec<f64>,
    /// by site
    pub stand: Vec<Stand>,
    /// by node
    pub at: Vec<At>,
    /// litres of each giver, less what goes to sites that are closed
    pub left: Vec<f64>,
    pub day: f64,
    pub tree: Vec<usize>,
    pub stamp: u64,
    /// litres a day around each giver, to tell rounding from a rate
    draw: Vec<f64>,
    touched: Vec<usize>,
    steps: usize,
}

impl<'a> Rise<'a> {
    pub fn new(net: &'a Network) -> Self {
        let nodes = 2 * net.sites;
        let mut forest = Forest::new(nodes);
        let mut at = vec![At { price: 0.0, weight: 0.0, mark: 0, open: false }; nodes];
        let mut draw = vec![0.0; net.sites];
        for site in 0..net.sites {
            forest.nodes[site].link = Link::Spare;
            forest.nodes[site].start = net.spare[site];
            at[site].open = net.spare[site] > 0.0;
            draw[site] = net.around(site).map(|arc| pace(net, arc)).sum();
        }
        Self {
            net,
            forest,
            queue: Queue::new(nodes),
            held: vec![Held::Nothing; net.arcs.len()],
            flow: vec![0.0; net.arcs.len()],
            stand: vec![Stand::Away; net.sites],
            at,
            left: net.spare.clone(),
            day: 0.0,
            tree: Vec::new(),
            stamp: 0,
            draw,
            touched: Vec::new(),
            steps: 0,
        }
    }

    /// Lets sites rise together from one day, to another at most.
    pub fn rise(&mut self, sites: &[usize], from: f64, until: f64) -> Result<(), Unsettled> {
        self.day = from;
        let mut later: Vec<(f64, usize)> = Vec::new();
        for site in sites.iter().copied() {
            match self.stand[site] {
                Stand::Away => later.push(((self.net.kept[site] / self.net.need[site]).max(from), site)),
                Stand::Paused(_) => self.go_on(site),
                Stand::Rising | Stand::Closed(_) => {}
            }
        }
        // the flows into those that go on have new limits
        if later.len() < sites.len() {
            (0..self.forest.nodes.len()).for_each(|node| self.requeue(node));
        }
        later.sort_by(|one, other| other.0.total_cmp(&one.0));
        let most = 64 * (self.forest.nodes.len() + self.net.arcs.len()) + 1000;
        loop {
            let begins = later.last().map_or(f64::INFINITY, |next| next.0);
            let (turns, node) = self.queue.first().unwrap_or((f64::INFINITY, NONE));
            let next = begins.min(turns);
            if next >= until || next.is_infinite() {
                break;
            }
            if begins <= turns {
                self.day = self.day.max(begins);
                if let Some((_, site)) = later.pop() {
                    self.begin(site);
                }
            } else {
                self.day = self.day.max(turns);
                self.leave(node);
            }
            self.steps += 1;
            if self.steps > most {
                return Err(Unsettled);
            }
        }
        self.rest(sites, until)
    }

    /// Nothing rises any more: those that have not got their last day pause, and all flows stand still.
    fn rest(&mut self, sites: &[usize], until: f64) -> Result<(), Unsettled> {
        if until.is_finite() {
            self.day = until;
        }
        for site in sites.iter().copied() {
            if self.stand[site] == Stand::Rising {
                if until.is_infinite() {
                    return Err(Unsettled);
                }
                self.stand[site] = Stand::Paused(until);
            }
        }
        for node in core::mem::take(&mut self.touched) {
            let day = self.day;
            let still = &mut self.forest.nodes[node];
            (still.start, still.rate) = (still.flow(day), 0.0);
            self.queue.set(node, f64::INFINITY);
        }
        Ok(())
    }

    /// A site has used what it keeps, and needs more from this day on: by the arc of least labour.
    fn begin(&mut self, site: usize) {
        let (net, node) = (self.net, self.net.sites + site);
        let open = net.around(node).filter(|arc| self.at[net.arcs[*arc].giver].open);
        let priced = open.map(|arc| (self.price_at(arc), arc));
        let Some((price, arc)) = priced.min_by(|one, other| one.0.total_cmp(&other.0)) else {
            self.stand[site] = Stand::Closed(net.kept[site] / net.need[site]);
            return;
        };
        let giver = net.arcs[arc].giver;
        self.stand[site] = Stand::Rising;
        self.held[arc] = Held::Between;
        self.forest.hang(node, giver);
        let rate = net.need[site] / net.arcs[arc].gain;
        let hung = &mut self.forest.nodes[node];
        hung.link = Link::Up(arc);
        (hung.start, hung.rate) = (-net.kept[site] / net.arcs[arc].gain, rate);
        (self.at[node].price, self.at[node].open) = (price, true);
        self.requeue(node);
        self.push(giver, rate);
    }

    /// A site that paused rises again.
    fn go_on(&mut self, site: usize) {
        let (net, node) = (self.net, self.net.sites + site);
        self.stand[site] = Stand::Rising;
        self.push(node, -net.need[site]);
        for arc in net.around(node) {
            let Arc { giver, daily, gain, .. } = net.arcs[arc];
            if self.held[arc] == Held::Full && self.at[giver].open {
                self.push(node, gain * daily);
                self.push(giver, daily);
            }
        }
    }

    /// What a litre at the receiver would cost, were it to come by this arc.
    pub fn price_at(&self, arc: usize) -> f64 {
        let arc = &self.net.arcs[arc];
        (arc.cost - self.at[arc.giver].price) / arc.gain
    }

    /// The most that an arc carries: so much, and so much more each day.
    pub fn limit(&self, arc: usize) -> (f64, f64) {
        let arc = &self.net.arcs[arc];
        match self.stand[arc.receiver - self.net.sites] {
            _ if arc.daily.is_infinite() => (f64::INFINITY, 0.0),
            Stand::Away => (0.0, 0.0),
            Stand::Rising => (0.0, arc.daily),
            Stand::Paused(day) | Stand::Closed(day) => (arc.daily * day, 0.0),
        }
    }

    /// What a node has to hand out, or asks for: so much, and so much more each day.
    pub fn asks(&self, node: usize) -> (f64, f64) {
        if self.net.gives(node) {
            return (self.left[node], 0.0);
        }
        let site = node - self.net.sites;
        let (kept, need) = (self.net.kept[site], self.net.need[site]);
        match self.stand[site] {
            Stand::Away => (0.0, 0.0),
            Stand::Rising => (-kept, need),
            Stand::Paused(day) | Stand::Closed(day) => (need.mul_add(day, -kept), 0.0),
        }
    }

    /// The days on which the flow of a node's link reaches nothing, and its limit.
    pub fn ends(&self, node: usize) -> (f64, f64) {
        let Node { link, start, rate, .. } = self.forest.nodes[node];
        let arc = match link {
            Link::Loose => return (f64::INFINITY, f64::INFINITY),
            Link::Spare => {
                let falls = rate < -ROUNDING * self.draw[node];
                return (if falls { -start / rate } else { f64::INFINITY }, f64::INFINITY);
            }
            Link::Up(arc) | Link::Ring { arc, .. } => arc,
        };
        let least = ROUNDING * pace(self.net, arc);
        let empty = if rate < -least { -start / rate } else { f64::INFINITY };
        let (most, more) = self.limit(arc);
        let gains = rate - more;
        let full = if gains > least && gains > JUST * more { (most - start) / gains } else { f64::INFINITY };
        (empty, full)
    }

    /// Enters the day of a node anew.
    pub fn requeue(&mut self, node: usize) {
        let (empty, full) = self.ends(node);
        self.queue.set(node, empty.min(full));
        self.touched.push(node);
    }

    /// Enters the days of a node and of all above it anew.
    pub fn requeue_up(&mut self, mut node: usize) {
        while node != NONE {
            self.requeue(node);
            node = self.forest.nodes[node].above;
        }
    }

    /// So much more is drawn at a node each day by arcs outside the trees: the links above it make up for it.
    pub fn push(&mut self, node: usize, more: f64) {
        let (root, more) = self.push_up(node, more);
        match self.forest.nodes[root].link {
            Link::Spare => self.change(root, -more),
            Link::Ring { arc, far } => {
                let change = -more / self.ring(root, arc, far);
                self.change(root, change);
                self.push_up(far, change * self.net.share(far, arc));
            }
            Link::Up(_) | Link::Loose => {}
        }
    }

    /// The part of it on the way to the root: the root, and what is wanting there.
    fn push_up(&mut self, mut node: usize, mut more: f64) -> (usize, f64) {
        while let Link::Up(arc) = self.forest.nodes[node].link {
            let change = -more / self.net.share(node, arc);
            self.change(node, change);
            node = self.forest.nodes[node].above;
            more = change * self.net.share(node, arc);
        }
        (node, more)
    }

    /// What a litre on the last arc of a ring does to its root.
    pub fn ring(&self, root: usize, arc: usize, far: usize) -> f64 {
        let (mut node, mut more) = (far, self.net.share(far, arc));
        while let Link::Up(up) = self.forest.nodes[node].link {
            let above = self.forest.nodes[node].above;
            more *= -self.net.share(above, up) / self.net.share(node, up);
            node = above;
        }
        more + self.net.share(root, arc)
    }

    fn change(&mut self, node: usize, by: f64) {
        let changed = &mut self.forest.nodes[node];
        changed.rate += by;
        changed.start -= by * self.day;
        self.requeue(node);
    }
}

/// Litres a day that an arc could be asked for.
fn pace(net: &Network, arc: usize) -> f64 {
    let arc = &net.arcs[arc];
    net.need[arc.receiver - net.sites] / arc.gain
}
