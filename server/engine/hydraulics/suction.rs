//! The side a pump draws from: the air's pressure, what is left of it at the pump, how high it can lift, and siphons.

use super::error::HydraulicsError;
use super::measures::ALTITUDE;
use super::measures::ATMOSPHERE;
use super::measures::DENSITY;
use super::measures::GRAVITY;
use super::measures::HEAD;
use super::measures::LIFT;
use super::measures::SUCTION_GAUGE;
use super::measures::VAPOUR;
use super::measures::VELOCITY;
use super::water::STANDARD_ATMOSPHERE;
use crate::quantity::Length;
use crate::quantity::MassDensity;
use crate::quantity::Pressure;
use crate::quantity::Unit;
use crate::quantity::Velocity;
use crate::quantity::as_kg_per_cubic_metre;
use crate::quantity::as_kilopascals;
use crate::quantity::as_metres;
use crate::quantity::as_metres_per_second;
use crate::quantity::kilopascals;
use crate::quantity::metres;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

/// The air's pressure at a height over the sea: 101.325 (1 − 2.25577 × 10⁻⁵ z)^5.25588 kPa.
///
/// | | |
/// |---|---|
/// | z | −500 to 11,000 m |
/// | error | weather is worth ±2 kPa |
/// | source | ISO 2533, standard atmosphere (formula from memory) |
///
/// # Errors
/// [`HydraulicsError`] for a height out of range.
///
/// ```
/// use keepwell_engine::hydraulics::atmospheric_pressure;
/// use keepwell_engine::quantity::{as_kilopascals, metres};
/// // ENG-081: 84.5559905 kPa at 1,500 m.
/// assert!((as_kilopascals(atmospheric_pressure(metres(1500.0))?.value) - 84.5559905).abs() < 1e-6);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn atmospheric_pressure(altitude: Length) -> Result<Reckoned<Pressure>, HydraulicsError> {
    let altitude = ALTITUDE.check(as_metres(altitude))?;
    let pressure = STANDARD_ATMOSPHERE * (1.0 - 2.255_77e-5 * altitude).powf(5.255_88);
    Ok(Working::new("Pressure of the air", "p = 101.325 · (1 − 2.25577·10⁻⁵ · z)^5.25588")
        .input("height over the sea", "z", Figure::exact(altitude, Unit::Metre), "given")
        .step("pressure", "101.325 · (1 − 2.25577·10⁻⁵ · z)^5.25588", Figure::exact(pressure, Unit::Kilopascal))
        .without("Weather, ±2 kPa")
        .source("ISO 2533, standard atmosphere (formula from memory)")
        .gives(kilopascals(pressure)))
}

/// The air over a pump's suction, and the water it is filled with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Suction {
    atmosphere: f64,
    vapour: f64,
    density: f64,
}

impl Suction {
    /// From the air's pressure (10 to 200 kPa), the water's vapour pressure (0 to 200 kPa) and density.
    ///
    /// # Errors
    /// [`HydraulicsError`] for a figure out of range.
    pub fn new(atmosphere: Pressure, vapour: Pressure, density: MassDensity) -> Result<Self, HydraulicsError> {
        Ok(Self {
            atmosphere: ATMOSPHERE.check(as_kilopascals(atmosphere))?,
            vapour: VAPOUR.check(as_kilopascals(vapour))?,
            density: DENSITY.check(as_kg_per_cubic_metre(density))?,
        })
    }

    fn metre(&self) -> f64 {
        self.density * GRAVITY / 1000.0
    }

    /// The air as metres of water, less what the vapour takes.
    fn air(&self) -> f64 {
        (self.atmosphere - self.vapour) / self.metre()
    }

    fn working(&self, what: &'static str, formula: &'static str) -> Working {
        Working::new(what, formula)
            .input("pressure of the air", "pa", Figure::exact(self.atmosphere, Unit::Kilopascal), "given")
            .input("vapour pressure", "pv", Figure::exact(self.vapour, Unit::Kilopascal), "given")
            .input("density", "ρ", Figure::exact(self.density, Unit::KilogramPerCubicMetre), "given")
            .step("the air as a head of water", "(pa − pv)/(ρ · g)", Figure::exact(self.air(), Unit::Metre))
    }

