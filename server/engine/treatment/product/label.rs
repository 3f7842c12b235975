//! What the per cent on a label means.

use crate::quantity::MassConcentration;
use crate::quantity::MassDensity;
use crate::quantity::Unit;
use crate::quantity::as_kg_per_cubic_metre;
use crate::quantity::grams_per_litre;
use crate::treatment::TreatmentError;
use crate::treatment::measures::DENSITY;
use crate::treatment::measures::LABEL;
use crate::treatment::measures::STRENGTH;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

/// Chlorine that a gram of sodium hypochlorite stands for: the molar masses of Cl₂ and NaOCl.
const CL2_OF_NAOCL: f64 = 70.906 / 74.442;
const MASSES: &str = "molar masses of Cl₂ (70.906) and NaOCl (74.442)";

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
/// let percent = keepwell_engine::treatment::available_by_weight(8.25)?.value;
/// assert!((percent - 7.858).abs() < 0.001);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn available_by_weight(hypochlorite: f64) -> Result<Reckoned<f64>, TreatmentError> {
    let hypochlorite = LABEL.check(hypochlorite)?;
    let chlorine = hypochlorite * CL2_OF_NAOCL;
    Ok(Working::new("available chlorine by weight, per cent", "Cl₂ = NaOCl · 70.906/74.442")
        .input("% sodium hypochlorite by weight", "NaOCl", Figure::exact(hypochlorite, Unit::Count), "label")
        .step("% available chlorine by weight", "Cl₂", Figure::exact(chlorine, Unit::Count))
        .source(MASSES)
        .gives(chlorine))
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
        .source(MASSES)
        .source("trade per cent: White, Handbook of Chlorination 1972")
        .source("density of bleach by strength: pool-chemistry compilations")
        .gives(grams_per_litre(value)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::as_grams_per_litre;

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
}
