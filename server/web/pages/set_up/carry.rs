//! The form of a carry: a way that water may go between two sites, as agreed.

use keepwell_engine::quantity::CARRIED;
use keepwell_engine::quantity::LOSS;
use keepwell_engine::quantity::TRIP;

use crate::model::carry::Carry;
use crate::model::id::CarryId;
use crate::model::id::SiteId;
use crate::model::setup::Thing;
use crate::web::asking::Asking;
use crate::web::asking::ask;
use crate::web::pages::set_up::form::Answer;
use crate::web::pages::set_up::form::Task;
use crate::web::pages::set_up::form::choices;

pub(super) fn questions(task: &Task, asking: &mut Asking) -> Option<Answer> {
    let old = match &task.standing {
        Some((Thing::Carry(carry), _)) => Some(carry),
        _ => None,
    };
    asking.group("", "Who gives, who receives");
    asking.words("Enter it from the first giver to the last receiver: water that is passed on is not counted.");
    let sites = || {
        let named = old.map_or_else(Vec::new, |old| vec![old.from, old.to]);
        let there = task.set_up().sites.values().map(|kept| &kept.thing);
        let there = there.filter(|site| site.ended.is_none_or(|ended| ended > task.now) || named.contains(&site.id));
        choices(there.map(|site| (site.id.to_string(), &site.name)))
    };
    let from = asking.pick(ask("from", "From"), sites(), old.map(|old| old.from.to_string()));
    let to = asking.beside().pick(ask("to", "To"), sites(), old.map(|old| old.to.to_string()));

    asking.group("", "How, and how much");
    let called = ask("name", "What it is called").hint("Over the footbridge, By the school bus.");
    let name = asking.name(called, old.map(|old| &old.name));
    let means = asking.choice(ask("means", "How it is brought"), old.map(|old| old.means));
    let daily = ask("litres_a_day", "At most, a day").hint("What those who carry have agreed to and can keep up.");
    let litres_a_day = asking.figure(daily, &CARRIED, old.map(|old| old.litres_a_day));
    let trip = ask("litres_a_trip", "In one trip").hint("What a person, a cart or a car takes at once.");
    let litres_a_trip = asking.beside().figure(trip, &TRIP, old.map(|old| old.litres_a_trip));
    let loss = ask("loss", "Spilt or left behind");
    let loss = asking.figure(loss, &LOSS, Some(old.map_or(0.0, |old| old.loss)));
    Some(Answer::of(Thing::Carry(Carry {
        id: CarryId::from_uuid(task.id),
        name: name?,
        from: from?.parse::<SiteId>().ok()?,
        to: to?.parse::<SiteId>().ok()?,
        means: means?,
        litres_a_day: litres_a_day?,
        litres_a_trip: litres_a_trip?,
        loss: loss?,
        ended: old.and_then(|old| old.ended),
    })))
}
