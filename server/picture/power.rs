//! A site's power: its generator, the fuel that counts, the load that its pump, its lamp and the rest put on it.

use std::sync::Arc;

use keepwell_engine::demand::Demand;
use keepwell_engine::endurance::Cause;
use keepwell_engine::endurance::Stock;
use keepwell_engine::grade::Grade;
use keepwell_engine::moment::Moment;
use keepwell_engine::power;
use keepwell_engine::power::FIRST_RUN;
use keepwell_engine::power::FuelKind;
use keepwell_engine::power::FuelOnHand;
use keepwell_engine::power::RunPlan;
use keepwell_engine::power::ToRun;
use keepwell_engine::quantity::OutOfRange;
use keepwell_engine::quantity::Power;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::VolumeRate;
use keepwell_engine::quantity::hours;
use keepwell_engine::quantity::litres;
use keepwell_engine::quantity::litres_per_hour;
use keepwell_engine::quantity::watts;
use keepwell_engine::working::Trust;

use crate::model::power::Fuel;
use crate::model::power::FuelStore;
use crate::model::power::Generator;
use crate::model::power::Load;
use crate::picture::SitePicture;
use crate::picture::bears::pumps;
use crate::picture::cluster::day_moment;
use crate::picture::cluster::moment;
use crate::picture::site::FuelState;
use crate::picture::standing::Standing;
use crate::picture::suppose::AtSite;
use crate::picture::works::PumpNow;
use crate::picture::works::TrainNow;

/// A site's generator and fuel.
#[derive(Clone, Debug)]
pub struct PowerNow {
    pub fuel: FuelKind,
    pub on_hand: FuelOnHand,
    pub load: Power,
    /// no loads were given: half of the rated load is taken
    pub load_assumed: bool,
    /// what the pump adds to the load comes from its hydraulics
    pub pump_reckoned: bool,
    pub burn: VolumeRate,
    pub trust: Trust,
    pub hours_a_day: Time,
    /// hours of running on the fuel that counts; none for gas from the main
    pub running: Option<Time>,
    /// it runs and starts the pump, as far as anybody said what it gives
    pub pumps: bool,
}

/// The generator in use at a site.
#[must_use]
pub fn generator_of(site: &SitePicture, now: Moment) -> Option<&Arc<Generator>> {
    site.generators.iter().find(|generator| generator.ended.is_none_or(|ended| moment(ended) > now))
}

/// A site's generator with its fuel and its load, if one is in use.
///
/// # Errors
/// A figure of the set-up that the engine does not take; it names it.
pub fn power_of(
    site: &SitePicture,
    demand: &Demand,
    pump: Option<&PumpNow>,
    train: Option<&TrainNow>,
    own: AtSite,
    now: Moment,
) -> Result<Option<PowerNow>, power::PowerError> {
    let Some(generator) = generator_of(site, now) else { return Ok(None) };
    let fuel = fuel_kind(generator.fuel);
    let engine = burns(generator)?;
    let hours_a_day = hours(own.pump_hours.unwrap_or(site.site.pump_hours_a_day));
    let loads = loads_of(site, demand, pump, train, hours_a_day, now);
    let pumps = pumps(site, generator, &loads)?;
    let load_assumed = loads.iter().all(|on_it| on_it.stage);
    let there = loads.into_iter().filter(|on_it| !(own.pumpless && on_it.pump));
    let loads: Vec<power::Load> = there.map(|on_it| on_it.load).collect();
    let load = if load_assumed {
        watts(generator.rated_w / 2.0)
    } else {
        power::average_load(&loads, hours_a_day)?.min(watts(generator.rated_w))
    };
    let burn = engine.burn(load)?;
    let mut on_hand = power::on_hand(fuel, &fuel_stores(site, now), now);
    on_hand.good += litres(own.fuel_l);
    let running = (fuel != FuelKind::MainsGas && burn.rate > VolumeRate::default()).then(|| on_hand.good / burn.rate);
    let trust = burn.trust;
    let pump_reckoned = pump.and_then(PumpNow::known).is_some();
    let burn = burn.rate;
    Ok(Some(PowerNow { fuel, on_hand, load, load_assumed, pump_reckoned, burn, trust, hours_a_day, running, pumps }))
}

