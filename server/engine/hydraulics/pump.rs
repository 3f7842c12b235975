//! A pump's curve, and where it meets the system's: the duty point.

use super::error::HydraulicsError;
use super::friction::Regime;
use super::measures::FLOW;
use super::measures::GAUGE;
use super::measures::GRAVITY;
use super::measures::HEAD;
use super::measures::LIFT;
use super::measures::LOSS_FACTOR;
use super::measures::RATED_FLOW;
use super::pipe::Pipe;
use super::water::Water;
use crate::numeric;
use crate::quantity::Length;
use crate::quantity::Pressure;
use crate::quantity::Unit;
use crate::quantity::VolumeRate;
use crate::quantity::as_kg_per_cubic_metre;
use crate::quantity::as_kilopascals;
use crate::quantity::as_litres_per_minute;
use crate::quantity::as_metres;
use crate::quantity::as_millimetres;
use crate::quantity::kilopascals;
use crate::quantity::litres_per_minute;
use crate::quantity::metres;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

/// A centrifugal pump's curve: H = a + b Q + c Q², in m and L/min.
///
/// | | |
/// |---|---|
/// | points | three or more at different flows, heads that do not rise with the flow; 0 to 1,000,000 L/min, 0 to 10,000 m |
/// | fit | through three points exactly, through more by least squares |
/// | error | [`PumpCurve::misfit`]; outside the points marked |
/// | source | common practice, no source |
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PumpCurve {
    a: f64,
    b: f64,
    c: f64,
    lowest: f64,
    highest: f64,
    misfit: f64,
}

impl PumpCurve {
    /// Through these points, in any order.
    ///
    /// # Errors
    /// [`HydraulicsError`] for fewer than three points, two at one flow, a head that rises with the flow, or a figure out
    /// of range.
    pub fn new(points: &[(VolumeRate, Length)]) -> Result<Self, HydraulicsError> {
        let mut at = points
            .iter()
            .map(|(flow, head)| Ok((FLOW.check(as_litres_per_minute(*flow))?, HEAD.check(as_metres(*head))?)))
            .collect::<Result<Vec<(f64, f64)>, HydraulicsError>>()?;
        at.sort_by(|one, other| one.0.total_cmp(&other.0));
        let ([first, .., last], 3..) = (&at[..], at.len()) else {
            return Err(HydraulicsError::TooFewPoints { given: at.len() });
        };
        for pair in at.windows(2) {
            // a thousandth of the range and a mL/min apart at least: nearer ones are one flow read twice, and lead anywhere
            if pair[1].0 - pair[0].0 <= ((last.0 - first.0) * 1e-3).max(1e-3) {
                return Err(HydraulicsError::SameFlow { flow: pair[1].0 });
            }
            if pair[1].1 > pair[0].1 {
                return Err(HydraulicsError::Rises { flow: pair[1].0, head: pair[1].1 });
            }
        }
        let (a, b, c) = match at[..] {
            [low, middle, high] => through(low, middle, high),
            _ => least_squares(&at, first.0, last.0),
        };
        let mut curve = Self { a, b, c, lowest: first.0, highest: last.0, misfit: 0.0 };
        // Falling points can still make a fit that turns up before the last of them.
        if curve.slope(last.0) > 1e-9 * (1.0 + a.abs()) {
            return Err(HydraulicsError::Rises { flow: last.0, head: curve.bare(last.0) });
        }
        curve.misfit = at.iter().map(|(flow, head)| (curve.bare(*flow) - head).abs()).fold(0.0, f64::max);
        Ok(curve)
    }

    pub(super) fn bare(&self, flow: f64) -> f64 {
        (self.c * flow + self.b) * flow + self.a
    }

    fn slope(&self, flow: f64) -> f64 {
        2.0 * self.c * flow + self.b
    }

    /// Whether the fit rises at first, before it falls: then it is only believed where it falls.
    #[must_use]
    pub fn hump(&self) -> bool {
        self.slope(self.lowest) > 1e-9 * (1.0 + self.a.abs())
    }

    /// The most the fit misses one of its points.
    #[must_use]
    pub fn misfit(&self) -> Length {
        metres(self.misfit)
    }

    /// The head at no flow, by the fit; it may lie outside the points.
    #[must_use]
    pub fn shut_off(&self) -> Length {
        metres(self.a)
    }

    fn outside(&self, flow: f64) -> bool {
        !(self.lowest * (1.0 - 1e-12)..=self.highest * (1.0 + 1e-12)).contains(&flow)
    }

