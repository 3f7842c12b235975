//! The geometry of an outline: its size, what lies between two levels, how wide it is at one.

type Point = (f64, f64);

/// An outline moved to the origin: x from 0 to `width`, y up from the floor to `height`, metres.
pub(super) struct Shape {
    pub points: Vec<Point>,
    pub width: f64,
    pub height: f64,
}

impl Shape {
    /// None where the outline is no area: then nobody knows what the vessel looks like, and the drawing says so.
    pub fn of(outline: &[Point]) -> Option<Self> {
        if outline.len() < 3 || outline.iter().any(|(x, y)| !x.is_finite() || !y.is_finite()) {
            return None;
        }
        let least = |f: fn(&Point) -> f64| outline.iter().map(f).fold(f64::INFINITY, f64::min);
        let most = |f: fn(&Point) -> f64| outline.iter().map(f).fold(f64::NEG_INFINITY, f64::max);
        let (left, floor) = (least(|p| p.0), least(|p| p.1));
        let (width, height) = (most(|p| p.0) - left, most(|p| p.1) - floor);
        // a section thinner than a tenth of a millimetre, or past any reservoir, is a mistake in the numbers
        let sane = 1e-4..1e6;
        (sane.contains(&width) && sane.contains(&height)).then(|| Self {
            points: outline.iter().map(|(x, y)| (x - left, y - floor)).collect(),
            width,
            height,
        })
    }

    /// The part of the outline between two levels.
    pub fn between(&self, low: f64, high: f64) -> Vec<Point> {
        let above = cut(&self.points, |p| p.1 - low);
        cut(&above, |p| high - p.1)
    }

    /// How far it reaches to either side at a level.
    pub fn span(&self, level: f64) -> Option<(f64, f64)> {
        let level = level.clamp(self.height * 1e-6, self.height * (1.0 - 1e-6));
        let crossings = || self.edges().filter_map(|(a, b)| crossing(a, b, level));
        let left = crossings().fold(f64::INFINITY, f64::min);
        let right = crossings().fold(f64::NEG_INFINITY, f64::max);
        (left <= right).then_some((left, right))
    }

    /// The underside at `x`: where a cradle meets it.
    pub fn underside(&self, x: f64) -> f64 {
        let turned = |p: Point| (p.1, p.0);
        self.edges().filter_map(|(a, b)| crossing(turned(a), turned(b), x)).fold(self.height, f64::min)
    }

    fn edges(&self) -> impl Iterator<Item = (Point, Point)> {
        self.points.iter().copied().zip(self.points.iter().copied().cycle().skip(1))
    }
}

/// Where an edge passes a level.
fn crossing(a: Point, b: Point, level: f64) -> Option<f64> {
    if (a.1 <= level) == (b.1 <= level) {
        return None;
    }
    Some(a.0 + (b.0 - a.0) * (level - a.1) / (b.1 - a.1))
}

/// A polygon cut along a line: what lies where `side` is not negative.
fn cut(points: &[Point], side: impl Fn(&Point) -> f64) -> Vec<Point> {
    let mut kept = Vec::new();
    let followers = points.iter().cycle().skip(1);
    for (a, b) in points.iter().zip(followers) {
        let (sa, sb) = (side(a), side(b));
        if sa >= 0.0 {
            kept.push(*a);
        }
        if (sa >= 0.0) != (sb >= 0.0) {
            let part = sa / (sa - sb);
            kept.push((a.0 + (b.0 - a.0) * part, a.1 + (b.1 - a.1) * part));
        }
    }
    kept
}
