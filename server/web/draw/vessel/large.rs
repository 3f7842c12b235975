//! One vessel on a page of its own: a rule of depth on the left, the names of its levels on the right, litres where they
//! are.

use super::Body;
use super::Tank;
use super::Vessel;
use super::body::Detail;
use super::body::Furniture;
use super::body::Place;
use super::body::paint;
use super::body::paint_unknown;
use super::containers::Stack;
use super::shape::Shape;
use crate::web::draw::canvas::Anchor;
use crate::web::draw::canvas::Area;
use crate::web::draw::canvas::Canvas;
use crate::web::draw::canvas::Drawing;
use crate::web::draw::canvas::Letter;
use crate::web::draw::canvas::Path;
use crate::web::draw::labels::Placed;
use crate::web::draw::labels::Room;
use crate::web::draw::labels::spread;
use crate::web::draw::plot::Figures;
use crate::web::draw::plot::Ticks;

/// What depth is read off in.
#[derive(Clone, Debug, PartialEq)]
pub struct Rule {
    /// one of them in metres: 1 for metres, 0.3048 for feet
    pub unit_m: f64,
    /// "m", "ft"
    pub name: String,
}

/// A level with a name: "full", "now", "kitchen tap".
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// metres above the vessel's floor
    pub at_m: f64,
    /// its name
    pub words: String,
}

/// Where the water stood before an entry.
#[derive(Clone, Debug, PartialEq)]
pub struct Before {
    /// metres above the vessel's floor
    pub level_m: f64,
    /// "before"
    pub words: String,
}

/// The words of a large drawing, in the reader's language.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Words {
    /// the levels named on the right
    pub marks: Vec<Mark>,
    /// in the air above the water: "room for 2,143 L"
    pub room: String,
    /// in the water above the heel: "2,489 L above the tap"
    pub held: String,
    /// under the floor: "1.80 m across"
    pub across: String,
    /// in place of the water, where nobody has read it: "not read yet"
    pub unread: String,
    /// the level before an entry, where one has just been made
    pub before: Option<Before>,
}

/// The vessel large, to true proportion; wide, and narrow for a phone.
#[must_use]
pub fn large(vessel: &Vessel, words: &Words, rule: &Rule, figures: Figures<'_>) -> Drawing {
    Drawing::together([("chart wide", 400.0, 315.0), ("chart narrow", 328.0, 250.0)].map(|(class, width, tallest)| {
        let sheet = Sheet { class, width, tallest };
        match &vessel.body {
            Body::Tank(tank) => match Shape::of(&tank.outline) {
                Some(shape) => sheet.tank(vessel, tank, &shape, words, rule, figures),
                None => sheet.unknown(vessel, words),
            },
            Body::Set(set) => {
                let mut px_per_m = 180.0;
                let mut stack = Stack::of(set, px_per_m, Detail::Page);
                while (stack.size().0 > width - 12.0 || stack.size().1 > tallest) && px_per_m > 8.0 {
                    px_per_m *= 0.9;
                    stack = Stack::of(set, px_per_m, Detail::Page);
                }
                sheet.set(vessel, &stack, words)
            }
        }
    }))
}

struct Sheet {
    class: &'static str,
    width: f64,
    tallest: f64,
}

