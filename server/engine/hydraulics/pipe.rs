//! Losses in pipes: Darcy and Weisbach, and Hazen and Williams for comparison with water works' practice.

use core::f64::consts::FRAC_PI_4;

use super::error::HydraulicsError;
use super::friction::CRITICAL_WORDS;
use super::friction::Regime;
use super::friction::factor;
use super::measures::BORE;
use super::measures::FLOW;
use super::measures::GRAVITY;
use super::measures::LOSS_FACTOR;
use super::measures::PIPE_LENGTH;
use super::measures::RELATIVE_ROUGHNESS;
use super::measures::REYNOLDS;
use super::measures::ROUGHNESS;
use super::measures::SMOOTHNESS;
use super::measures::VELOCITY;
use super::water::Water;
use crate::quantity::Length;
use crate::quantity::Unit;
use crate::quantity::Velocity;
use crate::quantity::Volume;
use crate::quantity::VolumeRate;
use crate::quantity::as_litres;
use crate::quantity::as_litres_per_minute;
use crate::quantity::as_metres;
use crate::quantity::cubic_metres;
use crate::quantity::metres;
use crate::quantity::metres_per_second;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

/// A round pipe of one bore.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pipe {
    bore: f64,
    length: f64,
    roughness: f64,
}

impl Pipe {
    /// From its bore (0.1 mm to 10 m), length (to 100 km) and the height of its wall's bumps (to a twentieth of the bore).
    ///
    /// # Errors
    /// [`HydraulicsError`] for a figure out of range.
    pub fn new(bore: Length, length: Length, roughness: Length) -> Result<Self, HydraulicsError> {
        let bore = BORE.check(as_metres(bore))?;
        let length = PIPE_LENGTH.check(as_metres(length))?;
        let roughness = ROUGHNESS.check(as_metres(roughness))?;
        let most = bore * RELATIVE_ROUGHNESS.max;
        if roughness > most {
            let mm = 1000.0;
            return Err(HydraulicsError::TooRough { roughness: roughness * mm, most: most * mm, bore: bore * mm });
        }
        Ok(Self { bore, length, roughness })
    }

    /// Its bore.
    #[must_use]
    pub fn bore(&self) -> Length {
        metres(self.bore)
    }

    /// Its length.
    #[must_use]
    pub fn length(&self) -> Length {
        metres(self.length)
    }

    /// m/s at a flow in m³/s.
    pub(super) fn speed(&self, flow: f64) -> f64 {
        flow / (FRAC_PI_4 * self.bore * self.bore)
    }

    pub(super) fn reynolds(&self, flow: f64, water: &Water) -> f64 {
        water.density * self.speed(flow) * self.bore / water.viscosity
    }

    /// Metres of head lost to friction and fittings at a flow in m³/s: the bare sum, for solvers.
    pub(super) fn loss(&self, flow: f64, fittings: f64, water: &Water) -> f64 {
        let speed = self.speed(flow);
        let friction = factor(self.reynolds(flow, water), self.roughness / self.bore);
        (friction * self.length / self.bore + fittings) * speed * speed / (2.0 * GRAVITY)
    }
}

/// m³/s.
pub(super) fn checked(flow: VolumeRate) -> Result<f64, HydraulicsError> {
    Ok(FLOW.check(as_litres_per_minute(flow))? / 60_000.0)
}

/// The speed of water in a pipe: v = Q/(π/4 D²).
///
/// | | |
/// |---|---|
/// | Q | flow, 0 to 1,000,000 L/min |
/// | D | bore, 0.1 mm to 10 m |
/// | source | continuity |
///
/// Plastic is kept below 1.5 m/s (a maker's usual advice), copper below 2.4 m/s cold (from memory).
///
/// # Errors
/// [`HydraulicsError`] for a figure out of range, or a speed over 150 m/s.
///
/// ```
/// use keepwell_engine::hydraulics::velocity;
/// use keepwell_engine::quantity::{as_metres_per_second, litres_per_minute, millimetres};
/// // ENG-048: 1.16665645 m/s, closed form.
/// let v = velocity(litres_per_minute(37.854), millimetres(26.24))?.value;
/// assert!((as_metres_per_second(v) - 1.16665645).abs() < 1e-7);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn velocity(flow: VolumeRate, bore: Length) -> Result<Reckoned<Velocity>, HydraulicsError> {
    let pipe = Pipe::new(bore, metres(0.0), metres(0.0))?;
    let speed = VELOCITY.check(pipe.speed(checked(flow)?))?;
    Ok(described("Speed of water in a pipe", "v = Q/(π/4 · D²)", flow, &pipe)
        .step("speed", "Q/(π/4 · D²)", Figure::exact(speed, Unit::MetrePerSecond))
        .source("Continuity")
        .gives(metres_per_second(speed)))
}

