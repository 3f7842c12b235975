//! Disinfectant added to stored water. A dose by itself changes no grade but by a shock; the test after it may.

use keepwell_engine::quantity::DOSE_VOLUME;
use keepwell_engine::quantity::PERCENT;
use serde::{Deserialize, Serialize};

use crate::model::entry::fields::Field;
use crate::model::entry::fields::What;

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Dose {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub amount_l: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub strength: Option<f64>,
    #[serde(default)]
    pub shock: bool,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

pub const FIELDS: &[Field] = &[
    Field::optional(
        "amount_l",
        "disinfectant added",
        "plain, unscented bleach; 5 mL is a teaspoon",
        What::Figure(&DOSE_VOLUME),
    ),
    Field::optional("strength", "strength on the label", "6 % is 0.06", What::Figure(&PERCENT)),
    Field::optional("shock", "a shock dose, not for drinking", "", What::Flag),
    Field::optional("note", "note", "", What::Text(1000)),
];