impl Sheet {
    fn tank(
        &self,
        vessel: &Vessel,
        tank: &Tank,
        shape: &Shape,
        words: &Words,
        rule: &Rule,
        figures: Figures<'_>,
    ) -> Drawing {
        let mut marks: Vec<(f64, &str)> = words.marks.iter().map(|mark| (mark.at_m, mark.words.as_str())).collect();
        marks.extend(words.before.iter().map(|before| (before.level_m, before.words.as_str())));
        marks.retain(|(at, words)| at.is_finite() && *at <= shape.height * (1.0 + 1e-9) && !words.is_empty());
        let longest = marks.iter().map(|(_, words)| Letter::STRONG.width(words)).fold(0.0, f64::max);
        let right = (longest + 24.0).clamp(14.0, self.width * 0.34);
        let left = rule_width(rule, shape.height, figures) + 24.0;

        let around = Furniture::of(tank.form, 0.0, 0.0).beside * 4.0;
        let room = self.width - left - right - 2.0 * around;
        let scale = (room / shape.width).min(self.tallest / shape.height);
        let (width, height) = (shape.width * scale, shape.height * scale);
        let around = Furniture::of(tank.form, width, height);
        // a rule needs its name above it
        let above = around.above.max(22.0) + 4.0;
        // and the names beside a flat vessel need their height
        let above = marks.iter().fold(14.0 - height, |high, _| high + 16.0).max(above);
        let floor = above + height + around.below;
        let across = Letter::SOFT.wrap(&words.across, self.width - 12.0);

        let mut canvas = Canvas::new(self.width, 0.0);
        let body = left + around.beside;
        let place = Place { left: body, floor, across: scale, up: scale, detail: Detail::Page };
        paint(&mut canvas, tank, shape, place);
        let bottom = floor - around.below;
        draw_rule(&mut canvas, rule, left - 14.0, bottom, shape.height, scale, figures);
        canvas.line("wall", (left - 14.0, floor), ((body + width + around.beside + 40.0).min(self.width), floor));

        let at = |metres: f64| bottom - metres.clamp(0.0, shape.height) * scale;
        if let Some(before) = words.before.as_ref().filter(|before| before.level_m.is_finite())
            && let Some((from, to)) = shape.span(before.level_m)
        {
            let y = at(before.level_m);
            let under =
                tank.grade == super::Grade::Drink && tank.water.is_some_and(|water| water.level_m > before.level_m);
            canvas.line(if under { "oldline ow" } else { "oldline" }, (body + from * scale, y), (body + to * scale, y));
        }
        name_levels(&mut canvas, shape, place, bottom, marks, right);

        let mut below: Vec<String> = Vec::new();
        let mut inside = Room::new(0.0, self.width, floor);
        words.before.iter().filter(|before| before.level_m.is_finite()).for_each(|before| {
            inside.avoid((0.0, at(before.level_m)), (self.width, at(before.level_m)));
        });
        let level = tank.water.map_or(0.0, |water| water.level_m);
        let mut write = |letter: Letter, text: &str, low: f64, high: f64, veil: bool| {
            if text.is_empty() {
                return;
            }
            match between(shape, place, bottom, (letter, text), (low, high), &mut inside) {
                Some((x, y)) => {
                    if veil {
                        let area = Area::of_text(letter, Anchor::Middle, x, y, text).grown(4.0);
                        let (w, h) = (area.right - area.left, area.bottom - area.top);
                        canvas.rect("veil", area.left, area.top, w, h);
                    }
                    canvas.text(letter, Anchor::Middle, x, y, text);
                }
                None => below.extend(Letter::SOFT.wrap(text, self.width - 12.0)),
            }
        };
        if let Some(water) = tank.water {
            let plain = tank.grade == super::Grade::Drink;
            let letter = if plain { Letter::ON_WATER } else { Letter::PLAIN };
            write(Letter::PLAIN_SOFT, &words.room, water.high_m.max(level), tank.full_m.min(shape.height), false);
            write(letter, &words.held, tank.heel_m.max(0.0), water.low_m.min(level), !plain);
        } else {
            write(Letter::PLAIN_SOFT, &words.unread, 0.0, shape.height, false);
        }
        let middle = body + width / 2.0;
        let mut y = floor + 20.0;
        for line in across.iter().chain(&below) {
            let half = Letter::SOFT.width(line) / 2.0;
            let x = middle.clamp((half + 4.0).min(self.width / 2.0), (self.width - half - 4.0).max(self.width / 2.0));
            canvas.text(Letter::SOFT, Anchor::Middle, x, y, line);
            y += 16.0;
        }
        canvas.set_height(y - 8.0);
        canvas.finish(self.class, &vessel.title, &described(words))
    }

    fn set(&self, vessel: &Vessel, stack: &Stack, words: &Words) -> Drawing {
        let (width, height) = stack.size();
        let floor = height + 4.0;
        let mut canvas = Canvas::new(self.width, 0.0);
        stack.paint(&mut canvas, 6.0, floor);
        canvas.line("wall", (0.0, floor), ((width + 12.0).min(self.width), floor));
        self.below(&mut canvas, floor, [&words.held, &words.room, &words.across]);
        canvas.finish(self.class, &vessel.title, &described(words))
    }

    fn unknown(&self, vessel: &Vessel, words: &Words) -> Drawing {
        let mut canvas = Canvas::new(self.width, 0.0);
        let floor = 164.0;
        let place = Place { left: 6.0, floor, across: 1.0, up: 1.0, detail: Detail::Page };
        paint_unknown(&mut canvas, place, 160.0, 156.0);
        canvas.line("wall", (0.0, floor), (180.0, floor));
        self.below(&mut canvas, floor, [&words.unread, &words.held, &words.across]);
        canvas.finish(self.class, &vessel.title, &described(words))
    }

    fn below(&self, canvas: &mut Canvas, floor: f64, texts: [&String; 3]) {
        let mut y = floor + 20.0;
        for line in texts.into_iter().flat_map(|text| Letter::SOFT.wrap(text, self.width - 12.0)) {
            canvas.text(Letter::SOFT, Anchor::Start, 4.0, y, &line);
            y += 16.0;
        }
        canvas.set_height(y - 8.0);
    }
}

