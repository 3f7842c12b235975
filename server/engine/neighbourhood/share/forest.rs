//! The flows that are neither nothing nor at their limit: they form trees. Each tree hangs from a root that still has
//! water to give, or whose last arc closes a ring (only where water is lost on the way).

/// No node.
pub(super) const NONE: usize = usize::MAX;

/// What joins a node to the rest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Link {
    /// nothing
    Loose,
    /// an arc to the node above
    Up(usize),
    /// a root: a giver, the water it has not promised to anyone
    Spare,
    /// a root: an arc to a node of its own tree, `far`
    Ring {
        /// the arc
        arc: usize,
        /// its other end
        far: usize,
    },
}

/// A node with the flow on its link, `start + rate × day`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Node {
    pub link: Link,
    pub above: usize,
    first: usize,
    next: usize,
    before: usize,
    pub start: f64,
    pub rate: f64,
}

impl Node {
    const LOOSE: Self =
        Self { link: Link::Loose, above: NONE, first: NONE, next: NONE, before: NONE, start: 0.0, rate: 0.0 };

    pub fn flow(&self, day: f64) -> f64 {
        self.rate.mul_add(day, self.start)
    }
}

/// All trees.
pub(super) struct Forest {
    pub nodes: Vec<Node>,
}

impl Forest {
    pub fn new(nodes: usize) -> Self {
        Self { nodes: vec![Node::LOOSE; nodes] }
    }

    /// The root of a node's tree.
    pub fn root(&self, mut node: usize) -> usize {
        while self.nodes[node].above != NONE {
            node = self.nodes[node].above;
        }
        node
    }

    /// Whether `high` is `low` or above it.
    pub fn is_above(&self, high: usize, mut low: usize) -> bool {
        while low != high && low != NONE {
            low = self.nodes[low].above;
        }
        low == high
    }

    /// Hangs a root, or a loose node, under another.
    pub fn hang(&mut self, node: usize, above: usize) {
        let next = self.nodes[above].first;
        if next != NONE {
            self.nodes[next].before = node;
        }
        self.nodes[above].first = node;
        let hung = &mut self.nodes[node];
        (hung.above, hung.next, hung.before) = (above, next, NONE);
    }

    /// Takes a node, with all below it, off the one above.
    pub fn cut(&mut self, node: usize) {
        let Node { above, next, before, .. } = self.nodes[node];
        if above == NONE {
            return;
        }
        if before == NONE {
            self.nodes[above].first = next;
        } else {
            self.nodes[before].next = next;
        }
        if next != NONE {
            self.nodes[next].before = before;
        }
        let cut = &mut self.nodes[node];
        (cut.above, cut.next, cut.before) = (NONE, NONE, NONE);
    }

    /// Makes a node the root of its tree. Links turn round with their flows; the old root's own link is lost, and the
    /// new root's is [`Link::Loose`].
    pub fn turn(&mut self, root: usize) {
        let (mut node, mut above, mut link, mut flow) = (root, NONE, Link::Loose, (0.0, 0.0));
        while node != NONE {
            let old = self.nodes[node];
            self.cut(node);
            if above != NONE {
                self.hang(node, above);
            }
            let turned = &mut self.nodes[node];
            turned.link = link;
            (turned.start, turned.rate) = flow;
            (above, link, flow) = (node, old.link, (old.start, old.rate));
            node = old.above;
        }
    }

    /// The nodes hung straight under one.
    pub fn below(&self, node: usize) -> impl Iterator<Item = usize> {
        let some = |node: usize| (node != NONE).then_some(node);
        std::iter::successors(some(self.nodes[node].first), move |below| some(self.nodes[*below].next))
    }

    /// A node and all below it, every node after the one above it.
    pub fn tree(&self, top: usize, into: &mut Vec<usize>) {
        into.clear();
        into.push(top);
        let mut at = 0;
        while let Some(node) = into.get(at).copied() {
            into.extend(self.below(node));
            at += 1;
        }
    }
}
