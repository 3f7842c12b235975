//! A battery day by day: what the sun puts in, what is asked of it, and the first day on which it falls short.

use super::PowerError;
use super::rating::check;
use crate::quantity::Energy;
use crate::quantity::Measure;
use crate::quantity::POWER;
use crate::quantity::Power;
use crate::quantity::Time;
use crate::quantity::Unit;
use crate::quantity::as_days;
use crate::quantity::as_watt_hours;
use crate::quantity::as_watts;
use crate::quantity::days;
use crate::quantity::kilowatt_hours;
use crate::quantity::watt_hours;
use crate::working::Figure;
use crate::working::Working;

const CAPACITY: Measure = Measure::new("what the battery gives when full", Unit::WattHour, 0.0, 1e9);
const IN_IT: Measure = Measure::new("what is in the battery", Unit::WattHour, 0.0, 1e9);
const ASKED: Measure = Measure::new("what is asked of it a day", Unit::WattHour, 0.0, 1e9);
const FROM_THE_SUN: Measure = Measure::new("what the sun gives on a day", Unit::WattHour, 0.0, 1e9);
const AFTER_DARK: Measure = Measure::new("part that is asked after dark", Unit::Fraction, 0.0, 1.0);
/// Ten years of days.
const MOST_DAYS: usize = 3_660;
/// A shortfall of less than a milliwatt-hour is none.
const SHORT: f64 = 1e-6;

/// A battery and what hangs on it. Energy is counted at the socket throughout, losses of the inverter taken off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bank {
    /// what it gives from full ([`crate::power::battery_energy`]): depth of discharge and inverter taken off
    pub full: Energy,
    /// what it gives now; no more than when full
    pub now: Energy,
    /// what is asked of it a day
    pub asked: Energy,
    /// what the inverter takes all day only to be on: 5 to 50 W (common practice, no source)
    pub idle: Power,
    /// the part of it all that is asked after dark, 0 to 1
    pub after_dark: f64,
}

/// A day, from sunrise to sunrise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BatteryDay {
    /// from the sun
    pub sun: Energy,
    /// given to what asks for it, the inverter included
    pub given: Energy,
    /// asked for and not there
    pub short: Energy,
    /// from the sun, with the battery full and nothing to take it
    pub unused: Energy,
    /// in the battery at the next sunrise
    pub left: Energy,
}

/// A battery over many days.
#[derive(Clone, Debug, PartialEq)]
pub struct BatteryDays {
    /// each day
    pub days: Vec<BatteryDay>,
    /// the first day on which something is short, from 0; `None`: on none of these
    pub first_short: Option<usize>,
}

impl BatteryDays {
    /// Whole days before anything is short; as many as were asked for is "at least".
    #[must_use]
    pub fn lasts(&self) -> Time {
        let whole = self.first_short.unwrap_or(self.days.len());
        days(u32::try_from(whole).map_or(f64::INFINITY, f64::from))
    }
}

