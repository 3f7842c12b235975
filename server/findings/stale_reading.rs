//! A level last read long ago. Raised after 30 days without a reading (common practice, no source), or when its own
//! band has grown wider than the engine calls fresh; cleared by a reading.

use keepwell_engine::quantity::days;

use crate::findings::Finding;
use crate::findings::Scene;
use crate::findings::Weight;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::vessel::ShapeKind;

const RAISE_DAYS: f64 = 30.0;

pub(super) fn look(scene: &Scene<'_>, found: &mut Vec<Finding>) {
    for vessel in scene.site.vessels_at(scene.now) {
        // Sealed containers are counted, not dipped, and a heater is full as long as the mains are on.
        if matches!(vessel.vessel.shape, ShapeKind::Set | ShapeKind::HeaterTank) {
            continue;
        }
        let Some((read, _)) = vessel.state().last_reading else { continue };
        if scene.now.since(read) < days(RAISE_DAYS) {
            continue;
        }
        let what = Message::new("{vessel} was last read {ago}")
            .with("vessel", Arg::text(vessel.vessel.name.as_str()))
            .with("ago", Arg::Ago(read));
        let finding =
            scene.of_vessel("stale_reading", vessel, Weight::Mind, what, Message::new("Dip it: five minutes."));
        found.push(Finding { since: Some(read), ..finding });
    }
}
