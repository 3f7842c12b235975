//! How long a site is served, and how: at the tap, carried by hand, drinking only, dry. Small in a list, large on the
//! site's page with the day and the cause of every fall.

use super::canvas::Anchor;
use super::canvas::Area;
use super::canvas::Canvas;
use super::canvas::Drawing;
use super::canvas::Letter;
use super::labels::Hung;
use super::labels::Row;
use super::labels::hang;
use super::plot::Days;
use super::plot::Scale;

/// A level of service that gives water.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Served {
    /// it runs from the tap
    Tap,
    /// it is carried by hand
    Hand,
    /// enough to drink and no more
    Drinking,
}

impl Served {
    const fn class(self) -> &'static str {
        match self {
            Self::Tap => "seg-tap",
            Self::Hand => "seg-hand",
            Self::Drinking => "seg-drink",
        }
    }
}

/// A stretch of one level; it begins where the one before it ended.
#[derive(Clone, Debug, PartialEq)]
pub struct Stretch {
    /// the level
    pub served: Served,
    /// the day on which it ends
    pub until: f64,
    /// "carried by hand"; written in the bar where there is room, left to the key where not
    pub words: String,
}

/// A day on which something ends.
#[derive(Clone, Debug, PartialEq)]
pub struct Break {
    /// days from now
    pub day: f64,
    /// "day 1.9"
    pub figure: String,
    /// ", propane spent: carried by hand"
    pub cause: String,
    /// " propane spent", for a phone
    pub short: String,
}

/// The timeline of a site.
#[derive(Clone, Debug, PartialEq)]
pub struct Service {
    /// "Alder Reach Hall: at the tap to day 1.9, by hand to day 8.3, dry on day 10.8"
    pub title: String,
    /// stretches in order
    pub stretches: Vec<Stretch>,
    /// the days on which something ends, in order
    pub breaks: Vec<Break>,
    /// 8 times in 10 the ration ends between these days
    pub band: Option<(f64, f64)>,
}

impl Service {
    /// The stretches that have a length, cut at `end`: level, from, to, words.
    fn drawn(&self, end: f64) -> impl Iterator<Item = (Served, f64, f64, &str)> {
        self.stretches
            .iter()
            .scan(0.0_f64, move |from, stretch| {
                let until = if stretch.until.is_nan() { *from } else { stretch.until.clamp(*from, end.max(*from)) };
                let piece = (stretch.served, *from, until, stretch.words.as_str());
                *from = until;
                Some(piece)
            })
            .filter(|(_, from, until, _)| until > from)
    }

    fn bar(&self, canvas: &mut Canvas, scale: &Scale, end: f64, top: f64, height: f64) {
        let mut right = scale.at(0.0);
        for (served, from, until, _) in self.drawn(end) {
            right = scale.at(until);
            canvas.rect(served.class(), scale.at(from), top, right - scale.at(from), height);
            if from > 0.0 {
                canvas.line("thin", (scale.at(from), top - 3.0), (scale.at(from), top + height + 3.0));
            }
        }
        let left = scale.at(0.0);
        // what goes on past the edge is left open there
        let goes_on = self.stretches.iter().any(|stretch| stretch.until > end);
        canvas.line("thin", (left, top), (right, top));
        canvas.line("thin", (left, top + height), (right, top + height));
        canvas.line("thin", (left, top), (left, top + height));
        if !goes_on {
            canvas.line("thin", (right, top), (right, top + height));
        }
    }

    fn whisker(&self, canvas: &mut Canvas, scale: &Scale, y: f64) {
        let Some((low, high)) = self.band.filter(|(low, high)| low.is_finite() && high >= low) else { return };
        let (a, b) = (scale.at(low), scale.at(high));
        canvas.line("thin", (a, y), (b, y));
        for x in [a, b] {
            canvas.line("thin", (x, y - 2.5), (x, y + 2.5));
        }
    }
}

