//! A time without the mains, real or a drill. It frames what the ledger tells of and says what was agreed for it.

use jiff::Timestamp;
use serde::{Deserialize, Serialize};

use crate::model::choice::Choice;
use crate::model::column::Cell;
use crate::model::column::Column;
use crate::model::id::OutageId;

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum OutageKind {
    Real,
    Drill,
}

impl Choice for OutageKind {
    const LIST: &'static [(Self, &'static str, &'static str)] =
        &[(Self::Real, "real", "the mains are off"), (Self::Drill, "drill", "a drill")];
}

/// A ration in force from a moment on.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Step {
    pub since: Timestamp,
    /// the key of a rung of the ladder
    pub ration: String,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Outage {
    pub id: OutageId,
    pub kind: OutageKind,
    pub since: Timestamp,
    #[serde(default)]
    pub ended: Option<Timestamp>,
    /// the plan: how many days the water at its beginning is to last
    pub target_days: f64,
    /// in order of time; the first from the beginning
    pub rations: Vec<Step>,
    /// when the supplier thinks that the mains are back
    #[serde(default)]
    pub expected: Option<Timestamp>,
    /// what ran out first, written down when it ends
    #[serde(default)]
    pub ran_out: String,
    #[serde(default)]
    pub notes: String,
}

impl Outage {
    #[must_use]
    pub fn is_drill(&self) -> bool {
        self.kind == OutageKind::Drill
    }

    /// The ration in force at a moment; before the first step, the first.
    #[must_use]
    pub fn ration(&self, at: Timestamp) -> Option<&str> {
        let begun = self.rations.iter().rev().find(|step| step.since <= at);
        begun.or_else(|| self.rations.first()).map(|step| step.ration.as_str())
    }
}

pub const COLUMNS: &[Column] = &[
    Column::new("id", Cell::Id),
    Column::choice::<OutageKind>("kind"),
    Column::new("since", Cell::Moment),
    Column::new("ended", Cell::Maybe(&Cell::Moment)),
    Column::new("target_days", Cell::Figure),
    Column::new("rations", Cell::Rows(&[Column::new("since", Cell::Moment), Column::new("ration", Cell::Text)])),
    Column::new("expected", Cell::Maybe(&Cell::Moment)),
    Column::new("ran_out", Cell::Text),
    Column::new("notes", Cell::Text),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::id::Id;

    #[test]
    fn the_ration_in_force_is_the_last_that_began() {
        let at = |text: &str| text.parse::<Timestamp>().unwrap();
        let step = |since: &str, ration: &str| Step { since: at(since), ration: ration.to_owned() };
        let outage = Outage {
            id: Id::fresh(),
            kind: OutageKind::Real,
            since: at("2026-03-04T08:30:00Z"),
            ended: None,
            target_days: 7.0,
            rations: vec![step("2026-03-04T08:30:00Z", "basic"), step("2026-03-06T06:00:00Z", "lean")],
            expected: None,
            ran_out: String::new(),
            notes: String::new(),
        };
        for (moment, ration) in [
            ("2026-03-04T08:00:00Z", "basic"),
            ("2026-03-06T05:59:59Z", "basic"),
            ("2026-03-06T06:00:00Z", "lean"),
            ("2026-04-06T06:00:00Z", "lean"),
        ] {
            assert_eq!(outage.ration(at(moment)), Some(ration), "{moment}");
        }
    }
}
