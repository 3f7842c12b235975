//! Vessels side by side on one floor: small in a list, where every site is drawn to one scale; larger on a site's own
//! page, each with its name and litres above it.

use super::Body;
use super::Rule;
use super::Vessel;
use super::body::Detail;
use super::body::Furniture;
use super::body::Place;
use super::body::paint;
use super::body::paint_break;
use super::body::paint_unknown;
use super::containers::Stack;
use super::large::draw_rule;
use super::shape::Shape;
use crate::web::draw::canvas::Anchor;
use crate::web::draw::canvas::Canvas;
use crate::web::draw::canvas::Drawing;
use crate::web::draw::canvas::Letter;
use crate::web::draw::plot::Figures;

/// The one scale of a list.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit {
    px_per_m: f64,
    widest: f64,
}

impl Fit {
    /// The largest scale at which every row of vessels fits the room, between bounds within which a can is still a can.
    /// A tank too long even so is drawn shortened, with a break through it.
    #[must_use]
    pub fn to<'a>(rows: impl IntoIterator<Item = &'a [Vessel]>, width: f64, height: f64) -> Self {
        let mut px_per_m = 30.0_f64;
        for row in rows {
            let across: f64 = row.iter().map(|vessel| metres(vessel).0).sum();
            let up = row.iter().map(|vessel| metres(vessel).1).fold(0.0, f64::max);
            let mut gaps = 4.0;
            for _ in 1..row.len() {
                gaps += BETWEEN;
            }
            px_per_m = px_per_m.min((width - gaps).max(40.0) / across.max(0.01)).min((height - 12.0) / up.max(0.01));
        }
        Self { px_per_m: px_per_m.max(18.0), widest: width }
    }
}

/// Between neighbours.
const BETWEEN: f64 = 5.0;

/// A vessel's size in metres, as far as it has one.
fn metres(vessel: &Vessel) -> (f64, f64) {
    match &vessel.body {
        Body::Tank(tank) => Shape::of(&tank.outline).map_or((1.0, 1.0), |shape| (shape.width, shape.height)),
        Body::Set(set) => {
            let (width, height) = Stack::of(set, 100.0, Detail::List).size();
            (width / 100.0, height / 100.0)
        }
    }
}

/// A vessel measured out: what it takes on the sheet, and how it is then painted.
struct Ready<'a> {
    vessel: &'a Vessel,
    shape: Option<Shape>,
    stack: Option<Stack>,
    around: Furniture,
    across: f64,
    up: f64,
    width: f64,
    height: f64,
    shortened: bool,
}

impl<'a> Ready<'a> {
    fn at(vessel: &'a Vessel, px_per_m: f64, widest: f64, tallest: f64, detail: Detail) -> Self {
        let (shape, stack) = match &vessel.body {
            Body::Tank(tank) => (Shape::of(&tank.outline), None),
            Body::Set(set) => (None, Some(Stack::of(set, px_per_m, detail))),
        };
        let (mut across, mut up) = (px_per_m, px_per_m);
        if let Some(shape) = &shape {
            // never thinner than a line is thick, never wider than the room
            across = across.clamp(5.0 / shape.width, (widest / shape.width).max(5.0 / shape.width));
            up = up.clamp(4.0 / shape.height, (tallest / shape.height).max(4.0 / shape.height));
        }
        let (width, height) = match (&shape, &stack) {
            (Some(shape), _) => (shape.width * across, shape.height * up),
            (None, Some(stack)) => stack.size(),
            (None, None) => (px_per_m.clamp(14.0, 120.0), px_per_m.clamp(14.0, 120.0)),
        };
        let around = match (&vessel.body, &shape) {
            (Body::Tank(tank), Some(_)) => Furniture::of(tank.form, width, height),
            _ => Furniture::default(),
        };
        let shortened = across < px_per_m * 0.99 || up < px_per_m * 0.99;
        Self { vessel, shape, stack, around, across, up, width, height, shortened }
    }

    fn full_width(&self) -> f64 {
        self.width + 2.0 * self.around.beside
    }

    fn full_height(&self) -> f64 {
        self.height + self.around.above + self.around.below
    }

