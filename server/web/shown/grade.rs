//! What water is counted as, and why, in words.

use keepwell_engine::grade::Grade;
use keepwell_engine::grade::Origin;
use keepwell_engine::grade::Reason;
use keepwell_engine::grade::Step;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_mg_per_litre;

use crate::web::reader::Reader;
use crate::web::shown;
use crate::web::words::Phrase;

/// What a litre is counted as, in the words of a list; an empty vessel's water is counted as nothing.
#[must_use]
pub const fn counted_as(grade: Option<Grade>) -> &'static str {
    match grade {
        Some(Grade::Drink) => "drinking water",
        Some(Grade::Treat) => "treat first",
        Some(Grade::Utility) => "washing only",
        Some(Grade::Hold) => "on hold",
        None => "empty",
    }
}

/// One fact behind a grade; for what stands against the water, also what it means and what takes it away.
#[derive(Clone, Debug)]
pub struct Why {
    pub words: Phrase,
    /// none for a plain fact
    pub stands: Option<Stands>,
}

/// What stands against the water.
#[derive(Clone, Debug)]
pub struct Stands {
    pub meaning: Phrase,
    pub todo: Phrase,
    pub lifted_by: Phrase,
    pub never: Phrase,
    pub source: Phrase,
    /// how far its way out has been gone; none where nothing is done yet
    pub so_far: Option<Phrase>,
}

/// The fact, said.
#[must_use]
pub fn why(reader: &Reader, reason: &Reason) -> Why {
    let said = |key: &str| shown::words(reader, key);
    let plain = |words: Phrase| Why { words, stands: None };
    match *reason {
        Reason::Filled { from, at, boiled } => {
            let key = if boiled { filled_boiled(from) } else { filled(from) };
            plain(said(key).with("date", shown::date(reader, &at)))
        }
        Reason::ToppedUp { from, at, boiled } => {
            let key = if boiled { "topped up {date}, {from}, boiled first" } else { "topped up {date}, {from}" };
            plain(said(key).with("date", shown::date(reader, &at)).with("from", said(origin(from))))
        }
        Reason::Sealed { printed } => {
            plain(said("sealed as bought, printed {date}").with("date", shown::date(reader, &printed)))
        }
        Reason::RunsThrough { age, since, renewed } => plain(if renewed {
            said("the mains run through it: about {age} old").with("age", shown::figure(reader, days(age), Unit::Day))
        } else {
            said("the mains run through it since {date}, not yet five times its volume")
                .with("date", shown::date(reader, &since))
        }),
        Reason::Tested { at, reading, total } => {
            let key = if total { "total chlorine {reading} on {date}" } else { "free chlorine {reading} on {date}" };
            let reading = shown::figure(reader, as_mg_per_litre(reading), Unit::MilligramPerLitre);
            plain(said(key).with("reading", reading).with("date", shown::date(reader, &at)))
        }
        Reason::Stands { cause, since, step } => {
            let words = match since {
                Some(since) => said("{cause}, since {date}").with("date", shown::date(reader, &since)),
                None => said("{cause}"),
            };
            Why {
                words: words.with("cause", said(cause.name())),
                stands: Some(Stands {
                    meaning: said(cause.meaning()),
                    todo: said(cause.todo()),
                    lifted_by: said(cause.lifted_by()),
                    never: said(cause.never()),
                    source: said(cause.source()),
                    so_far: so_far(step).map(said),
                }),
            }
        }
    }
}

fn days(time: keepwell_engine::quantity::Time) -> f64 {
    keepwell_engine::quantity::as_days(time)
}

const fn filled(from: Origin) -> &'static str {
    match from {
        Origin::Mains => "mains fill {date}",
        Origin::Bought => "bought or brought as drinking water {date}",
        Origin::Doubtful => "filled from a doubtful source {date}",
        Origin::Chemical => "filled from a source in chemical doubt {date}",
        Origin::Vessel => "filled from another vessel, water of {date}",
    }
}

const fn filled_boiled(from: Origin) -> &'static str {
    match from {
        Origin::Mains => "mains fill {date}, boiled first",
        Origin::Bought => "bought or brought as drinking water {date}, boiled first",
        Origin::Doubtful => "filled from a doubtful source {date}, boiled first",
        Origin::Chemical => "filled from a source in chemical doubt {date}, boiled first",
        Origin::Vessel => "filled from another vessel, water of {date}, boiled first",
    }
}

const fn origin(from: Origin) -> &'static str {
    match from {
        Origin::Mains => "from the mains",
        Origin::Bought => "with water brought as drinking water",
        Origin::Doubtful => "from a doubtful source",
        Origin::Chemical => "from a source in chemical doubt",
        Origin::Vessel => "from another vessel",
    }
}

const fn so_far(step: Step) -> Option<&'static str> {
    match step {
        Step::Came => None,
        Step::Drained => Some("Emptied since."),
        Step::Soaking => Some("Disinfected since, and that water still stands in it."),
        Step::Disinfected => Some("Emptied and disinfected since."),
        Step::Filled => Some("Emptied, disinfected and filled since; a sample without coliforms is still to come."),
    }
}
