//! Work done on something: a pump, a filter, a valve. Where it renewed the medium or the lamp of a stage, its life begins
//! again.

use serde::{Deserialize, Serialize};

use crate::model::entry::fields::Field;
use crate::model::entry::fields::Noun;
use crate::model::entry::fields::What;
use crate::model::id::StageId;

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Service {
    pub what: String,
    /// the stage of treatment whose medium or lamp was renewed
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stage: Option<StageId>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

pub const FIELDS: &[Field] = &[
    Field::required("what", "what was done", "pump, filter, valve, screen ...", What::Text(200)),
    Field::optional(
        "stage",
        "filter or lamp renewed",
        "its life begins again on that day; leave it out for any other work",
        What::Ref(Noun::Stage),
    ),
    Field::optional("note", "note", "", What::Text(1000)),
];
