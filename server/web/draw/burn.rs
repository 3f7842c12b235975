//! Litres left in an outage: as measured so far, how it goes on, and the plan.

use super::canvas::Anchor;
use super::canvas::Area;
use super::canvas::Canvas;
use super::canvas::Drawing;
use super::canvas::Letter;
use super::canvas::Path;
use super::labels::Placed;
use super::labels::Room;
use super::plot::Days;
use super::plot::Figures;
use super::plot::Scale;
use super::plot::Ticks;
use super::plot::draw_ticks;
use super::plot::ticks_width;

/// The chart: days since it began, amounts in the reader's unit of volume.
#[derive(Clone, Debug, PartialEq)]
pub struct Burn {
    /// "Litres left against plan: 30,830 now, plan 30,433"
    pub title: String,
    /// the rest in words
    pub description: String,
    /// what was left: day and amount, in order
    pub measured: Vec<(f64, f64)>,
    /// the days' ends among them
    pub points: Vec<(f64, f64)>,
    /// "30,830 L left"
    pub left: String,
    /// "now", or "the end"
    pub now: String,
    /// the plan: how much it began with, and on which day nothing is left of it
    pub plan: (f64, f64),
    /// "plan: 30,433 L"
    pub planned: String,
    /// if every site lives on its own: day and amount, from now on
    pub placed: Vec<(f64, f64)>,
    /// the day all water pooled is spent, and between which days 8 times in 10
    pub pooled: Option<(f64, Option<(f64, f64)>)>,
    /// a day that somebody named, and its words
    pub expected: Option<(f64, String)>,
}

/// The chart wide, and narrow for a phone.
#[must_use]
pub fn burn(burn: &Burn, days: &Days, figures: Figures<'_>) -> Drawing {
    Drawing::together(
        [("chart wide", 824.0, 232.0, false), ("chart narrow", 328.0, 200.0, true)]
            .map(|(class, width, height, narrow)| burn.draw(class, (width, height), narrow, days, figures)),
    )
}

impl Burn {
    fn draw(&self, class: &str, size: (f64, f64), narrow: bool, days: &Days, figures: Figures<'_>) -> Drawing {
        let finite = |points: &[(f64, f64)]| -> Vec<(f64, f64)> {
            points.iter().copied().filter(|(day, amount)| day.is_finite() && amount.is_finite()).collect()
        };
        let (measured, placed) = (finite(&self.measured), finite(&self.placed));
        let all = measured.iter().chain(&placed).map(|(_, amount)| *amount);
        let plan = Some(self.plan).filter(|(amount, day)| amount.is_finite() && *day > 0.0 && day.is_finite());
        let most = all.chain(plan.map(|(amount, _)| amount)).fold(0.0, f64::max);
        let ticks = Ticks::reaching(most, if narrow { 4 } else { 5 });
        let left = ticks_width(&ticks, figures) + 2.0;
        let (top, bottom) = (34.0, 34.0 + size.1);
        let across = Scale::new((0.0, days.shown()), (left, size.0 - 12.0));
        let up = Scale::new((0.0, ticks.top()), (bottom, top));
        let at = |(day, amount): (f64, f64)| (across.at(day), up.at(amount));
        let mut canvas = Canvas::new(size.0, bottom + 30.0);
        draw_ticks(&mut canvas, &ticks, &up, left, size.0 - 12.0, figures);
        days.draw(&mut canvas, &across, bottom, narrow);
        let mut room = Room::new(left, size.0, bottom - 2.0);

        let last = measured.last().copied();
        let line: Vec<(f64, f64)> = measured.iter().copied().map(at).collect();
        if let (Some(first), Some(last)) = (line.first(), line.last()) {
            let floor = [(last.0, bottom), (first.0, bottom)];
            canvas.path("water3", &Path::through(line.iter().copied().chain(floor)).close());
        }
        let pooled = self.pooled.filter(|(day, _)| day.is_finite());
        if let (Some(last), Some((_, Some((low, high))))) = (last, pooled)
            && low.is_finite()
            && high >= low
        {
            let cone = [at(last), at((low, 0.0)), at((high, 0.0))];
            canvas.path("bandfill", &Path::through(cone).close());
        }
        canvas.path("wline", &Path::through(line.iter().copied()));
        let mut lines: Vec<Vec<(f64, f64)>> = vec![line];
        if let Some((amount, day)) = plan {
            let shown = day.min(days.shown());
            let end = (shown, amount * (1.0 - shown / day));
            let line = vec![at((0.0, amount)), at(end)];
            canvas.path("oldline", &Path::through(line.iter().copied()));
            lines.push(line);
        }
        if let (Some(last), Some((day, _))) = (last, pooled) {
            let line = vec![at(last), at((day.max(last.0), 0.0))];
            canvas.path("dot", &Path::through(line.iter().copied()));
            lines.push(line);
        }
        let placed: Vec<(f64, f64)> = placed.into_iter().filter(|(day, _)| *day <= days.shown()).map(at).collect();
        canvas.path("wdash", &Path::through(placed.iter().copied()));
        lines.push(placed);
        for pair in lines.iter().flat_map(|line| line.windows(2)) {
            room.avoid(pair[0], pair[1]);
        }
        for point in finite(&self.points) {
            canvas.circle("pt", at(point), 4.0);
        }
        if let Some(last) = last {
            self.write_now(&mut canvas, &mut room, at(last), (top, bottom));
        }
        if let Some((day, words)) = self.expected.as_ref().filter(|(day, _)| (0.0..=days.shown()).contains(day)) {
            let x = across.at(*day);
            canvas.line("dot", (x, top), (x, bottom));
            room.avoid((x, top), (x, bottom));
            let words = [Letter::SMALL.fit(words, size.0 * 0.5)];
            let sides = [(Anchor::Middle, 0.0), (Anchor::Start, 6.0), (Anchor::End, -6.0)];
            let places = [22.0, top + 14.0, top + 30.0]
                .into_iter()
                .flat_map(|y| sides.map(|(anchor, shift)| Placed { anchor, x: x + shift, y }));
            if let Some(at) = room.place(Letter::SMALL, &words, places) {
                canvas.text(Letter::SMALL, at.anchor, at.x, at.y, &words[0]);
            }
        }
        canvas.finish(class, &self.title, &self.description)
    }