/// Something that takes power at a site.
pub(super) struct OnIt {
    pub pump: bool,
    pub stage: bool,
    /// somebody said what it takes as it starts
    pub start_said: bool,
    pub load: power::Load,
}

/// All that takes power at a site: its loads, its pump, and the stages of its treatment.
pub(super) fn loads_of(
    site: &SitePicture,
    demand: &Demand,
    pump: Option<&PumpNow>,
    train: Option<&TrainNow>,
    hours_a_day: Time,
    now: Moment,
) -> Vec<OnIt> {
    // What the pump takes is its own figure, where it is known; otherwise that of the load that stands for it.
    let known = pump.and_then(|pump| Some((pump, pump.known()?)));
    let in_use = |ended: Option<jiff::Timestamp>| ended.is_none_or(|ended| moment(ended) > now);
    let loads = site.loads.iter().filter(|load| in_use(load.ended) && !(load.pump && known.is_some()));
    let loads = loads.map(|load| OnIt {
        pump: load.pump,
        stage: false,
        start_said: load.surge_w.is_some(),
        load: power::Load {
            name: load.name.as_str().to_owned(),
            running: watts(load.running_w),
            surge: watts(load.surge_w.unwrap_or(load.running_w).max(load.running_w)),
            hours_a_day: hours(load.hours_a_day),
        },
    });
    // As it starts it takes what its load says.
    let starts = site.loads.iter().filter(|load| in_use(load.ended) && load.pump).filter_map(|load| load.surge_w);
    let starts = starts.fold(0.0, f64::max);
    let known = known.map(|(pump, known)| OnIt {
        pump: true,
        stage: false,
        start_said: starts > 0.0,
        load: power::Load {
            name: pump.pump.name.as_str().to_owned(),
            running: known.tap.power,
            surge: known.tap.power.max(watts(starts)),
            hours_a_day: known.hours_for(demand.total()).min(hours_a_day),
        },
    });
    // A lamp burns as long as there is power.
    let stages = train.into_iter().flat_map(|train| &train.stages).map(|stage| OnIt {
        pump: false,
        stage: true,
        start_said: true,
        load: power::Load {
            name: stage.stage.name.as_str().to_owned(),
            running: watts(stage.stage.draws_w.unwrap_or(0.0)),
            surge: watts(stage.stage.draws_w.unwrap_or(0.0)),
            hours_a_day,
        },
    });
    loads.chain(known).chain(stages).collect()
}

/// Runs a day that a plan is made for (common practice, no source): one in the morning, one at night.
const RUNS: u32 = 2;

/// Hours that a pump of which nothing is known is taken to need for a day's water (common practice, no source).
const UNKNOWN_PUMP: f64 = 1.0;

/// The plan by which the fuel lasts as long as the water, where there is a generator with stored fuel, and water for it.
/// Where the pump's own figures are not known, those of the load that stands for it are taken: so many watts, for so many
/// hours a day. None where there is nothing to plan.
///
/// # Errors
/// The engine's word for what no plan can be made of: a pump too slow for the day's litres.
pub fn plan(site: &SitePicture, standing: &Standing, now: Moment) -> Result<Option<RunPlan>, power::PowerError> {
    let Some(power) = standing.power.as_ref().filter(|power| power.pumps) else { return Ok(None) };
    // What sun and battery carry needs no plan.
    if standing.run.battery.is_some() && standing.timeline.ends_ration() != Some(Cause::Fuel) {
        return Ok(None);
    }
    let Some(generator) = generator_of(site, now).filter(|_| power.fuel.stored()) else { return Ok(None) };
    let reached = |stock: &Stock| stock.heel.pump.map_or_else(Volume::default, |heel| stock.volume - heel);
    let of = |grade: Grade| -> Volume {
        let stocks = standing.run.stocks.iter().filter(|stock| stock.grade == grade);
        stocks.map(|stock| reached(stock).max(Volume::default())).sum()
    };
    // What cannot be drunk does not make the days.
    let treated = standing.run.treatment.map(|treatment| match treatment.media {
        Some(media) => of(Grade::Treat).min(media),
        None => of(Grade::Treat),
    });
    let water = of(Grade::Drink) + treated.unwrap_or_default();
    let a_day = standing.demand.total();
    if water < litres(1.0) || a_day < litres(1.0) {
        return Ok(None);
    }
    let Lift { pump, flow, tank } = Lift::of(site, standing.pump.as_ref(), a_day, now);
    let share = (a_day / flow / power.hours_a_day).value.min(1.0);
    // Two runs have one gap between them, so what the sun puts back in a day is for that one.
    let battery = standing.battery.as_ref().and_then(|battery| battery.pump.as_ref());
    let bridge = tank + battery.map_or_else(Volume::default, |pump| pump.bridges);
    // Fuel burns for what sun and battery fall short of, so that it lasts as many more days at the same hours.
    let short = standing.run.battery.map_or(1.0, |battery| battery.short());
    let ask = ToRun {
        generator: &burns(generator)?,
        beside: (power.load - pump * share).max(watts(0.0)),
        pump,
        flow,
        a_day,
        water,
        fuel: power.on_hand.good / short,
        target: None,
        bridge,
        runs: RUNS,
        first: hours(FIRST_RUN),
    };
    power::run_plan(&ask).map(Some)
}

