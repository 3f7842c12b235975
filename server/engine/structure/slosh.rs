//! Water that swings: its slow period, how high the wave stands, and how much of the water swings at all.

use super::error::StructureError;
use super::measures::ACCELERATION;
use super::measures::ACROSS;
use super::measures::DEPTH;
use super::measures::IMPORTANCE;
use super::measures::PERIOD;
use super::measures::SD1;
use super::measures::SDS;
use crate::hydraulics::measures::GRAVITY;
use crate::quantity::Length;
use crate::quantity::Time;
use crate::quantity::Unit;
use crate::quantity::as_metres;
use crate::quantity::as_seconds;
use crate::quantity::metres;
use crate::quantity::seconds;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

use core::f64::consts::PI;

/// Standing water in plan and depth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Basin {
    across: f64,
    depth: f64,
    round: bool,
}

impl Basin {
    /// Round: its diameter (0.01 to 200 m) and the water's depth (0.001 to 100 m).
    ///
    /// # Errors
    /// [`StructureError`] for a figure out of range.
    pub fn round(diameter: Length, depth: Length) -> Result<Self, StructureError> {
        Self::new(diameter, depth, true)
    }

    /// Rectangular: its length in the direction of the shaking, and the water's depth.
    ///
    /// # Errors
    /// [`StructureError`] for a figure out of range.
    pub fn rectangular(length: Length, depth: Length) -> Result<Self, StructureError> {
        Self::new(length, depth, false)
    }

    fn new(across: Length, depth: Length, round: bool) -> Result<Self, StructureError> {
        Ok(Self { across: ACROSS.check(as_metres(across))?, depth: DEPTH.check(as_metres(depth))?, round })
    }

    fn working(&self, what: &'static str, formula: &'static str) -> Working {
        let (name, symbol) = if self.round { ("diameter", "D") } else { ("length", "L") };
        Working::new(what, formula).input(name, symbol, Figure::exact(self.across, Unit::Metre), "set-up").input(
            "depth of water",
            "H",
            Figure::exact(self.depth, Unit::Metre),
            "set-up",
        )
    }

    fn seconds(&self) -> f64 {
        let shape = if self.round { 3.68 } else { 3.16 };
        2.0 * PI * (self.across / (shape * GRAVITY * (shape * self.depth / self.across).tanh())).sqrt()
    }

    /// The period of the first swing: 2π √(D/(3.68 g tanh(3.68 H/D))) round, 2π/√((3.16 g/L) tanh(3.16 H/L)) rectangular.
    ///
    /// | | |
    /// |---|---|
    /// | error | the constants are rounded to three digits; a flat floor and upright walls |
    /// | source | Housner, as NEHRP quotes him; rectangular ACI 350.3 (from memory) |
    ///
    /// ```
    /// use keepwell_engine::quantity::{as_seconds, metres};
    /// use keepwell_engine::structure::Basin;
    /// // ENG-132: an API 650 annex E sheet has 2.220 s for D 4.5 m and H 3.14 m.
    /// let period = Basin::round(metres(4.5), metres(3.14))?.period().value;
    /// assert!((as_seconds(period) - 2.22).abs() < 0.0222);
    /// # Ok::<(), keepwell_engine::structure::StructureError>(())
    /// ```
    #[must_use]
    pub fn period(&self) -> Reckoned<Time> {
        let (formula, source) = if self.round {
            ("2π · √(D/(3.68 · g · tanh(3.68 · H/D)))", "Housner, as NEHRP quotes him")
        } else {
            ("2π/√((3.16 · g/L) · tanh(3.16 · H/L))", "Housner; ACI 350.3 (from memory)")
        };
        self.working("Period of the swinging water", formula)
            .step("period", formula, Figure::exact(self.seconds(), Unit::Second))
            .source(source)
            .gives(seconds(self.seconds()))
    }

