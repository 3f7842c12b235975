//! What a generator makes of its fuel and of thin, warm air; what a motor draws as it starts.

use super::PowerError;
use super::measures::ABOVE_SEA;
use super::measures::AIR;
use super::measures::CODE;
use super::measures::FUEL_DENSITY;
use super::measures::FUEL_MASS;
use super::measures::HEAT;
use super::measures::HEAT_A_POUND;
use super::measures::HEAT_INPUT;
use super::measures::LOAD_PART;
use super::measures::LOSS_A_STEP;
use super::measures::MOTOR;
use super::measures::SPECIFIC;
use super::measures::VOLTAGE;
use crate::quantity::BURN;
use crate::quantity::Energy;
use crate::quantity::Length;
use crate::quantity::Mass;
use crate::quantity::Measure;
use crate::quantity::OutOfRange;
use crate::quantity::POWER;
use crate::quantity::Power;
use crate::quantity::RUN_HOURS;
use crate::quantity::ThermodynamicTemperature;
use crate::quantity::Time;
use crate::quantity::Unit;
use crate::quantity::Volume;
use crate::quantity::VolumeRate;
use crate::quantity::as_celsius;
use crate::quantity::as_hours;
use crate::quantity::as_kilograms;
use crate::quantity::as_kilowatt_hours;
use crate::quantity::as_litres_per_hour;
use crate::quantity::as_metres;
use crate::quantity::as_watts;
use crate::quantity::kilograms;
use crate::quantity::litres;
use crate::quantity::litres_per_hour;
use crate::quantity::watts;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

use uom::si::energy::btu_it;
use uom::si::energy::joule;
use uom::si::energy::megajoule;
use uom::si::mass::pound;
use uom::si::power::watt;

pub(super) fn check(measure: &'static Measure, value: f64) -> Result<f64, PowerError> {
    Ok(measure.check(value)?)
}

/// Electricity out over heat in: P/(burn · heat of the fuel).
///
/// | | |
/// |---|---|
/// | P | 0 to 1,000 kW |
/// | burn | above 0, to 1,000 L/h |
/// | heat | 1 to 200 MJ/L, lower or higher, which must be said: they are 7 to 13 % apart |
/// | source | by definition |
///
/// # Errors
/// [`PowerError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::power::efficiency;
/// use keepwell_engine::quantity::{litres_per_hour, watts};
/// // ENG-111: 0.331948417 for 20 kW on 1.6 US gal/h of diesel at 35.81 MJ/L.
/// assert!((efficiency(watts(20_000.0), litres_per_hour(6.057), 35.81)?.value - 0.331948417).abs() < 1e-8);
/// # Ok::<(), keepwell_engine::power::PowerError>(())
/// ```
pub fn efficiency(output: Power, burn: VolumeRate, heat_mj_l: f64) -> Result<Reckoned<f64>, PowerError> {
    let burn = BURN.check(as_litres_per_hour(burn))?;
    let heat = check(&HEAT, heat_mj_l)?;
    let input = Power::new::<watt>(Energy::new::<megajoule>(burn * heat).get::<joule>() / 3600.0);
    efficiency_on_heat(output, input)
}

/// The same where the heat put in is known, as for gas: P/heat.
///
/// # Errors
/// [`PowerError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::power::efficiency_on_heat;
/// use keepwell_engine::quantity::{Power, watts};
/// use uom::si::energy::btu_it;
/// use keepwell_engine::quantity::{Energy, hours};
/// // ENG-112: a dealer's table has 327,000 Btu/h for 22 kW on natural gas.
/// let heat = Energy::new::<btu_it>(327_000.0) / hours(1.0);
/// assert!((efficiency_on_heat(watts(22_000.0), heat)?.value - 0.229563046).abs() < 1e-6);
/// # Ok::<(), keepwell_engine::power::PowerError>(())
/// ```
pub fn efficiency_on_heat(output: Power, heat: Power) -> Result<Reckoned<f64>, PowerError> {
    let output = POWER.check(as_watts(output))?;
    let heat = check(&HEAT_INPUT, as_watts(heat))?;
    let part = output / heat;
    Ok(Working::new("Efficiency of a generator", "P/heat")
        .input("electricity", "P", Figure::exact(output, Unit::Watt), "given")
        .input("heat put in", "heat", Figure::exact(heat, Unit::Watt), "given")
        .step("efficiency", "P/heat", Figure::exact(part, Unit::Fraction))
        .beyond(part > 0.6, "No engine makes that much of its fuel: look at the figures again")
        .source("By definition")
        .gives(part))
}

