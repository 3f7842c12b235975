//! How much to add: the mass balance, in mL, drops, spoons and grams.

use super::AVAILABLE;
use super::CHLORINE;
use super::Caution;
use super::LIQUID;
use super::Product;
use super::SOLID;
use super::STRENGTH;
use super::TreatmentError;
use super::WATER;
use super::above_zero;
use crate::quantity::Mass;
use crate::quantity::MassConcentration;
use crate::quantity::TURBIDITY;
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
use crate::working::Figure;
use crate::working::Working;

/// A drop by the usual count, 20 to the mL.
const SMALL_DROP_ML: f64 = 0.05;
/// A drop by "8 drops are an eighth of a teaspoon". Both are in print.
const LARGE_DROP_ML: f64 = 4.928_921_593_75 / 64.0;

/// More than this is a shock dose and nothing else: 10 mg/L (our line).
#[must_use]
pub fn most_ordinary() -> MassConcentration {
    mg_per_litre(10.0)
}

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
/// let volume = liquid_for(litres(1000.0), mg_per_litre(5.0), grams_per_litre(50.0))?;
/// assert!((as_millilitres(volume) - 100.0).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn liquid_for(
    water: Volume,
    dose: MassConcentration,
    strength: MassConcentration,
) -> Result<Volume, TreatmentError> {
    let water = WATER.check(as_litres(water))?;
    let dose = CHLORINE.check(as_mg_per_litre(dose))?;
    let strength = STRENGTH.check(as_grams_per_litre(strength))?;
    Ok(millilitres(water * dose / strength))
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
/// let mass = solid_for(litres(10_000.0), mg_per_litre(5.0), 0.65)?;
/// assert!((as_grams(mass) - 76.92).abs() < 0.01);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn solid_for(water: Volume, dose: MassConcentration, available: f64) -> Result<Mass, TreatmentError> {
    let water = WATER.check(as_litres(water))?;
    let dose = CHLORINE.check(as_mg_per_litre(dose))?;
    Ok(grams(water * dose / 1000.0 / AVAILABLE.check(available)?))
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
/// let dose = concentration_of_liquid(millilitres(0.4), grams_per_litre(60.0), litres(3.785))?;
/// assert!((as_mg_per_litre(dose) - 6.34).abs() < 0.01);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn concentration_of_liquid(
    liquid: Volume,
    strength: MassConcentration,
    water: Volume,
) -> Result<MassConcentration, TreatmentError> {
    let liquid = LIQUID.check(as_millilitres(liquid))?;
    let strength = STRENGTH.check(as_grams_per_litre(strength))?;
    Ok(mg_per_litre(liquid * strength / WATER.check(as_litres(water))?))
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
/// let dose = concentration_of_solid(grams(80.0), 0.65, litres(1000.0))?;
/// assert!((as_mg_per_litre(dose) - 52.0).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn concentration_of_solid(solid: Mass, available: f64, water: Volume) -> Result<MassConcentration, TreatmentError> {
    let solid = SOLID.check(as_grams(solid))?;
    let available = AVAILABLE.check(available)?;
    Ok(mg_per_litre(1000.0 * solid * available / WATER.check(as_litres(water))?))
}

/// What a dose is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Purpose {
    /// a residual in water that is to be drunk
    Residual,
    /// disinfecting: the water is then on hold
    Shock,
}

/// What the water needs, as far as it was measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Need {
    /// litres in the vessel now
    pub water: Volume,
    /// what the water eats in 30 minutes: unknown until a sample was dosed and read
    pub demand: Option<MassConcentration>,
    /// free chlorine wanted afterwards
    pub target: MassConcentration,
    /// free chlorine measured now; nothing where none was
    pub present: Option<MassConcentration>,
    /// cloudiness, NTU
    pub turbidity: Option<f64>,
    /// some of the water came from chloraminated mains, and no one confirmed free chlorine
    pub chloramine: bool,
    /// it was dosed since it was last tested
    pub dosed_untested: bool,
    /// what for
    pub purpose: Purpose,
}

