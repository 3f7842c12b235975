//! What age has left of bleach.

use super::PercentKind;
use super::label_strength;
use crate::quantity::MassConcentration;
use crate::quantity::MassDensity;
use crate::quantity::ThermodynamicTemperature;
use crate::quantity::Time;
use crate::quantity::Unit;
use crate::quantity::as_celsius;
use crate::quantity::as_days;
use crate::quantity::as_grams_per_litre;
use crate::quantity::celsius;
use crate::quantity::days;
use crate::quantity::grams_per_litre;
use crate::treatment::TreatmentError;
use crate::treatment::measures::AGE;
use crate::treatment::measures::HALF_LIFE;
use crate::treatment::measures::LEFT;
use crate::treatment::measures::PER_TEN;
use crate::treatment::measures::STORE_TEMPERATURE;
use crate::treatment::measures::STRENGTH;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Trust;
use crate::working::Working;

/// How much faster bleach loses strength at `to` than at `from`: f^((T₂ − T₁)/10).
///
/// - **Arguments** temperatures -20 to 60 °C; `for_ten` the factor for 10 °C, 1 to 10.
/// - **Reference** Powell Fabrication, sodium hypochlorite technical page: about 3.5 for 10 °C.
///
/// # Errors
/// [`TreatmentError::OutOfRange`] names what is not allowed.
///
/// ```
/// use keepwell_engine::quantity::celsius;
/// let factor = keepwell_engine::treatment::loss_factor(celsius(20.0), celsius(30.0), 3.5)?.value;
/// assert!((factor - 3.5).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn loss_factor(
    from: ThermodynamicTemperature,
    to: ThermodynamicTemperature,
    for_ten: f64,
) -> Result<Reckoned<f64>, TreatmentError> {
    let factor = faster(from, to, for_ten)?;
    Ok(Working::new("how much faster bleach loses strength when warmer", "f^((T₂ − T₁)/10)")
        .input("from", "T₁", Figure::exact(as_celsius(from), Unit::Celsius), "asked")
        .input("to", "T₂", Figure::exact(as_celsius(to), Unit::Celsius), "asked")
        .input("factor for 10 °C", "f", Figure::exact(for_ten, Unit::Count), "assumed")
        .step("times as fast", "", Figure::exact(factor, Unit::Count))
        .source(POWELL)
        .gives(factor))
}

fn faster(from: ThermodynamicTemperature, to: ThermodynamicTemperature, for_ten: f64) -> Result<f64, TreatmentError> {
    let from = STORE_TEMPERATURE.check(as_celsius(from))?;
    let to = STORE_TEMPERATURE.check(as_celsius(to))?;
    Ok(PER_TEN.check(for_ten)?.powf((to - from) / 10.0))
}

/// How a liquid product loses strength in store.
///
/// - **Formulas** second order: C/C₀ = 1/(1 + t/t½), t½ at the temperature where it stands:
///   t½(T₂) = t½(T₁) / f^((T₂ − T₁)/10).
/// - **Range** age up to 100 years, half-life 0.01 to 1,000,000 days, -20 to 60 °C. Over a year old it is marked: the
///   authorities' charts are for bleach under one year.
/// - **Reference** Powell Fabrication, sodium hypochlorite technical page: loss is second order in hypochlorite.
///
/// Half a half-life leaves two thirds (first order would read 0.707):
/// ```
/// use keepwell_engine::quantity::{celsius, days};
/// use keepwell_engine::treatment::Ageing;
/// let ageing = Ageing { half_life: days(180.0), at: celsius(20.0), stands_at: celsius(20.0), for_ten: 3.5 };
/// assert!((ageing.left_after(days(90.0))?.value - 0.6667).abs() < 1e-4);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ageing {
    /// the time in which it loses half, at its strength when new and at [`Ageing::at`]
    pub half_life: Time,
    /// the temperature that half-life is for
    pub at: ThermodynamicTemperature,
    /// the temperature where it stands
    pub stands_at: ThermodynamicTemperature,
    /// how much faster for 10 °C
    pub for_ten: f64,
}

/// A factor of loss for 10 °C: Powell Fabrication.
const USUAL_FOR_TEN: f64 = 3.5;

const POWELL: &str = "Powell Fabrication, sodium hypochlorite technical page: second order, 3.5 times for 10 °C, 5 times at double strength";
const FIRST_YEAR: &str = "20 % in the first year for household bleach: common practice, no source";
/// Days of a year, a leap year's at most.
const YEAR: f64 = 366.0;
const OLD: &str = "over a year old: the authorities ask for fresher bleach";

