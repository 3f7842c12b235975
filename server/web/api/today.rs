//! The neighbourhood's days: as placed, pooled, and site by site.

use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::Uri;
use axum::response::Response;
use jiff::Timestamp;
use keepwell_engine::neighbourhood::Curve;
use keepwell_engine::quantity::INTERVAL;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_litres;
use serde::Deserialize;
use serde::Serialize;

use crate::model::id::SiteId;
use crate::model::name::Name;
use crate::picture::Picture;
use crate::picture::today::SiteToday;
use crate::picture::today::Today;
use crate::service::authorise::Deed;
use crate::web::House;
use crate::web::api::answer;
use crate::web::api::answer::Page;
use crate::web::api::client::Asked;
use crate::web::api::client::Client;
use crate::web::api::cursor;
use crate::web::api::kept::USUAL_PAGE;
use crate::web::api::operation::Api;
use crate::web::api::operation::Operation;
use crate::web::api::reckoned::RATION;
use crate::web::api::reckoned::SUPPLY;
use crate::web::api::reckoned::SupplyNow;
use crate::web::api::reckoned::WATER;
use crate::web::api::reckoned::Water;
use crate::web::api::reckoned::timestamp;
use crate::web::api::shape::AFTER;
use crate::web::api::shape::LIMIT;
use crate::web::api::shape::MANY;
use crate::web::api::shape::Member;
use crate::web::api::shape::Object;
use crate::web::api::shape::What;
use crate::web::error::Error;

const PEOPLE: u64 = 10_000_000_000;

const RUNG: Object = Object {
    name: "Ration",
    about: "litres a person a day, by use",
    members: &[
        Member::needed("key", "", What::Choice(crate::web::api::neighbourhood::rungs)),
        Member::needed("name", "", What::Text(80)),
        Member::needed("drink_l_per_day", "", What::Number),
        Member::needed("cook_l_per_day", "", What::Number),
        Member::needed("wash_l_per_day", "", What::Number),
        Member::needed("flush_l_per_day", "", What::Number),
    ],
};

const FIRST: Object = Object {
    name: "First",
    about: "the first person to go without",
    members: &[
        Member::maybe("site", "null where it is another's", What::Id),
        Member::needed("in_days", "", What::Number),
        Member::needed("at", "", What::Moment),
        Member::maybe("low_days", "8 times in 10 not before", What::Number),
        Member::maybe("high_days", "8 times in 10 not after", What::Number),
        Member::needed("people", "who go without from then on", What::Number),
    ],
};

const POOLED: Object = Object {
    name: "Pooled",
    about: "if every litre could be moved: an upper bound, never the answer by itself",
    members: &[
        Member::maybe("days", "null where nothing is needed", What::Number),
        Member::maybe("low_days", "", What::Number),
        Member::maybe("high_days", "", What::Number),
        Member::needed("drink_l", "", What::Number),
        Member::needed("need_l_per_day", "", What::Number),
    ],
};

pub const TODAY: Object = Object {
    name: "Today",
    about: "how long the neighbourhood lasts if the mains stop now",
    members: &[
        Member::needed("as_of", "the minute it was reckoned for", What::Moment),
        Member::needed("ration", "", What::Object(&RUNG)),
        Member::maybe("target_days", "how long it wants to last", What::Figure(&INTERVAL)),
        Member::needed("sites", "sites in use", What::Count(0, MANY_SITES)),
        Member::needed("people", "each counted once", What::Count(0, PEOPLE)),
        Member::needed("need_l_per_day", "of drink grade, in all", What::Number),
        Member::maybe(
            "first_without",
            "as placed; null where nobody goes without within two years",
            What::Object(&FIRST),
        ),
        Member::needed("pooled", "", What::Object(&POOLED)),
        Member::needed("water", "", What::Object(&WATER)),
        Member::needed("supplies", "", What::List(&What::Object(&SUPPLY), MANY)),
    ],
};

const MANY_SITES: u64 = 1_000_000;

const SITE: Object = Object {
    name: "SiteToday",
    about: "a site's days in a list",
    members: &[
        Member::needed("site", "", What::Id),
        Member::needed("name", "", What::Name),
        Member::needed("people", "", What::Count(0, PEOPLE)),
        Member::needed("needs_water", "", What::Flag),
        Member::maybe("days", "at the ration; null where it does not end within two years", What::Number),
        Member::needed("low_days", "", What::Number),
        Member::needed("high_days", "", What::Number),
        Member::maybe("dry_days", "until nothing is left; never called days at the ration", What::Number),
        Member::maybe("ended_by", "what ends the ration", What::Choice(super::standing::causes)),
        Member::needed("water", "", What::Object(&WATER)),
    ],
};

