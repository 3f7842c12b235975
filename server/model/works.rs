//! What water passes between a vessel and the tap: the stages of its treatment, and the pump with its pipes.

use jiff::Timestamp;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::model::choice::Choice;
use crate::model::column::Cell;
use crate::model::column::Column;
use crate::model::id::PumpId;
use crate::model::id::SiteId;
use crate::model::id::StageId;
use crate::model::name::Name;

/// What a stage does to the water.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum StageKind {
    Screen,
    Sediment,
    CystFilter,
    Carbon,
    Ultraviolet,
    Chlorine,
    Boil,
}

impl Choice for StageKind {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Screen, "screen", "screen"),
        (Self::Sediment, "sediment", "sediment filter"),
        (Self::CystFilter, "cyst_filter", "cyst filter"),
        (Self::Carbon, "carbon", "carbon filter"),
        (Self::Ultraviolet, "ultraviolet", "ultraviolet lamp"),
        (Self::Chlorine, "chlorine", "chlorine, with contact in a tank"),
        (Self::Boil, "boil", "boiling at use"),
    ];
}

/// What an ultraviolet unit was tested as (NSF/ANSI 55).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum UvClass {
    A,
    B,
    Untested,
}

impl Choice for UvClass {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::A, "a", "Class A: 40 mJ/cm² at the alarm point"),
        (Self::B, "b", "Class B: for water that is drinking water already"),
        (Self::Untested, "untested", "not tested, or nobody knows"),
    ];
}

/// One stage of a site's train.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stage {
    pub id: StageId,
    pub site: SiteId,
    pub name: Name,
    pub kind: StageKind,
    /// in the train, from the source; 1 is the first
    pub place: u32,
    #[serde(default)]
    pub most_flow_l_per_min: Option<f64>,
    /// pressure lost in it at that flow, clean
    #[serde(default)]
    pub drop_kpa: Option<f64>,
    #[serde(default)]
    pub life_l: Option<f64>,
    #[serde(default)]
    pub life_months: Option<f64>,
    /// when the medium or the lamp was fitted; an entry that it was renewed counts from then
    #[serde(default)]
    pub fitted: Option<Date>,
    /// what has passed since it was fitted
    #[serde(default)]
    pub passed_l: Option<f64>,
    /// what it takes while water passes
    #[serde(default)]
    pub draws_w: Option<f64>,
    #[serde(default)]
    pub uv_class: Option<UvClass>,
    /// what its counter said; without one it burns day and night since it was fitted
    #[serde(default)]
    pub lamp_hours: Option<f64>,
    #[serde(default)]
    pub lamp_life_hours: Option<f64>,
    #[serde(default)]
    pub ended: Option<Timestamp>,
}

/// A pipe's material, which decides its bore.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PipeKind {
    Plastic,
    Copper,
}

impl Choice for PipeKind {
    const LIST: &'static [(Self, &'static str, &'static str)] =
        &[(Self::Plastic, "plastic", "plastic, PVC schedule 40"), (Self::Copper, "copper", "copper, type L")];
}

/// The size a pipe is sold by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PipeSize {
    Half,
    ThreeQuarters,
    One,
    OneAndQuarter,
    OneAndHalf,
    Two,
}

impl Choice for PipeSize {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Half, "half", "1/2 in"),
        (Self::ThreeQuarters, "three_quarters", "3/4 in"),
        (Self::One, "one", "1 in"),
        (Self::OneAndQuarter, "one_and_quarter", "1 1/4 in"),
        (Self::OneAndHalf, "one_and_half", "1 1/2 in"),
        (Self::Two, "two", "2 in"),
    ];
}

/// One point of a pump's curve.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CurvePoint {
    pub flow_l_per_min: f64,
    pub head_m: f64,
}