/// The usual time in which plain bleach of this strength loses half, at 21 °C: 1,460 days at 60 g/L, shorter as the
/// 2.32th power of the strength.
///
/// - **Reference** 20 % lost in a first year by household bleach: common practice, no source; five times faster at
///   double strength: Powell Fabrication, log₂ 5 = 2.32. Of what is published of 12.5 trade per cent at 21 °C (9.3 after 3
///   months, 7.8 after 6) it keeps within 5 %, of that at 27 °C within 16 %, on the careful side.
///
/// # Errors
/// [`TreatmentError::OutOfRange`] outside 0.01 to 300 g/L.
pub fn usual_half_life(strength: MassConcentration) -> Result<Reckoned<Time>, TreatmentError> {
    let strength = STRENGTH.check(as_grams_per_litre(strength))?;
    let half_life = (1460.0 * (60.0 / strength).powf(5.0_f64.log2())).min(HALF_LIFE.max);
    Ok(Working::new("usual time in which bleach loses half, at 21 °C", "t½ = 1,460 d · (60/C)^2.32")
        .input("available chlorine when new", "C", Figure::exact(strength, Unit::GramPerLitre), "label")
        .step("half-life", "t½", Figure::exact(half_life, Unit::Day))
        .beyond(
            !(20.0..=200.0).contains(&strength),
            "five times faster at double strength is published for 100 to 200 g/L",
        )
        .source(POWELL)
        .source(FIRST_YEAR)
        .gives(days(half_life)))
}

impl Ageing {
    /// The usual ageing of plain bleach of this strength, standing at a temperature.
    ///
    /// # Errors
    /// [`TreatmentError::OutOfRange`] for a strength that none has.
    pub fn usual(strength: MassConcentration, stands_at: ThermodynamicTemperature) -> Result<Self, TreatmentError> {
        let at = celsius(21.0);
        Ok(Self { half_life: usual_half_life(strength)?.value, at, stands_at, for_ten: USUAL_FOR_TEN })
    }

    fn half_life_here(&self) -> Result<f64, TreatmentError> {
        Ok(HALF_LIFE.check(as_days(self.half_life))? / faster(self.at, self.stands_at, self.for_ten)?)
    }

    /// The part that is left at an age.
    ///
    /// # Errors
    /// [`TreatmentError::OutOfRange`] names what is not allowed.
    pub fn left_after(&self, age: Time) -> Result<Reckoned<f64>, TreatmentError> {
        let age = AGE.check(as_days(age))?;
        let half_life = self.half_life_here()?;
        let left = 1.0 / (1.0 + age / half_life);
        Ok(Working::new("what age has left of the bleach", "C/C₀ = 1/(1 + t/t½), t½ = t½₁ / f^((T − T₁)/10)")
            .input("age", "t", Figure::exact(age, Unit::Day), "label")
            .input("half-life", "t½₁", Figure::exact(as_days(self.half_life), Unit::Day), "assumed")
            .input("at", "T₁", Figure::exact(as_celsius(self.at), Unit::Celsius), "assumed")
            .input("stands at", "T", Figure::exact(as_celsius(self.stands_at), Unit::Celsius), "set-up")
            .input("factor for 10 °C", "f", Figure::exact(self.for_ten, Unit::Count), "assumed")
            .step("half-life where it stands", "t½", Figure::exact(half_life, Unit::Day))
            .step("left", "C/C₀", Figure::exact(left, Unit::Fraction))
            .beyond(age > YEAR, OLD)
            .source(POWELL)
            .source(FIRST_YEAR)
            .gives(left))
    }

    /// The age at which so much is left: t = t½·(1/left − 1).
    ///
    /// - **Arguments** `left` 0.000001 to 1.
    /// - **Reference** [`Ageing`], solved for the time.
    ///
    /// # Errors
    /// [`TreatmentError::OutOfRange`] names what is not allowed.
    pub fn age_when(&self, left: f64) -> Result<Reckoned<Time>, TreatmentError> {
        let left = LEFT.check(left)?;
        let half_life = self.half_life_here()?;
        let age = half_life * (1.0 / left - 1.0);
        Ok(Working::new(
            "the age at which so much of the bleach is left",
            "t = t½·(1/left − 1), t½ = t½₁ / f^((T − T₁)/10)",
        )
        .input("left", "left", Figure::exact(left, Unit::Fraction), "asked")
        .input("half-life", "t½₁", Figure::exact(as_days(self.half_life), Unit::Day), "assumed")
        .step("half-life where it stands", "t½", Figure::exact(half_life, Unit::Day))
        .step("age", "t", Figure::exact(age, Unit::Day))
        .beyond(age > YEAR, OLD)
        .source(POWELL)
        .gives(days(age)))
    }
}

