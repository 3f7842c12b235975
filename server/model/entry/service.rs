//! Work done on something: a pump, a filter, a valve.

use serde::{Deserialize, Serialize};

use crate::model::entry::fields::Field;
use crate::model::entry::fields::What;

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Service {
    pub what: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

pub const FIELDS: &[Field] = &[
    Field::required("what", "what was done", "pump, filter, valve, screen ...", What::Text(200)),
    Field::optional("note", "note", "", What::Text(1000)),
];
