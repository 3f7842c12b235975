//! The end of a level: nothing more can come to a tree, so its sites have their days.

use crate::neighbourhood::share::forest::Link;
use crate::neighbourhood::share::forest::NONE;
use crate::neighbourhood::share::network::Arc;
use crate::neighbourhood::share::rise::Held;
use crate::neighbourhood::share::rise::JUST;
use crate::neighbourhood::share::rise::Rise;
use crate::neighbourhood::share::rise::Stand;

impl Rise<'_> {
    /// The marked tree wants more than can come.
    pub fn stuck(&mut self, top: usize, full: bool, lift: f64) {
        // a tree can always do with less: what looks like too much is rounding
        let wants = if self.net.gives(top) { lift < 0.0 } else { lift > 0.0 };
        let free =
            if wants { self.tree.iter().copied().find(|node| self.does_without(*node, top, full)) } else { None };
        match free {
            Some(node) if node != top || self.forest.below(top).next().is_some() => {
                let mut changed = vec![top];
                if let Link::Ring { arc, .. } = self.forest.nodes[top].link {
                    self.held[arc] = if full { Held::Full } else { Held::Nothing };
                    self.forest.nodes[top].link = Link::Loose;
                    self.find_place(top, &mut changed);
                } else {
                    self.release(node, top, &mut changed);
                }
                for node in changed {
                    let root = self.forest.root(node);
                    self.reckon(root);
                }
            }
            None if wants => self.close(top, full),
            _ => self.keep_at_end(top, full),
        }
    }

    fn keep_at_end(&mut self, top: usize, full: bool) {
        let (most, more) = match self.forest.nodes[top].link {
            Link::Up(arc) | Link::Ring { arc, .. } if full => self.limit(arc),
            _ => (0.0, 0.0),
        };
        let kept = &mut self.forest.nodes[top];
        (kept.start, kept.rate) = (most, more);
        self.requeue(top);
    }

    /// Whether the carries from outside that run at their limit just meet the need of a site in the tree: it lasts as
    /// long as their givers do, whatever becomes of this tree.
    fn does_without(&self, node: usize, top: usize, full: bool) -> bool {
        if self.net.gives(node) || (node == top && !matches!(self.forest.nodes[top].link, Link::Up(_))) {
            return false;
        }
        let (need, worth) = (self.net.need[node - self.net.sites], self.at[node].weight.abs());
        let (mut met, mut outside) = (0.0, false);
        for arc in self.net.around(node) {
            let Arc { giver, daily, gain, .. } = self.net.arcs[arc];
            let leaving = node == top && full && self.forest.nodes[top].link == Link::Up(arc);
            if !self.at[giver].open || (self.held[arc] != Held::Full && !leaving) {
                continue;
            }
            let inside = self.inside(giver);
            outside |= !inside;
            let cost = if inside { self.at[giver].weight.abs() } else { 0.0 };
            met += daily * (gain - cost / worth).max(0.0);
        }
        outside && need - met <= JUST * need
    }

    /// Takes such a site out of the marked tree, and hangs it on the dearest carry that it lives on; at the top it hangs
    /// on one already. What hung on it must find another place.
    fn release(&mut self, node: usize, top: usize, changed: &mut Vec<usize>) {
        let net = self.net;
        let dearest = net
            .around(node)
            .filter(|arc| self.held[*arc] == Held::Full)
            .filter(|arc| self.at[net.arcs[*arc].giver].open && !self.inside(net.arcs[*arc].giver))
            .map(|arc| (self.price_at(arc), arc))
            .max_by(|one, other| one.0.total_cmp(&other.0));
        let orphans: Vec<usize> = self.forest.below(node).collect();
        for cut in orphans.iter().copied().chain((node != top).then_some(node)) {
            if let Link::Up(arc) = self.forest.nodes[cut].link {
                self.held[arc] = Held::Nothing;
            }
            self.forest.cut(cut);
            self.forest.nodes[cut].link = Link::Loose;
            self.requeue(cut);
        }
        if let Some((price, dearest)) = dearest.filter(|_| node != top) {
            self.held[dearest] = Held::Between;
            self.forest.hang(node, net.arcs[dearest].giver);
            self.forest.nodes[node].link = Link::Up(dearest);
            self.at[node].price = price;
        }
        changed.push(node);
        for orphan in orphans {
            self.find_place(orphan, changed);
        }
    }

    /// A tree that hangs on nothing, and wants water, is hung on what comes, or has its days.
    fn find_place(&mut self, orphan: usize, changed: &mut Vec<usize>) {
        changed.push(orphan);
        self.gather(orphan);
        let lift = if self.net.gives(orphan) { -1.0 } else { 1.0 };
        if let Some(choice) = self.scan(lift).best {
            self.join(choice);
        } else if let Some(node) = self.tree.iter().copied().find(|node| self.does_without(*node, orphan, false)) {
            self.release(node, orphan, changed);
            self.find_place(orphan, changed);
        } else {
            self.close(orphan, false);
        }
    }

    /// The flows of a whole tree, reckoned anew.
    fn reckon(&mut self, root: usize) {
        if self.forest.nodes[root].link == Link::Loose {
            return;
        }
        self.gather(root);
        let tree = core::mem::take(&mut self.tree);
        for node in tree.iter().copied() {
            let (start, rate) = self.balance(node);
            let reckoned = &mut self.forest.nodes[node];
            (reckoned.start, reckoned.rate) = (start, rate);
        }
        for node in tree.iter().copied().rev() {
            let reckoned = self.forest.nodes[node];
            if let Link::Up(arc) = reckoned.link {
                let share = self.net.share(node, arc);
                let (start, rate) = (reckoned.start / share, reckoned.rate / share);
                (self.forest.nodes[node].start, self.forest.nodes[node].rate) = (start, rate);
                let back = self.net.share(reckoned.above, arc);
                let above = &mut self.forest.nodes[reckoned.above];
                above.start -= back * start;
                above.rate -= back * rate;
            }
        }
        if let Link::Ring { arc, far } = self.forest.nodes[root].link {
            let ring = self.ring(root, arc, far);
            let last = &mut self.forest.nodes[root];
            (last.start, last.rate) = (last.start / ring, last.rate / ring);
            let (start, rate, share) = (last.start, last.rate, self.net.share(far, arc));
            self.add_up(far, -share * start, -share * rate);
        }
        tree.iter().for_each(|node| self.requeue(*node));
        self.tree = tree;
    }

    /// So much more is to be had at a node: added to the links on its way to the root.
    fn add_up(&mut self, mut node: usize, mut start: f64, mut rate: f64) {
        while let Link::Up(arc) = self.forest.nodes[node].link {
            let share = self.net.share(node, arc);
            let changed = &mut self.forest.nodes[node];
            changed.start += start / share;
            changed.rate += rate / share;
            let back = -self.net.share(changed.above, arc) / share;
            (start, rate, node) = (start * back, rate * back, changed.above);
        }
    }

    /// What a node has or asks for, less the arcs at their limit.
    fn balance(&self, node: usize) -> (f64, f64) {
        let (mut start, mut rate) = self.asks(node);
        for arc in self.net.around(node).filter(|arc| self.held[*arc] == Held::Full) {
            let Arc { giver, receiver, .. } = self.net.arcs[arc];
            let closed = matches!(self.stand[receiver - self.net.sites], Stand::Closed(_));
            if !self.at[giver].open || closed {
                continue;
            }
            let (most, more) = self.limit(arc);
            let share = self.net.share(node, arc);
            start -= share * most;
            rate -= share * more;
        }
        (start, rate)
    }

    /// The sites of the marked tree have their days, and its givers are shut.
    fn close(&mut self, top: usize, full: bool) {
        let net = self.net;
        let leaving = self.forest.nodes[top];
        let mut eased: Vec<(usize, f64)> = Vec::new();
        match leaving.link {
            Link::Up(arc) => {
                self.held[arc] = if full { Held::Full } else { Held::Nothing };
                let back = net.share(leaving.above, arc);
                eased.push((leaving.above, -back * leaving.rate));
                if full && net.gives(leaving.above) {
                    // a carry at its limit, counted with the others from outside below; its rate is told here
                    let more = self.limit(arc).1;
                    eased.push((leaving.above, back * more));
                }
            }
            Link::Ring { arc, .. } => self.held[arc] = if full { Held::Full } else { Held::Nothing },
            Link::Spare | Link::Loose => {}
        }
        self.forest.cut(top);
        let tree = core::mem::take(&mut self.tree);
        for node in tree.iter().copied() {
            self.queue.set(node, f64::INFINITY);
            if net.gives(node) {
                continue;
            }
            for arc in net.around(node).filter(|arc| self.held[*arc] == Held::Full) {
                let (most, more) = self.limit(arc);
                let giver = net.arcs[arc].giver;
                if !self.at[giver].open {
                    continue;
                }
                self.flow[arc] = more.mul_add(self.day, most);
                if !self.inside(giver) {
                    self.left[giver] -= self.flow[arc];
                    eased.push((giver, -more));
                }
            }
            let stand = &mut self.stand[node - net.sites];
            if let Stand::Rising | Stand::Paused(_) = *stand {
                *stand = Stand::Closed(if let Stand::Paused(day) = *stand { day } else { self.day });
            }
        }
        self.pour(&tree);
        for node in tree.iter().copied() {
            self.forest.nodes[node].link = Link::Loose;
            self.at[node].open = false;
        }
        self.tree = tree;
        for (node, more) in eased {
            self.push(node, more);
        }
    }

    /// The last flows of a tree that is closed, from its leaves to its top.
    fn pour(&mut self, tree: &[usize]) {
        for node in tree.iter().copied() {
            let gives = self.net.gives(node);
            let full = self.net.around(node).filter(|arc| self.held[*arc] == Held::Full);
            let inner = full.filter(|arc| {
                let Arc { giver, receiver, .. } = self.net.arcs[*arc];
                if gives { self.inside(receiver) } else { self.at[giver].open }
            });
            let gone: f64 = inner.map(|arc| self.net.share(node, arc) * self.flow[arc]).sum();
            self.at[node].weight = self.asks(node).0 - gone;
        }
        for node in tree.iter().copied().rev() {
            let above = self.forest.nodes[node].above;
            if above == NONE {
                continue;
            }
            if let Link::Up(arc) = self.forest.nodes[node].link {
                let most = self.limit(arc).0;
                let flow = (self.at[node].weight / self.net.share(node, arc)).clamp(0.0, most);
                self.flow[arc] = flow;
                self.at[above].weight -= self.net.share(above, arc) * flow;
            }
        }
    }
}