/// Fuel for so many hours from its mass for a kWh: P t s/ρ.
///
/// | | |
/// |---|---|
/// | s | 1 to 10,000 g/kWh: 300 to 450 at good load, 450 to 700 at light load in small sets (from memory) |
/// | ρ | 0.1 to 2 kg/L |
/// | source | by definition |
///
/// # Errors
/// [`PowerError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::power::fuel_by_mass;
/// use keepwell_engine::quantity::{as_litres, hours, watts};
/// // ENG-113: 6.44295302 L for 1.2 kW, 8 h, 500 g/kWh of petrol.
/// assert!((as_litres(fuel_by_mass(watts(1200.0), hours(8.0), 500.0, 0.745)?.value) - 6.44295302).abs() < 1e-7);
/// # Ok::<(), keepwell_engine::power::PowerError>(())
/// ```
pub fn fuel_by_mass(load: Power, run: Time, g_kwh: f64, kg_l: f64) -> Result<Reckoned<Volume>, PowerError> {
    let load = POWER.check(as_watts(load))?;
    let run = RUN_HOURS.check(as_hours(run))?;
    let specific = check(&SPECIFIC, g_kwh)?;
    let density = check(&FUEL_DENSITY, kg_l)?;
    let fuel = load / 1000.0 * run * specific / 1000.0 / density;
    Ok(Working::new("Fuel for a run", "P · t · s/ρ")
        .input("load", "P", Figure::exact(load, Unit::Watt), "given")
        .input("hours", "t", Figure::exact(run, Unit::Hour), "given")
        .input("grams for a kWh", "s", Figure::exact(specific, Unit::Count), "maker's table")
        .input("kilograms a litre", "ρ", Figure::exact(density, Unit::Count), "given")
        .step("fuel", "P · t · s/ρ", Figure::exact(fuel, Unit::Litre))
        .source("By definition")
        .gives(litres(fuel)))
}

/// How a generator's rating falls with height and warmth.
///
/// Standby sets with spark plugs lose 3.5 % for 1,000 ft and 1 % for 10 °F over 77 °F (25 °C) (Briggs & Stratton 040351
/// and Rheem manuals).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Derating {
    /// lost for each 1,000 ft (304.8 m), 0 to 0.5
    pub a_thousand_feet: f64,
    /// lost for each 10 °F, 0 to 0.5
    pub ten_fahrenheit: f64,
    /// no loss up to here
    pub from: ThermodynamicTemperature,
}