/// A bottle of plain bleach, as its label and its shelf tell.
///
/// ```
/// use keepwell_engine::quantity::*;
/// use keepwell_engine::treatment::{Bottle, PercentKind};
/// // 12.5 trade per cent, three months at 27 °C: 7.5 trade per cent are published, and this reckons a little under
/// let bottle = Bottle {
///     figure: 12.5, kind: PercentKind::Trade, density: None, age: Some(days(91.3)), stands_at: Some(celsius(27.0)),
/// };
/// let now = as_grams_per_litre(bottle.strength_now()?.value);
/// assert!((63.0..=76.5).contains(&now));
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bottle {
    /// the figure on the label
    pub figure: f64,
    /// what it means: ask
    pub kind: PercentKind,
    /// density, where the label has one
    pub density: Option<MassDensity>,
    /// since it was made; nothing where nobody knows
    pub age: Option<Time>,
    /// the temperature where it stands; nothing where nobody knows
    pub stands_at: Option<ThermodynamicTemperature>,
}

impl Bottle {
    /// Its strength now: what the label says, less what age has taken.
    ///
    /// - **Formula** C = C_label · left, [`label_strength`] and [`Ageing::usual`].
    /// - **Range** an unknown age counts as new and an unknown place as 21 °C: both are marked, and a test of the dosed
    ///   water tells.
    ///
    /// # Errors
    /// [`TreatmentError::OutOfRange`] names what is not allowed.
    pub fn strength_now(&self) -> Result<Reckoned<MassConcentration>, TreatmentError> {
        let label = label_strength(self.figure, self.kind, self.density)?;
        let stands_at = self.stands_at.unwrap_or_else(|| celsius(21.0));
        let left = Ageing::usual(label.value, stands_at)?.left_after(self.age.unwrap_or_else(|| days(0.0)))?;
        let now = as_grams_per_litre(label.value) * left.value;
        let mut working = Working::new("available chlorine of the bottle now", "C = C_label · C/C₀");
        for part in [label.working, left.working] {
            working.inputs.extend(part.inputs);
            working.steps.extend(part.steps);
            working.left_out.extend(part.left_out);
            working.sources.extend(part.sources);
            if part.trust == Trust::Extrapolated {
                working.trust = Trust::Extrapolated;
            }
        }
        Ok(working
            .step("available chlorine now", "C", Figure::exact(now, Unit::GramPerLitre))
            .beyond(self.age.is_none(), "its age: not known, counted as new")
            .beyond(self.stands_at.is_none(), "where it stands: not known, counted as 21 °C")
            .gives(grams_per_litre(now)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_usual_ageing_meets_what_is_published_of_trade_bleach() {
        // pool-chemistry compilation from published rate constants: 12.5 trade % at 27 °C: 9.9 after 1 month, 7.5 after
        // 3, 6.0 after 6; at 21 °C: 9.3 after 3, 7.8 after 6
        let new = grams_per_litre(125.0);
        for (at, months, published) in
            [(27.0, 1.0, 9.9), (27.0, 3.0, 7.5), (27.0, 6.0, 6.0), (21.0, 3.0, 9.3), (21.0, 6.0, 7.8)]
        {
            let left = Ageing::usual(new, celsius(at)).unwrap().left_after(days(months * 30.44)).unwrap().value;
            let trade = 12.5 * left;
            // never more than 2 % too hopeful; at 27 °C after half a year 15 % too careful
            assert!((0.84..1.02).contains(&(trade / published)), "{at} °C, {months} months: {trade}, not {published}");
        }
    }

    #[test]
    fn what_is_not_known_of_a_bottle_is_said() {
        // household bleach is said to keep a year at about 21 °C: a maker's statement; 20 % less is common practice
        let bottle = Bottle {
            figure: 6.0,
            kind: PercentKind::Trade,
            density: None,
            age: Some(days(365.0)),
            stands_at: Some(celsius(21.0)),
        };
        let now = bottle.strength_now().unwrap();
        assert!((as_grams_per_litre(now.value) - 0.8 * 60.0).abs() < 0.1);
        assert_eq!(now.trust(), Trust::InRange);
        for unsure in [
            Bottle { age: None, ..bottle },
            Bottle { stands_at: None, ..bottle },
            Bottle { age: Some(days(400.0)), ..bottle },
            Bottle { kind: PercentKind::HypochloriteByWeight, ..bottle },
        ] {
            let now = unsure.strength_now().unwrap();
            assert_eq!(now.trust(), Trust::Extrapolated);
            assert!(!now.working.left_out.is_empty());
        }
    }
}
