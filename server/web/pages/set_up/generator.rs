//! The form of a generator: what it gives, and what it burns at each load.

use keepwell_engine::quantity::BURN;
use keepwell_engine::quantity::POWER;

use crate::model::id::GeneratorId;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::power::BurnPoint;
use crate::model::power::Generator;
use crate::model::setup::Thing;
use crate::web::asking::Ask;
use crate::web::asking::Asking;
use crate::web::asking::ask;
use crate::web::pages::set_up::form::Answer;
use crate::web::pages::set_up::form::Task;

/// The points that the form has room for: none, a quarter, a half, three quarters, full load.
const POINTS: [(&str, &str); 5] = [
    ("load_1_w", "burn_1"),
    ("load_2_w", "burn_2"),
    ("load_3_w", "burn_3"),
    ("load_4_w", "burn_4"),
    ("load_5_w", "burn_5"),
];

pub(super) fn questions(task: &Task, asking: &mut Asking) -> Option<Answer> {
    let old = match &task.standing {
        Some((Thing::Generator(generator), _)) => Some(generator),
        _ => None,
    };
    asking.group("", "The generator");
    asking.caution(
        "Exhaust kills.",
        "Outdoors only, 6 m (20 ft) or more from any opening, exhaust pointing away, a CO alarm inside.",
    );
    let name = asking.name(ask("name", "Name"), old.map(|old| &old.name));
    let fuel = asking.choice(ask("fuel", "Fuel"), old.map(|old| old.fuel));
    let rated = ask("rated_w", "Rated power").hint("What it gives all day, from its plate; not the surge.");
    let rated_w = asking.figure(rated, &POWER, old.map(|old| old.rated_w));
    let burst = ask("burst_w", "Power for some seconds").hint("Its surge, from its plate: it has to start the pump.");
    let burst_w = asking.beside().figure(burst.optional(), &POWER, old.and_then(|old| old.burst_w));

    asking.group("burn", "What it burns");
    asking.words(
        "Two points or more, from the maker's sheet: at this load, so much fuel an hour. The first is with no load, which \
         burns fuel too. Leave empty what the sheet does not give.",
    );
    let burn = burn(asking, old);

    asking.group("", "Before it feeds a building");
    asking.caution(
        "Backfeed kills the line crew.",
        "It is joined to a building's wiring by a transfer switch that a licensed electrician has fitted, and in no other \
         way. Local code stands over this page.",
    );
    Some(Answer::of(Thing::Generator(Generator {
        id: GeneratorId::from_uuid(task.id),
        site: task.site?,
        name: name?,
        fuel: fuel?,
        rated_w: rated_w?,
        burst_w,
        burn,
        ended: old.and_then(|old| old.ended),
    })))
}

fn burn(asking: &mut Asking, old: Option<&Generator>) -> Vec<BurnPoint> {
    let standing = old.map_or(&[][..], |old| old.burn.as_slice());
    let mut points = Vec::new();
    for (at, (load_key, burn_key)) in POINTS.into_iter().enumerate() {
        let point = standing.get(at);
        let load = point.map(|point| point.load_w).or_else(|| (at == 0).then_some(0.0));
        let needed = |question: Ask| if at < 2 { question } else { question.quiet() };
        let load_w = asking.figure(needed(ask(load_key, "At a load of")), &POWER, load);
        let burnt = asking.beside().figure(
            needed(ask(burn_key, "it burns an hour")),
            &BURN,
            point.map(|point| point.litres_per_hour),
        );
        match (load_w, burnt) {
            (Some(load_w), Some(litres_per_hour)) => points.push(BurnPoint { load_w, litres_per_hour }),
            (Some(_), None) if at >= 2 => half(asking, burn_key, "it burns an hour"),
            (None, Some(_)) if at >= 2 => half(asking, load_key, "At a load of"),
            _ => {}
        }
    }
    // More points than the form has room for stay as they are.
    points.extend(standing.iter().skip(POINTS.len()));
    points
}

/// A point of which one half was left out; what is wrong with a half that was typed is said already.
fn half(asking: &mut Asking, key: &'static str, label: &'static str) {
    if asking.is_blank(key) {
        asking.fault(key, Message::new("{Field} is missing: a point has both.").with("field", Arg::Word(label)));
    }
}
