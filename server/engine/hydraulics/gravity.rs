//! Water that runs of itself: outlets, hoses, how long a tank takes to drain and to fill.

use super::error::HydraulicsError;
use super::friction::Regime;
use super::measures::DISCHARGE;
use super::measures::GRAVITY;
use super::measures::HEAD;
use super::measures::LIFT;
use super::measures::LOSS_FACTOR;
use super::measures::OPENING;
use super::measures::PLAN;
use super::measures::RATED_FLOW;
use super::measures::VELOCITY;
use super::pipe::Pipe;
use super::water::Water;
use crate::numeric;
use crate::quantity::Area;
use crate::quantity::Length;
use crate::quantity::Time;
use crate::quantity::Unit;
use crate::quantity::VOLUME;
use crate::quantity::Volume;
use crate::quantity::VolumeRate;
use crate::quantity::as_hours;
use crate::quantity::as_litres;
use crate::quantity::as_litres_per_minute;
use crate::quantity::as_metres;
use crate::quantity::as_millimetres;
use crate::quantity::as_seconds;
use crate::quantity::as_square_metres;
use crate::quantity::litres_per_minute;
use crate::quantity::metres;
use crate::quantity::seconds;
use crate::vessel::Shape;
use crate::vessel::ShapeError;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

/// How closely a draining time is added up, as a part of it.
const TIME_TOLERANCE: f64 = 1e-9;

/// An opening that water leaves by: its area and how much of the ideal flow it lets through.
///
/// Discharge coefficients: a sharp hole 0.60 to 0.62, a short tube 0.8, a small ball valve fully open with its fittings
/// 0.6 to 0.7 (from memory).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Opening {
    area: f64,
    discharge: f64,
}

impl Opening {
    /// From its area (0.01 mm² to 100 m²) and discharge coefficient (0.05 to 1).
    ///
    /// # Errors
    /// [`HydraulicsError`] for a figure out of range.
    pub fn new(area: Area, discharge: f64) -> Result<Self, HydraulicsError> {
        Ok(Self { area: OPENING.check(as_square_metres(area))?, discharge: DISCHARGE.check(discharge)? })
    }

    /// A round one.
    ///
    /// # Errors
    /// [`HydraulicsError`] for a figure out of range.
    pub fn round(bore: Length, discharge: f64) -> Result<Self, HydraulicsError> {
        let bore = super::measures::BORE.check(as_metres(bore))?;
        Self::new(metres(bore) * metres(bore) * core::f64::consts::FRAC_PI_4, discharge)
    }

    /// Cd a √(2g), m^2.5/s: times √h it is the flow.
    fn strength(&self) -> f64 {
        self.discharge * self.area * (2.0 * GRAVITY).sqrt()
    }

    fn working(&self, what: &'static str, formula: &'static str) -> Working {
        Working::new(what, formula)
            .input("area of the opening", "a", Figure::exact(self.area, Unit::SquareMetre), "given")
            .input("discharge coefficient", "Cd", Figure::exact(self.discharge, Unit::Count), "given")
            .source("Torricelli 1644, with a discharge coefficient")
    }

    /// What runs out under a head of water: Q = Cd a √(2 g h), h measured to where the water comes out.
    ///
    /// # Errors
    /// [`HydraulicsError`] for a head out of range (0 to 10,000 m).
    ///
    /// ```
    /// use keepwell_engine::hydraulics::Opening;
    /// use keepwell_engine::quantity::{as_litres_per_minute, metres, millimetres};
    /// // ENG-106: 56.2858377 L/min through 19 mm under 1.5 m, closed form.
    /// let flow = Opening::round(millimetres(19.0), 0.61)?.flow(metres(1.5))?.value;
    /// assert!((as_litres_per_minute(flow) - 56.2858377).abs() < 1e-6);
    /// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
    /// ```
    pub fn flow(&self, head: Length) -> Result<Reckoned<VolumeRate>, HydraulicsError> {
        let head = HEAD.check(as_metres(head))?;
        let flow = litres_per_minute(self.strength() * head.sqrt() * 60_000.0);
        Ok(self
            .working("Flow from an opening", "Q = Cd · a · √(2 · g · h)")
            .input("head", "h", Figure::exact(head, Unit::Metre), "given")
            .step("flow", "Cd · a · √(2 · g · h)", Figure::exact(as_litres_per_minute(flow), Unit::LitrePerMinute))
            .without("Hoses and taps behind the opening")
            .gives(flow))
    }

