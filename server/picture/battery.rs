//! A site's battery: what it gives now, what hangs on it, what its panels put back, how long that lasts, and what the days
//! of water count on.

use std::sync::Arc;

use keepwell_engine::demand::Demand;
use keepwell_engine::endurance;
use keepwell_engine::endurance::Change;
use keepwell_engine::endurance::Event;
use keepwell_engine::moment::Moment;
use keepwell_engine::power;
use keepwell_engine::power::Bank;
use keepwell_engine::power::BatteryDays;
use keepwell_engine::power::PowerError;
use keepwell_engine::quantity::Energy;
use keepwell_engine::quantity::Power;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::VolumeRate;
use keepwell_engine::quantity::as_hours;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::as_watt_hours;
use keepwell_engine::quantity::as_watts;
use keepwell_engine::quantity::days;
use keepwell_engine::quantity::hours;
use keepwell_engine::quantity::kilowatt_hours;
use keepwell_engine::quantity::watts;
use keepwell_engine::working::Figure;
use keepwell_engine::working::Reckoned;
use keepwell_engine::working::Working;

use crate::model::battery::Battery;
use crate::picture::SitePicture;
use crate::picture::cluster::moment;
use crate::picture::power::loads_of;
use crate::picture::power::pump_load;
use crate::picture::works::PumpNow;
use crate::picture::works::TrainNow;

/// The part of what is asked that is asked after dark (common practice, no source).
const AFTER_DARK: f64 = 0.5;
/// The part of the daylight with bright sun, where only the latitude is known: a cloudy place (common practice, no
/// source).
const BRIGHT: f64 = 0.3;
/// How far ahead it is looked: a year has every month's sun.
const AHEAD: usize = 365;

/// A site's battery as it stands.
#[derive(Clone, Debug)]
pub struct BatteryNow {
    pub battery: Arc<Battery>,
    /// what it gives from full
    pub gives: Reckoned<Energy>,
    pub bank: Bank,
    pub asked: Asked,
    /// what it does for the pump alone; none where there is no pump, or nobody knows what it takes
    pub pump: Option<PumpOn>,
    /// none without panels, and where nobody knows the sun
    pub sun: Option<Sun>,
}

/// What hangs on it.
#[derive(Clone, Copy)]
pub(super) struct Hangs<'a> {
    pub demand: &'a Demand,
    pub pump: Option<&'a PumpNow>,
    pub train: Option<&'a TrainNow>,
    /// the pump is not there
    pub pumpless: bool,
}

/// What is asked of it a day.
#[derive(Clone, Copy, Debug)]
pub struct Asked {
    pub pump: Energy,
    pub loads: Energy,
    /// by the inverter, only to be on
    pub idle: Energy,
}

impl Asked {
    #[must_use]
    pub fn total(self) -> Energy {
        self.pump + self.loads + self.idle
    }
}

/// The pump alone, its inverter on.
#[derive(Clone, Debug)]
pub struct PumpOn {
    pub power: Power,
    /// on what is in the battery now
    pub hours: Time,
    /// what it brings up in them, where its flow is known
    pub litres: Option<Volume>,
    /// of the hours and litres
    pub working: Working,
    /// litres a day, between the runs of a generator, on what the sun puts back in a day
    pub bridges: Volume,
}

impl PumpOn {
    fn of((power, flow): (Power, Option<VolumeRate>), in_it: Energy, idle: Power, between: Energy) -> Self {
        let hours = in_it / (power + idle);
        let lifts = |hours: Time| flow.map(|flow| flow * hours);
        let (litres, bridges) = (lifts(hours), lifts(between / power).unwrap_or_default());
        let energy = |energy| Figure::exact(as_watt_hours(energy), Unit::WattHour);
        let mut working = Working::new("The pump on the battery alone", "hours = Wh / (pump + inverter)")
            .input("what the battery gives now", "Wh", energy(in_it), "set-up")
            .input("pump, while it runs", "", Figure::exact(as_watts(power), Unit::Watt), "its hydraulics or its load")
            .input("inverter, only to be on", "", Figure::exact(as_watts(idle), Unit::Watt), "set-up")
            .step("hours of the pump", "Wh / (pump + inverter)", Figure::exact(as_hours(hours), Unit::Hour));
        if let Some(litres) = litres {
            working = working
                .step("water that it brings up", "flow · hours", Figure::exact(as_litres(litres), Unit::Litre))
                .step("what the sun puts back for the pump, a day", "sun − inverter, at most full", energy(between))
                .step(
                    "bridged between two runs, a day",
                    "flow · Wh / pump",
                    Figure::exact(as_litres(bridges), Unit::Litre),
                );
        }
        let working =
            working.without("The burst as the pump starts, which the inverter must bear").source("By definition");
        Self { power, hours, litres, working, bridges }
    }
}

/// What the panels give in this month.
#[derive(Clone, Debug)]
pub struct Sun {
    /// of full sun a day
    pub hours: Time,
    /// how the hours came about; none where they were set up
    pub by_latitude: Option<Reckoned<Time>>,
    pub a_day: Reckoned<Energy>,
    /// the same in each month
    months: [Energy; 12],
    /// today's number in the year, from 1
    day: u32,
}

impl BatteryNow {
    /// How it goes day by day, for a year with the sun of each month.
    ///
    /// # Errors
    /// A figure of the set-up that the engine does not take; it names it.
    pub fn days(&self) -> Result<BatteryDays, PowerError> {
        let given = match &self.sun {
            Some(sun) => power::by_month(&sun.months, sun.day)?.take(AHEAD).collect(),
            None => vec![Energy::default(); AHEAD],
        };
        power::battery_days(&self.bank, &given)
    }

