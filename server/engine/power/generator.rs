//! A generator: its burn line, and how long fuel lasts on it.

use crate::power::FuelKind;
use crate::quantity::BURN;
use crate::quantity::FUEL;
use crate::quantity::HOURS_A_DAY;
use crate::quantity::OutOfRange;
use crate::quantity::POWER;
use crate::quantity::Power;
use crate::quantity::Time;
use crate::quantity::Unit;
use crate::quantity::Volume;
use crate::quantity::VolumeRate;
use crate::quantity::as_days;
use crate::quantity::as_hours;
use crate::quantity::as_litres;
use crate::quantity::as_litres_per_hour;
use crate::quantity::as_watts;
use crate::quantity::days;
use crate::quantity::hours;
use crate::quantity::litres;
use crate::quantity::litres_per_hour;
use crate::quantity::watts;
use crate::working::Figure;
use crate::working::Trust;
use crate::working::Working;

/// Hours a day a generator runs for water at the tap on demand, unless a run plan says otherwise. Common practice, no
/// source.
pub const TAP_ON_DEMAND: f64 = 16.0;

/// What is wrong with a generator, a load or a question about them.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum PowerError {
    /// a figure out of its range
    #[error(transparent)]
    OutOfRange(#[from] OutOfRange),
    /// fewer than two points
    #[error("the burn line has {given} points; allowed is two or more, at different loads")]
    TooFewPoints {
        /// how many
        given: usize,
    },
    /// two points at one load
    #[error("the burn line has two points at {watts} W; allowed is one for each load")]
    SameLoad {
        /// the load
        watts: f64,
    },
    /// it burns less at a higher load
    #[error("the burn at {watts} W is lower than at a lower load; allowed is a burn that does not fall")]
    Falls {
        /// the higher load
        watts: f64,
    },
    /// run down to no load, the line would make fuel
    #[error("the two lowest points lead to a burn of {litres_per_hour} L/h at no load; allowed is 0 L/h or more")]
    NegativeAtNoLoad {
        /// what it leads to
        litres_per_hour: f64,
    },
    /// a load or a point above what it is rated for
    #[error("the load is {watts} W; allowed is 0 to {rated} W, what the generator is rated for")]
    AboveRated {
        /// the load
        watts: f64,
        /// the rating
        rated: f64,
    },
    /// a load takes less as it starts than as it runs
    #[error("a load takes {start} W as it starts; allowed is {running} W or more, what it takes as it runs")]
    StartsBelow {
        /// as it starts
        start: f64,
        /// as it runs
        running: f64,
    },
    /// a generator or a day of no hours
    #[error("{name} is 0; allowed is above 0")]
    Zero {
        /// what is 0
        name: &'static str,
    },
    /// a day is too short for a day's litres
    #[error("the pump takes {hours:.1} hours for a day's litres; allowed is 24 or fewer")]
    TooSlow {
        /// how long it takes
        hours: f64,
    },
    /// fuel that is not in store cannot be spread over days
    #[error("the fuel is gas from the main; allowed is a fuel that is stored")]
    NotStored,
    /// more days than are reckoned at once
    #[error("{given} days of sun are given; allowed is {most} or fewer")]
    TooManyDays {
        /// how many
        given: usize,
        /// how many may be
        most: usize,
    },
}

/// What is burnt at a load, from the maker's table or one's own measurement.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BurnPoint {
    /// electrical load
    pub load: Power,
    /// fuel an hour, litres of liquid
    pub burn: VolumeRate,
}

/// What a generator burns at one load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Burn {
    /// fuel an hour
    pub rate: VolumeRate,
    /// whether the load lies between measured points, or the line was extended
    pub trust: Trust,
}

/// A generator with its burn line.
///
/// - **What** fuel an hour at a load; the part burnt at no load is in it.
/// - **Formula** straight between neighbouring points; outside them the nearest two points' line is extended, and
///   marked [`Trust::Extrapolated`]. Above the rating there is no answer.
/// - **Range** load 0 to the rating; points at different loads within it, burns that do not fall as the load rises,
///   and that do not lead below 0 at no load.
/// - **Reference** published half and full load pairs lead to a no-load burn of 13 to 59 % of that at full load; the
///   diesel chart is good to 20 %.
///
/// A 3 kW set of 0.45 L/h at no load and 1.75 L/h at full: at 800 W, 0.45 + 1.30 · 0.8/3 = 0.797 L/h.
/// ```
/// use keepwell_engine::power::{BurnPoint, FuelKind, Generator};
/// use keepwell_engine::quantity::{as_litres_per_hour, litres_per_hour, watts};
/// let point = |load, burn| BurnPoint { load: watts(load), burn: litres_per_hour(burn) };
/// let set = Generator::new(FuelKind::Petrol, watts(3000.0), &[point(0.0, 0.45), point(3000.0, 1.75)])?;
/// assert!((as_litres_per_hour(set.burn(watts(800.0))?.rate) - 0.796_667).abs() < 1e-6);
/// assert!(set.burn(watts(3001.0)).is_err());
/// # Ok::<(), keepwell_engine::power::PowerError>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Generator {
    fuel: FuelKind,
    rated: f64,
    /// watts and litres an hour, by rising load
    line: Vec<(f64, f64)>,
}