    /// How long an upright tank takes from one head to a lower one: t = 2 A (√h₁ − √h₂)/(Cd a √(2g)).
    ///
    /// # Errors
    /// [`HydraulicsError`] for a figure out of range, or an end above the start.
    ///
    /// ```
    /// use keepwell_engine::hydraulics::Opening;
    /// use keepwell_engine::quantity::{as_seconds, metres, square_metres};
    /// // ENG-101: an engineering licence problem prints 94 s for 4 ft, 5 in², 6 ft to 2 ft (93.9 by rounded roots).
    /// let opening = Opening::new(square_metres(0.0032258), 1.0)?;
    /// let time = opening.drain_upright(square_metres(1.167454), metres(1.8288), metres(0.6096))?.value;
    /// assert!((as_seconds(time) - 93.9).abs() < 0.01 * 93.9);
    /// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
    /// ```
    pub fn drain_upright(&self, plan: Area, start: Length, end: Length) -> Result<Reckoned<Time>, HydraulicsError> {
        let plan = PLAN.check(as_square_metres(plan))?;
        let (start, end) = (HEAD.check(as_metres(start))?, HEAD.check(as_metres(end))?);
        if end > start {
            return Err(HydraulicsError::NotFalling { start, end });
        }
        let time = seconds(2.0 * plan * (start.sqrt() - end.sqrt()) / self.strength());
        Ok(self
            .working("Time to drain an upright tank", "t = 2 · A · (√h₁ − √h₂)/(Cd · a · √(2g))")
            .input("plan area", "A", Figure::exact(plan, Unit::SquareMetre), "given")
            .input("head at first", "h₁", Figure::exact(start, Unit::Metre), "given")
            .input("head at last", "h₂", Figure::exact(end, Unit::Metre), "given")
            .step("time", "t", Figure::exact(as_hours(time), Unit::Hour))
            .gives(time))
    }

    /// How long a vessel of any shape takes from one depth to a lower one: t = ∫ A(h) dh/(Cd a √(2g (h − outlet))).
    ///
    /// Depths and the outlet count from the lowest inside point. Finite down to the outlet itself and up to the brim; to one
    /// part in a million.
    ///
    /// # Errors
    /// [`HydraulicsError`] for a depth outside the vessel, an end above the start or below the outlet, and for a vessel in
    /// which no depth is read.
    ///
    /// ```
    /// use keepwell_engine::hydraulics::Opening;
    /// use keepwell_engine::quantity::{as_seconds, metres, square_metres};
    /// use keepwell_engine::vessel::{Lying, Shape};
    /// // ENG-104: 3,651.23569 s, quadrature checked by integrating the differential equation.
    /// let tank = Shape::Lying(Lying::new(metres(1.2), metres(2.4))?);
    /// let opening = Opening::new(square_metres(0.000314159), 0.61)?;
    /// let time = opening.drain(&tank, metres(1.1), metres(0.2), metres(0.0))?.value;
    /// assert!((as_seconds(time) - 3651.23569).abs() < 0.01);
    /// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
    /// ```
    pub fn drain(
        &self,
        shape: &Shape,
        start: Length,
        end: Length,
        outlet: Length,
    ) -> Result<Reckoned<Time>, HydraulicsError> {
        for depth in [start, end, outlet] {
            shape.volume_at(depth)?;
        }
        let rim = as_metres(shape.height().ok_or(ShapeError::NoDepth { kind: shape.kind() })?);
        let inside = |depth: Length| as_metres(depth).clamp(0.0, rim);
        let (start, end, outlet) = (inside(start), inside(end), inside(outlet));
        if end > start {
            return Err(HydraulicsError::NotFalling { start, end });
        }
        if end < outlet {
            return Err(HydraulicsError::BelowOutlet { end, outlet });
        }
        // With h = outlet + s² the root in the divisor falls away: t = 2/(Cd a √(2g)) ∫ A ds.
        let surface = |s: f64| shape.surface_at(metres((outlet + s * s).min(rim))).map_or(f64::NAN, as_square_metres);
        // Where a bottom ends the surface bends, at a table's rows it leaps: each part between is added up by itself.
        let seams = shape.seams().into_iter().filter(|depth| *depth > end && *depth < start);
        let (mut sum, mut low) = (0.0, end);
        for high in seams.chain([start]) {
            let root = |depth: f64| (depth - outlet).max(0.0).sqrt();
            sum += numeric::area(surface, root(low), root(high), TIME_TOLERANCE)?.value;
            low = high;
        }
        let time = seconds(2.0 * sum / self.strength());
        Ok(self
            .working("Time to drain a vessel", "t = ∫ A(h) dh/(Cd · a · √(2g · (h − outlet)))")
            .input("depth at first", "h₁", Figure::exact(start, Unit::Metre), "given")
            .input("depth at last", "h₂", Figure::exact(end, Unit::Metre), "given")
            .input("outlet", "outlet", Figure::exact(outlet, Unit::Metre), "given")
            .step("time", "t", Figure::exact(as_hours(time), Unit::Hour))
            .without("Hoses and taps behind the opening")
            .gives(time))
    }
}

