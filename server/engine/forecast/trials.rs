//! All draws of one site.

use crate::endurance::Change;
use crate::endurance::Level;
use crate::endurance::Reach;
use crate::endurance::Trial;
use crate::endurance::Uses;
use crate::forecast::Coming;
use crate::forecast::Question;
use crate::forecast::Refusal;
use crate::forecast::Site;
use crate::forecast::luck::About;
use crate::forecast::luck::Luck;
use crate::forecast::luck::Name;
use crate::grade::Grade;
use crate::level::BAND;
use crate::neighbourhood::placed::Plain;
use crate::quantity::as_days;
use crate::quantity::as_litres;

/// What came of each draw, in days and litres; what does not end is infinite.
#[derive(Debug)]
pub(super) struct Trials {
    pub(super) ration: Vec<f64>,
    pub(super) dry: Vec<f64>,
    /// drinking water in reach
    pub(super) drink: Vec<f64>,
    /// litres of drink grade needed a day at the ration
    pub(super) need: Vec<f64>,
    /// what is needed more or less, and what comes, on the way: of which draw
    pub(super) steps: Vec<(u32, Plain)>,
    /// whether anybody draws here who could go without
    pub(super) needed: bool,
}

/// A log-normal factor of mean 1 whose standard deviation is `spread`.
#[derive(Clone, Copy)]
struct Factor {
    sigma: f64,
    shift: f64,
}

impl Factor {
    fn new(spread: f64) -> Self {
        let variance = (spread * spread).ln_1p();
        Self { sigma: variance.sqrt(), shift: -variance / 2.0 }
    }

    fn at(self, z: impl FnOnce() -> f64) -> f64 {
        if self.sigma > 0.0 { self.sigma.mul_add(z(), self.shift).exp() } else { 1.0 }
    }
}

/// Two standard normal numbers to one: the part `joint` of its variance is the first one's.
fn both(joint: f64, shared: f64, own: f64) -> f64 {
    joint.sqrt() * shared + (1.0 - joint).sqrt() * own
}

/// A stock with its luck.
struct Uncertain {
    sd: f64,
    brim: f64,
    name: Name,
    /// litres that no level can get at; infinite where it is not drinking water, nor can be made it, or is out of reach
    heel: f64,
    /// it is drinking water only as far as what treats it lasts
    treated: bool,
}

/// An event with its luck.
struct Arrival {
    chance: Coming,
    day: f64,
    late: f64,
    comes: Name,
    delay: Name,
}

pub(super) fn trials(place: usize, site: &Site, question: &Question) -> Result<Trials, Refusal> {
    let mut trial = Trial::new(&site.run).map_err(|why| Refusal::Run { site: place, why })?;
    let stocks = uncertain(site);
    let arrivals = arrivals(site);
    let [uses, burn, sun] = [site.use_spread, site.burn_spread, site.sun_spread].map(Factor::new);
    let sky = Name::of_all(About::Sun);
    let [of_all, own_use, own_burn, of_stocks] = [
        Name::of_all(About::UseOfAll),
        Name::new(About::Use, &site.key, ""),
        Name::new(About::Burn, &site.key, ""),
        Name::new(About::Stocks, &site.key, ""),
    ];
    let a_day = site.run.levels.first().map_or(0.0, |level| site.run.people * as_litres(level.uses.drink_grade()));
    let media = site.run.treatment.map_or(0.0, |treatment| treatment.media.map_or(f64::INFINITY, as_litres));
    let shared = site.stocks_joint > 0.0 && stocks.iter().any(|stock| stock.sd > 0.0);

    let count = question.draws as usize;
    let empty = || Vec::with_capacity(count);
    let needed =
        site.run.people > 0.0 && site.run.levels.first().is_some_and(|level| as_litres(level.uses.total()) > 0.0);
    let mut all = Trials { ration: empty(), dry: empty(), drink: empty(), need: empty(), steps: Vec::new(), needed };
    let mut came: Vec<(usize, f64)> = Vec::with_capacity(arrivals.len());
    for draw in 0..question.draws {
        let luck = Luck::new(question.seed, draw);
        let uses = uses.at(|| both(question.use_joint, luck.normal(of_all), luck.normal(own_use)));
        let burn = burn.at(|| luck.normal(own_burn));
        let sun = if site.run.battery.is_some() { sun.at(|| luck.normal(sky)) } else { 1.0 };
        let of_stocks = if shared { luck.normal(of_stocks) } else { 0.0 };
        let (mut drink, mut treatable) = (0.0, 0.0);
        came.clear();
        let ends = trial.go(
            [uses, burn, sun],
            |index, litres| {
                let Some(stock) = stocks.get(index) else { return litres };
                let drawn = stock.litres(litres, luck, site.stocks_joint, of_stocks);
                let reached = (drawn - stock.heel).max(0.0);
                if stock.treated {
                    treatable += reached
                } else {
                    drink += reached
                }
                drawn
            },
            |index| {
                let late = arrivals.get(index)?.late(luck)?;
                came.push((index, arrivals[index].day + late));
                Some(late)
            },
        );
        all.ration.push(ends.ration.unwrap_or(f64::INFINITY));
        all.dry.push(ends.dry.unwrap_or(f64::INFINITY));
        all.drink.push(drink + treatable.min(media));
        all.need.push(a_day * uses);
        steps(site, &stocks, uses, &mut came, |step| all.steps.push((draw, step)));
    }
    Ok(all)
}

