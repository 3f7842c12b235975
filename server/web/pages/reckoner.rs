//! The reckoner: a page for each of the engine's calculations. The form is the address, so that what was asked can be sent
//! to someone else; nothing of the neighbourhood is in it, and nothing is kept.
//!
//! A bare number in the address is in the metric unit of its name, as in the API, unless `units=us` stands beside it: that
//! is what the form sends for who reads in US units, and any reader is shown it in their own.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::IntoResponse;
use axum::response::Response;
use keepwell_engine::quantity::Unit;
use serde_json::Value;

use crate::model::choice::Choice;
use crate::model::entry::fields::Field;
use crate::model::entry::fields::Values;
use crate::model::entry::fields::What;
use crate::service;
use crate::service::authorise::Deed;
use crate::service::reckoner::Answer;
use crate::service::reckoner::Calculation;
use crate::service::reckoner::Reckoned;
use crate::service::reckoner::Table;
use crate::service::reckoner::Topic;
use crate::service::reckoner::Warning;
use crate::service::reckoner::calculation;
use crate::service::reckoner::calculations;
use crate::web::House;
use crate::web::asking::Asking;
use crate::web::asking::Sheet;
use crate::web::asking::ask;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::error::Fault;
use crate::web::extract::Pairs;
use crate::web::extract::Path;
use crate::web::extract::Question;
use crate::web::figures::Shown;
use crate::web::filters;
use crate::web::form;
use crate::web::form::WorkingView;
use crate::web::input::format_measure;
use crate::web::reader::Reader;
use crate::web::reader::Units;
use crate::web::routes::Routes;
use crate::web::shown;
use crate::web::visitor::Visitor;
use crate::web::words::Phrase;

pub(super) fn routes() -> Routes {
    Routes::new().get("/reckoner", index).get("/reckoner/{key}", show)
}

#[derive(Template)]
#[template(path = "reckoner/index.html")]
struct Index {
    chrome: Chrome,
    topics: Vec<TopicView>,
}

struct TopicView {
    label: &'static str,
    /// what several of them answer, said once for all of those
    about: Option<&'static str>,
    calculations: Vec<&'static Calculation>,
}

impl TopicView {
    fn of(topic: Topic) -> Self {
        let calculations: Vec<_> = calculations().iter().filter(|calculation| calculation.topic == topic).collect();
        let told = |about| calculations.iter().filter(|calculation| calculation.about == about).count();
        let about = calculations.first().map(|calculation| calculation.about).filter(|about| told(*about) > 1);
        Self { label: topic.label(), about, calculations }
    }
}

async fn index(visitor: Visitor) -> Result<Response, Error> {
    visitor.caller.may(Deed::SeeTotals, None)?;
    let topics = Topic::LIST.iter().map(|(topic, _, _)| TopicView::of(*topic)).collect();
    page(&visitor.reader, Index { chrome: visitor.chrome(Place::None), topics })
}

#[derive(Template)]
#[template(path = "reckoner/show.html")]
struct Show {
    chrome: Chrome,
    calculation: &'static Calculation,
    sheet: Sheet,
    /// what a bare number in the form is in, where that is not what its name says
    us: bool,
    /// none where what was asked does not hold
    answer: Option<AnswerView>,
    /// the other calculations of the topic
    others: Vec<&'static Calculation>,
}

