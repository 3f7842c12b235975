//! What a test of the water showed.

use keepwell_engine::quantity::FREE_CHLORINE;
use keepwell_engine::quantity::PH;
use keepwell_engine::quantity::TOTAL_CHLORINE;
use keepwell_engine::quantity::TURBIDITY;
use keepwell_engine::quantity::WATER_TEMPERATURE;
use serde::{Deserialize, Serialize};

use crate::model::choice::Choice;
use crate::model::choice::options;
use crate::model::entry::fields::Field;
use crate::model::entry::fields::Problem;
use crate::model::entry::fields::What;
use crate::model::message::Message;

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Coliform {
    Found,
    NotFound,
}

impl Choice for Coliform {
    const LIST: &'static [(Self, &'static str, &'static str)] =
        &[(Self::NotFound, "not_found", "not found"), (Self::Found, "found", "found")];
}

#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Test {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub free_mg_l: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub total_mg_l: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub turbidity_ntu: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ph: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperature_c: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub coliform: Option<Coliform>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lot: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

pub const FIELDS: &[Field] = &[
    Field::optional("free_mg_l", "free chlorine", "", What::Figure(&FREE_CHLORINE)),
    Field::optional("total_mg_l", "total chlorine", "", What::Figure(&TOTAL_CHLORINE)),
    Field::optional("turbidity_ntu", "turbidity", "", What::Figure(&TURBIDITY)),
    Field::optional("ph", "pH", "", What::Figure(&PH)),
    Field::optional("temperature_c", "water temperature", "", What::Figure(&WATER_TEMPERATURE)),
    Field::optional("coliform", "coliforms", "", What::Choice(options::<Coliform>)),
    Field::optional("lot", "lot", "which containers of the set", What::Text(40)),
    Field::optional("note", "note", "", What::Text(1000)),
];

impl Test {
    /// # Errors
    /// Something must have been tested.
    pub fn check(&self) -> Result<(), Problem> {
        let figures = [self.free_mg_l, self.total_mg_l, self.turbidity_ntu, self.ph, self.temperature_c];
        if figures.iter().all(Option::is_none) && self.coliform.is_none() {
            return Err(Problem::new("free_mg_l", Message::new("Give at least one result.")));
        }
        Ok(())
    }
}
