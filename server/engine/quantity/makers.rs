//! Quantities from plain numbers and back, a unit each.

use uom::si::mass_concentration::{gram_per_liter, milligram_per_liter};
use uom::si::power::watt;
use uom::si::radiant_exposure::joule_per_square_meter;
use uom::si::volume::{cubic_meter, liter, milliliter};
use uom::si::{area, dynamic_viscosity, energy, force, length, mass, mass_density, pressure};
use uom::si::{thermodynamic_temperature, time, velocity};

use super::{
    Area, DynamicViscosity, Energy, Force, Frequency, Length, Mass, MassConcentration, MassDensity, Power, Pressure,
    RadiantExposure, ThermodynamicTemperature, Time, Velocity, Volume, VolumeRate,
};

/// Litres as a volume.
#[must_use]
pub fn litres(value: f64) -> Volume {
    Volume::new::<liter>(value)
}

/// A US gallon: 231 cubic inches, exactly (NIST Handbook 44, appendix C). uom's own is rounded to seven figures.
#[must_use]
pub fn us_gallon() -> Volume {
    let inch = Length::new::<length::inch>(1.0);
    inch * inch * inch * 231.0
}

/// A volume in litres.
#[must_use]
pub fn as_litres(volume: Volume) -> f64 {
    volume.get::<liter>()
}

/// Cubic metres as a volume.
#[must_use]
pub fn cubic_metres(value: f64) -> Volume {
    Volume::new::<cubic_meter>(value)
}

/// A volume in cubic metres.
#[must_use]
pub fn as_cubic_metres(volume: Volume) -> f64 {
    volume.get::<cubic_meter>()
}

/// Metres as a length.
#[must_use]
pub fn metres(value: f64) -> Length {
    Length::new::<length::meter>(value)
}

/// A length in metres.
#[must_use]
pub fn as_metres(length: Length) -> f64 {
    length.get::<length::meter>()
}

/// Millimetres as a length.
#[must_use]
pub fn millimetres(value: f64) -> Length {
    Length::new::<length::millimeter>(value)
}

/// Square metres as an area.
#[must_use]
pub fn square_metres(value: f64) -> Area {
    Area::new::<area::square_meter>(value)
}

/// A length in millimetres.
#[must_use]
pub fn as_millimetres(length: Length) -> f64 {
    length.get::<length::millimeter>()
}

/// An area in square metres.
#[must_use]
pub fn as_square_metres(area: Area) -> f64 {
    area.get::<area::square_meter>()
}

/// Days of 24 hours as a time.
#[must_use]
pub fn days(value: f64) -> Time {
    Time::new::<time::day>(value)
}

/// A time in days of 24 hours.
#[must_use]
pub fn as_days(time: Time) -> f64 {
    time.get::<time::day>()
}

/// Hours as a time.
#[must_use]
pub fn hours(value: f64) -> Time {
    Time::new::<time::hour>(value)
}

/// A time in hours.
#[must_use]
pub fn as_hours(time: Time) -> f64 {
    time.get::<time::hour>()
}

/// Seconds as a time.
#[must_use]
pub fn seconds(value: f64) -> Time {
    Time::new::<time::second>(value)
}

/// A time in seconds.
#[must_use]
pub fn as_seconds(time: Time) -> f64 {
    time.get::<time::second>()
}

/// Metres a second as a velocity.
#[must_use]
pub fn metres_per_second(value: f64) -> Velocity {
    Velocity::new::<velocity::meter_per_second>(value)
}

/// A velocity in metres a second.
#[must_use]
pub fn as_metres_per_second(velocity: Velocity) -> f64 {
    velocity.get::<velocity::meter_per_second>()
}

/// Kilopascals as a pressure.
#[must_use]
pub fn kilopascals(value: f64) -> Pressure {
    Pressure::new::<pressure::kilopascal>(value)
}

/// A pressure in kilopascals.
#[must_use]
pub fn as_kilopascals(pressure: Pressure) -> f64 {
    pressure.get::<pressure::kilopascal>()
}

/// Kilograms a cubic metre as a density.
#[must_use]
pub fn kg_per_cubic_metre(value: f64) -> MassDensity {
    MassDensity::new::<mass_density::kilogram_per_cubic_meter>(value)
}

/// A density in kilograms a cubic metre.
#[must_use]
pub fn as_kg_per_cubic_metre(density: MassDensity) -> f64 {
    density.get::<mass_density::kilogram_per_cubic_meter>()
}

/// Pascal seconds as a dynamic viscosity.
#[must_use]
pub fn pascal_seconds(value: f64) -> DynamicViscosity {
    DynamicViscosity::new::<dynamic_viscosity::pascal_second>(value)
}

/// A dynamic viscosity in pascal seconds.
#[must_use]
pub fn as_pascal_seconds(viscosity: DynamicViscosity) -> f64 {
    viscosity.get::<dynamic_viscosity::pascal_second>()
}

/// Kilonewtons as a force.
#[must_use]
pub fn kilonewtons(value: f64) -> Force {
    Force::new::<force::kilonewton>(value)
}

/// A force in kilonewtons.
#[must_use]
pub fn as_kilonewtons(force: Force) -> f64 {
    force.get::<force::kilonewton>()
}

/// Degrees Celsius as a temperature.
#[must_use]
pub fn celsius(value: f64) -> ThermodynamicTemperature {
    ThermodynamicTemperature::new::<thermodynamic_temperature::degree_celsius>(value)
}

