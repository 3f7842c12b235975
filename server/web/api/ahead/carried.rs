//! The agreed carries: what each moves, and how long the sites last with them.

use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::Uri;
use axum::response::Response;
use keepwell_engine::neighbourhood::share::Stop;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::as_litres_per_day;
use serde::Serialize;

use crate::model::id::CarryId;
use crate::model::id::SiteId;
use crate::picture::today::Today;
use crate::service::authorise::Deed;
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

const MOVE: Object = Object {
    name: "Carried",
    about: "what one carry does",
    members: &[
        Member::needed("carry", "", What::Id),
        Member::maybe("from", "null where it is another's", What::Id),
        Member::maybe("to", "null where it is another's", What::Id),
        Member::needed("sent_l", "over the whole time", What::Number),
        Member::needed("sent_l_per_day", "", What::Number),
        Member::needed("trips", "", What::Number),
        Member::needed("until_days", "as long as the receiver lasts", What::Number),
        Member::needed("stop", "why it moves no more", What::Choice(stops)),
    ],
};

const LASTS: Object = Object {
    name: "LastsWithCarries",
    about: "how long a site lasts",
    members: &[
        Member::needed("site", "", What::Id),
        Member::maybe("alone_days", "null where it does not end within two years", What::Number),
        Member::maybe("with_carries_days", "likewise", What::Number),
    ],
};

pub const SHARED: Object = Object {
    name: "WithCarries",
    about: "the fairest that the agreed carries allow",
    members: &[
        Member::needed("agreed", "whether any carry is agreed", What::Flag),
        Member::maybe("first_without_days", "null where nobody goes without within two years", What::Number),
        Member::maybe("low_days", "8 times in 10 not before", What::Number),
        Member::maybe("high_days", "8 times in 10 not after", What::Number),
        Member::needed("carried_l", "", What::Number),
        Member::needed("moves", "the most first", What::List(&What::Object(&MOVE), MANY)),
        Member::needed("sites", "", What::List(&What::Object(&LASTS), MANY)),
    ],
};

fn stops() -> Vec<(&'static str, &'static str)> {
    STOPS.iter().map(|(_, key)| (*key, *key)).collect()
}

const STOPS: [(Stop, &str); 9] = [
    (Stop::NoNeed, "no_need"),
    (Stop::TooSlow, "too_slow"),
    (Stop::DailyLimit, "daily_limit"),
    (Stop::NothingToGive, "nothing_to_give"),
    (Stop::KeepsTheRest, "keeps_the_rest"),
    (Stop::TargetReached, "target_reached"),
    (Stop::OthersFirst, "others_first"),
    (Stop::WouldShorten, "would_shorten"),
    (Stop::NotNeeded, "not_needed"),
];

fn stop(stop: Stop) -> &'static str {
    STOPS.iter().find(|(there, _)| *there == stop).map_or("", |(_, key)| key)
}

#[derive(Debug, Serialize)]
struct Shared {
    agreed: bool,
    first_without_days: Option<f64>,
    low_days: Option<f64>,
    high_days: Option<f64>,
    carried_l: f64,
    moves: Vec<Moved>,
    sites: Vec<Lasts>,
}

#[derive(Debug, Serialize)]
struct Moved {
    carry: CarryId,
    from: Option<SiteId>,
    to: Option<SiteId>,
    sent_l: f64,
    sent_l_per_day: f64,
    trips: f64,
    until_days: f64,
    stop: &'static str,
}

#[derive(Debug, Serialize)]
struct Lasts {
    site: SiteId,
    alone_days: Option<f64>,
    with_carries_days: Option<f64>,
}

pub(super) async fn carried(
    State(house): State<House>,
    client: Client,
    uri: Uri,
    headers: HeaderMap,
    Asked(asked): Asked<Question>,
) -> Result<Response, Error> {
    answer::fresh(&house, &client, &uri, &headers, || {
        let (_, today) = house.app.today(&client.caller, asked.ration.as_deref())?;
        Ok(shared(&client, &today))
    })
}

fn shared(client: &Client, today: &Today) -> Shared {
    let with = today.with_carries.as_ref();
    let mine = |site: SiteId| client.caller.can(Deed::SeeSite, Some(site)).then_some(site);
    let moves = with.into_iter().flat_map(|with| &with.moves).map(|step| Moved {
        carry: step.carry.id,
        from: mine(step.carry.from),
        to: mine(step.carry.to),
        sent_l: as_litres(step.sent),
        sent_l_per_day: as_litres_per_day(step.daily),
        trips: step.trips,
        until_days: as_days(step.until),
        stop: stop(step.stop),
    });
    let lasting = today.sites.iter().enumerate().filter(|(_, site)| site.standing.needs_water());
    let sites = lasting.filter_map(|(place, site)| {
        let alone = site.standing.timeline.ration_ends();
        let with = with.map_or(alone, |with| {
            with.shared.days.get(place).copied().flatten().filter(|at| *at < site.standing.run.horizon)
        });
        Some(Lasts { site: seen(client, site)?, alone_days: alone.map(as_days), with_carries_days: with.map(as_days) })
    });
    let band = with.and_then(|with| with.band);
    Shared {
        agreed: with.is_some(),
        first_without_days: with.and_then(|with| with.first).map(|(_, at)| as_days(at)),
        low_days: band.map(|band| as_days(band.0)),
        high_days: band.map(|band| as_days(band.1)),
        carried_l: with.map_or(0.0, |with| as_litres(with.carried())),
        moves: moves.collect(),
        sites: sites.collect(),
    }
}
