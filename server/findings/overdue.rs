//! Water past its date, or due within a fortnight. Raised at the due date (and 14 days before it), cleared by a fresh
//! fill or a good residual.

use keepwell_engine::grade::Cause;
use keepwell_engine::quantity::days;

use crate::findings::Finding;
use crate::findings::Scene;
use crate::findings::Weight;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::vessel::RotateHow;

const SOON_DAYS: f64 = 14.0;

pub(super) fn look(scene: &Scene<'_>, found: &mut Vec<Finding>) {
    for vessel in scene.site.vessels_at(scene.now) {
        let parts = vessel.parts(scene.now);
        let dated = parts.iter().filter(|part| part.graded.grade.is_some());
        let Some((due, part)) =
            dated.filter_map(|part| part.graded.due.map(|due| (due, part))).min_by_key(|pair| pair.0)
        else {
            continue;
        };
        let name = Arg::text(vessel.vessel.name.as_str());
        let todo = Message::new(match vessel.vessel.policy.how {
            RotateHow::UsedThroughHouse => {
                "Draw it down to the outlet through the house and refill it; or dose, wait 30 minutes, test."
            }
            RotateHow::PouredAway => "Pour it away down to the outlet and refill it; or dose, wait 30 minutes, test.",
            RotateHow::Dosed => "Dose, stir, wait 30 minutes, test.",
        });
        if part.graded.causes.contains(&Cause::Overdue) {
            let what = Message::new("{vessel} passed its date {ago}").with("vessel", name).with("ago", Arg::Ago(due));
            let finding = scene.of_vessel("overdue", vessel, Weight::Overdue, what, todo);
            found.push(Finding { since: Some(due), ..finding });
        } else if due > scene.now && due.since(scene.now) <= days(SOON_DAYS) {
            let what = Message::new("{vessel}, rotate by {day}").with("vessel", name).with("day", Arg::Day(due));
            found.push(scene.of_vessel("overdue", vessel, Weight::Due, what, todo));
        }
    }
}