    /// The head at a flow.
    ///
    /// # Errors
    /// [`HydraulicsError`] for a flow out of range, or so large that the curve has come down to nothing.
    ///
    /// ```
    /// use keepwell_engine::hydraulics::PumpCurve;
    /// use keepwell_engine::quantity::{as_metres, litres_per_minute, metres};
    /// // ENG-074: 30.75 m at 60 L/min on (0, 42), (40, 37), (80, 22).
    /// let points = [(0.0, 42.0), (40.0, 37.0), (80.0, 22.0)].map(|(q, h)| (litres_per_minute(q), metres(h)));
    /// let curve = PumpCurve::new(&points)?;
    /// assert!((as_metres(curve.head_at(litres_per_minute(60.0))?.value) - 30.75).abs() < 1e-9);
    /// let rising = points.map(|(q, h)| (q, metres(60.0) - h));
    /// assert!(PumpCurve::new(&rising).is_err());
    /// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
    /// ```
    pub fn head_at(&self, flow: VolumeRate) -> Result<Reckoned<Length>, HydraulicsError> {
        let flow = FLOW.check(as_litres_per_minute(flow))?;
        let head = self.bare(flow);
        if !(0.0..).contains(&head) {
            return Err(HydraulicsError::BeyondCurve { flow });
        }
        Ok(self
            .working("Head of a pump at a flow")
            .input("flow", "Q", Figure::exact(flow, Unit::LitrePerMinute), "given")
            .step("head", "a + b · Q + c · Q²", Figure::exact(head, Unit::Metre))
            .beyond(self.outside(flow), OUTSIDE)
            .gives(metres(head)))
    }

    fn working(&self, what: &'static str) -> Working {
        Working::new(what, "H = a + b · Q + c · Q²")
            .input("head at no flow", "a", Figure::exact(self.a, Unit::Metre), "fit of the points")
            .input("slope of the fit", "b", Figure::exact(self.b, Unit::Count), "fit of the points")
            .input("curve of the fit", "c", Figure::exact(self.c, Unit::Count), "fit of the points")
            .step("the fit misses a point by at most", "max |H(Qᵢ) − Hᵢ|", Figure::exact(self.misfit, Unit::Metre))
            .beyond(self.hump(), "The fit rises at low flow: there the pump may have two flows for one head")
            .source("Quadratic through the maker's points: common practice, no source")
    }

    /// Where the falling curve meets a system that needs `needed(Q)` metres, rising with the flow Q in L/min.
    pub(super) fn meets(&self, needed: impl Fn(f64) -> f64) -> Result<f64, HydraulicsError> {
        let over = |flow: f64| self.bare(flow) - needed(flow);
        let at_rest = needed(0.0);
        if over(0.0) <= 0.0 {
            return Err(HydraulicsError::OutOfReach { shut_off: self.a, needed: at_rest });
        }
        let mut far = self.highest;
        while over(far) > 0.0 {
            far *= 2.0;
            if far > FLOW.max || self.slope(far) > 0.0 && self.c > 0.0 {
                // The fit turns up again beyond its points: look no further than its lowest place.
                far = if self.c > 0.0 { -self.b / (2.0 * self.c) } else { far };
                if far > FLOW.max || over(far) > 0.0 {
                    return Err(HydraulicsError::NoDuty);
                }
                break;
            }
        }
        Ok(numeric::root(over, 0.0, far, far * 1e-14)?.middle())
    }

    fn duty(&self, flow: f64, working: Working) -> Duty {
        let head = self.bare(flow);
        Duty {
            flow: litres_per_minute(flow),
            head: metres(head),
            working: working
                .step("where both meet, flow", "H(Q) = system(Q)", Figure::exact(flow, Unit::LitrePerMinute))
                .step("and head", "a + b · Q + c · Q²", Figure::exact(head, Unit::Metre))
                .beyond(self.outside(flow), OUTSIDE),
        }
    }
}

const OUTSIDE: &str = "The flow lies outside the points of the curve";

/// Where pump and system meet.
#[derive(Clone, Debug, PartialEq)]
pub struct Duty {
    /// the flow
    pub flow: VolumeRate,
    /// the pump's head
    pub head: Length,
    /// what is behind both
    pub working: Working,
}

/// Newton's divided differences: exact through three points.
fn through(low: (f64, f64), middle: (f64, f64), high: (f64, f64)) -> (f64, f64, f64) {
    let first = (middle.1 - low.1) / (middle.0 - low.0);
    let second = (high.1 - middle.1) / (high.0 - middle.0);
    let c = (second - first) / (high.0 - low.0);
    let b = first - c * (low.0 + middle.0);
    (low.1 - (c * low.0 + b) * low.0, b, c)
}

