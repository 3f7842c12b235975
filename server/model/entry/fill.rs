//! Water put in.

use jiff::civil::Date;
use keepwell_engine::quantity::VOLUME;
use serde::{Deserialize, Serialize};

use crate::model::choice::Choice;
use crate::model::choice::options;
use crate::model::entry::fields::Field;
use crate::model::entry::fields::Noun;
use crate::model::entry::fields::Problem;
use crate::model::entry::fields::What;
use crate::model::id::SourceId;
use crate::model::message::Message;

/// How an amount was known; each way has its own error.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Measured {
    Meter,
    #[default]
    Bucket,
    Guess,
}

impl Choice for Measured {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Meter, "meter", "by meter"),
        (Self::Bucket, "bucket", "by containers"),
        (Self::Guess, "guess", "by guess"),
    ];
}

/// To the top, an amount, or neither: "I do not know".
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fill {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub litres: Option<f64>,
    #[serde(default)]
    pub to_top: bool,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub measured: Option<Measured>,
    pub source: SourceId,
    #[serde(default)]
    pub boiled: bool,
    /// the date printed on water sealed as bought
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub printed: Option<Date>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lot: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

pub const FIELDS: &[Field] = &[
    Field::required("source", "from", "", What::Ref(Noun::Source)),
    Field::optional("to_top", "to the top", "", What::Flag),
    Field::optional("litres", "amount", "leave it out if you do not know", What::Figure(&VOLUME)),
    Field::optional("measured", "how the amount is known", "", What::Choice(options::<Measured>)),
    Field::optional("boiled", "brought to a rolling boil first", "", What::Flag),
    Field::optional("printed", "date printed on it", "for water sealed as bought", What::Date),
    Field::optional("lot", "lot", "which containers of the set", What::Text(40)),
    Field::optional("note", "note", "", What::Text(1000)),
];

impl Fill {
    /// # Errors
    /// Not both an amount and "to the top".
    pub fn check(&self) -> Result<(), Problem> {
        if self.to_top && self.litres.is_some() {
            return Err(Problem::new("litres", Message::new("Either to the top or an amount, not both.")));
        }
        Ok(())
    }
}
