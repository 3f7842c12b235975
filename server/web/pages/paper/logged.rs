//! What was typed in from a sheet: each entry as it stands in the ledger.

use askama::Template;
use axum::extract::State;
use axum::response::Response;
use jiff::Timestamp;

use crate::model::id::EntryId;
use crate::model::id::SiteId;
use crate::model::message::Message;
use crate::service;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::extract::Path;
use crate::web::extract::Question;
use crate::web::filters;
use crate::web::pages::entries::line;
use crate::web::visitor::Visitor;

/// As many as a grid has rows.
const MOST: usize = 60;

#[derive(Template)]
#[template(path = "paper/logged.html")]
struct Page {
    chrome: Chrome,
    site: (SiteId, String),
    entries: Vec<Logged>,
}

struct Logged {
    id: EntryId,
    at: Timestamp,
    words: Message,
    void: bool,
}

pub(super) async fn show(
    State(house): State<House>,
    visitor: Visitor,
    Path(id): Path<SiteId>,
    Question(asked): Question,
) -> Result<Response, Error> {
    let answer = house.app.site(&visitor.caller, id, None)?;
    let picture = house.app.picture();
    let mut entries = Vec::new();
    for entry in asked.all("entry").take(MOST) {
        let entry = entry.parse::<EntryId>().map_err(|_| service::Error::NotFound("entry"))?;
        let listed = house.app.entry(&visitor.caller, entry)?;
        if listed.entry.site == Some(id) {
            entries.push(Logged {
                id: entry,
                at: listed.entry.at,
                words: line(&listed.entry, &picture),
                void: listed.voided.is_some(),
            });
        }
    }
    let template =
        Page { chrome: visitor.chrome(Place::Paper), site: (id, answer.site.site.name.to_string()), entries };
    page(&visitor.reader, template)
}
