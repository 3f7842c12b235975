//! The grid in which a filled log sheet is typed back in: the columns of the sheet, all of it logged or nothing.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::IntoResponse;
use axum::response::Redirect;
use axum::response::Response;
use keepwell_engine::quantity::Unit;

use crate::model::choice::Choice;
use crate::model::id::SiteId;
use crate::model::message::Message;
use crate::service;
use crate::service::authorise::Deed;
use crate::service::entries::New;
use crate::service::reckon::SiteAnswer;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::extract::FormData;
use crate::web::extract::Path;
use crate::web::filters;
use crate::web::pages::paper::columns::Column;
use crate::web::pages::paper::columns::Fault;
use crate::web::pages::paper::columns::Row;
use crate::web::pages::paper::columns::What;
use crate::web::pages::paper::letters::letters;
use crate::web::pages::paper::measure::small;
use crate::web::pages::paper::rows::Sheet;
use crate::web::pages::paper::rows::placed;
use crate::web::visitor::Visitor;

/// Rows at first, and as many more each time that they are asked for.
const A_FEW: usize = 10;
const MOST: usize = 60;

#[derive(Template)]
#[template(path = "paper/grid.html")]
struct Page<'a> {
    chrome: Chrome,
    site: (SiteId, String),
    letters: Vec<(String, String)>,
    units: (&'static str, &'static str),
    rows: &'a [Row],
    faults: &'a [Fault],
    above: Option<Message>,
}

impl Page<'_> {
    fn columns() -> impl Iterator<Item = Column> {
        Column::all()
    }

    fn whats() -> impl Iterator<Item = What> {
        What::all()
    }

    fn faults_of(&self, row: &usize) -> impl Iterator<Item = &Fault> {
        let row = *row;
        self.faults.iter().filter(move |fault| fault.row == row)
    }

    fn cell<'r>(&self, row: &'r Row, column: &Column) -> &'r str {
        row.cell(*column)
    }

    fn is_wrong(&self, row: &usize, column: &Column) -> bool {
        self.faults_of(row).any(|fault| fault.column == *column)
    }

    const fn may_grow(&self) -> bool {
        self.rows.len() < MOST
    }

    fn unit(&self, column: &Column) -> &'static str {
        match column {
            Column::Depth => self.units.0,
            Column::Litres => self.units.1,
            Column::Chlorine => "mg/L",
            _ => "",
        }
    }
}

pub(super) async fn open(
    State(house): State<House>,
    visitor: Visitor,
    Path(id): Path<SiteId>,
) -> Result<Response, Error> {
    visitor.caller.may(Deed::Log, Some(id))?;
    let answer = house.app.site(&visitor.caller, id, None)?;
    let rows: Vec<Row> = (0..A_FEW).map(|_| Row::blank()).collect();
    show(&visitor, &answer, &rows, &[], None)
}

/// Takes the rows, or draws more of them.
pub(super) async fn take(
    State(house): State<House>,
    visitor: Visitor,
    Path(id): Path<SiteId>,
    typed: FormData,
) -> Result<Response, Error> {
    visitor.caller.may(Deed::Log, Some(id))?;
    let answer = house.app.site(&visitor.caller, id, None)?;
    let many = typed.get("rows").and_then(|many| many.parse::<usize>().ok()).unwrap_or(A_FEW).clamp(1, MOST);
    let mut rows = Row::sent(&typed, many);
    if typed.get("more").is_some() {
        let most = (rows.len() + A_FEW).min(MOST);
        rows.resize_with(most, Row::blank);
        return show(&visitor, &answer, &rows, &[], None);
    }
    if rows.iter().all(Row::is_blank) {
        let nothing = Message::new("No row is filled in yet, so nothing was logged.");
        return show(&visitor, &answer, &rows, &[], Some(nothing));
    }
    let sheet =
        Sheet { picture: &answer.picture, site: &answer.site, letters: letters(&answer.site), reader: &visitor.reader };
    let read = sheet.entries(&rows).and_then(|read| match possible(&house, &visitor, &read) {
        Ok(faults) if faults.is_empty() => Ok(Ok(read)),
        Ok(faults) => Err(faults),
        Err(error) => Ok(Err(error)),
    });
    let read = match read {
        Ok(read) => read?,
        Err(faults) => return show(&visitor, &answer, &rows, &faults, None),
    };
    let ids: Vec<String> = read.iter().map(|(_, new)| format!("entry={}", new.id)).collect();
    let new = read.iter().map(|(_, new)| new.clone()).collect();
    match house.app.log_all(&visitor.caller, new).await {
        Ok(_) => Ok(Redirect::to(&format!("/paper/sheets/{id}/typed-in?{}", ids.join("&"))).into_response()),
        Err(service::Error::IdTaken) => {
            let faults = taken(&house, &visitor, &read);
            show(&visitor, &answer, &rows, &faults, None)
        }
        Err(error) => Err(error.into()),
    }
}

/// What could not have happened, of every row.
fn possible(house: &House, visitor: &Visitor, read: &[(usize, New)]) -> Result<Vec<Fault>, service::Error> {
    let picture = house.app.picture();
    let mut faults = Vec::new();
    for (row, new) in read {
        match house.app.check(&visitor.caller, &picture, new.clone()) {
            Ok(_) => {}
            Err(service::Error::Invalid(problems)) => {
                faults.extend(problems.into_iter().map(|problem| placed(*row, problem)));
            }
            Err(error) => return Err(error),
        }
    }
    Ok(faults)
}

/// The rows that were logged before, with something else in them.
fn taken(house: &House, visitor: &Visitor, read: &[(usize, New)]) -> Vec<Fault> {
    let differs = |new: &New| {
        let there = house.app.entry(&visitor.caller, new.id);
        there.is_ok_and(|there| {
            let entry = &there.entry;
            (entry.at, entry.vessel, &entry.act) != (new.at, new.vessel, &new.act)
        })
    };
    let message = || {
        Message::new(
            "This row was logged already, and what is typed now differs. Open the grid anew for what is new; void the entry if it was wrong.",
        )
    };
    let rows = read.iter().filter(|(_, new)| differs(new));
    rows.map(|(row, _)| Fault { row: *row, column: Column::What, message: message() }).collect()
}

fn show(
    visitor: &Visitor,
    answer: &SiteAnswer,
    rows: &[Row],
    faults: &[Fault],
    above: Option<Message>,
) -> Result<Response, Error> {
    let reader = &visitor.reader;
    let site = &answer.site;
    let now = answer.now;
    let in_use = letters(site)
        .into_iter()
        .filter(|(_, vessel)| vessel.vessel.ended.is_none_or(|ended| crate::picture::cluster::moment(ended) > now));
    let wrong = above.is_some() || !faults.is_empty();
    let template = Page {
        chrome: visitor.chrome(Place::Paper),
        site: (site.site.id, site.site.name.to_string()),
        letters: in_use.map(|(letters, vessel)| (letters, vessel.vessel.name.to_string())).collect(),
        units: (small(reader.units).sign, reader.sign(Unit::Litre)),
        rows,
        faults,
        above,
    };
    let answer = page(reader, template)?;
    let status = if wrong { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
    Ok((status, answer).into_response())
}
