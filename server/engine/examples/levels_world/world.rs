//! An invented world whose truth is known: vessels that stand or are used, leak, are read, misread and forgotten.
//!
//! It knows nothing of how a level is estimated; it writes entries, and keeps the truth to itself.

use std::error::Error;

use keepwell_engine::level::Method;
use keepwell_engine::level::explain::Belief;
use keepwell_engine::level::explain::End;
use keepwell_engine::level::explain::Entry;
use keepwell_engine::level::explain::Habit;
use keepwell_engine::level::explain::What;
use keepwell_engine::level::explain::believe;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::days;
use keepwell_engine::quantity::litres;
use keepwell_engine::quantity::millimetres;

use crate::chance::Chance;
use crate::plan::Kind;
use crate::plan::Plan;
use crate::plan::Step;
use crate::vessel::Vessel;

/// The moment called day 0, a midnight.
pub const DAY_0: Moment = Moment::from_micros(0);

/// A history and the truth behind it.
pub struct History {
    pub kind: Kind,
    pub vessel: Vessel,
    pub entries: Vec<Entry>,
    pub asks: Vec<f64>,
    pub truth: Truth,
}

impl History {
    /// What the estimator makes of it on the days asked.
    pub fn believe(&self) -> Result<Vec<Belief>, Box<dyn Error>> {
        let habit = if self.kind.in_use() { Habit::InUse } else { Habit::Standing };
        let asks: Vec<Moment> = self.asks.iter().map(|&day| DAY_0.after(days(day))).collect();
        Ok(believe(&self.vessel.told()?, habit, DAY_0, &self.entries, &asks)?)
    }
}

#[derive(Default)]
pub struct Truth {
    /// at each ask: litres, mean use a day, and whether the level counts
    pub at: Vec<(f64, f64, bool)>,
    /// rate and first day
    pub leak: Option<(f64, f64)>,
    pub mistakes: Vec<u64>,
    pub missed: Vec<Missed>,
}

/// A move that nobody logged.
pub struct Missed {
    pub millimetres: f64,
    /// the two readings after it, by eye not counted, and those by eye between
    pub ids: Vec<u64>,
    pub complete: bool,
}

/// An entry before it has its id.
struct Told {
    day: f64,
    what: What,
    wrong: bool,
    level: bool,
}

struct Life<'a> {
    chance: &'a mut Chance,
    plan: &'a Plan,
    vessel: Vessel,
    volume: f64,
    now: f64,
    mean_use: f64,
    today: f64,
    leak: Option<(f64, f64)>,
    counter: Option<(f64, f64)>,
    scale: f64,
    offset: f64,
    told: Vec<Told>,
    missed: Vec<(f64, f64)>,
    /// a move or a leak that no reading has seen yet
    unseen: bool,
}

/// The history with this number, of the world with this seed.
pub fn history(seed: u64, number: u64) -> History {
    let mut chance = Chance::new(seed.wrapping_mul(1_000_003).wrapping_add(number));
    let plan = Plan::any(&mut chance, number);
    let vessel = Vessel::any(&mut chance);
    let brim = vessel.brim();
    let part = if plan.leak.is_some() { chance.between(0.9, 1.0) } else { chance.between(0.5, 1.0) };
    let mean_use = if plan.kind.in_use() { chance.log_between(0.004, plan.most_use) * brim } else { 0.0 };
    let mut life = Life {
        plan: &plan,
        vessel,
        volume: part * brim,
        now: 0.0,
        mean_use,
        today: chance.gamma(mean_use.max(1e-9), 0.35),
        leak: plan.leak,
        counter: plan.counter.then_some((1000.0, 0.0)),
        scale: 0.01 * chance.normal(),
        offset: 7.0 * chance.normal(),
        told: Vec::new(),
        missed: Vec::new(),
        unseen: false,
        chance: &mut chance,
    };
    let mut at = Vec::new();
    let mut asks = Vec::new();
    for &(day, step) in &plan.steps {
        life.live(day);
        if step == Step::Ask {
            let (volume, brim) = (life.volume, vessel.brim());
            let counts = !life.unseen && volume > 1e-9 && volume < brim * (1.0 - 1e-9);
            asks.push(day);
            at.push((volume, life.mean_use, counts));
        } else {
            life.step(step);
        }
    }
    let Life { mut told, missed, .. } = life;
    let (entries, mistakes, missed) = write_down(&mut chance, &mut told, &missed);
    History { kind: plan.kind, vessel, entries, asks, truth: Truth { at, leak: plan.leak, mistakes, missed } }
}