/// A temperature in degrees Celsius.
#[must_use]
pub fn as_celsius(temperature: ThermodynamicTemperature) -> f64 {
    temperature.get::<thermodynamic_temperature::degree_celsius>()
}

/// Kilowatt hours as an energy.
#[must_use]
pub fn kilowatt_hours(value: f64) -> Energy {
    Energy::new::<energy::kilowatt_hour>(value)
}

/// An energy in kilowatt hours.
#[must_use]
pub fn as_kilowatt_hours(energy: Energy) -> f64 {
    energy.get::<energy::kilowatt_hour>()
}

/// Watt-hours as an energy.
#[must_use]
pub fn watt_hours(value: f64) -> Energy {
    kilowatt_hours(value / 1000.0)
}

/// An energy in watt-hours.
#[must_use]
pub fn as_watt_hours(energy: Energy) -> f64 {
    as_kilowatt_hours(energy) * 1000.0
}

/// Kilograms as a mass.
#[must_use]
pub fn kilograms(value: f64) -> Mass {
    Mass::new::<mass::kilogram>(value)
}

/// A mass in kilograms.
#[must_use]
pub fn as_kilograms(mass: Mass) -> f64 {
    mass.get::<mass::kilogram>()
}

/// Milligrams per litre as a mass concentration.
#[must_use]
pub fn mg_per_litre(value: f64) -> MassConcentration {
    MassConcentration::new::<milligram_per_liter>(value)
}

/// A mass concentration in milligrams per litre.
#[must_use]
pub fn as_mg_per_litre(concentration: MassConcentration) -> f64 {
    concentration.get::<milligram_per_liter>()
}

/// Watts as a power.
#[must_use]
pub fn watts(value: f64) -> Power {
    Power::new::<watt>(value)
}

/// A power in watts.
#[must_use]
pub fn as_watts(power: Power) -> f64 {
    power.get::<watt>()
}

/// Litres a day as a rate.
#[must_use]
pub fn litres_per_day(value: f64) -> VolumeRate {
    litres(value) / days(1.0)
}

/// A rate in litres a day.
#[must_use]
pub fn as_litres_per_day(rate: VolumeRate) -> f64 {
    as_litres(rate * days(1.0))
}

/// Litres an hour as a rate.
#[must_use]
pub fn litres_per_hour(value: f64) -> VolumeRate {
    litres(value) / hours(1.0)
}

/// A rate in litres an hour.
#[must_use]
pub fn as_litres_per_hour(rate: VolumeRate) -> f64 {
    as_litres(rate * hours(1.0))
}

/// Litres a minute as a rate.
#[must_use]
pub fn litres_per_minute(value: f64) -> VolumeRate {
    litres(value) / seconds(60.0)
}

/// A rate in litres a minute.
#[must_use]
pub fn as_litres_per_minute(rate: VolumeRate) -> f64 {
    as_litres(rate * seconds(60.0))
}

/// Minutes as a time.
#[must_use]
pub fn minutes(value: f64) -> Time {
    Time::new::<time::minute>(value)
}

/// A time in minutes.
#[must_use]
pub fn as_minutes(time: Time) -> f64 {
    time.get::<time::minute>()
}

/// Millilitres as a volume.
#[must_use]
pub fn millilitres(value: f64) -> Volume {
    Volume::new::<milliliter>(value)
}

/// A volume in millilitres.
#[must_use]
pub fn as_millilitres(volume: Volume) -> f64 {
    volume.get::<milliliter>()
}

/// Grams as a mass.
#[must_use]
pub fn grams(value: f64) -> Mass {
    Mass::new::<mass::gram>(value)
}

/// A mass in grams.
#[must_use]
pub fn as_grams(mass: Mass) -> f64 {
    mass.get::<mass::gram>()
}

/// Grams per litre as a mass concentration.
#[must_use]
pub fn grams_per_litre(value: f64) -> MassConcentration {
    MassConcentration::new::<gram_per_liter>(value)
}

/// A mass concentration in grams per litre.
#[must_use]
pub fn as_grams_per_litre(concentration: MassConcentration) -> f64 {
    concentration.get::<gram_per_liter>()
}

/// A part of something a day, as a rate of decay.
#[must_use]
pub fn per_day(value: f64) -> Frequency {
    value / days(1.0)
}

/// A rate of decay as a part a day.
#[must_use]
pub fn as_per_day(rate: Frequency) -> f64 {
    (rate * days(1.0)).value
}

/// Millijoules a square centimetre as a dose of ultraviolet light.
#[must_use]
pub fn mj_per_cm2(value: f64) -> RadiantExposure {
    RadiantExposure::new::<joule_per_square_meter>(10.0 * value)
}

/// A dose of ultraviolet light in millijoules a square centimetre.
#[must_use]
pub fn as_mj_per_cm2(dose: RadiantExposure) -> f64 {
    dose.get::<joule_per_square_meter>() / 10.0
}

/// Chlorine in mg/L times minutes of contact: the measure of what it was given the chance to do. uom has no name for
/// it.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Ct(f64);

impl Ct {
    /// From mg·min/L.
    #[must_use]
    pub const fn mg_min_per_litre(value: f64) -> Self {
        Self(value)
    }

    /// In mg·min/L.
    #[must_use]
    pub const fn as_mg_min_per_litre(self) -> f64 {
        self.0
    }
}
