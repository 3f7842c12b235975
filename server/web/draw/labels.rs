//! Where labels go: each takes the first place that is free, and what is placed is taken for the next.

use super::canvas::Anchor;
use super::canvas::Area;
use super::canvas::Letter;

/// The free room of a drawing.
pub(super) struct Room {
    bounds: Area,
    taken: Vec<Area>,
    lines: Vec<[(f64, f64); 2]>,
}

/// A label that has its place.
#[derive(Clone, Debug)]
pub(super) struct Placed {
    pub anchor: Anchor,
    pub x: f64,
    pub y: f64,
}

impl Room {
    pub fn new(left: f64, width: f64, height: f64) -> Self {
        let bounds = Area { left: left + 1.0, top: 1.0, right: width - 1.0, bottom: height - 1.0 };
        Self { bounds, taken: Vec::new(), lines: Vec::new() }
    }

    /// Nothing may be put on this area.
    pub fn take(&mut self, area: Area) {
        self.taken.push(area);
    }

    /// Nothing may be put across this line.
    pub fn avoid(&mut self, a: (f64, f64), b: (f64, f64)) {
        self.lines.push([a, b]);
    }

    pub fn free(&self, area: &Area) -> bool {
        area.within(&self.bounds)
            && !self.taken.iter().any(|other| other.meets(area))
            && !self.lines.iter().any(|[a, b]| area.grown(3.0).crossed_by(*a, *b))
    }

    /// The first candidate at which every line of the label is free; its room is then taken.
    pub fn place(
        &mut self,
        letter: Letter,
        lines: &[String],
        candidates: impl IntoIterator<Item = Placed>,
    ) -> Option<Placed> {
        let found = candidates.into_iter().find(|at| areas(letter, lines, at).all(|area| self.free(&area)))?;
        self.taken.extend(areas(letter, lines, &found).map(|area| area.grown(2.0)));
        Some(found)
    }
}

impl Area {
    /// The same with `margin` more on every side.
    pub fn grown(self, margin: f64) -> Self {
        Self {
            left: self.left - margin,
            top: self.top - margin,
            right: self.right + margin,
            bottom: self.bottom + margin,
        }
    }
}

/// From one line of a label to the next.
pub(super) fn leading(letter: Letter) -> f64 {
    letter.px + 3.0
}

fn areas<'a>(letter: Letter, lines: &'a [String], at: &'a Placed) -> impl Iterator<Item = Area> + 'a {
    lines.iter().scan(at.y, move |y, line| {
        let area = Area::of_text(letter, at.anchor, at.x, *y, line);
        *y += leading(letter);
        Some(area)
    })
}

/// A label above a point of a bar, on a leader of its own.
pub(super) struct Hung {
    /// where the leader stands
    pub x: f64,
    /// the width of the words
    pub width: f64,
}

/// Where a hung label went: the left end of its words, and on which row above the bar (0 is the lowest).
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Row {
    pub left: f64,
    pub row: i16,
}

impl Row {
    /// How far up the leader goes: past the words beside it, or to just under words that it would run through.
    pub fn leader_end(&self, label: &Hung, baseline: f64) -> f64 {
        let through = label.x > self.left - 1.0 && label.x < self.left + label.width + 1.0;
        if through { baseline + 5.0 } else { baseline - 9.0 }
    }
}

/// From a leader to its words, where they stand beside it.
const BESIDE: f64 = 4.0;

/// Hangs labels above a line so that no words touch and no leader runs through words. They are given from left to right;
/// `None` is a label for which there is no room.
pub(super) fn hang(labels: &[Hung], left: f64, right: f64) -> Vec<Option<Row>> {
    let count = |rows: &[Option<Row>]| rows.iter().flatten().count();
    let from_right = {
        let mut rows = hang_in_order(labels.iter().rev(), left, right);
        rows.reverse();
        rows
    };
    if count(&from_right) == labels.len() {
        return from_right;
    }
    let from_left = hang_in_order(labels.iter(), left, right);
    if count(&from_left) > count(&from_right) { from_left } else { from_right }
}

