//! How long one site lasts if the mains stop now: demand, stocks, power and the run, reckoned from the picture at a
//! moment and a ration. Everything a page says about a site's days comes from here.

use keepwell_engine::demand;
use keepwell_engine::demand::Demand;
use keepwell_engine::demand::Population;
use keepwell_engine::demand::Rung;
use keepwell_engine::endurance;
use keepwell_engine::endurance::Change;
use keepwell_engine::endurance::Event;
use keepwell_engine::endurance::Heels;
use keepwell_engine::endurance::Level;
use keepwell_engine::endurance::Run;
use keepwell_engine::endurance::Stock;
use keepwell_engine::endurance::Timeline;
use keepwell_engine::endurance::usual_levels;
use keepwell_engine::grade::Grade;
use keepwell_engine::level::BAND;
use keepwell_engine::moment::Moment;
use keepwell_engine::neighbourhood::Place;
use keepwell_engine::neighbourhood::Step;
use keepwell_engine::power;
use keepwell_engine::power::FuelKind;
use keepwell_engine::quantity::OutOfRange;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::VolumeRate;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::days;
use keepwell_engine::quantity::litres;
use keepwell_engine::quantity::litres_per_day;
use keepwell_engine::treatment::TreatmentError;

use crate::model::site::Animal;
use crate::model::site::Animals;
use crate::model::site::Category;
use crate::model::site::People;
use crate::model::site::Site;
use crate::picture::SitePicture;
use crate::picture::battery::BatteryNow;
use crate::picture::battery::Hangs;
use crate::picture::battery::battery_of;
use crate::picture::power::PowerNow;
use crate::picture::power::power_of;
use crate::picture::stocks::StockOf;
use crate::picture::stocks::Water;
use crate::picture::stocks::stocks_of;
use crate::picture::suppose::Delivery;
use crate::picture::suppose::Suppose;
use crate::picture::today;
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
    pub battery: Option<BatteryNow>,
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
        let needs = |uses| need(&site.site, &site.site.people, own.guests, uses);
        let demand = needs(rung.uses())?;
        let (people, _) = demand.per_head();
        let pump = works::pump(site, now).filter(|_| !own.pumpless);
        let flow = pump.as_ref().and_then(PumpNow::known).map(|known| known.tap.flow);
        let train =
            works::train(site, demand.drink_grade(), flow, &suppose.renewed, now)?.filter(|_| !suppose.untreated);
        let power =
            if own.unpowered { None } else { power_of(site, &demand, pump.as_ref(), train.as_ref(), own, now)? };
        let on = Hangs { demand: &demand, pump: pump.as_ref(), train: train.as_ref(), pumpless: own.pumpless };
        let battery = battery_of(site, on, now)?;
        let (stocks, mut engine_stocks, water) = stocks_of(site, now, outage, suppose);
        let (levels, mut events) = course(rung, suppose, needs)?;
        if let Some(delivery) = own.delivery {
            events.push(arrival(site, delivery, &stocks, &mut engine_stocks));
        }
        let runs = battery.as_ref().map(|battery| battery.runs(days(HORIZON_DAYS))).transpose()?.flatten();
        let (runs, sun) = runs.unzip();
        events.extend(sun.into_iter().flatten());
        events.sort_by(|a, b| a.at.value.total_cmp(&b.at.value));
        let hand = levels.iter().position(|level| level.name == "hand").unwrap_or(0);
        let run = Run {
            horizon: days(HORIZON_DAYS),
            people,
            levels,
            stocks: engine_stocks,
            power: power.as_ref().filter(|power| power.pumps).map(|power| endurance::Power {
                fuel: (power.fuel != FuelKind::MainsGas).then_some(power.on_hand.good),
                burn: power.burn,
                hours_a_day: power.hours_a_day,
            }),
            battery: runs,
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
        Ok(Self { demand, run, timeline, low, high, water, stocks, power, battery, pump, train, hand })
    }

    /// For the neighbourhood's reckoning.
    #[must_use]
    pub fn place(&self) -> Place {
        Place {
            people: self.run.people,
            need: litres_per_day(as_litres(self.demand.drink_grade())),
            in_reach: self.water.drink + self.treatable(),
            ration_ends: self.timeline.ration_ends(),
            dry_from: self.timeline.dry_from(),
        }
    }

    /// What changes on the way for all together: the need at the ration, and what comes.
    #[must_use]
    pub fn steps(&self) -> Vec<Step> {
        let need = |uses: &endurance::Uses| as_litres(uses.drink_grade()) * self.run.people;
        let mut now = as_litres(self.demand.drink_grade());
        let mut to = |at: Time, need: f64| {
            let more = litres_per_day(need - now);
            now = need;
            Step { at, more, comes: Volume::default() }
        };
        let mut steps = Vec::new();
        if let Some(level) = self.run.levels.first().filter(|_| self.run.events.iter().any(is_of_uses)) {
            // While it is hot more is needed than the ration from the first day on.
            steps.push(to(Time::default(), need(&level.uses)));
        }
        for event in &self.run.events {
            match &event.change {
                Change::Uses { level: 0, uses } => steps.push(to(event.at, need(uses))),
                Change::AddWater { volume, .. } => {
                    steps.push(Step { at: event.at, more: VolumeRate::default(), comes: *volume });
                }
                Change::Uses { .. } | Change::AddFuel(_) | Change::Sun(_) => {}
            }
        }
        steps
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
    need(&site.site, &site.site.people, 0, uses)
}

