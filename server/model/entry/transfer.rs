//! Water moved from one vessel into another, here or at another site. The vessel of the entry gives.

use keepwell_engine::quantity::VOLUME;
use serde::{Deserialize, Serialize};

use crate::model::choice::options;
use crate::model::entry::fields::Field;
use crate::model::entry::fields::Noun;
use crate::model::entry::fields::What;
use crate::model::entry::fill::Measured;
use crate::model::id::VesselId;

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Transfer {
    pub to: VesselId,
    pub litres: f64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub measured: Option<Measured>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

pub const FIELDS: &[Field] = &[
    Field::required("to", "into", "", What::Ref(Noun::Vessel)),
    Field::required("litres", "amount", "", What::Figure(&VOLUME)),
    Field::optional("measured", "how the amount is known", "", What::Choice(options::<Measured>)),
    Field::optional("note", "note", "", What::Text(1000)),
];
