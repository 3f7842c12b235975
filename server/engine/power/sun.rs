//! What the sun gives day by day, and the hours of full sun at a latitude, where nobody has measured them.

use super::PowerError;
use super::rating::check;
use crate::quantity::Energy;
use crate::quantity::LATITUDE;
use crate::quantity::Measure;
use crate::quantity::Time;
use crate::quantity::Unit;
use crate::quantity::as_hours;
use crate::quantity::hours;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

const MONTH: Measure = Measure::new("month", Unit::Count, 1.0, 12.0);
const DAY_OF_YEAR: Measure = Measure::new("day of the year", Unit::Count, 1.0, 366.0);
const FIRST: Measure = Measure::new("day of the year of the first", Unit::Count, 1.0, 365.0);
const BRIGHT: Measure = Measure::new("part of the daylight with bright sun", Unit::Fraction, 0.0, 1.0);
/// The sun's radiation outside the air: 0.0820 MJ a square metre a minute (FAO 56, equation 21).
const SOLAR_CONSTANT: f64 = 0.0820;
/// Days of the year of the 15th of each month.
const MIDDLES: [f64; 12] = [15.0, 46.0, 74.0, 105.0, 135.0, 166.0, 196.0, 227.0, 258.0, 288.0, 319.0, 349.0];

/// The day of the year in the middle of a month, 1 to 12: its 15th, in a year without a leap day.
///
/// # Errors
/// [`PowerError`] for any other month.
///
/// ```
/// assert_eq!(keepwell_engine::power::mid_month(5)? as u32, 135);
/// # Ok::<(), keepwell_engine::power::PowerError>(())
/// ```
pub fn mid_month(month: u32) -> Result<f64, PowerError> {
    check(&MONTH, f64::from(month))?;
    Ok((month as usize).checked_sub(1).and_then(|place| MIDDLES.get(place)).copied().unwrap_or_default())
}

/// Days of a year without a leap day that are over when each month is.
const ENDS: [u32; 12] = [31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334, 365];

/// What the sun gives on each day from one on, by its months, without end: for [`crate::power::battery_days`].
///
/// | | |
/// |---|---|
/// | formula | each day gives what a day of its month does |
/// | months | a day in January to December, as [`super::solar_day`] makes it of the peak-sun hours |
/// | first | day of the year of the first, 1 to 365; the year after begins again with 1 |
/// | source | by definition; every day of a month is given the same sun |
///
/// # Errors
/// [`PowerError`] for a day that no year has.
///
/// ```
/// use keepwell_engine::power::by_month;
/// use keepwell_engine::quantity::{as_kilowatt_hours, kilowatt_hours};
/// // By hand: 2 kWh on 31 January, then 3 kWh on 1 February.
/// let mut months = [kilowatt_hours(2.0); 12];
/// months[1] = kilowatt_hours(3.0);
/// let days: Vec<f64> = by_month(&months, 31)?.take(2).map(as_kilowatt_hours).collect();
/// assert!((days[0] - 2.0).abs() < 1e-12 && (days[1] - 3.0).abs() < 1e-12);
/// # Ok::<(), keepwell_engine::power::PowerError>(())
/// ```
pub fn by_month(months: &[Energy; 12], first: u32) -> Result<impl Iterator<Item = Energy>, PowerError> {
    check(&FIRST, f64::from(first))?;
    let on = |day: u32| months[ENDS.partition_point(|end| *end < day).min(11)];
    Ok((1..=365_u32).cycle().skip(first as usize - 1).map(on))
}

/// The sun's path on a day: its declination, and the hour angle at which it sets; all in radians.
struct Path {
    latitude: f64,
    declination: f64,
    sets: f64,
    /// how much nearer than on average the sun is, squared
    nearer: f64,
}

impl Path {
    fn new(latitude: f64, day: f64) -> Result<Self, PowerError> {
        let latitude = check(&LATITUDE, latitude)?.to_radians();
        let turn = core::f64::consts::TAU * check(&DAY_OF_YEAR, day)? / 365.0;
        let declination = 0.409 * (turn - 1.39).sin();
        // beyond the polar circles it may not rise, or not set
        let sets = (-latitude.tan() * declination.tan()).clamp(-1.0, 1.0).acos();
        Ok(Self { latitude, declination, sets, nearer: 1.0 + 0.033 * turn.cos() })
    }

