//! How well a history was told: the figures of a level's worth, each beside its aim.

use std::collections::BTreeSet;

use keepwell_engine::level::BAND;
use keepwell_engine::level::explain::Belief;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::as_litres_per_day;

use crate::plan::Kind;
use crate::world::DAY_0;
use crate::world::History;

/// Errors over so many standard deviations count as so many.
const MOST: f64 = 6.0;
/// Days within which a leak is to be found, and after which its rate is judged.
const EIGHT_WEEKS: f64 = 56.0;

/// Errors in their own standard deviation.
#[derive(Default)]
pub struct Errors {
    count: f64,
    squares: f64,
    inside: f64,
}

impl Errors {
    pub fn add(&mut self, error: f64, sd: f64) {
        let off = (error.abs() / sd.max(1e-9)).min(MOST);
        self.count += 1.0;
        self.squares += off * off;
        self.inside += f64::from(off <= BAND);
    }

    pub fn rms(&self) -> f64 {
        (self.squares / self.count).sqrt()
    }

    pub fn inside(&self) -> f64 {
        100.0 * self.inside / self.count
    }
}

/// Leaks of about one rate.
#[derive(Default)]
pub struct Leaks {
    weeks: Vec<f64>,
    found: f64,
    count: f64,
}

impl Leaks {
    fn add(&mut self, after: Option<f64>, within: f64) {
        self.count += 1.0;
        self.found += f64::from(after.is_some_and(|days| days <= within));
        self.weeks.push(after.unwrap_or(f64::INFINITY) / 7.0);
    }

    pub fn found(&self) -> f64 {
        100.0 * self.found / self.count
    }

    pub fn median_weeks(&self) -> f64 {
        median(&self.weeks)
    }
}

/// Everything counted.
#[derive(Default)]
pub struct Score {
    pub level: Errors,
    pub of_kind: [Errors; 5],
    pub usage: Errors,
    pub false_alarms: f64,
    pub vessel_years: f64,
    pub claims_in_use: u32,
    /// about 2, 5 and 20 L a day read weekly; 20 L a day under a sensor
    pub leaks: [Leaks; 4],
    pub rate: Errors,
    rate_off: Vec<f64>,
    since_off: Vec<f64>,
    mistakes: (f64, f64),
    missed: (f64, f64),
    wrong: f64,
    readings: f64,
    pub shown: Vec<String>,
}

impl Score {
    pub fn add(&mut self, number: u64, history: &History, beliefs: &[Belief]) {
        self.levels(history, beliefs);
        if history.kind.in_use() {
            self.claims_in_use += u32::from(beliefs.iter().any(|belief| belief.leak.is_some()));
        } else {
            self.alarms(number, history, beliefs);
        }
        if let Some(last) = beliefs.last() {
            self.misfits(number, history, last);
        }
    }

    fn levels(&mut self, history: &History, beliefs: &[Belief]) {
        let kind = Kind::ALL.iter().position(|&kind| kind == history.kind).unwrap_or(0);
        for ((belief, &(litres, mean_use, counts)), &day) in beliefs.iter().zip(&history.truth.at).zip(&history.asks) {
            if counts {
                let (error, sd) = (as_litres(belief.level.volume) - litres, as_litres(belief.level.sd));
                self.level.add(error, sd);
                self.of_kind[kind].add(error, sd);
            }
            if let Some(usage) = belief.usage.filter(|_| day >= 28.0) {
                self.usage.add(as_litres_per_day(usage.mean) - mean_use, as_litres_per_day(usage.sd));
            }
        }
    }

