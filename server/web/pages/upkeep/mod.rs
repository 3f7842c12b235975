//! Upkeep: what is due, overdue and done, by when and by site; and the deeds that take two entries, done in one step.

mod done;
mod fuel;
mod line;
mod list;
mod rotation;

pub(super) use line::Short;

use crate::web::routes::Routes;

pub(super) fn routes() -> Routes {
    Routes::new()
        .get("/upkeep", list::show)
        .get("/upkeep/rotation/{vessel}", rotation::open)
        .post("/upkeep/rotation/{vessel}", rotation::log)
        .get("/upkeep/fuel/{store}", fuel::open)
        .post("/upkeep/fuel/{store}", fuel::log)
}
