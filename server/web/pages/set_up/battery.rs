//! The form of a battery: what it holds, its inverter, and the panels that fill it.

use keepwell_engine::hydraulics::measures::EFFICIENCY;
use keepwell_engine::power::measures::PART;
use keepwell_engine::power::measures::STORED;
use keepwell_engine::power::measures::SUN;
use keepwell_engine::quantity::POWER;

use crate::model::battery::Battery;
use crate::model::id::BatteryId;
use crate::model::setup::Thing;
use crate::web::asking::Asking;
use crate::web::asking::ask;
use crate::web::pages::set_up::form::Answer;
use crate::web::pages::set_up::form::Task;

pub(super) fn questions(task: &Task, asking: &mut Asking) -> Option<Answer> {
    let old = match &task.standing {
        Some((Thing::Battery(battery), _)) => Some(battery),
        _ => None,
    };
    asking.group("", "The battery");
    asking.caution(
        "Wiring.",
        "A licensed electrician joins batteries, panels and inverters to a building, by the local code. Nothing is fed \
         back into the mains.",
    );
    let name =
        asking.name(ask("name", "Name").hint("Several on one inverter are entered as one."), old.map(|old| &old.name));
    let capacity = ask("capacity_wh", "Capacity").hint("On its plate; amp-hours times volts are watt-hours.");
    let capacity_wh = asking.figure(capacity, &STORED, old.map(|old| old.capacity_wh));
    let part = ask("usable", "Part that may be used").hint("Lead-acid 50 %, lithium iron phosphate 80 to 90.");
    let usable = asking.beside().figure(part, &PART, old.map(|old| old.usable));
    let full = ask("charge", "How full it is").hint("By its display. Left empty, it counts as full.").optional();
    let charge = asking.figure(full, &PART, old.and_then(|old| old.charge));

    asking.group("", "Its inverter");
    let passes = ask("inverter", "Part that it passes on").hint("85 to 93 % at part load.");
    let inverter = asking.figure(passes, &EFFICIENCY, Some(old.map_or(0.9, |old| old.inverter)));
    let idle = ask("idle_w", "What it takes only to be on").hint("5 to 50 W, day and night.").optional();
    let idle_w = asking.beside().figure(idle, &POWER, old.and_then(|old| old.idle_w));

    asking.group("", "Its panels");
    asking.words("Left empty where there are none.");
    let panels = ask("panels_w", "Panels, as on their plates").optional();
    let panels_w = asking.figure(panels, &POWER, old.and_then(|old| old.panels_w));
    let lost = ask("panel_loss", "Lost on the way").hint("Dust, heat, wires. Left empty, 14 %.").optional();
    let panel_loss = asking.beside().figure(lost, &PART, old.and_then(|old| old.panel_loss));
    let sun = ask("sun_hours", "Hours of full sun a day")
        .hint("From a map of the place, for winter. Left empty, by the month and the site's latitude.")
        .optional();
    let sun_hours = asking.figure(sun, &SUN, old.and_then(|old| old.sun_hours));
    Some(Answer::of(Thing::Battery(Battery {
        id: BatteryId::from_uuid(task.id),
        site: task.site?,
        name: name?,
        capacity_wh: capacity_wh?,
        usable: usable?,
        inverter: inverter?,
        idle_w,
        charge,
        panels_w,
        sun_hours,
        panel_loss,
        ended: old.and_then(|old| old.ended),
    })))
}
