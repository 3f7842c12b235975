//! A vessel from which nothing can be drawn as it is set up: its water counts for nothing. Raised and cleared by the
//! set-up.

use crate::findings::Finding;
use crate::findings::Scene;
use crate::findings::Weight;
use crate::model::message::Arg;
use crate::model::message::Message;

pub(super) fn look(scene: &Scene<'_>, found: &mut Vec<Finding>) {
    for vessel in scene.site.vessels_at(scene.now).filter(|vessel| vessel.body.lowest_heel().is_none()) {
        let what = Message::new("{vessel} has no way of drawing, so nothing in it counts")
            .with("vessel", Arg::text(vessel.vessel.name.as_str()));
        let todo = Message::new("Say in its set-up how water is got out: by pump, by a tap, or by hand.");
        found.push(scene.of_vessel("no_outlet", vessel, Weight::Mind, what, todo));
    }
}