/// The bar for a list, `horizon` days long; hairlines at 7 and 14 days. On a phone it is stretched to the width there is.
#[must_use]
pub fn small(service: &Service, horizon: f64) -> Drawing {
    let horizon = sane(horizon);
    let mut canvas = Canvas::new(224.0, 30.0);
    let scale = Scale::new((0.0, horizon), (1.0, 223.0));
    for week in [7.0, 14.0] {
        if week < horizon {
            canvas.line("hair", (scale.at(week), 0.0), (scale.at(week), 30.0));
        }
    }
    service.bar(&mut canvas, &scale, horizon, 8.0, 13.0);
    service.whisker(&mut canvas, &scale, 26.5);
    canvas.finish("stretch", &service.title, "")
}

/// The head of the column of small bars: now, 7, 14.
#[must_use]
pub fn small_head(horizon: f64, now: &str, title: &str) -> Drawing {
    let horizon = sane(horizon);
    let mut canvas = Canvas::new(224.0, 16.0);
    let scale = Scale::new((0.0, horizon), (1.0, 223.0));
    canvas.text(Letter::SOFT, Anchor::Start, 1.0, 12.0, &Letter::SOFT.fit(now, 70.0));
    let mut free = 1.0 + Letter::SOFT.width(now).min(70.0) + 4.0;
    for (week, words) in [(7.0, "7"), (14.0, "14")] {
        let half = Letter::SOFT.width(words) / 2.0;
        if week < horizon && scale.at(week) - half > free && scale.at(week) + half < 223.0 {
            canvas.text(Letter::SOFT, Anchor::Middle, scale.at(week), 12.0, words);
            free = scale.at(week) + half + 4.0;
        }
    }
    canvas.finish("", title, "")
}

fn sane(horizon: f64) -> f64 {
    if horizon.is_finite() { horizon.clamp(1.0, 36_500.0) } else { 15.0 }
}

/// The bar of a site's own page: every fall with its day and its cause; wide, and narrow for a phone.
#[must_use]
pub fn large(service: &Service, days: &Days) -> Drawing {
    Drawing::together([("chart wide", 824.0, false), ("chart narrow", 328.0, true)].map(|(class, width, narrow)| {
        let scale = Scale::new((0.0, days.shown()), (4.0, width - 8.0));
        let shown: Vec<&Break> = service.breaks.iter().filter(|one| (0.0..=days.shown()).contains(&one.day)).collect();
        let hung = hung(&shown, &scale, narrow);
        let rows = hung.iter().filter_map(|(_, at)| at.map(|at| at.row)).max().map_or(0, |row| row + 1);
        let top = f64::from(rows) * 20.0 + 12.0;
        let mut canvas = Canvas::new(width, top + 34.0 + 46.0);
        service.bar(&mut canvas, &scale, days.shown(), top, 34.0);
        for (one, (words, at)) in shown.iter().zip(&hung) {
            let x = scale.at(one.day);
            let Some(at) = at else {
                canvas.line("thin", (x, top - 6.0), (x, top));
                continue;
            };
            let y = top - 10.0 - f64::from(at.row) * 20.0;
            let label = Hung { x, width: Letter::FIGURE.width(&one.figure) + Letter::PLAIN.width(words) };
            canvas.line("thin", (x, top), (x, at.leader_end(&label, y)));
            canvas.figure_and_words(Letter::PLAIN, Anchor::Start, (at.left, y), &one.figure, words);
        }
        for (served, from, until, words) in service.drawn(days.shown()) {
            let (a, b) = (scale.at(from), scale.at(until));
            let letter = match served {
                Served::Tap => Letter::ON_WATER,
                Served::Hand => Letter::ON_PALE,
                Served::Drinking => Letter::PLAIN,
            };
            if letter.width(words) + 18.0 <= b - a {
                let (x, y) = (a + 10.0, top + 22.0);
                if served == Served::Drinking {
                    let area = Area::of_text(letter, Anchor::Start, x, y, words).grown(4.0);
                    canvas.rect("veil", area.left, area.top, area.right - area.left, area.bottom - area.top);
                }
                canvas.text(letter, Anchor::Start, x, y, words);
            }
        }
        service.whisker(&mut canvas, &scale, top + 40.0);
        let axis = top + 48.0;
        canvas.line("tick", (scale.at(0.0), axis), (scale.at(days.shown()), axis));
        days.draw(&mut canvas, &scale, axis, narrow);
        canvas.set_height(axis + 30.0);
        let causes: Vec<String> = service.breaks.iter().map(|one| format!("{}{}", one.figure, one.cause)).collect();
        canvas.finish(class, &service.title, &causes.join("; "))
    }))
}

