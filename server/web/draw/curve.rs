//! People still supplied, day by day: steps, since a site is supplied or it is not.

use super::canvas::Anchor;
use super::canvas::Area;
use super::canvas::Canvas;
use super::canvas::Drawing;
use super::canvas::Letter;
use super::canvas::Path;
use super::labels::Hung;
use super::labels::Placed;
use super::labels::Room;
use super::labels::hang;
use super::plot::Days;
use super::plot::Figures;
use super::plot::Scale;
use super::plot::Ticks;
use super::plot::draw_ticks;
use super::plot::ticks_width;

/// People leave the curve on a day.
#[derive(Clone, Debug, PartialEq)]
pub struct Fall {
    /// days from now
    pub day: f64,
    /// how many go without from then on
    pub people: f64,
    /// "Birch Court, 58"; the big falls carry theirs, as far as there is room
    pub words: String,
    /// "Birch Court", for a phone
    pub short: String,
}

/// A figure of the page that stands on the curve.
#[derive(Clone, Debug, PartialEq)]
pub struct Flag {
    /// days from now
    pub day: f64,
    /// "3.2"
    pub figure: String,
    /// " first without"
    pub words: String,
    /// 8 times in 10 between these days
    pub band: Option<(f64, f64)>,
    /// a bound rather than a forecast: a dotted upright through the chart
    pub bound: bool,
}

/// The curve.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    /// "People still supplied at Basic. All 280 until day 3.2"
    pub title: String,
    /// the rest in words: the big falls
    pub description: String,
    /// how many there are
    pub people: f64,
    /// in any order
    pub falls: Vec<Fall>,
    /// the same with what is carried, if anything is agreed
    pub carried: Option<Vec<Fall>>,
    /// the day the first goes without, the day all would last pooled
    pub flags: Vec<Flag>,
}

/// The curve wide, and narrow for a phone.
#[must_use]
pub fn curve(curve: &Curve, days: &Days, figures: Figures<'_>) -> Drawing {
    Drawing::together(
        [("chart wide", 824.0, 212.0, false), ("chart narrow", 328.0, 190.0, true)]
            .map(|(class, width, height, narrow)| curve.draw(class, (width, height), narrow, days, figures)),
    )
}

impl Curve {
    fn draw(&self, class: &str, size: (f64, f64), narrow: bool, days: &Days, figures: Figures<'_>) -> Drawing {
        let ticks = Ticks::reaching(self.people, if narrow { 3 } else { 4 });
        let left = ticks_width(&ticks, figures) + 2.0;
        let across = Scale::new((0.0, days.shown()), (left, size.0 - 8.0));
        let (flags, hung) = self.hung(&across, narrow);
        let rows = hung.iter().flatten().map(|at| at.row + 1).max().unwrap_or(0);
        let top = 16.0 + f64::from(rows) * 20.0;
        let bottom = top + size.1;
        let up = Scale::new((0.0, ticks.top()), (bottom, top));
        let mut canvas = Canvas::new(size.0, bottom + 30.0);
        draw_ticks(&mut canvas, &ticks, &up, left, size.0 - 8.0, figures);
        days.draw(&mut canvas, &across, bottom, narrow);

        let steps = self.steps(&self.falls, days.shown());
        let line: Vec<(f64, f64)> = steps.iter().map(|(day, people)| (across.at(*day), up.at(*people))).collect();
        let floor = [(across.at(days.shown()), bottom), (across.at(0.0), bottom)];
        canvas.path("water3", &Path::through(line.iter().copied().chain(floor)).close());
        let mut room = Room::new(left, size.0, bottom);
        room.take(Area { left: 0.0, top: 0.0, right: size.0, bottom: top - 8.0 });
        for flag in &flags {
            if let Some((low, high)) = flag.band.filter(|(low, high)| low.is_finite() && high >= low) {
                let (a, b) = (across.at(low), across.at(high));
                canvas.rect("bandfill", a, top, (b - a).max(1.0), bottom - top);
            }
        }
        canvas.path("wline", &Path::through(line.iter().copied()));
        let dashed = self.carried.as_deref().map(|falls| self.steps(falls, days.shown())).unwrap_or_default();
        let dashed: Vec<(f64, f64)> = dashed.iter().map(|(day, people)| (across.at(*day), up.at(*people))).collect();
        if !dashed.is_empty() {
            canvas.path("dash", &Path::through(dashed.iter().copied()));
        }
        for (flag, at) in flags.iter().zip(&hung) {
            let x = across.at(flag.day);
            if flag.bound {
                canvas.line("dot", (x, top), (x, bottom));
                room.avoid((x, top), (x, bottom));
            }
            if let Some(at) = at {
                let y = top - 12.0 - f64::from(at.row) * 20.0;
                let label = Hung { x, width: Letter::FIGURE.width(&flag.figure) + Letter::PLAIN.width(&flag.words) };
                canvas.line("tick", (x, top), (x, at.leader_end(&label, y)));
                canvas.figure_and_words(Letter::PLAIN, Anchor::Start, (at.left, y), &flag.figure, &flag.words);
            }
        }
        for pair in line.windows(2).chain(dashed.windows(2)) {
            room.avoid(pair[0], pair[1]);
        }
        self.name_falls(&mut canvas, &mut room, (&across, &up), days.shown(), narrow);
        canvas.finish(class, &self.title, &self.description)
    }

