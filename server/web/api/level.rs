//! What is believed of one vessel and one supply at this minute, and of a vessel's level over time.

use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::StatusCode;
use axum::http::Uri;
use axum::response::Response;
use jiff::Timestamp;
use keepwell_engine::grade::Cause;
use keepwell_engine::level::explain::Why;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::as_litres_per_day;
use keepwell_engine::quantity::hours;
use serde::Deserialize;
use serde::Serialize;

use crate::model::id::EntryId;
use crate::model::id::SourceId;
use crate::model::id::VesselId;
use crate::model::message::Message;
use crate::picture::VesselPicture;
use crate::service;
use crate::service::authorise::Deed;
use crate::service::entries::New;
use crate::web::House;
use crate::web::api::answer;
use crate::web::api::client::Asked;
use crate::web::api::client::Client;
use crate::web::api::client::Sent;
use crate::web::api::entries::entry;
use crate::web::api::entries::placed;
use crate::web::api::operation::Api;
use crate::web::api::operation::Operation;
use crate::web::api::reckoned::SUPPLY;
use crate::web::api::reckoned::SupplyNow;
use crate::web::api::reckoned::timestamp;
use crate::web::api::shape::MANY;
use crate::web::api::shape::Member;
use crate::web::api::shape::Object;
use crate::web::api::shape::What;
use crate::web::api::standing::grades;
use crate::web::error::Error;
use crate::web::error::Fault;
use crate::web::extract::Path;
use crate::web::reader::Reader;
use crate::web::shown::grade::why;

/// What can stand against water.
pub fn causes() -> Vec<(&'static str, &'static str)> {
    Cause::ALL.iter().map(|cause| (cause.key(), cause.name())).collect()
}

const PART: Object = Object {
    name: "Part",
    about: "what one part of a vessel holds, and what that is counted as",
    members: &[
        Member::needed("lot", "empty where it is not told apart", What::Text(40)),
        Member::needed("litres", "believed", What::Number),
        Member::needed("low_l", "8 times in 10 at least", What::Number),
        Member::needed("high_l", "8 times in 10 at most", What::Number),
        Member::maybe("grade", "null where it is empty", What::Choice(grades)),
        Member::needed("causes", "what stands against it", What::List(&What::Choice(causes), 20)),
        Member::needed("reasons", "the facts behind it, in words", What::List(&What::Text(500), 50)),
        Member::maybe("counts_from", "how old the water counts as", What::Moment),
        Member::maybe("due", "when it is past its date", What::Moment),
    ],
};

/// Why a reading does not fit.
pub fn whys() -> Vec<(&'static str, &'static str)> {
    Why::ALL.iter().map(|why| (why.key(), why.name())).collect()
}

const USE: Object = Object {
    name: "DailyUse",
    about: "what is used a day, by the level alone",
    members: &[
        Member::needed("l_per_day", "", What::Number),
        Member::needed("sd_l_per_day", "one standard deviation", What::Number),
    ],
};

const LEAK: Object = Object {
    name: "Leak",
    about: "a possible leak that goes on: a fall that no entry and no error of a reading explains",
    members: &[
        Member::needed("l_per_day", "", What::Number),
        Member::needed("sd_l_per_day", "one standard deviation", What::Number),
        Member::needed("since", "when it began, best guess", What::Moment),
        Member::needed("chance", "how sure it is that there is one, 0 to 1", What::Number),
    ],
};

const MISFIT: Object = Object {
    name: "Misfit",
    about: "an entry that does not fit by all that is known",
    members: &[
        Member::needed("entry", "", What::Id),
        Member::needed("at", "", What::Moment),
        Member::maybe("why", "the likeliest reason; null where none is named", What::Choice(whys)),
    ],
};

const VESSEL: Object = Object {
    name: "VesselStanding",
    about: "what is believed of a vessel now. What it is counted as is never a test of the water",
    members: &[
        Member::needed("as_of", "", What::Moment),
        Member::needed("vessel", "", What::Id),
        Member::needed("known", "somebody once said how much is in it", What::Flag),
        Member::needed("coupled", "open to others of its bank", What::Flag),
        Member::needed("litres", "believed", What::Number),
        Member::needed("low_l", "8 times in 10 at least", What::Number),
        Member::needed("high_l", "8 times in 10 at most", What::Number),
        Member::needed("full_l", "at its full mark", What::Number),
        Member::needed("brim_l", "", What::Number),
        Member::maybe("last_read", "when a level was last read", What::Moment),
        Member::maybe("last_reading", "the entry of that reading", What::Id),
        Member::maybe("use", "of a vessel in daily use", What::Object(&USE)),
        Member::maybe("leak", "of a vessel that should stand still", What::Object(&LEAK)),
        Member::needed("misfits", "the earliest first", What::List(&What::Object(&MISFIT), MANY)),
        Member::needed("parts", "", What::List(&What::Object(&PART), MANY)),
    ],
};

