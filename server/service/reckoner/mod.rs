//! The reckoner: each of the engine's calculations, asked with figures of one's own. Nothing of the neighbourhood goes in,
//! and nothing is kept.
//!
//! One description ([`Calculation`]) is the form, the check, the address, the page, the JSON and its schema. A topic is a
//! file with its descriptions; [`calculations`] lists them all.

mod calculation;
mod endurance;
mod levels;
mod people;
mod power;
mod refused;
mod structure;
mod treatment;
mod vessels;
mod warning;
mod water;

use std::sync::LazyLock;

use crate::model::entry::fields::Values;
use crate::service::App;
use crate::service::Caller;
use crate::service::Error;
use crate::service::authorise::Deed;

pub use calculation::Answer;
pub use calculation::Calculation;
pub use calculation::Found;
pub use calculation::Table;
pub use calculation::Topic;
pub use warning::Warning;

static ALL: LazyLock<Vec<Calculation>> = LazyLock::new(|| {
    [
        vessels::all(),
        levels::all(),
        water::all(),
        treatment::all(),
        structure::all(),
        power::all(),
        people::all(),
        endurance::all(),
    ]
    .into_iter()
    .flatten()
    .collect()
});

/// Every calculation, by topic.
#[must_use]
pub fn calculations() -> &'static [Calculation] {
    &ALL
}

/// The calculation of that key.
#[must_use]
pub fn calculation(key: &str) -> Option<&'static Calculation> {
    ALL.iter().find(|calculation| calculation.key == key)
}

/// What came out, and what went in: of what was not given, the usual.
#[derive(Clone, Debug)]
pub struct Reckoned {
    pub given: Values,
    pub answer: Answer,
}

impl App {
    /// What a calculation makes of these values.
    ///
    /// # Errors
    /// Nobody has signed in; every value that does not hold, or why there is no answer to them.
    pub fn reckoned(
        &self,
        caller: &Caller,
        calculation: &'static Calculation,
        given: Values,
    ) -> Result<Reckoned, Error> {
        caller.may(Deed::SeeTotals, None)?;
        let given = calculation.with_usual(given);
        let answer = calculation.answer(&given).map_err(Error::Invalid)?;
        Ok(Reckoned { given, answer })
    }
}
