//! A generator that does not bear what hangs on it. Raised where it cannot run or start the pump, as far as anybody said
//! what it gives, or where all of it together is more than it makes; cleared when it does.

use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_watts;

use crate::findings::Finding;
use crate::findings::Scene;
use crate::findings::Weight;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::picture::bears::Verdict;
use crate::picture::bears::bears;

pub(super) fn look(scene: &Scene<'_>, found: &mut Vec<Finding>) {
    let Some(standing) = scene.standing else { return };
    // A figure that does not hold is told where it is set up.
    let Ok(Some(now)) = bears(scene.site, standing, scene.now) else { return };
    let (what, todo) = match now.verdict {
        Verdict::NotThePump => (
            "The generator cannot run or start the pump: {left} all day; the days count on no pump",
            "Fit a pump that starts softly or a larger set. Until then draw by gravity or by hand.",
        ),
        Verdict::NotAll => (
            "The generator does not bear all that hangs on it at once: {left} all day, {asked} asked",
            "Run less at once, the pump first.",
        ),
        Verdict::All | Verdict::InOrder | Verdict::Unsaid => return,
    };
    let watts = |power| Arg::Figure(as_watts(power), Unit::Watt);
    let what = Message::new(what).with("left", watts(now.makes.value)).with("asked", watts(now.borne.any_start));
    found.push(scene.finding("weak_generator", Weight::Mind, what, Message::new(todo)));
}
