//! Paper, for when the screens are dark: labels, dip tables, log sheets with the grid to type them back in, and the
//! neighbourhood on one page. Every sheet fits 180 by 250 mm, so that A4 and Letter both take it.

mod code;
mod columns;
mod dip;
mod grid;
mod labels;
mod letters;
mod list;
mod logged;
mod measure;
mod qr;
mod rows;
mod sheet;
mod status;

pub(super) use code::find;
pub use status::status_file;

use jiff::Timestamp;

use crate::web::dates::MONTHS;
use crate::web::dates::When;
use crate::web::reader::Reader;
use crate::web::routes::Routes;
use crate::web::shown;

pub(super) fn routes() -> Routes {
    Routes::new()
        .get("/paper", list::show)
        .get("/paper/labels/{site}", labels::show)
        .get("/paper/dip/{vessel}", dip::show)
        .get("/paper/sheets/{site}", sheet::show)
        .get("/paper/sheets/{site}/type-in", grid::open)
        .post("/paper/sheets/{site}/type-in", grid::take)
        .get("/paper/sheets/{site}/typed-in", logged::show)
        .get("/paper/status", status::show)
}

/// "18 January 2026": paper is read in another year than it was printed in.
fn dated(reader: &Reader, at: &impl When) -> String {
    let said = |at: Timestamp| {
        let date = reader.local(at).date();
        let month = usize::try_from(date.month()).ok().and_then(|month| MONTHS.get(month.wrapping_sub(1)));
        shown::words(reader, "{day} {month} {year}")
            .with("day", date.day().to_string())
            .with("month", month.map_or("", |month| reader.word(month)))
            .with("year", date.year().to_string())
            .to_string()
    };
    at.instant(reader).map_or_else(|_| reader.word("unknown").to_owned(), said)
}

/// "14 March 2026, 09:30".
fn timed(reader: &Reader, at: Timestamp) -> String {
    let local = reader.local(at);
    format!("{}, {:02}:{:02}", dated(reader, &at), local.hour(), local.minute())
}
