//! The units that figures are kept in, and their twins in US customary units.

use uom::si::{area, force, length, mass, mass_density, pressure, thermodynamic_temperature, velocity};

use super::{
    Area, Force, Length, Mass, MassDensity, Pressure, ThermodynamicTemperature, Velocity, as_kg_per_cubic_metre,
    as_kilonewtons, as_litres, as_metres, as_metres_per_second, as_millimetres, as_square_metres, kg_per_cubic_metre,
    kilonewtons, litres, metres, metres_per_second, millimetres, square_metres, us_gallon,
};

/// The unit a figure is kept, logged and exported in. A reader may be shown another: [`Unit::to_us`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Unit {
    /// volume
    Litre,
    /// length, depth, height, elevation
    Metre,
    /// a bore, and other lengths too small for metres
    Millimetre,
    /// concentration of chlorine and the like
    MilligramPerLitre,
    /// temperature
    Celsius,
    /// pressure
    Kilopascal,
    /// electrical and mechanical power
    Watt,
    /// electrical energy
    WattHour,
    /// mass
    Kilogram,
    /// a length of time, short
    Hour,
    /// a length of time, long
    Day,
    /// fuel burn
    LitrePerHour,
    /// use, need, leak
    LitrePerDay,
    /// flow at a tap
    LitrePerMinute,
    /// turbidity
    Ntu,
    /// acidity; a bare number
    Ph,
    /// free surface, floor, bore
    SquareMetre,
    /// speed of water in a pipe
    MetrePerSecond,
    /// density
    KilogramPerCubicMetre,
    /// dynamic viscosity
    MillipascalSecond,
    /// a length of time, very short
    Second,
    /// starts of a pump
    PerHour,
    /// force
    Kilonewton,
    /// angle
    Degree,
    /// electrical current
    Ampere,
    /// energy for water lifted or treated: kWh per 1000 L
    KilowattHourPerCubicMetre,
    /// a small volume: bleach, a spoon
    Millilitre,
    /// a small mass: granules
    Gram,
    /// strength of a solution
    GramPerLitre,
    /// chlorine times contact
    MilligramMinutePerLitre,
    /// dose of ultraviolet light
    MillijoulePerSquareCentimetre,
    /// a length of time, for standing and boiling
    Minute,
    /// rate of decay
    PerDay,
    /// powers of ten taken away: 3 is 99.9 %
    Log10,
    /// a part of the whole, 0 to 1, shown in per cent
    Fraction,
    /// people, containers, a factor; a bare number
    Count,
}

impl Unit {
    /// The same figure in the unit a reader of US customary units expects (US gallons, feet, °F, psi, pounds).
    /// Units with no customary twin stay as they are.
    #[must_use]
    pub fn to_us(self, value: f64) -> f64 {
        match self {
            Self::Litre | Self::LitrePerHour | Self::LitrePerDay | Self::LitrePerMinute => {
                (litres(value) / us_gallon()).value
            }
            Self::Metre => metres(value).get::<length::foot>(),
            Self::Millimetre => millimetres(value).get::<length::inch>(),
            Self::Celsius => ThermodynamicTemperature::new::<thermodynamic_temperature::degree_celsius>(value)
                .get::<thermodynamic_temperature::degree_fahrenheit>(),
            Self::Kilopascal => Pressure::new::<pressure::kilopascal>(value).get::<pressure::psi>(),
            Self::Kilogram => Mass::new::<mass::kilogram>(value).get::<mass::pound>(),
            Self::SquareMetre => square_metres(value).get::<area::square_foot>(),
            Self::MetrePerSecond => metres_per_second(value).get::<velocity::foot_per_second>(),
            Self::KilogramPerCubicMetre => kg_per_cubic_metre(value).get::<mass_density::pound_per_cubic_foot>(),
            Self::Kilonewton => kilonewtons(value).get::<force::pound_force>(),
            Self::MilligramPerLitre
            | Self::MillipascalSecond
            | Self::Second
            | Self::PerHour
            | Self::Degree
            | Self::Ampere
            | Self::KilowattHourPerCubicMetre
            | Self::Millilitre
            | Self::Gram
            | Self::GramPerLitre
            | Self::MilligramMinutePerLitre
            | Self::MillijoulePerSquareCentimetre
            | Self::Minute
            | Self::PerDay
            | Self::Log10
            | Self::Watt
            | Self::WattHour
            | Self::Hour
            | Self::Day
            | Self::Ntu
            | Self::Ph
            | Self::Fraction
            | Self::Count => value,
        }
    }

