//! Entries, one by one.

mod line;
mod list;
mod page;

pub(crate) use line::deed;
pub(crate) use line::joined;
pub(crate) use line::line;

use crate::web::routes::Routes;

pub(super) fn routes() -> Routes {
    Routes::new().get("/entries", list::show).get("/entries/{id}", page::show).post("/entries/{id}/void", page::void)
}
