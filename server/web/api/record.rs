//! What is not in order, and the record of who changed what.

use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::Uri;
use axum::response::Response;
use jiff::Timestamp;
use serde::Deserialize;
use serde::Serialize;
use serde_json::Value;
use uuid::Uuid;

use crate::findings::Finding;
use crate::findings::Weight;
use crate::model::id::PersonId;
use crate::model::id::SiteId;
use crate::model::id::VesselId;
use crate::service::set_up::Change;
use crate::web::House;
use crate::web::api::answer;
use crate::web::api::answer::Page;
use crate::web::api::client::Asked;
use crate::web::api::client::Client;
use crate::web::api::cursor;
use crate::web::api::kept::USUAL_PAGE;
use crate::web::api::operation::Api;
use crate::web::api::operation::Operation;
use crate::web::api::reckoned::timestamp;
use crate::web::api::shape::AFTER;
use crate::web::api::shape::LIMIT;
use crate::web::api::shape::Member;
use crate::web::api::shape::Object;
use crate::web::api::shape::What;
use crate::web::error::Error;
use crate::web::reader::Reader;

const LIST: &str = "/api/v1/changes";

fn weights() -> Vec<(&'static str, &'static str)> {
    [Weight::DoNow, Weight::Overdue, Weight::Mind, Weight::Due].map(|weight| (key(weight), "")).to_vec()
}

const fn key(weight: Weight) -> &'static str {
    match weight {
        Weight::DoNow => "do_now",
        Weight::Overdue => "overdue",
        Weight::Mind => "mind",
        Weight::Due => "due",
    }
}

const FINDING: Object = Object {
    name: "Finding",
    about: "something not in order",
    members: &[
        Member::needed("rule", "its name, which does not change", What::Text(80)),
        Member::needed("weight", "how much it presses", What::Choice(weights)),
        Member::needed("site", "", What::Id),
        Member::maybe("vessel", "", What::Id),
        Member::maybe("since", "", What::Moment),
        Member::needed("what", "in words", What::Text(1000)),
        Member::needed("todo", "what to do, in words", What::Text(1000)),
    ],
};

const FINDINGS: Object = Object {
    name: "Findings",
    about: "what is not in order, the most pressing first",
    members: &[
        Member::needed("as_of", "", What::Moment),
        Member::needed("findings", "", What::List(&What::Object(&FINDING), 1_000_000)),
    ],
};

const CHANGE: Object = Object {
    name: "Change",
    about: "one change of the set-up",
    members: &[
        Member::needed(
            "revision",
            "its number; also the revision that the thing had from then on",
            What::Count(0, u64::MAX),
        ),
        Member::needed("at", "", What::Moment),
        Member::maybe("person", "who did it", What::Id),
        Member::needed("noun", "what kind of thing", What::Text(40)),
        Member::needed("thing", "its id; all noughts for the neighbourhood itself", What::Id),
        Member::maybe("before", "null where it was added", What::Record),
        Member::maybe("after", "", What::Record),
    ],
};

pub fn routes() -> Api {
    Api::new()
        .add(
            Operation::get("/api/v1/findings", "listFindings", "What is not in order", What::Object(&FINDINGS))
                .asking(&[Member::maybe("site", "only at this site", What::Id)]),
            findings,
        )
        .add(
            Operation::get(
                LIST,
                "listChanges",
                "Who changed what of the set-up, the newest first",
                What::Page(&What::Object(&CHANGE)),
            )
            .asking(&[
                Member::maybe("thing", "only of this thing; a keeper names one", What::Id),
                AFTER,
                LIMIT,
            ]),
            changes,
        )
}

#[derive(Debug, Deserialize)]
struct OfSite {
    site: Option<SiteId>,
}

#[derive(Debug, Serialize)]
struct Findings {
    as_of: Timestamp,
    findings: Vec<Shown>,
}

#[derive(Debug, Serialize)]
struct Shown {
    rule: &'static str,
    weight: &'static str,
    site: SiteId,
    vessel: Option<VesselId>,
    since: Option<Timestamp>,
    what: String,
    todo: String,
}

