//! What is reckoned of one site at this minute: its days, its service, its stocks and its power.

use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::Uri;
use axum::response::Response;
use jiff::Timestamp;
use keepwell_engine::endurance::Cause;
use keepwell_engine::grade::Grade;
use keepwell_engine::power::FuelKind;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_hours;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::as_litres_per_hour;
use keepwell_engine::quantity::as_watts;
use serde::Deserialize;
use serde::Serialize;

use crate::model::choice::options;
use crate::model::id::SiteId;
use crate::model::id::VesselId;
use crate::model::power::Fuel;
use crate::picture::power::PowerNow;
use crate::picture::standing::Standing;
use crate::service;
use crate::web::House;
use crate::web::api::answer;
use crate::web::api::battery;
use crate::web::api::client::Asked;
use crate::web::api::client::Client;
use crate::web::api::operation::Api;
use crate::web::api::operation::Operation;
use crate::web::api::passing::STANDS;
use crate::web::api::passing::Stand;
use crate::web::api::passing::TAP;
use crate::web::api::passing::TREATMENT;
use crate::web::api::passing::Tap;
use crate::web::api::passing::Treatment;
use crate::web::api::reckoned::RATION;
use crate::web::api::reckoned::WATER;
use crate::web::api::reckoned::Water;
use crate::web::api::reckoned::timestamp;
use crate::web::api::shape::MANY;
use crate::web::api::shape::Member;
use crate::web::api::shape::Object;
use crate::web::api::shape::What;
use crate::web::error::Error;
use crate::web::extract::Path;

/// Why a level of service ends.
pub fn causes() -> Vec<(&'static str, &'static str)> {
    const ALL: [Cause; 8] = [
        Cause::Fuel,
        Cause::Battery,
        Cause::Media,
        Cause::Water,
        Cause::Flush,
        Cause::Keep,
        Cause::Event,
        Cause::Horizon,
    ];
    ALL.iter().map(|cause| (cause.key(), cause.key())).collect()
}

pub fn grades() -> Vec<(&'static str, &'static str)> {
    [Grade::Drink, Grade::Treat, Grade::Utility, Grade::Hold].iter().map(|grade| (grade.key(), grade.key())).collect()
}

const SPAN: Object = Object {
    name: "Span",
    about: "a stretch of time with one level of service",
    members: &[
        Member::maybe("level", "null is dry", What::Text(40)),
        Member::needed("from_days", "from now", What::Number),
        Member::needed("to_days", "from now", What::Number),
        Member::needed("ended_by", "", What::Choice(causes)),
    ],
};

const STOCK: Object = Object {
    name: "Stock",
    about: "water in one vessel or one lot of a set",
    members: &[
        Member::needed("vessel", "", What::Id),
        Member::needed("lot", "empty where it is not told apart", What::Text(40)),
        Member::needed("grade", "", What::Choice(grades)),
        Member::needed("litres", "believed", What::Number),
        Member::needed("low_l", "8 times in 10 at least", What::Number),
        Member::needed("high_l", "8 times in 10 at most", What::Number),
        Member::needed("in_reach_l", "", What::Number),
    ],
};

const POWER: Object = Object {
    name: "PowerNow",
    about: "a generator's fuel. Outdoors, 6 m from openings, exhaust away from them, a carbon monoxide alarm inside",
    members: &[
        Member::needed("fuel", "", What::Choice(options::<Fuel>)),
        Member::needed("good_l", "usable, within its life", What::Number),
        Member::needed("old_l", "past its life, or of unknown age", What::Number),
        Member::needed("load_w", "", What::Number),
        Member::needed("load_assumed", "no loads were given: half of the rated load is taken", What::Flag),
        Member::needed("pump_reckoned", "what the pump takes comes from its hydraulics", What::Flag),
        Member::needed("burn_l_per_hour", "", What::Number),
        Member::needed("hours_a_day", "the run plan", What::Number),
        Member::needed(
            "pumps",
            "it runs and starts the pump, as far as anybody said what it gives; otherwise no day counts on it",
            What::Flag,
        ),
        Member::maybe("running_hours", "on the fuel that counts; null for gas from the main", What::Number),
    ],
};

const STANDING: Object = Object {
    name: "SiteStanding",
    about: "how long a site lasts if the mains stop now",
    members: &[
        Member::needed("as_of", "", What::Moment),
        Member::needed("site", "", What::Id),
        Member::needed("ration", "", What::Choice(crate::web::api::neighbourhood::rungs)),
        Member::needed("people", "", What::Count(0, 10_000_000_000)),
        Member::needed("need_l_per_day", "of drink grade", What::Number),
        Member::maybe("days", "at the ration; null where it does not end within two years", What::Number),
        Member::needed("low_days", "", What::Number),
        Member::needed("high_days", "", What::Number),
        Member::maybe("dry_days", "until nothing is left; never called days at the ration", What::Number),
        Member::maybe("ended_by", "what ends the ration", What::Choice(causes)),
        Member::needed("water", "", What::Object(&WATER)),
        Member::needed("spans", "", What::List(&What::Object(&SPAN), MANY)),
        Member::needed("stocks", "in the order in which they are used", What::List(&What::Object(&STOCK), MANY)),
        Member::maybe("power", "", What::Object(&POWER)),
        Member::maybe("battery", "", What::Object(&battery::NOW)),
        Member::maybe("tap", "", What::Object(&TAP)),
        Member::maybe("treatment", "", What::Object(&TREATMENT)),
        Member::needed("structure", "of the tanks that stand on a flat base", What::List(&What::Object(&STANDS), MANY)),
    ],
};

