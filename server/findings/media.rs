//! A filter or a lamp past its life, or near it. Raised 30 days before its time is over or when a tenth of its litres is
//! left, and again when either is over; cleared when it is renewed.

use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::days;
use keepwell_engine::quantity::litres;

use crate::findings::Finding;
use crate::findings::Scene;
use crate::findings::Weight;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::picture::works;

const SOON_DAYS: f64 = 30.0;
const SOON_PART: f64 = 0.1;

pub(super) fn look(scene: &Scene<'_>, found: &mut Vec<Finding>) {
    for stage in works::in_use(scene.site, scene.now) {
        let left = works::left(scene.site, stage, scene.now);
        let name = || Arg::text(stage.name.as_str());
        let todo = "Renew it, and log it as serviced. A spare belongs on the shelf beside it.";
        let over = left.time_left.filter(|left| *left <= Time::default()).map(|left| scene.now.after(left));
        if over.is_some() || left.litres_left.is_some_and(|left| left <= Volume::default()) {
            let what = Message::new("{stage} is past its life: what passes it counts for nothing");
            let finding = scene.finding("media", Weight::Overdue, what.with("stage", name()), Message::new(todo));
            found.push(Finding { since: over, ..finding });
            continue;
        }
        let part = stage.life_l.map(|life| litres(life * SOON_PART));
        let what = match (left.time_left, left.litres_left.zip(part)) {
            (Some(time), _) if time <= days(SOON_DAYS) => {
                Message::new("{stage} is good until {day}").with("day", Arg::Day(scene.now.after(time)))
            }
            (_, Some((litres, part))) if litres <= part => {
                Message::new("{stage} has {litres} left").with("litres", Arg::Figure(as_litres(litres), Unit::Litre))
            }
            _ => continue,
        };
        found.push(scene.finding("media", Weight::Due, what.with("stage", name()), Message::new(todo)));
    }
}
