//! The delivery list: what is brought to the door of those who cannot fetch water.

use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::Uri;
use axum::response::Response;
use keepwell_engine::quantity::PEOPLE;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_litres;
use serde::Serialize;

use crate::model::id::CarryId;
use crate::model::id::SiteId;
use crate::picture::deliveries::deliveries;
use crate::web::House;
use crate::web::api::ahead::Question;
use crate::web::api::answer;
use crate::web::api::client::Asked;
use crate::web::api::client::Client;
use crate::web::api::shape::MANY;
use crate::web::api::shape::Member;
use crate::web::api::shape::Object;
use crate::web::api::shape::What;
use crate::web::api::today::seen;
use crate::web::error::Error;

pub const DELIVERY: Object = Object {
    name: "Delivery",
    about: "what is brought to the door of those at one site who cannot fetch water",
    members: &[
        Member::needed("site", "", What::Id),
        Member::needed("people", "who cannot fetch it; only how many is kept", What::Whole(&PEOPLE)),
        Member::needed("l_per_day", "their ration as far as it is carried by hand", What::Number),
        Member::needed("cans_per_day", "of 20 L; full each weighs 21 kg", What::Count(0, u64::MAX)),
        Member::maybe("from_days", "their tap stops then; null where it runs for two years", What::Number),
        Member::maybe("store_days", "the site's own store gives until then; null: for two years", What::Number),
        Member::needed("carries", "agreed, to the site", What::List(&What::Id, MANY)),
        Member::needed("brought_l_per_day", "by those on wheels or by hose", What::Number),
        Member::needed(
            "open",
            "by then its store gives none, and nobody has agreed to bring all of it on wheels or by hose",
            What::Flag,
        ),
    ],
};

#[derive(Debug, Serialize)]
struct Brought {
    site: SiteId,
    people: u32,
    l_per_day: f64,
    cans_per_day: u64,
    from_days: Option<f64>,
    store_days: Option<f64>,
    carries: Vec<CarryId>,
    brought_l_per_day: f64,
    open: bool,
}

pub(super) async fn list(
    State(house): State<House>,
    client: Client,
    uri: Uri,
    headers: HeaderMap,
    Asked(asked): Asked<Question>,
) -> Result<Response, Error> {
    answer::fresh(&house, &client, &uri, &headers, || {
        let (picture, today) = house.app.today(&client.caller, asked.ration.as_deref())?;
        let lines = deliveries(&picture, &today).into_iter().filter_map(|one| {
            Some(Brought {
                site: seen(&client, today.sites.get(one.place)?)?,
                people: one.people,
                l_per_day: as_litres(one.a_day),
                cans_per_day: one.cans,
                from_days: one.from.map(as_days),
                store_days: one.store_ends.map(as_days),
                carries: one.carries.iter().map(|carry| carry.id).collect(),
                brought_l_per_day: as_litres(one.brought),
                open: one.is_open(),
            })
        });
        Ok(lines.collect::<Vec<_>>())
    })
}