    fn hung(&self, across: &Scale, narrow: bool) -> (Vec<&Flag>, Vec<Option<super::labels::Row>>) {
        let mut flags: Vec<&Flag> = self.flags.iter().filter(|flag| flag.day.is_finite() && flag.day >= 0.0).collect();
        flags.sort_by(|a, b| a.day.total_cmp(&b.day));
        let labels: Vec<Hung> = flags
            .iter()
            .map(|flag| Hung {
                x: across.at(flag.day),
                width: Letter::FIGURE.width(&flag.figure) + Letter::PLAIN.width(&flag.words),
            })
            .collect();
        let right = across.at(f64::INFINITY) + if narrow { 6.0 } else { 0.0 };
        let hung = hang(&labels, 2.0, right);
        (flags, hung)
    }

    fn falls(falls: &[Fall]) -> Vec<&Fall> {
        let real = |fall: &&Fall| fall.day.is_finite() && fall.people.is_finite() && fall.people > 0.0;
        let mut falls: Vec<&Fall> = falls.iter().filter(real).collect();
        falls.sort_by(|a, b| a.day.total_cmp(&b.day));
        falls
    }

    /// The corners of the line.
    fn steps(&self, falls: &[Fall], end: f64) -> Vec<(f64, f64)> {
        let mut people = if self.people.is_finite() { self.people.max(0.0) } else { 0.0 };
        let mut corners = vec![(0.0, people)];
        for fall in Self::falls(falls).iter().filter(|fall| fall.day <= end) {
            corners.push((fall.day.max(0.0), people));
            people = (people - fall.people).max(0.0);
            corners.push((fall.day.max(0.0), people));
        }
        corners.push((end, people));
        corners
    }

