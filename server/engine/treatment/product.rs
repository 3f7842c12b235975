//! Products that give chlorine: what the label means, what age has left of it, and which are refused.

use core::fmt;

use super::AGE;
use super::AVAILABLE;
use super::DENSITY;
use super::HALF_LIFE;
use super::LABEL;
use super::LEFT;
use super::PER_TEN;
use super::STORE_TEMPERATURE;
use super::STRENGTH;
use super::TreatmentError;
use crate::quantity::MassConcentration;
use crate::quantity::MassDensity;
use crate::quantity::ThermodynamicTemperature;
use crate::quantity::Time;
use crate::quantity::Unit;
use crate::quantity::as_celsius;
use crate::quantity::as_days;
use crate::quantity::as_grams_per_litre;
use crate::quantity::as_kg_per_cubic_metre;
use crate::quantity::days;
use crate::quantity::grams_per_litre;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

/// Chlorine that a gram of sodium hypochlorite stands for: the molar masses of Cl₂ and NaOCl.
const CL2_OF_NAOCL: f64 = 70.906 / 74.442;

/// Which per cent a label means. One label "12.5 %" can be 125, 138 or 150 g/L: ask.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PercentKind {
    /// available chlorine by weight
    ChlorineByWeight,
    /// sodium hypochlorite by weight, as on household bleach in the US
    HypochloriteByWeight,
    /// trade per cent: grams of available chlorine in 100 mL
    Trade,
    /// grams of available chlorine a litre; not a per cent at all
    GramsPerLitre,
}

impl PercentKind {
    /// Every kind, in the order a form offers them.
    pub const ALL: [Self; 4] = [Self::HypochloriteByWeight, Self::ChlorineByWeight, Self::Trade, Self::GramsPerLitre];

    /// The word in files and addresses.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::ChlorineByWeight => "Cl2_wt",
            Self::HypochloriteByWeight => "NaOCl_wt",
            Self::Trade => "trade",
            Self::GramsPerLitre => "g_L",
        }
    }

    /// The kind with this key.
    #[must_use]
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.key() == key)
    }

    /// In words (English key).
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::ChlorineByWeight => "% available chlorine by weight",
            Self::HypochloriteByWeight => "% sodium hypochlorite by weight",
            Self::Trade => "trade %, grams of available chlorine in 100 mL",
            Self::GramsPerLitre => "grams of available chlorine a litre",
        }
    }
}

/// Why a product is refused for water that people drink.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Unfit {
    /// sodium dichloroisocyanurate, a pool product with stabiliser
    Dichlor,
    /// trichloroisocyanuric acid, a pool product with stabiliser
    Trichlor,
    /// scented bleach
    Scented,
    /// thick bleach, gel
    Thickened,
    /// bleach with a cleaner, algaecide or clarifier in it
    WithAdditives,
    /// nobody knows which kind or how strong
    Unknown,
}

impl Unfit {
    /// Every reason.
    pub const ALL: [Self; 6] =
        [Self::Dichlor, Self::Trichlor, Self::Scented, Self::Thickened, Self::WithAdditives, Self::Unknown];

    /// What it is and what to use in its place (English key).
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Dichlor => {
                "dichlor is a pool product with stabiliser; allowed is plain unscented bleach, or calcium hypochlorite sold for drinking water"
            }
            Self::Trichlor => {
                "trichlor is a pool product with stabiliser; allowed is plain unscented bleach, or calcium hypochlorite sold for drinking water"
            }
            Self::Scented => "the bleach is scented; allowed is plain unscented bleach",
            Self::Thickened => "the bleach is thickened; allowed is plain unscented bleach",
            Self::WithAdditives => {
                "the product holds a cleaner, algaecide or clarifier; allowed is plain unscented bleach"
            }
            Self::Unknown => {
                "the product's kind or strength is not known; allowed is a product with its strength on the label"
            }
        }
    }
}

impl fmt::Display for Unfit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.words())
    }
}

/// What chlorine is dosed with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Product {
    /// plain bleach of this strength now, age counted in
    Liquid(MassConcentration),
    /// calcium hypochlorite of which this part is available chlorine (about 0.65, AWWA C652-11 4.2)
    Solid(f64),
    /// a product that is refused
    Refused(Unfit),
}

impl Product {
    /// Whether it may be dosed at all, its strength checked.
    ///
    /// # Errors
    /// [`TreatmentError::Unfit`] names why not; [`TreatmentError::OutOfRange`] for a strength that none has.
    pub fn check(self) -> Result<Self, TreatmentError> {
        match self {
            Self::Liquid(strength) => STRENGTH.check(as_grams_per_litre(strength)).map(|_| self).map_err(Into::into),
            Self::Solid(part) => AVAILABLE.check(part).map(|_| self).map_err(Into::into),
            Self::Refused(unfit) => Err(TreatmentError::Unfit(unfit)),
        }
    }
}

