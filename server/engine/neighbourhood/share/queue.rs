//! What comes next: nodes by the day at which something happens to them, a binary heap that knows where each one is.

/// Days by node; a node without a day is not in the heap.
pub(super) struct Queue {
    heap: Vec<(f64, usize)>,
    place: Vec<usize>,
}

const AWAY: usize = usize::MAX;

impl Queue {
    pub fn new(nodes: usize) -> Self {
        Self { heap: Vec::new(), place: vec![AWAY; nodes] }
    }

    /// The earliest day, and whose it is.
    pub fn first(&self) -> Option<(f64, usize)> {
        self.heap.first().copied()
    }

    /// Sets a node's day; infinity takes it out.
    pub fn set(&mut self, node: usize, day: f64) {
        let place = self.place[node];
        if place == AWAY {
            if day < f64::INFINITY {
                self.heap.push((day, node));
                self.rise(self.heap.len() - 1);
            }
        } else if day < f64::INFINITY {
            let before = self.heap[place].0;
            self.heap[place].0 = day;
            if day < before { self.rise(place) } else { self.sink(place) }
        } else {
            self.place[node] = AWAY;
            if let Some(last) = self.heap.pop().filter(|last| last.1 != node) {
                self.heap[place] = last;
                self.place[last.1] = place;
                self.rise(place);
                self.sink(self.place[last.1]);
            }
        }
    }

    fn rise(&mut self, mut place: usize) {
        let entry = self.heap[place];
        while place > 0 {
            let above = (place - 1) / 2;
            if self.heap[above].0 <= entry.0 {
                break;
            }
            self.put(place, self.heap[above]);
            place = above;
        }
        self.put(place, entry);
    }

    fn sink(&mut self, mut place: usize) {
        let entry = self.heap[place];
        loop {
            let mut below = 2 * place + 1;
            if below >= self.heap.len() {
                break;
            }
            if below + 1 < self.heap.len() && self.heap[below + 1].0 < self.heap[below].0 {
                below += 1;
            }
            if entry.0 <= self.heap[below].0 {
                break;
            }
            self.put(place, self.heap[below]);
            place = below;
        }
        self.put(place, entry);
    }

    fn put(&mut self, place: usize, entry: (f64, usize)) {
        self.heap[place] = entry;
        self.place[entry.1] = place;
    }
}

#[cfg(test)]
mod tests {
    use core::cmp::Ordering;

    use proptest::prelude::*;

    use super::*;

    proptest! {
        #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

        /// Set, moved and taken out at will, the first is always the least of those that stand.
        #[test]
        fn the_first_is_the_least(steps in prop::collection::vec((0_usize..12, prop::option::of(0_u8..50)), 0..120)) {
            let mut queue = Queue::new(12);
            let mut plain = [f64::INFINITY; 12];
            for (node, day) in steps {
                let day = day.map_or(f64::INFINITY, f64::from);
                queue.set(node, day);
                plain[node] = day;
                let least = plain.iter().copied().fold(f64::INFINITY, f64::min);
                prop_assert_eq!(queue.first().map_or(f64::INFINITY, |first| first.0).total_cmp(&least), Ordering::Equal);
            }
        }
    }
}