    /// The part of the water's weight that swings: 0.230 (D/H) tanh(3.67 H/D). With [`Basin::still_part`] it need not add
    /// up to 1. For round basins; a rectangular one is taken as a round one of its length, and marked.
    ///
    /// Source: API 650 annex E, AWWA D100 (from memory).
    ///
    /// ```
    /// use keepwell_engine::quantity::metres;
    /// use keepwell_engine::structure::Basin;
    /// // ENG-138 and ENG-139: 0.290300281 and 0.72314.
    /// let tank = Basin::round(metres(2.413), metres(1.9))?;
    /// assert!((tank.swinging_part().value - 0.290300281).abs() < 1e-8);
    /// assert!((tank.still_part().value - 0.72314).abs() < 1e-6);
    /// # Ok::<(), keepwell_engine::structure::StructureError>(())
    /// ```
    #[must_use]
    pub fn swinging_part(&self) -> Reckoned<f64> {
        let slender = self.across / self.depth;
        let part = 0.230 * slender * (3.67 / slender).tanh();
        self.working("Part of the water that swings", "0.230 · (D/H) · tanh(3.67 · H/D)")
            .step("part", "0.230 · (D/H) · tanh(3.67 · H/D)", Figure::exact(part, Unit::Fraction))
            .beyond(!self.round, "Measured on round basins")
            .source("API 650 annex E, AWWA D100 (from memory)")
            .gives(part)
    }

    /// The part of the water's weight that moves with the vessel: tanh(0.866 D/H)/(0.866 D/H) from D/H 1.333 up, below it
    /// 1 − 0.218 D/H. As [`Basin::swinging_part`].
    #[must_use]
    pub fn still_part(&self) -> Reckoned<f64> {
        let slender = self.across / self.depth;
        let (part, formula) = if slender >= 1.333 {
            ((0.866 * slender).tanh() / (0.866 * slender), "tanh(0.866 · D/H)/(0.866 · D/H)")
        } else {
            (1.0 - 0.218 * slender, "1 − 0.218 · D/H")
        };
        self.working("Part of the water that moves with the vessel", formula)
            .step("part", formula, Figure::exact(part, Unit::Fraction))
            .beyond(!self.round, "Measured on round basins")
            .source("API 650 annex E, AWWA D100 (from memory)")
            .gives(part)
    }

    /// How high the wave stands in it under a design spectrum: δ = 0.42 D Ie Sac(Tc).
    ///
    /// For ordinary risk TL is taken as 4 s and Ie as 1; for what must work afterwards the mapped TL and 1.5 (ASCE 7,
    /// from memory).
    ///
    /// # Errors
    /// [`StructureError`] for a figure out of range.
    ///
    /// ```
    /// use keepwell_engine::quantity::{as_metres, metres, seconds};
    /// use keepwell_engine::structure::{Basin, Spectrum};
    /// // ENG-137: 0.559698005 m.
    /// let spectrum = Spectrum { sds: 1.0, sd1: 0.6, long_period: seconds(4.0) };
    /// let wave = Basin::round(metres(2.413), metres(1.9))?.wave(&spectrum, 1.0)?.value;
    /// assert!((as_metres(wave) - 0.559698005).abs() < 1e-6);
    /// # Ok::<(), keepwell_engine::structure::StructureError>(())
    /// ```
    pub fn wave(&self, spectrum: &Spectrum, importance: f64) -> Result<Reckoned<Length>, StructureError> {
        let acceleration = spectrum.convective(seconds(self.seconds()))?;
        let mut reckoned = wave_height(metres(self.across), importance, acceleration.value)?;
        let period = Figure::exact(self.seconds(), Unit::Second);
        reckoned.working = reckoned.working.step("period of the swinging water", "Tc", period);
        reckoned.working.steps.extend(acceleration.working.steps);
        reckoned.working.sources.extend(acceleration.working.sources);
        Ok(reckoned)
    }
}

/// The design spectrum of a place: SDS and SD1 in g (0 to 10), and where long periods begin (0.001 to 100 s).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spectrum {
    /// at short periods, g
    pub sds: f64,
    /// at one second, g
    pub sd1: f64,
    /// TL
    pub long_period: Time,
}

