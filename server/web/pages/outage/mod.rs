//! The outage: its clock, the ration in force, what is left against the plan, what gives out next, and what to do; how it
//! is begun, changed and ended; the report; and those that are over.

mod chart;
mod form;
mod keep;
pub(super) mod next;
mod one;
mod report;
mod used;

use crate::web::routes::Routes;

pub(super) fn routes() -> Routes {
    Routes::new()
        .get("/outage", one::on)
        .get("/outage/new", keep::new_form)
        .post("/outage/new", keep::begin)
        .get("/outage/change", keep::change_form)
        .post("/outage/change", keep::change)
        .get("/outage/end", keep::end_form)
        .post("/outage/end", keep::end)
        .get("/outage/report", report::on)
        .get("/outages/{id}", one::past)
        .get("/outages/{id}/report", report::past)
}
