//! One tank painted at a scale on a floor line, with its furniture.

use super::Form;
use super::Tank;
use super::Water;
use super::shape::Shape;
use crate::web::draw::canvas::Canvas;
use crate::web::draw::canvas::Path;

/// How much is shown: a list has room for the outline, a page of its own for everything.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Detail {
    List,
    Page,
}

impl Detail {
    pub const fn wall(self) -> &'static str {
        match self {
            Self::List => "wall-s",
            Self::Page => "wall",
        }
    }
}

/// Where a tank stands and how large a metre is. The two scales differ only where a tank is too long for its list and is
/// drawn shortened, with a break through it.
#[derive(Clone, Copy)]
pub(super) struct Place {
    pub left: f64,
    pub floor: f64,
    pub across: f64,
    pub up: f64,
    pub detail: Detail,
}

impl Place {
    fn at(&self, point: (f64, f64)) -> (f64, f64) {
        (self.left + point.0 * self.across, self.floor - point.1 * self.up)
    }

    fn polygon(&self, points: &[(f64, f64)]) -> Path {
        Path::through(points.iter().map(|p| self.at(*p))).close()
    }
}

/// The size of the furniture round a body, in pixels.
#[derive(Clone, Copy, Default)]
pub(super) struct Furniture {
    pub above: f64,
    pub below: f64,
    pub beside: f64,
}

impl Furniture {
    pub fn of(form: Form, width: f64, height: f64) -> Self {
        let small = width.min(height);
        match form {
            Form::Upright => Self { above: roof(width) + hatch(width).1, ..Self::default() },
            Form::Lying => Self { above: 1.5 + small * 0.04, below: (small * 0.16).clamp(4.0, 26.0), beside: 0.0 },
            Form::Box => Self { above: 1.5, below: 0.0, beside: 3.0 },
            Form::Tote => Self { above: 1.5 + small * 0.06, below: pallet(height), beside: 0.0 },
            Form::Heater => Self { above: jacket(small) + 5.0, below: jacket(small), beside: jacket(small) },
            Form::Plain => Self::default(),
        }
    }
}

fn roof(width: f64) -> f64 {
    (width * 0.09).clamp(1.5, 22.0)
}

fn hatch(width: f64) -> (f64, f64) {
    (width * 0.24, (width * 0.035).clamp(1.0, 9.0))
}

fn pallet(height: f64) -> f64 {
    (height * 0.14).clamp(3.5, 24.0)
}

fn jacket(small: f64) -> f64 {
    (small * 0.07).clamp(1.5, 9.0)
}

/// Paints the tank; `place.floor` is the floor it stands on, so that a tank on cradles begins above it.
pub(super) fn paint(canvas: &mut Canvas, tank: &Tank, shape: &Shape, place: Place) {
    let (width, height) = (shape.width * place.across, shape.height * place.up);
    let around = Furniture::of(tank.form, width, height);
    let place = Place { floor: place.floor - around.below, ..place };
    canvas.path("inside", &place.polygon(&shape.points));
    if let Some(water) = tank.water {
        fill(canvas, tank, shape, place, water);
    }
    if tank.form == Form::Tote {
        for part in [0.25, 0.5, 0.75] {
            let x = place.left + width * part;
            canvas.line("hair", (x, place.floor), (x, place.floor - height));
        }
    }
    furnish(canvas, tank.form, shape, place, around);
    let wall = if tank.water.is_some() { place.detail.wall() } else { "unsure" };
    canvas.path(wall, &place.polygon(&shape.points));
    full_marks(canvas, tank, shape, place);
}

/// Water, its band and the heel, in the order in which they cover one another.
fn fill(canvas: &mut Canvas, tank: &Tank, shape: &Shape, place: Place, water: Water) {
    let inside = |metres: f64| if metres.is_finite() { metres.clamp(0.0, shape.height) } else { 0.0 };
    let level = inside(water.level_m);
    canvas.path(tank.grade.class(), &place.polygon(&shape.between(0.0, level)));
    let (mut low, mut high) = (inside(water.low_m.min(water.level_m)), inside(water.high_m.max(water.level_m)));
    // at least a hair, where there is room to see one
    let hair = if place.detail == Detail::Page { 3.0 } else { 1.6 } / place.up;
    if high - low < hair && level > 0.0 {
        let middle = f64::midpoint(low, high).min(shape.height - hair / 2.0);
        (low, high) = (inside(middle - hair / 2.0), inside(middle + hair / 2.0));
    }
    if level > 0.0 || high > 0.0 {
        canvas.path("water2", &place.polygon(&shape.between(low, high)));
    }
    let heel = inside(tank.heel_m).min(level);
    if heel > 0.0 {
        // a heel that exists is seen
        let heel = heel.max(1.5 / place.up).min(level);
        canvas.path("p-heel", &place.polygon(&shape.between(0.0, heel)));
    }
}

