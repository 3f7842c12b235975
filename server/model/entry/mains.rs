//! The state of a supply: on, low, off; what disinfects it now.

use serde::{Deserialize, Serialize};

use crate::model::choice::Choice;
use crate::model::choice::options;
use crate::model::entry::fields::Field;
use crate::model::entry::fields::Noun;
use crate::model::entry::fields::What;
use crate::model::id::SourceId;
use crate::model::source::Disinfectant;

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Supply {
    On,
    Low,
    Off,
}

impl Choice for Supply {
    const LIST: &'static [(Self, &'static str, &'static str)] =
        &[(Self::On, "on", "running"), (Self::Low, "low", "low pressure"), (Self::Off, "off", "off")];
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mains {
    pub source: SourceId,
    pub state: Supply,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub disinfectant: Option<Disinfectant>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

pub const FIELDS: &[Field] = &[
    Field::required("source", "supply", "", What::Ref(Noun::Source)),
    Field::required("state", "now", "", What::Choice(options::<Supply>)),
    Field::optional(
        "disinfectant",
        "disinfected with",
        "only if that has changed",
        What::Choice(options::<Disinfectant>),
    ),
    Field::optional("note", "note", "", What::Text(1000)),
];
