//! What is fitted to a vessel: its full mark, and the ways water is drawn from it. Each way has its own heel.

use super::Shape;
use super::ShapeError;
use crate::quantity::Length;
use crate::quantity::Unit;
use crate::quantity::Volume;
use crate::quantity::as_litres;
use crate::quantity::as_metres;
use crate::working::Figure;
use crate::working::Working;

/// How water is taken out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Way {
    /// by a pump's suction; its height includes the submergence it needs
    Pump,
    /// by a tap or an outlet that runs of itself
    Gravity,
    /// by hand: dipped, poured, or let out at a cock
    Dip,
}

impl Way {
    /// All ways, from the most to the least convenient.
    pub const ALL: [Self; 3] = [Self::Pump, Self::Gravity, Self::Dip];

    /// The name it is stored under.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::Pump => "pump",
            Self::Gravity => "gravity",
            Self::Dip => "dip",
        }
    }

    /// What a person calls it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Pump => "Pump suction",
            Self::Gravity => "Gravity outlet",
            Self::Dip => "Dipped by hand",
        }
    }

    /// The way stored under this name.
    #[must_use]
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|way| way.key() == key)
    }
}

/// A way of drawing and its height over the floor. The water below it is its heel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DrawPoint {
    /// how
    pub way: Way,
    /// over the lowest inside point
    pub height: Length,
}

/// What is fitted to a vessel. Checked against its shape by [`Fittings::check`] and by every function that takes both.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Fittings {
    /// the full mark over the lowest inside point; the brim if there is none
    pub full: Option<Length>,
    /// every way of drawing
    pub draws: Vec<DrawPoint>,
}

impl Fittings {
    /// Whether these fit the shape: the full mark inside it, every draw between the floor and the full mark.
    ///
    /// # Errors
    /// [`ShapeError`] names the first that does not.
    pub fn check(&self, shape: &Shape) -> Result<(), ShapeError> {
        let Some(rim) = shape.height() else {
            let no_depth = ShapeError::NoDepth { kind: shape.kind() };
            let heights = self.full.iter().chain(self.draws.iter().map(|draw| &draw.height));
            return heights.into_iter().all(|height| is_floor(*height)).then_some(()).ok_or(no_depth);
        };
        let full = self.full.unwrap_or(rim);
        if !(full > Length::default() && shape.volume_at(full).is_ok()) {
            return Err(ShapeError::FullMark { height: as_metres(full), rim: as_metres(rim) });
        }
        let outside = self.draws.iter().find(|draw| !(Length::default()..=full).contains(&draw.height));
        outside.map_or(Ok(()), |draw| {
            let (height, full) = (as_metres(draw.height), as_metres(full));
            Err(ShapeError::DrawHeight { way: draw.way, height, full })
        })
    }

    /// The ways that count: those stated, and for a vessel without depth (a set, a heater) of which none is, by hand
    /// to the last drop.
    fn ways(&self, shape: &Shape) -> Vec<DrawPoint> {
        if self.draws.is_empty() && shape.height().is_none() {
            return vec![DrawPoint { way: Way::Dip, height: Length::default() }];
        }
        self.draws.clone()
    }
}

fn is_floor(height: Length) -> bool {
    height == Length::default()
}

/// What stays below this way of drawing.
///
/// | | |
/// |---|---|
/// | heel | V(height of the way) |
/// | height | from the floor to the rim |
/// | error | the height's, times the surface there |
///
/// A vessel without depth is emptied to its bottom: 0 at height 0.
///
/// # Errors
/// [`ShapeError`] for a height outside the vessel, or over the bottom of one that has no depth.
///
/// ```
/// use keepwell_engine::quantity::{as_litres, metres};
/// use keepwell_engine::vessel::{DrawPoint, Shape, Upright, Way, heel};
/// let tank = Shape::Upright(Upright::new(metres(2.413), metres(2.3))?);
/// let outlet = DrawPoint { way: Way::Gravity, height: metres(0.15) };
/// // ENG-001: 0.68595525 m³ at 0.15 m.
/// assert!((as_litres(heel(&tank, &outlet)?) - 685.95525).abs() < 1e-3);
/// # Ok::<(), keepwell_engine::vessel::ShapeError>(())
/// ```
pub fn heel(shape: &Shape, draw: &DrawPoint) -> Result<Volume, ShapeError> {
    if shape.height().is_none() && is_floor(draw.height) {
        return Ok(Volume::default());
    }
    shape.volume_at(draw.height)
}