/// The Reynolds number Re = ρ v D/μ.
///
/// | | |
/// |---|---|
/// | Q, D | as for [`velocity`] |
/// | ρ, μ | density and viscosity of the water |
/// | source | Reynolds 1883 |
///
/// # Errors
/// [`HydraulicsError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::hydraulics::{reynolds, water::Water};
/// use keepwell_engine::quantity::{kg_per_cubic_metre, litres_per_minute, millimetres, pascal_seconds};
/// // ENG-049: 30496.9677, closed form.
/// let water = Water::new(kg_per_cubic_metre(998.2), pascal_seconds(0.001002))?;
/// let re = reynolds(litres_per_minute(37.854), millimetres(26.24), &water)?.value;
/// assert!((re - 30496.9677).abs() < 1e-3);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn reynolds(flow: VolumeRate, bore: Length, water: &Water) -> Result<Reckoned<f64>, HydraulicsError> {
    let pipe = Pipe::new(bore, metres(0.0), metres(0.0))?;
    let reynolds = REYNOLDS.check(pipe.reynolds(checked(flow)?, water))?;
    Ok(with_water(described("Reynolds number", "Re = ρ · v · D/μ", flow, &pipe), water)
        .step("Reynolds number", "ρ · v · D/μ", Figure::exact(reynolds, Unit::Count))
        .source("Reynolds 1883")
        .gives(reynolds))
}

/// A loss of head in a pipe, with what it comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Loss {
    flow: VolumeRate,
    pipe: Pipe,
    water: Water,
    fittings: f64,
    /// lost to the wall
    pub friction: Length,
    /// lost to fittings
    pub minor: Length,
    /// how fast the water runs
    pub velocity: Velocity,
    /// the Reynolds number
    pub reynolds: f64,
    /// Darcy's friction factor; 0 where the water is still
    pub factor: f64,
    /// how it moves
    pub regime: Regime,
}

/// What a pipe and its fittings lose: h = (f L/D + ΣK) v²/2g.
///
/// | | |
/// |---|---|
/// | f | 64/Re below Re 2,300, Colebrook from there up; 2,300 to 4,000 marked, never blended |
/// | Q | 0 to 1,000,000 L/min; zero flow is zero loss |
/// | L, D | length to 100 km, bore 0.1 mm to 10 m |
/// | ΣK | loss factors of the fittings, 0 to 1,000,000, as given |
/// | error | that of Colebrook, and of the roughness of a pipe that ages |
/// | source | Weisbach 1845, Darcy 1857; Colebrook 1939 |
///
/// # Errors
/// [`HydraulicsError`] for a figure out of range, or a speed over 150 m/s.
///
/// ```
/// use keepwell_engine::hydraulics::{Pipe, line_loss, water::Water};
/// use keepwell_engine::quantity::*;
/// // ENG-065: 1.09975078 m for 18 m of one-inch copper at 30 L/min and 10 °C, ΣK 6.2.
/// let pipe = Pipe::new(millimetres(26.04), metres(18.0), millimetres(0.0015))?;
/// let water = Water::new(kg_per_cubic_metre(999.7), pascal_seconds(0.001306))?;
/// let loss = line_loss(litres_per_minute(30.0), &pipe, 6.2, &water)?;
/// assert!((as_metres(loss.total()) - 1.09975078).abs() < 1e-6);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn line_loss(flow: VolumeRate, pipe: &Pipe, fittings: f64, water: &Water) -> Result<Loss, HydraulicsError> {
    let rate = checked(flow)?;
    let fittings = LOSS_FACTOR.check(fittings)?;
    let speed = VELOCITY.check(pipe.speed(rate))?;
    let reynolds = pipe.reynolds(rate, water);
    let factor = factor(reynolds, pipe.roughness / pipe.bore);
    let head = speed * speed / (2.0 * GRAVITY);
    Ok(Loss {
        flow,
        pipe: *pipe,
        water: *water,
        fittings,
        friction: metres(pipe.loss(rate, 0.0, water)),
        minor: metres(fittings * head),
        velocity: metres_per_second(speed),
        reynolds,
        factor,
        regime: Regime::of(reynolds),
    })
}