/// What runs through a hose or pipe of itself: z = (v²/2g)(1 + ΣK + f L/D).
///
/// | | |
/// |---|---|
/// | z | from the water's surface down to where it comes out, 0 to 10,000 m; a siphon has the same |
/// | ΣK | fittings without the exit: one velocity head is added for the water that leaves |
/// | f | 64/Re below Re 2,300, Colebrook from there up; between 2,300 and 4,000 marked |
/// | source | Bernoulli; Darcy and Weisbach; Colebrook 1939 |
///
/// # Errors
/// [`HydraulicsError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::hydraulics::{Pipe, gravity_flow, water::Water};
/// use keepwell_engine::quantity::*;
/// // ENG-107: 11.7736666 L/min through 15 m of hose under 1.5 m.
/// let hose = Pipe::new(millimetres(15.9), metres(15.0), millimetres(0.0015))?;
/// let water = Water::new(kg_per_cubic_metre(998.2), pascal_seconds(0.001002))?;
/// let flow = gravity_flow(metres(1.5), &hose, 3.0, &water)?.value;
/// assert!((as_litres_per_minute(flow) - 11.7736666).abs() < 1e-4);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn gravity_flow(
    head: Length,
    pipe: &Pipe,
    fittings: f64,
    water: &Water,
) -> Result<Reckoned<VolumeRate>, HydraulicsError> {
    let head = HEAD.check(as_metres(head))?;
    let fittings = LOSS_FACTOR.check(fittings)?;
    let flow = run(head, pipe, fittings, water)?;
    let speed = VELOCITY.check(pipe.speed(flow))?;
    let reynolds = pipe.reynolds(flow, water);
    Ok(Working::new("Flow through a pipe or hose by gravity", "z = v²/(2g) · (1 + ΣK + f · L/D)")
        .input("head", "z", Figure::exact(head, Unit::Metre), "given")
        .input("bore", "D", Figure::exact(as_millimetres(pipe.bore()), Unit::Millimetre), "given")
        .input("pipe length", "L", Figure::exact(as_metres(pipe.length()), Unit::Metre), "given")
        .input("loss factors of the fittings", "ΣK", Figure::exact(fittings, Unit::Count), "given")
        .step("speed", "solved", Figure::exact(speed, Unit::MetrePerSecond))
        .step("Reynolds number", "ρ · v · D/μ", Figure::exact(reynolds, Unit::Count))
        .step("flow", "π/4 · D² · v", Figure::exact(flow * 60_000.0, Unit::LitrePerMinute))
        .beyond(
            Regime::of(reynolds) == Regime::Critical,
            "The flow is between laminar and turbulent, where no formula holds",
        )
        .source("Bernoulli; Darcy and Weisbach; Colebrook 1939")
        .gives(litres_per_minute(flow * 60_000.0)))
}

/// m³/s, by search between nothing and what would run without any friction.
fn run(head: f64, pipe: &Pipe, fittings: f64, water: &Water) -> Result<f64, HydraulicsError> {
    if head <= 0.0 {
        return Ok(0.0);
    }
    let most = (2.0 * GRAVITY * head).sqrt() / pipe.speed(1.0);
    let over = |flow: f64| pipe.loss(flow, fittings + 1.0, water) - head;
    if over(most) <= 0.0 {
        return Ok(most);
    }
    Ok(numeric::root(over, 0.0, most, most * 1e-15)?.middle())
}

