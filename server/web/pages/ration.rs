//! The ration that an address asks for.

use keepwell_engine::demand::Ladder;

use crate::model::message::Arg;
use crate::model::message::Message;
use crate::web::error::Error;

/// The rung that was asked for, if any was.
///
/// # Errors
/// There is none of that name; the error names those there are.
pub fn asked(ration: Option<&str>) -> Result<Option<&str>, Error> {
    let Some(asked) = ration.filter(|asked| !asked.is_empty()) else { return Ok(None) };
    let ladder = Ladder::default();
    if ladder.rung(asked).is_some() {
        return Ok(Some(asked));
    }
    let known: Vec<&str> = ladder.rungs().iter().map(keepwell_engine::demand::Rung::key).collect();
    let what = Message::new("There is no ration {ration}; there are {known}.")
        .with("ration", Arg::text(asked))
        .with("known", Arg::text(known.join(", ")));
    Err(Error::invalid("ration", what))
}

/// What stands after an address to ask for the same ration there.
#[must_use]
pub fn question(asked: Option<&str>) -> String {
    asked.map_or_else(String::new, |ration| format!("?ration={ration}"))
}