const FALL: Object = Object {
    name: "Fall",
    about: "a site gives out",
    members: &[
        Member::maybe("site", "null where it is another's", What::Id),
        Member::needed("in_days", "", What::Number),
        Member::needed("people", "who go without from then on", What::Number),
        Member::needed("supplied", "people still supplied from then on", What::Number),
    ],
};

const CURVE: Object = Object {
    name: "Curve",
    about: "people still supplied, day by day",
    members: &[
        Member::needed("as_of", "", What::Moment),
        Member::needed("people", "", What::Number),
        Member::needed("ration", "with the ration in full", What::List(&What::Object(&FALL), 1_000_000)),
        Member::needed("water", "with any service at all", What::List(&What::Object(&FALL), 1_000_000)),
    ],
};

pub fn routes() -> Api {
    Api::new()
        .add(
            Operation::get("/api/v1/today", "getToday", "How long the neighbourhood lasts", What::Object(&TODAY))
                .asking(&[RATION]),
            today,
        )
        .add(
            Operation::get(
                "/api/v1/today/sites",
                "listSitesToday",
                "The sites with their days, the shortest-lived first",
                What::Page(&What::Object(&SITE)),
            )
            .asking(&[RATION, AFTER, LIMIT]),
            sites,
        )
        .add(
            Operation::get(
                "/api/v1/today/curve",
                "getCurve",
                "People still supplied, day by day",
                What::Object(&CURVE),
            )
            .asking(&[RATION]),
            curve,
        )
}

#[derive(Debug, Deserialize)]
struct Question {
    ration: Option<String>,
    after: Option<String>,
    limit: Option<usize>,
}

#[derive(Debug, Serialize)]
pub struct Answer {
    as_of: Timestamp,
    ration: Rung,
    target_days: Option<f64>,
    sites: usize,
    people: u64,
    need_l_per_day: f64,
    first_without: Option<First>,
    pooled: Pooled,
    water: Water,
    supplies: Vec<SupplyNow>,
}

#[derive(Debug, Serialize)]
struct Rung {
    key: String,
    name: String,
    drink_l_per_day: f64,
    cook_l_per_day: f64,
    wash_l_per_day: f64,
    flush_l_per_day: f64,
}

#[derive(Debug, Serialize)]
struct First {
    site: Option<SiteId>,
    in_days: f64,
    at: Timestamp,
    low_days: Option<f64>,
    high_days: Option<f64>,
    people: f64,
}

#[derive(Debug, Serialize)]
struct Pooled {
    days: Option<f64>,
    low_days: Option<f64>,
    high_days: Option<f64>,
    drink_l: f64,
    need_l_per_day: f64,
}

/// A site, unless it is another's.
pub(super) fn seen(client: &Client, site: &SiteToday) -> Option<SiteId> {
    let id = site.site.site.id;
    client.caller.can(Deed::SeeSite, Some(id)).then_some(id)
}

async fn today(
    State(house): State<House>,
    client: Client,
    uri: Uri,
    headers: HeaderMap,
    Asked(asked): Asked<Question>,
) -> Result<Response, Error> {
    answer::fresh(&house, &client, &uri, &headers, || {
        let (picture, today) = house.app.today(&client.caller, asked.ration.as_deref())?;
        answer_of(&client, &picture, &today)
    })
}

pub(super) fn answer_of(client: &Client, picture: &Picture, today: &Today) -> Result<Answer, Error> {
    let uses = today.rung.uses();
    let first = today.as_placed.ration.first().map(|fall| {
        Ok::<_, Error>(First {
            site: today.sites.get(fall.place).and_then(|site| seen(client, site)),
            in_days: as_days(fall.at),
            at: timestamp(today.now.after(fall.at))?,
            low_days: today.first_band.map(|band| as_days(band.0)),
            high_days: today.first_band.map(|band| as_days(band.1)),
            people: fall.people,
        })
    });
    Ok(Answer {
        as_of: timestamp(today.now)?,
        ration: Rung {
            key: today.rung.key().to_owned(),
            name: today.rung.name().to_owned(),
            drink_l_per_day: as_litres(uses.drink),
            cook_l_per_day: as_litres(uses.cook),
            wash_l_per_day: as_litres(uses.wash),
            flush_l_per_day: as_litres(uses.flush),
        },
        target_days: today.target_days(picture),
        sites: today.sites.len(),
        people: today.sites.iter().map(|site| site.standing.demand.people).sum(),
        need_l_per_day: as_litres(today.need),
        first_without: first.transpose()?,
        pooled: Pooled {
            days: today.pooled.days.map(as_days),
            low_days: today.pooled_band.map(|band| as_days(band.0)),
            high_days: today.pooled_band.map(|band| as_days(band.1)),
            drink_l: as_litres(today.pooled.in_reach),
            need_l_per_day: as_litres(today.need),
        },
        water: (&today.water).into(),
        supplies: picture.sources.all.values().map(SupplyNow::of).collect::<Result<Vec<_>, Error>>()?,
    })
}

