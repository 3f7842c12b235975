//! The reckoner: an operation for each of the engine's calculations, its inputs as parameters of the address.

use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::Uri;
use axum::response::Response;
use keepwell_engine::working::Figure;
use keepwell_engine::working::Trust;
use keepwell_engine::working::Working;
use serde::Serialize;

use crate::model::choice::Choice;
use crate::model::choice::options;
use crate::model::entry::fields::Values;
use crate::service;
use crate::service::authorise::Deed;
use crate::service::reckoner::Answer;
use crate::service::reckoner::Calculation;
use crate::service::reckoner::Reckoned;
use crate::service::reckoner::Topic;
use crate::service::reckoner::calculations;
use crate::web::House;
use crate::web::api::answer;
use crate::web::api::client::Asked;
use crate::web::api::client::Client;
use crate::web::api::entry;
use crate::web::api::operation::Api;
use crate::web::api::operation::Operation;
use crate::web::api::shape::Member;
use crate::web::api::shape::Must;
use crate::web::api::shape::Object;
use crate::web::api::shape::What;
use crate::web::error::Error;
use crate::web::error::Fault;
use crate::web::reader::Reader;
use crate::web::shown;

const LINE: Object = Object {
    name: "Calculation",
    about: "one calculation of the engine",
    members: &[
        Member::needed("key", "", What::Text(80)),
        Member::needed("topic", "", What::Choice(options::<Topic>)),
        Member::needed("title", "", What::Text(200)),
        Member::needed("about", "what it answers", What::Text(400)),
        Member::needed("href", "where it is asked", What::Text(200)),
    ],
};

const LIST: Object = Object {
    name: "Calculations",
    about: "every calculation",
    members: &[Member::needed("calculations", "", What::List(&What::Object(&LINE), 1000))],
};

const FOUND: Object = Object {
    name: "FoundFigure",
    about: "a figure that was found",
    members: &[
        Member::needed("key", "", What::Text(80)),
        Member::needed("name", "in words", What::Text(200)),
        Member::needed("value", "", What::Number),
        Member::needed("unit", "its sign; empty for a bare number and for a part of one, 0 to 1", What::Text(20)),
    ],
};

const COLUMN: Object = Object {
    name: "TableColumn",
    about: "a column of a table",
    members: &[Member::needed("name", "", What::Text(200)), Member::needed("unit", "", What::Text(20))],
};

const ROW: Object = Object {
    name: "TableRow",
    about: "a row of a table",
    members: &[
        Member::needed("name", "in words; empty where rows have none", What::Text(200)),
        Member::needed("values", "one for each column", What::List(&What::Number, 100)),
    ],
};

const TABLE: Object = Object {
    name: "FoundTable",
    about: "figures in rows",
    members: &[
        Member::needed("columns", "", What::List(&What::Object(&COLUMN), 100)),
        Member::needed("rows", "", What::List(&What::Object(&ROW), 1000)),
    ],
};

const INPUT: Object = Object {
    name: "WorkingInput",
    about: "what was put into a formula",
    members: &[
        Member::needed("name", "", What::Text(200)),
        Member::needed("symbol", "in the formula", What::Text(40)),
        Member::needed("value", "", What::Number),
        Member::maybe("sd", "one standard deviation", What::Number),
        Member::needed("unit", "", What::Text(20)),
        Member::needed("origin", "where it is from", What::Text(200)),
    ],
};

const STEP: Object = Object {
    name: "WorkingStep",
    about: "a step of a working",
    members: &[
        Member::needed("words", "", What::Text(400)),
        Member::needed("formula", "", What::Text(400)),
        Member::needed("value", "", What::Number),
        Member::needed("unit", "", What::Text(20)),
    ],
};

