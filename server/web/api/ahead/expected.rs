//! What may be expected, with its chances.

use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::StatusCode;
use axum::http::Uri;
use axum::response::Response;
use keepwell_engine::forecast::Chance;
use keepwell_engine::forecast::Day;
use keepwell_engine::forecast::Days;
use keepwell_engine::forecast::Outlook;
use keepwell_engine::forecast::SiteOutlook;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_litres;
use serde::Serialize;

use crate::model::id::SiteId;
use crate::picture::learned::LearnedAt;
use crate::service::authorise::Deed;
use crate::web::House;
use crate::web::api::ahead::supposed::Question;
use crate::web::api::ahead::supposed::suppose;
use crate::web::api::answer;
use crate::web::api::client::Asked;
use crate::web::api::client::Client;
use crate::web::api::shape::MANY;
use crate::web::api::shape::Member;
use crate::web::api::shape::Object;
use crate::web::api::shape::What;
use crate::web::api::today::seen;
use crate::web::error::Error;

const DAYS: Object = Object {
    name: "Percentiles",
    about: "days in one draw of ten, in half, in nine of ten, no longer than this; null: as far as is looked",
    members: &[
        Member::maybe("p10", "", What::Number),
        Member::maybe("p50", "", What::Number),
        Member::maybe("p90", "", What::Number),
    ],
};

const EXPECTED: Object = Object {
    name: "Expected",
    about: "days with their chances",
    members: &[
        Member::maybe("site", "null for all together", What::Id),
        Member::needed("ration_days", "", What::Object(&DAYS)),
        Member::needed("dry_days", "", What::Object(&DAYS)),
        Member::needed("ration_reaches", "chance of reaching the target, 0 to 1", What::Number),
        Member::needed("water_reaches", "the same with any water at all", What::Number),
        Member::maybe(
            "ration_lasts",
            "chance of lasting until the mains are back; null where that is not asked",
            What::Number,
        ),
        Member::maybe("water_lasts", "the same with any water at all", What::Number),
    ],
};

const LEARNED: Object = Object {
    name: "LearnedUse",
    about: "litres a person a day in outages that there have been, with the people as they were counted then",
    members: &[
        Member::needed("site", "", What::Id),
        Member::needed("days", "measured over", What::Number),
        Member::needed("rationed_l", "by the rations in force then", What::Number),
        Member::needed("each_l", "measured and rationed weighed together", What::Number),
        Member::needed("sd_l", "one standard deviation of it", What::Number),
        Member::needed("taken", "enough to go by, so that the forecast does", What::Flag),
    ],
};

pub const FORECAST: Object = Object {
    name: "Forecast",
    about: "the same question many times, each with other luck; the same answer each time it is asked",
    members: &[
        Member::needed("draws", "", What::Count(1, 10_000)),
        Member::needed("target_days", "", What::Number),
        Member::maybe("pooled_days", "as if every litre could be moved; null: nothing is needed", What::Object(&DAYS)),
        Member::needed("first", "until the first person goes without", What::Object(&EXPECTED)),
        Member::needed("sites", "", What::List(&What::Object(&EXPECTED), MANY)),
        Member::needed("learned", "", What::List(&What::Object(&LEARNED), MANY)),
    ],
};

#[derive(Debug, Serialize)]
struct Percentiles {
    p10: Option<f64>,
    p50: Option<f64>,
    p90: Option<f64>,
}

impl Percentiles {
    fn of(days: &Days) -> Self {
        let day = |day: Day| (!day.at_least).then(|| as_days(day.at));
        Self { p10: day(days.p10), p50: day(days.p50), p90: day(days.p90) }
    }
}

#[derive(Debug, Serialize)]
struct Expected {
    site: Option<SiteId>,
    ration_days: Percentiles,
    dry_days: Percentiles,
    ration_reaches: f64,
    water_reaches: f64,
    ration_lasts: Option<f64>,
    water_lasts: Option<f64>,
}

impl Expected {
    fn of(site: Option<SiteId>, outlook: &Outlook) -> Self {
        Self {
            site,
            ration_days: Percentiles::of(&outlook.ration),
            dry_days: Percentiles::of(&outlook.dry),
            ration_reaches: Chance::part(outlook.ration_reaches),
            water_reaches: Chance::part(outlook.water_reaches),
            ration_lasts: outlook.through.map(|through| through.ration.part()),
            water_lasts: outlook.through.map(|through| through.water.part()),
        }
    }
}

#[derive(Debug, Serialize)]
struct Learned {
    site: SiteId,
    days: f64,
    rationed_l: f64,
    each_l: f64,
    sd_l: f64,
    taken: bool,
}

impl Learned {
    fn of(taught: &LearnedAt) -> Self {
        let learned = &taught.learned;
        Self {
            site: taught.site,
            days: learned.days,
            rationed_l: as_litres(taught.rationed),
            each_l: as_litres(learned.each),
            sd_l: as_litres(learned.sd),
            taken: learned.enough,
        }
    }
}

#[derive(Debug, Serialize)]
struct Forecast {
    draws: u32,
    target_days: f64,
    pooled_days: Option<Percentiles>,
    first: Expected,
    sites: Vec<Expected>,
    learned: Vec<Learned>,
}

pub(super) async fn forecast(
    State(house): State<House>,
    client: Client,
    uri: Uri,
    headers: HeaderMap,
    Asked(asked): Asked<Question>,
) -> Result<Response, Error> {
    let tag = answer::tag(&house, &client, &uri)?;
    if let Some(held) = tag.held(&house, &headers) {
        return Ok(answer::varied(held));
    }
    let (outage, supposed) = (asked.outage()?, suppose(&client, &asked, &house.app.picture())?);
    let (picture, today) = if supposed.is_nothing() {
        house.app.today(&client.caller, asked.ration())?
    } else {
        house.app.supposing(&client.caller, asked.ration(), supposed)?
    };
    let expected = match outage {
        Some(outage) => house.app.expected_of_an_outage(&client.caller, &picture, &today, outage).await?,
        None => house.app.expected(&client.caller, &picture, &today).await?,
    };
    let sites = today.sites.iter().zip(&expected.forecast.sites).filter(|(site, _)| site.standing.needs_water());
    let line = |(site, found): (_, &SiteOutlook)| Some(Expected::of(Some(seen(&client, site)?), &found.outlook));
    let found = Forecast {
        draws: expected.question.draws,
        target_days: as_days(expected.question.target),
        pooled_days: expected.forecast.pooled.as_ref().map(Percentiles::of),
        first: Expected::of(None, &expected.forecast.first),
        sites: sites.filter_map(line).collect(),
        learned: expected
            .learned
            .iter()
            .filter(|taught| client.caller.can(Deed::SeeSite, Some(taught.site)))
            .map(Learned::of)
            .collect(),
    };
    Ok(answer::varied(tag.dress(answer::json(StatusCode::OK, &found)?)))
}
