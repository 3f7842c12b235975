//! An entry declared wrong. It stays visible with its reason and counts no more. A void is an entry too.

use serde::{Deserialize, Serialize};

use crate::model::entry::fields::Field;
use crate::model::entry::fields::Noun;
use crate::model::entry::fields::Problem;
use crate::model::entry::fields::What;
use crate::model::id::EntryId;
use crate::model::message::Message;

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Void {
    pub entry: EntryId,
    pub reason: String,
}

pub const FIELDS: &[Field] = &[
    Field::required("entry", "entry", "", What::Ref(Noun::Entry)),
    Field::required("reason", "what was wrong with it", "", What::Text(300)),
];

impl Void {
    /// # Errors
    /// A reason is asked for.
    pub fn check(&self) -> Result<(), Problem> {
        if self.reason.trim().is_empty() {
            return Err(Problem::new("reason", Message::new("Say what was wrong with it.")));
        }
        Ok(())
    }
}
