//! What things cost in the neighbourhood, in its own money, where somebody said it.

use serde::{Deserialize, Serialize};

use crate::model::column::Cell;
use crate::model::column::Column;

#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Prices {
    /// of a litre
    pub petrol_l: Option<f64>,
    pub diesel_l: Option<f64>,
    pub propane_l: Option<f64>,
    /// of a can of 20 L to keep water in
    pub can: Option<f64>,
    /// of a cartridge or a lamp
    pub stage: Option<f64>,
}

impl Prices {
    /// Whether any is known.
    #[must_use]
    pub fn any(&self) -> bool {
        *self != Self::default()
    }
}

pub const COLUMNS: &[Column] = &[
    Column::new("petrol_l", Cell::Maybe(&Cell::Figure)),
    Column::new("diesel_l", Cell::Maybe(&Cell::Figure)),
    Column::new("propane_l", Cell::Maybe(&Cell::Figure)),
    Column::new("can", Cell::Maybe(&Cell::Figure)),
    Column::new("stage", Cell::Maybe(&Cell::Figure)),
];
