//! The authorities' household chart for bleach, as printed, and what goes with it.

use super::PercentKind;
use super::TreatmentError;
use super::dose::LARGE_DROP_ML;
use super::dose::SMALL_DROP_ML;
use super::label_strength;
use super::measures::WATER;
use crate::quantity::MassConcentration;
use crate::quantity::TURBIDITY;
use crate::quantity::ThermodynamicTemperature;
use crate::quantity::Time;
use crate::quantity::Unit;
use crate::quantity::Volume;
use crate::quantity::WATER_TEMPERATURE;
use crate::quantity::as_celsius;
use crate::quantity::as_grams_per_litre;
use crate::quantity::as_litres;
use crate::quantity::hours;
use crate::quantity::mg_per_litre;
use crate::quantity::minutes;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

/// Whether the chart's dose is doubled.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Murk {
    /// clear and not very cold
    Clear,
    /// cloudy, coloured or very cold
    CloudyOrCold,
}

/// Drops of household bleach by the authorities' chart.
///
/// - **Rule** 8 drops a US gallon of 5 to 6 % bleach, 6 of 8.25 %; other volumes in proportion, to the nearest whole
///   drop, halves up; then doubled for cloudy, coloured or very cold water. From 6 to 9 % other than 8.25 % the chart
///   prints no column: the 5 to 6 % one is taken, as in CDC's chart for 5 to 9 %.
/// - **Arguments** `water` 0.001 to 10,000,000 L; `percent` NaOCl on the label, 5 to 9.
/// - **Range** a drop is no unit: 0.05 and 0.077 mL are both in print, so the same rule gives 5.6 to 8.7 mg/L.
/// - **Reference** US EPA, Emergency Disinfection of Drinking Water; CDC, Make Water Safe.
///
/// # Errors
/// [`TreatmentError::NotOnChart`] below 5 or above 9 %; [`TreatmentError::OutOfRange`] for the water.
///
/// ```
/// use keepwell_engine::quantity::litres;
/// use keepwell_engine::treatment::{Murk, chart_drops};
/// let gallon = litres(3.785_411_784);
/// assert_eq!(chart_drops(gallon, 6.0, Murk::Clear)?.value as u32, 8);
/// assert_eq!(chart_drops(gallon, 8.25, Murk::CloudyOrCold)?.value as u32, 12);
/// assert!(chart_drops(gallon, 12.5, Murk::Clear).is_err());
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn chart_drops(water: Volume, percent: f64, murk: Murk) -> Result<Reckoned<f64>, TreatmentError> {
    let water = WATER.check(as_litres(water))?;
    if !(5.0..=9.0).contains(&percent) {
        return Err(TreatmentError::NotOnChart { percent });
    }
    let column = if (percent - 8.25).abs() < 1e-9 { 6.0 } else { 8.0 };
    let gallons = Unit::Litre.to_us(water);
    // half a drop is a whole one, and a gallon divided by four is a quart in spite of rounding
    let clear = (column * gallons + 0.5 + 1e-6).floor();
    let value = match murk {
        Murk::Clear => clear,
        Murk::CloudyOrCold => 2.0 * clear,
    };
    Ok(Working::new(
        "drops of household bleach by the chart",
        "drops = round(column × gallons), doubled if cloudy or very cold",
    )
    .input("water", "V", Figure::exact(water, Unit::Litre), "asked")
    .input("NaOCl on the label, per cent", "%", Figure::exact(percent, Unit::Count), "label")
    .step("drops a US gallon", "8 up to 6 %, 6 at 8.25 %", Figure::exact(column, Unit::Count))
    .step("drops for this water, clear", "halves up", Figure::exact(clear, Unit::Count))
    .step("drops", "", Figure::exact(value, Unit::Count))
    .beyond(
        percent > 6.0 && column > 7.0,
        "the chart prints no column for this strength; that of 5 to 6 % is taken, as CDC's does",
    )
    .beyond(value < 1.0, "too little water for a whole drop: treat more at once")
    .without("the size of a drop: 0.05 to 0.077 mL")
    .source("US EPA, Emergency Disinfection of Drinking Water; CDC, Make Water Safe")
    .gives(value))
}

/// How long treated water stands before it is tested or drunk.
///
/// - **Rule** 30 minutes at 18 °C or warmer; 60 minutes below, which is our caution: the source says "longer" and prints
///   no figure.
/// - **Reference** US EPA, emergency disinfection; WHO technical note 11.
///
/// # Errors
/// [`TreatmentError::OutOfRange`] when the temperature is not between -2 and 100 °C.
///
/// ```
/// use keepwell_engine::quantity::{as_minutes, celsius};
/// use keepwell_engine::treatment::stand_time;
/// assert!((as_minutes(stand_time(celsius(20.0))?.value) - 30.0).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn stand_time(temperature: ThermodynamicTemperature) -> Result<Reckoned<Time>, TreatmentError> {
    let temperature = WATER_TEMPERATURE.check(as_celsius(temperature))?;
    let cold = temperature < 18.0 - 1e-9;
    let time = if cold { 60.0 } else { 30.0 };
    Ok(Working::new("how long treated water stands", "30 min; 60 min below 18 °C")
        .input("water temperature", "T", Figure::exact(temperature, Unit::Celsius), "test")
        .step("time to stand", "", Figure::exact(time, Unit::Minute))
        .beyond(cold, "below 18 °C \"longer\" is published without a figure; 60 minutes is our caution")
        .source("US EPA, emergency disinfection of drinking water; WHO technical note 11")
        .gives(minutes(time)))
}