impl Life<'_> {
    /// Lets time run: use is drawn evenly over each day, a leak to the last drop.
    fn live(&mut self, until: f64) {
        while self.now < until {
            let midnight = self.now.floor() + 1.0;
            let mut to = until.min(midnight);
            if let Some((_, since)) = self.leak
                && self.now < since
                && since < to
            {
                to = since;
                self.unseen = true;
            }
            let span = to - self.now;
            let leaks = self.leak.filter(|&(_, since)| self.now >= since).map_or(0.0, |(rate, _)| rate);
            let wanted = self.today * span;
            if self.plan.kind.in_use() {
                let used = wanted.min(self.volume);
                self.volume -= used;
                self.counter = self.counter.map(|(total, ran)| (total, ran + used));
            }
            self.volume = (self.volume - leaks * span).max(0.0);
            self.now = to;
            if to >= midnight {
                self.mean_use *= (0.02 * self.chance.normal()).exp();
                self.today = self.chance.gamma(self.mean_use.max(1e-9), 0.35);
            }
        }
    }

    fn tell(&mut self, what: What, wrong: bool) {
        let level = matches!(what, What::Dip { .. } | What::Sensor(_) | What::Sight(_));
        self.unseen &= !(level || matches!(what, What::Eye(_)));
        self.told.push(Told { day: self.now, what, wrong, level });
    }

    fn step(&mut self, step: Step) {
        match step {
            Step::Dip => self.dip(),
            Step::Sight => {
                let slope = self.vessel.slope(self.vessel.surface(self.volume));
                let seen = self.volume * (1.0 + self.scale) + 5.0 * slope * self.chance.normal();
                self.tell(What::Sight(litres(seen.round().max(0.0))), false);
            }
            Step::Eye => {
                let seen = (4.0 * self.volume / self.vessel.brim()).round() / 4.0;
                self.tell(What::Eye(seen), false);
            }
            Step::Sensor => {
                let seen = self.vessel.surface(self.volume) + self.offset + 2.0 * self.chance.normal();
                let seen = (10.0 * seen).round() / 10.0;
                self.tell(What::Sensor(millimetres(seen.clamp(0.0, self.vessel.height_of_brim()))), false);
            }
            Step::Counter => {
                if let Some((total, ran)) = self.counter {
                    let total = total + ran * (1.0 + 0.0087 * self.chance.normal());
                    self.counter = Some((total, 0.0));
                    self.tell(What::Counter(litres((10.0 * total).round() / 10.0)), false);
                }
            }
            Step::Top => self.top(true),
            Step::Visit => self.visit(),
            Step::Draw => self.draw(),
            Step::Transfer => {
                let amount = self.chance.one_of(&[20.0, 40.0, 60.0]);
                self.out(amount, Method::Bucket, 0.02);
            }
            Step::Fill => {
                if self.volume < 0.9 * self.vessel.brim() && self.leak.is_none() {
                    self.refill();
                }
            }
            Step::Forgotten => {
                let amount = self.chance.between(20.0, 100.0).min(0.3 * self.volume);
                self.move_unlogged(-amount);
            }
            Step::Ask => {}
        }
    }

    fn dip(&mut self) {
        let surface = self.vessel.surface(self.volume);
        let member = usize::from(self.vessel.partner.is_some() && self.chance.happens(0.4));
        let (inside, floor) = match self.vessel.partner {
            Some((_, depth, floor)) if member == 1 => (depth, floor),
            _ => (self.vessel.depth, 0.0),
        };
        let brim = self.vessel.height_of_brim() - floor;
        let depth = (surface - floor + 4.0 * self.chance.normal()).round().clamp(0.0, brim);
        let from = self.chance.one_of(&[End::Floor, End::Rim]);
        let read = if from == End::Floor { depth } else { inside - depth };
        let mut written = (read, from);
        if self.chance.happens(1.0 / 60.0) {
            let other = if from == End::Floor { End::Rim } else { End::Floor };
            let sign = self.chance.one_of(&[-1.0, 1.0]);
            let swapped = read + 90.0 * ((read / 10.0).floor() % 10.0 - (read / 100.0).floor() % 10.0);
            let slips = [(read + sign * 100.0, from), (swapped, from), (read, other)];
            let mean = |(read, from): (f64, End)| if from == End::Floor { read } else { inside - read };
            let possible: Vec<(f64, End)> = slips
                .into_iter()
                .filter(|&slip| (0.0..=brim).contains(&mean(slip)) && (mean(slip) - depth).abs() >= 60.0)
                .collect();
            if !possible.is_empty() {
                written = self.chance.one_of(&possible);
            }
        }
        let wrong = written != (read, from);
        self.tell(What::Dip { member, depth: millimetres(written.0), from: written.1 }, wrong);
    }

    /// A vessel in use found low is filled, in the same minute or later; from another, now and then, some is carried.
    fn visit(&mut self) {
        if self.volume < 0.42 * self.vessel.brim() {
            self.refill();
        } else if self.chance.happens(0.05) {
            self.out(60.0, Method::Bucket, 0.02);
        }
    }

    fn refill(&mut self) {
        let logged = !self.chance.happens(0.08);
        if self.chance.happens(0.6) {
            self.top(logged);
        } else {
            let amount = (0.92 * self.vessel.brim() - self.volume).max(0.0);
            if logged {
                let read = amount * (1.0 + 0.0087 * self.chance.normal());
                self.volume += amount;
                self.tell(What::In { volume: litres(read.round()), by: Method::Meter }, false);
            } else {
                self.move_unlogged(amount);
            }
        }
    }

    fn top(&mut self, logged: bool) {
        let to = self.vessel.holds(self.vessel.height_of_brim() - self.chance.between(0.0, 10.0));
        let amount = (to - self.volume).max(0.0);
        if logged {
            self.volume += amount;
            self.unseen = false;
            self.tell(What::Top, false);
        } else {
            self.move_unlogged(amount);
        }
    }

    fn move_unlogged(&mut self, amount: f64) {
        let before = self.vessel.surface(self.volume);
        self.volume += amount;
        self.missed.push((self.now, (self.vessel.surface(self.volume) - before).abs()));
        self.unseen = true;
    }

    fn draw(&mut self) {
        match self.chance.one_of(&[0, 1, 2]) {
            0 => {
                let buckets = self.chance.between(1.0, 5.99).floor();
                self.out(20.0 * buckets, Method::Bucket, 0.02);
            }
            1 => {
                let amount = self.chance.between(20.0, 150.0).round();
                self.out(amount, Method::Meter, 0.0087);
            }
            _ => {
                let amount = 40.0 * (0.7 * self.chance.normal()).exp();
                self.volume = (self.volume - amount).max(0.0);
                self.tell(What::OutUnknown, false);
            }
        }
    }

    /// What is written down is what was meant; what ran differs by the method's error.
    fn out(&mut self, amount: f64, by: Method, error: f64) {
        let ran = amount * (1.0 + error * self.chance.normal());
        if ran > self.volume {
            return;
        }
        self.volume -= ran;
        self.tell(What::Out { volume: litres(amount), by }, false);
    }
}