/// Each as low as it can: upwards first, below all the others only where nothing above will do.
fn hang_in_order<'a>(labels: impl Iterator<Item = &'a Hung>, left: f64, right: f64) -> Vec<Option<Row>> {
    let mut placed: Vec<(Option<Row>, &Hung)> = Vec::new();
    for label in labels {
        let sides = [label.x + BESIDE, label.x - BESIDE - label.width, label.x - label.width / 2.0]
            .map(|at| at.clamp(left, (right - label.width).max(left)));
        let taken = || placed.iter().filter_map(|(at, hung)| at.map(|at| (at, *hung)));
        let (lowest, highest) = taken().fold((0, 0), |(low, high), (at, _)| (at.row.min(low), at.row.max(high)));
        let best = (0..=highest + 1)
            .chain((lowest - 1..0).rev())
            .flat_map(|row| sides.map(|left| Row { left, row }))
            .find(|at| taken().all(|(other, hung)| !clash(at, label, &other, hung)))
            .filter(|_| label.width <= right - left);
        placed.push((best, label));
    }
    let lowest = placed.iter().filter_map(|(at, _)| at.map(|at| at.row)).min().unwrap_or(0);
    placed.into_iter().map(|(at, _)| at.map(|at| Row { row: at.row - lowest, ..at })).collect()
}

/// Two hung labels clash where their words meet, or where the leader of the higher one runs through the lower one's words.
fn clash(a: &Row, of_a: &Hung, b: &Row, of_b: &Hung) -> bool {
    const AIR: f64 = 8.0;
    let through = |at: &Row, hung: &Hung, x: f64| x > at.left - 1.0 && x < at.left + hung.width + 1.0;
    match a.row.cmp(&b.row) {
        std::cmp::Ordering::Equal => {
            let meet = a.left < b.left + of_b.width + AIR && b.left < a.left + of_a.width + AIR;
            meet || through(a, of_a, of_b.x) || through(b, of_b, of_a.x)
        }
        std::cmp::Ordering::Greater => through(b, of_b, of_a.x),
        std::cmp::Ordering::Less => through(a, of_a, of_b.x),
    }
}

/// Moves heights apart, keeping their order, until neighbours stand at least `gap` from one another, and inside the
/// bounds as far as they are many enough to fit. `heights` must be sorted.
pub(super) fn spread(heights: &mut [f64], gap: f64, top: f64, bottom: f64) {
    let mut least = top;
    for height in heights.iter_mut() {
        *height = height.max(least);
        least = *height + gap;
    }
    let mut most = bottom;
    for height in heights.iter_mut().rev() {
        *height = height.min(most);
        most = *height - gap;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn sorted(mut points: Vec<(f64, f64)>) -> Vec<Hung> {
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        points.into_iter().map(|(x, width)| Hung { x, width }).collect()
    }

    proptest! {
        #[test]
        fn hung_labels_never_touch(points in prop::collection::vec((0.0..800.0_f64, 20.0..900.0_f64), 0..12)) {
            let labels = sorted(points);
            let rows = hang(&labels, 0.0, 800.0);
            let placed: Vec<(&Hung, Row)> = labels.iter().zip(&rows).filter_map(|(l, at)| at.map(|at| (l, at))).collect();
            for (i, (label, at)) in placed.iter().enumerate() {
                prop_assert!(at.row >= 0 && at.left >= 0.0 && at.left + label.width <= 800.0 + 1e-9);
                for (other, of) in &placed[i + 1..] {
                    prop_assert!(!clash(at, label, of, other), "{at:?} and {of:?}");
                }
            }
        }

        #[test]
        fn labels_of_a_usual_length_are_all_hung(points in prop::collection::vec((0.0..800.0_f64, 20.0..200.0_f64), 0..4)) {
            prop_assert!(hang(&sorted(points), 0.0, 800.0).iter().all(Option::is_some));
        }

        #[test]
        fn spread_heights_keep_their_distance(heights in prop::collection::vec(0.0..300.0_f64, 0..12)) {
            let mut heights = heights;
            heights.sort_by(f64::total_cmp);
            spread(&mut heights, 15.0, 0.0, 300.0);
            for pair in heights.windows(2) {
                prop_assert!(pair[1] - pair[0] >= 15.0 - 1e-9);
            }
            prop_assert!(heights.iter().all(|h| (0.0 - 1e-9..=300.0 + 1e-9).contains(h)));
        }
    }
}
