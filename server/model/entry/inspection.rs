//! A look round: lid, screens, outlet, stand, leaks.

use serde::{Deserialize, Serialize};

use crate::model::entry::fields::Field;
use crate::model::entry::fields::What;

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Inspection {
    pub in_order: bool,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

pub const FIELDS: &[Field] = &[
    Field::required("in_order", "all in order", "lid, screens, outlet, stand, no drips", What::Flag),
    Field::optional("note", "what was seen", "", What::Text(1000)),
];