impl Loss {
    /// Friction and fittings together.
    #[must_use]
    pub fn total(&self) -> Length {
        self.friction + self.minor
    }

    /// What is behind it.
    #[must_use]
    pub fn working(&self) -> Working {
        let pipe = &self.pipe;
        let speed = Figure::exact(self.velocity.value, Unit::MetrePerSecond);
        with_water(described("Head lost in a pipe", "h = (f · L/D + ΣK) · v²/(2g)", self.flow, pipe), &self.water)
            .input("pipe length", "L", Figure::exact(pipe.length, Unit::Metre), "given")
            .input("roughness", "ε", Figure::exact(pipe.roughness * 1000.0, Unit::Millimetre), "given")
            .input("loss factors of the fittings", "ΣK", Figure::exact(self.fittings, Unit::Count), "given")
            .step("speed", "Q/(π/4 · D²)", speed)
            .step("Reynolds number", "ρ · v · D/μ", Figure::exact(self.reynolds, Unit::Count))
            .step(
                "friction factor",
                match self.regime {
                    Regime::Still => "no flow, no loss",
                    Regime::Laminar => "64/Re",
                    Regime::Critical | Regime::Turbulent => "1/√f = −2 · log₁₀(ε/(3.7 · D) + 2.51/(Re · √f))",
                },
                Figure::exact(self.factor, Unit::Count),
            )
            .step("lost to the wall", "f · L/D · v²/(2g)", Figure::exact(as_metres(self.friction), Unit::Metre))
            .step("lost to fittings", "ΣK · v²/(2g)", Figure::exact(as_metres(self.minor), Unit::Metre))
            .step("together", "h", Figure::exact(as_metres(self.total()), Unit::Metre))
            .beyond(self.regime == Regime::Critical, CRITICAL_WORDS)
            .source("Weisbach 1845, Darcy 1857; Colebrook 1939")
    }
}

/// Friction by the water works' formula: h = 10.67 L Q^1.852/(C^1.852 D^4.8704), in m and m³/s.
///
/// | | |
/// |---|---|
/// | Q, L, D | as for [`line_loss`] |
/// | C | smoothness, 20 to 200: plastic 150, copper 130 to 140, new steel 120 to 140, old iron 100 or less |
/// | range | measured on pipes of 50 mm and more, 0.3 to 3 m/s, cool water (from memory); outside that marked |
/// | error | no temperature in it; −11 % of Darcy at 11 L/min in 26 mm |
/// | source | Williams and Hazen 1905; SI form of the NFPA 13 formula |
///
/// # Errors
/// [`HydraulicsError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::hydraulics::hazen_williams;
/// use keepwell_engine::quantity::{as_metres, litres_per_minute, metres, millimetres};
/// // ENG-061: Illinois Administrative Code 77/906 app. A exhibit I has 5.50 ft in 100 ft for 1 in at 10 gpm.
/// let lost = hazen_williams(litres_per_minute(37.8541), millimetres(26.6446), metres(30.48), 150.0)?.value;
/// assert!((as_metres(lost) - 1.6764).abs() < 0.02 * 1.6764);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn hazen_williams(
    flow: VolumeRate,
    bore: Length,
    length: Length,
    smoothness: f64,
) -> Result<Reckoned<Length>, HydraulicsError> {
    let pipe = Pipe::new(bore, length, metres(0.0))?;
    let rate = checked(flow)?;
    let smoothness = SMOOTHNESS.check(smoothness)?;
    let speed = VELOCITY.check(pipe.speed(rate))?;
    let lost = 10.67 * pipe.length * (rate / smoothness).powf(1.852) / pipe.bore.powf(4.8704);
    let measured = pipe.bore >= 0.05 && (0.3..=3.0).contains(&speed);
    Ok(described(
        "Head lost in a pipe, water works' formula",
        "h = 10.67 · L · Q^1.852/(C^1.852 · D^4.8704)",
        flow,
        &pipe,
    )
    .input("pipe length", "L", Figure::exact(pipe.length, Unit::Metre), "given")
    .input("smoothness", "C", Figure::exact(smoothness, Unit::Count), "given")
    .step("lost to the wall", "10.67 · L · Q^1.852/(C^1.852 · D^4.8704)", Figure::exact(lost, Unit::Metre))
    .beyond(!measured, "Measured on pipes of 50 mm and more at 0.3 to 3 m/s; in smaller and slower ones it reads low")
    .without("The water's temperature")
    .source("Williams and Hazen 1905; NFPA 13 form")
    .gives(metres(lost)))
}

