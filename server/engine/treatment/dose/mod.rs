//! How much to add: in mL, drops, spoons and grams, with all that must stand beside it.

mod balance;
mod kitchen;

pub use balance::concentration_of_liquid;
pub use balance::concentration_of_solid;
pub use balance::liquid_for;
pub use balance::solid_for;
pub use kitchen::Drops;
pub(super) use kitchen::LARGE_DROP_ML;
pub(super) use kitchen::SMALL_DROP_ML;
pub use kitchen::Spoon;

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
use crate::quantity::mg_per_litre;
use crate::treatment::Caution;
use crate::treatment::Product;
use crate::treatment::TreatmentError;
use crate::treatment::above_zero;
use crate::treatment::measures::CHLORINE;
use crate::treatment::measures::WATER;
use crate::working::Figure;
use crate::working::Working;
use kitchen::drops;
use kitchen::spoons;

/// More than this is a shock dose and nothing else: 10 mg/L (our line).
#[must_use]
pub fn most_ordinary() -> MassConcentration {
    mg_per_litre(10.0)
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
                let volume = liquid_for(need.water, dose.added, strength)?.value;
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
                let mass = solid_for(need.water, dose.added, available)?.value;
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

const fn mg(value: f64) -> Figure {
    Figure::exact(value, Unit::MilligramPerLitre)
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