impl Spectrum {
    /// The acceleration of swinging water, g: 1.5 SD1/T, at most 1.5 SDS, up to TL; 1.5 SD1 TL/T² beyond.
    ///
    /// Source: ASCE 7, 15.7.6.1 (from memory).
    ///
    /// # Errors
    /// [`StructureError`] for a figure out of range.
    ///
    /// ```
    /// use keepwell_engine::quantity::seconds;
    /// use keepwell_engine::structure::Spectrum;
    /// // ENG-136: 0.545454545 g at 1.65 s; ENG-158: 0.12 g at 5 s.
    /// let near = Spectrum { sds: 1.0, sd1: 0.6, long_period: seconds(4.0) };
    /// assert!((near.convective(seconds(1.65))?.value - 0.545454545).abs() < 1e-8);
    /// let far = Spectrum { sds: 0.9, sd1: 0.5, long_period: seconds(4.0) };
    /// assert!((far.convective(seconds(5.0))?.value - 0.12).abs() < 1e-12);
    /// # Ok::<(), keepwell_engine::structure::StructureError>(())
    /// ```
    pub fn convective(&self, period: Time) -> Result<Reckoned<f64>, StructureError> {
        let sds = SDS.check(self.sds)?;
        let sd1 = SD1.check(self.sd1)?;
        let long = PERIOD.check(as_seconds(self.long_period))?;
        let period = PERIOD.check(as_seconds(period))?;
        let (acceleration, formula) = if period <= long {
            ((1.5 * sd1 / period).min(1.5 * sds), "1.5 · SD1/T, at most 1.5 · SDS")
        } else {
            (1.5 * sd1 * long / (period * period), "1.5 · SD1 · TL/T²")
        };
        Ok(Working::new("Acceleration of swinging water", formula)
            .input("short-period acceleration", "SDS", Figure::exact(sds, Unit::Count), "map of the place")
            .input("one-second acceleration", "SD1", Figure::exact(sd1, Unit::Count), "map of the place")
            .input("long periods begin at", "TL", Figure::exact(long, Unit::Second), "map of the place")
            .input("period", "T", Figure::exact(period, Unit::Second), "given")
            .step("acceleration, g", formula, Figure::exact(acceleration, Unit::Count))
            .source("ASCE 7, 15.7.6.1 (from memory)")
            .gives(acceleration))
    }
}

/// How high the wave stands at an acceleration in g: δ = 0.42 D Ie Sac. Compare with the freeboard.
///
/// The 0.42 is that of ASCE 7-10 and 7-16 (from memory) and of an API 650 annex E sheet; ASCE 7-05 had 0.5.
///
/// # Errors
/// [`StructureError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::quantity::{as_metres, metres};
/// use keepwell_engine::structure::wave_height;
/// // ENG-133: the same sheet has 0.9913 m for Af 0.524483.
/// assert!((as_metres(wave_height(metres(4.5), 1.0, 0.524483)?.value) - 0.991272).abs() < 1e-5);
/// # Ok::<(), keepwell_engine::structure::StructureError>(())
/// ```
pub fn wave_height(diameter: Length, importance: f64, acceleration: f64) -> Result<Reckoned<Length>, StructureError> {
    let diameter = ACROSS.check(as_metres(diameter))?;
    let importance = IMPORTANCE.check(importance)?;
    let acceleration = ACCELERATION.check(acceleration)?;
    let wave = 0.42 * diameter * importance * acceleration;
    Ok(Working::new("Height of the wave", "δ = 0.42 · D · Ie · Sac")
        .input("diameter", "D", Figure::exact(diameter, Unit::Metre), "set-up")
        .input("importance factor", "Ie", Figure::exact(importance, Unit::Count), "set-up")
        .input("acceleration, g", "Sac", Figure::exact(acceleration, Unit::Count), "given")
        .step("wave", "0.42 · D · Ie · Sac", Figure::exact(wave, Unit::Metre))
        .without("A lid: closed tanks press on it instead")
        .source("ASCE 7-10 and 7-16, 15.7.6 (from memory); API 650 annex E")
        .gives(metres(wave)))
}