/// A count of drops, whose size nobody knows: the printed sizes give the ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drops {
    /// at 0.077 mL a drop
    pub least: f64,
    /// at 0.05 mL a drop, 20 to the mL
    pub most: f64,
}

/// A kitchen measure, in eighths.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spoon {
    /// eighths of a US teaspoon of 4.929 mL, to the nearest
    pub teaspoon_eighths: f64,
    /// what that many hold
    pub volume: Volume,
}

/// What to add, with everything that must be shown beside it.
#[derive(Clone, Debug, PartialEq)]
pub struct Dose {
    /// chlorine added, over the litres present
    pub added: MassConcentration,
    /// of a liquid product
    pub liquid: Option<Volume>,
    /// the same in drops, where they are few enough to count
    pub drops: Option<Drops>,
    /// the same in teaspoons, where it is at least an eighth
    pub spoons: Option<Spoon>,
    /// of a solid product
    pub solid: Option<Mass>,
    /// what may hurt someone
    pub cautions: Vec<Caution>,
    /// what to do then (English key)
    pub then: &'static str,
    /// how it was reckoned, and what it rests on
    pub working: Working,
}

/// What to do after an ordinary dose.
const THEN: &str = "Stir, wait 30 minutes (60 below 18 °C), test. Do not dose again without a test.";
/// What to do after a shock dose.
const THEN_SHOCK: &str = "The water is on hold. Keep it for the method's time, empty it, flush, refill, then test chlorine and have a sample tested.";

