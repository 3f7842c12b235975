//! The course of a run in plain numbers: litres, days, litres a day. Checked before it starts, so that every figure is
//! finite; what has no end is infinite, and only ever compared, divided by or taken from.

mod keep;

use crate::endurance::Cause;
use crate::endurance::Change;
use crate::endurance::Run;
use crate::endurance::Span;
use crate::endurance::battery::Store;
use crate::endurance::draw::Draw;
use crate::endurance::draw::lasts;
use crate::endurance::service::Service;
use crate::endurance::service::per_person;
use crate::grade::Grade;
use crate::quantity::Volume;
use crate::quantity::as_days;
use crate::quantity::as_hours;
use crate::quantity::as_litres;
use crate::quantity::as_litres_per_hour;
use crate::quantity::days;

/// Moments closer than this, in days, are one.
const SAME: f64 = 1e-9;

/// How far a run is followed.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Far {
    /// to the horizon
    Whole,
    /// until the ration and the water have ended
    ToTheEnds,
}

/// When the ration and the water end, in days; `None`: not before the horizon.
#[derive(Clone, Copy, Default)]
pub(crate) struct Ends {
    pub(crate) ration: Option<f64>,
    pub(crate) dry: Option<f64>,
}

/// The state of a run at a moment.
#[derive(Clone)]
pub(super) struct Course {
    people: f64,
    levels: Vec<Service>,
    grade: Vec<Grade>,
    litres: Vec<f64>,
    /// whether there is anything that fuel could run
    powered: bool,
    /// whether there ever was any fuel for it
    fuelled: bool,
    /// litres of fuel: 0 without power, infinite without end
    fuel: f64,
    /// litres a day while the pump runs
    burn: f64,
    battery: Option<Store>,
    /// litres that can still be treated: infinite without end
    media: f64,
    keep_days: f64,
    /// what is kept has been down at the keep-back since the last event; between events it never rises again
    reached: bool,
    /// litres of `treat` water whose media are held back, while the keep-back is in force
    held: Option<f64>,
}

impl Course {
    pub(super) fn new(run: &Run) -> Self {
        let grade: Vec<Grade> = run.stocks.iter().map(|stock| stock.grade).collect();
        let mut levels: Vec<Service> = Vec::with_capacity(run.levels.len());
        // from the last level up, since the order of spending looks at the levels below
        for level in run.levels.iter().rev() {
            let service = Service::new(run, level, &grade, &levels);
            levels.push(service);
        }
        levels.reverse();
        Self {
            people: run.people,
            levels,
            grade,
            litres: run.stocks.iter().map(|stock| as_litres(stock.volume)).collect(),
            powered: run.power.is_some(),
            fuel: run.power.map_or(0.0, |power| power.fuel.map_or(f64::INFINITY, as_litres)),
            fuelled: run.power.is_some_and(|power| power.fuel.is_none_or(|fuel| fuel > Volume::default())),
            burn: run.power.map_or(0.0, |power| as_litres_per_hour(power.burn) * as_hours(power.hours_a_day)),
            battery: run.battery.as_ref().map(Store::new),
            media: run.treatment.and_then(|treatment| treatment.media).map_or(f64::INFINITY, as_litres),
            keep_days: as_days(run.keep_drinking),
            reached: false,
            held: None,
        }
    }

    /// The first state of a run again, with so many times the people's use, the fuel burnt an hour and the sun.
    /// Every store and every level's uses are as in `first`.
    pub(super) fn again(&mut self, first: &Self, uses: f64, burn: f64, sun: f64) {
        self.people = first.people * uses;
        self.burn = first.burn * burn;
        self.litres.copy_from_slice(&first.litres);
        self.fuel = first.fuel;
        self.fuelled = first.fuelled;
        self.battery = first.battery.map(|battery| battery.brighter(sun));
        self.media = first.media;
        self.reached = false;
        self.held = None;
        for (level, first) in self.levels.iter_mut().zip(&first.levels) {
            level.uses = first.uses;
        }
    }

