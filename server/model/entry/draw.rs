//! Water taken out and used.

use keepwell_engine::quantity::VOLUME;
use serde::{Deserialize, Serialize};

use crate::model::choice::options;
use crate::model::entry::fields::Field;
use crate::model::entry::fields::Problem;
use crate::model::entry::fields::What;
use crate::model::entry::fill::Measured;
use crate::model::message::Message;

/// An amount, down to the outlet, or neither: "I do not know".
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Draw {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub litres: Option<f64>,
    #[serde(default)]
    pub to_outlet: bool,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub measured: Option<Measured>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lot: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

pub const FIELDS: &[Field] = &[
    Field::optional("litres", "amount", "leave it out if you do not know", What::Figure(&VOLUME)),
    Field::optional("to_outlet", "down to the outlet", "", What::Flag),
    Field::optional("measured", "how the amount is known", "", What::Choice(options::<Measured>)),
    Field::optional("lot", "lot", "which containers of the set", What::Text(40)),
    Field::optional("note", "note", "", What::Text(1000)),
];

impl Draw {
    /// # Errors
    /// Not both an amount and "to the outlet".
    pub fn check(&self) -> Result<(), Problem> {
        if self.to_outlet && self.litres.is_some() {
            return Err(Problem::new("litres", Message::new("Either down to the outlet or an amount, not both.")));
        }
        Ok(())
    }
}
