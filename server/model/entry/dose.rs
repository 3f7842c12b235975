//! Disinfectant added to stored water. A dose by itself changes no grade but by a shock; the test after it may.

use keepwell_engine::quantity::DOSE_VOLUME;
use keepwell_engine::quantity::PERCENT;
use serde::{Deserialize, Serialize};

use crate::model::choice::Choice;
use crate::model::choice::options;
use crate::model::entry::fields::Field;
use crate::model::entry::fields::What;

/// What the per cent on a label is of: one "12.5 %" may be 125, 138 or 150 g of chlorine a litre.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LabelPercent {
    HypochloriteByWeight,
    ChlorineByWeight,
    Trade,
}

impl Choice for LabelPercent {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::HypochloriteByWeight, "hypochlorite_by_weight", "sodium hypochlorite, by weight"),
        (Self::ChlorineByWeight, "chlorine_by_weight", "available chlorine, by weight"),
        (Self::Trade, "trade", "available chlorine, grams in 100 mL (trade per cent)"),
    ];
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Dose {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub amount_l: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub strength: Option<f64>,
    /// what that per cent is of
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub percent_of: Option<LabelPercent>,
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
    Field::optional("percent_of", "the per cent is of", "as the label says it", What::Choice(options::<LabelPercent>)),
    Field::optional("shock", "a shock dose, not for drinking", "", What::Flag),
    Field::optional("note", "note", "", What::Text(1000)),
];
