//! A run plan: so many hours a day that the fuel lasts as long as the water.

#[cfg(test)]
mod tests;

use crate::power::Burn;
use crate::power::Generator;
use crate::power::PowerError;
use crate::power::TAP_ON_DEMAND;
use crate::power::rating::check;
use crate::quantity::FUEL;
use crate::quantity::Measure;
use crate::quantity::Power;
use crate::quantity::Time;
use crate::quantity::Unit;
use crate::quantity::VOLUME;
use crate::quantity::Volume;
use crate::quantity::VolumeRate;
use crate::quantity::as_days;
use crate::quantity::as_hours;
use crate::quantity::as_litres;
use crate::quantity::as_litres_per_hour;
use crate::quantity::days;
use crate::quantity::hours;
use crate::quantity::litres;
use crate::quantity::litres_per_hour;
use crate::working::Figure;
use crate::working::Trust;
use crate::working::Working;

/// The hour at which the first run of a day begins, unless someone says otherwise. Common practice, no source.
pub const FIRST_RUN: f64 = 6.0;

const WATER: Measure = Measure::new("water in reach of the pump", Unit::Litre, 0.001, 10_000_000.0);
const A_DAY: Measure = Measure::new("litres needed a day", Unit::Litre, 0.001, 10_000_000.0);
const DELIVERY: Measure = Measure::new("what the pump delivers", Unit::LitrePerHour, 0.001, 1_000_000.0);
const TARGET: Measure = Measure::new("days the fuel is to last", Unit::Day, 0.001, 3_650.0);
const RUNS: Measure = Measure::new("runs a day", Unit::Count, 1.0, 3.0);
const CLOCK: Measure = Measure::new("hour of the first run", Unit::Hour, 0.0, 23.999);

/// What a run plan is made from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ToRun<'a> {
    /// the generator, whose fuel is stored
    pub generator: &'a Generator,
    /// whatever else runs as long as the generator does
    pub beside: Power,
    /// the pump, while it runs
    pub pump: Power,
    /// what the pump delivers; 0.001 to 1,000,000 L/h
    pub flow: VolumeRate,
    /// litres a day at the ration; above 0
    pub a_day: Volume,
    /// water in reach of the pump; above 0
    pub water: Volume,
    /// fuel that can be burnt, 0 to 1,000,000 L
    pub fuel: Volume,
    /// how long the fuel is to last, 0.001 to 3,650 days; `None`: as long as the water
    pub target: Option<Time>,
    /// litres that still flow when the pump has stopped: a pressure tank's drawdown, a tank on the roof, or what a battery
    /// lifts ([`crate::power::water_lifted`]); 0 L and more
    pub bridge: Volume,
    /// runs a day, 1 to 3
    pub runs: u32,
    /// the hour at which the first begins ([`FIRST_RUN`]), 0 to under 24
    pub first: Time,
}

/// What sets the hours of a [`RunPlan`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum SetBy {
    /// the fuel: it lasts just as long as is asked
    Fuel,
    /// nothing: the fuel lasts long enough for water on demand
    OnDemand,
    /// the pump: it takes so long to lift a day's litres, and the fuel ends before the time is up
    Pump,
}

/// One run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RunTime {
    /// since midnight
    pub starts: Time,
    /// for so long; it may go past midnight
    pub lasts: Time,
}

/// Hours a day of running, and what they cost and gain.
#[derive(Clone, Debug, PartialEq)]
pub struct RunPlan {
    /// hours a day
    pub hours: Time,
    /// hours a day that the pump alone takes for a day's litres: no plan has less
    pub least: Time,
    /// what set the hours
    pub set_by: SetBy,
    /// how long it was to last: the target, or as long as the water if that is shorter or none was given
    pub wanted: Time,
    /// how long the water lasts at the ration
    pub water_lasts: Time,
    /// how long the fuel lasts by this plan
    pub fuel_lasts: Time,
    /// how long the fuel lasts on demand, [`TAP_ON_DEMAND`] hours a day
    pub on_demand: Time,
    /// days more at the tap than on demand, as far as there is water
    pub gains: Time,
    /// fuel a day
    pub fuel_a_day: Volume,
    /// the same over the hours run: what an [`crate::endurance::Power`] burns
    pub burn: VolumeRate,
    /// the runs, the first first
    pub runs: Vec<RunTime>,
    /// the longest time between two runs of the waking day without pressure
    pub longest_gap: Time,
    /// litres a day that still flow between the runs
    pub bridged: Volume,
    /// litres a day that must be drawn ahead into containers, while the taps run
    pub drawn_ahead: Volume,
    /// whether the burn lies within measured points
    pub trust: Trust,
}