impl Dose {
    /// What to add to what is in the vessel now.
    ///
    /// - **Formula** added = demand + target − present, not below 0; V = water·added/C, m = water·added/(1000·a).
    /// - **Arguments** `need` [`Need`]; `product` its strength now. Demand not measured counts as 0, a residual not
    ///   measured as none: both are named in the working, and the answer is a starting point.
    /// - **Range** 10 mg/L at most unless it is a shock dose; 100 NTU at most; from 5 NTU on marked, with no credit.
    /// - **Reference** mass balance; limits: Lantagne 2008; the 10 mg/L are our own line.
    ///
    /// # Errors
    /// [`TreatmentError`]: a refused product, chloramine, too cloudy, too strong, or a figure out of range.
    ///
    /// 1,000 L that eat 0.5 and hold 0.1 mg/L, to 0.5 mg/L with 60 g/L: 0.9 mg/L, 15 mL.
    /// ```
    /// use keepwell_engine::quantity::*;
    /// use keepwell_engine::treatment::*;
    /// let need = Need {
    ///     water: litres(1000.0), demand: Some(mg_per_litre(0.5)), target: mg_per_litre(0.5),
    ///     present: Some(mg_per_litre(0.1)), turbidity: Some(0.5), chloramine: false, dosed_untested: false,
    ///     purpose: Purpose::Residual,
    /// };
    /// let dose = Dose::of(&need, Product::Liquid(grams_per_litre(60.0)))?;
    /// assert!(dose.liquid.is_some_and(|volume| (as_millilitres(volume) - 15.0).abs() < 1e-9));
    /// # Ok::<(), TreatmentError>(())
    /// ```
    pub fn of(need: &Need, product: Product) -> Result<Self, TreatmentError> {
        let product = product.check()?;
        let water = WATER.check(as_litres(need.water))?;
        let figure = |concentration: Option<MassConcentration>| {
            CHLORINE.check(concentration.map_or(0.0, as_mg_per_litre)).map_err(TreatmentError::from)
        };
        let (demand, present) = (figure(need.demand)?, figure(need.present)?);
        let target = above_zero(&CHLORINE, as_mg_per_litre(need.target))?;
        let ntu = need.turbidity.map(|ntu| TURBIDITY.check(ntu)).transpose()?;
        if need.chloramine {
            return Err(TreatmentError::NotFree);
        }
        if let Some(ntu) = ntu.filter(|ntu| *ntu > 100.0 && need.purpose == Purpose::Residual) {
            return Err(TreatmentError::TooCloudy { ntu, most: 100.0 });
        }
        let added = (demand + target - present).max(0.0);
        let most = as_mg_per_litre(most_ordinary());
        if need.purpose == Purpose::Residual && added > most + 1e-9 {
            return Err(TreatmentError::ShockOnly { mg_l: added, most });
        }
        CHLORINE.check(added)?;
        let asked = if need.demand.is_some() { "measured" } else { "not measured: counted as none" };
        let found = if need.present.is_some() { "test" } else { "not tested: counted as none" };
        let mut working = Working::new(
            "chlorine to add",
            "added = demand + target − present; V = water·added/C; m = water·added/(1000·a)",
        )
        .input("litres present", "water", Figure::exact(water, Unit::Litre), "entries")
        .input("what the water eats in 30 minutes", "demand", mg(demand), asked)
        .input("free chlorine wanted", "target", mg(target), "policy or asked")
        .input("free chlorine present", "present", mg(present), found)
        .step("to add", "added", mg(added))
        .beyond(need.demand.is_none(), "the water's own demand: a starting point, dose a sample, wait 30 minutes, read")
        .beyond(need.present.is_none(), "a residual that is there already: test first")
        .beyond(need.dosed_untested, "an earlier dose that nobody tested: test before dosing again")
        .beyond(ntu.is_none(), "cloudiness: not measured")
        .beyond(ntu.is_some_and(|ntu| ntu > 5.0), "over 5 NTU: settle and filter first; no credit is shown")
        .source("mass balance")
        .source("over 10 mg/L only as shock: our own line; 100 NTU: Lantagne 2008, J AWWA 100(8):106");
        let mut dose = Self {
            added: mg_per_litre(added),
            liquid: None,
            drops: None,
            spoons: None,
            solid: None,
            cautions: Vec::new(),
            then: if need.purpose == Purpose::Shock { THEN_SHOCK } else { THEN },
            working: Working::new("", ""),
        };
        match product {
            Product::Liquid(strength) => {
                let volume = liquid_for(need.water, dose.added, strength)?;
                dose.liquid = Some(volume);
                dose.drops = drops(volume);
                dose.spoons = spoons(volume);
                dose.cautions.extend(Caution::LIQUID);
                working = working
                    .input(
                        "product, age counted in",
                        "C",
                        Figure::exact(as_grams_per_litre(strength), Unit::GramPerLitre),
                        "label and age",
                    )
                    .step("product", "V", Figure::exact(as_millilitres(volume), Unit::Millilitre));
            }
            Product::Solid(available) => {
                let mass = solid_for(need.water, dose.added, available)?;
                dose.solid = Some(mass);
                dose.cautions.extend(Caution::DRY);
                working = working
                    .input("available chlorine", "a", Figure::exact(available, Unit::Fraction), "label")
                    .step("product", "m", Figure::exact(as_grams(mass), Unit::Gram));
            }
            Product::Refused(unfit) => return Err(TreatmentError::Unfit(unfit)),
        }
        if need.purpose == Purpose::Shock {
            dose.cautions.extend(Caution::SHOCK.iter().filter(|caution| !Caution::DRY.contains(caution)));
        }
        dose.working = working;
        Ok(dose)
    }
}

fn mg(value: f64) -> Figure {
    Figure::exact(value, Unit::MilligramPerLitre)
}

/// Few enough to count: at most 100 of the small ones.
fn drops(volume: Volume) -> Option<Drops> {
    let volume = as_millilitres(volume);
    let drops = Drops { least: (volume / LARGE_DROP_ML).round(), most: (volume / SMALL_DROP_ML).round() };
    (drops.least >= 1.0 && drops.most <= 100.0).then_some(drops)
}

