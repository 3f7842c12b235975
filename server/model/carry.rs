//! A way that water may go from one site to another, as it was agreed between them.

use jiff::Timestamp;
use serde::{Deserialize, Serialize};

use crate::model::choice::Choice;
use crate::model::column::Cell;
use crate::model::column::Column;
use crate::model::id::CarryId;
use crate::model::id::SiteId;
use crate::model::name::Name;

/// How it is brought.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Means {
    Foot,
    Cart,
    Car,
    Hose,
}

impl Choice for Means {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Foot, "foot", "on foot"),
        (Self::Cart, "cart", "by cart"),
        (Self::Car, "car", "by car"),
        (Self::Hose, "hose", "by hose"),
    ];
}

/// From its first giver to its last receiver: water is not passed on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Carry {
    pub id: CarryId,
    /// what it is called: "Over the footbridge"
    pub name: Name,
    /// the giver
    pub from: SiteId,
    /// the receiver
    pub to: SiteId,
    pub means: Means,
    /// the most that is brought in a day
    pub litres_a_day: f64,
    /// litres in one trip, which say how many trips it takes
    pub litres_a_trip: f64,
    /// the part of it that is spilt or stays behind
    #[serde(default)]
    pub loss: f64,
    /// no longer agreed since
    #[serde(default)]
    pub ended: Option<Timestamp>,
}

pub const COLUMNS: &[Column] = &[
    Column::new("id", Cell::Id),
    Column::new("name", Cell::Text),
    Column::new("from", Cell::Id),
    Column::new("to", Cell::Id),
    Column::choice::<Means>("means"),
    Column::new("litres_a_day", Cell::Figure),
    Column::new("litres_a_trip", Cell::Figure),
    Column::new("loss", Cell::Figure),
    Column::new("ended", Cell::Maybe(&Cell::Moment)),
];
