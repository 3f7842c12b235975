//! A site's battery, its inverter and its solar panels.

use jiff::Timestamp;
use serde::{Deserialize, Serialize};

use crate::model::column::Cell;
use crate::model::column::Column;
use crate::model::id::BatteryId;
use crate::model::id::SiteId;
use crate::model::name::Name;

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Battery {
    pub id: BatteryId,
    pub site: SiteId,
    pub name: Name,
    /// from full to empty, as on its plate
    pub capacity_wh: f64,
    /// the part of it that may be used: its depth of discharge
    pub usable: f64,
    /// the part of what leaves the battery that reaches the socket
    pub inverter: f64,
    /// what the inverter takes only to be on
    #[serde(default)]
    pub idle_w: Option<f64>,
    /// how full it was when somebody looked; full where nobody did
    #[serde(default)]
    pub charge: Option<f64>,
    /// its panels, as on their plates; none without
    #[serde(default)]
    pub panels_w: Option<f64>,
    /// peak-sun hours a day; by month and latitude where nobody has them
    #[serde(default)]
    pub sun_hours: Option<f64>,
    /// the part that is lost between the panels and the inverter
    #[serde(default)]
    pub panel_loss: Option<f64>,
    #[serde(default)]
    pub ended: Option<Timestamp>,
}

impl Battery {
    /// Lost on the way from the panels where nobody said how much: the default of the PVWatts manual (NREL, Dobos 2014).
    pub const PANEL_LOSS: f64 = 0.14;
}

pub const COLUMNS: &[Column] = &[
    Column::new("id", Cell::Id),
    Column::new("site", Cell::Id),
    Column::new("name", Cell::Text),
    Column::new("capacity_wh", Cell::Figure),
    Column::new("usable", Cell::Figure),
    Column::new("inverter", Cell::Figure),
    Column::new("idle_w", Cell::Maybe(&Cell::Figure)),
    Column::new("charge", Cell::Maybe(&Cell::Figure)),
    Column::new("panels_w", Cell::Maybe(&Cell::Figure)),
    Column::new("sun_hours", Cell::Maybe(&Cell::Figure)),
    Column::new("panel_loss", Cell::Maybe(&Cell::Figure)),
    Column::new("ended", Cell::Maybe(&Cell::Moment)),
];
