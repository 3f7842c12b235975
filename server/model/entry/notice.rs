//! A notice on a supply, from the day the authority says it holds; and its lifting, by the authority alone.

use serde::{Deserialize, Serialize};

use crate::model::choice::Choice;
use crate::model::choice::options;
use crate::model::entry::fields::Field;
use crate::model::entry::fields::Noun;
use crate::model::entry::fields::What;
use crate::model::id::SourceId;

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum NoticeKind {
    Boil,
    DoNotDrink,
    DoNotUse,
}

impl Choice for NoticeKind {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Boil, "boil", "boil before drinking"),
        (Self::DoNotDrink, "do_not_drink", "do not drink"),
        (Self::DoNotUse, "do_not_use", "do not use"),
    ];
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Notice {
    pub source: SourceId,
    pub kind: NoticeKind,
    /// whose word it is
    pub by: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// Of a notice and of its lifting.
pub const FIELDS: &[Field] = &[
    Field::required("source", "supply", "", What::Ref(Noun::Source)),
    Field::required("kind", "notice", "", What::Choice(options::<NoticeKind>)),
    Field::required("by", "whose word it is", "the authority that says so", What::Text(120)),
    Field::optional("note", "note", "", What::Text(1000)),
];
