//! The mass balance between water, dose and product.

use super::mg;
use crate::quantity::Mass;
use crate::quantity::MassConcentration;
use crate::quantity::Unit;
use crate::quantity::Volume;
use crate::quantity::as_grams;
use crate::quantity::as_grams_per_litre;
use crate::quantity::as_litres;
use crate::quantity::as_mg_per_litre;
use crate::quantity::as_millilitres;
use crate::quantity::grams;
use crate::quantity::mg_per_litre;
use crate::quantity::millilitres;
use crate::treatment::TreatmentError;
use crate::treatment::measures::AVAILABLE;
use crate::treatment::measures::CHLORINE;
use crate::treatment::measures::LIQUID;
use crate::treatment::measures::SOLID;
use crate::treatment::measures::STRENGTH;
use crate::treatment::measures::WATER;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

const BALANCE: &str = "balance of masses; what the product adds to the water's volume is not counted";

/// Liquid that brings so much water to a dose: V = water · dose / strength.
///
/// - **Arguments** `water` 0.001 to 10,000,000 L; `dose` 0 to 1,000 mg/L; `strength` 0.01 to 300 g/L, age counted in.
/// - **Reference** mass balance.
///
/// # Errors
/// [`TreatmentError::OutOfRange`] names what is not allowed.
///
/// 1,000 L to 5 mg/L with 50 g/L: 100 mL.
/// ```
/// use keepwell_engine::quantity::{as_millilitres, grams_per_litre, litres, mg_per_litre};
/// use keepwell_engine::treatment::liquid_for;
/// let volume = liquid_for(litres(1000.0), mg_per_litre(5.0), grams_per_litre(50.0))?.value;
/// assert!((as_millilitres(volume) - 100.0).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn liquid_for(
    water: Volume,
    dose: MassConcentration,
    strength: MassConcentration,
) -> Result<Reckoned<Volume>, TreatmentError> {
    let water = WATER.check(as_litres(water))?;
    let dose = CHLORINE.check(as_mg_per_litre(dose))?;
    let strength = STRENGTH.check(as_grams_per_litre(strength))?;
    let volume = water * dose / strength;
    Ok(Working::new("liquid product for a dose", "V = water·dose/C")
        .input("water", "water", Figure::exact(water, Unit::Litre), "entries")
        .input("dose", "dose", mg(dose), "asked")
        .input("product, age counted in", "C", strong(strength), "label and age")
        .step("product", "V", Figure::exact(volume, Unit::Millilitre))
        .source(BALANCE)
        .gives(millilitres(volume)))
}

/// Solid product that brings so much water to a dose: m = water · dose / available.
///
/// - **Arguments** as [`liquid_for`]; `available` the part that is chlorine, 0.01 to 1 (calcium hypochlorite about 0.65,
///   AWWA C652-11 4.2).
///
/// # Errors
/// [`TreatmentError::OutOfRange`] names what is not allowed.
///
/// 10,000 L to 5 mg/L at 65 %: 76.92 g.
/// ```
/// use keepwell_engine::quantity::{as_grams, litres, mg_per_litre};
/// use keepwell_engine::treatment::solid_for;
/// let mass = solid_for(litres(10_000.0), mg_per_litre(5.0), 0.65)?.value;
/// assert!((as_grams(mass) - 76.92).abs() < 0.01);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn solid_for(water: Volume, dose: MassConcentration, available: f64) -> Result<Reckoned<Mass>, TreatmentError> {
    let water = WATER.check(as_litres(water))?;
    let dose = CHLORINE.check(as_mg_per_litre(dose))?;
    let available = AVAILABLE.check(available)?;
    let mass = water * dose / 1000.0 / available;
    Ok(Working::new("solid product for a dose", "m = water·dose/(1000·a)")
        .input("water", "water", Figure::exact(water, Unit::Litre), "entries")
        .input("dose", "dose", mg(dose), "asked")
        .input("available chlorine", "a", Figure::exact(available, Unit::Fraction), "label")
        .step("product", "m", Figure::exact(mass, Unit::Gram))
        .source(BALANCE)
        .gives(grams(mass)))
}

/// The dose that a volume of liquid makes in so much water, the liquid's own volume not counted.
///
/// # Errors
/// [`TreatmentError::OutOfRange`] names what is not allowed.
///
/// Eight drops of 0.05 mL of 60 g/L in a US gallon: 6.34 mg/L, within the 5.55 to 8.67 that Lantagne et al. (2014) found.
/// ```
/// use keepwell_engine::quantity::{as_mg_per_litre, grams_per_litre, litres, millilitres};
/// use keepwell_engine::treatment::concentration_of_liquid;
/// let dose = concentration_of_liquid(millilitres(0.4), grams_per_litre(60.0), litres(3.785))?.value;
/// assert!((as_mg_per_litre(dose) - 6.34).abs() < 0.01);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn concentration_of_liquid(
    liquid: Volume,
    strength: MassConcentration,
    water: Volume,
) -> Result<Reckoned<MassConcentration>, TreatmentError> {
    let liquid = LIQUID.check(as_millilitres(liquid))?;
    let strength = STRENGTH.check(as_grams_per_litre(strength))?;
    let water = WATER.check(as_litres(water))?;
    let dose = liquid * strength / water;
    Ok(Working::new("dose that a liquid makes", "dose = V·C/water")
        .input("product", "V", Figure::exact(liquid, Unit::Millilitre), "entries")
        .input("product, age counted in", "C", strong(strength), "label and age")
        .input("water", "water", Figure::exact(water, Unit::Litre), "entries")
        .step("dose", "", mg(dose))
        .without("what the water eats of it")
        .source(BALANCE)
        .gives(mg_per_litre(dose)))
}

/// The dose that a mass of solid makes in so much water.
///
/// # Errors
/// [`TreatmentError::OutOfRange`] names what is not allowed.
///
/// WHO's 80 g in 1,000 L, at 65 %: 52 mg/L.
/// ```
/// use keepwell_engine::quantity::{as_mg_per_litre, grams, litres};
/// use keepwell_engine::treatment::concentration_of_solid;
/// let dose = concentration_of_solid(grams(80.0), 0.65, litres(1000.0))?.value;
/// assert!((as_mg_per_litre(dose) - 52.0).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn concentration_of_solid(
    solid: Mass,
    available: f64,
    water: Volume,
) -> Result<Reckoned<MassConcentration>, TreatmentError> {
    let solid = SOLID.check(as_grams(solid))?;
    let available = AVAILABLE.check(available)?;
    let water = WATER.check(as_litres(water))?;
    let dose = 1000.0 * solid * available / water;
    Ok(Working::new("dose that a solid makes", "dose = 1000·m·a/water")
        .input("product", "m", Figure::exact(solid, Unit::Gram), "entries")
        .input("available chlorine", "a", Figure::exact(available, Unit::Fraction), "label")
        .input("water", "water", Figure::exact(water, Unit::Litre), "entries")
        .step("dose", "", mg(dose))
        .without("what the water eats of it")
        .source(BALANCE)
        .gives(mg_per_litre(dose)))
}

const fn strong(strength: f64) -> Figure {
    Figure::exact(strength, Unit::GramPerLitre)
}