/// What fittings lose: h = ΣK v²/2g.
///
/// # Errors
/// [`HydraulicsError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::hydraulics::minor_loss;
/// use keepwell_engine::quantity::{as_metres, litres_per_minute, millimetres};
/// // ENG-063: 0.312282618 m for ΣK 4.5, closed form.
/// let lost = minor_loss(litres_per_minute(37.854), millimetres(26.24), 4.5)?.value;
/// assert!((as_metres(lost) - 0.312282618).abs() < 1e-7);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn minor_loss(flow: VolumeRate, bore: Length, fittings: f64) -> Result<Reckoned<Length>, HydraulicsError> {
    let pipe = Pipe::new(bore, metres(0.0), metres(0.0))?;
    let speed = VELOCITY.check(pipe.speed(checked(flow)?))?;
    let fittings = LOSS_FACTOR.check(fittings)?;
    let lost = fittings * speed * speed / (2.0 * GRAVITY);
    Ok(described("Head lost in fittings", "h = ΣK · v²/(2g)", flow, &pipe)
        .input("loss factors of the fittings", "ΣK", Figure::exact(fittings, Unit::Count), "given")
        .step("speed", "Q/(π/4 · D²)", Figure::exact(speed, Unit::MetrePerSecond))
        .step("lost", "ΣK · v²/(2g)", Figure::exact(lost, Unit::Metre))
        .source("Weisbach 1845")
        .gives(metres(lost)))
}

/// The water standing in a pipe: π/4 D² L.
///
/// # Errors
/// [`HydraulicsError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::hydraulics::pipe_contents;
/// use keepwell_engine::quantity::{as_litres, metres, millimetres};
/// // ENG-069: 16.223285 L in 30 m of one-inch pipe, closed form.
/// assert!((as_litres(pipe_contents(millimetres(26.24), metres(30.0))?.value) - 16.223285).abs() < 1e-5);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn pipe_contents(bore: Length, length: Length) -> Result<Reckoned<Volume>, HydraulicsError> {
    let pipe = Pipe::new(bore, length, metres(0.0))?;
    let volume = cubic_metres(FRAC_PI_4 * pipe.bore * pipe.bore * pipe.length);
    Ok(Working::new("Water in a pipe", "V = π/4 · D² · L")
        .input("bore", "D", Figure::exact(pipe.bore * 1000.0, Unit::Millimetre), "given")
        .input("pipe length", "L", Figure::exact(pipe.length, Unit::Metre), "given")
        .step("water", "π/4 · D² · L", Figure::exact(as_litres(volume), Unit::Litre))
        .source("Geometry of the cylinder")
        .gives(volume))
}

fn described(what: &'static str, formula: &'static str, flow: VolumeRate, pipe: &Pipe) -> Working {
    Working::new(what, formula)
        .input("flow", "Q", Figure::exact(as_litres_per_minute(flow), Unit::LitrePerMinute), "given")
        .input("bore", "D", Figure::exact(pipe.bore * 1000.0, Unit::Millimetre), "given")
}

fn with_water(working: Working, water: &Water) -> Working {
    working.input("density", "ρ", Figure::exact(water.density, Unit::KilogramPerCubicMetre), "given").input(
        "viscosity",
        "μ",
        Figure::exact(water.viscosity * 1000.0, Unit::MillipascalSecond),
        "given",
    )
}
