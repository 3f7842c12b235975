//! A vessel disinfected by a published method in full. A shock dose alone is not this.

use serde::{Deserialize, Serialize};

use crate::model::entry::fields::Field;
use crate::model::entry::fields::What;

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Disinfection {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

pub const FIELDS: &[Field] =
    &[Field::optional("note", "method and note", "whose method, and how long it stood", What::Text(1000))];
