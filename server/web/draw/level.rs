//! The level of a vessel over time: what is believed, the band that widens until somebody reads it, and what happened.

use super::canvas::Anchor;
use super::canvas::Area;
use super::canvas::Canvas;
use super::canvas::Drawing;
use super::canvas::Letter;
use super::canvas::Path;
use super::labels::Placed;
use super::labels::Room;
use super::labels::leading;
use super::plot::Days;
use super::plot::Figures;
use super::plot::Scale;
use super::plot::Ticks;
use super::plot::draw_ticks;
use super::plot::ticks_width;

/// What is believed at a moment, in the reader's unit of volume.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Believed {
    /// days from the start of the chart
    pub day: f64,
    /// the estimate
    pub amount: f64,
    /// 8 times in 10 no less
    pub low: f64,
    /// 8 times in 10 no more
    pub high: f64,
}

/// Something that happened, or is going on.
#[derive(Clone, Debug, PartialEq)]
pub struct Note {
    /// where it points to
    pub day: f64,
    /// where it points to
    pub amount: f64,
    /// "14 February: 1,914 L drawn for the pump test"
    pub words: String,
    /// for a phone
    pub short: String,
    /// something that needs a person
    pub strong: bool,
}

/// The chart.
#[derive(Clone, Debug, PartialEq)]
pub struct Level {
    /// "Level of East over sixty days, litres"
    pub title: String,
    /// the rest in words
    pub description: String,
    /// in order of time; a jump is two with the same day
    pub believed: Vec<Believed>,
    /// readings: day and amount
    pub readings: Vec<(f64, f64)>,
    /// the amount called full, and its words: "full, 4,988"
    pub full: Option<(f64, String)>,
    /// the most important first: each is written if it finds room
    pub notes: Vec<Note>,
}

/// The level wide, and narrow for a phone.
#[must_use]
pub fn level(level: &Level, days: &Days, figures: Figures<'_>) -> Drawing {
    Drawing::together(
        [("chart wide", 824.0, 208.0, false), ("chart narrow", 328.0, 180.0, true)]
            .map(|(class, width, height, narrow)| level.draw(class, (width, height), narrow, days, figures)),
    )
}

impl Level {
    fn draw(&self, class: &str, size: (f64, f64), narrow: bool, days: &Days, figures: Figures<'_>) -> Drawing {
        let finite = |one: &&Believed| [one.day, one.amount, one.low, one.high].iter().all(|n| n.is_finite());
        let believed: Vec<&Believed> = self.believed.iter().filter(finite).collect();
        let full = self.full.as_ref().filter(|(amount, _)| amount.is_finite() && *amount > 0.0);
        let most = believed.iter().map(|one| one.high).chain(full.map(|(amount, _)| *amount)).fold(0.0, f64::max);
        let ticks = Ticks::reaching(most, 6);
        let left = ticks_width(&ticks, figures) + 2.0;
        let (top, bottom) = (26.0, 26.0 + size.1);
        let across = Scale::new((0.0, days.shown()), (left, size.0 - 10.0));
        let up = Scale::new((0.0, ticks.top()), (bottom, top));
        let at = |day: f64, amount: f64| (across.at(day), up.at(amount));

        let mut canvas = Canvas::new(size.0, bottom + 30.0);
        draw_ticks(&mut canvas, &ticks, &up, left, size.0 - 10.0, figures);
        days.draw(&mut canvas, &across, bottom, narrow);
        let upper = believed.iter().map(|one| at(one.day, one.high));
        let lower = believed.iter().rev().map(|one| at(one.day, one.low));
        canvas.path("water2", &Path::through(upper.chain(lower)).close());
        let line: Vec<(f64, f64)> = believed.iter().map(|one| at(one.day, one.amount)).collect();
        canvas.path("wline", &Path::through(line.iter().copied()));

        let mut room = Room::new(left, size.0, bottom - 2.0);
        for pair in line.windows(2) {
            room.avoid(pair[0], pair[1]);
        }
        for pair in believed.windows(2) {
            room.avoid(at(pair[0].day, pair[0].high), at(pair[1].day, pair[1].high));
            room.avoid(at(pair[0].day, pair[0].low), at(pair[1].day, pair[1].low));
        }
        for (day, amount) in self.readings.iter().filter(|(day, amount)| day.is_finite() && amount.is_finite()) {
            let (x, y) = at(*day, *amount);
            canvas.circle("pt", (x, y), 4.0);
            room.take(Area { left: x - 5.0, top: y - 5.0, right: x + 5.0, bottom: y + 5.0 });
        }
        if let Some((amount, words)) = full {
            let y = up.at(*amount);
            canvas.line("dot", (left, y), (size.0 - 10.0, y));
            room.avoid((left, y), (size.0, y));
            let words = [Letter::SMALL.fit(words, size.0 * 0.5)];
            let places = [(left + 8.0, y - 7.0), (left + 8.0, y + 15.0), (size.0 * 0.4, y - 7.0)];
            let places = places.map(|(x, y)| Placed { anchor: Anchor::Start, x, y });
            if let Some(at) = room.place(Letter::SMALL, &words, places) {
                canvas.text(Letter::SMALL, at.anchor, at.x, at.y, &words[0]);
            }
        }
        for note in self.notes.iter().filter(|note| note.day.is_finite() && note.amount.is_finite()) {
            write_note(&mut canvas, &mut room, note, at(note.day, note.amount), narrow);
        }
        canvas.finish(class, &self.title, &self.description)
    }
}

