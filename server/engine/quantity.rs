//! Quantities: uom's types, short makers and readers, and what each measured thing is called and may be.
//!
//! A number enters the engine as a [`Measure`] that is checked once, at the door, and travels as a uom quantity, so
//! that metres are never added to litres. Every conversion is uom's.

mod makers;
mod unit;

use core::fmt;

pub use makers::*;
pub use unit::Unit;
pub use uom::si::f64::{
    Area, DynamicViscosity, Energy, Force, Frequency, Length, Mass, MassConcentration, MassDensity, Power, Pressure,
    RadiantExposure, Ratio, ThermodynamicTemperature, Time, Velocity, Volume, VolumeRate,
};

/// A measured thing: what it is called, the unit it is kept in, and the range outside which it is not believed.
/// Declared once here; forms, files, the ledger and the engine all check against the same one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measure {
    /// what it is called, in plain words
    pub name: &'static str,
    /// the unit it is kept in
    pub unit: Unit,
    /// the least that is allowed
    pub min: f64,
    /// the most that is allowed
    pub max: f64,
}

impl Measure {
    pub(crate) const fn new(name: &'static str, unit: Unit, min: f64, max: f64) -> Self {
        Self { name, unit, min, max }
    }

    /// The value, if it is a number and within the range.
    ///
    /// # Errors
    /// [`OutOfRange`] names the thing, the value and what is allowed; NaN is out of every range.
    ///
    /// ```
    /// use keepwell_engine::quantity::FREE_CHLORINE;
    /// assert_eq!(FREE_CHLORINE.check(0.6), Ok(0.6));
    /// let error = FREE_CHLORINE.check(-1.0).unwrap_err();
    /// assert_eq!(error.to_string(), "free chlorine is -1 mg/L; allowed is 0 to 1000 mg/L");
    /// assert!(FREE_CHLORINE.check(f64::NAN).is_err());
    /// ```
    pub fn check(&'static self, value: f64) -> Result<f64, OutOfRange> {
        if (self.min..=self.max).contains(&value) { Ok(value) } else { Err(OutOfRange { measure: *self, value }) }
    }
}

/// A value outside what its [`Measure`] allows.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub struct OutOfRange {
    /// what was measured, with its range
    pub measure: Measure,
    /// what was given
    pub value: f64,
}

impl fmt::Display for OutOfRange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Measure { name, unit, min, max } = self.measure;
        let sign = unit.sign();
        let gap = if sign.is_empty() { "" } else { " " };
        write!(f, "{name} is {}{gap}{sign}; allowed is {min} to {max}{gap}{sign}", self.value)
    }
}

