//! The neighbourhood's own settings.

use serde::{Deserialize, Serialize};

use crate::model::choice::Choice;
use crate::model::column::Cell;
use crate::model::column::Column;
use crate::model::name::Name;
use crate::model::prices;
use crate::model::prices::Prices;
use crate::model::upkeep;
use crate::model::upkeep::Intervals;

/// The units a reader is shown before choosing for themselves.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Units {
    #[default]
    Metric,
    Us,
}

impl Choice for Units {
    const LIST: &'static [(Self, &'static str, &'static str)] =
        &[(Self::Metric, "metric", "litres, metres, °C"), (Self::Us, "us", "US gallons, feet, °F")];
}

/// What holds for the whole neighbourhood.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Neighbourhood {
    pub name: Name,
    /// IANA name of the time zone, checked when it is set
    pub zone: String,
    pub units: Units,
    pub language: String,
    /// key of the rung of the ladder that days are reckoned at
    pub ration: String,
    /// how many days the neighbourhood wants to last
    pub target_days: f64,
    /// how often what is done again and again is due
    #[serde(default)]
    pub upkeep: Intervals,
    /// how hard the ground may shake, in g, off the map of the place: at short periods (SDS), at one second (SD1)
    #[serde(default)]
    pub sds_g: Option<f64>,
    #[serde(default)]
    pub sd1_g: Option<f64>,
    /// what things cost there
    #[serde(default)]
    pub prices: Prices,
}

pub const COLUMNS: &[Column] = &[
    Column::new("name", Cell::Text),
    Column::new("zone", Cell::Text),
    Column::choice::<Units>("units"),
    Column::new("language", Cell::Text),
    Column::new("ration", Cell::Text),
    Column::new("target_days", Cell::Figure),
    Column::new("upkeep", Cell::Part(upkeep::COLUMNS)),
    Column::new("sds_g", Cell::Maybe(&Cell::Figure)),
    Column::new("sd1_g", Cell::Maybe(&Cell::Figure)),
    Column::new("prices", Cell::Part(prices::COLUMNS)),
];
