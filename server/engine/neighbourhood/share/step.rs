//! One step: a flow has come to nothing or to its limit, and another takes its place among those between.

use crate::neighbourhood::share::forest::Link;
use crate::neighbourhood::share::network::Arc;
use crate::neighbourhood::share::rise::At;
use crate::neighbourhood::share::rise::Held;
use crate::neighbourhood::share::rise::Rise;

/// Two days this near, as a part of them, are one.
const SAME_DAY: f64 = 1e-12;

/// A ring that gains or loses less than this on its way round is none.
const NO_RING: f64 = 1e-9;

/// What may take the place of a flow.
#[derive(Clone, Copy)]
pub(super) enum Comes {
    /// water that a giver has not promised
    Spare(usize),
    /// an arc
    Arc(usize),
}

/// What comes, how much it does for the tree, and what a litre of it costs too much as prices stand.
#[derive(Clone, Copy)]
pub(super) struct Choice {
    pub comes: Comes,
    pub does: f64,
    pub excess: f64,
}

/// A tree as its arcs stand: its balance, so much and so much more each day, and what may come.
pub(super) struct Scan {
    start: f64,
    rate: f64,
    pub best: Option<Choice>,
    ratio: f64,
}

impl Scan {
    fn offer(&mut self, comes: Comes, does: f64, excess: f64, lift: f64) {
        let ratio = (excess / (lift * does)).max(0.0);
        if ratio < self.ratio {
            self.ratio = ratio;
            self.best = Some(Choice { comes, does, excess });
        }
    }
}

