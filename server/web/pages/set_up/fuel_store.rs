//! The form of a store of fuel.

use keepwell_engine::quantity::FUEL;

use crate::model::id::FuelStoreId;
use crate::model::power::FuelStore;
use crate::model::setup::Thing;
use crate::web::asking::Asking;
use crate::web::asking::ask;
use crate::web::pages::set_up::form::Answer;
use crate::web::pages::set_up::form::Task;

pub(super) fn questions(task: &Task, asking: &mut Asking) -> Option<Answer> {
    let old = match &task.standing {
        Some((Thing::FuelStore(store), _)) => Some(store),
        _ => None,
    };
    let before = match task.kept_before() {
        Some(Thing::FuelStore(store)) => Some(store.since),
        _ => None,
    };
    asking.group("", "The store");
    asking.caution(
        "Fuel burns.",
        "How much may be kept, where and in what is the fire code's to say. Outdoors or in a vented shed, away from \
         flames and from drinking water, in marked containers; propane never in a cellar.",
    );
    let name =
        asking.name(ask("name", "Name").hint("Jerrycans in the shed, Tank behind the hall."), old.map(|old| &old.name));
    let fuel = asking.choice(ask("fuel", "Fuel"), old.map(|old| old.fuel));
    let holds = ask("capacity_l", "Holds").hint("Propane cylinders are filled to 80 % at most.").optional();
    let capacity_l = asking.figure(holds, &FUEL, old.and_then(|old| old.capacity_l));
    let amount = ask("amount_l", "In it when it was set up")
        .hint("Propane in litres of liquid. What goes in and out later is logged as entries.");
    let amount_l = asking.figure(amount, &FUEL, old.map(|old| old.amount_l));

    asking.group("", "How old it is");
    let bought = ask("bought", "The oldest of it was bought on").hint("Such as 4 March 2026.").optional();
    let bought = asking.day(bought, old.and_then(|old| old.bought));
    let stabilised = asking
        .check(ask("stabilised", "Stabiliser was added when it was fresh"), old.is_some_and(|old| old.stabilised));
    let since = ask("since", "In place since").hint("Left empty: from now on.").optional();
    let since = asking.when(since, old.map(|old| old.since));
    Some(Answer::of(Thing::FuelStore(FuelStore {
        id: FuelStoreId::from_uuid(task.id),
        site: task.site?,
        name: name?,
        fuel: fuel?,
        capacity_l,
        amount_l: amount_l?,
        bought,
        stabilised,
        since: since.or(before).unwrap_or(asking.reader.now),
        ended: old.and_then(|old| old.ended),
    })))
}