pub fn routes() -> Api {
    Api::new().add(
        Operation::get(
            "/api/v1/sites/{id}/standing",
            "getSiteStanding",
            "How long a site lasts, and what gives out first",
            What::Object(&STANDING),
        )
        .asking(&[RATION]),
        site,
    )
}

#[derive(Debug, Deserialize)]
struct Question {
    ration: Option<String>,
}

#[derive(Debug, Serialize)]
struct Answer {
    as_of: Timestamp,
    site: SiteId,
    ration: String,
    people: u64,
    need_l_per_day: f64,
    days: Option<f64>,
    low_days: f64,
    high_days: f64,
    dry_days: Option<f64>,
    ended_by: Option<&'static str>,
    water: Water,
    spans: Vec<Span>,
    stocks: Vec<Stock>,
    power: Option<Power>,
    battery: Option<battery::Now>,
    tap: Option<Tap>,
    treatment: Option<Treatment>,
    structure: Vec<Stand>,
}

#[derive(Debug, Serialize)]
struct Span {
    level: Option<String>,
    from_days: f64,
    to_days: f64,
    ended_by: &'static str,
}

#[derive(Debug, Serialize)]
struct Stock {
    vessel: VesselId,
    lot: String,
    grade: &'static str,
    litres: f64,
    low_l: f64,
    high_l: f64,
    in_reach_l: f64,
}

#[derive(Debug, Serialize)]
struct Power {
    fuel: &'static str,
    good_l: f64,
    old_l: f64,
    load_w: f64,
    load_assumed: bool,
    pump_reckoned: bool,
    burn_l_per_hour: f64,
    hours_a_day: f64,
    pumps: bool,
    running_hours: Option<f64>,
}

impl Power {
    fn of(power: &PowerNow) -> Self {
        Self {
            fuel: FuelKind::key(power.fuel),
            good_l: as_litres(power.on_hand.good),
            old_l: as_litres(power.on_hand.old),
            load_w: as_watts(power.load),
            load_assumed: power.load_assumed,
            pump_reckoned: power.pump_reckoned,
            pumps: power.pumps,
            burn_l_per_hour: as_litres_per_hour(power.burn),
            hours_a_day: as_hours(power.hours_a_day),
            running_hours: power.running.map(as_hours),
        }
    }
}

fn spans(standing: &Standing) -> Vec<Span> {
    let span = |span: &keepwell_engine::endurance::Span| Span {
        level: span.level.and_then(|level| standing.run.levels.get(level)).map(|level| level.name.clone()),
        from_days: as_days(span.from),
        to_days: as_days(span.to),
        ended_by: span.cause.key(),
    };
    standing.timeline.spans.iter().map(span).collect()
}

async fn site(
    State(house): State<House>,
    client: Client,
    uri: Uri,
    headers: HeaderMap,
    Path(id): Path<SiteId>,
    Asked(asked): Asked<Question>,
) -> Result<Response, Error> {
    answer::fresh(&house, &client, &uri, &headers, || {
        let answer = house.app.site(&client.caller, id, asked.ration.as_deref())?;
        // A site that is no longer in use has no days.
        let today = answer.standing.as_ref().ok_or(service::Error::NotFound("site"))?;
        let standing = &*today.standing;
        let stock = |stock: &crate::picture::stocks::StockOf| Stock {
            vessel: stock.vessel,
            lot: stock.lot.clone(),
            grade: stock.grade.key(),
            litres: as_litres(stock.estimate.volume),
            low_l: as_litres(stock.estimate.low),
            high_l: as_litres(stock.estimate.high),
            in_reach_l: as_litres(stock.in_reach),
        };
        Ok(Answer {
            as_of: timestamp(answer.now)?,
            site: id,
            ration: answer.today.rung.key().to_owned(),
            people: standing.demand.people,
            need_l_per_day: as_litres(standing.demand.drink_grade()),
            days: standing.timeline.ration_ends().map(as_days),
            low_days: as_days(standing.low),
            high_days: as_days(standing.high),
            dry_days: standing.timeline.dry_from().map(as_days),
            ended_by: standing.timeline.ends_ration().map(Cause::key),
            water: (&standing.water).into(),
            spans: spans(standing),
            stocks: standing.stocks.iter().map(stock).collect(),
            power: standing.power.as_ref().map(Power::of),
            battery: standing.battery.as_ref().map(battery::Now::of).transpose().map_err(Error::internal)?,
            tap: standing.pump.as_ref().map(Tap::of),
            treatment: standing.train.as_ref().map(Treatment::of),
            structure: Stand::all(&answer)?,
        })
    })
}
