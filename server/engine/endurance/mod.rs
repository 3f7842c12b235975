//! Endurance: how long one site's supply lasts with the mains down, and what ends each level of service.
//!
//! A run goes from event to event, each at its exact moment: water drawn at a steady rate is spent at litres ÷ rate,
//! fuel at litres ÷ burn, a battery at what is in it ÷ (asked − sun), treatment media at litres ÷ litres treated a day. Service is the first [`Level`] that can be
//! served; when something it rests on is spent, or something arrives, the next one is looked for, and the run goes on
//! to the horizon. The rules are the project's own: no published table covers them.
//!
//! - A level by pump needs power: a [`Battery`] with what is in it or enough sun, or fuel. It is spent only while such a
//!   level draws anything.
//! - Drinking, cooking and washing draw on `drink` water, and on `treat` water where it can be treated. First the stocks
//!   that no lower level could drink from, then `treat` before `drink`, then the order of the list.
//! - Flushing draws on `utility`, then `treat`, then `drink`; within a grade first what no lower level reaches.
//! - The keep-back holds so many days of the last level's drinking water, and the media to treat it, from the levels above.
//!
//! Better service can bring "dry" nearer, since it uses more: both figures are given, never one for the other.

mod battery;
mod check;
mod course;
mod draw;
mod gain;
mod ladder;
#[cfg(test)]
mod laws;
#[cfg(test)]
mod more;
mod service;
mod trial;
#[cfg(test)]
mod worked;
mod working;

use crate::endurance::course::Course;
use crate::endurance::course::Far;
use crate::grade::Grade;
use crate::quantity::Energy;
use crate::quantity::Time;
use crate::quantity::Volume;
use crate::quantity::VolumeRate;
use crate::quantity::as_days;
use crate::quantity::days;
use crate::quantity::litres;
use crate::quantity::watt_hours;
use crate::vessel::Way;

pub use crate::demand::Uses;
pub use battery::Battery;
pub use check::Refusal;
pub use gain::Bound;
pub use gain::Gain;
pub use gain::Longer;
pub use gain::Verdict;
pub use gain::delivered;
pub use gain::gain;
pub use ladder::usual_levels;
pub(crate) use trial::Trial;
pub use working::working;

/// The ways by which a level of service gets at water.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Reach {
    /// drawn by the pump, which needs power
    pub pump: bool,
    /// from a tap or pipe below the water
    pub gravity: bool,
    /// dipped, scooped or poured by hand
    pub dip: bool,
}

impl FromIterator<Way> for Reach {
    fn from_iter<I: IntoIterator<Item = Way>>(ways: I) -> Self {
        let mut reach = Self::default();
        for way in ways {
            match way {
                Way::Pump => reach.pump = true,
                Way::Gravity => reach.gravity = true,
                Way::Dip => reach.dip = true,
            }
        }
        reach
    }
}

/// One level of service: how it gets at water, and what it gives.
#[derive(Clone, Debug, PartialEq)]
pub struct Level {
    /// what it is called: "tap", "hand"; never "dry"
    pub name: String,
    /// the ways it may draw by. If the pump is among them, it is served only while the pump can run
    pub reach: Reach,
    /// what it gives each person each day
    pub uses: Uses,
}

/// Litres that stay behind in a stock, by way of drawing. `None`: the stock cannot be reached that way.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Heels {
    /// below the pump's suction
    pub pump: Option<Volume>,
    /// below the gravity outlet
    pub gravity: Option<Volume>,
    /// below what can be dipped
    pub dip: Option<Volume>,
}

/// The heel by each way that the stock can be drawn; of two for one way, the later.
impl FromIterator<(Way, Volume)> for Heels {
    fn from_iter<I: IntoIterator<Item = (Way, Volume)>>(ways: I) -> Self {
        let mut heels = Self::default();
        for (way, heel) in ways {
            match way {
                Way::Pump => heels.pump = Some(heel),
                Way::Gravity => heels.gravity = Some(heel),
                Way::Dip => heels.dip = Some(heel),
            }
        }
        heels
    }
}

impl Heels {
    /// The lowest heel among those of the level's ways by which the stock can be reached at all.
    #[must_use]
    pub fn lowest(&self, reach: Reach) -> Option<Volume> {
        [(reach.pump, self.pump), (reach.gravity, self.gravity), (reach.dip, self.dip)]
            .into_iter()
            .filter_map(|(may, heel)| heel.filter(|_| may))
            .reduce(|lower, heel| if heel < lower { heel } else { lower })
    }
}

