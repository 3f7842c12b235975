//! A form as its template needs it: one description a field, in words that are ready for the reader. `partials/field.html`
//! and `partials/fields.html` make the markup, the same everywhere: label, hint, error, then the field with what was
//! typed in it.

use crate::model::message::Message;
use crate::service;
use crate::web::error::Error;
use crate::web::error::Fault;
use crate::web::reader::Reader;

/// What is wrong with a form that was sent, by field.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wrong(Vec<Fault>);

impl Wrong {
    /// The faults of fields that a refusal names.
    ///
    /// # Errors
    /// A refusal that is about something else than what was typed.
    pub fn of(refusal: service::Error) -> Result<Self, Error> {
        match refusal.into() {
            Error::Invalid(faults) => Ok(Self(faults)),
            other => Err(other),
        }
    }

    /// One fault more.
    pub fn add(&mut self, field: &str, detail: Message) {
        self.0.push(Fault { field: Some(field.to_owned()), detail });
    }

    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// What is wrong with this field, in words.
    #[must_use]
    pub fn about(&self, reader: &Reader, field: &str) -> Option<String> {
        let fault = self.0.iter().find(|fault| fault.field.as_deref() == Some(field))?;
        Some(reader.say(&fault.detail).to_string())
    }

    /// What is wrong with none of these fields: to stand above the form, so that no fault goes unsaid.
    #[must_use]
    pub fn about_none_of(&self, reader: &Reader, fields: &[Field]) -> Vec<String> {
        let known = |fault: &Fault| fields.iter().any(|field| fault.field.as_deref() == Some(field.name.as_str()));
        self.0.iter().filter(|fault| !known(fault)).map(|fault| reader.say(&fault.detail).to_string()).collect()
    }
}

/// One way to answer a field of choices.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Choice {
    /// what is sent
    pub value: String,
    /// what is read
    pub label: String,
    /// one line under it, or empty
    pub hint: String,
}

/// How a field is answered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Control {
    /// one line; `autocomplete` is the browser's word for it, or empty
    Text {
        /// "username", "name", "off"
        autocomplete: &'static str,
    },
    /// a password; never sent back to the page
    Password {
        /// "current-password" or "new-password"
        autocomplete: &'static str,
    },
    /// several lines
    Lines,
    /// a figure with its unit beside it, or none
    Number {
        /// "L", "cm"; empty where the figure has no unit
        unit: String,
    },
    /// a day and an hour in the reader's time zone
    Moment,
    /// a day
    Day,
    /// a file
    File {
        /// ".csv,text/csv"
        accept: &'static str,
    },
    /// one of a few, all of them in sight
    Radios(Vec<Choice>),
    /// one of many
    Select(Vec<Choice>),
    /// several of a few
    Checks(Vec<Choice>),
    /// yes or no
    Check,
    /// carried along unseen
    Hidden,
}

/// One field of a form.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Field {
    /// the name it is sent under; also its id in the page
    pub name: String,
    /// what is asked
    pub label: String,
    /// one line of help, or empty
    pub hint: String,
    /// what is wrong with what was typed, or none
    pub error: Option<String>,
    /// what stands in it: what was typed, or what is on record. Several checks: each value
    pub values: Vec<String>,
    /// whether an answer is needed
    pub required: bool,
    /// its group says already that it may be left empty
    pub quiet: bool,
    /// how it is answered
    pub control: Control,
}

impl Field {
    /// A field to be answered, still empty.
    #[must_use]
    pub fn new(name: &str, label: &str, control: Control) -> Self {
        Self {
            name: name.to_owned(),
            label: label.to_owned(),
            hint: String::new(),
            error: None,
            values: Vec::new(),
            required: true,
            quiet: false,
            control,
        }
    }

    /// One that may be left empty.
    #[must_use]
    pub fn optional(mut self) -> Self {
        self.required = false;
        self
    }

    /// With a line of help.
    #[must_use]
    pub fn hint(mut self, hint: &str) -> Self {
        hint.clone_into(&mut self.hint);
        self
    }

    /// With what stands in it.
    #[must_use]
    pub fn value(mut self, value: &str) -> Self {
        self.values = vec![value.to_owned()];
        self
    }

