//! How long one site lasts if the mains stop now: demand, stocks, power and the run, reckoned from the picture at a
//! moment and a ration. Everything a page says about a site's days comes from here.

use keepwell_engine::demand;
use keepwell_engine::demand::Demand;
use keepwell_engine::demand::Population;
use keepwell_engine::demand::Rung;
use keepwell_engine::endurance;
use keepwell_engine::endurance::Change;
use keepwell_engine::endurance::Event;
use keepwell_engine::endurance::Level;
use keepwell_engine::endurance::Run;
use keepwell_engine::endurance::Timeline;
use keepwell_engine::endurance::usual_levels;
use keepwell_engine::level::BAND;
use keepwell_engine::moment::Moment;
use keepwell_engine::neighbourhood::Place;
use keepwell_engine::power;
use keepwell_engine::power::FuelKind;
use keepwell_engine::quantity::OutOfRange;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::days;
use keepwell_engine::quantity::litres;
use keepwell_engine::quantity::litres_per_day;
use keepwell_engine::treatment::TreatmentError;

use crate::model::site::Animal;
use crate::model::site::Category;
use crate::picture::SitePicture;
use crate::picture::power::PowerNow;
use crate::picture::power::power_of;
use crate::picture::stocks::StockOf;
use crate::picture::stocks::Water;
use crate::picture::stocks::stocks_of;
use crate::picture::suppose::Suppose;
use crate::picture::works;
use crate::picture::works::PumpNow;
use crate::picture::works::TrainNow;

/// How far a run looks. What lasts longer "does not run out within 2 years".
pub const HORIZON_DAYS: f64 = 730.0;