    /// What is left at the pump's eye over boiling: NPSHA = (pa − pv)/(ρ g) + z − h.
    ///
    /// | | |
    /// |---|---|
    /// | z | the water's level over the pump, negative where it must be lifted: −1,000 to 10,000 m |
    /// | h | lost in the suction line, 0 to 10,000 m |
    /// | answer | 0.6 to 1.0 m more than the pump requires is usual (common practice, no source; ANSI/HI 9.6.1 treats it); 0 or less boils |
    /// | source | Bernoulli |
    ///
    /// # Errors
    /// [`HydraulicsError`] for a figure out of range.
    ///
    /// ```
    /// use keepwell_engine::hydraulics::Suction;
    /// use keepwell_engine::quantity::{as_metres, kg_per_cubic_metre, kilopascals, metres};
    /// // ENG-083: a pump handbook has 33.9 + 6.0 − 0.839 − 2.0 − 2.0 = 35.061 ft.
    /// let suction = Suction::new(kilopascals(101.325), kilopascals(2.5077), kg_per_cubic_metre(999.58))?;
    /// let left = suction.npsh(metres(1.8288), metres(1.2192))?.value;
    /// assert!((as_metres(left) - 35.061 * 0.3048).abs() < 0.002 * 10.7);
    /// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
    /// ```
    pub fn npsh(&self, level: Length, loss: Length) -> Result<Reckoned<Length>, HydraulicsError> {
        let level = LIFT.check(as_metres(level))?;
        let loss = HEAD.check(as_metres(loss))?;
        let left = self.air() + level - loss;
        Ok(self
            .working("Suction head available (NPSHA)", "(pa − pv)/(ρ · g) + z − h")
            .input("water over the pump", "z", Figure::exact(level, Unit::Metre), "given")
            .input("lost in the suction line", "h", Figure::exact(loss, Unit::Metre), "given")
            .step("left at the pump", "(pa − pv)/(ρ · g) + z − h", Figure::exact(left, Unit::Metre))
            .without("Air dissolved in the water")
            .source("Bernoulli")
            .gives(metres(left)))
    }

    /// The same from a gauge at the suction: (p + pa − pv)/(ρ g) + v²/2g + z.
    ///
    /// | | |
    /// |---|---|
    /// | p | the gauge, over the air's pressure, −100 to 10,000 kPa |
    /// | v | speed there, 0 to 150 m/s |
    /// | z | the gauge over the pump's datum, −1,000 to 10,000 m |
    ///
    /// # Errors
    /// [`HydraulicsError`] for a figure out of range.
    ///
    /// ```
    /// use keepwell_engine::hydraulics::Suction;
    /// use keepwell_engine::quantity::{as_metres, kg_per_cubic_metre, kilopascals, metres, metres_per_second};
    /// // ENG-084: a pump training note has 41.27 ft in its example 4.
    /// let suction = Suction::new(kilopascals(101.3529), kilopascals(2.3373), kg_per_cubic_metre(998.2))?;
    /// let left = suction.npsh_from_gauge(kilopascals(16.5474), metres_per_second(3.048), metres(0.3048))?.value;
    /// assert!((as_metres(left) - 41.27 * 0.3048).abs() < 0.003 * 12.6);
    /// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
    /// ```
    pub fn npsh_from_gauge(
        &self,
        gauge: Pressure,
        speed: Velocity,
        over_datum: Length,
    ) -> Result<Reckoned<Length>, HydraulicsError> {
        let gauge = SUCTION_GAUGE.check(as_kilopascals(gauge))?;
        let speed = VELOCITY.check(as_metres_per_second(speed))?;
        let over_datum = LIFT.check(as_metres(over_datum))?;
        let left = gauge / self.metre() + self.air() + speed * speed / (2.0 * GRAVITY) + over_datum;
        Ok(self
            .working("Suction head available (NPSHA) from a gauge", "(p + pa − pv)/(ρ · g) + v²/(2g) + z")
            .input("suction gauge", "p", Figure::exact(gauge, Unit::Kilopascal), "measured")
            .input("speed there", "v", Figure::exact(speed, Unit::MetrePerSecond), "given")
            .input("gauge over the pump's datum", "z", Figure::exact(over_datum, Unit::Metre), "given")
            .step("available", "(p + pa − pv)/(ρ · g) + v²/(2g) + z", Figure::exact(left, Unit::Metre))
            .source("Bernoulli")
            .gives(metres(left)))
    }

