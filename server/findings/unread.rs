//! A vessel of which nobody ever said how much is in it: it counts as nothing. Raised by its set-up, cleared by the first
//! reading or fill to the top.

use crate::findings::Finding;
use crate::findings::Scene;
use crate::findings::Weight;
use crate::model::message::Arg;
use crate::model::message::Message;

pub(super) fn look(scene: &Scene<'_>, found: &mut Vec<Finding>) {
    for vessel in scene.site.vessels_at(scene.now).filter(|vessel| !vessel.is_known()) {
        let what = Message::new("Nobody has said how much is in {vessel}, so nothing is counted")
            .with("vessel", Arg::text(vessel.vessel.name.as_str()));
        found.push(scene.of_vessel(
            "unread",
            vessel,
            Weight::Mind,
            what,
            Message::new("Read its level, or fill it to the top, and log it."),
        ));
    }
}