/// Two ticks, one at each wall, where the vessel is full.
fn full_marks(canvas: &mut Canvas, tank: &Tank, shape: &Shape, place: Place) {
    if !tank.full_m.is_finite() || tank.full_m <= 0.0 || tank.full_m > shape.height * (1.0 + 1e-9) {
        return;
    }
    let Some((left, right)) = shape.span(tank.full_m) else { return };
    let (left, right) = (place.at((left, tank.full_m)), place.at((right, tank.full_m)));
    let length = ((right.0 - left.0) * 0.16).min(if place.detail == Detail::Page { 12.0 } else { 7.0 });
    let class = if place.detail == Detail::Page { "wall" } else { "thin" };
    canvas.line(class, left, (left.0 + length, left.1));
    canvas.line(class, (right.0 - length, right.1), right);
}

fn furnish(canvas: &mut Canvas, form: Form, shape: &Shape, place: Place, around: Furniture) {
    let (width, height) = (shape.width * place.across, shape.height * place.up);
    let (left, top, floor) = (place.left, place.floor - height, place.floor);
    let (middle, right) = (left + width / 2.0, left + width);
    let wall = place.detail.wall();
    let filled = |canvas: &mut Canvas, x: f64, y: f64, w: f64, h: f64, class: &str| {
        canvas.rect("inside", x, y, w, h);
        canvas.rect(class, x, y, w, h);
    };
    match form {
        Form::Upright => {
            let rise = roof(width);
            let (hatch_width, hatch_height) = hatch(width);
            filled(canvas, middle - hatch_width / 2.0, top - rise - hatch_height, hatch_width, hatch_height, wall);
            let roof = || Path::through([(left, top)]).curve((middle, top - rise * 2.0), (right, top));
            canvas.path("inside", &roof().close());
            canvas.path(wall, &roof());
        }
        Form::Lying => {
            let hatch_width = (width * 0.12).clamp(3.0, 40.0);
            let thick = around.above - 1.0;
            filled(canvas, middle - hatch_width / 2.0, top - thick, hatch_width, thick, wall);
            cradles(canvas, shape, place, around.below);
        }
        Form::Box => canvas.line(wall, (left - 3.0, top), (right + 3.0, top)),
        Form::Tote => {
            let cap = (width * 0.14).max(3.0);
            filled(canvas, middle - cap / 2.0, top - around.above + 1.0, cap, around.above - 1.0, "thin");
            let deck = around.below * 0.36;
            filled(canvas, left, floor, width, deck, "thin");
            let foot = width * 0.14;
            for x in [left + width * 0.04, middle - foot / 2.0, right - width * 0.04 - foot] {
                filled(canvas, x, floor + deck, foot, around.below - deck, "thin");
            }
        }
        Form::Heater => {
            let thick = jacket(width.min(height));
            canvas.rect("thin", left - thick, top - thick, width + 2.0 * thick, height + 2.0 * thick);
            for x in [left + width * 0.28, right - width * 0.28] {
                canvas.line(wall, (x, top), (x, top - thick - 5.0));
            }
        }
        Form::Plain => {}
    }
}

/// Two saddles under a lying vessel, or one wide one where its section is the round end.
fn cradles(canvas: &mut Canvas, shape: &Shape, place: Place, high: f64) {
    let half = (shape.width * 0.05).max(2.5 / place.across);
    for part in [0.2, 0.8] {
        let x = shape.width * part;
        let (a, b) = (x - half, x + half);
        let foot = half * 1.5;
        let ground = place.floor + high;
        let on = |x: f64| place.at((x, shape.underside(x.clamp(0.0, shape.width))));
        let saddle = [(place.at((x - foot, 0.0)).0, ground), on(a), on(b), (place.at((x + foot, 0.0)).0, ground)];
        canvas.path("inside", &Path::through(saddle).close());
        canvas.path("thin", &Path::through(saddle).close());
    }
}

/// A tank whose outline nobody has given: a broken frame of a metre's width.
pub(super) fn paint_unknown(canvas: &mut Canvas, place: Place, width: f64, height: f64) {
    canvas.rect("inside", place.left, place.floor - height, width, height);
    canvas.rect("unsure", place.left, place.floor - height, width, height);
}

/// The break through a tank that is longer than its list: two waved lines and the gap between them.
pub(super) fn paint_break(canvas: &mut Canvas, x: f64, top: f64, bottom: f64) {
    let wave = |x: f64| {
        let step = (bottom - top) / 2.0;
        Path::through([(x, top)])
            .curve((x + 4.0, top + step / 2.0), (x, top + step))
            .curve((x - 4.0, top + step * 1.5), (x, bottom))
    };
    let back = Path::through([(x + 4.0, bottom)])
        .curve((x, bottom - (bottom - top) / 4.0), (x + 4.0, f64::midpoint(top, bottom)))
        .curve((x + 8.0, top + (bottom - top) / 4.0), (x + 4.0, top));
    let gap = Path::through([(x, top), (x + 4.0, top), (x + 4.0, bottom), (x, bottom)]).close();
    canvas.path("gap", &gap);
    canvas.path("thin", &wave(x).then(&back));
}
