//! What a point of supply serves, and what the usual fittings of a house use.

use crate::quantity::FLOW_AT_TAP;
use crate::quantity::HOURS_A_DAY;
use crate::quantity::Measure;
use crate::quantity::OutOfRange;
use crate::quantity::PEOPLE;
use crate::quantity::RATION;
use crate::quantity::Time;
use crate::quantity::Unit;
use crate::quantity::VOLUME;
use crate::quantity::Volume;
use crate::quantity::VolumeRate;
use crate::quantity::as_hours;
use crate::quantity::as_litres;
use crate::quantity::as_litres_per_minute;
use crate::quantity::litres;
use crate::quantity::minutes;

/// people that one tap, pump or well serves
const PEOPLE_A_POINT: Measure = Measure::new("people a point", Unit::Count, 1.0, 1_000_000.0);
/// those who share a point: a share of nobody is no number
const SHARERS: Measure = Measure::new("people", Unit::Count, 1.0, 1_000_000.0);
/// flushes of one person in a day
pub const FLUSHES: Measure = Measure::new("flushes a person", Unit::Count, 0.0, 100.0);
/// days that a store is for
pub const STORE_DAYS: Measure = Measure::new("days", Unit::Day, 0.0, 36_500.0);

/// Taps, pumps or wells that so many people need: ⌈people / people a point⌉.
///
/// - **Reference** Sphere Handbook 2018, water supply standard 2.1: 250 a tap at 7.5 L/min, 500 a hand pump at 17, 400 an
///   open well at 12.5.
///
/// # Errors
/// [`OutOfRange`]: people 0 to 1,000,000; 1 to 1,000,000 a point.
///
/// ```
/// assert_eq!(keepwell_engine::demand::points_needed(260.0, 250.0)? as u32, 2);
/// # Ok::<(), keepwell_engine::quantity::OutOfRange>(())
/// ```
pub fn points_needed(people: f64, people_a_point: f64) -> Result<f64, OutOfRange> {
    Ok((PEOPLE.check(people)? / PEOPLE_A_POINT.check(people_a_point)?).ceil())
}

/// Litres a person a day through one point: flow · time open / people.
///
/// # Errors
/// [`OutOfRange`]: flow 0.0001 to 1,000,000 L/min; 0 to 24 hours; 1 to 1,000,000 people.
///
/// ```
/// use keepwell_engine::quantity::{as_litres, hours, litres_per_minute};
/// // 7.5 L/min for 8 hours and 250 people: 14.4 L, just under the 15 of Sphere's indicator
/// let each = keepwell_engine::demand::litres_at_point(litres_per_minute(7.5), hours(8.0), 250.0)?;
/// assert!((as_litres(each) - 14.4).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::quantity::OutOfRange>(())
/// ```
pub fn litres_at_point(flow: VolumeRate, open: Time, people: f64) -> Result<Volume, OutOfRange> {
    let flow = FLOW_AT_TAP.check(as_litres_per_minute(flow))?;
    let open = HOURS_A_DAY.check(as_hours(open))?;
    Ok(litres(flow * open * 60.0 / SHARERS.check(people)?))
}

/// How long a container takes to fill: volume / flow.
///
/// # Errors
/// [`OutOfRange`]: volume 0 to 10,000,000 L; flow 0.0001 to 1,000,000 L/min.
///
/// ```
/// use keepwell_engine::quantity::{as_minutes, litres, litres_per_minute};
/// // Sphere 2004 allows 3 minutes for 20 L
/// let time = keepwell_engine::demand::fill_time(litres(20.0), litres_per_minute(7.5))?;
/// assert!((as_minutes(time) - 2.667).abs() < 0.001);
/// # Ok::<(), keepwell_engine::quantity::OutOfRange>(())
/// ```
pub fn fill_time(volume: Volume, flow: VolumeRate) -> Result<Time, OutOfRange> {
    Ok(minutes(VOLUME.check(as_litres(volume))? / FLOW_AT_TAP.check(as_litres_per_minute(flow))?))
}

