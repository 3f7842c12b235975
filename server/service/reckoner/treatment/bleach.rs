//! What a bottle of bleach has left.

use keepwell_engine::quantity as q;
use keepwell_engine::quantity::Unit;
use keepwell_engine::treatment::Ageing;
use keepwell_engine::treatment::PercentKind;
use keepwell_engine::treatment::label_strength;
use keepwell_engine::treatment::measures;

use crate::service::reckoner::Answer;
use crate::service::reckoner::Calculation;
use crate::service::reckoner::Table;
use crate::service::reckoner::Topic;
use crate::service::reckoner::Warning;
use crate::service::reckoner::calculation::Given;
use crate::service::reckoner::refused::Refused;

/// Ages of the table, days.
const AGES: [f64; 5] = [30.0, 91.0, 182.0, 365.0, 730.0];

pub(super) fn strength() -> Calculation {
    Calculation::new(
        Topic::Disinfection,
        "bleach-strength",
        "How strong the bleach still is",
        "What the label meant when the bleach was new, and what age and warmth have left of it.",
        reckon,
    )
    .figure("percent", "Figure on the label", "Per cent, or grams a litre.", &measures::ON_LABEL, 6.0)
    .choice(
        "percent_kind",
        "What that figure means",
        "One label of 12.5 % can mean three strengths.",
        PercentKind::HypochloriteByWeight,
    )
    .maybe("density_kg_m3", "Density", "Empty: usual for its strength.", &measures::DENSITY)
    .figure("age_days", "Age", "Since it was made, not since it was opened.", &measures::AGE, 180.0)
    .figure("stands_at_c", "How warm it stands", "", &measures::STORE_TEMPERATURE, 21.0)
}

fn reckon(given: &Given) -> Result<Answer, Refused> {
    let density = given.maybe("density_kg_m3").map(q::kg_per_cubic_metre);
    let new = label_strength(given.figure("percent")?, given.choice("percent_kind")?, density)?;
    let ageing = Ageing::usual(new.value, q::celsius(given.figure("stands_at_c")?))?;
    let left = ageing.left_after(q::days(given.figure("age_days")?))?;
    let strong = |part: f64| q::as_grams_per_litre(new.value) * part;
    let mut rows = Vec::new();
    for age in AGES {
        let left = ageing.left_after(q::days(age))?.value;
        rows.push((String::new(), vec![age, strong(left), left]));
    }
    Ok(Answer::new()
        .figure("strength_g_l", "available chlorine now", strong(left.value), Unit::GramPerLitre)
        .figure("left", "of what it had when new", left.value, Unit::Fraction)
        .figure("new_g_l", "available chlorine when new", strong(1.0), Unit::GramPerLitre)
        .figure("half_days", "half of it is gone at an age of", q::as_days(ageing.age_when(0.5)?.value), Unit::Day)
        .table(Table {
            of: "",
            columns: vec![("age", Unit::Day), ("available chlorine", Unit::GramPerLitre), ("left", Unit::Fraction)],
            rows,
        })
        .say_if(left.value < 0.5, "Less than half is left: a fresh bottle is surer.")
        .warn(Warning::BLEACH)
        .working(left.working)
        .working(new.working))
}
