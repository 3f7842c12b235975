//! Who signs in, and what for.

use jiff::Timestamp;
use serde::{Deserialize, Serialize};

use crate::model::choice::Choice;
use crate::model::column::Cell;
use crate::model::column::Column;
use crate::model::id::PersonId;
use crate::model::id::SiteId;
use crate::model::name::Name;

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    Coordinator,
    Keeper,
}

impl Choice for Role {
    const LIST: &'static [(Self, &'static str, &'static str)] =
        &[(Self::Coordinator, "coordinator", "coordinator"), (Self::Keeper, "keeper", "keeper")];
}

/// An account. The password's hash is the store's and never travels with this.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Person {
    pub id: PersonId,
    pub name: Name,
    pub role: Role,
    /// the sites a keeper keeps
    #[serde(default)]
    pub sites: Vec<SiteId>,
    #[serde(default)]
    pub ended: Option<Timestamp>,
}

pub const COLUMNS: &[Column] = &[
    Column::new("id", Cell::Id),
    Column::new("name", Cell::Text),
    Column::choice::<Role>("role"),
    Column::new("sites", Cell::Ids),
    Column::new("ended", Cell::Maybe(&Cell::Moment)),
];
