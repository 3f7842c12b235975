//! Fuel or a battery gives out before the water does. Raised when a span of the run ends for want of it while drinking water is
//! left in reach of the pump alone; cleared when none does.

use keepwell_engine::endurance::Cause;
use keepwell_engine::quantity::Volume;

use crate::findings::Finding;
use crate::findings::Scene;
use crate::findings::Weight;
use crate::model::message::Arg;
use crate::model::message::Message;

pub(super) fn look(scene: &Scene<'_>, found: &mut Vec<Finding>) {
    let Some(standing) = scene.standing else { return };
    let (what, todo) = match standing.timeline.ends_ration() {
        Some(Cause::Fuel) => (
            "Fuel gives out before the water, on day {day}; {left} stays behind",
            "Run the pump fewer hours a day, bring fuel, or fit a tap that runs without the pump.",
        ),
        Some(Cause::Battery) => (
            "The battery gives out before the water, on day {day}; {left} stays behind",
            "Let less hang on it, add panels, or fit a tap that runs without the pump.",
        ),
        _ => return,
    };
    let left: Volume = standing.timeline.left.iter().fold(Volume::default(), |sum, left| sum + *left);
    let what = Message::new(what)
        .with(
            "day",
            Arg::Figure(
                keepwell_engine::quantity::as_days(standing.timeline.days_at_ration),
                keepwell_engine::quantity::Unit::Count,
            ),
        )
        .with("left", Arg::Figure(keepwell_engine::quantity::as_litres(left), keepwell_engine::quantity::Unit::Litre));
    found.push(scene.finding("fuel_first", Weight::Mind, what, Message::new(todo)));
}