/// Litres a day for flushing: people · flushes · litres a flush.
///
/// - **Reference** 5 flushes a person: Residential End Uses of Water 2016; 1.6 US gal: EPAct 1992; 1.28: US EPA
///   WaterSense.
///
/// # Errors
/// [`OutOfRange`]: people 0 to 1,000,000; 0 to 100 flushes; 0 to 2,000 L.
///
/// ```
/// use keepwell_engine::quantity::{as_litres, litres};
/// let a_day = keepwell_engine::demand::flushing(4.0, 5.0, litres(6.056_658_854_4))?;
/// assert!((as_litres(a_day) - 121.1).abs() < 0.1);
/// # Ok::<(), keepwell_engine::quantity::OutOfRange>(())
/// ```
pub fn flushing(people: f64, flushes: f64, each: Volume) -> Result<Volume, OutOfRange> {
    let people = PEOPLE.check(people)?;
    Ok(litres(people * FLUSHES.check(flushes)? * RATION.check(as_litres(each))?))
}

/// Litres to store for so many heads, pets among them, each so much a day: heads · litres · days.
///
/// - **Reference** CDC, Creating & Storing an Emergency Water Supply, 2017: 1 US gal a person and a pet, 3 days at least,
///   2 weeks if possible.
///
/// # Errors
/// [`OutOfRange`]: 0 to 1,000,000 heads; 0 to 2,000 L; 0 to 36,500 days.
///
/// ```
/// use keepwell_engine::quantity::{as_litres, days, litres};
/// let store = keepwell_engine::demand::store_for(4.0, litres(3.785_411_784), days(14.0))?;
/// assert!((as_litres(store) - 211.98).abs() < 0.01);
/// # Ok::<(), keepwell_engine::quantity::OutOfRange>(())
/// ```
pub fn store_for(heads: f64, each: Volume, time: Time) -> Result<Volume, OutOfRange> {
    let (heads, each) = (PEOPLE.check(heads)?, RATION.check(as_litres(each))?);
    Ok(litres(heads * each * STORE_DAYS.check(crate::quantity::as_days(time))?))
}

/// A published figure of litres a person a day, or of the ladder's own rungs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PublishedLevel {
    /// the word in files and addresses
    pub key: &'static str,
    /// litres a person a day
    pub litres: f64,
    /// where it stands
    pub source: &'static str,
}

impl PublishedLevel {
    /// Every published level, least first.
    pub const ALL: [Self; 9] = [
        Self::new(
            "sphere_survival",
            3.0,
            "Sphere Handbook 2018, standard 2.1: drinking and food alone, 2.5 to 3 L, upper end",
        ),
        Self::new("us_household_storage", 3.785_411_784, "CDC 2017; FEMA: 1 US gal"),
        Self::new("hunter_minimum", 7.5, "Hunter, MacDonald and Carter 2010: drinking, food and personal hygiene"),
        Self::new("sphere_minimum", 15.0, "Sphere Handbook 2018, water supply standard 2.1, key indicator"),
        Self::new(
            "who_basic",
            20.0,
            "WHO, Domestic water quantity, service level and health: basic access (from memory)",
        ),
        Self::new("hunter_all_uses", 50.0, "Hunter et al. 2010: all hygiene, cleaning and laundry"),
        Self::new("who_intermediate", 50.0, "WHO, Domestic water quantity: intermediate access (from memory)"),
        Self::new("who_optimal", 100.0, "WHO, Domestic water quantity: optimal access (from memory)"),
        Self::new("us_ordinary", 310.0, "US EPA, about 82 US gal"),
    ];

    const fn new(key: &'static str, litres: f64, source: &'static str) -> Self {
        Self { key, litres, source }
    }

    /// The level with this key.
    ///
    /// ```
    /// use keepwell_engine::demand::PublishedLevel;
    /// assert!(PublishedLevel::from_key("sphere_minimum").is_some_and(|level| (level.litres - 15.0).abs() < 1e-12));
    /// ```
    #[must_use]
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|level| level.key == key)
    }
}
