//! The questions of a form, each stated once. A call describes a field and, where the form was sent, reads its answer in
//! the reader's units; so what is shown, what is read and what is shown again with its faults cannot differ.
//!
//! What was typed stays in its field whatever is wrong with it. A call that finds a fault notes it and answers with none;
//! [`Asking::holds`] tells whether there was one.

use jiff::Timestamp;
use jiff::civil::Date;
use keepwell_engine::quantity::Measure;
use keepwell_engine::quantity::Unit;

use crate::model::choice::Choice;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::name::Name;
use crate::web::error::Fault;
use crate::web::extract::Pairs;
use crate::web::form;
use crate::web::form::Control;
use crate::web::form::Field;
use crate::web::input::format_measure;
use crate::web::input::format_when;
use crate::web::input::parse_date;
use crate::web::input::parse_measure;
use crate::web::input::parse_when;
use crate::web::reader::Reader;

/// So many choices are shown at once; more go into a list that opens.
const IN_SIGHT: usize = 4;

/// What has happened may lie so far ahead of our clock: another's may be fast.
const AHEAD: jiff::SignedDuration = jiff::SignedDuration::from_mins(10);

/// One question: what it is sent under, what is asked, and how to answer. English, as keys.
#[derive(Clone, Copy, Debug)]
pub struct Ask {
    key: &'static str,
    label: &'static str,
    hint: &'static str,
    needed: bool,
    quiet: bool,
}

/// A question that needs an answer.
#[must_use]
pub const fn ask(key: &'static str, label: &'static str) -> Ask {
    Ask { key, label, hint: "", needed: true, quiet: false }
}

impl Ask {
    #[must_use]
    pub const fn hint(self, hint: &'static str) -> Self {
        Self { hint, ..self }
    }

    /// It may be left empty.
    #[must_use]
    pub const fn optional(self) -> Self {
        Self { needed: false, ..self }
    }

    /// It may be left empty, and the words of its group say so for all.
    #[must_use]
    pub const fn quiet(self) -> Self {
        Self { needed: false, quiet: true, ..self }
    }
}

/// Fields under one heading.
#[derive(Clone, Debug, Default)]
pub struct Group {
    /// faults of this key are the whole group's
    key: &'static str,
    pub title: String,
    pub words: String,
    pub error: Option<String>,
    /// the word that warns, and the sentence
    pub caution: Option<(String, String)>,
    /// fields that stand beside each other
    pub rows: Vec<Vec<Field>>,
}

impl Group {
    /// Its id in the page, for the way to its fault.
    #[must_use]
    pub fn id(&self) -> String {
        format!("{}-group", self.key)
    }
}

/// A form ready for its template.
#[derive(Clone, Debug, Default)]
pub struct Sheet {
    pub groups: Vec<Group>,
    /// everything to mend: the field's id, where it has one in the form, and the words
    pub problems: Vec<(String, String)>,
}

/// The form while it is asked.
#[derive(Debug)]
pub struct Asking<'a> {
    pub reader: &'a Reader,
    sent: Option<&'a Pairs>,
    groups: Vec<Group>,
    faults: Vec<Fault>,
    beside: bool,
}

impl<'a> Asking<'a> {
    /// `sent` is what was typed; none while the form is only shown.
    #[must_use]
    pub const fn of(reader: &'a Reader, sent: Option<&'a Pairs>) -> Self {
        Self { reader, sent, groups: Vec::new(), faults: Vec::new(), beside: false }
    }

