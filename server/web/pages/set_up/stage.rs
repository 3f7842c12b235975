//! The form of a stage of treatment: what it is, what it may pass, how long it lasts.

use keepwell_engine::quantity::FLOW_AT_TAP;
use keepwell_engine::quantity::LAMP_HOURS;
use keepwell_engine::quantity::LAMP_LIFE;
use keepwell_engine::quantity::MEDIA_LITRES;
use keepwell_engine::quantity::MEDIA_MONTHS;
use keepwell_engine::quantity::PLACE;
use keepwell_engine::quantity::POWER;
use keepwell_engine::quantity::PRESSURE;
use keepwell_engine::quantity::VOLUME;

use crate::model::id::StageId;
use crate::model::setup::Thing;
use crate::model::works::Stage;
use crate::model::works::StageKind;
use crate::model::works::UvClass;
use crate::web::asking::Asking;
use crate::web::asking::ask;
use crate::web::pages::set_up::form::Answer;
use crate::web::pages::set_up::form::Task;

pub(super) fn questions(task: &Task, asking: &mut Asking) -> Option<Answer> {
    let old = match &task.standing {
        Some((Thing::Stage(stage), _)) => Some(stage),
        _ => None,
    };
    let here = task.set_up().stages.values().filter(|kept| Some(kept.thing.site) == task.site);
    let next = here.map(|kept| kept.thing.place).max().unwrap_or(0).saturating_add(1);
    asking.group("", "The stage");
    let name = asking.name(ask("name", "Name").hint("Sediment filter, Lamp."), old.map(|old| &old.name));
    let kind = asking.choice::<StageKind>(ask("kind", "What it does"), old.map(|old| old.kind));
    let place = ask("place", "Its place").hint("1 is the first after the source.");
    let place = asking.count(place, &PLACE, Some(old.map_or(next, |old| old.place)));

    asking.group("", "What it may pass");
    asking.words("From its plate or its sheet. A lamp treats no more than the flow that it is rated for.");
    let flow = ask("most_flow_l_per_min", "Most flow").quiet();
    let most_flow = asking.figure(flow, &FLOW_AT_TAP, old.and_then(|old| old.most_flow_l_per_min));
    let drop = ask("drop_kpa", "Pressure lost at that flow, clean").quiet();
    let drop_kpa = asking.beside().figure(drop, &PRESSURE, old.and_then(|old| old.drop_kpa));
    let draws = ask("draws_w", "Power it takes").quiet();
    let draws_w = asking.figure(draws, &POWER, old.and_then(|old| old.draws_w));

    asking.group("", "How long it lasts");
    asking.words("What is left empty sets no limit. When it is renewed, log it as serviced: its life begins again.");
    let life = ask("life_l", "Litres that its medium may pass").quiet();
    let life_l = asking.figure(life, &MEDIA_LITRES, old.and_then(|old| old.life_l));
    let months = ask("life_months", "Months it may serve").quiet();
    let life_months = asking.beside().figure(months, &MEDIA_MONTHS, old.and_then(|old| old.life_months));
    let fitted = ask("fitted", "Fitted on").hint("Such as 4 March 2026.").quiet();
    let fitted = asking.day(fitted, old.and_then(|old| old.fitted));
    let passed = ask("passed_l", "Litres passed since").quiet();
    let passed_l = asking.beside().figure(passed, &VOLUME, old.and_then(|old| old.passed_l));

    asking.group("", "If it is an ultraviolet lamp");
    asking.caution(
        "Without power it treats nothing.",
        "No water may pass it then. Light leaves nothing in the water: what is stored after it needs chlorine.",
    );
    let class = ask("uv_class", "Tested as").hint("NSF/ANSI 55, on its plate.").quiet();
    let uv_class = asking.choice::<UvClass>(class, old.and_then(|old| old.uv_class));
    let counter =
        ask("lamp_hours", "Hours on its counter").hint("Left empty: day and night since it was fitted.").quiet();
    let lamp_hours = asking.figure(counter, &LAMP_HOURS, old.and_then(|old| old.lamp_hours));
    let lamp_life = ask("lamp_life_hours", "Hours it may burn").hint("Left empty: 9,000, common practice, no source.");
    let lamp_life = asking.figure(lamp_life.quiet(), &LAMP_LIFE, old.and_then(|old| old.lamp_life_hours));
    Some(Answer::of(Thing::Stage(Stage {
        id: StageId::from_uuid(task.id),
        site: task.site?,
        name: name?,
        kind: kind?,
        place: place?,
        most_flow_l_per_min: most_flow,
        drop_kpa,
        life_l,
        life_months,
        fitted,
        passed_l,
        draws_w,
        // The choice cannot be unmade; of what is no lamp it says nothing.
        uv_class: uv_class.filter(|_| kind == Some(StageKind::Ultraviolet)),
        lamp_hours,
        lamp_life_hours: lamp_life,
        ended: old.and_then(|old| old.ended),
    })))
}