impl Rise<'_> {
    /// The flow of a node's link has come to an end.
    pub fn leave(&mut self, node: usize) {
        let top = self.bring_up(node);
        let link = self.forest.nodes[top].link;
        let full = self.is_full_first(top);
        self.gather(top);
        let at = |node: usize, arc: usize| self.net.share(node, arc) * self.at[node].weight;
        let does = match link {
            Link::Spare => self.at[top].weight,
            Link::Up(arc) => at(top, arc),
            Link::Ring { arc, far } => at(top, arc) + at(far, arc),
            Link::Loose => return,
        };
        let lift = if full { does.signum() } else { -does.signum() };
        let scan = self.scan(lift);
        // reckoned anew from the whole tree, so that no rounding adds up
        let left = &mut self.forest.nodes[top];
        (left.start, left.rate) = (scan.start / does, scan.rate / does);
        let (empty, limit) = self.ends(top);
        let day = empty.min(limit);
        if self.is_full_first(top) != full || day > self.day * (1.0 + SAME_DAY) {
            return self.requeue(top);
        }
        match scan.best {
            Some(choice) => self.swap(top, full, does, choice),
            None => self.stuck(top, full, lift),
        }
    }

    fn is_full_first(&self, node: usize) -> bool {
        let (empty, full) = self.ends(node);
        full < empty
    }

    /// If the node's link is part of a ring, turns the ring so that this link closes it. The node whose link it is then.
    fn bring_up(&mut self, node: usize) -> usize {
        let leaving = self.forest.nodes[node];
        let Link::Up(arc) = leaving.link else { return node };
        let root = self.forest.root(node);
        let closing = self.forest.nodes[root];
        let Link::Ring { arc: last, far } = closing.link else { return node };
        if !self.forest.is_above(node, far) {
            return node;
        }
        self.forest.cut(node);
        self.forest.turn(far);
        self.forest.hang(far, root);
        let turned = &mut self.forest.nodes[far];
        (turned.link, turned.start, turned.rate) = (Link::Up(last), closing.start, closing.rate);
        let top = leaving.above;
        self.forest.turn(top);
        let turned = &mut self.forest.nodes[top];
        (turned.link, turned.start, turned.rate) = (Link::Ring { arc, far: node }, leaving.start, leaving.rate);
        self.requeue_up(node);
        top
    }

    /// Marks a node and all below it, with what a litre at each does at the top.
    pub fn gather(&mut self, top: usize) {
        let mut tree = core::mem::take(&mut self.tree);
        self.forest.tree(top, &mut tree);
        self.stamp += 1;
        for node in tree.iter().copied() {
            let above = self.forest.nodes[node].above;
            self.at[node].weight = match self.forest.nodes[node].link {
                Link::Up(arc) if node != top => {
                    -self.net.share(above, arc) * self.at[above].weight / self.net.share(node, arc)
                }
                _ => 1.0,
            };
            self.at[node].mark = self.stamp;
        }
        self.tree = tree;
    }

    pub fn inside(&self, node: usize) -> bool {
        self.at[node].mark == self.stamp
    }

    /// The balance of the marked tree, and the cheapest that would mend it.
    pub fn scan(&self, lift: f64) -> Scan {
        let mut scan = Scan { start: 0.0, rate: 0.0, best: None, ratio: f64::INFINITY };
        for node in self.tree.iter().copied() {
            let At { weight, price, .. } = self.at[node];
            let (start, rate) = self.asks(node);
            scan.start += weight * start;
            scan.rate += weight * rate;
            let gives = self.net.gives(node);
            if gives && lift * weight > 0.0 && self.forest.nodes[node].link != Link::Spare {
                scan.offer(Comes::Spare(node), weight, -price, lift);
            }
            // an arc that carries nothing is of no use where its other end can only undo what it does
            let useless = lift * weight <= 0.0 && !(self.net.lossy && gives);
            for way in self.net.ways(node) {
                let held = self.held[way.arc];
                if held == Held::Between || (held == Held::Nothing && useless) {
                    continue;
                }
                let other = self.at[way.other];
                let both = other.mark == self.stamp;
                if !other.open || (both && !gives) {
                    continue;
                }
                let (here, there) = if gives { (1.0, way.gain) } else { (way.gain, 1.0) };
                let mut does = weight * here;
                if both {
                    let back = other.weight * there;
                    // equal and opposite, but for rounding
                    does = if (does + back).abs() <= NO_RING * back.abs() { 0.0 } else { does + back };
                }
                let full = held == Held::Full;
                if full {
                    let (most, more) = self.limit(way.arc);
                    scan.start -= does * most;
                    scan.rate -= does * more;
                }
                let slope = lift * does;
                if (slope > 0.0 && !full) || (slope < 0.0 && full) {
                    let excess = way.cost - here * price - there * other.price;
                    scan.offer(Comes::Arc(way.arc), does, excess, lift);
                }
            }
        }
        scan
    }

    /// What comes takes the place of the link of `top`, which stays at its end; rates change from now on.
    fn swap(&mut self, top: usize, full: bool, does: f64, choice: Choice) {
        let leaving = self.forest.nodes[top];
        let more = match leaving.link {
            Link::Up(arc) | Link::Ring { arc, .. } => {
                self.held[arc] = if full { Held::Full } else { Held::Nothing };
                if full { self.limit(arc).1 } else { 0.0 }
            }
            Link::Spare | Link::Loose => 0.0,
        };
        let rate = -does * (more - leaving.rate) / choice.does;
        let (start, before) = match choice.comes {
            Comes::Spare(giver) => {
                self.push(giver, rate);
                (0.0, 0.0)
            }
            Comes::Arc(arc) => {
                let Arc { giver, receiver, gain, .. } = self.net.arcs[arc];
                self.push(giver, rate);
                self.push(receiver, gain * rate);
                if self.held[arc] == Held::Full { self.limit(arc) } else { (0.0, 0.0) }
            }
        };
        self.forest.cut(top);
        let new = self.join(choice);
        let joined = &mut self.forest.nodes[new];
        (joined.start, joined.rate) = (start - rate * self.day, before + rate);
        self.requeue_up(top);
    }

    /// Hangs the marked tree, cut off already, on what comes; its prices follow. The node whose link that is.
    pub fn join(&mut self, choice: Choice) -> usize {
        let shift = choice.excess / choice.does;
        for node in self.tree.iter().copied() {
            self.at[node].price += shift * self.at[node].weight;
        }
        match choice.comes {
            Comes::Spare(giver) => {
                self.forest.turn(giver);
                self.forest.nodes[giver].link = Link::Spare;
                giver
            }
            Comes::Arc(arc) => {
                self.held[arc] = Held::Between;
                let Arc { giver, receiver, .. } = self.net.arcs[arc];
                let (new, other) = if self.inside(giver) { (giver, receiver) } else { (receiver, giver) };
                self.forest.turn(new);
                if self.inside(other) {
                    self.forest.nodes[new].link = Link::Ring { arc, far: other };
                } else {
                    self.forest.nodes[new].link = Link::Up(arc);
                    self.forest.hang(new, other);
                }
                new
            }
        }
    }
}
