//! A working in the reader's words and figures, exactly as the engine gave it.

use keepwell_engine::level::BAND;
use keepwell_engine::working::Figure;
use keepwell_engine::working::Trust;
use keepwell_engine::working::Working;

use crate::web::form::InputView;
use crate::web::form::StepView;
use crate::web::form::WorkingView;
use crate::web::reader::Reader;
use crate::web::shown;

/// For `partials/working.html`.
#[must_use]
pub fn view(reader: &Reader, working: &Working) -> WorkingView {
    let word = |key: &str| shown::words(reader, key).to_string();
    let inputs = working.inputs.iter().map(|input| InputView {
        symbol: input.symbol.to_owned(),
        name: word(input.name),
        figure: figure(reader, &input.figure),
        // half of the 8-in-10 band, as everywhere
        give_or_take: input.figure.sd.map_or_else(
            || "–".to_owned(),
            |sd| figure(reader, &Figure { value: sd * BAND, sd: None, unit: input.figure.unit }),
        ),
        origin: word(input.origin),
    });
    let steps = working.steps.iter().map(|step| StepView {
        words: word(step.words),
        formula: step.formula.to_owned(),
        figure: figure(reader, &step.figure),
    });
    WorkingView {
        formula: working.formula.to_owned(),
        inputs: inputs.collect(),
        steps: steps.collect(),
        left_out: working.left_out.iter().map(|words| word(words)).collect(),
        sources: working.sources.iter().map(|source| word(source)).collect(),
        extrapolated: working.trust == Trust::Extrapolated,
        counts_litres: true,
    }
}

fn figure(reader: &Reader, figure: &Figure) -> String {
    shown::figure(reader, figure.value, figure.unit)
}
