//! Handing water out: taps, the queue and the hours; containers, how many are carried at once, and what a person may lift.

mod lift;
pub mod measures;

pub use lift::Lift;

use measures::CHANGE;
use measures::CONTAINER;
use measures::EACH;
use measures::OPEN;
use measures::PAYLOAD;
use measures::TAP_FLOW;
use measures::TAPS;
use measures::TARE;

use crate::hydraulics::measures::DENSITY;
use crate::quantity::Mass;
use crate::quantity::MassDensity;
use crate::quantity::Measure;
use crate::quantity::OutOfRange;
use crate::quantity::PEOPLE;
use crate::quantity::Time;
use crate::quantity::Unit;
use crate::quantity::VOLUME;
use crate::quantity::Volume;
use crate::quantity::VolumeRate;
use crate::quantity::as_hours;
use crate::quantity::as_kg_per_cubic_metre;
use crate::quantity::as_kilograms;
use crate::quantity::as_litres;
use crate::quantity::as_litres_per_minute;
use crate::quantity::as_seconds;
use crate::quantity::kilograms;
use crate::quantity::seconds;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

/// Why a question about handing out is refused.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum DistributionError {
    /// a figure out of its range
    #[error(transparent)]
    OutOfRange(#[from] OutOfRange),
    /// a container heavier than all that is carried
    #[error("a full container has {container:.3} kg; allowed is at most the {payload} kg that are carried")]
    TooHeavy {
        /// kg
        container: f64,
        /// kg
        payload: f64,
    },
}

/// How a point hands water out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    taps: f64,
    flow: f64,
    change: f64,
}

/// A day at a point.
#[derive(Clone, Debug, PartialEq)]
pub struct Serving {
    /// one person at one tap, filling and changing over
    pub each: Time,
    /// until the last of them is served, all coming at once
    pub hours: Time,
    /// how long the last of them waits
    pub longest_wait: Time,
    /// how many can be served in the hours it is open
    pub served: f64,
    /// what is behind it
    pub working: Working,
}

impl Point {
    /// So many taps (whole, 1 to 10,000), each running so much (0.1 to 10,000 L/min) into a container, and the time from
    /// one person to the next (0 to 3,600 s).
    ///
    /// A tap on a garden hose gives about a fifth of the bare valve's flow: take the hose's
    /// ([`crate::hydraulics::gravity_flow`]).
    ///
    /// # Errors
    /// [`DistributionError`] for a figure out of range.
    pub fn new(taps: f64, flow: VolumeRate, change: Time) -> Result<Self, DistributionError> {
        Ok(Self {
            taps: TAPS.check(taps)?.floor(),
            flow: TAP_FLOW.check(as_litres_per_minute(flow))?,
            change: CHANGE.check(as_seconds(change))?,
        })
    }

    /// How long so many people with so much each take, and how many can be served in the hours it is open.
    ///
    /// | | |
    /// |---|---|
    /// | each | V/Q + change |
    /// | hours | ⌈people/taps⌉ · each |
    /// | people, V | 0 to 1,000,000; 0.01 to 10,000 L |
    /// | open | 0.01 to 24 h |
    /// | source | common practice, no source; Sphere 2018 plans 250 people a tap of 7.5 L/min |
    ///
    /// # Errors
    /// [`DistributionError`] for a figure out of range.
    ///
    /// ```
    /// use keepwell_engine::distribution::Point;
    /// use keepwell_engine::quantity::{as_hours, hours, litres, litres_per_minute, seconds};
    /// // By hand: 15 L at 7.5 L/min and half a minute between two are 2.5 min; 250 people at one tap 10 h 25 min.
    /// let point = Point::new(1.0, litres_per_minute(7.5), seconds(30.0))?;
    /// let day = point.serving(250.0, litres(15.0), hours(8.0))?;
    /// assert!((as_hours(day.hours) - 625.0 / 60.0).abs() < 1e-9);
    /// assert_eq!(day.served, 192.0);
    /// # Ok::<(), keepwell_engine::distribution::DistributionError>(())
    /// ```
    pub fn serving(&self, people: f64, each: Volume, open: Time) -> Result<Serving, DistributionError> {
        let people = PEOPLE.check(people)?;
        let litres_each = EACH.check(as_litres(each))?;
        let open = OPEN.check(as_hours(open))?;
        let turn = litres_each / self.flow * 60.0 + self.change;
        let rounds = (people / self.taps).ceil();
        let all = rounds * turn;
        let served = (open * 3600.0 / turn + 1e-9).floor() * self.taps;
        let working = Working::new("Handing water out", "⌈people/taps⌉ · (V/Q + change)")
            .input("people", "", Figure::exact(people, Unit::Count), "given")
            .input("litres each", "V", Figure::exact(litres_each, Unit::Litre), "ration")
            .input("taps", "", Figure::exact(self.taps, Unit::Count), "set-up")
            .input("flow of a tap", "Q", Figure::exact(self.flow, Unit::LitrePerMinute), "measured")
            .input("from one person to the next", "change", Figure::exact(self.change, Unit::Second), "assumed")
            .input("hours open", "", Figure::exact(open, Unit::Hour), "given")
            .step("one person", "V/Q + change", Figure::exact(turn, Unit::Second))
            .step("people a tap", "⌈people/taps⌉", Figure::exact(rounds, Unit::Count))
            .step("until the last is served", "people a tap · one person", Figure::exact(all / 3600.0, Unit::Hour))
            .step("served in the hours open", "⌊hours/one person⌋ · taps", Figure::exact(served, Unit::Count))
            .source("Common practice, no source");
        Ok(Serving {
            each: seconds(turn),
            hours: seconds(all),
            longest_wait: seconds((rounds - 1.0).max(0.0) * turn),
            served,
            working,
        })
    }