/// The way of drawing with the least heel, and that heel; `None` when no way is stated.
///
/// # Errors
/// [`ShapeError`] where the fittings do not fit.
pub fn lowest(shape: &Shape, fittings: &Fittings) -> Result<Option<(DrawPoint, Volume)>, ShapeError> {
    fittings.check(shape)?;
    lowest_of(shape, &fittings.ways(shape))
}

/// The least heel by one way; `None` when the vessel cannot be drawn that way.
///
/// # Errors
/// [`ShapeError`] where the fittings do not fit.
pub fn heel_by(shape: &Shape, fittings: &Fittings, way: Way) -> Result<Option<Volume>, ShapeError> {
    fittings.check(shape)?;
    let mut ways = fittings.ways(shape);
    ways.retain(|draw| draw.way == way);
    Ok(lowest_of(shape, &ways)?.map(|(_, heel)| heel))
}

fn lowest_of(shape: &Shape, ways: &[DrawPoint]) -> Result<Option<(DrawPoint, Volume)>, ShapeError> {
    let mut least: Option<(DrawPoint, Volume)> = None;
    for draw in ways {
        let heel = heel(shape, draw)?;
        if least.is_none_or(|(_, so_far)| heel < so_far) {
            least = Some((*draw, heel));
        }
    }
    Ok(least)
}

/// The three capacities of a vessel, which are three different figures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Capacity {
    /// to the rim
    pub brim: Volume,
    /// to the full mark
    pub full: Volume,
    /// from the full mark down to the lowest way of drawing; nothing if no way is stated
    pub usable: Volume,
}

/// What a vessel holds to its rim, to its full mark, and of that what can be drawn.
///
/// # Errors
/// [`ShapeError`] where the fittings do not fit.
pub fn capacity(shape: &Shape, fittings: &Fittings) -> Result<Capacity, ShapeError> {
    let lowest = lowest(shape, fittings)?;
    let brim = shape.brim();
    let full = match (fittings.full, shape.height()) {
        (Some(mark), Some(_)) => shape.volume_at(mark)?,
        _ => brim,
    };
    Ok(Capacity { brim, full, usable: lowest.map_or_else(Volume::default, |(_, heel)| full - heel) })
}

