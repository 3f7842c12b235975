//! A set of containers, one beside and above another, so that they can be counted.

use super::Grade;
use super::Lot;
use super::Set;
use super::body::Detail;
use crate::web::draw::canvas::Anchor;
use crate::web::draw::canvas::Canvas;
use crate::web::draw::canvas::Letter;
use crate::web::draw::canvas::Path;

/// How a set is stacked at a scale.
pub(super) struct Stack {
    each: (f64, f64),
    rows: u32,
    columns: u32,
    units: Vec<Unit>,
    drums: bool,
    /// how many containers one that is drawn stands for
    standing_for: u32,
}

#[derive(Clone, Copy)]
struct Unit {
    fill: f64,
    grade: Grade,
}

const BETWEEN: f64 = 1.0;
/// Taller ones are drums: drawn with hoops, and not stacked.
const DRUM_M: f64 = 0.7;
/// Nobody stacks full cans higher than the shoulder.
const STACK_M: f64 = 1.3;

impl Stack {
    pub fn of(set: &Set, px_per_m: f64, detail: Detail) -> Self {
        let size = |metres: f64, usual: f64| if metres.is_finite() && metres > 0.0 { metres.min(5.0) } else { usual };
        let (width, height) = (size(set.width_m, 0.28), size(set.height_m, 0.4));
        let most = if detail == Detail::Page { 240 } else { 60 };
        let total: u64 =
            set.lots.iter().map(|lot| u64::from(lot.full) + u64::from(lot.part) + u64::from(lot.empty)).sum();
        let standing_for = grouping(total, most);
        let units: Vec<Unit> = set.lots.iter().flat_map(|lot| units(lot, standing_for)).collect();
        let count = u32::try_from(units.len()).unwrap_or(u32::MAX).max(1);
        let highest = (1..6_u32).take_while(|n| f64::from(*n) * height <= STACK_M).last().unwrap_or(1);
        let square = (1..=highest).take_while(|n| n * n <= count).last().unwrap_or(1);
        let rows = if count > 40 { highest } else { square };
        Self {
            each: ((width * px_per_m).max(3.0), (height * px_per_m).max(4.0)),
            rows,
            columns: count.div_ceil(rows),
            units,
            drums: height >= DRUM_M,
            standing_for,
        }
    }

    fn tally(&self) -> Option<String> {
        (self.standing_for > 1).then(|| format!("× {}", self.standing_for))
    }

    pub fn size(&self) -> (f64, f64) {
        let tally = self.tally().map_or(0.0, |words| Letter::SMALL.width(&words) + 5.0);
        (
            f64::from(self.columns) * (self.each.0 + BETWEEN) - BETWEEN + tally,
            (f64::from(self.rows) * (self.each.1 + BETWEEN) - BETWEEN).max(if tally > 0.0 { 14.0 } else { 0.0 }),
        )
    }

    pub fn paint(&self, canvas: &mut Canvas, left: f64, floor: f64) {
        let mut walls = Path::default();
        let places = (0..self.columns).flat_map(|column| (0..self.rows).map(move |row| (column, row)));
        for (unit, (column, row)) in self.units.iter().zip(places) {
            let x = left + f64::from(column) * (self.each.0 + BETWEEN);
            let y = floor - f64::from(row) * (self.each.1 + BETWEEN);
            walls = walls.then(&self.one(canvas, *unit, x, y));
        }
        canvas.path("wall-s", &walls);
        if let Some(words) = self.tally() {
            let (width, _) = self.size();
            canvas.text(Letter::SMALL, Anchor::End, left + width, floor - 3.0, &words);
        }
    }

    /// Paints what one holds; its walls are drawn with all the others in one line.
    fn one(&self, canvas: &mut Canvas, unit: Unit, x: f64, floor: f64) -> Path {
        let (width, height) = self.each;
        let (shoulder, neck) = if self.drums { (height, 0.0) } else { (height * 0.86, width * 0.46) };
        canvas.rect("inside", x, floor - shoulder, width, shoulder);
        let water = shoulder * 0.94 * unit.fill;
        if water > 0.0 {
            canvas.rect(unit.grade.class(), x, floor - water, width, water);
        }
        if self.drums {
            let hoops = [0.34, 0.67].map(|part| {
                let y = floor - height * part;
                Path::through([(x - 0.5, y), (x + width + 0.5, y)])
            });
            let body =
                Path::through([(x, floor), (x, floor - height), (x + width, floor - height), (x + width, floor)])
                    .close();
            body.then(&hoops[0]).then(&hoops[1])
        } else {
            Path::through([
                (x, floor),
                (x, floor - shoulder),
                (x + width - neck, floor - shoulder),
                (x + width - neck, floor - height),
                (x + width, floor - height),
                (x + width, floor),
            ])
            .close()
        }
    }
}

/// 1, 2, 5, 10, 20 ... so that no more than `most` are drawn.
fn grouping(total: u64, most: u64) -> u32 {
    let mut group = 1_u32;
    let mut times = [2_u32, 5].into_iter();
    let mut decade = 1_u32;
    while total.div_ceil(u64::from(group)) > most {
        group = match times.next() {
            Some(n) => decade * n,
            None => {
                decade = decade.saturating_mul(10);
                times = [2, 5].into_iter();
                decade
            }
        };
        if decade >= 1_000_000_000 {
            break;
        }
    }
    group
}

/// What is drawn of a lot: full ones first, then begun, then empty; none that exists is left out.
fn units(lot: &Lot, standing_for: u32) -> impl Iterator<Item = Unit> {
    let grade = lot.grade;
    [(lot.full, 1.0), (lot.part, 0.5), (lot.empty, 0.0)]
        .into_iter()
        .flat_map(move |(count, fill)| (0..count.div_ceil(standing_for)).map(move |_| Unit { fill, grade }))
}
