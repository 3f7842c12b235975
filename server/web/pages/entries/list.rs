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

/// Entries on one page.
const MOST: usize = 100;
const ONE_MORE: i64 = 101;

#[derive(Debug, Deserialize)]
pub(super) struct Asked {
    site: Option<SiteId>,
    vessel: Option<VesselId>,
    /// the entry that ended the page before
    before: Option<EntryId>,
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
    // One more than is shown, to know whether there are older ones.
    let mut listed = app.entries(&visitor.caller, site, asked.vessel, asked.before, ONE_MORE).await?;
    let whole = listed.len() <= MOST;
    listed.truncate(MOST);
    let last = listed.last().map(|listed| listed.entry.id);
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
        older: last.filter(|_| !whole).map(|last| format!("/entries?{question}before={last}")),
    };
    page(&visitor.reader, template)
}