/// The quadratic that misses the points least, squares added; flows measured from the middle to keep every digit.
fn least_squares(points: &[(f64, f64)], first: f64, last: f64) -> (f64, f64, f64) {
    let (middle, half) = (f64::midpoint(first, last), (last - first) / 2.0);
    let scaled: Vec<_> = points.iter().map(|(flow, head)| ((flow - middle) / half, *head)).collect();
    let moment = |power: i32| scaled.iter().map(|(x, _)| x.powi(power)).sum::<f64>();
    let weighed = |power: i32| scaled.iter().map(|(x, y)| x.powi(power) * y).sum::<f64>();
    let (n, s1, s2, s3, s4) = (moment(0), moment(1), moment(2), moment(3), moment(4));
    let (t0, t1, t2) = (weighed(0), weighed(1), weighed(2));
    // Cramer's rule on the three normal equations.
    let det = |m: [[f64; 3]; 3]| {
        m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1]) - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0])
            + m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0])
    };
    let whole = det([[n, s1, s2], [s1, s2, s3], [s2, s3, s4]]);
    let a = det([[t0, s1, s2], [t1, s2, s3], [t2, s3, s4]]) / whole;
    let b = det([[n, t0, s2], [s1, t1, s3], [s2, t2, s4]]) / whole / half;
    let c = det([[n, s1, t0], [s1, s2, t1], [s2, s3, t2]]) / whole / (half * half);
    (a - b * middle + c * middle * middle, b - 2.0 * c * middle, c)
}

/// A system of which one loss is known: H = Hs + h₀ (Q/Q₀)².
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct System {
    static_head: f64,
    loss: f64,
    flow: f64,
}

impl System {
    /// From the static head (−1,000 to 10,000 m: lift less flooded suction, and the pressure wanted) and a loss (0 m and
    /// more) at a flow above 0.
    ///
    /// # Errors
    /// [`HydraulicsError`] for a figure out of range.
    pub fn new(static_head: Length, loss: Length, at: VolumeRate) -> Result<Self, HydraulicsError> {
        Ok(Self {
            static_head: LIFT.check(as_metres(static_head))?,
            loss: HEAD.check(as_metres(loss))?,
            flow: RATED_FLOW.check(as_litres_per_minute(at))?,
        })
    }
}

/// The duty point on a system of which one loss is known.
///
/// | | |
/// |---|---|
/// | duty | a + b Q + c Q² = Hs + h₀ (Q/Q₀)², where the pump's side falls through the system's |
/// | error | losses are taken to grow with the square of the flow |
/// | source | common practice, no source |
///
/// # Errors
/// [`HydraulicsError`] where the pump does not reach that high, or the two do not meet.
///
/// ```
/// use keepwell_engine::hydraulics::{PumpCurve, System, duty};
/// use keepwell_engine::quantity::*;
/// // ENG-075 and ENG-076: 71.1038823 L/min at 26.2007435 m.
/// let points = [(0.0, 42.0), (40.0, 37.0), (80.0, 22.0)].map(|(q, h)| (litres_per_minute(q), metres(h)));
/// let system = System::new(metres(8.0), metres(9.0), litres_per_minute(50.0))?;
/// let duty = duty(&PumpCurve::new(&points)?, &system)?;
/// assert!((as_litres_per_minute(duty.flow) - 71.1038823).abs() < 1e-6);
/// assert!((as_metres(duty.head) - 26.2007435).abs() < 1e-6);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn duty(curve: &PumpCurve, system: &System) -> Result<Duty, HydraulicsError> {
    let rise = system.loss / (system.flow * system.flow);
    let flow = curve.meets(|flow| system.static_head + rise * flow * flow)?;
    let working = curve
        .working("Duty point")
        .input("static head", "Hs", Figure::exact(system.static_head, Unit::Metre), "given")
        .input("known loss", "h₀", Figure::exact(system.loss, Unit::Metre), "given")
        .input("at a flow of", "Q₀", Figure::exact(system.flow, Unit::LitrePerMinute), "given")
        .step("system at the duty flow", "Hs + h₀ · (Q/Q₀)²", Figure::exact(curve.bare(flow), Unit::Metre));
    Ok(curve.duty(flow, working))
}