const POINT: Object = Object {
    name: "LevelPoint",
    about: "what was believed at a moment",
    members: &[
        Member::needed("at", "", What::Moment),
        Member::needed("known", "false: nothing was known yet", What::Flag),
        Member::needed("read", "a level was read here", What::Flag),
        Member::needed("litres", "", What::Number),
        Member::needed("low_l", "", What::Number),
        Member::needed("high_l", "", What::Number),
    ],
};

const LEVELS: Object = Object {
    name: "Levels",
    about: "a vessel's level over time: before and after each entry, and at least every step",
    members: &[
        Member::needed("vessel", "", What::Id),
        Member::needed("points", "", What::List(&What::Object(&POINT), 1_000_000)),
    ],
};

const SINCE: [Member; 2] = [
    Member::maybe("since", "from when on; 60 days ago where it is not said, two years ago at most", What::Moment),
    Member::maybe("step_hours", "the longest step; 24 where it is not said", What::Count(1, 24 * 31)),
];

pub fn routes() -> Api {
    Api::new()
        .add(
            Operation::get(
                "/api/v1/vessels/{id}/standing",
                "getVesselStanding",
                "What a vessel holds, and what that is counted as",
                What::Object(&VESSEL),
            ),
            vessel,
        )
        .add(
            Operation::get(
                "/api/v1/vessels/{id}/levels",
                "getLevels",
                "A vessel's level over time",
                What::Object(&LEVELS),
            )
            .asking(&SINCE),
            levels,
        )
        .add(
            Operation::get(
                "/api/v1/sources/{id}/standing",
                "getSourceStanding",
                "What is known of a supply: its state and its notices",
                What::Object(&SUPPLY),
            ),
            source,
        )
        .add(
            Operation::post(
                "/api/v1/entries/preview",
                "previewEntry",
                "What would be believed of its vessel if an entry were logged; nothing is stored",
                What::NewEntry,
                What::Object(&VESSEL),
            )
            .only_ok(),
            preview,
        )
}

#[derive(Debug, Serialize)]
struct Vessel {
    as_of: Timestamp,
    vessel: VesselId,
    known: bool,
    coupled: bool,
    litres: f64,
    low_l: f64,
    high_l: f64,
    full_l: f64,
    brim_l: f64,
    last_read: Option<Timestamp>,
    last_reading: Option<EntryId>,
    #[serde(rename = "use")]
    usage: Option<DailyUse>,
    leak: Option<LeakNow>,
    misfits: Vec<MisfitNow>,
    parts: Vec<Part>,
}

#[derive(Debug, Serialize)]
struct DailyUse {
    l_per_day: f64,
    sd_l_per_day: f64,
}

#[derive(Debug, Serialize)]
struct LeakNow {
    l_per_day: f64,
    sd_l_per_day: f64,
    since: Timestamp,
    chance: f64,
}

#[derive(Debug, Serialize)]
struct MisfitNow {
    entry: EntryId,
    at: Timestamp,
    why: Option<&'static str>,
}

#[derive(Debug, Serialize)]
struct Part {
    lot: String,
    litres: f64,
    low_l: f64,
    high_l: f64,
    grade: Option<&'static str>,
    causes: Vec<&'static str>,
    reasons: Vec<String>,
    counts_from: Option<Timestamp>,
    due: Option<Timestamp>,
}