    fn alarms(&mut self, number: u64, history: &History, beliefs: &[Belief]) {
        let starts = history.truth.leak.map_or(f64::INFINITY, |(_, since)| since);
        let (mut claimed, mut found, mut from) = (false, None, 0.0);
        for (belief, &day) in beliefs.iter().zip(&history.asks) {
            let claims = belief.leak.is_some();
            if day < starts {
                self.vessel_years += (day - from) / 365.25;
                if claims && !claimed {
                    self.false_alarms += 1.0;
                    self.shown.push(format!("{number}: false alarm on day {day:.1}"));
                }
            } else if claims && found.is_none() {
                found = Some(day - starts);
            }
            (claimed, from) = (claims, day);
        }
        let Some((rate, since)) = history.truth.leak else { return };
        let (class, within) = match (history.kind, rate) {
            (Kind::Hourly, _) => (3, 3.0),
            (_, ..3.0) => (0, EIGHT_WEEKS),
            (_, ..10.0) => (1, EIGHT_WEEKS),
            _ => (2, EIGHT_WEEKS),
        };
        if found.is_none_or(|days| days > within) {
            self.shown.push(format!("{number}: leak of {rate:.1} from day {since:.1} found after {found:?}"));
        }
        self.leaks[class].add(found, within);
        let after = history.asks.iter().position(|&day| day >= since + EIGHT_WEEKS);
        if let Some(belief) = after.and_then(|at| beliefs.get(at)) {
            let Some(leak) = belief.leak else {
                self.shown
                    .push(format!("{number}: leak of {rate:.1} from day {since:.1} is not claimed after 8 weeks"));
                self.rate_off.push(0.5);
                return;
            };
            let error = as_litres_per_day(leak.rate.mean) - rate;
            self.rate_off.push((error / rate).abs().min(0.5));
            self.rate.add(error, as_litres_per_day(leak.rate.sd));
            if (error / rate).abs() > 0.1 {
                self.shown.push(format!("{number}: rate of {rate:.1} from day {since:.1} is off by {error:.1}"));
            }
            self.since_off.push((as_days(leak.since.since(DAY_0)) - since).abs());
        }
    }

    fn misfits(&mut self, number: u64, history: &History, last: &Belief) {
        let named: BTreeSet<u64> = last.misfits.iter().map(|misfit| misfit.id).collect();
        let truth = &history.truth;
        for id in &truth.mistakes {
            self.mistakes.1 += 1.0;
            self.mistakes.0 += f64::from(named.contains(id));
            if !named.contains(id) {
                self.shown.push(format!("{number}: mistake {id} is not named ({})", history.kind.name()));
            }
        }
        for missed in truth.missed.iter().filter(|missed| missed.millimetres >= 60.0 && missed.complete) {
            let noticed = missed.ids.iter().any(|id| named.contains(id));
            self.missed.1 += 1.0;
            self.missed.0 += f64::from(noticed);
            if !noticed {
                let (by, kind) = (missed.millimetres, history.kind.name());
                self.shown.push(format!("{number}: {:?}: {by:.0} mm are not noticed ({kind})", missed.ids));
            }
        }
        let after: BTreeSet<u64> = truth.missed.iter().flat_map(|missed| missed.ids.iter().copied()).collect();
        let accused = named.iter().filter(|id| !truth.mistakes.contains(id) && !after.contains(id));
        for id in accused {
            self.wrong += 1.0;
            self.shown.push(format!("{number}: {id} is accused ({})", history.kind.name()));
        }
        self.readings += history.entries.iter().filter(|entry| crate::world::is_reading(entry)).count() as f64;
    }

    pub fn alarms_a_year(&self) -> f64 {
        self.false_alarms / self.vessel_years
    }

    /// Per cent, rms, over half counts as half.
    pub fn rate_off(&self) -> f64 {
        let squares: f64 = self.rate_off.iter().map(|off| off * off).sum();
        100.0 * (squares / self.rate_off.len() as f64).sqrt()
    }

    pub fn since_off(&self) -> f64 {
        median(&self.since_off)
    }

    pub fn mistakes_named(&self) -> f64 {
        100.0 * self.mistakes.0 / self.mistakes.1
    }

    pub fn moves_noticed(&self) -> f64 {
        100.0 * self.missed.0 / self.missed.1
    }

    pub fn accused(&self) -> f64 {
        100.0 * self.wrong / self.readings
    }
}

fn median(of: &[f64]) -> f64 {
    let mut sorted = of.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted.get(sorted.len() / 2).copied().unwrap_or(f64::NAN)
}