    /// How high the pump may stand over the water: (pa − pv)/(ρ g) − h − NPSHR − margin. Below 0 it must stand below it.
    ///
    /// # Errors
    /// [`HydraulicsError`] for a figure out of range.
    ///
    /// ```
    /// use keepwell_engine::hydraulics::Suction;
    /// use keepwell_engine::quantity::{as_metres, kg_per_cubic_metre, kilopascals, metres};
    /// // ENG-085: 5.71196444 m, closed form.
    /// let suction = Suction::new(kilopascals(101.325), kilopascals(2.339), kg_per_cubic_metre(998.2))?;
    /// let lift = suction.max_lift(metres(0.8), metres(3.0), metres(0.6))?.value;
    /// assert!((as_metres(lift) - 5.71196444).abs() < 1e-6);
    /// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
    /// ```
    pub fn max_lift(
        &self,
        loss: Length,
        required: Length,
        margin: Length,
    ) -> Result<Reckoned<Length>, HydraulicsError> {
        let loss = HEAD.check(as_metres(loss))?;
        let required = HEAD.check(as_metres(required))?;
        let margin = HEAD.check(as_metres(margin))?;
        let lift = self.air() - loss - required - margin;
        Ok(self
            .working("How high a pump may stand over the water", "(pa − pv)/(ρ · g) − h − NPSHR − margin")
            .input("lost in the suction line", "h", Figure::exact(loss, Unit::Metre), "given")
            .input("what the pump requires", "NPSHR", Figure::exact(required, Unit::Metre), "maker's curve")
            .input("margin", "", Figure::exact(margin, Unit::Metre), "given")
            .step("highest", "(pa − pv)/(ρ · g) − h − NPSHR − margin", Figure::exact(lift, Unit::Metre))
            .source("Bernoulli")
            .gives(metres(lift)))
    }

    /// How far a siphon's crest may stand over the water it draws from: (pa − pv)/(ρ g) − v²/2g − h.
    ///
    /// | | |
    /// |---|---|
    /// | v | speed in the hose, 0 to 150 m/s |
    /// | h | lost on the way up, 0 to 10,000 m |
    /// | answer | in theory; 6 to 7 m in practice, as dissolved air comes out (common practice, no source) |
    /// | source | Bernoulli to the crest |
    ///
    /// # Errors
    /// [`HydraulicsError`] for a figure out of range.
    ///
    /// ```
    /// use keepwell_engine::hydraulics::Suction;
    /// use keepwell_engine::quantity::{as_metres, kg_per_cubic_metre, kilopascals, metres, metres_per_second};
    /// // ENG-109: 9.49724637 m, closed form.
    /// let suction = Suction::new(kilopascals(101.325), kilopascals(2.339), kg_per_cubic_metre(998.2))?;
    /// let crest = suction.siphon_crest(metres_per_second(1.5), metres(0.5))?.value;
    /// assert!((as_metres(crest) - 9.49724637).abs() < 1e-6);
    /// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
    /// ```
    pub fn siphon_crest(&self, speed: Velocity, loss: Length) -> Result<Reckoned<Length>, HydraulicsError> {
        let speed = VELOCITY.check(as_metres_per_second(speed))?;
        let loss = HEAD.check(as_metres(loss))?;
        let crest = self.air() - speed * speed / (2.0 * GRAVITY) - loss;
        Ok(self
            .working("How high a siphon may rise over the water", "(pa − pv)/(ρ · g) − v²/(2g) − h")
            .input("speed", "v", Figure::exact(speed, Unit::MetrePerSecond), "given")
            .input("lost on the way up", "h", Figure::exact(loss, Unit::Metre), "given")
            .step("highest", "(pa − pv)/(ρ · g) − v²/(2g) − h", Figure::exact(crest, Unit::Metre))
            .without("Air that comes out of the water: 6 to 7 m in practice (common practice, no source)")
            .source("Bernoulli")
            .gives(metres(crest)))
    }
}

/// The pressure under a head of water: p = ρ g h.
///
/// # Errors
/// [`HydraulicsError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::hydraulics::pressure_of_head;
/// use keepwell_engine::quantity::{as_kilopascals, kg_per_cubic_metre, metres};
/// // ENG-070: 97.8899803 kPa under 10 m, closed form.
/// let p = pressure_of_head(metres(10.0), kg_per_cubic_metre(998.2))?.value;
/// assert!((as_kilopascals(p) - 97.8899803).abs() < 1e-6);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn pressure_of_head(head: Length, density: MassDensity) -> Result<Reckoned<Pressure>, HydraulicsError> {
    let head = LIFT.check(as_metres(head))?;
    let density = DENSITY.check(as_kg_per_cubic_metre(density))?;
    let pressure = density * GRAVITY * head / 1000.0;
    Ok(Working::new("Pressure under a head of water", "p = ρ · g · h")
        .input("head", "h", Figure::exact(head, Unit::Metre), "given")
        .input("density", "ρ", Figure::exact(density, Unit::KilogramPerCubicMetre), "given")
        .step("pressure", "ρ · g · h", Figure::exact(pressure, Unit::Kilopascal))
        .source("Stevin 1586")
        .gives(kilopascals(pressure)))
}