/// Available chlorine by weight of a bleach labelled by its sodium hypochlorite, both in per cent.
///
/// - **Formula** Cl₂ = NaOCl · 70.906 / 74.442, the ratio of the molar masses.
/// - **Arguments** `hypochlorite` 0.1 to 20 %.
///
/// # Errors
/// [`TreatmentError::OutOfRange`] outside that.
///
/// ```
/// // 8.25 % NaOCl is 7.86 % available chlorine
/// let percent = keepwell_engine::treatment::available_by_weight(8.25)?;
/// assert!((percent - 7.858).abs() < 0.001);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn available_by_weight(hypochlorite: f64) -> Result<f64, TreatmentError> {
    Ok(LABEL.check(hypochlorite)? * CL2_OF_NAOCL)
}

/// Density of sodium hypochlorite by its per cent of weight, kg/m³: pool-chemistry compilations; water at 0 %.
const DENSITIES: [(f64, f64); 4] = [(0.0, 998.2), (6.0, 1080.0), (8.25, 1105.0), (13.1, 1200.0)];

fn usual_density(hypochlorite: f64) -> f64 {
    let at = DENSITIES.iter().position(|point| point.0 >= hypochlorite).unwrap_or(DENSITIES.len() - 1).max(1);
    let ((x0, y0), (x1, y1)) = (DENSITIES[at - 1], DENSITIES[at]);
    y0 + (y1 - y0) * (hypochlorite - x0) / (x1 - x0)
}