/// A battery day by day.
///
/// - **Formula** by day: in it + sun − (1 − part after dark) × asked, at most full, and what is below 0 is short; after
///   dark: less part after dark × asked, likewise. Asked is the load and 24 h of the inverter's idle draw.
/// - **Arguments** [`Bank`]; `sun` for each day in turn, 0 to 10⁹ Wh ([`crate::power::by_month`]), 3,660 days at most.
/// - **Range** cold is left out: lead-acid keeps about 80 % at 0 °C, lithium iron phosphate must not be charged below it
///   (from memory).
/// - **Reference** by definition; a day in two parts: common practice, no source.
///
/// 3 kWh, 1 kWh a day and no sun: three days. With 0.5 kWh of sun a day, half a day's need: six.
/// ```
/// use keepwell_engine::power::{Bank, battery_days};
/// use keepwell_engine::quantity::{as_days, kilowatt_hours, watts};
/// let bank = Bank {
///     full: kilowatt_hours(3.0),
///     now: kilowatt_hours(3.0),
///     asked: kilowatt_hours(1.0),
///     idle: watts(0.0),
///     after_dark: 0.5,
/// };
/// assert!((as_days(battery_days(&bank, &[kilowatt_hours(0.0); 10])?.lasts()) - 3.0).abs() < 1e-9);
/// assert!((as_days(battery_days(&bank, &[kilowatt_hours(0.5); 10])?.lasts()) - 6.0).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::power::PowerError>(())
/// ```
///
/// # Errors
/// [`PowerError`] for a figure out of range, or too many days.
pub fn battery_days(bank: &Bank, sun: &[Energy]) -> Result<BatteryDays, PowerError> {
    let full = check(&CAPACITY, as_watt_hours(bank.full))?;
    let mut left = check(&IN_IT, as_watt_hours(bank.now))?;
    if left > full {
        let measure = Measure { max: full, ..IN_IT };
        return Err(crate::quantity::OutOfRange { measure, value: left }.into());
    }
    let asked = check(&ASKED, as_watt_hours(bank.asked))? + 24.0 * POWER.check(as_watts(bank.idle))?;
    let dark = asked * check(&AFTER_DARK, bank.after_dark)?;
    if sun.len() > MOST_DAYS {
        return Err(PowerError::TooManyDays { given: sun.len(), most: MOST_DAYS });
    }
    let mut all = Vec::with_capacity(sun.len());
    let mut first_short = None;
    for (day, sun) in sun.iter().enumerate() {
        let sun = check(&FROM_THE_SUN, as_watt_hours(*sun))?;
        let by_day = left + sun - (asked - dark);
        let at_dusk = by_day.clamp(0.0, full);
        left = (at_dusk - dark).max(0.0);
        let short = (-by_day).max(0.0) + (dark - at_dusk).max(0.0);
        if short > SHORT && first_short.is_none() {
            first_short = Some(day);
        }
        all.push(BatteryDay {
            sun: watt_hours(sun),
            given: watt_hours(asked - short),
            short: watt_hours(short),
            unused: watt_hours((by_day - full).max(0.0)),
            left: watt_hours(left),
        });
    }
    Ok(BatteryDays { days: all, first_short })
}

