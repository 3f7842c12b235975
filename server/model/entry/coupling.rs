//! A bank's vessels opened to each other, or shut off.

use serde::{Deserialize, Serialize};

use crate::model::choice::Choice;
use crate::model::choice::options;
use crate::model::entry::fields::Field;
use crate::model::entry::fields::Noun;
use crate::model::entry::fields::What;
use crate::model::id::BankId;

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Coupled {
    Coupled,
    Separate,
}

impl Choice for Coupled {
    const LIST: &'static [(Self, &'static str, &'static str)] =
        &[(Self::Coupled, "coupled", "opened to each other"), (Self::Separate, "separate", "shut off from each other")];
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Coupling {
    pub bank: BankId,
    pub state: Coupled,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

pub const FIELDS: &[Field] = &[
    Field::required("bank", "bank", "", What::Ref(Noun::Bank)),
    Field::required("state", "now", "", What::Choice(options::<Coupled>)),
    Field::optional("note", "note", "", What::Text(1000)),
];