/// Strength of a liquid product when it was new, from what its label says.
///
/// - **Formulas** by weight C = 10·ρ·%·(70.906/74.442 if NaOCl), trade C = 10·%, else C as it stands; C in g/L, ρ in
///   g/mL.
/// - **Arguments** `figure` per cent 0.1 to 20, or 0.01 to 300 g/L; `density` 0.9 to 1.5 g/mL, needed by weight alone:
///   without one a usual density is taken, and the answer marked.
/// - **Reference** molar masses; trade per cent: White, Handbook of Chlorination 1972; densities: pool-chemistry
///   compilations.
///
/// # Errors
/// [`TreatmentError::OutOfRange`] names what is not allowed.
///
/// ```
/// use keepwell_engine::quantity::as_grams_per_litre;
/// use keepwell_engine::treatment::{PercentKind, label_strength};
/// // 12.5 trade per cent is 125 g/L by its definition, whatever it weighs
/// let strength = label_strength(12.5, PercentKind::Trade, None)?.value;
/// assert!((as_grams_per_litre(strength) - 125.0).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn label_strength(
    figure: f64,
    kind: PercentKind,
    density: Option<MassDensity>,
) -> Result<Reckoned<MassConcentration>, TreatmentError> {
    let density = density.map(|density| DENSITY.check(as_kg_per_cubic_metre(density))).transpose()?;
    let by_weight = |share: f64| -> Result<(f64, f64), TreatmentError> {
        let percent = LABEL.check(figure)?;
        let density = density.unwrap_or_else(|| usual_density(percent * share / CL2_OF_NAOCL)) / 1000.0;
        Ok((10.0 * density * percent * share, density))
    };
    let mut working =
        Working::new("available chlorine when new", "C = 10·ρ·% by weight (× 70.906/74.442 of NaOCl); C = 10·% trade")
            .input(kind.name(), "%", Figure::exact(figure, Unit::Count), "label");
    let (value, weighed) = match kind {
        PercentKind::ChlorineByWeight => by_weight(1.0).map(|(value, density)| (value, Some(density)))?,
        PercentKind::HypochloriteByWeight => by_weight(CL2_OF_NAOCL).map(|(value, density)| (value, Some(density)))?,
        PercentKind::Trade => (10.0 * LABEL.check(figure)?, None),
        PercentKind::GramsPerLitre => (STRENGTH.check(figure)?, None),
    };
    if let Some(weighed) = weighed {
        let origin = if density.is_some() { "label" } else { "assumed" };
        working = working
            .input("density", "ρ", Figure::exact(1000.0 * weighed, Unit::KilogramPerCubicMetre), origin)
            .beyond(density.is_none(), "no density is on the label: a usual one for this strength was taken");
    }
    Ok(working
        .step("available chlorine", "C", Figure::exact(value, Unit::GramPerLitre))
        .source("molar masses of Cl₂ and NaOCl; trade per cent: White, Handbook of Chlorination 1972")
        .source("density of bleach by strength: pool-chemistry compilations")
        .gives(grams_per_litre(value)))
}

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
/// let factor = keepwell_engine::treatment::loss_factor(celsius(20.0), celsius(30.0), 3.5)?;
/// assert!((factor - 3.5).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn loss_factor(
    from: ThermodynamicTemperature,
    to: ThermodynamicTemperature,
    for_ten: f64,
) -> Result<f64, TreatmentError> {
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

/// The usual time in which plain bleach of this strength loses half, at 21 °C: 1,460 days at 60 g/L, shorter as the
/// 2.32th power of the strength.
///
/// - **Reference** 20 % lost in a first year by household bleach: common practice, no source; five times faster at
///   double strength: Powell Fabrication, log₂ 5 = 2.32. Of what is published of 12.5 trade per cent at 21 °C (9.3 after 3
///   months, 7.8 after 6) it keeps within 5 %, of that at 27 °C within 16 %, on the careful side.
///
/// # Errors
/// [`TreatmentError::OutOfRange`] outside 0.01 to 300 g/L.
pub fn usual_half_life(strength: MassConcentration) -> Result<Time, TreatmentError> {
    let strength = STRENGTH.check(as_grams_per_litre(strength))?;
    Ok(days((1460.0 * (60.0 / strength).powf(5.0_f64.log2())).min(HALF_LIFE.max)))
}

impl Ageing {
    /// The usual ageing of plain bleach of this strength, standing at a temperature.
    ///
    /// # Errors
    /// [`TreatmentError::OutOfRange`] for a strength that none has.
    pub fn usual(strength: MassConcentration, stands_at: ThermodynamicTemperature) -> Result<Self, TreatmentError> {
        let at = crate::quantity::celsius(21.0);
        Ok(Self { half_life: usual_half_life(strength)?, at, stands_at, for_ten: USUAL_FOR_TEN })
    }

    fn half_life_here(&self) -> Result<f64, TreatmentError> {
        Ok(HALF_LIFE.check(as_days(self.half_life))? / loss_factor(self.at, self.stands_at, self.for_ten)?)
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
            .beyond(age > 366.0, "over a year old: the authorities ask for fresher bleach")
            .source("Powell Fabrication, sodium hypochlorite technical page: second order, 3.5 times for 10 °C")
            .source("20 % in the first year for household bleach: common practice, no source")
            .gives(left))
    }

    /// The age at which so much is left: t = t½·(1/left − 1).
    ///
    /// # Errors
    /// [`TreatmentError::OutOfRange`] names what is not allowed.
    pub fn age_when(&self, left: f64) -> Result<Time, TreatmentError> {
        let left = LEFT.check(left)?;
        Ok(days(self.half_life_here()? * (1.0 / left - 1.0)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::celsius;

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
    fn one_label_means_three_strengths() {
        // chlorine makers' profiles: 12.5 % can be 125 (trade), 138 to 143 (NaOCl by weight) or 145 to 150 g/L (Cl₂ by weight)
        let strength = |kind, density| {
            let density = Some(crate::quantity::kg_per_cubic_metre(density));
            as_grams_per_litre(label_strength(12.5, kind, density).unwrap().value)
        };
        assert!((strength(PercentKind::Trade, 1160.0) - 125.0).abs() < 1e-9);
        assert!((138.0..143.5).contains(&strength(PercentKind::HypochloriteByWeight, 1180.0)));
        assert!((145.0..=150.5).contains(&strength(PercentKind::ChlorineByWeight, 1200.0)));
    }

    #[test]
    fn without_a_density_a_usual_one_is_taken_and_said() {
        // about 1.08 g/mL at 6 %, 1.10 to 1.11 at 8.25 % (pool-chemistry compilations)
        let six = label_strength(6.0, PercentKind::HypochloriteByWeight, None).unwrap();
        assert!((as_grams_per_litre(six.value) - 10.0 * 1.08 * 6.0 * 70.906 / 74.442).abs() < 0.1);
        assert_eq!(six.trust(), crate::working::Trust::Extrapolated);
    }

    #[test]
    fn refused_products_say_what_to_use() {
        for unfit in Unfit::ALL {
            let refused = Product::Refused(unfit).check().unwrap_err();
            assert!(refused.to_string().contains("allowed is"), "{refused}");
        }
        assert!(Product::Liquid(grams_per_litre(60.0)).check().is_ok() && Product::Solid(0.65).check().is_ok());
    }
}
