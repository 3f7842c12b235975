//! The form of a load: what a generator drives.

use keepwell_engine::quantity::HOURS_A_DAY;
use keepwell_engine::quantity::POWER;

use crate::model::id::LoadId;
use crate::model::power::Load;
use crate::model::setup::Thing;
use crate::model::site::Site;
use crate::web::asking::Asking;
use crate::web::asking::ask;
use crate::web::pages::set_up::form::Answer;
use crate::web::pages::set_up::form::Task;

pub(super) fn questions(task: &Task, asking: &mut Asking) -> Option<Answer> {
    let old = match &task.standing {
        Some((Thing::Load(load), _)) => Some(load),
        _ => None,
    };
    asking.group("", "The load");
    let name = asking.name(ask("name", "Name").hint("Pump, Lights, Freezer."), old.map(|old| &old.name));
    let running = ask("running_w", "Power while it runs").hint("From its plate or a meter.");
    let running_w = asking.figure(running, &POWER, old.map(|old| old.running_w));
    let surge = ask("surge_w", "Power as it starts").hint("A motor takes several times as much.").optional();
    let surge_w = asking.beside().figure(surge, &POWER, old.and_then(|old| old.surge_w));
    let hours = ask("hours_a_day", "Hours a day").hint("While the generator runs its plan.");
    let plan = old.map_or(Site::TAP_ON_DEMAND_HOURS, |old| old.hours_a_day);
    let hours_a_day = asking.figure(hours, &HOURS_A_DAY, Some(plan));
    let pump = ask("pump", "It is the pump that brings stored water to the taps")
        .hint("Without fuel for it, water is drawn by gravity or by hand.");
    let pump = asking.check(pump, old.is_some_and(|old| old.pump));
    Some(Answer::of(Thing::Load(Load {
        id: LoadId::from_uuid(task.id),
        site: task.site?,
        name: name?,
        running_w: running_w?,
        surge_w,
        hours_a_day: hours_a_day?,
        pump,
        ended: old.and_then(|old| old.ended),
    })))
}
