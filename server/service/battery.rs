//! What of a battery does not hold.

use keepwell_engine::hydraulics::measures::EFFICIENCY;
use keepwell_engine::power::measures::PART;
use keepwell_engine::power::measures::STORED;
use keepwell_engine::power::measures::SUN;
use keepwell_engine::quantity::POWER;

use crate::model::battery::Battery;
use crate::model::entry::fields::Problem;
use crate::model::message::Message;
use crate::model::setup::SetUp;
use crate::service::set_up::measure;
use crate::service::set_up::site_there;

pub(super) fn check(set_up: &SetUp, thing: &Battery, problems: &mut Vec<Problem>) {
    site_there(set_up, thing.site, problems);
    measure(problems, "capacity_wh", "capacity", thing.capacity_wh, &STORED);
    measure(problems, "usable", "usable part", thing.usable, &PART);
    measure(problems, "inverter", "what the inverter passes on", thing.inverter, &EFFICIENCY);
    for (field, label, value, allowed) in [
        ("idle_w", "power", thing.idle_w, &POWER),
        ("charge", "charge", thing.charge, &PART),
        ("panels_w", "power", thing.panels_w, &POWER),
        ("sun_hours", "hours of sun", thing.sun_hours, &SUN),
        ("panel_loss", "part lost", thing.panel_loss, &PART),
    ] {
        if let Some(value) = value {
            measure(problems, field, label, value, allowed);
        }
    }
    let nothing = |given: f64| given == 0.0;
    for (field, given, why) in [
        ("capacity_wh", Some(thing.capacity_wh), "What holds nothing is no battery."),
        ("usable", Some(thing.usable), "A battery of which nothing may be used is none."),
        ("panels_w", thing.panels_w, "Panels that give nothing are none. Leave them out."),
    ] {
        if given.is_some_and(nothing) {
            problems.push(Problem::new(field, Message::new(why)));
        }
    }
    if thing.panels_w.is_none() && (thing.sun_hours.is_some() || thing.panel_loss.is_some()) {
        problems.push(Problem::new("panels_w", Message::new("Sun falls on panels: give their power too.")));
    }
}
