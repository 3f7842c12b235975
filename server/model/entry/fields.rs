//! What a field of an entry can be. A kind describes itself as a list of these; the log form, CSV column, JSON schema,
//! paper grid and list are made from the description, and what comes in is checked against it in one place.

use keepwell_engine::quantity::Measure;
use keepwell_engine::quantity::OutOfRange;
use serde_json::Map;
use serde_json::Value;

use crate::model::message::Arg;
use crate::model::message::Message;

/// What came in, by field: numbers in the metric unit of the field's name, choices by key, ids and dates as text.
pub type Values = Map<String, Value>;

/// One field of a kind.
#[derive(Clone, Copy, Debug)]
pub struct Field {
    /// its name in the ledger, in JSON and in files; the unit ends it
    pub key: &'static str,
    /// what a person reads, an English key
    pub label: &'static str,
    /// how to answer, an English key; may be empty
    pub hint: &'static str,
    pub what: What,
    pub required: bool,
}

/// What may stand in a field.
#[derive(Clone, Copy, Debug)]
pub enum What {
    /// a figure, in the measure's unit and range
    Figure(&'static Measure),
    /// a whole number, in the measure's range
    Whole(&'static Measure),
    /// one key of a list of keys and labels
    Choice(fn() -> Vec<(&'static str, &'static str)>),
    /// yes or no
    Flag,
    /// words, so many characters at most
    Text(usize),
    /// a civil date
    Date,
    /// the id of a thing of the set-up or of an entry
    Ref(Noun),
}

/// What a reference is to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Noun {
    Vessel,
    Bank,
    Source,
    Generator,
    FuelStore,
    Stage,
    Entry,
}

impl Field {
    #[must_use]
    pub const fn required(key: &'static str, label: &'static str, hint: &'static str, what: What) -> Self {
        Self { key, label, hint, what, required: true }
    }

    #[must_use]
    pub const fn optional(key: &'static str, label: &'static str, hint: &'static str, what: What) -> Self {
        Self { key, label, hint, what, required: false }
    }

    /// Checks one value against the description.
    fn check(&self, value: &Value) -> Result<(), Message> {
        match (self.what, value) {
            (What::Figure(measure) | What::Whole(measure), Value::Number(number)) => {
                let number = number.as_f64().unwrap_or(f64::NAN);
                if matches!(self.what, What::Whole(_)) && number.fract().abs() > 0.0 {
                    return Err(Message::new("{Field} is a whole number.").with("field", Arg::Word(self.label)));
                }
                measure.check(number).map(|_| ()).map_err(|error| out_of_range(self.label, &error))
            }
            (What::Figure(_) | What::Whole(_), _) => {
                Err(Message::new("{Field} is a number.").with("field", Arg::Word(self.label)))
            }
            (What::Choice(options), Value::String(key)) => {
                let options = options();
                if options.iter().any(|option| option.0 == key) {
                    return Ok(());
                }
                let allowed: Vec<&str> = options.iter().map(|option| option.0).collect();
                Err(Message::new("{Field} is one of: {allowed}. {value} is none of them.")
                    .with("field", Arg::Word(self.label))
                    .with("allowed", Arg::text(allowed.join(", ")))
                    .with("value", Arg::text(key)))
            }
            (What::Choice(_), _) => Err(Message::new("{Field} is one of a list.").with("field", Arg::Word(self.label))),
            (What::Flag, Value::Bool(_)) => Ok(()),
            (What::Flag, _) => Err(Message::new("{Field} is yes or no.").with("field", Arg::Word(self.label))),
            (What::Text(longest), Value::String(text)) => {
                if text.chars().count() > longest {
                    return Err(Message::new("{Field} has {longest} characters at most.")
                        .with("field", Arg::Word(self.label))
                        .with("longest", Arg::Count(u64::try_from(longest).unwrap_or(u64::MAX))));
                }
                Ok(())
            }
            (What::Date, Value::String(text)) => match text.parse::<jiff::civil::Date>() {
                Ok(_) => Ok(()),
                Err(_) => {
                    Err(Message::new("{Field} is a day, such as 2026-03-04.").with("field", Arg::Word(self.label)))
                }
            },
            (What::Ref(_), Value::String(text)) => match uuid::Uuid::try_parse(text) {
                Ok(_) => Ok(()),
                Err(_) => {
                    Err(Message::new("{Field} names nothing that is kept here.").with("field", Arg::Word(self.label)))
                }
            },
            (What::Text(_) | What::Date | What::Ref(_), _) => {
                Err(Message::new("{Field} is text.").with("field", Arg::Word(self.label)))
            }
        }
    }
}

/// A field that does not hold, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    /// the field's key; empty for the whole
    pub field: &'static str,
    pub message: Message,
}

impl Problem {
    #[must_use]
    pub const fn new(field: &'static str, message: Message) -> Self {
        Self { field, message }
    }
}

/// Checks what came in against a kind's description: nothing unknown, nothing required missing, everything in range.
/// A null is a missing value.
///
/// # Errors
/// Every field that does not hold.
pub fn check(fields: &'static [Field], values: &Values) -> Result<(), Vec<Problem>> {
    let mut problems: Vec<Problem> = values
        .keys()
        .filter(|key| !fields.iter().any(|field| field.key == *key))
        .map(|key| {
            Problem::new("", Message::new("{Field} is not a field of this entry.").with("field", Arg::text(key)))
        })
        .collect();
    for field in fields {
        match values.get(field.key) {
            None | Some(Value::Null) if field.required => {
                problems.push(Problem::new(
                    field.key,
                    Message::new("{Field} is missing.").with("field", Arg::Word(field.label)),
                ));
            }
            None | Some(Value::Null) => {}
            Some(value) => {
                if let Err(message) = field.check(value) {
                    problems.push(Problem::new(field.key, message));
                }
            }
        }
    }
    if problems.is_empty() { Ok(()) } else { Err(problems) }
}

/// A figure outside its range, in words: the field, the value, what is allowed.
#[must_use]
pub fn out_of_range(label: &'static str, error: &OutOfRange) -> Message {
    let unit = error.measure.unit;
    Message::new("{Field} is {value}; allowed is {least} to {most}.")
        .with("field", Arg::Word(label))
        .with("value", Arg::Exact(error.value, unit))
        .with("least", Arg::Exact(error.measure.min, unit))
        .with("most", Arg::Exact(error.measure.max, unit))
}
