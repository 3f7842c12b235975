//! Bringing spreadsheets: files to begin from, a trial that changes nothing, then all or nothing. Taking away what is kept,
//! as files or whole, and looking whether all is well with it.

use std::pin::Pin;
use std::task::Context;
use std::task::Poll;

use askama::Template;
use axum::body::Body;
use axum::extract::State;
use axum::http::HeaderValue;
use axum::http::StatusCode;
use axum::http::header;
use axum::response::IntoResponse;
use axum::response::Response;

use crate::model::choice::Choice;
use crate::model::entry;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::neighbourhood::Units;
use crate::service;
use crate::service::authorise::Deed;
use crate::service::import;
use crate::service::import::Counts;
use crate::service::import::Fault;
use crate::service::import::File;
use crate::service::import::Kind;
use crate::service::records::ENTRIES;
use crate::service::records::Exported;
use crate::service::records::SHEETS;
use crate::service::take_in::TakenIn;
use crate::service::verify::Report;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::extract::Path;
use crate::web::extract::Question;
use crate::web::extract::Upload;
use crate::web::filters;
use crate::web::routes::Routes;
use crate::web::visitor::Visitor;

/// The files of one import together: a spreadsheet of some hundred thousand readings.
const MOST_BYTES: usize = 16 * 1024 * 1024;
/// What is wrong is shown up to here; the rest is counted.
const MOST_FAULTS: usize = 200;

pub(super) fn routes() -> Routes {
    Routes::new()
        .get("/data", ask)
        .post_up_to("/data/import", MOST_BYTES, bring)
        .get("/data/templates/{kind}", template)
        .get("/data/export/{file}", download)
        .get("/data/backup", backup)
        .get("/data/verify", check)
}

#[derive(Template)]
#[template(path = "data/import.html")]
struct Import {
    chrome: Chrome,
    kinds: Vec<(Kind, Vec<(String, bool)>)>,
    units: Units,
    pasted: String,
    outcome: Option<Outcome>,
    nothing: bool,
    /// (name, label) of each file that can be taken away
    records: Vec<(String, &'static str)>,
    /// the same of one kind of entry each
    of_entries: Vec<(String, &'static str)>,
}

/// What came of the files.
enum Outcome {
    Refused { faults: Vec<Fault>, more: usize, files: usize },
    Fits { counts: Box<Counts>, done: bool },
}

impl Import {
    fn of(visitor: &Visitor, units: Units) -> Self {
        Self {
            chrome: visitor.chrome(Place::Data),
            kinds: Kind::LIST.iter().map(|row| (row.0, import::headings(row.0))).collect(),
            units,
            pasted: String::new(),
            outcome: None,
            nothing: false,
            records: SHEETS.iter().map(|sheet| (sheet.file.to_owned(), sheet.label)).collect(),
            of_entries: entry::Kind::LIST.iter().map(|row| (format!("{ENTRIES}-{}", row.1), row.2)).collect(),
        }
    }
}

fn usual(visitor: &Visitor) -> Units {
    Units::from_key(visitor.reader.units.code()).unwrap_or_default()
}

async fn ask(visitor: Visitor) -> Result<Response, Error> {
    visitor.caller.may(Deed::Coordinate, None)?;
    page(&visitor.reader, Import::of(&visitor, usual(&visitor)))
}

async fn bring(State(house): State<House>, visitor: Visitor, sent: Upload) -> Result<Response, Error> {
    visitor.caller.may(Deed::Coordinate, None)?;
    let units = sent.fields.get("units").and_then(Units::from_key).unwrap_or_else(|| usual(&visitor));
    let pasted = sent.fields.get("pasted").unwrap_or_default();
    let mut files: Vec<File<'_>> = Vec::new();
    for file in sent.files.iter().filter(|file| !file.bytes.is_empty() || !file.name.is_empty()) {
        files.push(File { name: &file.name, bytes: &file.bytes });
    }
    if !pasted.trim().is_empty() {
        files.push(File { name: visitor.reader.word("what was pasted"), bytes: pasted.as_bytes() });
    }
    let mut view = Import { pasted: pasted.to_owned(), ..Import::of(&visitor, units) };
    if files.is_empty() {
        view.nothing = true;
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page(&visitor.reader, view)?).into_response());
    }
    let dry_run = sent.fields.get("do") != Some("keep");
    let taken = house.app.take_in(&visitor.caller, &files, units, dry_run).await?;
    let status = match &taken {
        TakenIn::Refused(_) => StatusCode::UNPROCESSABLE_ENTITY,
        TakenIn::Fits { .. } => StatusCode::OK,
    };
    view.outcome = Some(match taken {
        TakenIn::Refused(mut faults) => {
            let more = faults.len().saturating_sub(MOST_FAULTS);
            faults.truncate(MOST_FAULTS);
            Outcome::Refused { faults, more, files: files.len() }
        }
        TakenIn::Fits { counts, done } => {
            if done {
                view.pasted.clear();
            }
            Outcome::Fits { counts, done }
        }
    });
    Ok((status, page(&visitor.reader, view)?).into_response())
}