/// How long a vessel takes to drain through a hose, whose end lies `drop` below the outlet (above it where negative).
///
/// | | |
/// |---|---|
/// | time | ∫ A(h) dh/Q(h − outlet + drop), Q by [`gravity_flow`] |
/// | end | above the outlet; and above where no head is left |
/// | error | 0.1 %, beside those of friction |
///
/// # Errors
/// [`HydraulicsError`] for a depth outside the vessel, an end above the start, below the outlet or without any head.
pub fn drain_through_hose(
    shape: &Shape,
    (start, end): (Length, Length),
    (outlet, drop): (Length, Length),
    (hose, fittings): (&Pipe, f64),
    water: &Water,
) -> Result<Reckoned<Time>, HydraulicsError> {
    for depth in [start, end, outlet] {
        shape.volume_at(depth)?;
    }
    let rim = as_metres(shape.height().ok_or(ShapeError::NoDepth { kind: shape.kind() })?);
    let fittings = LOSS_FACTOR.check(fittings)?;
    let drop = LIFT.check(as_metres(drop))?;
    let inside = |depth: Length| as_metres(depth).clamp(0.0, rim);
    let (start, end, outlet) = (inside(start), inside(end), inside(outlet));
    if end > start {
        return Err(HydraulicsError::NotFalling { start, end });
    }
    let dry = outlet.max(outlet - drop);
    if end < dry {
        return Err(HydraulicsError::BelowOutlet { end, outlet: dry });
    }
    let slowness = |s: f64| {
        let depth = (end + s * s).min(rim);
        let surface = shape.surface_at(metres(depth)).map_or(f64::NAN, as_square_metres);
        let flow = run(depth - outlet + drop, hose, fittings, water).unwrap_or(f64::NAN);
        // In laminar flow the last of the head goes for ever: there the answer is no number, and refused.
        2.0 * s * surface / flow
    };
    let most = (start - end).sqrt();
    let time = if most > 0.0 { numeric::area(slowness, 0.0, most, 1e-3)?.value } else { 0.0 };
    Ok(Working::new("Time to drain a vessel through a hose", "t = ∫ A(h) dh/Q(h)")
        .input("depth at first", "h₁", Figure::exact(start, Unit::Metre), "given")
        .input("depth at last", "h₂", Figure::exact(end, Unit::Metre), "given")
        .input("outlet", "outlet", Figure::exact(outlet, Unit::Metre), "given")
        .input("end of the hose below the outlet", "", Figure::exact(drop, Unit::Metre), "given")
        .step("time", "t", Figure::exact(as_hours(seconds(time)), Unit::Hour))
        .source("Bernoulli; Darcy and Weisbach; Colebrook 1939")
        .gives(seconds(time)))
}

/// How long filling takes at a steady flow: t = V/Q.
///
/// # Errors
/// [`HydraulicsError`] for a volume (0 to 10,000,000 L) or flow (0.001 to 1,000,000 L/min) out of range.
///
/// ```
/// use keepwell_engine::hydraulics::fill_time;
/// use keepwell_engine::quantity::{as_seconds, litres, litres_per_minute};
/// // By hand: 1,000 L at 20 L/min are 50 minutes.
/// assert!((as_seconds(fill_time(litres(1000.0), litres_per_minute(20.0))?.value) - 3000.0).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn fill_time(room: Volume, flow: VolumeRate) -> Result<Reckoned<Time>, HydraulicsError> {
    let room = VOLUME.check(as_litres(room))?;
    let flow = RATED_FLOW.check(as_litres_per_minute(flow))?;
    let time = seconds(room / flow * 60.0);
    Ok(Working::new("Time to fill", "t = V/Q")
        .input("room", "V", Figure::exact(room, Unit::Litre), "given")
        .input("flow", "Q", Figure::exact(flow, Unit::LitrePerMinute), "measured")
        .step("time", "V/Q", Figure::exact(as_seconds(time) / 3600.0, Unit::Hour))
        .without("Mains pressure that falls while everyone fills")
        .source("By definition")
        .gives(time))
}