    /// As the days of water count on it: for the pump, if there is one and somebody knows what it takes; with what the sun
    /// gives from one month to the next.
    ///
    /// # Errors
    /// As [`BatteryNow::days`].
    pub(super) fn runs(&self, horizon: Time) -> Result<Option<(endurance::Battery, Vec<Event>)>, PowerError> {
        if self.pump.is_none() || self.asked.pump <= Energy::default() {
            return Ok(None);
        }
        let Bank { now, full, after_dark, .. } = self.bank;
        let mut sun = self.sun.as_ref().map_or_else(Energy::default, |sun| sun.a_day.value);
        let battery = endurance::Battery { now, full, asked: self.asked.total(), sun, after_dark };
        let mut events = Vec::new();
        if let Some(of) = self.sun.as_ref().filter(|of| of.months.iter().any(|month| *month != of.months[0])) {
            let ahead = (0..).map(f64::from).map(days).take_while(|at| *at < horizon);
            for (at, next) in ahead.zip(power::by_month(&of.months, of.day)?) {
                if next != sun {
                    sun = next;
                    events.push(Event { at, change: Change::Sun(sun) });
                }
            }
        }
        Ok(Some((battery, events)))
    }
}

/// A site's battery, if one is in use.
///
/// # Errors
/// A figure of the set-up that the engine does not take; it names it.
pub(super) fn battery_of(site: &SitePicture, on: Hangs<'_>, now: Moment) -> Result<Option<BatteryNow>, PowerError> {
    let in_use = |battery: &&Arc<Battery>| battery.ended.is_none_or(|ended| moment(ended) > now);
    let Some(battery) = site.batteries.iter().find(in_use) else { return Ok(None) };
    let capacity = kilowatt_hours(battery.capacity_wh / 1000.0);
    let gives = power::battery_gives(capacity, battery.usable, battery.inverter)?;
    let full = gives.value;
    let left = |charge: f64| -> Result<Energy, PowerError> {
        // Below the part that may be used there is nothing.
        let part = (charge - (1.0 - battery.usable)).max(0.0);
        Ok(power::battery_gives(capacity, part, battery.inverter)?.value.min(full))
    };
    let in_it = battery.charge.map_or(Ok(full), left)?;
    let idle = watts(battery.idle_w.unwrap_or(0.0));
    let asked = asked(site, on, idle, now);
    let bank = Bank { full, now: in_it, asked: asked.pump + asked.loads, idle, after_dark: AFTER_DARK };
    let sun = sun(site, battery, now)?;
    let put_back = sun.as_ref().map_or_else(|| kilowatt_hours(0.0), |sun| sun.a_day.value);
    let between = (put_back - asked.idle).max(kilowatt_hours(0.0)).min(full);
    let pump = pump(site, on, now).map(|pump| PumpOn::of(pump, in_it, idle, between));
    Ok(Some(BatteryNow { battery: Arc::clone(battery), gives, bank, asked, pump, sun }))
}

/// What a pump takes and brings up: by its hydraulics, or what its load takes.
fn pump(site: &SitePicture, on: Hangs<'_>, now: Moment) -> Option<(Power, Option<VolumeRate>)> {
    if on.pumpless {
        return None;
    }
    if let Some(known) = on.pump.and_then(PumpNow::known) {
        return Some((known.tap.power, Some(known.tap.flow)));
    }
    let load = pump_load(site, now)?;
    Some((watts(load.running_w), None))
}

fn asked(site: &SitePicture, on: Hangs<'_>, idle: Power, now: Moment) -> Asked {
    // A lamp burns, and a pump may run, day and night.
    let loads = loads_of(site, on.demand, on.pump, on.train, hours(24.0), now).into_iter();
    let loads = loads.filter(|on_it| !(on.pumpless && on_it.pump));
    let mut asked = Asked { pump: Energy::default(), loads: Energy::default(), idle: idle * days(1.0) };
    for on_it in loads {
        let energy = on_it.load.running * on_it.load.hours_a_day;
        if on_it.pump {
            asked.pump += energy;
        } else {
            asked.loads += energy;
        }
    }
    asked
}

/// The sun of this month, and what it gives in each.
fn sun(site: &SitePicture, battery: &Battery, now: Moment) -> Result<Option<Sun>, PowerError> {
    let (Some(panels), Ok(at)) = (battery.panels_w.map(watts), jiff::Timestamp::from_microsecond(now.micros())) else {
        return Ok(None);
    };
    let loss = battery.panel_loss.unwrap_or(Battery::PANEL_LOSS);
    let date = jiff::tz::TimeZone::UTC.to_datetime(at).date();
    // The last day of a leap year has the sun of the day before.
    let day = u32::from(date.day_of_year().unsigned_abs()).min(365);
    let gives = |sun: Time| power::solar_day(panels, sun, loss, battery.inverter);
    let (hours, by_latitude, months) = match (battery.sun_hours, site.site.latitude) {
        (Some(entered), _) => (hours(entered), None, [gives(hours(entered))?.value; 12]),
        (None, Some(latitude)) => {
            let mut months = [Energy::default(); 12];
            for (place, month) in (1..=12).zip(&mut months) {
                *month = gives(power::sun_hours(latitude, power::mid_month(place)?, BRIGHT)?.value)?.value;
            }
            let this = power::mid_month(u32::from(date.month().unsigned_abs()))?;
            let this = power::sun_hours(latitude, this, BRIGHT)?;
            (this.value, Some(this), months)
        }
        (None, None) => return Ok(None),
    };
    Ok(Some(Sun { hours, by_latitude, a_day: gives(hours)?, months, day }))
}
