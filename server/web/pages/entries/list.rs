//! `GET /entries?site=…`: everything that was logged at a site, or about one vessel, the newest first.

use askama::Template;
use axum::extract::State;
use axum::response::Response;
use jiff::Timestamp;
use serde::Deserialize;

use crate::model::entry::Act;
use crate::model::id::EntryId;
use crate::model::id::SiteId;
use crate::model::id::VesselId;
use crate::model::message::Message;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::extract::Query;
use crate::web::filters;
use crate::web::pages::entries::line;
use crate::web::visitor::Visitor;

/// Entries shown at first, and how many more at a time.
const STEP: i64 = 100;
/// More than this is a file's work.
const MOST: i64 = 2_000;

#[derive(Debug, Deserialize)]
pub(super) struct Asked {
    site: Option<SiteId>,
    vessel: Option<VesselId>,
    most: Option<i64>,
}

#[derive(Template)]
#[template(path = "entries/list.html")]
struct List {
    chrome: Chrome,
    /// of where: address and name
    of: Option<(String, String)>,
    entries: Vec<Line>,
    older: Option<String>,
}

struct Line {
    id: EntryId,
    at: Timestamp,
    line: Message,
    by: Option<String>,
    void: Option<String>,
}

pub(super) async fn show(
    State(house): State<House>,
    visitor: Visitor,
    Query(asked): Query<Asked>,
) -> Result<Response, Error> {
    let (app, picture) = (&house.app, house.app.picture());
    let vessel = asked.vessel.map(|vessel| app.vessel(&visitor.caller, vessel)).transpose()?;
    let site = vessel.as_ref().map(|answer| answer.site.site.id).or(asked.site);
    let most = asked.most.unwrap_or(STEP).clamp(1, MOST);
    let listed = app.entries(&visitor.caller, site, asked.vessel, None, most).await?;
    let whole = i64::try_from(listed.len()).is_ok_and(|count| count < most) || most == MOST;
    let of = match (&vessel, site.and_then(|site| picture.site(site))) {
        (Some(answer), _) => {
            let vessel = &answer.vessel.vessel;
            Some((format!("/vessels/{}", vessel.id), vessel.name.to_string()))
        }
        (None, Some(site)) => Some((format!("/sites/{}", site.site.id), site.site.name.to_string())),
        (None, None) => None,
    };
    let question = match (asked.vessel, site) {
        (Some(vessel), _) => format!("vessel={vessel}&"),
        (None, Some(site)) => format!("site={site}&"),
        (None, None) => String::new(),
    };
    let entries = listed.into_iter().map(|listed| {
        let by = listed.entry.by.and_then(|by| picture.set_up.people.get(&by));
        Line {
            id: listed.entry.id,
            at: listed.entry.at,
            line: line(&listed.entry, &picture),
            by: by.map(|kept| kept.thing.name.to_string()),
            void: listed.voided.map(|void| match &void.act {
                Act::Void(act) => act.reason.clone(),
                _ => String::new(),
            }),
        }
    });
    let template = List {
        chrome: visitor.chrome(Place::None),
        of,
        entries: entries.collect(),
        older: (!whole).then(|| format!("/entries?{question}most={}", most.saturating_add(STEP).min(MOST))),
    };
    page(&visitor.reader, template)
}
