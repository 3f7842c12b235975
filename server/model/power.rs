//! Generators, the fuel kept for them, and what they drive.

use jiff::Timestamp;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::model::choice::Choice;
use crate::model::column::Cell;
use crate::model::column::Column;
use crate::model::id::FuelStoreId;
use crate::model::id::GeneratorId;
use crate::model::id::LoadId;
use crate::model::id::SiteId;
use crate::model::name::Name;

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Fuel {
    Petrol,
    Diesel,
    Propane,
    MainsGas,
}

impl Choice for Fuel {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Petrol, "petrol", "petrol"),
        (Self::Diesel, "diesel", "diesel"),
        (Self::Propane, "propane", "propane"),
        (Self::MainsGas, "mains_gas", "natural gas from the main"),
    ];
}

/// One point of the burn line: at this load, so many litres of fuel an hour. The first is the no-load burn.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BurnPoint {
    pub load_w: f64,
    pub litres_per_hour: f64,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Generator {
    pub id: GeneratorId,
    pub site: SiteId,
    pub name: Name,
    pub fuel: Fuel,
    pub rated_w: f64,
    /// for some seconds, as a motor starts
    #[serde(default)]
    pub burst_w: Option<f64>,
    pub burn: Vec<BurnPoint>,
    #[serde(default)]
    pub ended: Option<Timestamp>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FuelStore {
    pub id: FuelStoreId,
    pub site: SiteId,
    pub name: Name,
    pub fuel: Fuel,
    #[serde(default)]
    pub capacity_l: Option<f64>,
    /// what was in it when it was set up; entries move it from there
    pub amount_l: f64,
    /// the day the oldest of it was bought
    #[serde(default)]
    pub bought: Option<Date>,
    #[serde(default)]
    pub stabilised: bool,
    pub since: Timestamp,
    #[serde(default)]
    pub ended: Option<Timestamp>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Load {
    pub id: LoadId,
    pub site: SiteId,
    pub name: Name,
    pub running_w: f64,
    #[serde(default)]
    pub surge_w: Option<f64>,
    /// hours a day while the generator runs its plan
    pub hours_a_day: f64,
    /// the pump that brings stored water to the taps
    #[serde(default)]
    pub pump: bool,
    #[serde(default)]
    pub ended: Option<Timestamp>,
}

pub const GENERATOR_COLUMNS: &[Column] = &[
    Column::new("id", Cell::Id),
    Column::new("site", Cell::Id),
    Column::new("name", Cell::Text),
    Column::choice::<Fuel>("fuel"),
    Column::new("rated_w", Cell::Figure),
    Column::new("burst_w", Cell::Maybe(&Cell::Figure)),
    Column::new(
        "burn",
        Cell::Rows(&[Column::new("load_w", Cell::Figure), Column::new("litres_per_hour", Cell::Figure)]),
    ),
    Column::new("ended", Cell::Maybe(&Cell::Moment)),
];

pub const FUEL_STORE_COLUMNS: &[Column] = &[
    Column::new("id", Cell::Id),
    Column::new("site", Cell::Id),
    Column::new("name", Cell::Text),
    Column::choice::<Fuel>("fuel"),
    Column::new("capacity_l", Cell::Maybe(&Cell::Figure)),
    Column::new("amount_l", Cell::Figure),
    Column::new("bought", Cell::Maybe(&Cell::Day)),
    Column::new("stabilised", Cell::Flag),
    Column::new("since", Cell::Moment),
    Column::new("ended", Cell::Maybe(&Cell::Moment)),
];

pub const LOAD_COLUMNS: &[Column] = &[
    Column::new("id", Cell::Id),
    Column::new("site", Cell::Id),
    Column::new("name", Cell::Text),
    Column::new("running_w", Cell::Figure),
    Column::new("surge_w", Cell::Maybe(&Cell::Figure)),
    Column::new("hours_a_day", Cell::Figure),
    Column::new("pump", Cell::Flag),
    Column::new("ended", Cell::Maybe(&Cell::Moment)),
];
