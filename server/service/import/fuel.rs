//! Rows of fuel stores. A new one is set up with its amount. Of one that is kept already, another amount is no change
//! of the set-up but something that was measured, on a day the row has to name.

use jiff::Timestamp;

use crate::model::entry::Act;
use crate::model::entry::fuel::FuelMove;
use crate::model::entry::fuel::Move;
use crate::model::id::FuelStoreId;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::power::Fuel;
use crate::model::power::FuelStore;
use crate::picture::cluster::moment;
use crate::service::import::Outcome;
use crate::service::import::draft::Draft;
use crate::service::import::draft::Found;
use crate::service::import::draft::Waiting;
use crate::service::import::row::Row;
use crate::service::import::sites;

pub fn read(row: &mut Row<'_>, draft: &mut Draft) {
    let site = sites::named(row, draft);
    let name = row.name_in("store");
    let fuel = row.choice::<Fuel>("fuel");
    if row.text("amount").is_empty() {
        row.missing("amount");
    }
    let found = match (site, &name) {
        (Some(site), Some(name)) => draft.stores.find(draft.sites.items[site].thing.id.uuid(), name.as_str()),
        _ => Found::None,
    };
    let kept = match found {
        Found::One(at) => Some(at),
        Found::None => None,
        found => return row.fault("store", sites::unusable(found, "fuel stores", row.text("store"))),
    };
    if row.text("fuel").is_empty() && kept.is_none() {
        row.missing("fuel");
    }
    // A word that is no fuel has been said to be none; what was weighed is not blamed for it too.
    let is_propane = match fuel.or_else(|| kept.map(|at| draft.stores.items[at].thing.fuel)) {
        Some(fuel) => fuel == Fuel::Propane,
        None => true,
    };
    let (capacity, amount) = (row.fuel("capacity", is_propane), row.fuel("amount", is_propane));
    if capacity.is_some_and(|capacity| capacity <= 0.0) {
        row.fault(
            "capacity",
            Message::new("A store holds more than nothing; leave the capacity out if you do not know it."),
        );
    }
    let measured = row.moment("measured on");
    let (bought, stabilised) = (row.day("bought"), row.flag("stabilised"));
    let (Some(site), Some(name), Some(amount)) = (site, name, amount) else { return };
    let site = draft.sites.items[site].thing.id;

    let at = kept.unwrap_or_else(|| {
        let store = FuelStore {
            id: FuelStoreId::fresh(),
            site,
            name: name.clone(),
            fuel: fuel.unwrap_or(Fuel::Petrol),
            capacity_l: capacity,
            amount_l: amount,
            bought,
            stabilised: stabilised.unwrap_or_default(),
            since: measured.unwrap_or(row.asked.now),
            ended: None,
        };
        draft.stores.add(site.uuid(), name.as_str(), store)
    });
    if let Err(message) = draft.stores.claim(at, row.spot("store")) {
        row.fault("store", message);
        return;
    }
    let mut store = draft.stores.items[at].thing.clone();
    store.fuel = fuel.unwrap_or(store.fuel);
    store.capacity_l = capacity.or(store.capacity_l);
    store.bought = bought.or(store.bought);
    store.stabilised = stabilised.unwrap_or(store.stabilised);
    if store.capacity_l.is_some_and(|capacity| amount > capacity) {
        row.fault("amount", Message::new("This is more than the store holds."));
        return;
    }
    if let Some(capacity) = capacity
        && store.amount_l > capacity
        && kept.is_some()
    {
        row.fault("capacity", Message::new("This is less than the store was set up with."));
        return;
    }
    let act = moved(row, &mut store, amount, measured);
    let outcome = draft.stores.set(at, store);
    let was_measured = act.is_some();
    if let (Some(act), Some(at)) = (act, measured) {
        let spot = row.spot("measured on");
        draft.waiting.push(Waiting { site, vessel: None, at, act, spot, counted: |counts| &mut counts.fuel });
    }
    // A row is counted once: by its measurement, where that is all it brings.
    if !(was_measured && outcome == Outcome::Skipped) {
        draft.counts.fuel.count(outcome);
    }
}

/// What another amount than the one it was set up with comes to.
fn moved(row: &mut Row<'_>, store: &mut FuelStore, amount: f64, measured: Option<Timestamp>) -> Option<Act> {
    if store.amount_l.total_cmp(&amount).is_eq() {
        return None;
    }
    let Some(at) = measured else {
        row.fault(
            "amount",
            Message::new(
                "This store is kept already, with another amount. Say in “measured on” when this one was seen.",
            ),
        );
        return None;
    };
    if at < store.since {
        let message = Message::new("This is before the store was set up, on {since}.");
        row.fault("measured on", message.with("since", Arg::Moment(moment(store.since))));
        return None;
    }
    if at == store.since {
        store.amount_l = amount;
        return None;
    }
    let (bought, stabilised, note) = (None, None, None);
    Some(Act::Fuel(FuelMove { store: store.id, way: Move::Measured, litres: amount, bought, stabilised, note }))
}