/// The household dose that the evidence supports.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HouseholdNeed {
    /// chlorine to dose
    pub dose: MassConcentration,
    /// the water is used up within this time
    pub use_within: Time,
}

/// The household dose that the evidence supports, by cloudiness: 1.875 mg/L under 10 NTU, to be used within 24 hours;
/// 3.75 mg/L from 10 to 100 NTU, within 8 hours.
///
/// - **Arguments** `turbidity` 0 to 100 NTU.
/// - **Range** above 100 NTU chlorine alone is not relied on: refused. From 5 NTU on it measures a need and earns no
///   credit: marked.
/// - **Reference** Lantagne 2008, J AWWA 100(8):106; Wilhelm et al. 2018, J Water Health 16:112.
///
/// # Errors
/// [`TreatmentError::TooCloudy`] above 100 NTU; [`TreatmentError::OutOfRange`] for a reading that is none.
///
/// ```
/// use keepwell_engine::quantity::{as_hours, as_mg_per_litre};
/// let need = keepwell_engine::treatment::household_need(30.0)?.value;
/// assert!((as_mg_per_litre(need.dose) - 3.75).abs() < 1e-9 && (as_hours(need.use_within) - 8.0).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn household_need(turbidity: f64) -> Result<Reckoned<HouseholdNeed>, TreatmentError> {
    let ntu = TURBIDITY.check(turbidity)?;
    if ntu > 100.0 {
        return Err(TreatmentError::TooCloudy { ntu, most: 100.0 });
    }
    let (dose, time) = if ntu < 10.0 { (1.875, 24.0) } else { (3.75, 8.0) };
    Ok(Working::new("household dose that the evidence supports", "1.875 mg/L under 10 NTU; 3.75 mg/L to 100 NTU")
        .input("cloudiness", "", Figure::exact(ntu, Unit::Ntu), "test")
        .step("dose", "", Figure::exact(dose, Unit::MilligramPerLitre))
        .step("use it within", "", Figure::exact(time, Unit::Hour))
        .beyond(ntu >= 5.0, "from 5 NTU: settle and filter first; no credit is shown")
        .source("Lantagne 2008, J AWWA 100(8):106; Wilhelm et al. 2018, J Water Health 16:112")
        .gives(HouseholdNeed { dose: mg_per_litre(dose), use_within: hours(time) }))
}

/// What the chart's drops make of the water at the moment of dosing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChartDose {
    /// with drops of 0.05 mL, 20 to the mL
    pub least: MassConcentration,
    /// with drops of 0.077 mL, 8 to an eighth of a teaspoon
    pub most: MassConcentration,
}

/// Chlorine that the drops of the chart make, from the smaller to the larger drop in print.
///
/// - **Formula** drops · mL a drop · C / water; C from the label by [`label_strength`], NaOCl by weight, when new.
/// - **Arguments** those of [`chart_drops`].
/// - **Reference** [`chart_drops`]; Lantagne et al. 2014, Environ. Sci. Technol., found 5.55 to 8.67 mg/L by this rule.
///
/// # Errors
/// Those of [`chart_drops`].
///
/// ```
/// use keepwell_engine::quantity::{as_mg_per_litre, litres};
/// use keepwell_engine::treatment::{Murk, chart_dose};
/// let dose = chart_dose(litres(3.785_411_784), 5.25, Murk::Clear)?.value;
/// assert!((as_mg_per_litre(dose.least) / 5.55 - 1.0).abs() < 0.025);
/// assert!((as_mg_per_litre(dose.most) / 8.67 - 1.0).abs() < 0.025);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn chart_dose(water: Volume, percent: f64, murk: Murk) -> Result<Reckoned<ChartDose>, TreatmentError> {
    let drops = chart_drops(water, percent, murk)?;
    let strength = as_grams_per_litre(label_strength(percent, PercentKind::HypochloriteByWeight, None)?.value);
    let litres = as_litres(water);
    let [least, most] = [SMALL_DROP_ML, LARGE_DROP_ML].map(|drop| drops.value * drop * strength / litres);
    let mut working = drops.working;
    working.what = "chlorine that the chart's drops make";
    working.formula = "drops · mL a drop · C / water";
    Ok(working
        .input("bleach when new", "C", Figure::exact(strength, Unit::GramPerLitre), "label")
        .input("a small drop", "", Figure::exact(SMALL_DROP_ML, Unit::Millilitre), "print")
        .input("a large drop", "", Figure::exact(LARGE_DROP_ML, Unit::Millilitre), "print")
        .step("at least", "", Figure::exact(least, Unit::MilligramPerLitre))
        .step("at most", "", Figure::exact(most, Unit::MilligramPerLitre))
        .source("Lantagne et al. 2014, Environ. Sci. Technol.: 5.55 to 8.67 mg/L by this rule")
        .gives(ChartDose { least: mg_per_litre(least), most: mg_per_litre(most) }))
}
