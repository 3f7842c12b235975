//! Batteries and sunlight, and the water they lift.

use super::PowerError;
use super::measures::CHARGE;
use super::measures::PART;
use super::measures::STORED;
use super::measures::SUN;
use super::measures::TOTAL_HEAD;
use super::measures::VOLTAGE;
use super::rating::check;
use crate::hydraulics::measures::DENSITY;
use crate::hydraulics::measures::EFFICIENCY;
use crate::hydraulics::measures::GRAVITY;
use crate::quantity::Energy;
use crate::quantity::Length;
use crate::quantity::MassDensity;
use crate::quantity::POWER;
use crate::quantity::Power;
use crate::quantity::Time;
use crate::quantity::Unit;
use crate::quantity::Volume;
use crate::quantity::as_hours;
use crate::quantity::as_kg_per_cubic_metre;
use crate::quantity::as_kilowatt_hours;
use crate::quantity::as_litres;
use crate::quantity::as_metres;
use crate::quantity::as_watts;
use crate::quantity::cubic_metres;
use crate::quantity::kilowatt_hours;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

/// What a battery gives at the socket: Ah · V · depth of discharge · inverter.
///
/// | | |
/// |---|---|
/// | depth of discharge | 0 to 1: lead-acid 0.5, lithium iron phosphate 0.8 to 0.9 (installers; no standard) |
/// | inverter | 0.001 to 1: 0.85 to 0.93 at part load, and 5 to 50 W idle beside (common practice, no source) |
/// | source | by definition |
///
/// # Errors
/// [`PowerError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::power::battery_energy;
/// use keepwell_engine::quantity::as_kilowatt_hours;
/// // ENG-119: 0.9216 kWh of 100 Ah at 12.8 V.
/// assert!((as_kilowatt_hours(battery_energy(100.0, 12.8, 0.8, 0.9)?.value) - 0.9216).abs() < 1e-12);
/// # Ok::<(), keepwell_engine::power::PowerError>(())
/// ```
pub fn battery_energy(
    ampere_hours: f64,
    voltage: f64,
    discharge: f64,
    inverter: f64,
) -> Result<Reckoned<Energy>, PowerError> {
    let charge = check(&CHARGE, ampere_hours)?;
    let voltage = check(&VOLTAGE, voltage)?;
    let discharge = check(&PART, discharge)?;
    let inverter = EFFICIENCY.check(inverter)?;
    let energy = kilowatt_hours(charge * voltage * discharge * inverter / 1000.0);
    Ok(Working::new("What a battery gives", "Ah · V · depth of discharge · inverter")
        .input("capacity, Ah", "Ah", Figure::exact(charge, Unit::Count), "maker's plate")
        .input("voltage", "V", Figure::exact(voltage, Unit::Count), "maker's plate")
        .input("depth of discharge", "", Figure::exact(discharge, Unit::Fraction), "assumed")
        .input("inverter", "", Figure::exact(inverter, Unit::Fraction), "assumed")
        .step("at the socket", "Ah · V · both", Figure::exact(as_kilowatt_hours(energy) * 1000.0, Unit::WattHour))
        .without("Cold: lead-acid keeps about 80 % at 0 °C (from memory)")
        .source("By definition")
        .gives(energy))
}

/// What a battery gives at the socket, where its plate has watt-hours: capacity · depth of discharge · inverter.
///
/// | | |
/// |---|---|
/// | capacity | 0 to 10⁹ Wh, from full to empty |
/// | depth of discharge, inverter | as [`battery_energy`] |
/// | source | by definition |
///
/// # Errors
/// [`PowerError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::power::battery_gives;
/// use keepwell_engine::quantity::{as_kilowatt_hours, kilowatt_hours};
/// // ENG-119 by its watt-hours: 100 Ah · 12.8 V are 1.28 kWh, of which 0.9216 reach the socket.
/// assert!((as_kilowatt_hours(battery_gives(kilowatt_hours(1.28), 0.8, 0.9)?.value) - 0.9216).abs() < 1e-12);
/// # Ok::<(), keepwell_engine::power::PowerError>(())
/// ```
pub fn battery_gives(capacity: Energy, discharge: f64, inverter: f64) -> Result<Reckoned<Energy>, PowerError> {
    let capacity = check(&STORED, as_kilowatt_hours(capacity) * 1000.0)?;
    let discharge = check(&PART, discharge)?;
    let inverter = EFFICIENCY.check(inverter)?;
    let energy = capacity * discharge * inverter;
    Ok(Working::new("What a battery gives", "Wh · depth of discharge · inverter")
        .input("capacity", "Wh", Figure::exact(capacity, Unit::WattHour), "maker's plate")
        .input("depth of discharge", "", Figure::exact(discharge, Unit::Fraction), "set-up")
        .input("inverter", "", Figure::exact(inverter, Unit::Fraction), "set-up")
        .step("at the socket", "Wh · both", Figure::exact(energy, Unit::WattHour))
        .without("Cold: lead-acid keeps about 80 % at 0 °C (from memory)")
        .source("By definition")
        .gives(kilowatt_hours(energy / 1000.0)))
}