impl Derating {
    /// What it still makes: rated · (1 − a z/304.8 m) · (1 − b (T − T₀) · 1.8/10), linear, not by whole steps; no credit
    /// below the reference temperature or the sea; never below 0.
    ///
    /// # Errors
    /// [`PowerError`] for a figure out of range.
    ///
    /// ```
    /// use keepwell_engine::power::Derating;
    /// use keepwell_engine::quantity::{as_watts, celsius, metres, watts};
    /// // ENG-115: 8.1015 kW of 10 at 5,000 ft and 35 °C.
    /// let rule = Derating { a_thousand_feet: 0.035, ten_fahrenheit: 0.01, from: celsius(25.0) };
    /// let left = rule.rating(watts(10_000.0), metres(1524.0), celsius(35.0))?.value;
    /// assert!((as_watts(left) - 8101.5).abs() < 1e-6);
    /// # Ok::<(), keepwell_engine::power::PowerError>(())
    /// ```
    pub fn rating(
        &self,
        rated: Power,
        altitude: Length,
        air: ThermodynamicTemperature,
    ) -> Result<Reckoned<Power>, PowerError> {
        let left = self.left(rated, altitude, air)?;
        let (of_height, of_warmth) = self.parts(altitude, air)?;
        let exact = |value: f64, unit| Figure::exact(value, unit);
        Ok(Working::new(
            "What a generator makes in thin, warm air",
            "rated · (1 − a · z/304.8 m) · (1 − b · (T − T₀) · 1.8/10)",
        )
        .input("rated", "", exact(as_watts(rated), Unit::Watt), "maker's plate")
        .input("height over the sea", "z", exact(as_metres(altitude), Unit::Metre), "set-up")
        .input("air temperature", "T", exact(as_celsius(air), Unit::Celsius), "given")
        .input("no loss up to", "T₀", exact(as_celsius(self.from), Unit::Celsius), "maker's manual")
        .input("lost for 1,000 ft", "a", exact(self.a_thousand_feet, Unit::Fraction), "maker's manual")
        .input("lost for 10 °F", "b", exact(self.ten_fahrenheit, Unit::Fraction), "maker's manual")
        .step("left by height", "1 − a · z/304.8 m", exact(of_height, Unit::Fraction))
        .step("left by warmth", "1 − b · (T − T₀) · 1.8/10", exact(of_warmth, Unit::Fraction))
        .step("left", "rated · both", exact(as_watts(left), Unit::Watt))
        .source("Makers' standby manuals (Briggs & Stratton, Rheem)")
        .gives(left))
    }

    /// [`Derating::rating`] without its working.
    ///
    /// # Errors
    /// As [`Derating::rating`].
    ///
    /// ```
    /// use keepwell_engine::power::Derating;
    /// use keepwell_engine::quantity::{as_watts, celsius, metres, watts};
    /// // ENG-115: 8.1015 kW of 10 at 5,000 ft and 35 °C.
    /// let rule = Derating { a_thousand_feet: 0.035, ten_fahrenheit: 0.01, from: celsius(25.0) };
    /// let left = rule.left(watts(10_000.0), metres(1524.0), celsius(35.0))?;
    /// assert!((as_watts(left) - 8101.5).abs() < 1e-6);
    /// # Ok::<(), keepwell_engine::power::PowerError>(())
    /// ```
    pub fn left(&self, rated: Power, altitude: Length, air: ThermodynamicTemperature) -> Result<Power, PowerError> {
        let rated = POWER.check(as_watts(rated))?;
        let (of_height, of_warmth) = self.parts(altitude, air)?;
        Ok(watts(rated * of_height * of_warmth))
    }

    /// What height leaves, and what warmth does, as parts.
    fn parts(&self, altitude: Length, air: ThermodynamicTemperature) -> Result<(f64, f64), PowerError> {
        let altitude = check(&ABOVE_SEA, as_metres(altitude))?;
        let air = check(&AIR, as_celsius(air))?;
        let from = check(&AIR, as_celsius(self.from))?;
        let (thin, warm) = (check(&LOSS_A_STEP, self.a_thousand_feet)?, check(&LOSS_A_STEP, self.ten_fahrenheit)?);
        let of_height = (1.0 - thin * altitude.max(0.0) / 304.8).max(0.0);
        let of_warmth = (1.0 - warm * (air - from).max(0.0) * 1.8 / 10.0).max(0.0);
        Ok((of_height, of_warmth))
    }
}

