//! A generator that ran.

use keepwell_engine::quantity::FUEL;
use keepwell_engine::quantity::POWER;
use keepwell_engine::quantity::RUN_HOURS;
use serde::{Deserialize, Serialize};

use crate::model::entry::fields::Field;
use crate::model::entry::fields::Noun;
use crate::model::entry::fields::What;
use crate::model::id::FuelStoreId;
use crate::model::id::GeneratorId;

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GeneratorRun {
    pub generator: GeneratorId,
    pub hours: f64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub load_w: Option<f64>,
    /// fuel it took, and from where; without it nothing is taken off the store
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fuel_l: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub store: Option<FuelStoreId>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

pub const FIELDS: &[Field] = &[
    Field::required("generator", "generator", "", What::Ref(Noun::Generator)),
    Field::required("hours", "how long it ran", "", What::Figure(&RUN_HOURS)),
    Field::optional("load_w", "load", "leave it out if it ran idle or you do not know", What::Figure(&POWER)),
    Field::optional("fuel_l", "fuel it took", "", What::Figure(&FUEL)),
    Field::optional("store", "from", "", What::Ref(Noun::FuelStore)),
    Field::optional("note", "note", "", What::Text(1000)),
];