/// A note goes beside what it speaks of, right or left of it, a little or a lot above or below.
fn write_note(canvas: &mut Canvas, room: &mut Room, note: &Note, point: (f64, f64), narrow: bool) {
    let letter = if note.strong { Letter::SMALL_STRONG } else { Letter::SMALL };
    let words = if narrow { &note.short } else { &note.words };
    let lines = letter.wrap(words, if narrow { 140.0 } else { 230.0 });
    let (x, y) = point;
    let down = lines.iter().skip(1).fold(0.0, |high, _| high + leading(letter));
    let shifts = [24.0, 40.0, 58.0, 80.0, 110.0, 140.0];
    let heights = [4.0].into_iter().chain(shifts.into_iter().flat_map(|shift| [shift, -shift - down + 8.0]));
    let candidates = heights.flat_map(|shift| {
        [
            (Anchor::Start, 10.0),
            (Anchor::End, -10.0),
            (Anchor::Middle, 0.0),
            (Anchor::Start, 40.0),
            (Anchor::End, -40.0),
        ]
        .map(|(anchor, along)| Placed { anchor, x: x + along, y: y + shift })
    });
    if let Some(at) = room.place(letter, &lines, candidates) {
        for (number, line) in lines.iter().enumerate() {
            let y = lines.iter().take(number).fold(at.y, |y, _| y + leading(letter));
            canvas.text(letter, at.anchor, at.x, y, line);
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

    fn sample(points: &[(f64, f64)], words: &str) -> Level {
        let note = |(day, amount): &(f64, f64)| Note {
            day: *day,
            amount: *amount,
            words: format!("{words}: 1,914 L drawn for the pump test"),
            short: words.to_owned(),
            strong: *day > 30.0,
        };
        Level {
            title: "Level of East over sixty days, litres".to_owned(),
            description: String::new(),
            believed: points
                .iter()
                .map(|(day, amount)| Believed { day: *day, amount: *amount, low: amount * 0.98, high: amount * 1.02 })
                .collect(),
            readings: points.to_vec(),
            full: Some((4988.0, "full, 4,988".to_owned())),
            notes: points.iter().map(note).collect(),
        }
    }

    fn days(length: f64) -> Days {
        let name = |day, words: &str| DayName { day, words: words.to_owned(), short: words.to_owned() };
        Days { length, names: vec![name(0.0, "3 Jan"), name(30.0, "2 Feb"), name(60.0, "today")] }
    }

    const USUAL: [(f64, f64); 5] = [(0.0, 4950.0), (14.0, 4940.0), (14.0, 356.0), (42.0, 3070.0), (60.0, 2845.0)];

    #[test]
    fn names_and_odd_figures_hold() {
        for name in NAMES {
            check(&level(&sample(&USUAL, name), &days(60.0), &figures));
        }
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1.0, 0.0, 1e12] {
            check(&level(&sample(&[(bad, 1.0), (1.0, bad), (bad, bad)], "x"), &days(60.0), &figures));
            check(&level(&Level { full: Some((bad, "full".to_owned())), ..sample(&USUAL, "x") }, &days(bad), &figures));
        }
        check(&level(&Level { full: None, ..sample(&[], "x") }, &days(60.0), &figures));
    }

    #[test]
    fn a_note_with_room_is_written() {
        let mut chart = sample(&USUAL, "14 February");
        chart.notes.truncate(1);
        let texts = check(&level(&chart, &days(60.0), &figures));
        assert!(texts.iter().any(|text| text.words.starts_with("14 February")), "{texts:?}");
    }

    proptest! {
        #[test]
        fn labels_never_touch(points in prop::collection::vec((0.0..60.0_f64, 0.0..5000.0_f64), 0..14), words in "[a-z ]{0,60}") {
            let mut points = points;
            points.sort_by(|a, b| a.0.total_cmp(&b.0));
            check(&level(&sample(&points, &words), &days(60.0), &figures));
        }
    }
}