    fn daylight(&self) -> f64 {
        24.0 / core::f64::consts::PI * self.sets
    }

    /// MJ a day on a level square metre outside the air; a night of 24 hours has 0.
    fn outside(&self) -> f64 {
        let level = self.sets * self.latitude.sin() * self.declination.sin()
            + self.latitude.cos() * self.declination.cos() * self.sets.sin();
        (24.0 * 60.0 / core::f64::consts::PI * SOLAR_CONSTANT * self.nearer * level).max(0.0)
    }
}

/// Hours from sunrise to sunset.
///
/// | | |
/// |---|---|
/// | formula | N = 24/π · ω, cos ω = −tan φ · tan δ, δ = 0.409 · sin(2π·J/365 − 1.39) |
/// | latitude φ | −90 to 90°, south below 0 |
/// | day of the year J | 1 to 366 |
/// | source | FAO Irrigation and Drainage Paper 56 (Allen et al. 1998), equations 24, 25 and 34 |
///
/// # Errors
/// [`PowerError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::power::daylight;
/// use keepwell_engine::quantity::as_hours;
/// // FAO 56, example 9: 11.7 h at 20° S on 3 September, day 246.
/// assert!((as_hours(daylight(-20.0, 246.0)?) - 11.7).abs() < 0.05);
/// # Ok::<(), keepwell_engine::power::PowerError>(())
/// ```
pub fn daylight(latitude: f64, day: f64) -> Result<Time, PowerError> {
    Ok(hours(Path::new(latitude, day)?.daylight()))
}

