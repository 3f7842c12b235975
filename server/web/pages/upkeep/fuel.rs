//! A store's fuel turned over, in one step: the old used or handed in, the new put in.

use axum::extract::State;
use axum::response::Response;
use keepwell_engine::quantity::FUEL;
use keepwell_engine::quantity::Unit;

use crate::model::choice::Choice;
use crate::model::entry::Act;
use crate::model::entry::fuel::FuelMove;
use crate::model::entry::fuel::Move;
use crate::model::id::FuelStoreId;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::power::FuelStore;
use crate::picture::site::FuelState;
use crate::service;
use crate::service::authorise;
use crate::service::entries::New;
use crate::web::House;
use crate::web::asking::Asking;
use crate::web::asking::ask;
use crate::web::error::Error;
use crate::web::extract::FormData;
use crate::web::extract::Pairs;
use crate::web::extract::Path;
use crate::web::pages::upkeep::done::Deed;
use crate::web::visitor::Visitor;

/// The store, and what is believed to be in it.
struct Found {
    store: std::sync::Arc<FuelStore>,
    site: String,
    state: Option<FuelState>,
}

pub(super) async fn open(
    State(house): State<House>,
    visitor: Visitor,
    Path(id): Path<FuelStoreId>,
) -> Result<Response, Error> {
    let found = found(&house, &visitor, id)?;
    let deed = deed(&house, &visitor, &found);
    let mut asking = Asking::of(&visitor.reader, None);
    questions(&deed, &found, &mut asking, None);
    deed.show(asking, &[])
}

pub(super) async fn log(
    State(house): State<House>,
    visitor: Visitor,
    Path(id): Path<FuelStoreId>,
    typed: FormData,
) -> Result<Response, Error> {
    let found = found(&house, &visitor, id)?;
    let deed = deed(&house, &visitor, &found);
    let mut asking = Asking::of(&visitor.reader, Some(&typed));
    let (new, just_now) = questions(&deed, &found, &mut asking, Some(&typed));
    deed.log(asking, new, just_now).await
}

fn found(house: &House, visitor: &Visitor, id: FuelStoreId) -> Result<Found, Error> {
    let picture = house.app.picture();
    let missing = || service::Error::NotFound("fuel store");
    let store = std::sync::Arc::clone(&picture.set_up.fuel_stores.get(&id).ok_or_else(missing)?.thing);
    visitor.caller.may(authorise::Deed::Log, Some(store.site)).map_err(|error| match error {
        service::Error::NotFound(_) => missing(),
        other => other,
    })?;
    let site = picture.site(store.site).ok_or_else(missing)?;
    let state = site.ledger.state.fuel.get(&id).cloned();
    Ok(Found { site: site.site.name.to_string(), store, state })
}

fn deed<'a>(house: &'a House, visitor: &'a Visitor, found: &Found) -> Deed<'a> {
    let litres = found.state.as_ref().map_or(0.0, |state| state.litres);
    let mut facts = vec![
        Message::new("{litres} of {fuel} are believed to be in it.")
            .with("litres", Arg::Figure(litres, Unit::Litre))
            .with("fuel", Arg::Word(found.store.fuel.label())),
    ];
    if let Some(bought) = found.state.as_ref().and_then(|state| state.bought) {
        facts.push(Message::new("Bought {date}.").with("date", Arg::Date(bought)));
    }
    Deed {
        house,
        visitor,
        site: (found.store.site, found.site.clone()),
        vessel: None,
        name: found.store.name.to_string(),
        question: "The old is used or handed in: how much new went in?",
        facts,
        cautions: vec![(
            "Fuel burns.",
            "Let the engine cool before filling. Store it as the fire code says, away from water stores and flames. Old fuel goes where the local authority takes it, never down a drain.",
        )],
        action: format!("/upkeep/fuel/{}", found.store.id),
    }
}

fn questions(deed: &Deed, found: &Found, asking: &mut Asking, typed: Option<&Pairs>) -> (Vec<New>, bool) {
    let litres = asking.figure(ask("litres", "Fresh fuel put in"), &FUEL, None);
    let stabilised = asking.check(ask("stabilised", "Stabiliser added").optional(), false);
    let (ids, at, just_now) = deed.begin(asking, typed);
    let Some(litres) = litres else { return (Vec::new(), just_now) };
    let bought = asking.reader.zone.to_datetime(at).date();
    let moved = |way, litres, bought, stabilised| {
        Act::Fuel(FuelMove { store: found.store.id, way, litres, bought, stabilised, note: None })
    };
    // What was left is measured as nothing, so that no old date stays with the new fuel.
    let emptied = moved(Move::Measured, 0.0, None, Some(false));
    let filled = moved(Move::In, litres, Some(bought), Some(stabilised));
    (deed.entries(ids, at, [Some(emptied), Some(filled)]), just_now)
}