/// Gives the entries their ids in the order in which they were told, some late, and says which ids are wrong and which
/// come after a move that nobody logged.
fn write_down(chance: &mut Chance, told: &mut [Told], moves: &[(f64, f64)]) -> (Vec<Entry>, Vec<u64>, Vec<Missed>) {
    let mut order: Vec<(f64, usize)> = Vec::new();
    for (index, one) in told.iter().enumerate() {
        let late = if chance.happens(0.08) { chance.between(1.0, 20.0) } else { 0.0 };
        // what happened in one minute is told in its order
        let after = told[..index].iter().rposition(|before| before.day >= one.day);
        let least = after.map_or(0.0, |before| order[before].0);
        order.push(((one.day + late).max(least), index));
    }
    order.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let mut ids = vec![0; told.len()];
    for ((_, index), id) in order.iter().zip(1_u64..) {
        ids[*index] = id;
    }
    let entries: Vec<Entry> =
        told.iter().zip(&ids).map(|(one, &id)| Entry { id, at: DAY_0.after(days(one.day)), what: one.what }).collect();
    let mistakes = told.iter().zip(&ids).filter(|(one, _)| one.wrong).map(|(_, &id)| id).collect();
    let missed = moves.iter().map(|&(day, millimetres)| {
        let mut left = 2;
        let mut after = Vec::new();
        for (one, &id) in told.iter().zip(&ids).filter(|(one, _)| one.day > day) {
            if left > 0 && (one.level || matches!(one.what, What::Eye(_))) {
                after.push(id);
                left -= u32::from(one.level);
            }
        }
        Missed { millimetres, ids: after, complete: left < 2 }
    });
    (entries, mistakes, missed.collect())
}

/// Whether an entry is a reading of the level.
pub const fn is_reading(entry: &Entry) -> bool {
    matches!(entry.what, What::Dip { .. } | What::Sensor(_) | What::Sight(_) | What::Eye(_))
}
