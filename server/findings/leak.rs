//! A vessel that should stand still and keeps losing water. Raised when the explanations with a leak that goes on
//! outweigh all others three to one (`odds::CLAIM` of the engine), cleared by the reading after which they no longer do:
//! once it is shut off or mended and holds, or the fall proves to be a draw that somebody logs late. Never of a vessel
//! in daily use, where a leak is not told from use.

use keepwell_engine::level::BAND;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_litres_per_day;

use crate::findings::Finding;
use crate::findings::Scene;
use crate::findings::Weight;
use crate::model::message::Arg;
use crate::model::message::Message;

pub(super) fn look(scene: &Scene<'_>, found: &mut Vec<Finding>) {
    for vessel in scene.site.vessels_at(scene.now) {
        let Some(leak) = vessel.leak() else { continue };
        let what = Message::new(
            "{vessel} may be leaking: falling {rate}, give or take {error}, since {date}, and no draw was logged",
        )
        .with("vessel", Arg::text(vessel.vessel.name.as_str()))
        .with("rate", Arg::Figure(as_litres_per_day(leak.rate.mean), Unit::LitrePerDay))
        .with("error", Arg::Figure(BAND * as_litres_per_day(leak.rate.sd), Unit::Litre))
        .with("date", Arg::Day(leak.since));
        let todo = Message::new(
            "Look at the floor, the outlet and the joints. Shut it off and dip it again in a few days. If it was drawn on, log that.",
        );
        let finding = scene.of_vessel("leak", vessel, Weight::DoNow, what, todo);
        found.push(Finding { since: Some(leak.since), ..finding });
    }
}
