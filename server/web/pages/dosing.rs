//! How much disinfectant to add: what is asked, with whatever is known filled in, and the answer as a page shows it.
//! Every page that reckons a dose asks and answers with these.

use keepwell_engine::quantity::FREE_CHLORINE;
use keepwell_engine::quantity::MassConcentration;
use keepwell_engine::quantity::TURBIDITY;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::VOLUME;
use keepwell_engine::quantity::as_grams;
use keepwell_engine::quantity::as_mg_per_litre;
use keepwell_engine::quantity::as_millilitres;
use keepwell_engine::quantity::days;
use keepwell_engine::quantity::litres;
use keepwell_engine::quantity::mg_per_litre;
use keepwell_engine::treatment::Bottle;
use keepwell_engine::treatment::Dose;
use keepwell_engine::treatment::Need;
use keepwell_engine::treatment::PercentKind;
use keepwell_engine::treatment::Product;
use keepwell_engine::treatment::Purpose;
use keepwell_engine::treatment::TreatmentError;
use keepwell_engine::treatment::measures::AGE;
use keepwell_engine::treatment::measures::ON_LABEL;
use keepwell_engine::working::Working;

use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::product::Poured;
use crate::web::asking::Asking;
use crate::web::asking::ask;
use crate::web::form::WorkingView;
use crate::web::reader::Reader;
use crate::web::shown;
use crate::web::shown::working::view;

/// What is known before anything is asked.
#[derive(Clone, Copy, Debug, Default)]
pub struct Known {
    pub litres: Option<f64>,
    /// free chlorine, of the last test of this water
    pub present: Option<f64>,
    pub turbidity: Option<f64>,
    /// what it is meant to keep
    pub target: Option<f64>,
    pub chloramine: bool,
    pub dosed_untested: bool,
}

/// Free chlorine that is aimed at where no policy says it, mg/L: within the 0.2 to 4 that drinking water is kept at.
const USUAL_TARGET: f64 = 0.5;
/// Household bleach in the US, per cent sodium hypochlorite by weight.
const USUAL_LABEL: f64 = 6.0;

/// Asks everything; the answer once all of it holds. What the engine refuses is a fault of the field that it is about.
pub fn questions(asking: &mut Asking<'_>, known: &Known) -> Option<Answer> {
    asking.group("", "The water");
    let water = asking.figure(ask("litres", "Water in it now"), &VOLUME, known.litres.map(rounded));
    let present =
        ask("present", "Free chlorine in it now").hint("Left empty, none is counted: test it first.").optional();
    let present = asking.beside().figure(present, &FREE_CHLORINE, known.present);
    let target = ask("target", "Free chlorine wanted afterwards").hint("0.2 to 4 mg/L in drinking water.");
    let target = asking.figure(target, &FREE_CHLORINE, Some(known.target.unwrap_or(USUAL_TARGET)));
    let demand = ask("demand", "What the water itself eats in 30 minutes")
        .hint("Dose a bucket of it, wait, test. Left empty, none is counted.")
        .optional();
    let demand = asking.beside().figure(demand, &FREE_CHLORINE, None);
    let turbidity = ask("turbidity", "Cloudiness").hint("NTU, if it was measured.").optional();
    let turbidity = asking.figure(turbidity, &TURBIDITY, known.turbidity);
    let mut confirmed = true;
    if known.chloramine {
        let sure = ask("free_confirmed", "A test confirmed free chlorine, not total")
            .hint("Its supply is chloraminated: bleach on chloramine makes no lasting free chlorine.");
        confirmed = asking.check(sure, false);
    }
    asking.group("", "The product");
    let kind = asking.choice(ask("product", "What it is"), Some(Poured::Bleach));
    let figure =
        ask("label", "Figure on the label").hint("Per cent, or grams a litre. Calcium hypochlorite is about 65 %.");
    let figure = asking.figure(figure, &ON_LABEL, Some(USUAL_LABEL));
    let means =
        ask("means", "What that figure means").hint("One label “12.5 %” can be three strengths. For bleach alone.");
    let means = asking.choice(means.optional(), Some(PercentKind::HypochloriteByWeight));
    let age = ask("age", "Age of the bleach").hint("Days since it was made. Left empty, it counts as new.").optional();
    let age = asking.figure(age, &AGE, None);
    if !asking.holds() {
        return None;
    }
    let need = Need {
        water: litres(water?),
        demand: demand.map(mg_per_litre),
        target: mg_per_litre(target?),
        present: present.map(mg_per_litre),
        turbidity,
        chloramine: known.chloramine && !confirmed,
        dosed_untested: known.dosed_untested,
        purpose: Purpose::Residual,
    };
    let means = means.unwrap_or(PercentKind::HypochloriteByWeight);
    let reckoned = product(kind?, figure?, means, age)
        .and_then(|(product, bottle)| Dose::of(&need, product).map(|dose| (dose, bottle)));
    match reckoned {
        Ok((dose, bottle)) => Some(Answer::of(asking.reader, &dose, bottle.as_ref())),
        Err(error) => {
            let (field, words) = refused(error);
            asking.fault(field, words);
            None
        }
    }
}