impl Generator {
    /// A generator of this rating and burn line, points in any order.
    ///
    /// # Errors
    /// [`PowerError`] names the point and what is wrong with it.
    pub fn new(fuel: FuelKind, rated: Power, points: &[BurnPoint]) -> Result<Self, PowerError> {
        let rated = POWER.check(as_watts(rated))?;
        if rated <= 0.0 {
            return Err(PowerError::Zero { name: "the rated power" });
        }
        let mut line = Vec::with_capacity(points.len());
        for point in points {
            let load = POWER.check(as_watts(point.load))?;
            if load > rated {
                return Err(PowerError::AboveRated { watts: load, rated });
            }
            line.push((load, BURN.check(as_litres_per_hour(point.burn))?));
        }
        line.sort_by(|a, b| a.0.total_cmp(&b.0));
        let [first, second, ..] = line[..] else {
            return Err(PowerError::TooFewPoints { given: line.len() });
        };
        for pair in line.windows(2) {
            // a watt apart at least: nearer ones are one load read twice, and lead anywhere
            if pair[1].0 - pair[0].0 < 1.0 {
                return Err(PowerError::SameLoad { watts: pair[1].0 });
            }
            if pair[1].1 < pair[0].1 {
                return Err(PowerError::Falls { watts: pair[1].0 });
            }
        }
        let no_load = on_line(first, second, 0.0);
        if no_load < -1e-9 {
            return Err(PowerError::NegativeAtNoLoad { litres_per_hour: no_load });
        }
        Ok(Self { fuel, rated, line })
    }

    /// What it burns.
    #[must_use]
    pub const fn fuel(&self) -> FuelKind {
        self.fuel
    }

    /// What it is rated for.
    #[must_use]
    pub fn rated(&self) -> Power {
        watts(self.rated)
    }

    /// Fuel an hour at a load.
    ///
    /// # Errors
    /// [`PowerError::AboveRated`] above the rating, [`PowerError::OutOfRange`] below 0 W or not a number.
    pub fn burn(&self, load: Power) -> Result<Burn, PowerError> {
        let load = POWER.check(as_watts(load))?;
        if load > self.rated {
            return Err(PowerError::AboveRated { watts: load, rated: self.rated });
        }
        let above = self.line.partition_point(|point| point.0 < load).clamp(1, self.line.len() - 1);
        let rate = on_line(self.line[above - 1], self.line[above], load).max(0.0);
        let within = (self.line[0].0..=self.line[self.line.len() - 1].0).contains(&load);
        let trust = if within { Trust::InRange } else { Trust::Extrapolated };
        Ok(Burn { rate: litres_per_hour(rate), trust })
    }

    /// How long `usable` fuel lasts at a load, run so many hours a day ([`TAP_ON_DEMAND`] unless a plan says
    /// otherwise).
    ///
    /// - **Formula** hours = F ÷ burn(load); days = hours ÷ hours a day. Never energy over load: that leaves out what
    ///   is burnt at no load.
    /// - **Arguments** `usable` F: 0 to 1,000,000 L of liquid, what cannot be drawn and what is too old left out by
    ///   the caller; `load` 0 to the rating, the average while it runs ([`average_load`]); `hours_a_day` above 0, at
    ///   most 24.
    /// - **Reference** by definition. 12 L at 0.5 L/h, 12 hours a day: 24 hours, 2 days.
    ///
    /// # Errors
    /// [`PowerError`] names what is out of range.
    ///
    /// ```
    /// use keepwell_engine::power::{BurnPoint, FuelKind, Generator, Lasts};
    /// use keepwell_engine::quantity::{as_days, hours, litres, litres_per_hour, watts};
    /// let point = |load, burn| BurnPoint { load: watts(load), burn: litres_per_hour(burn) };
    /// let set = Generator::new(FuelKind::Petrol, watts(2000.0), &[point(0.0, 0.3), point(1000.0, 0.5)])?;
    /// let Lasts::For(running) = set.lasts(litres(12.0), watts(1000.0), hours(12.0))? else { return Err("endless".into()) };
    /// assert!((as_days(running.days) - 2.0).abs() < 1e-9);
    /// # Ok::<(), Box<dyn core::error::Error>>(())
    /// ```
    pub fn lasts(&self, usable: Volume, load: Power, hours_a_day: Time) -> Result<Lasts, PowerError> {
        let usable = FUEL.check(as_litres(usable))?;
        let each_day = HOURS_A_DAY.check(as_hours(hours_a_day))?;
        let burn = self.burn(load)?;
        if each_day <= 0.0 {
            return Err(PowerError::Zero { name: "hours a day" });
        }
        if !self.fuel.stored() {
            return Ok(Lasts::WhileTheMainDoes);
        }
        let running = usable / as_litres_per_hour(burn.rate);
        let lasts = running / each_day;
        if !lasts.is_finite() {
            return Ok(Lasts::NothingBurnt);
        }
        Ok(Lasts::For(Running {
            load,
            usable: litres(usable),
            hours_a_day: hours(each_day),
            burn,
            hours: hours(running),
            days: days(lasts),
        }))
    }
}

