//! A vessel on its label: no water in it, for paper cannot know; a rule of depth inside its left wall, the litres at
//! round depths, its full mark and its outlet.

use super::Body;
use super::Vessel;
use super::Water;
use super::body::Detail;
use super::body::Furniture;
use super::body::Place;
use super::body::paint;
use super::shape::Shape;
use crate::web::draw::canvas::Anchor;
use crate::web::draw::canvas::Area;
use crate::web::draw::canvas::Canvas;
use crate::web::draw::canvas::Drawing;
use crate::web::draw::canvas::Letter;
use crate::web::draw::canvas::Path;

const LETTER: Letter = Letter::ON_LABEL;
const WIDTH: f64 = 262.0;
/// Where the words stand before the wall.
const WITH_WORDS: f64 = 332.0;
/// With what stands on it and under it.
const TALLEST: f64 = 196.0;
/// Nearer than this, words would touch.
const APART: f64 = 18.0;

/// What stands at a depth.
#[derive(Clone, Debug, PartialEq)]
pub struct Depth {
    /// metres above the floor
    pub at_m: f64,
    /// "50 cm: 1,272 L"; on the right "full"
    pub words: String,
}

/// The depths of a label.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Depths {
    /// inside, or on the left of what is too narrow
    pub round: Vec<Depth>,
    /// on the right
    pub named: Vec<Depth>,
    /// metres between two ticks of the rule; none draws no rule
    pub tick_m: Option<f64>,
}

/// The drawing of a label; none for what nobody knows the look of, and for sets of containers.
#[must_use]
pub fn label(vessel: &Vessel, depths: &Depths) -> Option<Drawing> {
    let Body::Tank(tank) = &vessel.body else { return None };
    let shape = Shape::of(&tank.outline)?;
    let longest = |depths: &[Depth]| depths.iter().map(|one| LETTER.width(&one.words)).fold(0.0, f64::max);
    let (inside, right) = (longest(&depths.round) + 20.0, longest(&depths.named) + 16.0);
    let beside = Furniture::of(tank.form, 60.0, 60.0).beside;
    let fits = |room: f64| {
        let scale = (room / shape.width).min(TALLEST / shape.height);
        let around = Furniture::of(tank.form, shape.width * scale, shape.height * scale);
        scale.min((TALLEST - around.above - around.below - 9.0) / shape.height)
    };
    let alone = fits(WIDTH - right - 4.0 - 2.0 * beside);
    // Where the words do not stand within the walls at every depth, they stand before them.
    let narrow = |scale: f64| {
        depths.round.iter().any(|one| {
            let (left, right) = shape.span(one.at_m).unwrap_or_default();
            (right - left) * scale < inside
        })
    };
    let outside = narrow(alone);
    let left = if outside { inside - 12.0 } else { 2.0 } + beside;
    let scale = if outside { fits(WITH_WORDS - left - right - beside).max(8.0 / shape.width) } else { alone };
    let (width, height) = (shape.width * scale, shape.height * scale);
    let around = Furniture::of(tank.form, width, height);
    let floor = around.above + 6.0 + height + around.below;
    let bottom = floor - around.below;

    let mut canvas = Canvas::new(left + width + right + beside, 0.0);
    let place = Place { left, floor, across: scale, up: scale, detail: Detail::Page };
    let empty = super::Tank { water: Some(Water { level_m: 0.0, low_m: 0.0, high_m: 0.0 }), ..tank.clone() };
    paint(&mut canvas, &empty, &shape, place);
    if tank.heel_m > 0.0 {
        let points = shape.between(0.0, tank.heel_m);
        let at = |point: &(f64, f64)| (left + point.0 * scale, bottom - point.1 * scale);
        let heel = Path::through(points.iter().map(at)).close();
        canvas.path("p-heel", &heel);
        canvas.path("wall", &heel);
    }
    canvas.line("wall", (left - beside - 2.0, floor), (left + width + beside + 8.0, floor));
    let y = |at_m: f64| bottom - at_m.clamp(0.0, shape.height) * scale;
    let wall = |at_m: f64| shape.span(at_m).unwrap_or((0.0, shape.width));
    if let Some(tick) = depths.tick_m.filter(|tick| *tick > 0.0 && shape.height / tick < 400.0 && tick * scale >= 2.0) {
        let mut at = tick;
        while at < shape.height {
            let x = left + wall(at).0 * scale;
            canvas.line("thin", (x, y(at)), (x + 7.0, y(at)));
            at += tick;
        }
    }
    let mut last = f64::INFINITY;
    for one in &depths.round {
        if last - y(one.at_m) < APART || y(one.at_m) < around.above + 12.0 {
            continue;
        }
        last = y(one.at_m);
        let (from, to) = wall(one.at_m);
        canvas.line("wall", (left + from * scale, last), (left + from * scale + 12.0, last));
        if outside {
            canvas.text(LETTER, Anchor::End, left - 6.0, last + 5.0, &one.words);
        } else {
            let middle = left + (from + to) / 2.0 * scale + 6.0;
            let behind = Area::of_text(LETTER, Anchor::Middle, middle, last + 5.0, &one.words);
            canvas.rect("veil", behind.left, behind.top, behind.right - behind.left, behind.bottom - behind.top);
            canvas.text(LETTER, Anchor::Middle, middle, last + 5.0, &one.words);
        }
    }
    let mut low = f64::INFINITY;
    for one in &depths.named {
        let at = (y(one.at_m) + 5.0).min(low - APART);
        low = at;
        canvas.text(LETTER, Anchor::Start, left + width + beside + 8.0, at, &one.words);
    }
    canvas.set_height(floor + 3.0);
    let words: Vec<&str> = depths.round.iter().chain(&depths.named).map(|one| one.words.as_str()).collect();
    Some(canvas.finish("onlabel", &vessel.title, &words.join("; ")))
}