impl Shown {
    fn of(reader: &Reader, finding: &Finding) -> Result<Self, Error> {
        Ok(Self {
            rule: finding.rule,
            weight: key(finding.weight),
            site: finding.site,
            vessel: finding.vessel,
            since: finding.since.map(timestamp).transpose()?,
            what: reader.say(&finding.what).to_string(),
            todo: reader.say(&finding.todo).to_string(),
        })
    }
}

async fn findings(
    State(house): State<House>,
    client: Client,
    uri: Uri,
    headers: HeaderMap,
    Asked(asked): Asked<OfSite>,
) -> Result<Response, Error> {
    answer::fresh(&house, &client, &uri, &headers, || {
        let shown = |finding: &Finding| Shown::of(&client.reader, finding);
        let (now, findings) = match asked.site {
            Some(site) => {
                let answer = house.app.site(&client.caller, site, None)?;
                let found = house.app.findings(&client.caller, &answer)?;
                (answer.now, found.iter().map(shown).collect::<Result<Vec<_>, Error>>()?)
            }
            None => {
                let (picture, today) = house.app.today(&client.caller, None)?;
                let found = house.app.all_findings(&client.caller, &picture, &today)?;
                (today.now, found.iter().map(shown).collect::<Result<Vec<_>, Error>>()?)
            }
        };
        Ok(Findings { as_of: timestamp(now)?, findings })
    })
}

#[derive(Debug, Deserialize)]
struct OfThing {
    thing: Option<Uuid>,
    after: Option<String>,
    limit: Option<usize>,
}

#[derive(Debug, Serialize)]
struct Changed {
    revision: i64,
    at: Timestamp,
    person: Option<PersonId>,
    noun: String,
    thing: Uuid,
    before: Option<Value>,
    after: Option<Value>,
}

impl Changed {
    fn of(change: Change) -> Result<Self, Error> {
        let read = |json: Option<String>| json.map(|json| serde_json::from_str(&json)).transpose();
        Ok(Self {
            revision: change.seq,
            at: change.at,
            person: change.by,
            noun: change.noun,
            thing: change.thing,
            before: read(change.before).map_err(Error::internal)?,
            after: read(change.after).map_err(Error::internal)?,
        })
    }
}

async fn changes(
    State(house): State<House>,
    client: Client,
    uri: Uri,
    headers: HeaderMap,
    Asked(asked): Asked<OfThing>,
) -> Result<Response, Error> {
    let tag = answer::tag(&house, &client, &uri)?;
    if let Some(held) = tag.held(&house, &headers) {
        return Ok(answer::varied(held));
    }
    let name = format!("{LIST} {:?}", asked.thing);
    // A change has a number; a cursor holds an id, and there are fewer numbers than ids.
    let number = |cursor: &String| {
        let number = i64::try_from(cursor::read(&name, cursor)?.as_u128()).map_err(|_| Error::ForeignCursor)?;
        if number > house.app.picture().change_seq { Err(Error::ForeignCursor) } else { Ok(number) }
    };
    let before = asked.after.as_ref().map(number).transpose()?;
    let limit = asked.limit.unwrap_or(USUAL_PAGE);
    let most = i64::try_from(limit).unwrap_or(i64::MAX).saturating_add(1);
    let mut found = house.app.changes(&client.caller, asked.thing, before, most).await?;
    let more = found.len() > limit;
    found.truncate(limit);
    let next = found.last().filter(|_| more).map(|last| {
        let mut question = Vec::new();
        question.extend(asked.thing.map(|thing| ("thing", thing.to_string())));
        question.push(("limit", limit.to_string()));
        let last = Uuid::from_u128(u128::try_from(last.seq).unwrap_or_default());
        cursor::next(LIST, &question, &cursor::after(&name, last))
    });
    let items = found.into_iter().map(Changed::of).collect::<Result<Vec<_>, Error>>()?;
    Ok(answer::varied(tag.dress(answer::page(&Page { items, next })?)))
}