/// How many hours a day to run, so that the fuel lasts as long as the water at the ration, or so many days.
///
/// - **Formula** t = litres a day ÷ flow is the least. With b₁ the burn at pump and all beside it, b₀ at what runs beside
///   alone (the no-load part is in both), fuel a day = t·b₁ + (h − t)·b₀, which is straight in h: h = t + (F/D − t·b₁)/b₀.
///   It is not less than t, nor more than the longer of t and [`TAP_ON_DEMAND`]: nothing is gained by more.
/// - **When** the waking day is [`TAP_ON_DEMAND`] hours from the first run. Two or three runs are of one length, the first
///   at its beginning and the last at its end; one run stands at its beginning. Use is even over it: what falls between
///   runs comes from the bridge, which each run fills again, and the rest is drawn ahead.
/// - **Arguments** [`ToRun`], with ranges.
/// - **Reference** by definition; the waking day and its split: common practice, no source.
///
/// A set of 0.45 L/h at no load and 1.75 L/h at 3 kW, a pump of 750 W: b₁ = 0.45 + 1.30/4 = 0.775 L/h, b₀ = 0.45. 1,500 L a
/// day at 1,200 L/h: t = 1.25 h, 0.96875 L. 15,000 L last 10 days; 24 L of fuel are 2.4 a day: h = 1.25 + 1.43125/0.45 =
/// 4.4306 h. On demand 0.96875 + 14.75 × 0.45 = 7.60625 L a day: 3.155 days, so the plan gains 6.845.
/// ```
/// use keepwell_engine::power::{BurnPoint, FuelKind, Generator, SetBy, ToRun, run_plan};
/// use keepwell_engine::quantity::{as_days, as_hours, hours, litres, litres_per_hour, watts};
/// let point = |load, burn| BurnPoint { load: watts(load), burn: litres_per_hour(burn) };
/// let set = Generator::new(FuelKind::Petrol, watts(3000.0), &[point(0.0, 0.45), point(3000.0, 1.75)])?;
/// let plan = run_plan(&ToRun {
///     generator: &set,
///     beside: watts(0.0),
///     pump: watts(750.0),
///     flow: litres_per_hour(1200.0),
///     a_day: litres(1500.0),
///     water: litres(15_000.0),
///     fuel: litres(24.0),
///     target: None,
///     bridge: litres(20.0),
///     runs: 2,
///     first: hours(6.0),
/// })?;
/// assert_eq!(plan.set_by, SetBy::Fuel);
/// assert!((as_hours(plan.hours) - 4.430_556).abs() < 1e-6);
/// assert!((as_days(plan.gains) - 6.844_700).abs() < 1e-6);
/// # Ok::<(), keepwell_engine::power::PowerError>(())
/// ```
///
/// # Errors
/// [`PowerError`] names what is out of range; [`PowerError::TooSlow`] where a day is too short for the pump,
/// [`PowerError::NotStored`] for gas from the main.
pub fn run_plan(ask: &ToRun<'_>) -> Result<RunPlan, PowerError> {
    let a_day = check(&A_DAY, as_litres(ask.a_day))?;
    let water = check(&WATER, as_litres(ask.water))?;
    let fuel = check(&FUEL, as_litres(ask.fuel))?;
    let bridge = check(&VOLUME, as_litres(ask.bridge))?;
    let runs = check(&RUNS, f64::from(ask.runs))?;
    let first = check(&CLOCK, as_hours(ask.first))?;
    let target = ask.target.map(|target| check(&TARGET, as_days(target))).transpose()?;
    if !ask.generator.fuel().stored() {
        return Err(PowerError::NotStored);
    }
    let pumping = ask.generator.burn(ask.beside + ask.pump)?;
    let idling = ask.generator.burn(ask.beside)?;
    let least = a_day / check(&DELIVERY, as_litres_per_hour(ask.flow))?;
    if least > 24.0 {
        return Err(PowerError::TooSlow { hours: least });
    }
    let line = Line { least, pumping: rate(&pumping), idling: rate(&idling) };
    let most = least.max(TAP_ON_DEMAND);
    // less than this is none, and the days would have no end
    if line.a_day(least) < 1e-12 {
        return Err(PowerError::Zero { name: "the fuel burnt in a day" });
    }
    let water_lasts = water / a_day;
    let wanted = target.map_or(water_lasts, |target| target.min(water_lasts));
    let on_demand = fuel / line.a_day(most);
    let (h, set_by) = if on_demand >= wanted {
        (most, SetBy::OnDemand)
    } else if fuel / line.a_day(least) < wanted {
        (least, SetBy::Pump)
    } else {
        (line.hours(fuel / wanted).clamp(least, most), SetBy::Fuel)
    };
    let fuel_a_day = line.a_day(h);
    let fuel_lasts = fuel / fuel_a_day;
    let day = Day { first, hours: h, runs };
    let (bridged, drawn_ahead) = day.between(a_day, bridge);
    let within = pumping.trust == Trust::InRange && idling.trust == Trust::InRange;
    Ok(RunPlan {
        hours: hours(h),
        least: hours(least),
        set_by,
        wanted: days(wanted),
        water_lasts: days(water_lasts),
        fuel_lasts: days(fuel_lasts),
        on_demand: days(on_demand),
        gains: days(fuel_lasts.min(water_lasts) - on_demand.min(water_lasts)),
        fuel_a_day: litres(fuel_a_day),
        burn: litres_per_hour(fuel_a_day / h),
        runs: day.runs(),
        longest_gap: hours(day.gap()),
        bridged: litres(bridged),
        drawn_ahead: litres(drawn_ahead),
        trust: if within { Trust::InRange } else { Trust::Extrapolated },
    })
}