/// What those people and the site's animals need at a ration, with what is lost in handing it out.
///
/// # Errors
/// As [`demand_of`].
pub fn need(site: &Site, people: &[People], guests: u32, uses: demand::Uses) -> Result<Demand, OutOfRange> {
    population(people, &site.animals, guests).demand(uses)?.handed_out(site.handed_out_loss)
}

/// Who draws at a site, with so many guests.
pub fn population(people: &[People], animals: &[Animals], guests: u32) -> Population {
    let mut population = Population::default();
    for people in people {
        let category = category(people.category);
        let so_far = population.count(category);
        population = population.with(category, so_far.saturating_add(people.count));
    }
    for animals in animals {
        population = population.with_animals(animal(animals.animal), animals.count);
    }
    if guests > 0 {
        let so_far = population.count(demand::Category::Adult);
        population = population.with(demand::Category::Adult, so_far.saturating_add(guests));
    }
    population
}

/// The levels as they are now, and how they change: while it is hot those on the ration drink twice as much, and another
/// ration may take the place of this one.
fn course(
    rung: &Rung,
    suppose: &Suppose,
    needs: impl Fn(demand::Uses) -> Result<Demand, OutOfRange>,
) -> Result<(Vec<Level>, Vec<Event>), OutOfRange> {
    let later = suppose.then.as_ref().map(|then| (then.after, today::rung(&then.ration)));
    let at = |day: f64| -> Result<Vec<Level>, OutOfRange> {
        let rung = later.as_ref().filter(|(after, _)| *after <= day).map_or(rung, |(_, rung)| rung);
        let demand = needs(rung.uses())?;
        let hot = day < suppose.heat_days && demand.people > 0;
        // The cap on what a person carries is for the ration alone: what beds, visitors and animals need comes on top.
        let mut levels = usual_levels(rung.uses(), litres(demand::HAND_CAP), false);
        for level in &mut levels {
            level.uses = needs(level.uses)?.per_head().1;
            if hot {
                level.uses.drink += demand.ration.drink;
            }
        }
        Ok(levels)
    };
    let mut changes: Vec<f64> = later.iter().map(|(after, _)| *after).chain([suppose.heat_days]).collect();
    changes.retain(|day| *day > 0.0);
    changes.sort_by(f64::total_cmp);
    changes.dedup();
    let mut events = Vec::new();
    for day in changes {
        let change =
            |(level, new): (usize, Level)| Event { at: days(day), change: Change::Uses { level, uses: new.uses } };
        events.extend(at(day)?.into_iter().enumerate().map(change));
    }
    Ok((at(0.0)?, events))
}

const fn is_of_uses(event: &Event) -> bool {
    matches!(event.change, Change::Uses { .. })
}

/// What is promised, on its day.
fn arrival(site: &SitePicture, delivery: Delivery, of: &[StockOf], stocks: &mut Vec<Stock>) -> Event {
    let drinking = of.iter().enumerate().filter(|(_, of)| of.grade == Grade::Drink);
    let largest = drinking
        .filter_map(|(place, of)| Some((place, of.brim(site)?.value)))
        .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)));
    let stock = largest.map_or_else(
        || {
            let heel = Heels { dip: Some(Volume::default()), ..Heels::default() };
            stocks.push(Stock { id: "promised".to_owned(), grade: Grade::Drink, volume: Volume::default(), heel });
            stocks.len() - 1
        },
        |(place, _)| place,
    );
    Event { at: days(delivery.day), change: Change::AddWater { stock, volume: litres(delivery.litres) } }
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
