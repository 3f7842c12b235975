//! Where water comes from. Sources belong to the neighbourhood, so that a notice on the mains is entered once.

use serde::{Deserialize, Serialize};

use crate::model::choice::Choice;
use crate::model::column::Cell;
use crate::model::column::Column;
use crate::model::id::SourceId;
use crate::model::name::Name;

/// What kind of water it gives, which decides what a fill from it counts as.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SourceKind {
    Mains,
    Bought,
    Carrier,
    TestedWell,
    Well,
    Rain,
    River,
    UnknownCarrier,
    NonPotable,
}

impl Choice for SourceKind {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Mains, "mains", "public mains"),
        (Self::Bought, "bought", "bought, sealed"),
        (Self::Carrier, "carrier", "licensed carrier, as drinking water"),
        (Self::TestedWell, "tested_well", "well, tested as drinking water"),
        (Self::Well, "well", "well, not tested"),
        (Self::Rain, "rain", "rain"),
        (Self::River, "river", "river, spring or lake"),
        (Self::UnknownCarrier, "unknown_carrier", "a carrier we do not know"),
        (Self::NonPotable, "non_potable", "non-potable line, pool, chemical doubt"),
    ];
}

/// What keeps it disinfected on its way here.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Disinfectant {
    FreeChlorine,
    Chloramine,
    None,
    #[default]
    Unknown,
}

impl Choice for Disinfectant {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::FreeChlorine, "free_chlorine", "free chlorine"),
        (Self::Chloramine, "chloramine", "chloramine"),
        (Self::None, "none", "none"),
        (Self::Unknown, "unknown", "not known"),
    ];
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Source {
    pub id: SourceId,
    pub name: Name,
    pub kind: SourceKind,
    pub disinfectant: Disinfectant,
    #[serde(default)]
    pub notes: String,
}

pub const COLUMNS: &[Column] = &[
    Column::new("id", Cell::Id),
    Column::new("name", Cell::Text),
    Column::choice::<SourceKind>("kind"),
    Column::choice::<Disinfectant>("disinfectant"),
    Column::new("notes", Cell::Text),
];
