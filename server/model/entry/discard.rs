//! Water poured away.

use keepwell_engine::quantity::VOLUME;
use serde::{Deserialize, Serialize};

use crate::model::choice::Choice;
use crate::model::choice::options;
use crate::model::entry::fields::Field;
use crate::model::entry::fields::Problem;
use crate::model::entry::fields::What;
use crate::model::message::Message;

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum HowFar {
    Drained,
    ToOutlet,
    Some,
}

impl Choice for HowFar {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Drained, "drained", "all of it, the heel too"),
        (Self::ToOutlet, "to_outlet", "down to the outlet"),
        (Self::Some, "some", "an amount"),
    ];
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Discard {
    pub how_far: HowFar,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub litres: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lot: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

pub const FIELDS: &[Field] = &[
    Field::required("how_far", "how far down", "", What::Choice(options::<HowFar>)),
    Field::optional("litres", "amount", "only if it was an amount", What::Figure(&VOLUME)),
    Field::optional("lot", "lot", "which containers of the set", What::Text(40)),
    Field::optional("note", "note", "", What::Text(1000)),
];

impl Discard {
    /// # Errors
    /// An amount goes with "an amount" alone.
    pub fn check(&self) -> Result<(), Problem> {
        if self.how_far != HowFar::Some && self.litres.is_some() {
            return Err(Problem::new(
                "litres",
                Message::new("An amount is only asked for when an amount was poured away."),
            ));
        }
        Ok(())
    }
}