    /// How many taps serve so many people with so much each in the hours open.
    ///
    /// # Errors
    /// [`DistributionError`] for a figure out of range, or an opening too short for one person.
    pub fn taps_for(&self, people: f64, each: Volume, open: Time) -> Result<f64, DistributionError> {
        let one = Self { taps: 1.0, ..*self }.serving(people, each, open)?;
        if one.served < 1.0 {
            let measure = Measure { min: as_hours(one.each), ..OPEN };
            return Err(OutOfRange { measure, value: as_hours(open) }.into());
        }
        Ok((people / one.served).ceil().max(1.0))
    }
}

/// The mass of a full container: V ρ + tare.
///
/// | | |
/// |---|---|
/// | V | 0.01 to 100,000 L |
/// | tare | 0 to 10,000 kg |
/// | source | by definition |
///
/// # Errors
/// [`DistributionError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::distribution::container_mass;
/// use keepwell_engine::quantity::{as_kilograms, kg_per_cubic_metre, kilograms, litres};
/// // ENG-140: 21.064 kg for 20 L in a can of 1.1 kg.
/// let mass = container_mass(litres(20.0), kg_per_cubic_metre(998.2), kilograms(1.1))?.value;
/// assert!((as_kilograms(mass) - 21.064).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::distribution::DistributionError>(())
/// ```
pub fn container_mass(volume: Volume, density: MassDensity, tare: Mass) -> Result<Reckoned<Mass>, DistributionError> {
    let litres = CONTAINER.check(as_litres(volume))?;
    let density = DENSITY.check(as_kg_per_cubic_metre(density))?;
    let tare = TARE.check(as_kilograms(tare))?;
    let mass = litres / 1000.0 * density + tare;
    Ok(Working::new("Mass of a full container", "V · ρ + tare")
        .input("litres", "V", Figure::exact(litres, Unit::Litre), "given")
        .input("density", "ρ", Figure::exact(density, Unit::KilogramPerCubicMetre), "given")
        .input("empty container", "tare", Figure::exact(tare, Unit::Kilogram), "given")
        .step("full", "V · ρ + tare", Figure::exact(mass, Unit::Kilogram))
        .source("By definition")
        .gives(kilograms(mass)))
}