    /// Whether everything asked so far was answered as it may be.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.sent.is_some() && self.faults.is_empty()
    }

    /// A heading over what is asked next. A fault of that key is about all of it.
    pub fn group(&mut self, key: &'static str, title: &'static str) {
        self.groups.push(Group { key, title: self.capital(title), ..Group::default() });
    }

    /// A line under the heading.
    pub fn words(&mut self, words: &'static str) {
        let words = self.reader.word(words).to_owned();
        if let Some(group) = self.groups.last_mut() {
            group.words = words;
        }
    }

    /// What can hurt in what is asked here.
    pub fn caution(&mut self, word: &'static str, words: &'static str) {
        let said = (self.reader.word(word).to_owned(), self.reader.word(words).to_owned());
        if let Some(group) = self.groups.last_mut() {
            group.caution = Some(said);
        }
    }

    /// The next field stands beside the last.
    pub const fn beside(&mut self) -> &mut Self {
        self.beside = true;
        self
    }

    /// Whether the form was sent, or is only shown.
    #[must_use]
    pub const fn is_sent(&self) -> bool {
        self.sent.is_some()
    }

    /// Whether nothing was typed there.
    #[must_use]
    pub fn is_blank(&self, key: &str) -> bool {
        self.sent.and_then(|sent| sent.get(key)).is_none_or(|typed| typed.trim().is_empty())
    }

    /// A fault of what was sent; nothing is wrong with a form that is only shown.
    pub fn fault_if_sent(&mut self, key: &str, detail: Message) {
        if self.sent.is_some() {
            self.fault(key, detail);
        }
    }

    /// A fault of a field that was left empty; what is wrong with one that was not is said already.
    pub fn fault_if_blank(&mut self, key: &str, detail: Message) {
        if self.sent.is_some() && self.is_blank(key) {
            self.fault(key, detail);
        }
    }

    pub fn fault(&mut self, key: &str, detail: Message) {
        self.faults.push(Fault { field: Some(key.to_owned()), detail });
    }

    /// Words on one line, `most` characters of them.
    pub fn text(&mut self, ask: Ask, most: usize, standing: &str) -> String {
        self.put(ask, Control::Text { autocomplete: "off" }, vec![standing.to_owned()]);
        self.read(ask, |typed| within(ask, typed, most)).unwrap_or_default()
    }

    /// Words on several lines.
    pub fn lines(&mut self, ask: Ask, most: usize, standing: &str) -> String {
        self.put(ask, Control::Lines, vec![standing.to_owned()]);
        self.read(ask, |typed| within(ask, &typed.replace("\r\n", "\n"), most)).unwrap_or_default()
    }

    pub fn name(&mut self, ask: Ask, standing: Option<&Name>) -> Option<Name> {
        let standing = standing.map(ToString::to_string);
        self.put(ask, Control::Text { autocomplete: "off" }, standing.into_iter().collect());
        self.read(ask, Name::new)
    }

    /// A figure in its metric unit, typed in whichever.
    pub fn figure(&mut self, ask: Ask, measure: &Measure, standing: Option<f64>) -> Option<f64> {
        let unit = self.reader.sign(measure.unit).to_owned();
        let standing = standing.map(|value| format_measure(value, measure.unit, self.reader));
        self.put(ask, Control::Number { unit }, standing.into_iter().collect());
        let measure = Measure { name: ask.label, ..*measure };
        let reader = self.reader;
        self.read(ask, |typed| parse_measure(typed, &measure, reader))
    }

    /// How many.
    pub fn count(&mut self, ask: Ask, measure: &Measure, standing: Option<u32>) -> Option<u32> {
        let standing = standing.map(|count| format_measure(count.into(), Unit::Count, self.reader));
        self.put(ask, Control::Number { unit: String::new() }, standing.into_iter().collect());
        let measure = Measure { name: ask.label, ..*measure };
        let reader = self.reader;
        self.read(ask, |typed| {
            let value = parse_measure(typed, &measure, reader)?;
            whole(value).ok_or_else(|| Message::new("{Field} is a whole number.").with("field", Arg::Word(ask.label)))
        })
    }

    /// One of a closed list.
    pub fn choice<T: Choice>(&mut self, ask: Ask, standing: Option<T>) -> Option<T> {
        let list = self.options::<T>();
        let control = if list.len() <= IN_SIGHT { Control::Radios(list) } else { Control::Select(list) };
        self.put(ask, control, standing.map(|one| one.key().to_owned()).into_iter().collect());
        self.read(ask, |typed| T::from_key(typed).ok_or_else(|| not_in_list(ask)))
    }

    /// One of what there is: its value.
    pub fn pick(&mut self, ask: Ask, list: Vec<form::Choice>, standing: Option<String>) -> Option<String> {
        let known: Vec<String> = list.iter().map(|choice| choice.value.clone()).collect();
        self.put(ask, Control::Select(list), standing.into_iter().collect());
        self.read(ask, |typed| known.into_iter().find(|value| value == typed).ok_or_else(|| not_in_list(ask)))
    }

    /// Any of what there is.
    pub fn several(&mut self, ask: Ask, list: Vec<form::Choice>, standing: Vec<String>) -> Vec<String> {
        let known: Vec<String> = list.iter().map(|choice| choice.value.clone()).collect();
        self.put(ask, Control::Checks(list), standing);
        let taken: Vec<String> = self.sent.iter().flat_map(|sent| sent.all(ask.key)).map(str::to_owned).collect();
        if taken.iter().any(|value| !known.contains(value)) {
            self.fault(ask.key, not_in_list(ask));
        }
        taken
    }

    /// Carried along unseen.
    pub fn hidden(&mut self, key: &'static str, standing: String) -> String {
        let ask = ask(key, "").optional();
        self.put(ask, Control::Hidden, vec![standing.clone()]);
        self.read(ask, |typed| Ok(typed.to_owned())).unwrap_or(standing)
    }

    pub fn check(&mut self, ask: Ask, standing: bool) -> bool {
        self.put(ask, Control::Check, standing.then(|| "yes".to_owned()).into_iter().collect());
        self.sent.is_some_and(|sent| sent.get(ask.key).is_some())
    }

    /// A day and an hour that have come. A day alone is its noon, or this minute if noon has not come.
    pub fn when(&mut self, ask: Ask, standing: Option<Timestamp>) -> Option<Timestamp> {
        let standing = standing.map(|at| format_when(at, self.reader));
        self.put(ask, Control::Text { autocomplete: "off" }, standing.into_iter().collect());
        let reader = self.reader;
        self.read(ask, |typed| {
            let ahead = || {
                Message::new("{Field} lies ahead of the clock here. At most 10 minutes ahead is allowed.")
                    .with("field", Arg::Word(ask.label))
            };
            let at = match parse_date(typed, reader) {
                Ok(day) if day > reader.today() => return Err(ahead()),
                Ok(day) => match reader.zone.to_timestamp(day.at(12, 0, 0, 0)) {
                    Ok(noon) => noon.min(reader.now),
                    Err(_) => parse_when(typed, reader)?,
                },
                Err(_) => parse_when(typed, reader)?,
            };
            if at.duration_since(reader.now) > AHEAD {
                return Err(ahead());
            }
            Ok(at)
        })
    }

    pub fn day(&mut self, ask: Ask, standing: Option<Date>) -> Option<Date> {
        let standing = standing.map(|day| day.to_string());
        self.put(ask, Control::Text { autocomplete: "off" }, standing.into_iter().collect());
        let reader = self.reader;
        self.read(ask, |typed| parse_date(typed, reader))
    }

    /// The choices of a closed list, in words.
    #[must_use]
    pub fn options<T: Choice>(&self) -> Vec<form::Choice> {
        let option = |key: &str, label: &'static str| form::Choice {
            value: key.to_owned(),
            label: self.capital(label),
            hint: String::new(),
        };
        T::LIST.iter().map(|row| option(row.1, row.2)).collect()
    }

    /// The form with its faults beside their fields: those found here, and those that were found in the whole.
    #[must_use]
    pub fn finish(self, found: Vec<Fault>) -> Sheet {
        let mut groups = self.groups;
        let mut problems = Vec::new();
        for Fault { field, detail } in self.faults.into_iter().chain(found) {
            let words = self.reader.say(&detail).to_string();
            let key = field.unwrap_or_default();
            let mut place = String::new();
            for group in &mut groups {
                if !key.is_empty() && group.key == key {
                    group.error.get_or_insert_with(|| words.clone());
                    place = group.id();
                }
                for field in group.rows.iter_mut().flatten().filter(|field| field.name == key) {
                    field.error.get_or_insert_with(|| words.clone());
                    place.clone_from(&key);
                }
            }
            problems.push((place, words));
        }
        Sheet { groups, problems }
    }

    fn put(&mut self, ask: Ask, control: Control, standing: Vec<String>) {
        let label = self.capital(ask.label);
        let mut field = Field::new(ask.key, &label, control).hint(self.reader.word(ask.hint));
        field.required = ask.needed;
        field.quiet = ask.quiet;
        field.values = match self.sent {
            Some(sent) => sent.all(ask.key).map(str::to_owned).collect(),
            None => standing.into_iter().filter(|value| !value.is_empty()).collect(),
        };
        if self.groups.is_empty() {
            self.groups.push(Group::default());
        }
        let beside = std::mem::take(&mut self.beside);
        if let Some(group) = self.groups.last_mut() {
            match group.rows.last_mut().filter(|_| beside) {
                Some(row) => row.push(field),
                None => group.rows.push(vec![field]),
            }
        }
    }

    /// The answer, if one was sent and can be read. An empty one is a fault where one is needed.
    fn read<T>(&mut self, ask: Ask, read: impl FnOnce(&str) -> Result<T, Message>) -> Option<T> {
        let typed = self.sent?.get(ask.key).unwrap_or_default();
        if typed.trim().is_empty() {
            if ask.needed {
                self.fault(ask.key, Message::new("{Field} is missing.").with("field", Arg::Word(ask.label)));
            }
            return None;
        }
        match read(typed.trim()) {
            Ok(value) => Some(value),
            Err(detail) => {
                self.fault(ask.key, detail);
                None
            }
        }
    }

    fn capital(&self, words: &'static str) -> String {
        self.reader.language.catalogue().phrase(words).capital().to_string()
    }
}

fn within(ask: Ask, typed: &str, most: usize) -> Result<String, Message> {
    if typed.chars().count() > most {
        return Err(Message::new("{Field} has {longest} characters at most.")
            .with("field", Arg::Word(ask.label))
            .with("longest", Arg::Count(u64::try_from(most).unwrap_or(u64::MAX))));
    }
    if typed.chars().any(|c| c.is_control() && c != '\n' && c != '\t') {
        return Err(Message::new("{Field} holds characters that cannot be shown.").with("field", Arg::Word(ask.label)));
    }
    Ok(typed.to_owned())
}

fn not_in_list(ask: Ask) -> Message {
    Message::new("{Field}: choose one of the list.").with("field", Arg::Word(ask.label))
}

/// A figure that a range has been checked of, as a count.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "whole, and within u32, as was just asked")]
fn whole(value: f64) -> Option<u32> {
    (value.fract() == 0.0 && (0.0..=f64::from(u32::MAX)).contains(&value)).then_some(value as u32)
}