impl BatteryDays {
    /// How it came about.
    #[must_use]
    pub fn working(&self, bank: &Bank) -> Working {
        let energy = |energy: Energy| Figure::exact(as_watt_hours(energy), Unit::WattHour);
        let sum = |of: fn(&BatteryDay) -> Energy| {
            energy(self.days.iter().fold(kilowatt_hours(0.0), |sum, day| sum + of(day)))
        };
        Working::new("How long the battery lasts", "left = in it + sun − asked, at most full")
            .input("what it gives from full", "", energy(bank.full), "set-up")
            .input("what it gives now", "", energy(bank.now), "entry")
            .input("asked a day", "", energy(bank.asked), "set-up")
            .input("inverter, only to be on", "", Figure::exact(as_watts(bank.idle), Unit::Watt), "assumed")
            .input("part asked after dark", "", Figure::exact(bank.after_dark, Unit::Fraction), "assumed")
            .step("from the sun", "Σ", sum(|day| day.sun))
            .step("given", "Σ", sum(|day| day.given))
            .step("days until something is short", "", Figure::exact(as_days(self.lasts()), Unit::Day))
            .without("Cold: lead-acid keeps about 80 % at 0 °C; lithium iron phosphate must not be charged below it (from memory)")
            .without("Cloud from day to day, where every day is given the same sun")
            .source("by definition")
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::as_kilowatt_hours;
    use crate::quantity::watts;

    fn bank(full: f64, asked: f64, after_dark: f64) -> Bank {
        let [full, asked] = [full, asked].map(kilowatt_hours);
        Bank { full, now: full, asked, idle: watts(0.0), after_dark }
    }

    fn kwh(energy: Energy) -> f64 {
        as_kilowatt_hours(energy)
    }

    #[test]
    fn by_hand_a_battery_too_small_for_the_night() {
        // 1 kWh of sun a day for 1 kWh asked, but half of it after dark and 0.4 kWh of battery: 0.1 kWh short every night, and
        // by day 0 + 1 − 0.5 = 0.5 kWh, of which 0.1 finds no place.
        let found = battery_days(&bank(0.4, 1.0, 0.5), &[kilowatt_hours(1.0); 3]).unwrap();
        assert_eq!(found.first_short, Some(0));
        let last = found.days[2];
        assert!(
            [(last.short, 0.1), (last.unused, 0.1), (last.given, 0.9), (last.left, 0.0)]
                .into_iter()
                .all(|(got, expected)| (kwh(got) - expected).abs() < 1e-9)
        );
    }

    #[test]
    fn by_hand_the_inverter_alone_empties_it() {
        // 0.9216 kWh of 100 Ah (ENG-119) at 20 W idle: 0.48 kWh a day: one whole day, and 0.0384 kWh short on the second.
        let idle = Bank { idle: watts(20.0), ..bank(0.9216, 0.0, 0.5) };
        let found = battery_days(&idle, &[kilowatt_hours(0.0); 2]).unwrap();
        assert!((as_days(found.lasts()) - 1.0).abs() < 1e-9 && (kwh(found.days[1].short) - 0.0384).abs() < 1e-9);
    }

    #[test]
    fn what_is_out_of_range_is_refused_by_name() {
        let good = bank(1.0, 1.0, 0.5);
        let bad: [(Bank, &str); 5] = [
            (Bank { now: kilowatt_hours(1.5), ..good }, "what is in the battery is 1500 Wh; allowed is 0 to 1000 Wh"),
            (Bank { full: kilowatt_hours(f64::NAN), ..good }, "when full is NaN"),
            (Bank { asked: kilowatt_hours(-1.0), ..good }, "asked of it a day is -1000"),
            (Bank { idle: watts(-1.0), ..good }, "power is -1"),
            (Bank { after_dark: 1.5, ..good }, "after dark is 1.5"),
        ];
        for (bank, words) in bad {
            let error = battery_days(&bank, &[]).unwrap_err().to_string();
            assert!(error.contains(words) && error.contains("allowed"), "{error:?} does not say {words:?}");
        }
        assert!(battery_days(&good, &[kilowatt_hours(-1.0)]).unwrap_err().to_string().contains("sun gives on a day"));
        assert!(
            battery_days(&good, &vec![kilowatt_hours(0.0); 3661]).unwrap_err().to_string().contains("3660 or fewer")
        );
    }

    proptest! {
        #[test]
        fn energy_is_conserved_and_more_sun_never_shortens(
            full in 0.0..20.0f64, part in 0.0..1.0f64, asked in 0.0..10.0f64, dark in 0.0..1.0f64,
            sun in prop::collection::vec(0.0..12.0f64, 0..40), more in 0.0..5.0f64,
        ) {
            let bank = Bank { now: kilowatt_hours(full * part), ..bank(full, asked, dark) };
            let suns: Vec<Energy> = sun.iter().map(|sun| kilowatt_hours(*sun)).collect();
            let found = battery_days(&bank, &suns).unwrap();
            let mut before = full * part;
            for day in &found.days {
                let after = kwh(day.given) + kwh(day.unused) + kwh(day.left);
                prop_assert!((before + kwh(day.sun) - after).abs() < 1e-9);
                prop_assert!((kwh(day.given) + kwh(day.short) - asked).abs() < 1e-9);
                prop_assert!((0.0..=full).contains(&kwh(day.left)) || (kwh(day.left) - full).abs() < 1e-9);
                before = kwh(day.left);
            }
            let brighter: Vec<Energy> = sun.iter().map(|sun| kilowatt_hours(sun + more)).collect();
            prop_assert!(battery_days(&bank, &brighter).unwrap().lasts() >= found.lasts());
        }

        #[test]
        fn any_battery_is_an_answer_or_an_error(f in prop::array::uniform6(prop_oneof![prop::num::f64::ANY, 0.0..1.0f64, 0.0..1e3f64])) {
            let [full, now, asked] = [f[0], f[1], f[2]].map(kilowatt_hours);
            let bank = Bank { full, now, asked, idle: watts(f[3]), after_dark: f[4] };
            if let Ok(found) = battery_days(&bank, &[kilowatt_hours(f[5]); 3]) {
                prop_assert!(found.working(&bank).steps.iter().all(|step| step.figure.value.is_finite()));
                prop_assert!(found.days.iter().all(|day| kwh(day.left).is_finite() && kwh(day.short) >= 0.0));
            }
        }
    }
}