    /// With what is wrong with it.
    #[must_use]
    pub fn error(mut self, error: Option<String>) -> Self {
        self.error = error;
        self
    }

    /// What stands in it.
    #[must_use]
    pub fn typed(&self) -> &str {
        self.values.first().map_or("", String::as_str)
    }

    /// Whether a choice is taken.
    #[must_use]
    pub fn is(&self, value: &str) -> bool {
        self.values.iter().any(|given| given == value)
    }

    /// What describes the field to those who hear it: its hint and its error, by id.
    #[must_use]
    pub fn described_by(&self) -> String {
        let mut ids = Vec::new();
        if !self.hint.is_empty() {
            ids.push(format!("{}-hint", self.name));
        }
        if self.error.is_some() {
            ids.push(format!("{}-error", self.name));
        }
        ids.join(" ")
    }

    /// Whether it is a group of choices, and so a fieldset with a legend.
    #[must_use]
    pub fn is_group(&self) -> bool {
        matches!(self.control, Control::Radios(_) | Control::Checks(_))
    }
}

/// A working with its words and figures as the reader has them, for `partials/working.html`.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct WorkingView {
    /// in symbols
    pub formula: String,
    /// what was put in
    pub inputs: Vec<InputView>,
    /// from the inputs to the answer
    pub steps: Vec<StepView>,
    /// what was not counted
    pub left_out: Vec<String>,
    /// where formula and constants are published
    pub sources: Vec<String>,
    /// whether an input lies outside the formula's range
    pub extrapolated: bool,
    /// whether it counts water in store, and so says what that does not mean
    pub counts_litres: bool,
}

/// One thing put in.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct InputView {
    /// in the formula
    pub symbol: String,
    /// in words
    pub name: String,
    /// with its unit
    pub figure: String,
    /// half of the 8-in-10 band, with its unit; a dash where it has none
    pub give_or_take: String,
    /// as of when, and from where
    pub origin: String,
}

/// One step.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct StepView {
    /// what is done
    pub words: String,
    /// its formula
    pub formula: String,
    /// what comes out, with its unit
    pub figure: String,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::web::chrome::page;
    use crate::web::filters;
    use crate::web::reader::Units;
    use crate::web::reader::tests::reader;
    use askama::Template;

    #[derive(Template)]
    #[template(path = "partials/field.html")]
    struct One {
        field: Field,
    }

    async fn markup(field: Field) -> String {
        let response = page(&reader(Units::Metric), One { field }).unwrap();
        let body = axum::body::to_bytes(response.into_body(), 1 << 20).await.unwrap();
        String::from_utf8(body.to_vec()).unwrap()
    }

    #[tokio::test]
    async fn what_was_typed_stays_and_the_error_is_tied_to_it() {
        let number = Control::Number { unit: "L".to_owned() };
        let field = Field::new("amount", "Litres drawn", number)
            .value("28,450 \"or so\"")
            .error(Some("East can hold 4,988 L at most.".to_owned()));
        let html = markup(field).await;
        assert!(html.contains("aria-invalid=\"true\"") && html.contains("aria-describedby=\"amount-error\""), "{html}");
        assert!(html.contains("id=\"amount-error\"") && html.contains("28,450"), "{html}");
        assert!(!html.contains("\"or so\""), "a quote that was typed must be escaped: {html}");
    }

    #[tokio::test]
    async fn a_password_is_never_sent_back() {
        let html =
            markup(Field::new("pw", "Password", Control::Password { autocomplete: "new-password" }).value("sesame"))
                .await;
        assert!(!html.contains("sesame"), "{html}");
    }

    #[tokio::test]
    async fn the_choice_that_stands_is_taken() {
        let choice = |value: &str| Choice { value: value.to_owned(), label: value.to_uppercase(), hint: String::new() };
        for control in
            [Control::Radios(vec![choice("a"), choice("b")]), Control::Checks(vec![choice("a"), choice("b")])]
        {
            let html = markup(Field::new("x", "Which", control).value("b")).await;
            let taken = html.split("<input").find(|part| part.contains(" checked")).unwrap();
            assert!(taken.contains("value=\"b\"") && html.matches(" checked").count() == 1, "{html}");
            assert!(html.contains("<fieldset") && html.contains("<legend"), "{html}");
        }
    }
}