    /// From now to the horizon, with these events by rising day, telling each span as it ends. With `far` only until both
    /// the ration and the water have ended.
    pub(super) fn go(&mut self, horizon: f64, events: &[(f64, Change)], far: Far, mut tell: impl FnMut(Span)) -> Ends {
        let mut events = events.iter().filter(|(day, _)| *day < horizon - SAME).peekable();
        let mut current: Option<(Option<usize>, f64)> = None;
        let mut ends = Ends::default();
        let mut now = 0.0;
        // what is left to the horizon may be less than a moment, by rounding
        while horizon - now > SAME || current.is_none() {
            let barred = current.and_then(|(level, _)| self.bar_on(level));
            let mut happened = false;
            while let Some((_, change)) = events.next_if(|(day, _)| *day <= now + SAME) {
                self.apply(change);
                happened = true;
            }
            let next = events.peek().map_or(horizon, |(day, _)| *day);
            let until = next - now;
            let (level, draw, length) = self.settle(until);
            match current {
                Some((before, _)) if before == level => {}
                Some((before, from)) => {
                    let cause = self.bar_on(before).filter(|_| !happened || barred.is_some()).unwrap_or(Cause::Event);
                    tell(Span { level: before, from: days(from), to: days(now), cause });
                    current = Some((level, now));
                }
                None => current = Some((level, now)),
            }
            if ends.ration.is_none() && self.gives_less(level) {
                ends.ration = Some(now);
            }
            if ends.dry.is_none() && level.is_none() {
                ends.dry = Some(now);
            }
            if far == Far::ToTheEnds && ends.ration.is_some() && ends.dry.is_some() {
                return ends;
            }
            self.spend(level, &draw, length);
            // land on the event or the horizon itself, not beside it
            now = if until - length <= SAME { next } else { now + length };
        }
        if let Some((level, from)) = current {
            tell(Span { level, from: days(from), to: days(horizon), cause: Cause::Horizon });
        }
        ends
    }

    /// Litres in each stock.
    pub(super) fn litres(&self) -> &[f64] {
        &self.litres
    }

    /// The same, to be set before a run.
    pub(super) fn litres_mut(&mut self) -> &mut [f64] {
        &mut self.litres
    }

    /// Litres of fuel: 0 without power, infinite without end.
    pub(super) const fn fuel(&self) -> f64 {
        self.fuel
    }

    /// Watt-hours in the battery; none where there is none.
    pub(super) fn battery(&self) -> Option<f64> {
        self.battery.map(|battery| battery.left)
    }

    /// The level in force from this moment, what it draws, and for how many days until something is spent or `until` is
    /// up. What would be spent within the same moment is spent first, so that no span is empty.
    fn settle(&mut self, until: f64) -> (Option<usize>, Draw, f64) {
        loop {
            self.look_at_keep();
            let level = (0..self.levels.len()).find(|index| self.bar(*index).is_none());
            let draw = level.map(|index| self.draw(index)).unwrap_or_default();
            let length = self.length(level, &draw, until);
            if length > SAME || until <= SAME {
                return (level, draw, length);
            }
            self.spend(level, &draw, length);
        }
    }

    fn apply(&mut self, change: &Change) {
        self.reached = false;
        match change {
            Change::AddWater { stock, volume } => self.litres[*stock] += as_litres(*volume),
            Change::AddFuel(volume) if self.powered => {
                self.fuel += as_litres(*volume);
                self.fuelled |= self.fuel > 0.0;
            }
            Change::AddFuel(_) => {}
            Change::Sun(sun) => self.battery.iter_mut().for_each(|battery| battery.shine(*sun)),
            Change::Uses { level, uses } => self.levels[*level].uses = per_person(uses),
        }
    }

    fn has_power(&self, level: &Service) -> bool {
        !level.pump || self.fuel > 0.0 || self.battery.is_some_and(|battery| battery.carries())
    }

    /// Litres a day that a level needs of drink grade, and for flushing.
    fn needs(&self, level: &Service) -> (f64, f64) {
        let [drink, cook, wash, flush] = level.uses;
        (self.people * (drink + cook + wash), self.people * flush)
    }

    fn in_reach(&self, level: &Service, stock: usize) -> bool {
        self.litres[stock] > level.heel[stock]
    }

    /// The stock that a level drinks from, given the media it may use and what is held back from it.
    fn drinks_from(&self, level: &Service, media: f64, held: bool) -> Option<usize> {
        level.drink.iter().copied().find(|stock| {
            self.in_reach(level, *stock)
                && (self.grade[*stock] == Grade::Drink || media > 0.0)
                && !(held && self.is_kept(*stock))
        })
    }

    /// The stock that a level flushes from.
    fn flushes_from(&self, level: &Service, held: bool) -> Option<usize> {
        level.flush.iter().copied().find(|stock| self.in_reach(level, *stock) && !(held && self.is_kept(*stock)))
    }

