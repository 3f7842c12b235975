//! How often a neighbourhood means to do what it does again and again. What a vessel's own policy says stands there.

use serde::{Deserialize, Serialize};

use crate::model::column::Cell;
use crate::model::column::Column;

/// Days between one time and the next.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Intervals {
    /// between two readings of a level
    pub dip_days: f64,
    /// between two runs of a generator under load
    pub generator_days: f64,
    /// between two runs of a pump
    pub pump_days: f64,
    /// between two looks at the couplings and valves of a bank
    pub couplings_days: f64,
    /// between two looks round a place
    pub round_days: f64,
}

impl Default for Intervals {
    /// A generator each month under load: NFPA 110, Standard for Emergency and Standby Power Systems, 8.4 (from
    /// memory). The others: common practice, no source.
    fn default() -> Self {
        Self { dip_days: 30.0, generator_days: 30.0, pump_days: 30.0, couplings_days: 180.0, round_days: 90.0 }
    }
}

pub const COLUMNS: &[Column] = &[
    Column::new("dip_days", Cell::Figure),
    Column::new("generator_days", Cell::Figure),
    Column::new("pump_days", Cell::Figure),
    Column::new("couplings_days", Cell::Figure),
    Column::new("round_days", Cell::Figure),
];
