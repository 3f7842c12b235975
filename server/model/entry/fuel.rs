//! Fuel brought, taken out or measured.

use jiff::civil::Date;
use keepwell_engine::quantity::FUEL;
use serde::{Deserialize, Serialize};

use crate::model::choice::Choice;
use crate::model::choice::options;
use crate::model::entry::fields::Field;
use crate::model::entry::fields::Noun;
use crate::model::entry::fields::What;
use crate::model::id::FuelStoreId;

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Move {
    In,
    Out,
    Measured,
}

impl Choice for Move {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::In, "in", "put in"),
        (Self::Out, "out", "taken out"),
        (Self::Measured, "measured", "measured: this much is there"),
    ];
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FuelMove {
    pub store: FuelStoreId,
    pub way: Move,
    pub litres: f64,
    /// the day it was bought, for what is put in
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bought: Option<Date>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stabilised: Option<bool>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

pub const FIELDS: &[Field] = &[
    Field::required("store", "fuel store", "", What::Ref(Noun::FuelStore)),
    Field::required("way", "what was done", "", What::Choice(options::<Move>)),
    Field::required("litres", "amount", "", What::Figure(&FUEL)),
    Field::optional("bought", "bought on", "", What::Date),
    Field::optional("stabilised", "stabiliser added", "", What::Flag),
    Field::optional("note", "note", "", What::Text(1000)),
];
