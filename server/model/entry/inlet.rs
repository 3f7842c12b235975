//! The inlet of a place, from the mains to its stored water: shut or open. Shutting it is the first deed of an outage.

use serde::{Deserialize, Serialize};

use crate::model::choice::Choice;
use crate::model::choice::options;
use crate::model::entry::fields::Field;
use crate::model::entry::fields::What;

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum InletState {
    Shut,
    Open,
}

impl Choice for InletState {
    const LIST: &'static [(Self, &'static str, &'static str)] =
        &[(Self::Shut, "shut", "shut and tagged"), (Self::Open, "open", "open")];
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Inlet {
    pub state: InletState,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

pub const FIELDS: &[Field] = &[
    Field::required(
        "state",
        "the inlet is",
        "the valve between the mains and the stored water",
        What::Choice(options::<InletState>),
    ),
    Field::optional("note", "note", "", What::Text(1000)),
];