/// Words and place of every break: the full words where all of them find room, else the short ones, else what fits.
fn hung(breaks: &[&Break], scale: &Scale, narrow: bool) -> Vec<(String, Option<Row>)> {
    let room = scale.at(f64::INFINITY) - scale.at(0.0);
    let most = room * if narrow { 0.62 } else { 0.45 };
    let attempt = |short: bool| {
        let words: Vec<String> = breaks
            .iter()
            .map(|one| {
                let words = if short { &one.short } else { &one.cause };
                Letter::PLAIN.fit(words, most - Letter::FIGURE.width(&one.figure))
            })
            .collect();
        let labels: Vec<Hung> = breaks
            .iter()
            .zip(&words)
            .map(|(one, words)| Hung {
                x: scale.at(one.day),
                width: Letter::FIGURE.width(&one.figure) + Letter::PLAIN.width(words),
            })
            .collect();
        words.into_iter().zip(hang(&labels, 2.0, scale.at(f64::INFINITY) + 4.0)).collect::<Vec<_>>()
    };
    let full = attempt(narrow);
    if narrow || full.iter().all(|(_, at)| at.is_some()) { full } else { attempt(true) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::web::draw::plot::DayName;
    use crate::web::draw::probe::NAMES;
    use crate::web::draw::probe::check;
    use proptest::prelude::*;

    fn service(days: &[f64], cause: &str) -> Service {
        let levels = [Served::Tap, Served::Hand, Served::Drinking];
        Service {
            title: "Alder Reach Hall: at the tap to day 1.9".to_owned(),
            stretches: days
                .iter()
                .zip(levels)
                .map(|(day, served)| Stretch { served, until: *day, words: "carried by hand".to_owned() })
                .collect(),
            breaks: days
                .iter()
                .map(|day| Break {
                    day: *day,
                    figure: format!("day {day:.1}"),
                    cause: format!(", {cause}"),
                    short: format!(" {}", cause.split(':').next().unwrap_or_default()),
                })
                .collect(),
            band: days.last().map(|day| (day * 0.9, day * 1.1)),
        }
    }

    fn days(length: f64) -> Days {
        let name = |day, words: &str| DayName { day, words: words.to_owned(), short: words.to_owned() };
        Days { length, names: vec![name(0.0, "now"), name(7.0, "day 7, Wednesday 11"), name(14.0, "day 14")] }
    }

    #[test]
    fn names_and_odd_days_hold() {
        for cause in NAMES {
            for set in [&[1.9, 8.3, 10.8][..], &[0.0, 0.0, 0.0], &[3.0, 3.0, 3.0], &[1e12], &[], &[13.9, 13.95, 14.0]] {
                check(&large(&service(set, cause), &days(14.0)));
                check(&small(&service(set, cause), 15.0));
            }
        }
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1.0, 0.0] {
            check(&large(&service(&[bad, 3.0, bad], "water"), &days(bad)));
            check(&small(&service(&[bad, bad], "water"), bad));
            check(&small_head(bad, "now", "days"));
        }
    }

    #[test]
    fn every_cause_of_the_worked_example_is_written() {
        let texts = check(&large(&service(&[1.9, 8.3, 10.8], "propane spent: carried by hand"), &days(14.0)));
        for figure in ["day 1.9", "day 8.3", "day 10.8"] {
            assert_eq!(texts.iter().filter(|text| text.words.starts_with(figure)).count(), 2, "{texts:?}");
        }
    }

    proptest! {
        #[test]
        fn labels_never_touch(mut at in prop::collection::vec(0.0..20.0_f64, 0..6), cause in "[a-z ]{0,60}") {
            at.sort_by(f64::total_cmp);
            check(&large(&service(&at, &cause), &days(14.0)));
        }
    }
}
