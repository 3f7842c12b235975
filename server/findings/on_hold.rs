//! Water on hold: for nothing, in no total. Raised by the grade, cleared by it.

use keepwell_engine::grade::Grade;

use crate::findings::Finding;
use crate::findings::Scene;
use crate::findings::Weight;
use crate::model::message::Arg;
use crate::model::message::Message;

pub(super) fn look(scene: &Scene<'_>, found: &mut Vec<Finding>) {
    for vessel in scene.site.vessels_at(scene.now) {
        let parts = vessel.parts(scene.now);
        let held = parts.iter().find(|part| part.graded.grade == Some(Grade::Hold));
        let Some(cause) = held.and_then(|part| part.graded.causes.iter().find(|cause| cause.grade() == Grade::Hold))
        else {
            continue;
        };
        let what = Message::new("{vessel} is on hold: {cause}")
            .with("vessel", Arg::text(vessel.vessel.name.as_str()))
            .with("cause", Arg::Word(cause.name()));
        found.push(scene.of_vessel("on_hold", vessel, Weight::DoNow, what, Message::new(cause.todo())));
    }
}
