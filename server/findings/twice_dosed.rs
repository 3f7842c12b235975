//! A second dose with no test between. Raised by it, cleared by a test.

use crate::findings::Finding;
use crate::findings::Scene;
use crate::findings::Weight;
use crate::model::message::Arg;
use crate::model::message::Message;

pub(super) fn look(scene: &Scene<'_>, found: &mut Vec<Finding>) {
    for vessel in scene.site.vessels_at(scene.now).filter(|vessel| vessel.state().doses_untested > 1) {
        let what = Message::new("{vessel} was dosed twice with no test between")
            .with("vessel", Arg::text(vessel.vessel.name.as_str()));
        let todo = Message::new("Test free chlorine before anyone drinks from it.");
        found.push(scene.of_vessel("twice_dosed", vessel, Weight::DoNow, what, todo));
    }
}