/// What the eye reads off, for those who do not see it.
fn described(words: &Words) -> String {
    let texts = [&words.held, &words.room, &words.across, &words.unread];
    texts.into_iter().filter(|text| !text.is_empty()).cloned().collect::<Vec<_>>().join("; ")
}

/// The names of levels on the right, moved apart where they would touch, each joined to its level.
fn name_levels(canvas: &mut Canvas, shape: &Shape, place: Place, bottom: f64, mut marks: Vec<(f64, &str)>, room: f64) {
    marks.sort_by(|a, b| b.0.total_cmp(&a.0));
    let level = |metres: f64| bottom - metres.clamp(0.0, shape.height) * place.up;
    let mut heights: Vec<f64> = marks.iter().map(|(at, _)| level(*at)).collect();
    spread(&mut heights, 16.0, 10.0, bottom - 10.0);
    let edge = place.left + shape.width * place.across;
    for ((at, words), y) in marks.iter().zip(heights) {
        let wall = shape.span(*at).map_or(edge, |(_, right)| place.left + right * place.across);
        let leader = Path::through([(wall, level(*at)), (edge + 3.0, level(*at)), (edge + 9.0, y), (edge + 12.0, y)]);
        canvas.path("thin", &leader);
        canvas.text(Letter::STRONG, Anchor::Start, edge + 16.0, y + 4.0, &Letter::STRONG.fit(words, room - 20.0));
    }
}

/// A place for words in the middle between two levels, where the vessel is wide enough there and nothing else stands.
fn between(
    shape: &Shape,
    place: Place,
    bottom: f64,
    text: (Letter, &str),
    levels: (f64, f64),
    room: &mut Room,
) -> Option<(f64, f64)> {
    let (letter, words) = text;
    let (low, high) = (levels.0.clamp(0.0, shape.height), levels.1.clamp(0.0, shape.height));
    let middle = bottom - f64::midpoint(low, high) * place.up + letter.px * 0.35;
    let candidates = [0.0, -18.0, 18.0, -36.0, 36.0].into_iter().filter_map(|shift| {
        let y = middle + shift;
        let (over, under) = ((bottom - y + letter.px) / place.up, (bottom - y - letter.px * 0.5) / place.up);
        if over > high || under < low {
            return None;
        }
        let (a, b) = (shape.span(over)?, shape.span(under)?);
        let (left, right) = (a.0.max(b.0) * place.across, a.1.min(b.1) * place.across);
        (right - left >= letter.width(words) + 10.0).then(|| Placed {
            anchor: Anchor::Middle,
            x: place.left + f64::midpoint(left, right),
            y,
        })
    });
    room.place(letter, &[words.to_owned()], candidates).map(|at| (at.x, at.y))
}

fn rule_ticks(rule: &Rule, height_m: f64) -> (f64, Ticks) {
    let unit = if rule.unit_m.is_finite() && rule.unit_m > 0.0 { rule.unit_m } else { 1.0 };
    (unit, Ticks::reaching(height_m / unit, 6))
}

fn rule_width(rule: &Rule, height_m: f64, figures: Figures<'_>) -> f64 {
    let (_, ticks) = rule_ticks(rule, height_m);
    ticks.values().map(|value| Letter::SOFT.width(&figures(value, ticks.decimals))).fold(0.0, f64::max) + 12.0
}

/// The rule: a line as high as the vessel, round figures, five small divisions between.
pub(super) fn draw_rule(
    canvas: &mut Canvas,
    rule: &Rule,
    x: f64,
    floor: f64,
    height_m: f64,
    px_per_m: f64,
    figures: Figures<'_>,
) {
    let (unit, ticks) = rule_ticks(rule, height_m);
    let most = height_m / unit;
    let y = |value: f64| floor - value * unit * px_per_m;
    let top = y(most);
    canvas.line("tick", (x, floor), (x, top));
    let mut last = f64::INFINITY;
    for value in ticks.values().filter(|value| *value <= most * (1.0 + 1e-9)) {
        canvas.line("tick", (x, y(value)), (x - 9.0, y(value)));
        // a rule a few pixels high has no room for every figure
        if last - y(value) >= 15.0 {
            canvas.text(Letter::SOFT, Anchor::End, x - 13.0, y(value) + 4.0, &figures(value, ticks.decimals));
            last = y(value);
        }
        for part in 1..5 {
            let value = value + ticks.step * f64::from(part) / 5.0;
            if value <= most && ticks.step * unit * px_per_m / 5.0 >= 3.0 {
                canvas.line("tick", (x, y(value)), (x - 4.0, y(value)));
            }
        }
    }
    canvas.text(Letter::SOFT, Anchor::Middle, x, top - 9.0, &rule.name);
}