fn spoons(volume: Volume) -> Option<Spoon> {
    let eighth = 4.928_921_593_75 / 8.0;
    let eighths = (as_millilitres(volume) / eighth).round();
    // past two dozen teaspoons a measuring jug is nearer at hand
    (1.0..=192.0).contains(&eighths).then(|| Spoon { teaspoon_eighths: eighths, volume: millilitres(eighths * eighth) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::grams_per_litre;
    use crate::quantity::litres;

    fn need() -> Need {
        Need {
            water: litres(1000.0),
            demand: Some(mg_per_litre(1.0)),
            target: mg_per_litre(1.0),
            present: Some(mg_per_litre(0.0)),
            turbidity: Some(0.5),
            chloramine: false,
            dosed_untested: false,
            purpose: Purpose::Residual,
        }
    }

    const BLEACH: f64 = 60.0;

    fn bleach() -> Product {
        Product::Liquid(grams_per_litre(BLEACH))
    }

    #[test]
    fn a_dose_carries_its_cautions() {
        let dose = Dose::of(&need(), bleach()).unwrap();
        assert!(dose.cautions.contains(&Caution::NeverMix) && dose.cautions.contains(&Caution::Ventilate));
        let solid = Dose::of(&need(), Product::Solid(0.65)).unwrap();
        assert!(solid.cautions.contains(&Caution::DryOxidiser) && solid.liquid.is_none());
        let shock = Need { target: mg_per_litre(50.0), purpose: Purpose::Shock, ..need() };
        let shock = Dose::of(&shock, bleach()).unwrap();
        assert!(shock.cautions.contains(&Caution::StrongWater) && shock.cautions.contains(&Caution::NeverEnter));
        assert!(shock.then.contains("on hold"));
    }

    #[test]
    fn drops_state_their_spread() {
        // 8 drops are 0.4 mL at 20 to the mL, and 0.616 mL at "8 drops = 1/8 teaspoon": US EPA and kitchen practice
        let eight = drops(millilitres(8.0 * 4.928_921_593_75 / 64.0)).unwrap();
        assert!((eight.least - 8.0).abs() < 1e-9 && (eight.most - 12.0).abs() < 1e-9);
        assert_eq!(drops(millilitres(50.0)), None);
        // 40 drops = 1/2 teaspoon = 2.5 mL: CDC's chart for 5 US gallons
        let half = spoons(millilitres(2.5)).unwrap();
        assert!((half.teaspoon_eighths - 4.0).abs() < 1e-9);
    }

    #[test]
    fn refused_never_silently() {
        let strong = Need { demand: Some(mg_per_litre(10.5)), ..need() };
        assert!(matches!(Dose::of(&strong, bleach()), Err(TreatmentError::ShockOnly { .. })));
        let cloudy = Need { turbidity: Some(101.0), ..need() };
        assert!(matches!(Dose::of(&cloudy, bleach()), Err(TreatmentError::TooCloudy { .. })));
        let chloramine = Need { chloramine: true, ..need() };
        assert_eq!(Dose::of(&chloramine, bleach()), Err(TreatmentError::NotFree));
        for unfit in super::super::Unfit::ALL {
            assert_eq!(Dose::of(&need(), Product::Refused(unfit)), Err(TreatmentError::Unfit(unfit)));
        }
    }

    #[test]
    fn what_was_not_measured_is_named() {
        use crate::working::Trust;
        assert_eq!(Dose::of(&need(), bleach()).unwrap().working.trust, Trust::InRange);
        for guess in [
            Need { demand: None, ..need() },
            Need { present: None, ..need() },
            Need { turbidity: None, ..need() },
            Need { dosed_untested: true, ..need() },
            Need { turbidity: Some(20.0), ..need() },
        ] {
            let dose = Dose::of(&guess, bleach()).unwrap();
            assert_eq!(dose.working.trust, Trust::Extrapolated);
            assert!(!dose.working.left_out.is_empty());
        }
        // enough there already: nothing is added
        let enough = Need { present: Some(mg_per_litre(5.0)), ..need() };
        assert!(as_mg_per_litre(Dose::of(&enough, bleach()).unwrap().added).abs() < 1e-12);
    }
}