/// litres in or out, at most the largest store this service is made for
pub const VOLUME: Measure = Measure::new("volume", Unit::Litre, 0.0, 10_000_000.0);
/// a depth of water
pub const DEPTH: Measure = Measure::new("depth", Unit::Metre, 0.0, 30.0);
/// a length, width, height or diameter of a vessel
pub const DIMENSION: Measure = Measure::new("dimension", Unit::Metre, 0.01, 100.0);
/// the height of a way of drawing, or of the full mark, over the vessel's floor
pub const HEIGHT: Measure = Measure::new("height", Unit::Metre, 0.0, 30.0);
/// height over the sea, or of a vessel's floor over the site's datum
pub const ELEVATION: Measure = Measure::new("elevation", Unit::Metre, -500.0, 6000.0);
/// part of the brim
pub const FRACTION: Measure = Measure::new("part of full", Unit::Fraction, 0.0, 1.0);
/// a counter's reading
pub const METER: Measure = Measure::new("meter reading", Unit::Litre, 0.0, 1e12);
/// litres of one container
pub const CONTAINER: Measure = Measure::new("litres each", Unit::Litre, 0.1, 5_000.0);
/// how many containers
pub const CONTAINERS: Measure = Measure::new("number of containers", Unit::Count, 1.0, 100_000.0);
/// how many people
pub const PEOPLE: Measure = Measure::new("people", Unit::Count, 0.0, 1_000_000.0);
/// how many animals
pub const ANIMALS: Measure = Measure::new("animals", Unit::Count, 0.0, 1_000_000.0);
/// free chlorine
pub const FREE_CHLORINE: Measure = Measure::new("free chlorine", Unit::MilligramPerLitre, 0.0, 1000.0);
/// total chlorine
pub const TOTAL_CHLORINE: Measure = Measure::new("total chlorine", Unit::MilligramPerLitre, 0.0, 1000.0);
/// the residual below which a policy asks for a test
pub const RESIDUAL_FLOOR: Measure = Measure::new("residual floor", Unit::MilligramPerLitre, 0.0, 4.0);
/// cloudiness
pub const TURBIDITY: Measure = Measure::new("turbidity", Unit::Ntu, 0.0, 4000.0);
/// acidity
pub const PH: Measure = Measure::new("pH", Unit::Ph, 0.0, 14.0);
/// water temperature
pub const WATER_TEMPERATURE: Measure = Measure::new("water temperature", Unit::Celsius, -2.0, 100.0);
/// an amount of disinfectant put in
pub const DOSE_VOLUME: Measure = Measure::new("disinfectant added", Unit::Litre, 0.0, 1_000.0);
/// available chlorine of a product
pub const PERCENT: Measure = Measure::new("strength", Unit::Fraction, 0.0, 1.0);
/// electrical power of a load or a generator
pub const POWER: Measure = Measure::new("power", Unit::Watt, 0.0, 1_000_000.0);
/// hours within a day
pub const HOURS_A_DAY: Measure = Measure::new("hours a day", Unit::Hour, 0.0, 24.0);
/// how long something ran
pub const RUN_HOURS: Measure = Measure::new("hours run", Unit::Hour, 0.0, 10_000.0);
/// fuel burnt an hour, litres of liquid (propane too)
pub const BURN: Measure = Measure::new("fuel an hour", Unit::LitrePerHour, 0.0, 1_000.0);
/// litres of fuel
pub const FUEL: Measure = Measure::new("fuel", Unit::Litre, 0.0, 1_000_000.0);
/// days between two renewals, or a target
pub const INTERVAL: Measure = Measure::new("days between", Unit::Day, 1.0, 3_650.0);
/// litres a person a day for one use
pub const RATION: Measure = Measure::new("litres a person a day", Unit::LitrePerDay, 0.0, 2_000.0);
/// flow of a tap, a hose, a pipe
pub const FLOW_AT_TAP: Measure = Measure::new("flow", Unit::LitrePerMinute, 0.000_1, 1_000_000.0);
/// pressure at a tap
pub const PRESSURE: Measure = Measure::new("pressure", Unit::Kilopascal, 0.0, 2_000.0);
/// flow that a pump's curve is given at
pub const PUMP_FLOW: Measure = Measure::new("flow", Unit::LitrePerMinute, 0.0, 1_000_000.0);
/// the head that a pump makes, or wants at its suction
pub const PUMP_HEAD: Measure = Measure::new("head", Unit::Metre, 0.0, 10_000.0);
/// length of a pipe
pub const PIPE_RUN: Measure = Measure::new("length of pipe", Unit::Metre, 0.0, 10_000.0);
/// how many bends, valves and tees a pipe has
pub const FITTINGS: Measure = Measure::new("fittings", Unit::Count, 0.0, 1_000.0);
/// the place of a stage in its train, counted from the source
pub const PLACE: Measure = Measure::new("place", Unit::Count, 1.0, 50.0);
/// months that a filter's medium may serve
pub const MEDIA_MONTHS: Measure = Measure::new("months of use", Unit::Count, 0.1, 1_200.0);
/// litres that a filter's medium may pass
pub const MEDIA_LITRES: Measure = Measure::new("litres of use", Unit::Litre, 1.0, 10_000_000.0);
/// hours that a lamp has burnt
pub const LAMP_HOURS: Measure = Measure::new("lamp hours", Unit::Hour, 0.0, 1_000_000.0);
/// hours that a lamp may burn
pub const LAMP_LIFE: Measure = Measure::new("lamp life", Unit::Hour, 1.0, 1_000_000.0);
/// electricity that a pump takes
pub const PUMP_POWER: Measure = Measure::new("power", Unit::Watt, 1.0, 1_000_000.0);
/// pressure at which a switch stops its pump
pub const CUT_OUT: Measure = Measure::new("cut-out", Unit::Kilopascal, 1.0, 2_000.0);
/// a pressure tank's own volume
pub const PRESSURE_TANK: Measure = Measure::new("pressure tank", Unit::Litre, 0.1, 1_000_000.0);
/// how hard the ground shakes, in g: by 4.5 nothing would be left of a vessel's weight
pub const SHAKING: Measure = Measure::new("acceleration", Unit::Count, 0.0, 4.0);
/// degrees north
pub const LATITUDE: Measure = Measure::new("latitude", Unit::Count, -90.0, 90.0);
/// degrees east
pub const LONGITUDE: Measure = Measure::new("longitude", Unit::Count, -180.0, 180.0);
/// how many containers of a set are full; a part of one counts as a part
pub const CONTAINERS_FULL: Measure = Measure::new("full containers", Unit::Count, 0.0, 100_000.0);
/// days of heat that are supposed
pub const SUPPOSED_DAYS: Measure = Measure::new("days", Unit::Day, 0.0, 3_650.0);
/// days that half, or nine in ten, of such outages last
pub const OUTAGE_DAYS: Measure = Measure::new("days", Unit::Day, 0.001, 3_650.0);
/// the part of what is drawn that is lost in handing it out
pub const HANDED_OUT: Measure = Measure::new("part lost in handing out", Unit::Fraction, 0.0, 0.9);
/// what a thing costs, in whatever money
pub const PRICE: Measure = Measure::new("price", Unit::Count, 0.0, 1_000_000_000.0);
/// the chance that a thing comes about
pub const CHANCE: Measure = Measure::new("chance", Unit::Fraction, 0.0, 1.0);
/// the most that is brought from one place to another in a day
pub const CARRIED: Measure = Measure::new("litres carried a day", Unit::LitrePerDay, 0.1, 10_000_000.0);
/// litres of one trip
pub const TRIP: Measure = Measure::new("litres in one trip", Unit::Litre, 0.1, 100_000.0);
/// the part of what is carried that does not arrive
pub const LOSS: Measure = Measure::new("part lost", Unit::Fraction, 0.0, 0.99);
/// one standard deviation of a length
pub const STANDARD_DEVIATION: Measure = Measure::new("standard deviation", Unit::Metre, 0.0, 10.0);