    /// The reverse of [`Unit::to_us`].
    #[must_use]
    pub fn from_us(self, value: f64) -> f64 {
        match self {
            Self::Litre | Self::LitrePerHour | Self::LitrePerDay | Self::LitrePerMinute => {
                as_litres(us_gallon() * value)
            }
            Self::Metre => as_metres(Length::new::<length::foot>(value)),
            Self::Millimetre => as_millimetres(Length::new::<length::inch>(value)),
            Self::Celsius => ThermodynamicTemperature::new::<thermodynamic_temperature::degree_fahrenheit>(value)
                .get::<thermodynamic_temperature::degree_celsius>(),
            Self::Kilopascal => Pressure::new::<pressure::psi>(value).get::<pressure::kilopascal>(),
            Self::Kilogram => Mass::new::<mass::pound>(value).get::<mass::kilogram>(),
            Self::SquareMetre => as_square_metres(Area::new::<area::square_foot>(value)),
            Self::MetrePerSecond => as_metres_per_second(Velocity::new::<velocity::foot_per_second>(value)),
            Self::KilogramPerCubicMetre => {
                as_kg_per_cubic_metre(MassDensity::new::<mass_density::pound_per_cubic_foot>(value))
            }
            Self::Kilonewton => as_kilonewtons(Force::new::<force::pound_force>(value)),
            Self::MilligramPerLitre
            | Self::MillipascalSecond
            | Self::Second
            | Self::PerHour
            | Self::Degree
            | Self::Ampere
            | Self::KilowattHourPerCubicMetre
            | Self::Millilitre
            | Self::Gram
            | Self::GramPerLitre
            | Self::MilligramMinutePerLitre
            | Self::MillijoulePerSquareCentimetre
            | Self::Minute
            | Self::PerDay
            | Self::Log10
            | Self::Watt
            | Self::WattHour
            | Self::Hour
            | Self::Day
            | Self::Ntu
            | Self::Ph
            | Self::Fraction
            | Self::Count => value,
        }
    }

    /// The unit's sign in the metric system, for errors and logs. Pages have their own words.
    #[must_use]
    pub const fn sign(self) -> &'static str {
        match self {
            Self::Litre => "L",
            Self::Metre => "m",
            Self::Millimetre => "mm",
            Self::MilligramPerLitre => "mg/L",
            Self::Celsius => "°C",
            Self::Kilopascal => "kPa",
            Self::Watt => "W",
            Self::WattHour => "Wh",
            Self::Kilogram => "kg",
            Self::Hour => "h",
            Self::Day => "d",
            Self::LitrePerHour => "L/h",
            Self::LitrePerDay => "L/d",
            Self::LitrePerMinute => "L/min",
            Self::Ntu => "NTU",
            Self::SquareMetre => "m²",
            Self::MetrePerSecond => "m/s",
            Self::KilogramPerCubicMetre => "kg/m³",
            Self::MillipascalSecond => "mPa·s",
            Self::Second => "s",
            Self::PerHour => "/h",
            Self::Kilonewton => "kN",
            Self::Degree => "°",
            Self::Ampere => "A",
            Self::KilowattHourPerCubicMetre => "kWh/m³",
            Self::Millilitre => "mL",
            Self::Gram => "g",
            Self::GramPerLitre => "g/L",
            Self::MilligramMinutePerLitre => "mg·min/L",
            Self::MillijoulePerSquareCentimetre => "mJ/cm²",
            Self::Minute => "min",
            Self::PerDay => "/d",
            Self::Log10 => "log",
            Self::Ph | Self::Fraction | Self::Count => "",
        }
    }
}