impl Vessel {
    fn of(reader: &Reader, vessel: &VesselPicture, now: Moment) -> Result<Self, Error> {
        let estimate = vessel.estimate(now);
        let parts = vessel.parts(now).into_iter().map(|part| {
            let graded = &part.graded;
            Ok(Part {
                lot: part.lot,
                litres: as_litres(part.estimate.volume),
                low_l: as_litres(part.estimate.low),
                high_l: as_litres(part.estimate.high),
                grade: graded.grade.map(keepwell_engine::grade::Grade::key),
                causes: graded.causes.iter().map(|cause| cause.key()).collect(),
                reasons: graded.reasons.iter().map(|reason| why(reader, reason).words.to_string()).collect(),
                counts_from: graded.clock.map(timestamp).transpose()?,
                due: graded.due.map(timestamp).transpose()?,
            })
        });
        let last = vessel.state().last_reading;
        let usage = vessel.explained().and_then(|explained| explained.usage(now)).map(|usage| DailyUse {
            l_per_day: as_litres_per_day(usage.mean),
            sd_l_per_day: as_litres_per_day(usage.sd),
        });
        let leak = vessel.leak().map(|leak| {
            Ok::<_, Error>(LeakNow {
                l_per_day: as_litres_per_day(leak.rate.mean),
                sd_l_per_day: as_litres_per_day(leak.rate.sd),
                since: timestamp(leak.since)?,
                chance: leak.chance,
            })
        });
        let misfits = vessel.misfits().into_iter().map(|misfit| {
            Ok(MisfitNow { entry: misfit.entry, at: timestamp(misfit.at)?, why: misfit.why.map(Why::key) })
        });
        Ok(Self {
            as_of: timestamp(now)?,
            vessel: vessel.vessel.id,
            known: vessel.is_known(),
            coupled: vessel.is_coupled(),
            litres: as_litres(estimate.volume),
            low_l: as_litres(estimate.low),
            high_l: as_litres(estimate.high),
            full_l: as_litres(vessel.body.capacity.full),
            brim_l: as_litres(vessel.body.capacity.brim),
            last_read: last.map(|(at, _)| timestamp(at)).transpose()?,
            last_reading: last.map(|(_, id)| id),
            usage,
            leak: leak.transpose()?,
            misfits: misfits.collect::<Result<Vec<_>, Error>>()?,
            parts: parts.collect::<Result<Vec<_>, Error>>()?,
        })
    }
}

async fn vessel(
    State(house): State<House>,
    client: Client,
    uri: Uri,
    headers: HeaderMap,
    Path(id): Path<VesselId>,
) -> Result<Response, Error> {
    answer::fresh(&house, &client, &uri, &headers, || {
        let answer = house.app.vessel(&client.caller, id)?;
        Vessel::of(&client.reader, &answer.vessel, answer.now)
    })
}

async fn preview(State(house): State<House>, client: Client, Sent(sent): Sent) -> Result<Response, Error> {
    let new: New = entry(sent)?;
    let vessel = house.app.preview(&client.caller, new).map_err(placed)?;
    answer::json(StatusCode::OK, &Vessel::of(&client.reader, &vessel, house.app.now())?)
}

#[derive(Debug, Deserialize)]
struct Question {
    since: Option<Timestamp>,
    step_hours: Option<u16>,
}

#[derive(Debug, Serialize)]
struct Levels {
    vessel: VesselId,
    points: Vec<Point>,
}

#[derive(Debug, Serialize)]
struct Point {
    at: Timestamp,
    known: bool,
    read: bool,
    litres: f64,
    low_l: f64,
    high_l: f64,
}

/// How far back a level is told, and how far without being asked.
const FARTHEST_HOURS: f64 = 24.0 * 731.0;
const USUAL_HOURS: f64 = 24.0 * 60.0;

async fn levels(
    State(house): State<House>,
    client: Client,
    uri: Uri,
    headers: HeaderMap,
    Path(id): Path<VesselId>,
    Asked(asked): Asked<Question>,
) -> Result<Response, Error> {
    answer::fresh(&house, &client, &uri, &headers, || {
        let answer = house.app.vessel(&client.caller, id)?;
        let now = answer.now;
        let from =
            asked.since.map_or(now.after(hours(-USUAL_HOURS)), |since| Moment::from_micros(since.as_microsecond()));
        if from > now || from < now.after(hours(-FARTHEST_HOURS)) {
            let detail = Message::new("since lies between now and two years ago.");
            return Err(Error::Invalid(vec![Fault { field: Some("?since".to_owned()), detail }]));
        }
        let step = hours(f64::from(asked.step_hours.unwrap_or(24)));
        let trace = answer.vessel.trace(&answer.picture.sources, from, now, step);
        let points = trace.iter().map(|point| {
            Ok(Point {
                at: timestamp(point.at)?,
                known: point.known,
                read: point.reading.is_some(),
                litres: as_litres(point.estimate.volume),
                low_l: as_litres(point.estimate.low),
                high_l: as_litres(point.estimate.high),
            })
        });
        Ok(Levels { vessel: id, points: points.collect::<Result<Vec<_>, Error>>()? })
    })
}

async fn source(
    State(house): State<House>,
    client: Client,
    uri: Uri,
    headers: HeaderMap,
    Path(id): Path<SourceId>,
) -> Result<Response, Error> {
    answer::fresh(&house, &client, &uri, &headers, || {
        client.caller.may(Deed::SeeTotals, None)?;
        let picture = house.app.picture();
        SupplyNow::of(picture.sources.all.get(&id).ok_or(service::Error::NotFound("supply"))?)
    })
}