/// The load that stands for the pump, where one is set up and says what it takes.
pub(super) fn pump_load(site: &SitePicture, now: Moment) -> Option<&Arc<Load>> {
    let in_use = |load: &&Arc<Load>| load.ended.is_none_or(|ended| moment(ended) > now);
    site.loads.iter().filter(in_use).find(|load| load.pump && load.running_w > 0.0)
}

/// What brings the water up, as a plan asks it.
struct Lift {
    pump: Power,
    flow: VolumeRate,
    /// what still flows out of the pressure tank when it has stopped
    tank: Volume,
}

impl Lift {
    fn of(site: &SitePicture, pump: Option<&PumpNow>, a_day: Volume, now: Moment) -> Self {
        if let Some(known) = pump.and_then(PumpNow::known) {
            let tank = known.switch.as_ref().map_or_else(Volume::default, |switch| switch.drawdown.value);
            return Self { pump: known.tap.power, flow: known.tap.flow, tank };
        }
        let load = pump_load(site, now).filter(|load| load.hours_a_day > 0.0);
        let hours_a_day = load.map_or(UNKNOWN_PUMP, |load| load.hours_a_day);
        let pump = watts(load.map_or(0.0, |load| load.running_w));
        Self { pump, flow: a_day / hours(hours_a_day), tank: Volume::default() }
    }
}

/// A generator as the engine sees it.
///
/// # Errors
/// Its rating or its burn line does not hold.
pub fn burns(generator: &Generator) -> Result<power::Generator, power::PowerError> {
    let points: Vec<power::BurnPoint> = generator
        .burn
        .iter()
        .map(|point| power::BurnPoint { load: watts(point.load_w), burn: litres_per_hour(point.litres_per_hour) })
        .collect();
    power::Generator::new(fuel_kind(generator.fuel), watts(generator.rated_w), &points)
}

/// The fuel that is there, store by store, as the engine sees it. More than a store can hold counts for nothing until
/// it is put right: the finding about fuel says so.
#[must_use]
pub fn fuel_stores(site: &SitePicture, now: Moment) -> Vec<power::FuelStore> {
    site.fuel_stores
        .iter()
        .filter(|store| store.ended.is_none_or(|ended| moment(ended) > now))
        .filter_map(|store| in_store(store, site.ledger.state.fuel.get(&store.id)?).ok())
        .collect()
}

/// What is believed to be in one store, as the engine sees it.
///
/// # Errors
/// More than any store holds, once all that was logged is added up.
pub fn in_store(store: &FuelStore, state: &FuelState) -> Result<power::FuelStore, OutOfRange> {
    let bought = state.bought.map(day_moment);
    power::FuelStore::new(fuel_kind(store.fuel), litres(state.litres), Volume::default(), bought, state.stabilised)
}

#[must_use]
pub const fn fuel_kind(fuel: Fuel) -> FuelKind {
    match fuel {
        Fuel::Petrol => FuelKind::Petrol,
        Fuel::Diesel => FuelKind::Diesel,
        Fuel::Propane => FuelKind::Propane,
        Fuel::MainsGas => FuelKind::MainsGas,
    }
}