/// How many trips carry so much in containers: ⌈V/(⌊payload/full container⌋ · litres of one)⌉. A part load is a trip; an
/// exact number of loads is not one more.
///
/// | | |
/// |---|---|
/// | V | 0 to 10,000,000 L |
/// | payload | 0.01 to 10⁷ kg, people in the vehicle taken off |
/// | source | whole containers a trip, rounded up |
///
/// Full containers only: part-filled ones surge.
///
/// # Errors
/// [`DistributionError`] for a figure out of range, or a container heavier than the payload.
///
/// ```
/// use keepwell_engine::distribution::trips;
/// use keepwell_engine::quantity::{kg_per_cubic_metre, kilograms, litres};
/// // ENG-142: 3 trips for 1,000 L with 450 kg and cans of 20 L.
/// let can = (litres(20.0), kilograms(1.1));
/// assert_eq!(trips(litres(1000.0), kilograms(450.0), can, kg_per_cubic_metre(998.2))?.value, 3.0);
/// # Ok::<(), keepwell_engine::distribution::DistributionError>(())
/// ```
pub fn trips(
    volume: Volume,
    payload: Mass,
    (container, tare): (Volume, Mass),
    density: MassDensity,
) -> Result<Reckoned<f64>, DistributionError> {
    /// Rounding that is not a container more, nor a trip.
    const HAIR: f64 = 1e-9;
    let volume = VOLUME.check(as_litres(volume))?;
    let payload = PAYLOAD.check(as_kilograms(payload))?;
    let full = container_mass(container, density, tare)?;
    let each = as_kilograms(full.value);
    let at_once = (payload / each * (1.0 + HAIR)).floor();
    if at_once < 1.0 {
        return Err(DistributionError::TooHeavy { container: each, payload });
    }
    let load = at_once * as_litres(container);
    let trips = (volume / load * (1.0 - HAIR)).ceil();
    Ok(full
        .working
        .input("to be carried", "", Figure::exact(volume, Unit::Litre), "given")
        .input("payload", "", Figure::exact(payload, Unit::Kilogram), "door label of the vehicle")
        .step("containers at once", "⌊payload/full container⌋", Figure::exact(at_once, Unit::Count))
        .step("a load", "containers at once · V", Figure::exact(load, Unit::Litre))
        .step("trips", "⌈to be carried/load⌉", Figure::exact(trips, Unit::Count))
        .without("Part-filled containers")
        .gives(trips))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::hours;
    use crate::quantity::kg_per_cubic_metre;
    use crate::quantity::litres;
    use crate::quantity::litres_per_minute;
    use crate::quantity::metres;
    use proptest::prelude::*;

    const WATER: f64 = 998.2;

    fn count(volume: f64, payload: f64, can: f64) -> Result<f64, DistributionError> {
        let container = (litres(can), kilograms(1.0));
        trips(litres(volume), kilograms(payload), container, kg_per_cubic_metre(1000.0)).map(|found| found.value)
    }

    #[test]
    fn an_exact_number_of_loads_is_not_one_trip_more() {
        // By hand: cans of 20 L weigh 21 kg; 210 kg carry ten, 200 L.
        assert_eq!(count(200.0, 210.0, 20.0), Ok(1.0));
        assert_eq!(count(400.0, 210.0, 20.0), Ok(2.0));
        assert_eq!(count(401.0, 210.0, 20.0), Ok(3.0));
        assert_eq!(count(0.0, 210.0, 20.0), Ok(0.0));
        assert_eq!(count(10.0, 20.9, 20.0), Err(DistributionError::TooHeavy { container: 21.0, payload: 20.9 }));
    }

    #[test]
    fn more_taps_are_never_slower() {
        let open = hours(8.0);
        let hours_with = |taps: f64| {
            let point = Point::new(taps, litres_per_minute(7.5), seconds(20.0)).unwrap();
            as_hours(point.serving(977.0, litres(15.0), open).unwrap().hours)
        };
        assert!((1..40).all(|taps| hours_with(f64::from(taps + 1)) <= hours_with(f64::from(taps))));
        let point = Point::new(1.0, litres_per_minute(7.5), seconds(20.0)).unwrap();
        let taps = point.taps_for(977.0, litres(15.0), open).unwrap();
        assert!(hours_with(taps) <= 8.0 && hours_with(taps - 1.0) > 8.0);
    }

    proptest! {
        #[test]
        fn any_figures_are_an_answer_or_an_error(f in prop::array::uniform6(prop::num::f64::ANY)) {
            if let Ok(point) = Point::new(f[0], litres_per_minute(f[1]), seconds(f[2])) {
                if let Ok(day) = point.serving(f[3], litres(f[4]), hours(f[5])) {
                    prop_assert!(as_hours(day.hours).is_finite() && day.served.is_finite());
                }
                prop_assert!(point.taps_for(f[3], litres(f[4]), hours(f[5])).is_ok_and(f64::is_finite) || point.taps_for(f[3], litres(f[4]), hours(f[5])).is_err());
            }
            if let Ok(mass) = container_mass(litres(f[0]), kg_per_cubic_metre(f[1]), kilograms(f[2])) {
                prop_assert!(as_kilograms(mass.value).is_finite());
            }
            if let Ok(found) = trips(litres(f[0]), kilograms(f[1]), (litres(f[2]), kilograms(f[3])), kg_per_cubic_metre(WATER)) {
                prop_assert!(found.value.is_finite() && found.value >= 0.0);
            }
            let lift = Lift {
                reach: metres(f[0]), height: metres(f[1]), travel: metres(f[2]), turn: f[3], frequency: f[4], coupling: f[5],
            };
            if let Ok(limit) = lift.limit() {
                prop_assert!((0.0..=23.0).contains(&as_kilograms(limit.value)));
            }
            if let Ok(index) = lift.index(kilograms(f[0])) {
                prop_assert!(!index.is_nan());
            }
        }

        #[test]
        fn usual_figures_serve(people in 1.0..5000.0, taps in 1.0..50.0, flow in 1.0..40.0, each in 1.0..60.0) {
            let point = Point::new(taps, litres_per_minute(flow), seconds(20.0)).unwrap();
            let day = point.serving(people, litres(each), hours(10.0)).unwrap();
            // No tap hands out more than it runs.
            prop_assert!(as_hours(day.hours) * 60.0 * flow * taps.floor() >= people * each);
        }
    }
}
