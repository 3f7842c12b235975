//! An entry that what was believed cannot explain. Raised by the entry, cleared by the next reading that fits.

use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_litres;

use crate::findings::Finding;
use crate::findings::Scene;
use crate::findings::Weight;
use crate::model::message::Arg;
use crate::model::message::Message;

pub(super) fn look(scene: &Scene<'_>, found: &mut Vec<Finding>) {
    for vessel in scene.site.vessels_at(scene.now) {
        let Some(misfit) = vessel.state().misfit else { continue };
        let what = Message::new("{vessel}: an entry does not fit, {expected} was expected")
            .with("vessel", Arg::text(vessel.vessel.name.as_str()))
            .with("expected", Arg::Figure(as_litres(misfit.expected.volume), Unit::Litre));
        let todo = Message::new("Was a fill or a draw missed? Dip it again; void the entry if it was mistyped.");
        let finding = scene.of_vessel("misfit", vessel, Weight::Mind, what, todo);
        found.push(Finding { since: Some(misfit.at), ..finding });
    }
}