/// The height at `x` of the straight line through two points.
fn on_line(a: (f64, f64), b: (f64, f64), x: f64) -> f64 {
    a.1 + (b.1 - a.1) * (x - a.0) / (b.0 - a.0)
}

/// How long fuel lasts.
#[derive(Clone, Debug, PartialEq)]
pub enum Lasts {
    /// so long
    For(Running),
    /// gas from the main: no longer and no shorter than the main
    WhileTheMainDoes,
    /// at no load on a line that starts at 0, nothing is burnt
    NothingBurnt,
}

/// How long a store of fuel lasts, and on what.
#[derive(Clone, Debug, PartialEq)]
pub struct Running {
    /// average load while it runs
    pub load: Power,
    /// fuel that can be burnt
    pub usable: Volume,
    /// hours run a day
    pub hours_a_day: Time,
    /// fuel an hour at that load
    pub burn: Burn,
    /// hours of running
    pub hours: Time,
    /// days at so many hours a day
    pub days: Time,
}

impl Running {
    /// Fuel burnt in a day.
    #[must_use]
    pub fn a_day(&self) -> Volume {
        self.burn.rate * self.hours_a_day
    }

    /// The formula and figures behind the days.
    #[must_use]
    pub fn working(&self) -> Working {
        let mut working = Working::new("how long the fuel lasts", "days = F ÷ burn(load) ÷ hours a day")
            .input("usable fuel", "F", Figure::exact(as_litres(self.usable), Unit::Litre), "entries")
            .input("average load while it runs", "load", Figure::exact(as_watts(self.load), Unit::Watt), "set-up")
            .input("hours a day", "h", Figure::exact(as_hours(self.hours_a_day), Unit::Hour), "set-up or assumed")
            .step(
                "fuel an hour at that load, no-load part included",
                "straight between the maker's points",
                Figure::exact(as_litres_per_hour(self.burn.rate), Unit::LitrePerHour),
            )
            .step("fuel a day", "burn × h", Figure::exact(as_litres(self.a_day()), Unit::Litre))
            .step("hours of running", "F ÷ burn", Figure::exact(as_hours(self.hours), Unit::Hour))
            .step("days", "hours ÷ h", Figure::exact(as_days(self.days), Unit::Day))
            .without("starting, wear and weather; published burn figures are good to about 20 %")
            .source("by definition; the burn line is the maker's or measured")
            .source("16 hours a day for water on demand: common practice, no source");
        working.trust = self.burn.trust;
        working
    }
}

/// Something a generator carries.
#[derive(Clone, Debug, PartialEq)]
pub struct Load {
    /// what it is
    pub name: String,
    /// watts while it runs
    pub running: Power,
    /// watts for the moment of starting
    pub surge: Power,
    /// hours a day it runs
    pub hours_a_day: Time,
}

/// The average load while a generator runs so many hours a day: Σ watts × hours ÷ hours a day. On a straight burn line
/// it gives the fuel exactly. A load that runs longer than the generator is served only while that runs.
///
/// # Errors
/// [`PowerError`] when a load or its hours are out of range, or the hours a day are 0.
///
/// A 750 W pump for 2 hours and a 100 W light for 12, in 12 hours: (1500 + 1200) ÷ 12 = 225 W.
/// ```
/// use keepwell_engine::power::{Load, average_load};
/// use keepwell_engine::quantity::{as_watts, hours, watts};
/// let load = |watts_each, hours_each| Load {
///     name: String::new(), running: watts(watts_each), surge: watts(watts_each), hours_a_day: hours(hours_each),
/// };
/// let average = average_load(&[load(750.0, 2.0), load(100.0, 12.0)], hours(12.0))?;
/// assert!((as_watts(average) - 225.0).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::power::PowerError>(())
/// ```
pub fn average_load(loads: &[Load], hours_a_day: Time) -> Result<Power, PowerError> {
    let day = HOURS_A_DAY.check(as_hours(hours_a_day))?;
    if day <= 0.0 {
        return Err(PowerError::Zero { name: "hours a day" });
    }
    let mut sum = 0.0;
    for load in loads {
        let each = HOURS_A_DAY.check(as_hours(load.hours_a_day))?.min(day);
        sum += POWER.check(as_watts(load.running))? * (each / day);
    }
    Ok(watts(sum))
}