/// A pump with its pipes, its switch and its pressure tank. All but its name may be unknown yet.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pump {
    pub id: PumpId,
    pub site: SiteId,
    pub name: Name,
    /// none, or three points and more
    #[serde(default)]
    pub curve: Vec<CurvePoint>,
    /// the electricity it takes while it runs
    #[serde(default)]
    pub power_w: Option<f64>,
    /// the suction head that it requires
    #[serde(default)]
    pub npsh_m: Option<f64>,
    /// its height, as the heights of the vessels' floors are measured
    #[serde(default)]
    pub height_m: Option<f64>,
    /// the highest tap over the pump
    #[serde(default)]
    pub lift_m: Option<f64>,
    /// what the open tap gives at 300 kPa
    #[serde(default)]
    pub tap_l_per_min: Option<f64>,
    #[serde(default)]
    pub pipe: Option<PipeKind>,
    #[serde(default)]
    pub suction_size: Option<PipeSize>,
    #[serde(default)]
    pub suction_run_m: Option<f64>,
    /// bends, valves and tees
    #[serde(default)]
    pub suction_fittings: Option<u32>,
    #[serde(default)]
    pub delivery_size: Option<PipeSize>,
    #[serde(default)]
    pub delivery_run_m: Option<f64>,
    #[serde(default)]
    pub delivery_fittings: Option<u32>,
    #[serde(default)]
    pub cut_in_kpa: Option<f64>,
    #[serde(default)]
    pub cut_out_kpa: Option<f64>,
    #[serde(default)]
    pub precharge_kpa: Option<f64>,
    /// the pressure tank's own volume
    #[serde(default)]
    pub tank_l: Option<f64>,
    #[serde(default)]
    pub ended: Option<Timestamp>,
}

pub const STAGE_COLUMNS: &[Column] = &[
    Column::new("id", Cell::Id),
    Column::new("site", Cell::Id),
    Column::new("name", Cell::Text),
    Column::choice::<StageKind>("kind"),
    Column::new("place", Cell::Count),
    Column::new("most_flow_l_per_min", Cell::Maybe(&Cell::Figure)),
    Column::new("drop_kpa", Cell::Maybe(&Cell::Figure)),
    Column::new("life_l", Cell::Maybe(&Cell::Figure)),
    Column::new("life_months", Cell::Maybe(&Cell::Figure)),
    Column::new("fitted", Cell::Maybe(&Cell::Day)),
    Column::new("passed_l", Cell::Maybe(&Cell::Figure)),
    Column::new("draws_w", Cell::Maybe(&Cell::Figure)),
    Column::new("uv_class", Cell::Maybe(&Cell::Choice(crate::model::choice::options::<UvClass>))),
    Column::new("lamp_hours", Cell::Maybe(&Cell::Figure)),
    Column::new("lamp_life_hours", Cell::Maybe(&Cell::Figure)),
    Column::new("ended", Cell::Maybe(&Cell::Moment)),
];

const SIZE: Cell = Cell::Maybe(&Cell::Choice(crate::model::choice::options::<PipeSize>));

pub const PUMP_COLUMNS: &[Column] = &[
    Column::new("id", Cell::Id),
    Column::new("site", Cell::Id),
    Column::new("name", Cell::Text),
    Column::new(
        "curve",
        Cell::Rows(&[Column::new("flow_l_per_min", Cell::Figure), Column::new("head_m", Cell::Figure)]),
    ),
    Column::new("power_w", Cell::Maybe(&Cell::Figure)),
    Column::new("npsh_m", Cell::Maybe(&Cell::Figure)),
    Column::new("height_m", Cell::Maybe(&Cell::Figure)),
    Column::new("lift_m", Cell::Maybe(&Cell::Figure)),
    Column::new("tap_l_per_min", Cell::Maybe(&Cell::Figure)),
    Column::new("pipe", Cell::Maybe(&Cell::Choice(crate::model::choice::options::<PipeKind>))),
    Column::new("suction_size", SIZE),
    Column::new("suction_run_m", Cell::Maybe(&Cell::Figure)),
    Column::new("suction_fittings", Cell::Maybe(&Cell::Count)),
    Column::new("delivery_size", SIZE),
    Column::new("delivery_run_m", Cell::Maybe(&Cell::Figure)),
    Column::new("delivery_fittings", Cell::Maybe(&Cell::Count)),
    Column::new("cut_in_kpa", Cell::Maybe(&Cell::Figure)),
    Column::new("cut_out_kpa", Cell::Maybe(&Cell::Figure)),
    Column::new("precharge_kpa", Cell::Maybe(&Cell::Figure)),
    Column::new("tank_l", Cell::Maybe(&Cell::Figure)),
    Column::new("ended", Cell::Maybe(&Cell::Moment)),
];
