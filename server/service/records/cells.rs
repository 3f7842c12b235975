//! A field as the text of a cell, and back. Figures are written as short as they can be and still come back the same;
//! words that a spreadsheet would take for a formula stand behind an apostrophe.

use serde_json::Map;
use serde_json::Value;
use uuid::Uuid;

use crate::model::column::Cell;
use crate::model::column::Column;
use crate::model::entry::fields::Field;
use crate::model::entry::fields::What;
use crate::model::message::Arg;
use crate::model::message::Message;

/// Between rows in a cell.
const ROWS: &str = "; ";

/// A value of a thing as a cell says it.
pub fn write(cell: Cell, value: &Value) -> String {
    match (cell, value) {
        (_, Value::Null) => String::new(),
        (Cell::Maybe(within), _) => write(*within, value),
        (Cell::Rows(columns), Value::Array(rows)) => {
            let row = |row: &Value| join(columns.iter().map(|column| row.get(column.key).map(plain)));
            rows.iter().map(row).collect::<Vec<_>>().join(ROWS)
        }
        (Cell::Pairs(_), Value::Array(rows)) => {
            let row = |row: &Value| join(row.as_array().into_iter().flatten().map(|value| Some(plain(value))));
            rows.iter().map(row).collect::<Vec<_>>().join(ROWS)
        }
        (Cell::Ids, Value::Array(ids)) => join(ids.iter().map(|id| Some(plain(id)))),
        (Cell::Text, Value::String(text)) => words(text),
        _ => plain(value),
    }
}

/// A value of an entry as a cell says it.
pub fn write_field(value: &Value) -> String {
    match value {
        // Nothing said and nothing written are two things.
        Value::String(text) if text.is_empty() => "'".to_owned(),
        Value::String(text) => words(text),
        _ => plain(value),
    }
}

fn join(cells: impl Iterator<Item = Option<String>>) -> String {
    cells.map(Option::unwrap_or_default).collect::<Vec<_>>().join(" ")
}

fn plain(value: &Value) -> String {
    match value {
        Value::Null => String::new(),
        Value::Bool(yes) => if *yes { "yes" } else { "no" }.to_owned(),
        Value::Number(number) => number.as_f64().map_or_else(|| number.to_string(), |figure| figure.to_string()),
        Value::String(text) => text.clone(),
        Value::Array(_) | Value::Object(_) => value.to_string(),
    }
}

/// Words behind an apostrophe where a spreadsheet would reckon with them, or take our apostrophe off.
pub fn words(text: &str) -> String {
    if text.starts_with(['=', '+', '-', '@', '\'', '\t', '\r']) { format!("'{text}") } else { text.to_owned() }
}

fn unquoted(text: &str) -> &str {
    text.strip_prefix('\'').unwrap_or(text)
}

/// The value that a cell says.
///
/// # Errors
/// It is none of that column's, in words.
pub fn read(cell: Cell, text: &str) -> Result<Value, Message> {
    match cell {
        Cell::Text => Ok(Value::from(unquoted(text))),
        Cell::Maybe(_) if text.is_empty() => Ok(Value::Null),
        Cell::Maybe(within) => read(*within, text),
        Cell::Rows(columns) => rows(text, |row| {
            let cells = split(row, columns)?;
            let pairs =
                columns.iter().zip(cells).map(|(column, text)| Ok((column.key.to_owned(), read(column.cell, text)?)));
            Ok(Value::Object(pairs.collect::<Result<Map<_, _>, Message>>()?))
        }),
        Cell::Pairs(columns) => rows(text, |row| {
            let cells = split(row, columns)?;
            let pair = columns.iter().zip(cells).map(|(column, text)| read(column.cell, text));
            Ok(Value::Array(pair.collect::<Result<_, Message>>()?))
        }),
        Cell::Ids => Ok(Value::Array(text.split_whitespace().map(id).collect::<Result<_, _>>()?)),
        _ if text.is_empty() => Err(Message::new("This cell says nothing, and has to.")),
        Cell::Choice(options) => choice(&options(), text),
        Cell::Figure => figure(text),
        Cell::Count => text.parse::<u32>().map(Value::from).map_err(|_| not("{value} is not a whole number.", text)),
        Cell::Flag => flag(text),
        Cell::Moment => moment(text).map(|at| Value::from(at.to_string())),
        Cell::Day => day(text),
        Cell::Id => id(text),
        Cell::Part(_) | Cell::Dimensions => Ok(Value::Null),
    }
}

/// The value that a cell of the ledger's file says; none where it says nothing.
///
/// # Errors
/// As [`read`].
pub fn read_field(field: &Field, text: &str) -> Result<Option<Value>, Message> {
    if text.is_empty() {
        return Ok(None);
    }
    match field.what {
        What::Figure(_) => figure(text),
        What::Whole(_) => text.parse::<u64>().map_or_else(|_| figure(text), |whole| Ok(Value::from(whole))),
        What::Choice(options) => choice(&options(), text),
        What::Flag => flag(text),
        What::Text(_) => Ok(Value::from(unquoted(text))),
        What::Date => day(text),
        What::Ref(_) => id(text),
    }
    .map(Some)
}