const WORKING: Object = Object {
    name: "Working",
    about: "the formula, what went in, the steps and the source behind a figure",
    members: &[
        Member::needed("what", "", What::Text(400)),
        Member::needed("formula", "", What::Text(400)),
        Member::needed("inputs", "", What::List(&What::Object(&INPUT), 1000)),
        Member::needed("steps", "", What::List(&What::Object(&STEP), 1000)),
        Member::needed(
            "left_out",
            "what was not counted, and why it is extrapolated",
            What::List(&What::Text(400), 100),
        ),
        Member::needed("sources", "", What::List(&What::Text(400), 100)),
        Member::needed("extrapolated", "beyond where the formula was measured, or something is not known", What::Flag),
    ],
};

const ANSWER: Object = Object {
    name: "CalculationAnswer",
    about: "what a calculation answers, the figure that was asked for first",
    members: &[
        Member::needed("calculation", "its key", What::Text(80)),
        Member::needed("given", "what was reckoned with: what was given, and the usual for what was not", What::Record),
        Member::needed("figures", "", What::List(&What::Object(&FOUND), 100)),
        Member::needed("said", "in sentences", What::List(&What::Text(1000), 100)),
        Member::maybe("table", "where one figure is not enough", What::Object(&TABLE)),
        Member::needed("cautions", "what can hurt someone", What::List(&What::Text(1000), 100)),
        Member::needed("workings", "", What::List(&What::Object(&WORKING), 100)),
        Member::needed("extrapolated", "one of the workings is", What::Flag),
    ],
};

const MORE: &str = "Figures are in the metric unit that ends their name. Where a parameter is missing, the usual of the \
    form of that calculation holds; what need not be known has none. Nothing is kept.";

pub fn routes() -> Api {
    let list =
        Operation::get("/api/v1/reckoner", "listCalculations", "The calculations of the reckoner", What::Object(&LIST));
    calculations().iter().fold(Api::new().add(list, all), |api, calculation| {
        let operation =
            Operation::get(calculation.api(), name(calculation.key), calculation.title, What::Object(&ANSWER))
                .asking(&asks(calculation))
                .saying(MORE);
        api.add(
            operation,
            async move |State(house): State<House>,
                        client: Client,
                        uri: Uri,
                        headers: HeaderMap,
                        Asked(given): Asked<Values>| {
                reckon(&house, &client, &uri, &headers, calculation, given)
            },
        )
    })
}

/// "reckonPipeFriction".
fn name(key: &str) -> String {
    let words = key.split(['-', '_']).map(|word| {
        let (first, rest) = word.split_at(word.chars().next().map_or(0, char::len_utf8));
        first.to_uppercase() + rest
    });
    format!("reckon{}", words.collect::<String>())
}

fn asks(calculation: &Calculation) -> Vec<Member> {
    let member = |field| {
        let member = entry::member(field);
        Member { must: if calculation.usual(field.key).is_some() { Must::Usual } else { member.must }, ..member }
    };
    calculation.fields().iter().map(member).collect()
}

#[derive(Debug, Serialize)]
struct All {
    calculations: Vec<Line>,
}

#[derive(Debug, Serialize)]
struct Line {
    key: &'static str,
    topic: &'static str,
    title: &'static str,
    about: &'static str,
    href: &'static str,
}

async fn all(State(house): State<House>, client: Client, uri: Uri, headers: HeaderMap) -> Result<Response, Error> {
    answer::fresh(&house, &client, &uri, &headers, || {
        client.caller.may(Deed::SeeTotals, None)?;
        let line = |one: &'static Calculation| Line {
            key: one.key,
            topic: one.topic.key(),
            title: one.title,
            about: one.about,
            href: one.api(),
        };
        Ok(All { calculations: calculations().iter().map(line).collect() })
    })
}

fn reckon(
    house: &House,
    client: &Client,
    uri: &Uri,
    headers: &HeaderMap,
    calculation: &'static Calculation,
    given: Values,
) -> Result<Response, Error> {
    answer::fresh(house, client, uri, headers, || {
        let reckoned = house.app.reckoned(&client.caller, calculation, given).map_err(|refused| match refused {
            service::Error::Invalid(problems) => Error::Invalid(
                problems
                    .into_iter()
                    .map(|problem| Fault {
                        field: (!problem.field.is_empty()).then(|| format!("?{}", problem.field)),
                        detail: problem.message,
                    })
                    .collect(),
            ),
            other => other.into(),
        })?;
        Ok(Told::of(&client.reader, calculation.key, reckoned))
    })
}