/// A figure that the engine does not take. Service checks all of them before they are kept.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum StandingError {
    #[error(transparent)]
    Demand(#[from] OutOfRange),
    #[error(transparent)]
    Power(#[from] power::PowerError),
    #[error(transparent)]
    Run(#[from] endurance::Refusal),
    #[error(transparent)]
    Treatment(#[from] TreatmentError),
}

/// One site at a moment and a ration.
#[derive(Clone, Debug)]
pub struct Standing {
    pub demand: Demand,
    pub run: Run,
    pub timeline: Timeline,
    /// days at the ration if the levels are at the low and high end of their joint 8-in-10 band
    pub low: Time,
    pub high: Time,
    pub water: Water,
    pub stocks: Vec<StockOf>,
    pub power: Option<PowerNow>,
    /// the pump and the train between the vessels and the tap
    pub pump: Option<PumpNow>,
    pub train: Option<TrainNow>,
    /// which of the run's levels is carried by hand, and which is drinking only
    pub hand: usize,
}

impl Standing {
    /// # Errors
    /// A figure of the set-up that the engine does not take; it names it.
    pub fn of(site: &SitePicture, rung: &Rung, now: Moment) -> Result<Self, StandingError> {
        Self::supposing(site, rung, now, false, &Suppose::default())
    }

    /// The same with something supposed; while an outage is on, what counts only then counts.
    ///
    /// # Errors
    /// As [`Standing::of`].
    pub fn supposing(
        site: &SitePicture,
        rung: &Rung,
        now: Moment,
        outage: bool,
        suppose: &Suppose,
    ) -> Result<Self, StandingError> {
        let own = suppose.at(site.site.id);
        let needs = |uses| population(site, own.guests).demand(uses);
        let demand = needs(rung.uses())?;
        let (people, _) = demand.per_head();
        let pump = works::pump(site, now);
        let flow = pump.as_ref().and_then(PumpNow::known).map(|known| known.tap.flow);
        let train = works::train(site, demand.drink_grade(), flow, now)?.filter(|_| !suppose.untreated);
        let power =
            if own.unpowered { None } else { power_of(site, &demand, pump.as_ref(), train.as_ref(), own, now)? };
        let (stocks, engine_stocks, water) = stocks_of(site, now, outage, suppose);
        // The cap on what a person carries is for the ration alone: what beds, visitors and animals need comes on top.
        let mut levels = usual_levels(rung.uses(), litres(demand::HAND_CAP), false);
        for level in &mut levels {
            level.uses = needs(level.uses)?.per_head().1;
        }
        let (levels, events) = in_heat(levels, suppose.heat_days, &demand);
        let hand = levels.iter().position(|level| level.name == "hand").unwrap_or(0);
        let run = Run {
            horizon: days(HORIZON_DAYS),
            people,
            levels,
            stocks: engine_stocks,
            power: power.as_ref().map(|power| endurance::Power {
                fuel: (power.fuel != FuelKind::MainsGas).then_some(power.on_hand.good),
                burn: power.burn,
                hours_a_day: power.hours_a_day,
            }),
            treatment: train
                .as_ref()
                .filter(|train| train.counts())
                .map(|train| endurance::Treatment { media: train.treatable, needs_power: train.needs_power }),
            keep_drinking: Time::default(),
            events,
        };
        let timeline = endurance::run(&run)?;
        let low = endurance::run(&shifted(&run, &stocks, -BAND))?.days_at_ration;
        let high = endurance::run(&shifted(&run, &stocks, BAND))?.days_at_ration;
        Ok(Self { demand, run, timeline, low, high, water, stocks, power, pump, train, hand })
    }

    /// For the neighbourhood's reckoning.
    #[must_use]
    pub fn place(&self) -> Place {
        Place {
            people: self.run.people,
            need: litres_per_day(keepwell_engine::quantity::as_litres(self.demand.drink_grade())),
            in_reach: self.water.drink + self.treatable(),
            ration_ends: self.timeline.ration_ends(),
            dry_from: self.timeline.dry_from(),
        }
    }

    /// Water in reach that can still be made drinking water here.
    #[must_use]
    pub fn treatable(&self) -> Volume {
        self.run.treatment.map_or_else(Volume::default, |treatment| {
            treatment.media.map_or(self.water.treat, |media| media.min(self.water.treat))
        })
    }

    /// Whether anything is needed here at all.
    #[must_use]
    pub fn needs_water(&self) -> bool {
        self.demand.total() > Volume::default()
    }
}

/// The run with every level moved the same way within its joint band: each stock by its part of the whole variance.
fn shifted(run: &Run, stocks: &[StockOf], by: f64) -> Run {
    let mut shifted = run.clone();
    let variance: f64 = stocks.iter().map(|stock| stock.estimate.sd.value * stock.estimate.sd.value).sum();
    if variance > 0.0 {
        let joint = variance.sqrt();
        for (stock, of) in shifted.stocks.iter_mut().zip(stocks) {
            let sd = of.estimate.sd.value;
            let moved = Volume { value: by * sd * (sd / joint), ..Volume::default() };
            stock.volume = (stock.volume + moved).max(Volume::default());
        }
    }
    shifted
}

/// What the people and animals of a site need at a ration.
///
/// # Errors
/// A ration out of the engine's range.
pub fn demand_of(site: &SitePicture, uses: demand::Uses) -> Result<Demand, OutOfRange> {
    population(site, 0).demand(uses)
}

/// Who draws at a site, with so many guests.
fn population(site: &SitePicture, guests: u32) -> Population {
    let mut population = Population::default();
    for people in &site.site.people {
        let category = category(people.category);
        let so_far = population.count(category);
        population = population.with(category, so_far.saturating_add(people.count));
    }
    for animals in &site.site.animals {
        population = population.with_animals(animal(animals.animal), animals.count);
    }
    if guests > 0 {
        let so_far = population.count(demand::Category::Adult);
        population = population.with(demand::Category::Adult, so_far.saturating_add(guests));
    }
    population
}

/// The levels as they are while it is hot, and the event that ends the heat: those on the ration drink twice as much.
fn in_heat(levels: Vec<Level>, heat_days: f64, demand: &Demand) -> (Vec<Level>, Vec<Event>) {
    if heat_days <= 0.0 || demand.people == 0 {
        return (levels, Vec::new());
    }
    let cooler = |(level, usual): (usize, &Level)| Event {
        at: days(heat_days),
        change: Change::Uses { level, uses: usual.uses },
    };
    let events = levels.iter().enumerate().map(cooler).collect();
    let hotter = |mut level: Level| {
        level.uses.drink += demand.ration.drink;
        level
    };
    (levels.into_iter().map(hotter).collect(), events)
}

const fn category(category: Category) -> demand::Category {
    match category {
        Category::Adult => demand::Category::Adult,
        Category::Child => demand::Category::Child,
        Category::Infant => demand::Category::Infant,
        Category::Nursing => demand::Category::Nursing,
        Category::Unwell => demand::Category::Unwell,
        Category::Bed => demand::Category::Bed,
        Category::DayVisitor => demand::Category::DayVisitor,
        Category::Catchment => demand::Category::Catchment,
    }
}

const fn animal(animal: Animal) -> demand::Animal {
    match animal {
        Animal::DogOrCat => demand::Animal::DogOrCat,
        Animal::Poultry => demand::Animal::Poultry,
        Animal::Sheep => demand::Animal::Sheep,
        Animal::Horse => demand::Animal::Horse,
        Animal::Cow => demand::Animal::Cow,
    }
}