/// Amperes a single-phase motor draws the moment it starts: hp · kVA for a hp · 1000/V.
///
/// | | |
/// |---|---|
/// | kVA | by the plate's code letter: G 5.6 to 6.29, H 6.3 to 7.09, J 7.1 to 7.99, K 8.0 to 8.99, L 9.0 to 9.99 |
/// | source | NEMA MG 1, code letters, as tabulated |
///
/// # Errors
/// [`PowerError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::power::starting_current;
/// // ENG-118: 53.125 A for 0.75 hp, letter K, 120 V.
/// assert!((starting_current(0.75, 8.5, 120.0)?.value - 53.125).abs() < 1e-12);
/// # Ok::<(), keepwell_engine::power::PowerError>(())
/// ```
pub fn starting_current(horsepower: f64, kva_per_hp: f64, voltage: f64) -> Result<Reckoned<f64>, PowerError> {
    let horsepower = check(&MOTOR, horsepower)?;
    let code = check(&CODE, kva_per_hp)?;
    let voltage = check(&VOLTAGE, voltage)?;
    let current = horsepower * code * 1000.0 / voltage;
    Ok(Working::new("Current of a motor as it starts", "hp · kVA/hp · 1000/V")
        .input("rated power, hp", "hp", Figure::exact(horsepower, Unit::Count), "motor's plate")
        .input("kVA for a hp", "kVA/hp", Figure::exact(code, Unit::Count), "code letter on the plate")
        .input("voltage", "V", Figure::exact(voltage, Unit::Count), "set-up")
        .step("current", "hp · kVA/hp · 1000/V", Figure::exact(current, Unit::Ampere))
        .source("NEMA MG 1, code letters")
        .gives(current))
}

/// Fuel an hour at a part of full load, straight between the maker's points, end points included; none beyond them.
///
/// | | |
/// |---|---|
/// | points | two or more: part of full load, 0 to 1.5, and fuel, 0 to 1,000 L/h; in any order, each load once |
/// | error | a published chart is good to 20 % |
/// | source | common practice, no source |
///
/// # Errors
/// [`PowerError`] for a figure out of range, fewer than two points, or a load beyond them.
///
/// ```
/// use keepwell_engine::power::burn_at_part_load;
/// use keepwell_engine::quantity::{as_litres_per_hour, litres_per_hour};
/// // ENG-110: 4.0126 L/h at 60 % of a 20 kW diesel set, from a published chart.
/// let chart = [(0.25, 2.271), (0.5, 3.407), (0.75, 4.921), (1.0, 6.057)].map(|(l, r)| (l, litres_per_hour(r)));
/// assert!((as_litres_per_hour(burn_at_part_load(&chart, 0.6)?.value) - 4.0126).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::power::PowerError>(())
/// ```
pub fn burn_at_part_load(points: &[(f64, VolumeRate)], part: f64) -> Result<Reckoned<VolumeRate>, PowerError> {
    let mut line = points
        .iter()
        .map(|(part, burn)| Ok((check(&LOAD_PART, *part)?, BURN.check(as_litres_per_hour(*burn))?)))
        .collect::<Result<Vec<_>, PowerError>>()?;
    line.sort_by(|one, other| one.0.total_cmp(&other.0));
    let [first, .., last] = line[..] else {
        return Err(PowerError::TooFewPoints { given: line.len() });
    };
    if let Some(pair) = line.windows(2).find(|pair| pair[1].0 - pair[0].0 < 1e-6) {
        return Err(PowerError::SameLoad { watts: pair[1].0 });
    }
    let measure = Measure { min: first.0, max: last.0, ..LOAD_PART };
    let after = line.partition_point(|point| point.0 < part).clamp(1, line.len() - 1);
    if !(first.0..=last.0).contains(&part) {
        return Err(OutOfRange { measure, value: part }.into());
    }
    let ((low, little), (high, much)) = (line[after - 1], line[after]);
    let burn = little + (much - little) * (part - low) / (high - low);
    Ok(Working::new("Fuel an hour at part load", "straight between the maker's points")
        .input("part of full load", "", Figure::exact(part, Unit::Fraction), "given")
        .step("fuel an hour", "r₀ + (r₁ − r₀) · (x − x₀)/(x₁ − x₀)", Figure::exact(burn, Unit::LitrePerHour))
        .without("Published charts are good to about 20 %")
        .source("The maker's chart")
        .gives(litres_per_hour(burn)))
}