    /// The first reason why a level cannot be served now.
    fn bar(&self, index: usize) -> Option<Cause> {
        let level = &self.levels[index];
        if !self.has_power(level) {
            return Some(if self.battery.is_some() && !self.fuelled { Cause::Battery } else { Cause::Fuel });
        }
        let (drink, flush) = self.needs(level);
        if drink > 0.0 && self.drinks_from(level, self.media, false).is_none() {
            // what is still in reach of its drinking stocks can only be `treat` without media
            let treat = level.drink.iter().any(|stock| self.in_reach(level, *stock));
            return Some(if treat { Cause::Media } else { Cause::Water });
        }
        if flush > 0.0 && self.flushes_from(level, false).is_none() {
            return Some(Cause::Flush);
        }
        self.held_from(index)?;
        let spared = (drink <= 0.0 || self.drinks_from(level, self.free_media(index), true).is_some())
            && (flush <= 0.0 || self.flushes_from(level, true).is_some());
        (!spared).then_some(Cause::Keep)
    }

    /// Dry is barred by nothing: only an event ends it.
    fn bar_on(&mut self, level: Option<usize>) -> Option<Cause> {
        self.look_at_keep();
        self.bar(level?)
    }

    fn draw(&self, index: usize) -> Draw {
        let level = &self.levels[index];
        let (drink, flush) = self.needs(level);
        let held = self.held_from(index).is_some();
        let drink = self.drinks_from(level, self.free_media(index), held).filter(|_| drink > 0.0).map(|s| (s, drink));
        let flush = self.flushes_from(level, held).filter(|_| flush > 0.0).map(|stock| (stock, flush));
        let runs = level.pump && (drink.is_some() || flush.is_some());
        let battery = self.battery.filter(|_| runs);
        Draw {
            drink,
            flush,
            treated: drink.filter(|(stock, _)| self.grade[*stock] == Grade::Treat).map_or(0.0, |(_, rate)| rate),
            burnt: if runs { self.burn * battery.map_or(1.0, |battery| battery.short()) } else { 0.0 },
            drained: battery.filter(Store::carries).map_or(0.0, |battery| battery.drain()),
        }
    }

    /// Days until something that the level draws on is spent, the keep-back is reached or turns, or `until` is up.
    fn length(&self, level: Option<usize>, draw: &Draw, until: f64) -> f64 {
        let Some(index) = level else { return until };
        let heel = &self.levels[index].heel;
        let mut length = until.min(lasts(self.fuel, draw.burnt)).min(lasts(self.free_media(index), draw.treated));
        if let Some(battery) = &self.battery {
            length = length.min(lasts(battery.left, draw.drained));
        }
        for stock in draw.stocks() {
            length = length.min(lasts(self.litres[stock] - heel[stock], draw.from(stock)));
        }
        if let Some(watch) = self.watch(index, draw) {
            length = length.min(watch.mark).min(watch.media);
            for stock in draw.stocks() {
                length = length.min(self.to_kept_heel(stock, draw));
            }
        }
        length
    }

    /// Takes what `draw` takes in `length` days. What is spent within the same moment is spent exactly.
    fn spend(&mut self, level: Option<usize>, draw: &Draw, length: f64) {
        let Some(index) = level else { return };
        let end = length + SAME;
        let watch = self.watch(index, draw);
        let fuel = if lasts(self.fuel, draw.burnt) <= end { 0.0 } else { self.fuel - draw.burnt * length };
        let media = if lasts(self.free_media(index), draw.treated) <= end {
            self.held_from(index).map_or(0.0, |held| held.min(self.media))
        } else {
            self.media - draw.treated * length
        };
        for stock in draw.stocks() {
            let rate = draw.from(stock);
            let heel = self.levels[index].heel[stock];
            self.litres[stock] = if lasts(self.litres[stock] - heel, rate) <= end {
                heel
            } else if watch.is_some() && self.to_kept_heel(stock, draw) <= end {
                self.levels.last().map_or(heel, |last| last.heel[stock])
            } else {
                self.litres[stock] - rate * length
            };
        }
        if let Some(battery) = &mut self.battery {
            let spent = lasts(battery.left, draw.drained) <= end;
            battery.spend(draw.drained, length, spent);
        }
        self.fuel = fuel;
        self.media = media;
        if let Some(watch) = watch {
            if watch.media <= end && media > 0.0 {
                self.media = self.kept().treat;
            }
            self.reached = watch.mark <= end;
        }
    }

    fn gives_less(&self, level: Option<usize>) -> bool {
        let Some(first) = self.levels.first() else { return false };
        match level {
            Some(index) => self.levels[index].uses.iter().zip(first.uses).any(|(given, asked)| *given < asked),
            None => first.uses.iter().any(|asked| *asked > 0.0),
        }
    }
}
