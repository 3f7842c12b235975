//! What a calculation says of itself, and what it answers.

use core::fmt;

use keepwell_engine::quantity::Measure;
use keepwell_engine::quantity::Unit;
use keepwell_engine::working::Figure;
use keepwell_engine::working::Trust;
use keepwell_engine::working::Working;
use serde_json::Value;

use crate::model::choice::Choice;
use crate::model::choice::options;
use crate::model::entry::fields;
use crate::model::entry::fields::Field;
use crate::model::entry::fields::Problem;
use crate::model::entry::fields::Values;
use crate::model::entry::fields::What;
use crate::model::message::Message;
use crate::service::reckoner::Warning;
use crate::service::reckoner::refused::Refused;

/// What a calculation is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Topic {
    Vessels,
    Levels,
    Water,
    Disinfection,
    Structure,
    Power,
    People,
    Endurance,
}

impl Choice for Topic {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Vessels, "vessels", "What a vessel holds"),
        (Self::Levels, "levels", "Reading a level"),
        (Self::Water, "water", "Water on its way"),
        (Self::Disinfection, "disinfection", "Disinfection"),
        (Self::Structure, "structure", "Where a vessel stands"),
        (Self::Power, "power", "Power and fuel"),
        (Self::People, "people", "People and handing out"),
        (Self::Endurance, "endurance", "How long it lasts"),
    ];
}

type Reckon = Box<dyn Fn(&Given) -> Result<Answer, Refused> + Send + Sync>;

/// One calculation of the engine. Words are English keys.
pub struct Calculation {
    /// its name in addresses
    pub key: &'static str,
    pub topic: Topic,
    pub title: &'static str,
    /// what it answers, in a line
    pub about: &'static str,
    fields: Vec<Field>,
    /// above the field of that place, these words
    headings: Vec<(usize, &'static str)>,
    /// fields that stand beside the one before
    beside: Vec<&'static str>,
    usual: Values,
    reckon: Reckon,
    page: String,
    api: String,
}

impl fmt::Debug for Calculation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Calculation").field("key", &self.key).field("fields", &self.fields).finish_non_exhaustive()
    }
}

impl Calculation {
    pub(super) fn new(
        topic: Topic,
        key: &'static str,
        title: &'static str,
        about: &'static str,
        reckon: impl Fn(&Given) -> Result<Answer, Refused> + Send + Sync + 'static,
    ) -> Self {
        Self {
            key,
            topic,
            title,
            about,
            fields: Vec::new(),
            headings: Vec::new(),
            beside: Vec::new(),
            usual: Values::new(),
            reckon: Box::new(reckon),
            page: format!("/reckoner/{key}"),
            api: format!("/api/v1/reckoner/{key}"),
        }
    }

    fn with(mut self, field: Field, usual: Value) -> Self {
        self.fields.push(field);
        if !usual.is_null() {
            self.usual.insert(field.key.to_owned(), usual);
        }
        self
    }

    /// A figure, and what it usually is.
    pub(super) fn figure(
        self,
        key: &'static str,
        label: &'static str,
        hint: &'static str,
        measure: &'static Measure,
        usual: f64,
    ) -> Self {
        self.with(Field::required(key, label, hint, What::Figure(measure)), usual.into())
    }

    /// A figure that need not be known.
    pub(super) fn maybe(
        self,
        key: &'static str,
        label: &'static str,
        hint: &'static str,
        measure: &'static Measure,
    ) -> Self {
        self.with(Field::optional(key, label, hint, What::Figure(measure)), Value::Null)
    }

    /// A whole number, and what it usually is.
    pub(super) fn whole(
        self,
        key: &'static str,
        label: &'static str,
        hint: &'static str,
        measure: &'static Measure,
        usual: u32,
    ) -> Self {
        self.with(Field::required(key, label, hint, What::Whole(measure)), usual.into())
    }

    /// One of a closed list.
    pub(super) fn choice<T: Choice>(
        self,
        key: &'static str,
        label: &'static str,
        hint: &'static str,
        usual: T,
    ) -> Self {
        self.one_of(key, label, hint, options::<T>, usual.key())
    }

    /// One of a list of keys and labels.
    pub(super) fn one_of(
        self,
        key: &'static str,
        label: &'static str,
        hint: &'static str,
        list: fn() -> Vec<(&'static str, &'static str)>,
        usual: &'static str,
    ) -> Self {
        self.with(Field::required(key, label, hint, What::Choice(list)), usual.into())
    }

    /// Yes or, usually, no.
    pub(super) fn flag(self, key: &'static str, label: &'static str, hint: &'static str) -> Self {
        self.with(Field::optional(key, label, hint, What::Flag), Value::Null)
    }

    /// A heading over what is asked next.
    pub(super) fn heading(mut self, title: &'static str) -> Self {
        self.headings.push((self.fields.len(), title));
        self
    }

    /// What was asked last stands beside the question before it.
    pub(super) fn beside(mut self) -> Self {
        self.beside.extend(self.fields.last().map(|field| field.key));
        self
    }