/// How much water so much electricity lifts: E η/(ρ g H).
///
/// # Errors
/// [`PowerError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::power::water_lifted;
/// use keepwell_engine::quantity::{as_cubic_metres, kg_per_cubic_metre, kilowatt_hours, metres};
/// // ENG-120: 4.29053105 m³ for 1 kWh at 30 m and 35 %.
/// let lifted = water_lifted(kilowatt_hours(1.0), metres(30.0), kg_per_cubic_metre(998.2), 0.35)?.value;
/// assert!((as_cubic_metres(lifted) - 4.29053105).abs() < 1e-6);
/// # Ok::<(), keepwell_engine::power::PowerError>(())
/// ```
pub fn water_lifted(
    energy: Energy,
    head: Length,
    density: MassDensity,
    efficiency: f64,
) -> Result<Reckoned<Volume>, PowerError> {
    let energy = check(&STORED, as_kilowatt_hours(energy) * 1000.0)?;
    let head = check(&TOTAL_HEAD, as_metres(head))?;
    let density = DENSITY.check(as_kg_per_cubic_metre(density))?;
    let efficiency = EFFICIENCY.check(efficiency)?;
    let volume = cubic_metres(energy * 3600.0 * efficiency / (density * GRAVITY * head));
    Ok(Working::new("Water lifted by a battery", "E · η/(ρ · g · H)")
        .input("electricity", "E", Figure::exact(energy, Unit::WattHour), "given")
        .input("head", "H", Figure::exact(head, Unit::Metre), "given")
        .input("density", "ρ", Figure::exact(density, Unit::KilogramPerCubicMetre), "given")
        .input("wire-to-water efficiency", "η", Figure::exact(efficiency, Unit::Fraction), "measured or assumed")
        .step("water", "E · η/(ρ · g · H)", Figure::exact(as_litres(volume), Unit::Litre))
        .source("Work against weight")
        .gives(volume))
}

/// What an array gives a day: kW · peak-sun hours · (1 − losses) · inverter.
///
/// | | |
/// |---|---|
/// | losses | 0 to 1; 0.14 is the PVWatts default, the inverter apart (NREL, Dobos 2014), 0.96 for the inverter |
/// | error | a month can stray 30 to 40 % (the same manual): plan with the winter's sun |
/// | source | definition of peak-sun hours |
///
/// # Errors
/// [`PowerError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::power::solar_day;
/// use keepwell_engine::quantity::{as_kilowatt_hours, hours, watts};
/// // ENG-121: 1.48608 kWh a day of 0.4 kW.
/// assert!((as_kilowatt_hours(solar_day(watts(400.0), hours(4.5), 0.14, 0.96)?.value) - 1.48608).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::power::PowerError>(())
/// ```
pub fn solar_day(array: Power, sun: Time, losses: f64, inverter: f64) -> Result<Reckoned<Energy>, PowerError> {
    let array = POWER.check(as_watts(array))?;
    let sun = check(&SUN, as_hours(sun))?;
    let losses = check(&PART, losses)?;
    let inverter = EFFICIENCY.check(inverter)?;
    let energy = array * sun * (1.0 - losses) * inverter;
    Ok(Working::new("What an array gives a day", "kW · peak-sun hours · (1 − losses) · inverter")
        .input("array", "kW", Figure::exact(array, Unit::Watt), "maker's plate")
        .input("peak-sun hours", "", Figure::exact(sun, Unit::Hour), "a map of the place, or its latitude")
        .input("losses", "", Figure::exact(losses, Unit::Fraction), "assumed")
        .input("inverter", "", Figure::exact(inverter, Unit::Fraction), "assumed")
        .step("a day", "kW · hours · (1 − losses) · inverter", Figure::exact(energy, Unit::WattHour))
        .without("Cloud from day to day")
        .source("NREL PVWatts manual, Dobos 2014, for the losses")
        .gives(kilowatt_hours(energy / 1000.0)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::as_cubic_metres;
    use crate::quantity::hours;
    use crate::quantity::kg_per_cubic_metre;
    use crate::quantity::metres;
    use crate::quantity::watts;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn any_figures_are_an_answer_or_an_error(f in prop::array::uniform4(prop::num::f64::ANY)) {
            let answers = [
                battery_energy(f[0], f[1], f[2], f[3]).map(|found| as_kilowatt_hours(found.value)),
                battery_gives(kilowatt_hours(f[0]), f[1], f[2]).map(|found| as_kilowatt_hours(found.value)),
                water_lifted(kilowatt_hours(f[0]), metres(f[1]), kg_per_cubic_metre(f[2]), f[3])
                    .map(|found| as_cubic_metres(found.value)),
                solar_day(watts(f[0]), hours(f[1]), f[2], f[3]).map(|found| as_kilowatt_hours(found.value)),
            ];
            prop_assert!(answers.into_iter().flatten().all(|answer| answer.is_finite() && answer >= 0.0));
        }
    }
}
