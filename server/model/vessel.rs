//! One tank, drum, tote, cistern or bottle, or a set of identical ones; and the bank that joins some.

use std::collections::BTreeMap;

use jiff::Timestamp;
use serde::{Deserialize, Serialize};

use crate::model::choice::Choice;
use crate::model::column::Cell;
use crate::model::column::Column;
use crate::model::id::BankId;
use crate::model::id::SiteId;
use crate::model::id::SourceId;
use crate::model::id::VesselId;
use crate::model::name::Name;

/// The shapes a vessel may have. Their dimensions and arithmetic are the engine's.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ShapeKind {
    UprightCylinder,
    UprightCone,
    UprightDished,
    UprightElliptical,
    UprightRound,
    HorizontalCylinder,
    HorizontalCone,
    HorizontalDished,
    HorizontalElliptical,
    HorizontalRound,
    Box,
    RoundedBox,
    Sphere,
    Set,
    HeaterTank,
    Table,
}

impl Choice for ShapeKind {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::UprightCylinder, "upright_cylinder", "upright cylinder"),
        (Self::HorizontalCylinder, "horizontal_cylinder", "cylinder lying down"),
        (Self::Box, "box", "box"),
        (Self::RoundedBox, "rounded_box", "box with rounded edges"),
        (Self::UprightCone, "upright_cone", "upright cylinder with a cone bottom"),
        (Self::UprightDished, "upright_dished", "upright cylinder with a dished bottom"),
        (Self::UprightElliptical, "upright_elliptical", "upright cylinder with an elliptical bottom"),
        (Self::UprightRound, "upright_round", "upright cylinder with a half-sphere bottom"),
        (Self::HorizontalDished, "horizontal_dished", "cylinder lying down, dished ends"),
        (Self::HorizontalElliptical, "horizontal_elliptical", "cylinder lying down, elliptical ends"),
        (Self::HorizontalRound, "horizontal_round", "cylinder lying down, half-sphere ends"),
        (Self::HorizontalCone, "horizontal_cone", "cylinder lying down, cone ends"),
        (Self::Sphere, "sphere", "sphere"),
        (Self::Set, "set", "a set of identical containers"),
        (Self::HeaterTank, "heater_tank", "water heater"),
        (Self::Table, "table", "by the owner's own table"),
    ];
}

/// How water is got out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum DrawWay {
    Pump,
    Gravity,
    Dip,
}

impl Choice for DrawWay {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Pump, "pump", "pump suction"),
        (Self::Gravity, "gravity", "tap by gravity"),
        (Self::Dip, "dip", "dipped, siphoned or poured by hand"),
    ];
}

/// A way of drawing and how high over the floor it takes water; what lies below is its heel.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Draw {
    pub way: DrawWay,
    pub height_m: f64,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Material {
    Polyethylene,
    Fibreglass,
    Stainless,
    Steel,
    Concrete,
    Glass,
    Other,
}

impl Choice for Material {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Polyethylene, "polyethylene", "polyethylene"),
        (Self::Fibreglass, "fibreglass", "fibreglass"),
        (Self::Stainless, "stainless", "stainless steel"),
        (Self::Steel, "steel", "coated steel"),
        (Self::Concrete, "concrete", "concrete"),
        (Self::Glass, "glass", "glass"),
        (Self::Other, "other", "another material"),
    ];
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum StandsOn {
    Ground,
    Slab,
    TimberFloor,
    Stand,
    Roof,
    Buried,
}

impl Choice for StandsOn {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Ground, "ground", "the ground"),
        (Self::Slab, "slab", "a concrete slab"),
        (Self::TimberFloor, "timber_floor", "a suspended floor"),
        (Self::Stand, "stand", "a stand or shelf"),
        (Self::Roof, "roof", "a roof or loft"),
        (Self::Buried, "buried", "nothing: it is buried"),
    ];
}

/// How the stored water is renewed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum RotateHow {
    UsedThroughHouse,
    PouredAway,
    Dosed,
}

impl Choice for RotateHow {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::UsedThroughHouse, "used_through_house", "used through the house, then refilled"),
        (Self::PouredAway, "poured_away", "poured away and refilled"),
        (Self::Dosed, "dosed", "dosed and tested"),
    ];
}

/// When and how the water is renewed, and the residual it is meant to keep.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Policy {
    pub interval_days: f64,
    pub how: RotateHow,
    pub redose_days: f64,
    #[serde(default)]
    pub floor_mg_l: Option<f64>,
}