/// The duty point through one pipe to a place at a pressure: pump = lift + p/(ρ g) + line loss.
///
/// | | |
/// |---|---|
/// | line | friction by Darcy with the rule of [`super::line_loss`], ΣK as given; no exit head is added |
/// | lift | −1,000 to 10,000 m from the suction level to the outlet |
/// | pressure | 0 to 10,000 kPa over the air's |
/// | source | Bernoulli, with friction |
///
/// # Errors
/// [`HydraulicsError`] where the pump does not reach, or for a figure out of range.
///
/// ```
/// use keepwell_engine::hydraulics::{Pipe, PumpCurve, duty_through_pipe, water::Water};
/// use keepwell_engine::quantity::*;
/// // ENG-078: 61.7894158 L/min at 30 psi after 3 m lift and 25 m of one-inch plastic.
/// let points = [(0.0, 42.0), (40.0, 37.0), (80.0, 22.0)].map(|(q, h)| (litres_per_minute(q), metres(h)));
/// let pipe = Pipe::new(millimetres(26.24), metres(25.0), millimetres(0.0015))?;
/// let water = Water::new(kg_per_cubic_metre(998.2), pascal_seconds(0.001002))?;
/// let duty = duty_through_pipe(&PumpCurve::new(&points)?, metres(3.0), kilopascals(206.843), (&pipe, 12.0), &water)?;
/// assert!((as_litres_per_minute(duty.flow) - 61.7894158).abs() < 1e-3);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn duty_through_pipe(
    curve: &PumpCurve,
    lift: Length,
    delivery: Pressure,
    line: (&Pipe, f64),
    water: &Water,
) -> Result<Duty, HydraulicsError> {
    let lift = LIFT.check(as_metres(lift))?;
    let pressure = GAUGE.check(as_kilopascals(delivery))?;
    let (pipe, fittings) = (line.0, LOSS_FACTOR.check(line.1)?);
    let at_rest = lift + pressure * 1000.0 / (water.density * GRAVITY);
    let flow = curve.meets(|flow| at_rest + pipe.loss(flow / 60_000.0, fittings, water))?;
    let lost = pipe.loss(flow / 60_000.0, fittings, water);
    let critical = Regime::of(pipe.reynolds(flow / 60_000.0, water)) == Regime::Critical;
    let working = curve
        .working("Duty point through a pipe")
        .input("lift", "z", Figure::exact(lift, Unit::Metre), "given")
        .input("pressure delivered", "p", Figure::exact(pressure, Unit::Kilopascal), "given")
        .input("bore", "D", Figure::exact(as_millimetres(pipe.bore()), Unit::Millimetre), "given")
        .input("pipe length", "L", Figure::exact(as_metres(pipe.length()), Unit::Metre), "given")
        .input("loss factors of the fittings", "ΣK", Figure::exact(fittings, Unit::Count), "given")
        .step("at no flow the system needs", "z + p/(ρ · g)", Figure::exact(at_rest, Unit::Metre))
        .step("lost in the line", "(f · L/D + ΣK) · v²/(2g)", Figure::exact(lost, Unit::Metre))
        .beyond(critical, "The flow is between laminar and turbulent, where no formula holds")
        .source("Bernoulli; Darcy and Weisbach; Colebrook 1939");
    Ok(curve.duty(flow, working))
}

/// How much more than the cut-out pressure the pump makes with the taps shut: ρ g (H₀ + z) − p.
///
/// | | |
/// |---|---|
/// | H₀ | the fitted curve at no flow |
/// | z | the water's level over the pump, −1,000 to 10,000 m |
/// | p | cut-out, 0 to 10,000 kPa over the air's |
/// | answer | below 0 the switch never opens, and the pump runs against shut taps; 35 to 70 kPa is advised (common practice, no source) |
///
/// # Errors
/// [`HydraulicsError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::hydraulics::{PumpCurve, shut_off_margin};
/// use keepwell_engine::quantity::*;
/// // ENG-080: 7.24191529 kPa against 60 psi with 1 m of water over the pump.
/// let points = [(0.0, 42.0), (40.0, 37.0), (80.0, 22.0)].map(|(q, h)| (litres_per_minute(q), metres(h)));
/// let curve = PumpCurve::new(&points)?;
/// let margin = shut_off_margin(&curve, metres(1.0), kilopascals(413.685), kg_per_cubic_metre(998.2))?.value;
/// assert!((as_kilopascals(margin) - 7.24191529).abs() < 1e-6);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn shut_off_margin(
    curve: &PumpCurve,
    suction: Length,
    cut_out: Pressure,
    density: crate::quantity::MassDensity,
) -> Result<Reckoned<Pressure>, HydraulicsError> {
    let suction = LIFT.check(as_metres(suction))?;
    let cut_out = GAUGE.check(as_kilopascals(cut_out))?;
    let density = super::measures::DENSITY.check(as_kg_per_cubic_metre(density))?;
    let made = density * GRAVITY * (curve.a + suction) / 1000.0;
    let margin = made - cut_out;
    Ok(curve
        .working("Pressure beyond cut-out with the taps shut")
        .input("water over the pump", "z", Figure::exact(suction, Unit::Metre), "given")
        .input("cut-out", "p", Figure::exact(cut_out, Unit::Kilopascal), "given")
        .step("made with the taps shut", "ρ · g · (a + z)", Figure::exact(made, Unit::Kilopascal))
        .step("beyond cut-out", "ρ · g · (a + z) − p", Figure::exact(margin, Unit::Kilopascal))
        .beyond(curve.lowest > 0.0, "No point of the curve is at no flow")
        .gives(kilopascals(margin)))
}
