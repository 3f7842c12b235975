//! Something wrong that was seen, or put right.

use serde::{Deserialize, Serialize};

use crate::model::choice::Choice;
use crate::model::choice::options;
use crate::model::entry::fields::Field;
use crate::model::entry::fields::What;

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Trouble {
    Leak,
    Smell,
    Lid,
    Valve,
    Pump,
    Flooded,
    FuelContact,
    Other,
}

impl Choice for Trouble {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Leak, "leak", "a leak"),
        (Self::Smell, "smell", "smell, taste or colour"),
        (Self::Lid, "lid", "lid or screen left open"),
        (Self::Valve, "valve", "a valve"),
        (Self::Pump, "pump", "the pump"),
        (Self::Flooded, "flooded", "flood water reached it"),
        (Self::FuelContact, "fuel_contact", "fuel or chemical got in"),
        (Self::Other, "other", "something else"),
    ];
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wrong {
    pub what: Trouble,
    /// put right: the lid closed again, the leak mended
    #[serde(default)]
    pub over: bool,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

pub const FIELDS: &[Field] = &[
    Field::required("what", "what is wrong", "", What::Choice(options::<Trouble>)),
    Field::optional("over", "it is put right again", "", What::Flag),
    Field::optional("note", "what was seen", "", What::Text(1000)),
];