/// A point in time, as exactly as it is kept: in whole microseconds.
///
/// # Errors
/// It is none.
pub fn moment(text: &str) -> Result<jiff::Timestamp, Message> {
    let at: Option<jiff::Timestamp> = text.parse().ok();
    at.and_then(|at| jiff::Timestamp::from_microsecond(at.as_microsecond()).ok())
        .ok_or_else(|| not("{value} is no point in time. Write it like 2026-03-14T09:30:00Z.", text))
}

/// An id.
///
/// # Errors
/// It is none.
pub fn uuid(text: &str) -> Result<Uuid, Message> {
    Uuid::try_parse(text)
        .map_err(|_| not("{value} is no id. Ids look like 0190163d-8694-739b-aea5-966c26f8ad90.", text))
}

fn id(text: &str) -> Result<Value, Message> {
    uuid(text).map(|id| Value::from(id.to_string()))
}

fn day(text: &str) -> Result<Value, Message> {
    let day: Result<jiff::civil::Date, _> = text.parse();
    day.map(|day| Value::from(day.to_string())).map_err(|_| not("{value} is no date. Write it like 2026-03-14.", text))
}

fn flag(text: &str) -> Result<Value, Message> {
    match text {
        "yes" => Ok(Value::Bool(true)),
        "no" => Ok(Value::Bool(false)),
        _ => Err(not("{value} is neither yes nor no.", text)),
    }
}

fn figure(text: &str) -> Result<Value, Message> {
    let figure: Option<f64> = text.parse().ok();
    let figure = figure.and_then(serde_json::Number::from_f64);
    figure.map(Value::Number).ok_or_else(|| not("{value} is not a number. A point stands before decimals.", text))
}

fn choice(options: &[(&str, &str)], text: &str) -> Result<Value, Message> {
    if options.iter().any(|option| option.0 == text) {
        return Ok(Value::from(text));
    }
    let allowed = options.iter().map(|option| option.0).collect::<Vec<_>>().join(", ");
    Err(not("{value} is none of: {allowed}.", text).with("allowed", Arg::text(allowed)))
}

fn rows(text: &str, row: impl Fn(&str) -> Result<Value, Message>) -> Result<Value, Message> {
    let rows = text.split(';').map(str::trim).filter(|row| !row.is_empty());
    Ok(Value::Array(rows.map(row).collect::<Result<_, _>>()?))
}

fn split<'a>(row: &'a str, columns: &[Column]) -> Result<Vec<&'a str>, Message> {
    let cells: Vec<&str> = row.split_whitespace().collect();
    if cells.len() == columns.len() {
        return Ok(cells);
    }
    let wanted = columns.iter().map(|column| column.key).collect::<Vec<_>>().join(" ");
    Err(not("“{value}” is not {wanted}, with a space between.", row).with("wanted", Arg::text(wanted)))
}

fn not(words: &'static str, value: &str) -> Message {
    let value: String = value.chars().take(60).collect();
    Message::new(words).with("value", Arg::text(value))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::site;

    #[test]
    fn words_come_back_as_they_were() {
        for text in ["", "'", "=1+1", "'=1", "-", " two \n lines ", "a;b", "שלום", "plain"] {
            assert_eq!(read(Cell::Text, &words(text)).unwrap(), Value::from(text));
        }
        assert_eq!(words("=1+1"), "'=1+1");
    }

    /// Figures whose shortest form is easily got wrong: IEEE 754's extremes, a half-way case, a third, minus nought.
    #[test]
    fn figures_come_back_to_the_last_bit() {
        for figure in [0.1, 1.0 / 3.0, f64::MAX, f64::MIN_POSITIVE, 5e-324, 9_007_199_254_740_993.0, -0.0, 1e23] {
            let text = write(Cell::Figure, &Value::from(figure));
            let back = read(Cell::Figure, &text).unwrap().as_f64().unwrap();
            assert_eq!(back.to_bits(), figure.to_bits(), "{text}");
        }
        for wrong in ["", "1,5", "NaN", "inf", "1e999", "1 L", "0x10"] {
            assert!(read(Cell::Figure, wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn rows_come_back_in_their_order_and_a_wrong_one_is_named() {
        let column = site::COLUMNS.iter().find(|column| column.key == "people").unwrap();
        let there = serde_json::json!([{"category": "child", "count": 3}, {"category": "adult", "count": 12}]);
        let text = write(column.cell, &there);
        assert_eq!(text, "child 3; adult 12");
        assert_eq!(read(column.cell, &text).unwrap(), there);
        for wrong in ["child", "child 3 4", "giant 3", "child three", "child -1"] {
            assert!(read(column.cell, wrong).is_err(), "{wrong}");
        }
    }
}