    fn paint(&self, canvas: &mut Canvas, left: f64, floor: f64, detail: Detail) {
        let left = left + self.around.beside;
        let place = Place { left, floor, across: self.across, up: self.up, detail };
        match (&self.vessel.body, &self.shape, &self.stack) {
            (Body::Tank(tank), Some(shape), _) => {
                paint(canvas, tank, shape, place);
                if self.shortened {
                    let bottom = floor - self.around.below;
                    paint_break(canvas, left + self.width * 0.62, bottom - self.height - 1.0, bottom + 1.0);
                }
            }
            (_, _, Some(stack)) => stack.paint(canvas, left, floor),
            _ => paint_unknown(canvas, place, self.width, self.height),
        }
    }
}

/// The vessels of one site, small, at the scale of the list. `title` says what is drawn.
#[must_use]
pub fn small(vessels: &[Vessel], fit: &Fit, title: &str) -> Drawing {
    let ready: Vec<Ready<'_>> =
        vessels.iter().map(|vessel| Ready::at(vessel, fit.px_per_m, fit.widest - 8.0, 240.0, Detail::List)).collect();
    in_a_row(&ready, Detail::List, title)
}

/// One vessel by itself in the room given, without words: beside a heading that has them.
#[must_use]
pub fn alone(vessel: &Vessel, width: f64, height: f64) -> Drawing {
    let (across, up) = metres(vessel);
    let scale = ((width - 10.0) / across.max(1e-4)).min((height * 0.84 - 8.0) / up.max(1e-4)).clamp(1e-4, 1e6);
    in_a_row(&[Ready::at(vessel, scale, width, height, Detail::Page)], Detail::Page, &vessel.title)
}

