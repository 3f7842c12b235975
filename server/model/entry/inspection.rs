//! A look round: lid, screens, outlet, stand, leaks; or at one thing: a pump that was run, the couplings of a bank.

use serde::{Deserialize, Serialize};

use crate::model::choice::Choice;
use crate::model::choice::options;
use crate::model::entry::fields::Field;
use crate::model::entry::fields::What;

/// What was looked at.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Looked {
    #[default]
    Round,
    Pump,
    Couplings,
}

impl Choice for Looked {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Round, "round", "everything here"),
        (Self::Pump, "pump", "the pump, by running it"),
        (Self::Couplings, "couplings", "couplings and valves"),
    ];
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Inspection {
    /// everything, unless it says otherwise
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub of: Option<Looked>,
    pub in_order: bool,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

impl Inspection {
    #[must_use]
    pub fn looked_at(&self) -> Looked {
        self.of.unwrap_or_default()
    }
}

pub const FIELDS: &[Field] = &[
    Field::required("in_order", "all in order", "lid, screens, outlet, stand, no drips", What::Flag),
    Field::optional("of", "what was looked at", "", What::Choice(options::<Looked>)),
    Field::optional("note", "what was seen", "", What::Text(1000)),
];