/// Water in one vessel, set or bank.
#[derive(Clone, Debug, PartialEq)]
pub struct Stock {
    /// the vessel's id; no two alike
    pub id: String,
    /// what it is counted as
    pub grade: Grade,
    /// all of it, heel included
    pub volume: Volume,
    /// what each way of drawing leaves behind
    pub heel: Heels,
}

/// What runs the pump, and treatment that needs power.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Power {
    /// fuel in store; `None` is without end
    pub fuel: Option<Volume>,
    /// fuel burnt in an hour's running
    pub burn: VolumeRate,
    /// hours run a day, above 0 and at most 24; the burn is spread evenly over the day
    pub hours_a_day: Time,
}

/// What makes `treat` water serve as `drink`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Treatment {
    /// litres that can still be treated; `None` is without end
    pub media: Option<Volume>,
    /// whether it works only at a level that reaches by pump
    pub needs_power: bool,
}

/// Something that happens during a run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Event {
    /// from now; at the horizon or after it nothing happens
    pub at: Time,
    /// what
    pub change: Change,
}

/// What an [`Event`] does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Change {
    /// water brought to a stock
    AddWater {
        /// its place in [`Run::stocks`]
        stock: usize,
        /// how much
        volume: Volume,
    },
    /// fuel brought; nothing where there is no power, or fuel without end
    AddFuel(Volume),
    /// another sun, in energy a day; nothing where there is no battery
    Sun(Energy),
    /// all of a level's uses replaced
    Uses {
        /// its place in [`Run::levels`]
        level: usize,
        /// what it gives from then on
        uses: Uses,
    },
}

/// One site with the mains down, from now to the horizon.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// how far to look; above 0
    pub horizon: Time,
    /// people drawing here, each once; a part of a person is a person part of the day
    pub people: f64,
    /// levels of service, best first
    pub levels: Vec<Level>,
    /// water in store, in the order in which it would be used
    pub stocks: Vec<Stock>,
    /// a generator with its fuel; without one, and without a battery, no pump runs
    pub power: Option<Power>,
    /// it runs the pump before any fuel is burnt
    pub battery: Option<Battery>,
    /// `None`: nothing can be treated
    pub treatment: Option<Treatment>,
    /// days of the last level's drinking water kept from the levels above it; 0 keeps nothing
    pub keep_drinking: Time,
    /// what happens meanwhile, in any order; those of one moment act in the order of this list
    pub events: Vec<Event>,
}

/// Why a span of service ends: the first of these that bars its level at that moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Cause {
    /// it draws by pump, and fuel is spent
    Fuel,
    /// it draws by pump, the battery is empty, and there never was any fuel
    Battery,
    /// no `drink` in reach, and `treat` in reach that only media are missing for
    Media,
    /// drink-grade water in reach is spent
    Water,
    /// nothing is left to flush with
    Flush,
    /// only the keep-back bars it
    Keep,
    /// something arrived, or a ration was changed
    Event,
    /// the run ends here
    Horizon,
}

impl Cause {
    /// The English key word of the cause.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::Fuel => "fuel",
            Self::Battery => "battery",
            Self::Media => "media",
            Self::Water => "water",
            Self::Flush => "flush",
            Self::Keep => "keep",
            Self::Event => "event",
            Self::Horizon => "horizon",
        }
    }
}

/// A stretch of time with one level of service.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// its place in [`Run::levels`]; `None` is dry: no level can be served
    pub level: Option<usize>,
    /// start, from now
    pub from: Time,
    /// end, from now
    pub to: Time,
    /// why it ends
    pub cause: Cause,
}

/// How a [`Run`] goes.
#[derive(Clone, Debug, PartialEq)]
pub struct Timeline {
    /// what service there is, from now to the horizon, without a gap; neighbours differ in level
    pub spans: Vec<Span>,
    /// until the ration cannot be met in full: the first moment at which the level in force gives less in any use than the
    /// first level's uses at that moment; the horizon if that never comes
    pub days_at_ration: Time,
    /// whether the ration is met to the horizon, so that [`Timeline::days_at_ration`] is only "at least"
    pub ration_to_horizon: bool,
    /// start of the first dry span; the horizon if there is none. Never called days at the ration
    pub days_to_dry: Time,
    /// whether some level is served all the way to the horizon, so that [`Timeline::days_to_dry`] is only "at least"
    pub water_to_horizon: bool,
    /// litres in each stock at the horizon, heel included, in the order of [`Run::stocks`]
    pub left: Vec<Volume>,
    /// fuel at the horizon; `None` where there is no power or no end of fuel
    pub fuel_left: Option<Volume>,
    /// what the battery gives at the horizon; `None` where there is none
    pub battery_left: Option<Energy>,
}