async fn template(visitor: Visitor, Path(name): Path<String>, Question(asked): Question) -> Result<Response, Error> {
    visitor.caller.may(Deed::Coordinate, None)?;
    let missing = || {
        Error::NotFound(
            Message::new("There is no file to begin from of the name {name}.").with("name", Arg::text(name.as_str())),
        )
    };
    let kind = name.strip_suffix(".csv").and_then(Kind::from_key).ok_or_else(missing)?;
    let units = asked.get("units").and_then(Units::from_key).unwrap_or_else(|| usual(&visitor));
    let file =
        HeaderValue::from_str(&format!("attachment; filename=\"{}.csv\"", kind.key())).map_err(Error::internal)?;
    // With a mark in front, spreadsheets read it as UTF-8.
    let text = format!("\u{feff}{}", import::template(kind, units));
    let headers = [
        (header::CONTENT_TYPE, HeaderValue::from_static("text/csv; charset=utf-8")),
        (header::CONTENT_DISPOSITION, file),
    ];
    Ok((headers, text).into_response())
}

async fn download(State(house): State<House>, visitor: Visitor, Path(name): Path<String>) -> Result<Response, Error> {
    let exported = house.app.export(&visitor.caller, &name).await?;
    let media = if name.ends_with(".csv") { "text/csv; charset=utf-8" } else { "application/zip" };
    attached(&name, media, exported)
}

async fn backup(State(house): State<House>, visitor: Visitor) -> Result<Response, Error> {
    let exported = house.app.backup(&visitor.caller).await?;
    let day = visitor.reader.zone.to_datetime(visitor.reader.now).date();
    attached(&format!("keepwell-{day}.db"), "application/vnd.sqlite3", exported)
}

/// A file that is sent as it is written, to be kept.
fn attached(name: &str, media: &'static str, exported: Exported) -> Result<Response, Error> {
    let file = HeaderValue::from_str(&format!("attachment; filename=\"{name}\"")).map_err(Error::internal)?;
    let headers = [
        (header::CONTENT_TYPE, HeaderValue::from_static(media)),
        (header::CONTENT_DISPOSITION, file),
        (header::CACHE_CONTROL, HeaderValue::from_static("no-store")),
    ];
    Ok((headers, Body::from_stream(Parts(exported))).into_response())
}

/// The parts of a file as axum sends them. An error cuts the answer off, so that half a file is never taken for whole.
struct Parts(Exported);

impl futures_core::Stream for Parts {
    type Item = Result<Vec<u8>, service::Error>;

    fn poll_next(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<Option<Self::Item>> {
        self.0.parts.poll_recv(context)
    }
}

#[derive(Template)]
#[template(path = "data/verify.html")]
struct Verified {
    chrome: Chrome,
    report: Report,
}

async fn check(State(house): State<House>, visitor: Visitor) -> Result<Response, Error> {
    let report = house.app.verify(&visitor.caller).await?;
    page(&visitor.reader, Verified { chrome: visitor.chrome(Place::Data), report })
}