/// How much of `volume` can be drawn by the lowest way, and how that is reckoned.
///
/// | | |
/// |---|---|
/// | usable | V − heel, never below 0 |
/// | V | what is in the vessel, 0 to the brim |
/// | heel | what stays below the lowest way of drawing |
/// | error | the error of V; the working's figures carry none of their own |
///
/// # Errors
/// [`ShapeError`] for a volume that does not fit, or fittings that do not.
///
/// ```
/// use keepwell_engine::quantity::{as_litres, metres};
/// use keepwell_engine::vessel::{DrawPoint, Fittings, Shape, Upright, Way, usable};
/// let tank = Shape::Upright(Upright::new(metres(1.2), metres(1.5))?);
/// let outlet = DrawPoint { way: Way::Gravity, height: metres(0.1) };
/// let fittings = Fittings { full: None, draws: vec![outlet] };
/// // 1.20 m across, outlet 0.10 m up, dipped at 1.00 m: π/4 × 1.2² × 0.9 = 1.0179 m³, by hand.
/// let (litres, working) = usable(&tank, &fittings, tank.volume_at(metres(1.0))?)?;
/// assert!((as_litres(litres) - 1017.876).abs() < 0.001);
/// assert_eq!(working.formula, "usable = V − V(a), not below 0");
/// # Ok::<(), keepwell_engine::vessel::ShapeError>(())
/// ```
pub fn usable(shape: &Shape, fittings: &Fittings, volume: Volume) -> Result<(Volume, Working), ShapeError> {
    let volume = shape.held(volume)?;
    let lowest = lowest(shape, fittings)?;
    let form = shape.form();
    let litres = |volume: Volume| Figure::exact(as_litres(volume), Unit::Litre);

    let mut working = Working::new("Usable water", "usable = V − V(a), not below 0");
    working = working.input("Water in the vessel", "V", litres(volume), "readings and entries");
    for (dimension, value) in shape.kind().dimensions().iter().zip(form.figures()) {
        let figure = Figure::exact(value, dimension.measure.unit);
        working = working.input(dimension.label, dimension.symbol, figure, "set-up");
    }
    let Some((draw, heel)) = lowest else {
        let none = Volume::default();
        let working = working.step("No way of drawing is stated, so nothing is counted", "usable = 0", litres(none));
        return Ok((none, working));
    };
    if shape.height().is_some() {
        let height = Figure::exact(as_metres(draw.height), Unit::Metre);
        working = working.input(draw.way.name(), "a", height, "set-up");
    }
    working = working.step("Left below the lowest way of drawing (the heel)", form.formula(), litres(heel));
    let doubt = if shape.height().is_some() { shape.doubt_at(draw.height)? } else { Volume::default() };
    if doubt > Volume::default() {
        working = working.step("The heel is off by at most, between two rows", "max(V − V₀, V₁ − V)", litres(doubt));
    }
    let usable = (volume - heel).max(Volume::default());
    let working = working
        .step("What can be drawn", "V − V(a)", litres(usable))
        .without("Water in pipes and hoses")
        .without("A floor that is not level")
        .source(form.source());
    Ok((usable, working))
}

#[cfg(test)]
mod tests {
    use super::super::Heater;
    use super::super::Kind;
    use super::super::Set;
    use super::super::Table;
    use super::super::Upright;
    use super::*;
    use crate::quantity::litres;
    use crate::quantity::metres;
    use core::f64::consts::PI;

    fn tank() -> Shape {
        Shape::Upright(Upright::new(metres(1.2), metres(1.5)).unwrap())
    }

    fn draw(way: Way, height: f64) -> DrawPoint {
        DrawPoint { way, height: metres(height) }
    }

    #[track_caller]
    fn close(volume: Volume, expected_litres: f64) {
        assert!((as_litres(volume) - expected_litres).abs() < 1e-6, "{} L", as_litres(volume));
    }

    #[test]
    fn an_upright_tank_dipped_at_one_metre() {
        // π/4 × 1.2² × 0.9 m³ = 1,017.876 L, by hand.
        let fittings = Fittings { full: None, draws: vec![draw(Way::Gravity, 0.1)] };
        let (drawn, working) = usable(&tank(), &fittings, tank().volume_at(metres(1.0)).unwrap()).unwrap();
        close(drawn, PI / 4.0 * 1.44 * 0.9 * 1000.0);
        let symbols: Vec<_> = working.inputs.iter().map(|input| input.symbol).collect();
        assert_eq!(symbols, ["V", "D", "H", "a"]);
        assert_eq!(working.steps.len(), 2);
    }

    #[test]
    fn each_way_has_its_own_heel_and_the_lowest_counts() {
        let draws = vec![draw(Way::Pump, 0.25), draw(Way::Gravity, 0.1), draw(Way::Dip, 0.02)];
        let fittings = Fittings { full: Some(metres(1.4)), draws };
        let per_metre = PI / 4.0 * 1.44 * 1000.0;
        close(heel_by(&tank(), &fittings, Way::Pump).unwrap().unwrap(), per_metre * 0.25);
        close(heel_by(&tank(), &fittings, Way::Dip).unwrap().unwrap(), per_metre * 0.02);
        let found = capacity(&tank(), &fittings).unwrap();
        close(found.brim, per_metre * 1.5);
        close(found.full, per_metre * 1.4);
        close(found.usable, per_metre * 1.38);
        let only_pump = Fittings { full: None, draws: vec![draw(Way::Pump, 0.25)] };
        assert_eq!(heel_by(&tank(), &only_pump, Way::Dip), Ok(None));
    }