impl Timeline {
    /// When the ration cannot be met in full any more; `None`: it is met to the horizon.
    #[must_use]
    pub fn ration_ends(&self) -> Option<Time> {
        (!self.ration_to_horizon).then_some(self.days_at_ration)
    }

    /// When it is first dry; `None`: never before the horizon.
    #[must_use]
    pub fn dry_from(&self) -> Option<Time> {
        (!self.water_to_horizon).then_some(self.days_to_dry)
    }

    /// What ends the ration: the cause of the first span that gives way to less, `None` if the ration lasts to the horizon
    /// or is not met from the start.
    #[must_use]
    pub fn ends_ration(&self) -> Option<Cause> {
        if self.ration_to_horizon {
            return None;
        }
        self.spans
            .iter()
            .find(|span| span.to >= self.days_at_ration && span.from < self.days_at_ration)
            .map(|s| s.cause)
    }
}

/// Runs a site from now to the horizon.
///
/// **Formula.** Between two moments every rate is steady, so the next moment is the least of: litres above the heel ÷
/// litres a day drawn, for each stock drawn on; fuel ÷ (burn × hours a day); what the battery gives ÷ (asked − sun); media ÷ litres treated a day; litres above
/// the keep-back ÷ litres a day drawn from what is kept; the next event; the horizon. Moments within 10⁻⁹ d are one.
///
/// **Arguments.** [`Run`]; every number from 0 to 10¹⁵ in its unit, horizon above 0 and at most ten thousand years, hours a day above 0 and at most 24; of a [`Battery`] the part after dark 0 to 1.
///
/// **Reference.** The project's own rules, with worked examples; no published table covers them.
///
/// ```
/// use keepwell_engine::endurance::{self, Heels, Level, Power, Reach, Run, Stock, Uses};
/// use keepwell_engine::grade::Grade;
/// use keepwell_engine::quantity::{as_days, days, hours, litres, litres_per_hour};
///
/// // By hand: fuel 12 L ÷ (0.5 L/h × 12 h) = 2 days at the tap take 2 × 1500 L; 6000 L ÷ 750 L a day = 8 days by hand.
/// let ration = Uses { drink: litres(3.0), cook: litres(6.0), wash: litres(6.0), flush: litres(0.0) };
/// let lean = Uses { cook: litres(2.5), wash: litres(2.0), ..ration };
/// let run = Run {
///     horizon: days(730.0),
///     people: 100.0,
///     levels: vec![
///         Level { name: "tap".into(), reach: Reach { pump: true, ..Reach::default() }, uses: ration },
///         Level { name: "hand".into(), reach: Reach { dip: true, ..Reach::default() }, uses: lean },
///     ],
///     stocks: vec![Stock {
///         id: "tank".into(),
///         grade: Grade::Drink,
///         volume: litres(9000.0),
///         heel: Heels { pump: Some(litres(0.0)), dip: Some(litres(0.0)), ..Heels::default() },
///     }],
///     power: Some(Power { fuel: Some(litres(12.0)), burn: litres_per_hour(0.5), hours_a_day: hours(12.0) }),
///     battery: None,
///     treatment: None,
///     keep_drinking: days(0.0),
///     events: vec![],
/// };
/// let timeline = endurance::run(&run)?;
/// assert!((as_days(timeline.days_at_ration) - 2.0).abs() < 1e-9);
/// assert!((as_days(timeline.days_to_dry) - 10.0).abs() < 1e-9);
/// # Ok::<(), endurance::Refusal>(())
/// ```
///
/// # Errors
/// [`Refusal`] names the field, the value and what is allowed.
pub fn run(run: &Run) -> Result<Timeline, Refusal> {
    check::check(run)?;
    let mut course = Course::new(run);
    let mut spans = Vec::with_capacity(8);
    let ends = course.go(as_days(run.horizon), &trial::by_day(&run.events), Far::Whole, |span| spans.push(span));
    if let Some(last) = spans.last_mut() {
        // the horizon itself, not what is left of it after a change of units and back
        last.to = run.horizon;
    }
    Ok(Timeline {
        days_at_ration: ends.ration.map_or(run.horizon, days),
        ration_to_horizon: ends.ration.is_none(),
        days_to_dry: ends.dry.map_or(run.horizon, days),
        water_to_horizon: ends.dry.is_none(),
        left: course.litres().iter().map(|volume| litres(*volume)).collect(),
        battery_left: course.battery().map(watt_hours),
        fuel_left: run.power.and_then(|power| power.fuel).map(|_| litres(course.fuel())),
        spans,
    })
}
