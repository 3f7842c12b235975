//! The neighbourhood's own settings: one thing, without an id.

use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::Method;
use axum::http::StatusCode;
use axum::response::Response;
use keepwell_engine::demand::Ladder;
use keepwell_engine::quantity::INTERVAL;
use keepwell_engine::quantity::PRICE;
use keepwell_engine::quantity::SHAKING;
use serde_json::Value;

use crate::model::choice::options;
use crate::model::neighbourhood::Neighbourhood;
use crate::model::neighbourhood::Units;
use crate::model::setup::Kept;
use crate::model::setup::Thing;
use crate::service;
use crate::service::authorise::Deed;
use crate::web::House;
use crate::web::api::answer;
use crate::web::api::client::Client;
use crate::web::api::client::Sent;
use crate::web::api::client::typed_as;
use crate::web::api::kept::matching;
use crate::web::api::kept::patched;
use crate::web::api::kept::told;
use crate::web::api::operation::Api;
use crate::web::api::operation::Operation;
use crate::web::api::shape::Member;
use crate::web::api::shape::Object;
use crate::web::api::shape::What;
use crate::web::error::Error;
use crate::web::words::Language;

const PATH: &str = "/api/v1/neighbourhood";

const BODY: Object = Object {
    name: "Neighbourhood",
    about: "what holds for the whole neighbourhood",
    members: &[
        Member::needed("name", "", What::Name),
        Member::needed("zone", "the time zone, such as Europe/Dublin", What::Text(60)),
        Member::needed("units", "what a reader is shown before choosing", What::Choice(options::<Units>)),
        Member::needed("language", "", What::Choice(languages)),
        Member::needed("ration", "the rung that days are reckoned at", What::Choice(rungs)),
        Member::needed("target_days", "how long it wants to last", What::Figure(&INTERVAL)),
        Member::usual("upkeep", "", What::Object(&UPKEEP)),
        Member::maybe(
            "sds_g",
            "short-period acceleration of the design earthquake there (SDS)",
            What::Figure(&SHAKING),
        ),
        Member::maybe("sd1_g", "the same at one second (SD1)", What::Figure(&SHAKING)),
        Member::usual("prices", "", What::Object(&PRICES)),
    ],
};

const PRICES: Object = Object {
    name: "Prices",
    about: "what things cost there, in its own money, where somebody said it",
    members: &[
        Member::maybe("petrol_l", "of a litre", What::Figure(&PRICE)),
        Member::maybe("diesel_l", "of a litre", What::Figure(&PRICE)),
        Member::maybe("propane_l", "of a litre of liquid", What::Figure(&PRICE)),
        Member::maybe("can", "of a can of 20 L to keep water in", What::Figure(&PRICE)),
        Member::maybe("stage", "of a cartridge or a lamp", What::Figure(&PRICE)),
    ],
};

const UPKEEP: Object = Object {
    name: "Upkeep",
    about: "days between one time and the next of what is done again and again",
    members: &[
        Member::usual("dip_days", "between two readings of a level", What::Figure(&INTERVAL)),
        Member::usual("generator_days", "between two runs of a generator under load", What::Figure(&INTERVAL)),
        Member::usual("pump_days", "between two runs of a pump", What::Figure(&INTERVAL)),
        Member::usual("couplings_days", "between two looks at couplings and valves", What::Figure(&INTERVAL)),
        Member::usual("round_days", "between two looks round a place", What::Figure(&INTERVAL)),
    ],
};

/// The rungs of the ladder, by key.
pub fn rungs() -> Vec<(&'static str, &'static str)> {
    Ladder::usual().rungs().iter().map(|rung| (rung.key(), rung.name())).collect()
}

fn languages() -> Vec<(&'static str, &'static str)> {
    Language::ALL.iter().map(|language| (language.code(), language.code())).collect()
}

pub fn routes() -> Api {
    let (body, patch) = (What::Object(&BODY), What::Patch(&BODY));
    Api::new()
        .add(Operation::get(PATH, "getNeighbourhood", "The neighbourhood's settings", body), read)
        .add(
            Operation::change(Method::PUT, PATH, "putNeighbourhood", "Puts other settings in their place", body, body),
            put,
        )
        .add(
            Operation::change(Method::PATCH, PATH, "changeNeighbourhood", "Changes some of the settings", patch, body)
                .saying("A merge patch (RFC 7396)."),
            change,
        )
}

fn kept(house: &House, client: &Client) -> Result<Kept<Neighbourhood>, Error> {
    client.caller.may(Deed::SeeTotals, None)?;
    let kept = house.app.picture().set_up.neighbourhood.clone();
    Ok(kept.ok_or(service::Error::NotFound("neighbourhood"))?)
}

fn shown(kept: &Kept<Neighbourhood>) -> Result<Response, Error> {
    answer::kept(StatusCode::OK, &*kept.thing, kept.revision, None)
}

async fn read(State(house): State<House>, client: Client, headers: HeaderMap) -> Result<Response, Error> {
    let kept = kept(&house, &client)?;
    match answer::held(&headers, kept.revision)? {
        Some(held) => Ok(held),
        None => shown(&kept),
    }
}

async fn put(
    State(house): State<House>,
    client: Client,
    headers: HeaderMap,
    Sent(sent): Sent,
) -> Result<Response, Error> {
    keep(&house, &client, &headers, sent).await
}

async fn change(
    State(house): State<House>,
    client: Client,
    headers: HeaderMap,
    Sent(sent): Sent,
) -> Result<Response, Error> {
    let whole = patched(&*kept(&house, &client)?.thing, sent, &BODY)?;
    keep(&house, &client, &headers, whole).await
}

async fn keep(house: &House, client: &Client, headers: &HeaderMap, sent: Value) -> Result<Response, Error> {
    let caller = client.still(house)?;
    let newest = kept(house, client)?.revision;
    let began_from = matching(headers, newest)?;
    let thing: Neighbourhood = typed_as(sent.clone())?;
    let revision = house.app.keep(&caller, Thing::Neighbourhood(thing.clone()), Some(began_from)).await;
    let revision = revision.map_err(|refusal| told(refusal, &sent))?;
    shown(&Kept { thing: thing.into(), revision })
}