fn in_a_row(ready: &[Ready<'_>], detail: Detail, title: &str) -> Drawing {
    let margin = 3.0;
    let mut width = 2.0 * margin;
    for (number, one) in ready.iter().enumerate() {
        width += one.full_width() + if number > 0 { BETWEEN } else { 0.0 };
    }
    let height = ready.iter().map(Ready::full_height).fold(0.0, f64::max);
    let floor = height + 2.0;
    let mut canvas = Canvas::new(width, floor + 2.0);
    let mut left = margin;
    for one in ready {
        one.paint(&mut canvas, left, floor, detail);
        left += one.full_width() + BETWEEN;
    }
    canvas.line(detail.wall(), (0.0, floor), (width, floor));
    let described: Vec<&str> = ready.iter().map(|one| one.vessel.title.as_str()).collect();
    let described = described.join("; ");
    canvas.finish("", title, if described == title { "" } else { &described })
}

/// A vessel on its site's page.
#[derive(Clone, Debug, PartialEq)]
pub struct Standing {
    /// the vessel
    pub vessel: Vessel,
    /// "West"
    pub name: String,
    /// "4,687 L"
    pub litres: String,
    /// what else stands above it, a line each: "drinking water counted", "dipped 2 March, 1.842 m"
    pub lines: Vec<String>,
}

/// A site's vessels to one scale, each with its words above it; wide, and narrow for a phone.
#[must_use]
pub fn row(standing: &[Standing], rule: &Rule, title: &str, figures: Figures<'_>) -> Drawing {
    if standing.is_empty() {
        return Drawing::default();
    }
    let wide = Sheet { class: "chart wide", width: 824.0, tallest: 216.0, column: 168.0, gap: 30.0, rule: true };
    let narrow = Sheet { class: "chart narrow", width: 328.0, tallest: 120.0, column: 150.0, gap: 16.0, rule: false };
    Drawing::together([wide, narrow].map(|sheet| sheet.draw(standing, rule, title, figures)))
}

struct Sheet {
    class: &'static str,
    width: f64,
    tallest: f64,
    column: f64,
    gap: f64,
    rule: bool,
}

impl Sheet {
    fn draw(&self, standing: &[Standing], rule: &Rule, title: &str, figures: Figures<'_>) -> Drawing {
        let left = if self.rule { 52.0 } else { 3.0 };
        let room = self.width - left - 6.0;
        let up = standing.iter().map(|one| metres(&one.vessel).1).fold(1e-4, f64::max);
        let across = standing.iter().map(|one| metres(&one.vessel).0).fold(1e-4, f64::max);
        let px_per_m = (self.tallest / up).min(room / across);
        let ready: Vec<Ready<'_>> = standing
            .iter()
            .map(|one| Ready::at(&one.vessel, px_per_m, room - 8.0, self.tallest, Detail::Page))
            .collect();
        let lines = self.flow(&ready, room);
        let heights: Vec<(f64, f64)> = lines.iter().map(|line| self.heights(line, standing, &ready, room)).collect();
        let height: f64 = heights.iter().map(|(words, bodies)| words + bodies + 34.0).sum();
        let mut canvas = Canvas::new(self.width, height);
        let mut top = 0.0;
        for (line, (words, bodies)) in lines.iter().zip(heights) {
            let floor = top + words + bodies + 14.0;
            let mut x = left;
            for number in line.clone() {
                let width = self.column(&ready[number], room);
                self.label(&mut canvas, &standing[number], x, top + 20.0, width);
                ready[number].paint(&mut canvas, x, floor, Detail::Page);
                x += width + self.gap;
            }
            if self.rule {
                let tallest = line.clone().map(|number| ready[number].height).fold(0.0, f64::max);
                draw_rule(&mut canvas, rule, 38.0, floor, tallest / px_per_m, px_per_m, figures);
            }
            canvas.line("wall", (if self.rule { 38.0 } else { 0.0 }, floor), (x - self.gap + 6.0, floor));
            top = floor + 20.0;
        }
        let described: Vec<&str> = standing.iter().map(|one| one.vessel.title.as_str()).collect();
        canvas.finish(self.class, title, &described.join("; "))
    }

    fn column(&self, ready: &Ready<'_>, room: f64) -> f64 {
        ready.full_width().max(self.column).min(room)
    }

    /// Which vessels share a floor line.
    fn flow(&self, ready: &[Ready<'_>], room: f64) -> Vec<std::ops::Range<usize>> {
        let mut lines = Vec::new();
        let (mut start, mut used) = (0, 0.0);
        for (number, one) in ready.iter().enumerate() {
            let width = self.column(one, room);
            if number > start && used + width > room {
                lines.push(start..number);
                (start, used) = (number, 0.0);
            }
            used += width + self.gap;
        }
        lines.push(start..ready.len());
        lines
    }

    fn heights(
        &self,
        line: &std::ops::Range<usize>,
        standing: &[Standing],
        ready: &[Ready<'_>],
        room: f64,
    ) -> (f64, f64) {
        let words =
            line.clone().map(|n| self.words_height(&standing[n], self.column(&ready[n], room))).fold(0.0, f64::max);
        let bodies = line.clone().map(|n| ready[n].full_height()).fold(0.0, f64::max);
        (words, bodies)
    }

    /// Whether name and litres stand on one line.
    fn on_one_line(&self, one: &Standing, width: f64) -> bool {
        self.rule && Letter::NAME.width(&one.name) + Letter::LITRES.width(&one.litres) + 10.0 <= width
    }

    fn words_height(&self, one: &Standing, width: f64) -> f64 {
        let mut height = if self.on_one_line(one, width) { 28.0 } else { 50.0 };
        for _ in &one.lines {
            height += 16.0;
        }
        height
    }

    fn label(&self, canvas: &mut Canvas, one: &Standing, x: f64, top: f64, width: f64) {
        let mut y = top;
        if self.on_one_line(one, width) {
            canvas.text(Letter::NAME, Anchor::Start, x, y, &one.name);
            canvas.text(Letter::LITRES, Anchor::End, x + width, y, &one.litres);
        } else {
            canvas.text(Letter::NAME, Anchor::Start, x, y, &Letter::NAME.fit(&one.name, width));
            y += 22.0;
            canvas.text(Letter::LITRES, Anchor::Start, x, y, &Letter::LITRES.fit(&one.litres, width));
        }
        for (number, line) in one.lines.iter().enumerate() {
            let letter = match (number, self.rule) {
                (0, true) => Letter::PLAIN,
                (0, false) => Letter::SMALL,
                _ => Letter::SOFT,
            };
            y += 16.0;
            canvas.text(letter, Anchor::Start, x, y, &letter.fit(line, width));
        }
    }
}