/// The answer in the reader's words and figures.
struct AnswerView {
    first: Option<(Shown, &'static str)>,
    figures: Vec<(&'static str, Shown)>,
    said: Vec<Phrase>,
    table: Option<TableView>,
    /// each with the sentences that stand under its word
    warnings: Vec<(&'static str, Vec<&'static str>)>,
    workings: Vec<(&'static str, WorkingView)>,
    extrapolated: bool,
    /// the address of the same in JSON
    json: String,
}

struct TableView {
    of: &'static str,
    /// with the unit, where it is the same in every row
    columns: Vec<&'static str>,
    rows: Vec<(String, Vec<Shown>)>,
}

async fn show(
    State(house): State<House>,
    visitor: Visitor,
    Path(key): Path<String>,
    Question(asked): Question,
) -> Result<Response, Error> {
    visitor.caller.may(Deed::SeeTotals, None)?;
    let asks = calculation(&key).ok_or_else(|| Error::no_page(&format!("/reckoner/{key}")))?;
    let reader = &visitor.reader;
    // Who typed the numbers, as far as their units go.
    let typist = Reader { units: units(&asked, asks, reader), ..reader.clone() };
    let typed = with_usual(asks, asked, &typist);
    let mut asking = Asking::of(&typist, Some(&typed));
    let values = questions(asks, &mut asking, None);
    let mut found = Vec::new();
    let mut answered = None;
    if asking.holds() {
        match house.app.reckoned(&visitor.caller, asks, values) {
            Ok(reckoned) => answered = Some(reckoned),
            Err(service::Error::Invalid(problems)) => {
                found.extend(problems.into_iter().map(|problem| Fault {
                    field: (!problem.field.is_empty()).then(|| problem.field.to_owned()),
                    detail: problem.message,
                }));
            }
            Err(other) => return Err(other.into()),
        }
    }
    // Another's units are turned into the reader's, but never under a fault: that names what was typed.
    let mut own = Asking::of(reader, None);
    let (sheet, us) = match &answered {
        Some(reckoned) if typist.units != reader.units => {
            questions(asks, &mut own, Some(&reckoned.given));
            (own.finish(Vec::new()), reader.units == Units::Us)
        }
        _ => (asking.finish(found), typist.units == Units::Us),
    };
    let answer = answered.map(|reckoned| view(reader, asks, reckoned)).transpose()?;
    let status = if answer.is_some() { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
    let others = calculations().iter().filter(|other| other.topic == asks.topic).collect();
    let view = Show { chrome: visitor.chrome(Place::None), calculation: asks, sheet, us, answer, others };
    Ok((status, page(reader, view)?).into_response())
}

/// What a bare number in the address is in. One without any has none yet, and the form is the reader's own.
fn units(asked: &Pairs, calculation: &Calculation, reader: &Reader) -> Units {
    let given = asked.get("units").and_then(Units::from_code);
    let bare = !calculation.fields().iter().any(|field| asked.get(field.key).is_some());
    given.unwrap_or(if bare { reader.units } else { Units::Metric })
}

/// What was asked, with the usual in place of what does not stand in the address at all.
fn with_usual(calculation: &Calculation, mut asked: Pairs, typist: &Reader) -> Pairs {
    for field in calculation.fields() {
        if let Some(usual) = calculation.usual(field.key).filter(|_| asked.get(field.key).is_none()) {
            let text = match (field.what, usual) {
                (What::Figure(measure) | What::Whole(measure), Value::Number(number)) => {
                    let usual = number.as_f64().unwrap_or_default();
                    format_measure(round_in(typist, usual, measure.unit), measure.unit, typist)
                }
                (_, Value::String(key)) => key.clone(),
                _ => continue,
            };
            asked.0.push((field.key.to_owned(), text));
        }
    }
    asked
}

/// A usual figure is round in metric units; in US ones, one near it that is round there.
fn round_in(typist: &Reader, value: f64, unit: Unit) -> f64 {
    let theirs = unit.to_us(value);
    if typist.units == Units::Metric || theirs.to_bits() == value.to_bits() || theirs == 0.0 {
        return value;
    }
    let scale = 10_f64.powf(2.0 - theirs.abs().log10().floor());
    unit.from_us((theirs * scale).round() / scale)
}

/// The form's questions, each stated once; what was answered, as far as it holds.
fn questions(calculation: &'static Calculation, asking: &mut Asking, standing: Option<&Values>) -> Values {
    let mut values = Values::new();
    for (place, field) in calculation.fields().iter().enumerate() {
        if let Some(title) = calculation.heading_of(place) {
            asking.group("", title);
        }
        if calculation.is_beside(field.key) {
            asking.beside();
        }
        let stands = standing.and_then(|standing| standing.get(field.key));
        if let Some(value) = question(field, asking, stands) {
            values.insert(field.key.to_owned(), value);
        }
    }
    values
}

fn question(field: &'static Field, asking: &mut Asking, stands: Option<&Value>) -> Option<Value> {
    let mut words = ask(field.key, field.label).hint(field.hint);
    if !field.required {
        words = words.optional();
    }
    match field.what {
        What::Figure(measure) => asking.figure(words, measure, stands.and_then(Value::as_f64)).map(Value::from),
        What::Whole(measure) => {
            let stands = stands.and_then(Value::as_u64).and_then(|count| u32::try_from(count).ok());
            asking.count(words, measure, stands).map(Value::from)
        }
        What::Choice(options) => {
            let choice = |(value, label): (&str, &'static str)| form::Choice {
                value: value.to_owned(),
                label: shown::words(asking.reader, label).capital().to_string(),
                hint: String::new(),
            };
            let list = options().into_iter().map(choice).collect();
            asking.pick(words, list, stands.and_then(Value::as_str).map(str::to_owned)).map(Value::from)
        }
        What::Flag => asking.check(words, stands.and_then(Value::as_bool).unwrap_or(false)).then(|| true.into()),
        What::Text(_) | What::Date | What::Ref(_) => None,
    }
}

fn view(reader: &Reader, calculation: &Calculation, reckoned: Reckoned) -> Result<AnswerView, Error> {
    let Reckoned { given, answer } = reckoned;
    let extrapolated = answer.is_extrapolated();
    let Answer { figures, said, table, warnings, workings } = answer;
    let mut shown = Vec::new();
    for found in figures {
        shown.push((found.name, figure(reader, found.value, found.unit)?));
    }
    let first = (!shown.is_empty()).then(|| shown.remove(0)).map(|(name, figure)| (figure, name));
    let working = |working| WorkingView { counts_litres: false, ..shown::working::view(reader, working) };
    Ok(AnswerView {
        first,
        figures: shown,
        said: said.iter().map(|message| reader.say(message)).collect(),
        table: table.map(|table| tabled(reader, table)).transpose()?,
        warnings: grouped(warnings),
        workings: workings.iter().map(|one| (one.what, working(one))).collect(),
        extrapolated,
        json: json(calculation, &given),
    })
}

/// A figure in the unit that tells it best: a part of an hour in minutes, less than a litre in millilitres.
fn figure(reader: &Reader, value: f64, unit: Unit) -> Result<Shown, Error> {
    let (value, unit) = match unit {
        Unit::Hour if value.abs() < 1.0 / 60.0 => (value * 3600.0, Unit::Second),
        Unit::Hour if value.abs() < 2.0 => (value * 60.0, Unit::Minute),
        Unit::Hour if value.abs() >= 100.0 => (value / 24.0, Unit::Day),
        Unit::Litre if (f64::MIN_POSITIVE..1.0).contains(&value) && reader.units == Units::Metric => {
            (value * 1000.0, Unit::Millilitre)
        }
        _ => (value, unit),
    };
    reader.figure(value, unit).map_err(Error::internal)
}

fn tabled(reader: &Reader, table: Table) -> Result<TableView, Error> {
    let row = |(words, figures): (String, Vec<f64>)| {
        let cells = figures.iter().zip(&table.columns).map(|(value, (_, unit))| figure(reader, *value, *unit));
        Ok((shown::words(reader, &words).to_string(), cells.collect::<Result<Vec<_>, Error>>()?))
    };
    let rows = table.rows.into_iter().map(row).collect::<Result<Vec<_>, Error>>()?;
    Ok(TableView { of: table.of, columns: table.columns.iter().map(|(name, _)| *name).collect(), rows })
}

/// The sentences under the words that stand out, each word once.
fn grouped(warnings: Vec<Warning>) -> Vec<(&'static str, Vec<&'static str>)> {
    let mut groups: Vec<(&str, Vec<&str>)> = Vec::new();
    for Warning { word, words } in warnings {
        match groups.iter_mut().find(|group| group.0 == word) {
            Some((_, sentences)) => sentences.push(words),
            None => groups.push((word, vec![words])),
        }
    }
    groups
}

/// The same question of the API: numbers, keys and flags need no escape in an address.
fn json(calculation: &Calculation, given: &Values) -> String {
    let pair = |field: &Field| {
        let value = match given.get(field.key)? {
            Value::String(key) => key.clone(),
            other => other.to_string(),
        };
        Some(format!("{}={value}", field.key))
    };
    let pairs: Vec<String> = calculation.fields().iter().filter_map(pair).collect();
    format!("{}?{}", calculation.api(), pairs.join("&"))
}