    #[test]
    fn a_level_below_the_outlet_gives_nothing() {
        let fittings = Fittings { full: None, draws: vec![draw(Way::Gravity, 0.1)] };
        let (drawn, _) = usable(&tank(), &fittings, tank().volume_at(metres(0.05)).unwrap()).unwrap();
        close(drawn, 0.0);
    }

    #[test]
    fn a_tank_that_cannot_be_drawn_has_nothing_usable() {
        let (drawn, working) = usable(&tank(), &Fittings::default(), litres(500.0)).unwrap();
        close(drawn, 0.0);
        assert_eq!(working.steps[0].words, "No way of drawing is stated, so nothing is counted");
        close(capacity(&tank(), &Fittings::default()).unwrap().usable, 0.0);
    }

    #[test]
    fn sets_and_heaters_are_emptied_by_hand() {
        let none = Fittings::default();
        for (shape, brim) in
            [(Shape::Set(Set::new(24.0, 20.0).unwrap()), 480.0), (Shape::Heater(Heater::new(150.0).unwrap()), 150.0)]
        {
            close(usable(&shape, &none, litres(100.0)).unwrap().0, 100.0);
            close(capacity(&shape, &none).unwrap().usable, brim);
            assert_eq!(heel_by(&shape, &none, Way::Dip).unwrap(), Some(Volume::default()));
            assert_eq!(heel_by(&shape, &none, Way::Pump), Ok(None));
            let high = Fittings { full: None, draws: vec![draw(Way::Gravity, 0.1)] };
            assert_eq!(capacity(&shape, &high), Err(ShapeError::NoDepth { kind: shape.kind() }));
        }
    }

    #[test]
    fn fittings_that_do_not_fit_are_named() {
        let full = |height: f64| Fittings { full: Some(metres(height)), draws: vec![] }.check(&tank());
        assert_eq!(full(1.6), Err(ShapeError::FullMark { height: 1.6, rim: 1.5 }));
        assert!(full(0.0).is_err() && full(f64::NAN).is_err() && full(-1.0).is_err());
        assert_eq!(full(1.5), Ok(()));
        let fittings = Fittings { full: Some(metres(1.0)), draws: vec![draw(Way::Pump, 1.2)] };
        let error = fittings.check(&tank()).unwrap_err();
        assert_eq!(error.to_string(), "Pump suction is 1.2 m over the floor; allowed is 0 to 1 m, the full mark");
        for height in [f64::NAN, f64::INFINITY, -0.1] {
            let fittings = Fittings { full: None, draws: vec![draw(Way::Dip, height)] };
            assert!(capacity(&tank(), &fittings).is_err());
            assert!(heel(&tank(), &draw(Way::Dip, height)).is_err());
        }
    }

    #[test]
    fn a_volume_that_does_not_fit_is_named() {
        let fittings = Fittings { full: None, draws: vec![draw(Way::Gravity, 0.1)] };
        for volume in [-1.0, 2000.0, f64::NAN, f64::INFINITY] {
            assert!(matches!(usable(&tank(), &fittings, litres(volume)), Err(ShapeError::Volume { .. })));
        }
    }

    #[test]
    fn a_table_says_how_far_off_its_heel_can_be() {
        let shape = Shape::Table(Table::new(&[(0.0, 0.0), (0.2, 100.0), (1.0, 900.0)]).unwrap());
        let fittings = Fittings { full: None, draws: vec![draw(Way::Gravity, 0.05)] };
        let (drawn, working) = usable(&shape, &fittings, litres(500.0)).unwrap();
        // By hand: a quarter of the way to 100 L is 25 L, which can be 25 L too much or 75 L too little.
        close(drawn, 475.0);
        assert!((working.steps[1].figure.value - 75.0).abs() < 1e-9);
    }

    #[test]
    fn ways_and_kinds_are_found_by_their_keys() {
        assert!(Way::ALL.into_iter().all(|way| Way::from_key(way.key()) == Some(way)));
        assert!(Kind::ALL.into_iter().all(|kind| Kind::from_key(kind.key()) == Some(kind)));
        assert_eq!((Way::from_key("siphon"), Kind::from_key("barrel")), (None, None));
    }
}
