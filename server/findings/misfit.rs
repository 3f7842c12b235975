//! A reading, or an amount, that what was believed cannot explain. Raised by it; where the estimator of several
//! explanations holds, when those that call it wrong, or the first after a move that nobody logged, are four in ten of
//! all (`odds::NAMED` of the engine). Cleared by the next reading that fits, by the missing entry once it is logged, or
//! by voiding the slip.

use keepwell_engine::level::explain::Why;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_litres;

use crate::findings::Finding;
use crate::findings::Scene;
use crate::findings::Weight;
use crate::model::message::Arg;
use crate::model::message::Message;

pub(super) fn look(scene: &Scene<'_>, found: &mut Vec<Finding>) {
    for vessel in scene.site.vessels_at(scene.now) {
        let Some(misfit) = vessel.misfit() else { continue };
        let (what, todo) = words(misfit.why);
        let what = Message::new(what)
            .with("vessel", Arg::text(vessel.vessel.name.as_str()))
            .with("expected", Arg::Figure(as_litres(misfit.expected.volume), Unit::Litre));
        let finding = scene.of_vessel("misfit", vessel, Weight::Mind, what, Message::new(todo));
        found.push(Finding { since: Some(misfit.at), ..finding });
    }
}

/// What is the matter by the likeliest explanation, and what to do.
const fn words(why: Option<Why>) -> (&'static str, &'static str) {
    match why {
        Some(Why::WrongReading) => (
            "{vessel}: the last reading does not fit, {expected} was expected. Was it mistyped?",
            "Dip it again: what was read counts until then. Void the entry if it was mistyped.",
        ),
        Some(Why::UnloggedDraw) => (
            "{vessel}: the last reading does not fit, {expected} was expected. Was a draw missed?",
            "Log the draw if there was one. If not, dip it again.",
        ),
        Some(Why::UnloggedFill) => (
            "{vessel}: the last reading does not fit, {expected} was expected. Was a fill missed?",
            "Log the fill if there was one, with where the water came from. If not, dip it again.",
        ),
        None => (
            "{vessel}: an entry does not fit, {expected} was expected",
            "Was a fill or a draw missed? Dip it again; void the entry if it was mistyped.",
        ),
    }
}