fn rate(burn: &Burn) -> f64 {
    as_litres_per_hour(burn.rate)
}

/// Fuel a day, straight in the hours run.
struct Line {
    least: f64,
    pumping: f64,
    idling: f64,
}

impl Line {
    fn a_day(&self, hours: f64) -> f64 {
        self.least * self.pumping + (hours - self.least) * self.idling
    }

    /// The hours that burn so much a day; only asked where idling burns something, for else every hour costs the same.
    fn hours(&self, fuel_a_day: f64) -> f64 {
        self.least + (fuel_a_day - self.least * self.pumping) / self.idling
    }
}

/// How the hours lie in a day.
struct Day {
    first: f64,
    hours: f64,
    runs: f64,
}

impl Day {
    /// Hours of the waking day without a run.
    fn without(&self) -> f64 {
        (TAP_ON_DEMAND - self.hours).max(0.0)
    }

    /// Times in the waking day between runs, or after the only one.
    fn gaps(&self) -> f64 {
        (self.runs - 1.0).max(1.0)
    }

    fn gap(&self) -> f64 {
        self.without() / self.gaps()
    }

    fn runs(&self) -> Vec<RunTime> {
        let count = if self.without() > 0.0 { self.runs } else { 1.0 };
        let each = self.hours / count;
        [0.0, 1.0, 2.0]
            .into_iter()
            .filter(|run| *run < count)
            .map(|run| RunTime { starts: hours((self.first + run * (each + self.gap())) % 24.0), lasts: hours(each) })
            .collect()
    }

    /// Litres a day that are asked for between the runs: from the bridge, and drawn ahead.
    fn between(&self, a_day: f64, bridge: f64) -> (f64, f64) {
        let asked = a_day * self.without() / TAP_ON_DEMAND;
        let bridged = asked.min(bridge * self.gaps());
        (bridged, asked - bridged)
    }
}

impl RunPlan {
    /// The formula and figures behind the hours.
    #[must_use]
    pub fn working(&self, ask: &ToRun<'_>) -> Working {
        let litre = |volume: Volume| Figure::exact(as_litres(volume), Unit::Litre);
        let hour = |time: Time| Figure::exact(as_hours(time), Unit::Hour);
        let day = |time: Time| Figure::exact(as_days(time), Unit::Day);
        Working::new("hours a day to run", "h = t + (F/D − t·b₁)/b₀")
            .input("usable fuel", "F", litre(ask.fuel), "entries")
            .input("water in reach of the pump", "V", litre(ask.water), "estimate")
            .input("litres needed a day", "Q", litre(ask.a_day), "ration")
            .input(
                "what the pump delivers",
                "q",
                Figure::exact(as_litres_per_hour(ask.flow), Unit::LitrePerHour),
                "set-up",
            )
            .input("runs a day", "", Figure::exact(f64::from(ask.runs), Unit::Count), "chosen")
            .step("the pump takes at least", "t = Q / q", hour(self.least))
            .step("the water lasts", "V / Q", day(self.water_lasts))
            .step("it is to last", "D", day(self.wanted))
            .step("hours a day", "h, not less than t", hour(self.hours))
            .step("fuel a day", "t·b₁ + (h − t)·b₀", litre(self.fuel_a_day))
            .step("the fuel lasts", "F / (fuel a day)", day(self.fuel_lasts))
            .step("on demand, 16 hours a day, it lasts", "", day(self.on_demand))
            .step("the longest time without pressure by day", "(16 − h) / gaps", hour(self.longest_gap))
            .step("flows between the runs, a day", "", litre(self.bridged))
            .step("to be drawn ahead, a day", "", litre(self.drawn_ahead))
            .without("starting, and the rise of burn with wear; published burn figures are good to about 20 %")
            .beyond(self.trust == Trust::Extrapolated, "the burn lies outside the measured points")
            .source("by definition; the burn line is the maker's or measured")
            .source("a waking day of 16 hours with even use: common practice, no source")
    }
}
