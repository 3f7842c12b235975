//! A vessel drawn from the figures in its form, as far as they make one.

use std::collections::BTreeMap;

use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::as_metres;
use keepwell_engine::quantity::metres;
use keepwell_engine::vessel::Capacity;
use keepwell_engine::vessel::DrawPoint;
use keepwell_engine::vessel::Fittings;
use keepwell_engine::vessel::Kind;
use keepwell_engine::vessel::Shape;
use keepwell_engine::vessel::ShapeError;
use keepwell_engine::vessel::Way;
use keepwell_engine::vessel::capacity;

use crate::model::choice::Choice;
use crate::model::entry::fields::Problem;
use crate::model::vessel::Draw;
use crate::model::vessel::DrawWay;
use crate::model::vessel::ShapeKind;
use crate::picture::body::kind;
use crate::service::measures::shape_problem;
use crate::web::draw::Drawing;
use crate::web::draw::vessel as draw;
use crate::web::pages::vessels::rule;
use crate::web::reader::Reader;

pub(in crate::web::pages::set_up) struct Sketch {
    shape: Shape,
    fittings: Fittings,
    /// none where what is fitted does not fit
    pub(in crate::web::pages::set_up) capacity: Option<Capacity>,
    misfit: Option<ShapeError>,
}

impl Sketch {
    /// None while the figures make no shape. Fittings that do not fit are left out: their fields say why.
    pub(in crate::web::pages::set_up) fn of(
        dimensions: &BTreeMap<String, f64>,
        strapping: &[(f64, f64)],
        shape: ShapeKind,
        full_m: Option<f64>,
        draws: &[Draw],
    ) -> Option<Self> {
        let shape = Shape::from_dimensions(kind(shape), |key| dimensions.get(key).copied(), strapping).ok()?;
        let way =
            |draw: &Draw| Way::from_key(draw.way.key()).map(|way| DrawPoint { way, height: metres(draw.height_m) });
        let mut fittings = Fittings { full: full_m.map(metres), draws: draws.iter().filter_map(way).collect() };
        let misfit = fittings.check(&shape).err();
        if misfit.is_some() {
            fittings.draws.clear();
        }
        if fittings.check(&shape).is_err() {
            fittings.full = None;
        }
        let capacity = if misfit.is_none() { capacity(&shape, &fittings).ok() } else { None };
        Some(Self { shape, fittings, capacity, misfit })
    }

    /// What is fitted and does not fit, under its field.
    pub(in crate::web::pages::set_up) fn problem(&self) -> Option<Problem> {
        self.misfit.map(|error| shape_problem(self.shape.kind(), error))
    }

    /// A shape as its engine's sample has it, for choosing one.
    pub(in crate::web::pages::set_up) fn sample(kind: Kind) -> Option<Self> {
        let shape = Shape::samples().into_iter().find(|shape| shape.kind() == kind)?;
        Some(Self { shape, fittings: Fittings::default(), capacity: None, misfit: None })
    }

    /// Large, with its full mark and each way of drawing named.
    pub(in crate::web::pages::set_up) fn drawing(&self, reader: &Reader) -> Option<Drawing> {
        let mark = |at_m: f64, words: &'static str| draw::Mark { at_m, words: reader.word(words).to_owned() };
        let mut marks = Vec::new();
        if let Some(full) = self.full_m() {
            marks.push(mark(full, "full"));
        }
        for point in &self.fittings.draws {
            let way = DrawWay::from_key(point.way.key()).map_or("", short);
            marks.push(mark(as_metres(point.height), way));
        }
        let words = draw::Words { marks, unread: String::new(), ..draw::Words::default() };
        let figures = |value: f64, decimals: usize| reader.number(value, decimals, decimals);
        Some(draw::large(&self.vessel(reader), &words, &rule(reader), &figures))
    }

    /// Small, for choosing.
    pub(in crate::web::pages::set_up) fn small(&self, reader: &Reader) -> Drawing {
        draw::alone(&self.vessel(reader), 96.0, 84.0)
    }

    fn full_m(&self) -> Option<f64> {
        self.shape.height().map(|rim| as_metres(self.fittings.full.unwrap_or(rim)))
    }

    fn vessel(&self, reader: &Reader) -> draw::Vessel {
        let outline = self.shape.outline();
        let body = match &self.shape {
            Shape::Set(set) => draw::Body::Set(container(&outline, set.count())),
            shape => draw::Body::Tank(draw::Tank {
                form: form(shape.kind()),
                full_m: self.full_m().unwrap_or_else(|| outline.iter().map(|point| point.1).fold(0.0, f64::max)),
                heel_m: self.lowest_m(),
                outline,
                // empty: it is the vessel that is asked about, not its water
                water: Some(draw::Water { level_m: 0.0, low_m: 0.0, high_m: 0.0 }),
                grade: draw::Grade::Drink,
            }),
        };
        let mut title = reader.word(self.shape.kind().name()).to_owned();
        if let Ok(held) = reader.figure(as_litres(self.shape.brim()), Unit::Litre) {
            title = format!("{title}, {held}");
        }
        draw::Vessel { title, body }
    }

    fn lowest_m(&self) -> f64 {
        self.fittings.draws.iter().map(|draw| as_metres(draw.height)).reduce(f64::min).unwrap_or(0.0)
    }
}

/// What stands round the outline of each kind; one without furniture of its own is its outline alone.
fn form(kind: Kind) -> draw::Form {
    match kind {
        Kind::Upright | Kind::UprightCone | Kind::UprightDished | Kind::UprightElliptical | Kind::UprightRound => {
            draw::Form::Upright
        }
        Kind::Lying | Kind::LyingCone | Kind::LyingDished | Kind::LyingElliptical | Kind::LyingRound => {
            draw::Form::Lying
        }
        Kind::Box | Kind::Rounded => draw::Form::Box,
        Kind::Heater => draw::Form::Heater,
        _ => draw::Form::Plain,
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a count of containers, whole and in range"
)]
fn container(outline: &[(f64, f64)], count: f64) -> draw::Set {
    let most = |of: fn(&(f64, f64)) -> f64| outline.iter().map(of).fold(0.0, f64::max);
    let lot = draw::Lot { full: 0, part: 0, empty: count as u32, grade: draw::Grade::Drink };
    draw::Set { width_m: most(|point| point.0), height_m: most(|point| point.1), lots: vec![lot] }
}

const fn short(way: DrawWay) -> &'static str {
    match way {
        DrawWay::Pump => "pump",
        DrawWay::Gravity => "tap",
        DrawWay::Dip => "by hand",
    }
}