#[derive(Debug, Serialize)]
struct Told {
    calculation: &'static str,
    given: Values,
    figures: Vec<FigureTold>,
    said: Vec<String>,
    table: Option<TableTold>,
    cautions: Vec<String>,
    workings: Vec<WorkingTold>,
    extrapolated: bool,
}

#[derive(Debug, Serialize)]
struct FigureTold {
    key: &'static str,
    name: String,
    value: f64,
    unit: &'static str,
}

#[derive(Debug, Serialize)]
struct TableTold {
    columns: Vec<ColumnTold>,
    rows: Vec<RowTold>,
}

#[derive(Debug, Serialize)]
struct ColumnTold {
    name: String,
    unit: &'static str,
}

#[derive(Debug, Serialize)]
struct RowTold {
    name: String,
    values: Vec<f64>,
}

#[derive(Debug, Serialize)]
struct WorkingTold {
    what: String,
    formula: &'static str,
    inputs: Vec<InputTold>,
    steps: Vec<StepTold>,
    left_out: Vec<String>,
    sources: Vec<String>,
    extrapolated: bool,
}

#[derive(Debug, Serialize)]
struct InputTold {
    name: String,
    symbol: &'static str,
    value: f64,
    sd: Option<f64>,
    unit: &'static str,
    origin: String,
}

#[derive(Debug, Serialize)]
struct StepTold {
    words: String,
    formula: &'static str,
    value: f64,
    unit: &'static str,
}

impl Told {
    fn of(reader: &Reader, calculation: &'static str, reckoned: Reckoned) -> Self {
        let extrapolated = reckoned.answer.is_extrapolated();
        let Reckoned { given, answer: Answer { figures, said, table, warnings, workings } } = reckoned;
        let word = |key: &str| shown::words(reader, key).to_string();
        let figures = figures.into_iter().map(|found| FigureTold {
            key: found.key,
            name: word(found.name),
            value: found.value,
            unit: found.unit.sign(),
        });
        let table = table.map(|table| TableTold {
            columns: table
                .columns
                .iter()
                .map(|(name, unit)| ColumnTold { name: word(name), unit: unit.sign() })
                .collect(),
            rows: table.rows.into_iter().map(|(name, values)| RowTold { name: word(&name), values }).collect(),
        });
        Self {
            calculation,
            given,
            figures: figures.collect(),
            said: said.iter().map(|message| reader.say(message).to_string()).collect(),
            table,
            cautions: warnings
                .iter()
                .map(|warning| format!("{} {}", word(warning.word), word(warning.words)))
                .collect(),
            workings: workings.iter().map(|working| worked(working, word)).collect(),
            extrapolated,
        }
    }
}

fn worked(working: &Working, word: impl Fn(&str) -> String) -> WorkingTold {
    let unit = |figure: &Figure| figure.unit.sign();
    let inputs = working.inputs.iter().map(|input| InputTold {
        name: word(input.name),
        symbol: input.symbol,
        value: input.figure.value,
        sd: input.figure.sd,
        unit: unit(&input.figure),
        origin: word(input.origin),
    });
    let steps = working.steps.iter().map(|step| StepTold {
        words: word(step.words),
        formula: step.formula,
        value: step.figure.value,
        unit: unit(&step.figure),
    });
    WorkingTold {
        what: word(working.what),
        formula: working.formula,
        inputs: inputs.collect(),
        steps: steps.collect(),
        left_out: working.left_out.iter().map(|words| word(words)).collect(),
        sources: working.sources.iter().map(|source| word(source)).collect(),
        extrapolated: working.trust == Trust::Extrapolated,
    }
}