#[derive(Debug, Serialize)]
struct Line {
    site: SiteId,
    name: Name,
    people: u64,
    needs_water: bool,
    days: Option<f64>,
    low_days: f64,
    high_days: f64,
    dry_days: Option<f64>,
    ended_by: Option<&'static str>,
    water: Water,
}

impl Line {
    fn of(today: &SiteToday) -> Self {
        let standing = &today.standing;
        Self {
            site: today.site.site.id,
            name: today.site.site.name.clone(),
            people: standing.demand.people,
            needs_water: standing.needs_water(),
            days: standing.timeline.ration_ends().map(as_days),
            low_days: as_days(standing.low),
            high_days: as_days(standing.high),
            dry_days: standing.timeline.dry_from().map(as_days),
            ended_by: standing.timeline.ends_ration().map(keepwell_engine::endurance::Cause::key),
            water: (&standing.water).into(),
        }
    }
}

async fn sites(
    State(house): State<House>,
    client: Client,
    uri: Uri,
    headers: HeaderMap,
    Asked(asked): Asked<Question>,
) -> Result<Response, Error> {
    const LIST: &str = "/api/v1/today/sites";
    let tag = answer::tag(&house, &client, &uri)?;
    if let Some(held) = tag.held(&house, &headers) {
        return Ok(answer::varied(held));
    }
    let (_, today) = house.app.today(&client.caller, asked.ration.as_deref())?;
    let name = format!("{LIST} {:?}", asked.ration);
    let from = match &asked.after {
        None => 0,
        Some(cursor) => {
            let last = SiteId::from_uuid(cursor::read(&name, cursor)?);
            let place = today.sites.iter().position(|site| site.site.site.id == last);
            place.ok_or(Error::ForeignCursor)? + 1
        }
    };
    let limit = asked.limit.unwrap_or(USUAL_PAGE);
    let rest = today.sites.iter().skip(from).filter(|site| seen(&client, site).is_some());
    let mut items: Vec<Line> = rest.take(limit + 1).map(Line::of).collect();
    let more = items.len() > limit;
    items.truncate(limit);
    let next = items.last().filter(|_| more).map(|last| {
        let mut question = Vec::new();
        question.extend(asked.ration.clone().map(|ration| ("ration", ration)));
        question.push(("limit", limit.to_string()));
        cursor::next(LIST, &question, &cursor::after(&name, last.site.uuid()))
    });
    Ok(answer::varied(tag.dress(answer::page(&Page { items, next })?)))
}

#[derive(Debug, Serialize)]
struct Supplied {
    as_of: Timestamp,
    people: f64,
    ration: Vec<Fall>,
    water: Vec<Fall>,
}

#[derive(Debug, Serialize)]
struct Fall {
    site: Option<SiteId>,
    in_days: f64,
    people: f64,
    supplied: f64,
}

async fn curve(
    State(house): State<House>,
    client: Client,
    uri: Uri,
    headers: HeaderMap,
    Asked(asked): Asked<Question>,
) -> Result<Response, Error> {
    answer::fresh(&house, &client, &uri, &headers, || {
        let (_, today) = house.app.today(&client.caller, asked.ration.as_deref())?;
        let days = |at: Time| as_days(at);
        let falls = |curve: &Curve| {
            let fall = |fall: &keepwell_engine::neighbourhood::Fall| Fall {
                site: today.sites.get(fall.place).and_then(|site| seen(&client, site)),
                in_days: days(fall.at),
                people: fall.people,
                supplied: fall.supplied,
            };
            curve.falls.iter().map(fall).collect()
        };
        Ok(Supplied {
            as_of: timestamp(today.now)?,
            people: today.as_placed.ration.people,
            ration: falls(&today.as_placed.ration),
            water: falls(&today.as_placed.water),
        })
    })
}