/// Peak-sun hours a day on level ground: hours of full sun, 1 kW a square metre, that give as much as the day does.
///
/// | | |
/// |---|---|
/// | formula | (0.25 + 0.50 · n/N) · Rₐ / 3.6, Rₐ = 24·60/π · 0.0820 · dᵣ · (ω·sin φ·sin δ + cos φ·cos δ·sin ω), dᵣ = 1 + 0.033·cos(2π·J/365) |
/// | latitude φ | −90 to 90°, south below 0 |
/// | day of the year J | 1 to 366; [`mid_month`] |
/// | bright n/N | part of the daylight with bright sun, 0 to 1: 0 is a dull day, 1 a clear one |
/// | error | the two constants are an average of many places; a month can stray by 30 to 40 % (PVWatts manual, Dobos 2014) |
/// | source | FAO Irrigation and Drainage Paper 56 (Allen et al. 1998), equations 21 to 25 and 35 |
///
/// # Errors
/// [`PowerError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::power::{mid_month, sun_hours};
/// use keepwell_engine::quantity::as_hours;
/// // FAO 56, example 10: Rio de Janeiro, 22°54′ S, in May, 7.1 of 10.9 hours bright: 14.5 MJ a square metre a day.
/// let sun = sun_hours(-22.9, mid_month(5)?, 7.1 / 10.9)?.value;
/// assert!((3.6 * as_hours(sun) - 14.5).abs() < 0.06);
/// # Ok::<(), keepwell_engine::power::PowerError>(())
/// ```
pub fn sun_hours(latitude: f64, day: f64, bright: f64) -> Result<Reckoned<Time>, PowerError> {
    let path = Path::new(latitude, day)?;
    let bright = check(&BRIGHT, bright)?;
    let sun = hours((0.25 + 0.50 * bright) * path.outside() / 3.6);
    let number = |value| Figure::exact(value, Unit::Count);
    Ok(Working::new("Peak-sun hours a day on level ground", "(0.25 + 0.50 · n/N) · Rₐ / 3.6")
        .input("latitude, south below 0", "φ", number(latitude), "set-up")
        .input("day of the year", "J", number(day), "calendar")
        .input("part of the daylight with bright sun", "n/N", Figure::exact(bright, Unit::Fraction), "assumed")
        .step("daylight", "N = 24/π · ω", Figure::exact(path.daylight(), Unit::Hour))
        .step("outside the air, MJ a square metre a day", "Rₐ", number(path.outside()))
        .step("peak-sun hours", "(0.25 + 0.50 · n/N) · Rₐ / 3.6", Figure::exact(as_hours(sun), Unit::Hour))
        .without("A tilt of the panels, which gains in winter; shade; snow")
        .source("FAO Irrigation and Drainage Paper 56 (Allen et al. 1998), equations 21 to 25 and 35")
        .gives(sun))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::as_kilowatt_hours;
    use crate::quantity::kilowatt_hours;

    #[test]
    fn published_radiation_outside_the_air() {
        // FAO 56, example 8: 32.2 MJ at 20° S on 3 September; example 10: 25.1 at 22°54′ S on 15 May, and 10.9 h of day.
        let outside = |latitude: f64, day: f64| Path::new(latitude, day).unwrap().outside();
        assert!((outside(-20.0, 246.0) - 32.2).abs() < 0.05);
        assert!((outside(-22.9, 135.0) - 25.1).abs() < 0.05);
        assert!((as_hours(daylight(-22.9, 135.0).unwrap()) - 10.9).abs() < 0.05);
        // FAO 56, annex 2, table 2.6, month by month (from memory), to its last figure and the choice of the day
        let at_40_north = [15.0, 20.4, 27.2, 34.7, 39.7, 41.9, 40.8, 36.7, 30.0, 22.5, 16.3, 13.6];
        let at_the_equator = [36.2, 37.5, 37.9, 36.8, 34.8, 33.4, 33.9, 35.7, 37.2, 37.4, 36.3, 35.6];
        for (latitude, table) in [(40.0, at_40_north), (0.0, at_the_equator)] {
            for (month, expected) in (1..=12).zip(table) {
                let got = outside(latitude, mid_month(month).unwrap());
                assert!((got - expected).abs() < 0.16, "{latitude}°, month {month}: {got}, expected {expected}");
            }
        }
    }

    #[test]
    fn beyond_the_polar_circle_the_sun_stays_away_or_up() {
        assert!(as_hours(daylight(80.0, 349.0).unwrap()).abs() < 1e-9);
        assert!((as_hours(daylight(80.0, 166.0).unwrap()) - 24.0).abs() < 1e-9);
        assert!(as_hours(sun_hours(80.0, 349.0, 1.0).unwrap().value).abs() < 1e-9);
    }

    #[test]
    fn each_day_has_the_sun_of_its_month() {
        // kilowatt-hours as the month's number, from 30 November (day 334) on: 1 day of 11, 31 of 12, 31 of 1, then 2
        let months = [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0].map(kilowatt_hours);
        let got = by_month(&months, 334).unwrap().take(64).map(as_kilowatt_hours);
        let expected = [11.0].into_iter().chain([12.0; 31]).chain([1.0; 31]).chain([2.0]);
        assert!(got.zip(expected).all(|(got, expected)| (got - expected).abs() < 1e-9));
        // a whole year is each month's days: 31 × 1 + 28 × 2 + 31 × 3 + 30 × 4 + … + 31 × 12 = 2,382
        let year: f64 = by_month(&months, 1).unwrap().take(365).map(as_kilowatt_hours).sum();
        assert!((year - 2382.0).abs() < 1e-6, "{year}");
        for first in [0, 366] {
            let refused = by_month(&months, first).err().unwrap().to_string();
            assert!(refused.contains(&format!("is {first}")), "{refused}");
        }
    }

    #[test]
    fn what_is_out_of_range_is_refused_by_name() {
        assert!(mid_month(0).unwrap_err().to_string().contains("month is 0"));
        assert!(mid_month(13).is_err());
        assert!(sun_hours(91.0, 5.0, 0.5).unwrap_err().to_string().contains("latitude is 91"));
        assert!(sun_hours(40.0, 0.0, 0.5).unwrap_err().to_string().contains("day of the year is 0"));
        assert!(sun_hours(40.0, 5.0, 1.1).unwrap_err().to_string().contains("bright sun is 1.1"));
    }

    proptest! {
        #[test]
        fn any_place_and_day_have_some_sun_or_an_error(f in prop::array::uniform3(prop_oneof![prop::num::f64::ANY, -90.0..366.0f64, 0.0..1.0f64])) {
            if let Ok(sun) = sun_hours(f[0], f[1], f[2]) {
                prop_assert!((0.0..=12.0).contains(&as_hours(sun.value)), "{}", as_hours(sun.value));
            }
        }

        #[test]
        fn more_bright_hours_are_more_sun(latitude in -66.0..66.0f64, day in 1.0..365.0f64, bright in 0.0..0.9f64) {
            let sun = |bright| as_hours(sun_hours(latitude, day, bright).unwrap().value);
            prop_assert!(sun(bright + 0.1) > sun(bright));
        }
    }
}