/// Tells what comes on the way and counts, and what is needed more or less from then on, of the events that came and when.
fn steps(site: &Site, stocks: &[Uncertain], uses: f64, came: &mut [(usize, f64)], mut tell: impl FnMut(Plain)) {
    came.sort_by(|a, b| a.1.total_cmp(&b.1));
    let run = &site.run;
    let need = |level: &Uses| run.people * as_litres(level.drink_grade()) * uses;
    let mut now = run.levels.first().map_or(0.0, |level| need(&level.uses));
    for (event, at) in came.iter() {
        match &run.events[*event].change {
            Change::Uses { level: 0, uses } => {
                let then = need(uses);
                tell(Plain { at: *at, more: then - now, comes: 0.0 });
                now = then;
            }
            Change::AddWater { stock, volume } if stocks[*stock].heel.is_finite() && !stocks[*stock].treated => {
                tell(Plain { at: *at, more: 0.0, comes: as_litres(*volume) });
            }
            Change::AddWater { .. } | Change::AddFuel(_) | Change::Sun(_) | Change::Uses { .. } => {}
        }
    }
}

impl Uncertain {
    fn litres(&self, litres: f64, luck: Luck, joint: f64, shared: f64) -> f64 {
        if self.sd > 0.0 {
            (litres + self.sd * both(joint, shared, luck.normal(self.name))).clamp(0.0, self.brim)
        } else {
            litres
        }
    }
}

impl Arrival {
    /// Days late; `None`: it never comes.
    fn late(&self, luck: Luck) -> Option<f64> {
        if self.chance.comes < 1.0 && luck.even(self.comes) >= self.chance.comes {
            return None;
        }
        Some(if self.late > 0.0 { self.late * luck.wait(self.delay) } else { 0.0 })
    }
}

fn uncertain(site: &Site) -> Vec<Uncertain> {
    let levels = &site.run.levels;
    let reach = levels.iter().fold(Reach::default(), |all, Level { reach, .. }| Reach {
        pump: all.pump || reach.pump,
        gravity: all.gravity || reach.gravity,
        dip: all.dip || reach.dip,
    });
    let counts = |grade| grade == Grade::Drink || grade == Grade::Treat && site.run.treatment.is_some();
    let doubts = site.run.stocks.iter().zip(&site.stocks);
    doubts
        .map(|(stock, doubt)| Uncertain {
            sd: as_litres(doubt.sd),
            brim: doubt.brim.map_or(f64::INFINITY, as_litres),
            name: Name::new(About::Stock, &site.key, &stock.id),
            heel: stock.heel.lowest(reach).filter(|_| counts(stock.grade)).map_or(f64::INFINITY, as_litres),
            treated: stock.grade == Grade::Treat,
        })
        .collect()
}

/// An event is known by what it brings, to where and when, and by its number among those alike: another one in the list
/// moves nobody's luck.
fn arrivals(site: &Site) -> Vec<Arrival> {
    let run = &site.run;
    let told = |place: usize| {
        let event = &run.events[place];
        let what = match event.change {
            Change::AddWater { stock, .. } => run.stocks.get(stock).map_or("", |stock| stock.id.as_str()),
            Change::AddFuel(_) => "fuel",
            Change::Sun(_) => "sun",
            Change::Uses { level, .. } => run.levels.get(level).map_or("", |level| level.name.as_str()),
        };
        (core::mem::discriminant(&event.change), what, as_days(event.at).to_bits())
    };
    let mut all = Vec::with_capacity(run.events.len());
    for (place, chance) in site.events.iter().enumerate().take(run.events.len()) {
        let own = told(place);
        let alike = (0..place).filter(|before| told(*before) == own).count();
        let kind = match run.events[place].change {
            Change::AddWater { .. } => 1,
            Change::AddFuel(_) => 2,
            Change::Uses { .. } => 3,
            Change::Sun(_) => 4,
        };
        let name = |about| Name::new(about, &site.key, own.1).number(own.2).number(kind).number(alike as u64);
        let (day, late) = (as_days(run.events[place].at), as_days(chance.late));
        all.push(Arrival { chance: *chance, day, late, comes: name(About::Comes), delay: name(About::Late) });
    }
    all
}

/// The days of the outage in each draw; `None`: nobody knows.
pub(super) fn outages(question: &Question) -> Option<Vec<f64>> {
    let outage = question.outage?;
    let (half, most) = (as_days(outage.half_over), as_days(outage.nine_in_ten_over));
    let sigma = (most / half).ln() / BAND;
    let name = Name::of_all(About::Outage);
    Some((0..question.draws).map(|draw| half * (sigma * Luck::new(question.seed, draw).normal(name)).exp()).collect())
}