impl Default for Policy {
    /// Six months: CDC 2017, FEMA. Ninety days on a good residual: common practice, no source.
    fn default() -> Self {
        Self { interval_days: 180.0, how: RotateHow::UsedThroughHouse, redose_days: 90.0, floor_mg_l: None }
    }
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Vessel {
    pub id: VesselId,
    pub site: SiteId,
    pub name: Name,
    pub shape: ShapeKind,
    /// the shape's own, by the engine's keys: `diameter_m`, `height_m`, ...
    #[serde(default)]
    pub dimensions: BTreeMap<String, f64>,
    /// the owner's own table: depth in metres, litres
    #[serde(default)]
    pub strapping: Vec<(f64, f64)>,
    /// the full mark over the floor; the rim where there is none
    #[serde(default)]
    pub full_m: Option<f64>,
    #[serde(default)]
    pub draws: Vec<Draw>,
    pub material: Material,
    pub food_grade: bool,
    pub closed: bool,
    /// opaque, or kept in the dark
    pub opaque: bool,
    pub stands_on: StandsOn,
    pub anchored: bool,
    /// what it weighs with nothing in it
    #[serde(default)]
    pub empty_kg: Option<f64>,
    /// height of its floor over the site's datum, for vessels that share a surface
    #[serde(default)]
    pub floor_m: f64,
    #[serde(default)]
    pub bank: Option<BankId>,
    /// what it is usually filled from
    #[serde(default)]
    pub source: Option<SourceId>,
    pub policy: Policy,
    /// counts only in an outage: a heater tank, a bath
    #[serde(default)]
    pub outage_only: bool,
    /// drawn on daily without an entry each time: its level tells the use
    #[serde(default)]
    pub daily_use: bool,
    /// it stands where water freezes in a hard frost
    #[serde(default)]
    pub may_freeze: bool,
    /// in place since; no entry may be about an earlier time
    pub since: Timestamp,
    #[serde(default)]
    pub ended: Option<Timestamp>,
    #[serde(default)]
    pub notes: String,
}

/// Vessels joined by a manifold. Coupled or separate is a state, changed by an entry.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bank {
    pub id: BankId,
    pub site: SiteId,
    pub name: Name,
    pub coupled_at_first: bool,
}

pub const POLICY_COLUMNS: &[Column] = &[
    Column::new("interval_days", Cell::Figure),
    Column::choice::<RotateHow>("how"),
    Column::new("redose_days", Cell::Figure),
    Column::new("floor_mg_l", Cell::Maybe(&Cell::Figure)),
];

pub const COLUMNS: &[Column] = &[
    Column::new("id", Cell::Id),
    Column::new("site", Cell::Id),
    Column::new("name", Cell::Text),
    Column::choice::<ShapeKind>("shape"),
    Column::new("dimensions", Cell::Dimensions),
    Column::new("strapping", Cell::Pairs(&[Column::new("depth_m", Cell::Figure), Column::new("litres", Cell::Figure)])),
    Column::new("full_m", Cell::Maybe(&Cell::Figure)),
    Column::new("draws", Cell::Rows(&[Column::choice::<DrawWay>("way"), Column::new("height_m", Cell::Figure)])),
    Column::choice::<Material>("material"),
    Column::new("food_grade", Cell::Flag),
    Column::new("closed", Cell::Flag),
    Column::new("opaque", Cell::Flag),
    Column::choice::<StandsOn>("stands_on"),
    Column::new("anchored", Cell::Flag),
    Column::new("empty_kg", Cell::Maybe(&Cell::Figure)),
    Column::new("floor_m", Cell::Figure),
    Column::new("bank", Cell::Maybe(&Cell::Id)),
    Column::new("source", Cell::Maybe(&Cell::Id)),
    Column::new("policy", Cell::Part(POLICY_COLUMNS)),
    Column::new("outage_only", Cell::Flag),
    Column::new("daily_use", Cell::Flag),
    Column::new("may_freeze", Cell::Flag),
    Column::new("since", Cell::Moment),
    Column::new("ended", Cell::Maybe(&Cell::Moment)),
    Column::new("notes", Cell::Text),
];

pub const BANK_COLUMNS: &[Column] = &[
    Column::new("id", Cell::Id),
    Column::new("site", Cell::Id),
    Column::new("name", Cell::Text),
    Column::new("coupled_at_first", Cell::Flag),
];