    /// Now, what is left, and what the plan would have left.
    fn write_now(&self, canvas: &mut Canvas, room: &mut Room, point: (f64, f64), (top, bottom): (f64, f64)) {
        let (x, y) = point;
        canvas.line("tick", (x, top), (x, bottom));
        canvas.circle("pt", point, 5.0);
        room.take(Area { left: x - 6.0, top: y - 6.0, right: x + 6.0, bottom: y + 6.0 });
        let now = std::slice::from_ref(&self.now);
        let above = [(Anchor::Middle, 0.0), (Anchor::Start, 4.0), (Anchor::End, -4.0)].map(|(anchor, shift)| Placed {
            anchor,
            x: x + shift,
            y: top - 8.0,
        });
        if let Some(at) = room.place(Letter::STRONG, now, above) {
            canvas.text(Letter::STRONG, at.anchor, at.x, at.y, &self.now);
        }
        room.avoid((x, top), (x, bottom));
        for (letter, words) in [(Letter::STRONG, &self.left), (Letter::SOFT, &self.planned)] {
            let heights = [-14.0, -28.0, 22.0, 38.0, 54.0, -44.0, 70.0, 90.0, -62.0];
            let places = heights.into_iter().flat_map(|down| {
                [(Anchor::Start, 10.0), (Anchor::End, -10.0), (Anchor::Start, 34.0)].map(|(anchor, shift)| Placed {
                    anchor,
                    x: x + shift,
                    y: y + down,
                })
            });
            if let Some(at) = room.place(letter, std::slice::from_ref(words), places) {
                canvas.text(letter, at.anchor, at.x, at.y, words);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::web::draw::plot::DayName;
    use crate::web::draw::probe::NAMES;
    use crate::web::draw::probe::check;
    use crate::web::draw::probe::figures;
    use proptest::prelude::*;

    fn sample(measured: &[(f64, f64)], name: &str) -> Burn {
        let last = measured.last().copied().unwrap_or_default();
        Burn {
            title: "Litres left".to_owned(),
            description: String::new(),
            measured: measured.to_vec(),
            points: measured.to_vec(),
            left: "30,830 L left".to_owned(),
            now: "now".to_owned(),
            plan: (measured.first().map_or(0.0, |first| first.1), 14.0),
            planned: "plan: 30,433 L".to_owned(),
            placed: vec![last, (last.0 + 6.0, last.1 / 3.0), (last.0 + 12.0, last.1 / 4.0)],
            pooled: Some((last.0 + 7.0, Some((last.0 + 6.0, last.0 + 8.0)))),
            expected: Some((6.0, name.to_owned())),
        }
    }

    fn days(length: f64) -> Days {
        let name = |day, words: &str| DayName { day, words: words.to_owned(), short: words.to_owned() };
        Days { length, names: (0..=14).map(|n| name(f64::from(n), &format!("Wed {n}"))).collect() }
    }

    #[test]
    fn names_and_odd_figures_hold() {
        for name in NAMES {
            check(&burn(&sample(&[(0.0, 39_000.0), (1.0, 35_000.0), (2.0, 30_830.0)], name), &days(14.0), &figures));
        }
        for bad in [f64::NAN, f64::INFINITY, -1.0, 0.0, 1e12] {
            check(&burn(&sample(&[(0.0, bad), (bad, 1.0)], "mains back"), &days(14.0), &figures));
            check(&burn(&sample(&[(0.0, 1.0)], "mains back"), &days(bad), &figures));
        }
        check(&burn(&sample(&[], "x"), &days(14.0), &figures));
    }

    #[test]
    fn what_is_left_and_what_was_planned_are_written() {
        let texts = check(&burn(&sample(&[(0.0, 39_464.0), (2.0, 30_830.0)], "mains back"), &days(14.0), &figures));
        for words in ["30,830 L left", "plan: 30,433 L", "now", "mains back"] {
            assert!(texts.iter().any(|text| text.words == words), "{words}: {texts:?}");
        }
    }

    proptest! {
        #[test]
        fn labels_never_touch(amounts in prop::collection::vec(0.0..50_000.0_f64, 1..12), name in "[A-Za-z ]{1,40}") {
            let mut day = 0.0;
            let measured: Vec<(f64, f64)> = amounts.into_iter().map(|amount| { day += 0.7; (day - 0.7, amount) }).collect();
            check(&burn(&sample(&measured, &name), &days(14.0), &figures));
        }
    }
}