    /// The big falls by name, in the air to the right of each, the biggest first.
    fn name_falls(&self, canvas: &mut Canvas, room: &mut Room, scales: (&Scale, &Scale), end: f64, narrow: bool) {
        let (across, up) = scales;
        let mut people = self.people;
        let mut named: Vec<(&Fall, f64)> = Vec::new();
        for fall in Self::falls(&self.falls).into_iter().filter(|fall| fall.day <= end) {
            named.push((fall, people));
            people -= fall.people;
        }
        named.retain(|(fall, _)| fall.people >= self.people * if narrow { 0.12 } else { 0.05 });
        named.sort_by(|a, b| b.0.people.total_cmp(&a.0.people));
        for (fall, before) in named.into_iter().take(if narrow { 4 } else { 8 }) {
            let letter = Letter::SMALL;
            let words = letter.fit(if narrow { &fall.short } else { &fall.words }, across.at(end) * 0.42);
            let (x, high, low) = (across.at(fall.day), up.at(before), up.at(before - fall.people));
            let middle = f64::midpoint(high, low).max(high + 11.0);
            let near =
                [middle, low - 8.0, high + 11.0, high - 4.0].map(|y| Placed { anchor: Anchor::Start, x: x + 7.0, y });
            let far = [14.0, 28.0, 42.0, 60.0, 80.0, 110.0].into_iter().flat_map(|along| {
                [middle, high + 10.0, high - 6.0].map(|y| Placed {
                    anchor: Anchor::Start,
                    x: x + 7.0 + along,
                    y: y - along * 0.2,
                })
            });
            if let Some(at) = room.place(letter, std::slice::from_ref(&words), near.into_iter().chain(far)) {
                if at.x - x > 8.0 {
                    canvas.line("tick", (x + 2.0, f64::midpoint(high, low).min(low - 2.0)), (at.x - 3.0, at.y - 4.0));
                }
                canvas.text(letter, at.anchor, at.x, at.y, &words);
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

    fn sample(falls: &[(f64, f64)], people: f64, name: &str) -> Curve {
        let flag = |day: f64, bound| Flag {
            day,
            figure: format!("{day:.1}"),
            words: " first without".to_owned(),
            band: Some((day * 0.9, day * 1.1)),
            bound,
        };
        let fall = |(day, people): &(f64, f64)| Fall {
            day: *day,
            people: *people,
            words: format!("{name}, {people}"),
            short: name.to_owned(),
        };
        Curve {
            title: "People still supplied".to_owned(),
            description: String::new(),
            people,
            falls: falls.iter().map(fall).collect(),
            carried: Some(falls.iter().map(fall).map(|fall| Fall { day: fall.day * 1.3, ..fall }).collect()),
            flags: vec![flag(3.2, false), flag(8.4, true)],
        }
    }

    fn days(length: f64) -> Days {
        let name = |day, words: &str| DayName { day, words: words.to_owned(), short: words.to_owned() };
        Days { length, names: vec![name(0.0, "now"), name(7.0, "day 7, Wednesday 11"), name(14.0, "day 14")] }
    }

    #[test]
    fn names_and_odd_figures_hold() {
        for name in NAMES {
            check(&curve(
                &sample(&[(3.2, 58.0), (5.2, 20.0), (8.3, 72.0), (10.7, 84.0)], 280.0, name),
                &days(16.0),
                &figures,
            ));
        }
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1.0, 0.0, 1e12] {
            check(&curve(&sample(&[(bad, 1.0), (1.0, bad)], 280.0, "x"), &days(16.0), &figures));
            check(&curve(&sample(&[(1.0, 1.0)], bad, "x"), &days(16.0), &figures));
            check(&curve(&sample(&[(1.0, 1.0)], 2.0, "x"), &days(bad), &figures));
        }
        check(&curve(&sample(&[], 0.0, "x"), &days(16.0), &figures));
    }

    #[test]
    fn big_falls_carry_their_names() {
        let falls = [(3.2, 58.0), (5.2, 20.0), (8.3, 72.0), (10.7, 84.0), (14.8, 2.0)];
        let texts = check(&curve(&sample(&falls, 280.0, "Site"), &days(16.0), &figures));
        for words in ["Site, 58", "Site, 72", "Site, 84", "Site, 20"] {
            assert!(texts.iter().any(|text| text.words == words), "{words}: {texts:?}");
        }
        assert!(!texts.iter().any(|text| text.words == "Site, 2"));
    }

    #[test]
    fn the_line_steps_down_and_ends_where_the_people_do() {
        let curve = sample(&[(8.0, 30.0), (2.0, 50.0)], 100.0, "x");
        let steps = curve.steps(&curve.falls, 10.0);
        assert_eq!(steps, [(0.0, 100.0), (2.0, 100.0), (2.0, 50.0), (8.0, 50.0), (8.0, 20.0), (10.0, 20.0)]);
    }

    proptest! {
        #[test]
        fn labels_never_touch(falls in prop::collection::vec((0.0..20.0_f64, 1.0..90.0_f64), 0..20), name in "[A-Za-z ]{1,40}") {
            let people = falls.iter().map(|fall| fall.1).sum();
            check(&curve(&sample(&falls, people, &name), &days(16.0), &figures));
        }
    }
}
