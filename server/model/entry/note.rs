//! Words for the record.

use serde::{Deserialize, Serialize};

use crate::model::entry::fields::Field;
use crate::model::entry::fields::What;

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Note {
    pub text: String,
}

pub const FIELDS: &[Field] = &[Field::required("text", "note", "", What::Text(2000))];