/// The heat of so much fuel by its mass: m · heat of a pound.
///
/// | | |
/// |---|---|
/// | m | 0 to 1,000,000 kg |
/// | heat | 1,000 to 100,000 Btu a pound: propane 19,900, lower heating value (US DOE AFDC, Properties of Fuels) |
/// | source | by definition |
///
/// # Errors
/// [`PowerError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::power::heat_of_mass;
/// use keepwell_engine::quantity::{as_kilowatt_hours, kilograms};
/// // ENG-116: 116.642319 kWh in a 20 lb cylinder.
/// assert!((as_kilowatt_hours(heat_of_mass(kilograms(9.07185), 19_900.0)?.value) - 116.642319).abs() < 0.01);
/// # Ok::<(), keepwell_engine::power::PowerError>(())
/// ```
pub fn heat_of_mass(mass: Mass, btu_lb: f64) -> Result<Reckoned<Energy>, PowerError> {
    let mass = check(&FUEL_MASS, as_kilograms(mass))?;
    let each = check(&HEAT_A_POUND, btu_lb)?;
    let heat = Energy::new::<btu_it>(each) * (kilograms(mass) / Mass::new::<pound>(1.0)).value;
    Ok(Working::new("Heat of fuel by its mass", "m · heat of a pound")
        .input("mass", "m", Figure::exact(mass, Unit::Kilogram), "weighed")
        .input("heat of a pound, Btu", "", Figure::exact(each, Unit::Count), "US DOE AFDC, Properties of Fuels")
        .step("heat", "m · heat of a pound", Figure::exact(as_kilowatt_hours(heat) * 1000.0, Unit::WattHour))
        .source("By definition")
        .gives(heat))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::as_litres;
    use crate::quantity::celsius;
    use crate::quantity::hours;
    use crate::quantity::metres;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn any_figures_are_an_answer_or_an_error(f in prop::array::uniform5(prop::num::f64::ANY)) {
            let rule = Derating { a_thousand_feet: f[0], ten_fahrenheit: f[1], from: celsius(f[2]) };
            let answers = [
                efficiency(watts(f[0]), litres_per_hour(f[1]), f[2]).map(|found| found.value),
                efficiency_on_heat(watts(f[0]), watts(f[1])).map(|found| found.value),
                burn_at_part_load(&[(f[0], litres_per_hour(f[1])), (f[2], litres_per_hour(f[3]))], f[4])
                    .map(|found| as_litres_per_hour(found.value)),
                heat_of_mass(kilograms(f[0]), f[1]).map(|found| as_kilowatt_hours(found.value)),
                fuel_by_mass(watts(f[0]), hours(f[1]), f[2], f[3]).map(|found| as_litres(found.value)),
                rule.rating(watts(f[3]), metres(f[4]), celsius(f[0])).map(|found| as_watts(found.value)),
                starting_current(f[0], f[1], f[2]).map(|found| found.value),
            ];
            prop_assert!(answers.into_iter().flatten().all(|answer| answer.is_finite() && answer >= 0.0));
        }

        #[test]
        fn higher_and_warmer_never_makes_more(z in 0.0..8000.0, t in -40.0..60.0, up in 0.0..500.0, warmer in 0.0..20.0) {
            let rule = Derating { a_thousand_feet: 0.035, ten_fahrenheit: 0.01, from: celsius(25.0) };
            let at = |z: f64, t: f64| as_watts(rule.rating(watts(1e4), metres(z), celsius(t)).unwrap().value);
            prop_assert!(at(z + up, t + warmer) <= at(z, t));
        }
    }
}