/// The product with its strength now, and how that was reckoned.
fn product(
    kind: Poured,
    figure: f64,
    means: PercentKind,
    age: Option<f64>,
) -> Result<(Product, Option<Working>), TreatmentError> {
    match kind {
        Poured::Unfit(unfit) => Ok((Product::Refused(unfit), None)),
        Poured::Granules => Ok((Product::Solid(figure / 100.0), None)),
        Poured::Bleach => {
            let bottle = Bottle { figure, kind: means, density: None, age: age.map(days), stands_at: None };
            let now = bottle.strength_now()?;
            Ok((Product::Liquid(now.value), Some(now.working)))
        }
    }
}

/// Which field a refusal is about, and its words.
fn refused(error: TreatmentError) -> (&'static str, Message) {
    match error {
        TreatmentError::Unfit(unfit) => ("product", Message::new(unfit.words())),
        TreatmentError::NotFree => (
            "free_confirmed",
            Message::new("The water is chloraminated. Bleach it only where a test confirmed free chlorine."),
        ),
        TreatmentError::TooCloudy { ntu, most } => (
            "turbidity",
            Message::new("Turbidity is {ntu}; at most {most} is allowed. Let it settle and filter it first.")
                .with("ntu", Arg::Exact(ntu, Unit::Ntu))
                .with("most", Arg::Exact(most, Unit::Ntu)),
        ),
        TreatmentError::ShockOnly { mg_l, most } => (
            "target",
            Message::new("That would be {dose} at once; at most {most} is an ordinary dose. More is a shock dose, after which nobody drinks the water.")
                .with("dose", Arg::Figure(mg_l, Unit::MilligramPerLitre))
                .with("most", Arg::Exact(most, Unit::MilligramPerLitre)),
        ),
        TreatmentError::Zero { .. } => ("target", Message::new("Free chlorine wanted is above 0.")),
        TreatmentError::OutOfRange(out) => {
            let field = if out.measure.unit == Unit::Litre { "litres" } else { "label" };
            let words = Message::new("{Field} is {value}; {least} to {most} is allowed.")
                .with("field", Arg::Word(out.measure.name))
                .with("value", Arg::Exact(out.value, out.measure.unit))
                .with("least", Arg::Exact(out.measure.min, out.measure.unit))
                .with("most", Arg::Exact(out.measure.max, out.measure.unit));
            (field, words)
        }
        other => ("product", Message::new("{why}").with("why", Arg::text(other.to_string()))),
    }
}

/// What to add, in words and measures, with what must stand beside it. For `partials/dose.html`.
#[derive(Clone, Debug)]
pub struct Answer {
    /// the figure itself, with its unit
    pub amount: String,
    /// nothing is to be added: there is enough
    pub enough: bool,
    pub added: Message,
    /// the same in drops and spoons
    pub measures: Vec<Message>,
    pub then: &'static str,
    pub cautions: Vec<&'static str>,
    /// under their headings
    pub workings: Vec<(&'static str, WorkingView)>,
}

impl Answer {
    fn of(reader: &Reader, dose: &Dose, bottle: Option<&Working>) -> Self {
        let mut measures = Vec::new();
        if let Some(drops) = dose.drops {
            let count = |drops| Arg::Figure(drops, Unit::Count);
            measures.push(
                Message::new("{least} to {most} drops, as the dropper is large or small")
                    .with("least", count(drops.least))
                    .with("most", count(drops.most)),
            );
        }
        if let Some(spoon) = dose.spoons {
            measures.push(
                Message::new("{spoons} teaspoons of 5 mL, to the nearest eighth, {volume}")
                    .with("spoons", Arg::text(eighths(spoon.teaspoon_eighths)))
                    .with("volume", Arg::Figure(as_millilitres(spoon.volume), Unit::Millilitre)),
            );
        }
        let amount = dose.liquid.map_or_else(
            || dose.solid.map_or_else(String::new, |mass| shown::figure(reader, as_grams(mass), Unit::Gram)),
            |volume| shown::figure(reader, as_millilitres(volume), Unit::Millilitre),
        );
        let mut workings = vec![("The dose", view(reader, &dose.working))];
        workings.extend(bottle.map(|working| ("The strength of the bleach now", view(reader, working))));
        Self {
            amount,
            enough: dose.added <= MassConcentration::default(),
            added: Message::new("It adds {dose} of chlorine to the water.")
                .with("dose", Arg::Figure(as_mg_per_litre(dose.added), Unit::MilligramPerLitre)),
            measures,
            then: dose.then,
            cautions: dose.cautions.iter().map(|caution| caution.words()).collect(),
            workings,
        }
    }
}

/// A whole number and its eighths, as spoons are marked.
fn eighths(count: f64) -> String {
    const PARTS: [&str; 8] = ["", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞"];
    let whole = (count / 8.0).floor();
    let part = PARTS.iter().zip(0_u8..).find(|(_, of)| (count - 8.0 * whole - f64::from(*of)).abs() < 0.5);
    let part = part.map_or("", |(words, _)| words);
    if whole < 1.0 && !part.is_empty() { part.to_owned() } else { format!("{whole}{part}") }
}

/// Litres are not known to the drop.
fn rounded(litres: f64) -> f64 {
    if litres < 100.0 { (litres * 10.0).round() / 10.0 } else { litres.round() }
}

#[cfg(test)]
mod tests {
    use super::eighths;

    #[test]
    fn spoons_are_said_in_eighths() {
        for (count, words) in [(1.0, "⅛"), (4.0, "½"), (8.0, "1"), (65.0, "8⅛"), (24.0, "3"), (0.0, "0")] {
            assert_eq!(eighths(count), words);
        }
    }
}
