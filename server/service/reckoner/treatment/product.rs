//! The product, as its label and its shelf tell: asked the same way wherever one is dosed.

use keepwell_engine::quantity as q;
use keepwell_engine::quantity::WATER_TEMPERATURE;
use keepwell_engine::treatment::Bottle;
use keepwell_engine::treatment::PercentKind;
use keepwell_engine::treatment::Product;
use keepwell_engine::treatment::measures;
use keepwell_engine::working::Working;

use crate::model::product::Poured;
use crate::service::reckoner::Calculation;
use crate::service::reckoner::calculation::Given;
use crate::service::reckoner::refused::Refused;

/// The questions about a bottle of bleach.
pub(super) fn bottle(calculation: Calculation) -> Calculation {
    calculation
        .figure("percent", "Bleach: figure on the label", "Per cent, or grams a litre.", &measures::ON_LABEL, 6.0)
        .choice(
            "percent_kind",
            "Bleach: what that figure means",
            "One label of 12.5 % can mean three strengths.",
            PercentKind::HypochloriteByWeight,
        )
        .maybe("age_days", "Bleach: age", "Since it was made, not since it was opened.", &measures::AGE)
        .maybe("stands_at_c", "Bleach: how warm it stands", "", &WATER_TEMPERATURE)
}

/// The bottle, as given.
pub(super) fn of_bottle(given: &Given) -> Result<Bottle, Refused> {
    Ok(Bottle {
        figure: given.figure("percent")?,
        kind: given.choice("percent_kind")?,
        density: given.maybe("density_kg_m3").map(q::kg_per_cubic_metre),
        age: given.maybe("age_days").map(q::days),
        stands_at: given.maybe("stands_at_c").map(q::celsius),
    })
}

/// The questions about what is poured in.
pub(super) fn poured(calculation: Calculation) -> Calculation {
    let calculation = calculation.choice("product", "Product", "", Poured::Bleach);
    bottle(calculation).figure(
        "available",
        "Granules: available chlorine",
        "About 65 % as sold.",
        &measures::AVAILABLE,
        0.65,
    )
}

/// The product with its strength now, and how that was reckoned.
pub(super) fn of_poured(given: &Given) -> Result<(Product, Option<Working>), Refused> {
    Ok(match given.choice("product")? {
        Poured::Bleach => {
            let now = of_bottle(given)?.strength_now()?;
            (Product::Liquid(now.value), Some(now.working))
        }
        Poured::Granules => (Product::Solid(given.figure("available")?), None),
        Poured::Unfit(unfit) => (Product::Refused(unfit), None),
    })
}
