//! Water handed out to people: a tally, not one draw each.

use keepwell_engine::quantity::METER;
use keepwell_engine::quantity::PEOPLE;
use keepwell_engine::quantity::VOLUME;
use serde::{Deserialize, Serialize};

use crate::model::entry::fields::Field;
use crate::model::entry::fields::Problem;
use crate::model::entry::fields::What;
use crate::model::message::Message;

/// People and litres each, or a meter's start and end.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GivenOut {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub people: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub litres_each: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub meter_start_l: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub meter_end_l: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

pub const FIELDS: &[Field] = &[
    Field::optional("people", "people served", "", What::Whole(&PEOPLE)),
    Field::optional("litres_each", "litres each", "", What::Figure(&VOLUME)),
    Field::optional("meter_start_l", "meter at the start", "", What::Figure(&METER)),
    Field::optional("meter_end_l", "meter at the end", "", What::Figure(&METER)),
    Field::optional("note", "note", "", What::Text(1000)),
];

impl GivenOut {
    /// # Errors
    /// One of the two ways must be whole, and a meter does not run backwards.
    pub fn check(&self) -> Result<(), Problem> {
        match (self.people, self.litres_each, self.meter_start_l, self.meter_end_l) {
            (_, None, Some(start), Some(end)) if end < start => {
                Err(Problem::new("meter_end_l", Message::new("The meter ends below its start.")))
            }
            (Some(_), Some(_), None, None) | (_, None, Some(_), Some(_)) => Ok(()),
            _ => {
                Err(Problem::new("people", Message::new("Give people and litres each, or the meter's start and end.")))
            }
        }
    }

    /// Litres handed out in all.
    #[must_use]
    pub fn litres(&self) -> f64 {
        match (self.people, self.litres_each, self.meter_start_l, self.meter_end_l) {
            (Some(people), Some(each), _, _) => people * each,
            (_, _, Some(start), Some(end)) => end - start,
            _ => 0.0,
        }
    }
}