    /// The heading over the field of that place, if one stands there.
    #[must_use]
    pub fn heading_of(&self, place: usize) -> Option<&'static str> {
        self.headings.iter().find(|(at, _)| *at == place).map(|(_, title)| *title)
    }

    /// Whether a field stands beside the one before it.
    #[must_use]
    pub fn is_beside(&self, key: &str) -> bool {
        self.beside.contains(&key)
    }

    /// What it asks, in order.
    #[must_use]
    pub fn fields(&self) -> &[Field] {
        &self.fields
    }

    /// What stands for an answer that was not given; none for what need not be known.
    #[must_use]
    pub fn usual(&self, key: &str) -> Option<&Value> {
        self.usual.get(key)
    }

    /// The address of its page.
    #[must_use]
    pub fn page(&self) -> &str {
        &self.page
    }

    /// The address of its JSON.
    #[must_use]
    pub fn api(&self) -> &str {
        &self.api
    }

    /// The values with the usual in place of those that were not given.
    pub(super) fn with_usual(&self, mut given: Values) -> Values {
        for (key, usual) in &self.usual {
            given.entry(key.as_str()).or_insert_with(|| usual.clone());
        }
        given
    }

    /// # Errors
    /// Every value that does not hold, or why there is no answer to them.
    pub(super) fn answer(&'static self, given: &Values) -> Result<Answer, Vec<Problem>> {
        fields::check(&self.fields, given)?;
        let answer = (self.reckon)(&Given(given)).map_err(|refused| vec![refused.of(&self.fields)])?;
        if answer.is_whole() {
            return Ok(answer);
        }
        Err(vec![Problem::new("", Message::new("These figures lead beyond any number: there is no answer to them."))])
    }
}

/// Checked values, to be asked for by key.
pub(super) struct Given<'a>(&'a Values);

impl Given<'_> {
    /// A figure that is needed.
    pub(super) fn figure(&self, key: &'static str) -> Result<f64, Refused> {
        self.maybe(key).ok_or_else(|| Refused::missing(key))
    }

    /// A figure that need not be known.
    pub(super) fn maybe(&self, key: &str) -> Option<f64> {
        self.0.get(key).and_then(Value::as_f64)
    }

    /// How many.
    pub(super) fn count(&self, key: &'static str) -> Result<u32, Refused> {
        let count = self.0.get(key).and_then(|value| value.as_u64().or_else(|| whole(value.as_f64()?)));
        count.and_then(|count| u32::try_from(count).ok()).ok_or_else(|| Refused::missing(key))
    }

    pub(super) fn choice<T: Choice>(&self, key: &'static str) -> Result<T, Refused> {
        T::from_key(self.key(key)?).ok_or_else(|| Refused::missing(key))
    }

    /// The key of what was chosen.
    pub(super) fn key(&self, key: &'static str) -> Result<&str, Refused> {
        self.0.get(key).and_then(Value::as_str).ok_or_else(|| Refused::missing(key))
    }

    pub(super) fn flag(&self, key: &'static str) -> bool {
        self.0.get(key).and_then(Value::as_bool).unwrap_or(false)
    }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "whole, and within u32, as was just asked")]
fn whole(value: f64) -> Option<u64> {
    (value.fract() == 0.0 && (0.0..=f64::from(u32::MAX)).contains(&value)).then_some(value as u64)
}

/// A figure that was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Found {
    /// its name in JSON; the unit stands beside it
    pub key: &'static str,
    /// in words
    pub name: &'static str,
    pub value: f64,
    pub unit: Unit,
}

/// Figures in rows, where one is not enough: a dip table, a ladder.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// what the first words of each row are; empty where rows have none
    pub of: &'static str,
    pub columns: Vec<(&'static str, Unit)>,
    /// the words, and a figure for each column
    pub rows: Vec<(String, Vec<f64>)>,
}

/// What a calculation answers, the figure that was asked for first.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Answer {
    pub figures: Vec<Found>,
    /// in sentences
    pub said: Vec<Message>,
    pub table: Option<Table>,
    /// what can hurt someone
    pub warnings: Vec<Warning>,
    pub workings: Vec<Working>,
}

impl Answer {
    pub(super) fn new() -> Self {
        Self::default()
    }

    pub(super) fn figure(mut self, key: &'static str, name: &'static str, value: f64, unit: Unit) -> Self {
        self.figures.push(Found { key, name, value, unit });
        self
    }

    /// A figure, where there is one.
    pub(super) fn maybe(self, key: &'static str, name: &'static str, value: Option<f64>, unit: Unit) -> Self {
        match value {
            Some(value) => self.figure(key, name, value, unit),
            None => self,
        }
    }

    pub(super) fn say(mut self, message: Message) -> Self {
        self.said.push(message);
        self
    }

    pub(super) fn say_if(self, is_so: bool, words: &'static str) -> Self {
        if is_so { self.say(Message::new(words)) } else { self }
    }

    pub(super) fn table(mut self, table: Table) -> Self {
        self.table = Some(table);
        self
    }

    pub(super) fn warn(mut self, warning: Warning) -> Self {
        self.warnings.push(warning);
        self
    }

    pub(super) fn working(mut self, working: Working) -> Self {
        self.workings.push(working);
        self
    }

    /// Whether a formula was used beyond where it was measured, or with something not known.
    #[must_use]
    pub fn is_extrapolated(&self) -> bool {
        self.workings.iter().any(|working| working.trust == Trust::Extrapolated)
    }

    /// Whether all of its figures are numbers.
    fn is_whole(&self) -> bool {
        let plain = |figure: &Figure| figure.value.is_finite() && figure.sd.is_none_or(f64::is_finite);
        self.figures.iter().all(|found| found.value.is_finite())
            && self.table.iter().flat_map(|table| &table.rows).all(|(_, row)| row.iter().all(|value| value.is_finite()))
            && self.workings.iter().all(|working| {
                working.inputs.iter().all(|input| plain(&input.figure))
                    && working.steps.iter().all(|step| plain(&step.figure))
            })
    }
}
