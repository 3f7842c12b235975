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

const SOFTER: &str = "Fit a pump that starts softly or a larger set. Until then draw by gravity or by hand.";
const LESS: &str = "Run less at once, the pump first.";

pub(super) fn look(scene: &Scene<'_>, found: &mut Vec<Finding>) {
    let Some(standing) = scene.standing else { return };
    let now = match bears(scene.site, standing, scene.now) {
        Ok(Some(now)) => now,
        Ok(None) => return,
        Err(error) => {
            tracing::error!(site = %scene.site.site.id, "what a generator bears cannot be reckoned: {error}");
            return;
        }
    };
    let (left, asked) = (now.makes.value, now.borne.running);
    let seconds = now.bursts.as_ref().map_or(left, |bursts| bursts.value);
    let (what, (left, asked), todo) = match now.verdict {
        Verdict::NotThePump if standing.run.battery.is_some() => (
            "The generator cannot run or start the pump: {left} all day; only the battery runs it",
            (left, asked),
            SOFTER,
        ),
        Verdict::NotThePump => (
            "The generator cannot run or start the pump: {left} all day; the days count on no pump",
            (left, asked),
            SOFTER,
        ),
        Verdict::NotAll if !now.borne.runs => {
            ("The generator makes less than all that hangs on it: {left} all day, {asked} asked", (left, asked), LESS)
        }
        Verdict::NotAll => (
            "The generator does not start all that hangs on it: {left} for some seconds, {asked} asked",
            (seconds, now.borne.in_order),
            LESS,
        ),
        Verdict::All | Verdict::InOrder | Verdict::Unsaid => return,
    };
    let watts = |power| Arg::Figure(as_watts(power), Unit::Watt);
    let what = Message::new(what).with("left", watts(left)).with("asked", watts(asked));
    found.push(scene.finding("weak_generator", Weight::Mind, what, Message::new(todo)));
}
