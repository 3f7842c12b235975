//! The pages: one file per noun, each with its routes, view structs and handlers.

mod begin;
mod carries;
mod data;
mod door;
mod dosing;
pub(crate) mod entries;
mod forecast;
mod log;
mod outage;
pub(crate) mod paper;
mod people;
mod preferences;
mod problems;
mod ration;
mod reckoner;
mod rows;
mod set_up;
mod sign_in;
mod sites;
mod suppose;
mod tasks;
mod today;
mod tokens;
mod upkeep;
pub(crate) mod vessels;
mod working;

use crate::web::routes::Routes;

/// Every page's routes. A new noun adds its own here.
pub(super) fn routes() -> Routes {
    let nouns = [
        begin::routes(),
        carries::routes(),
        data::routes(),
        entries::routes(),
        forecast::routes(),
        log::routes(),
        outage::routes(),
        paper::routes(),
        people::routes(),
        preferences::routes(),
        problems::routes(),
        reckoner::routes(),
        set_up::routes(),
        sign_in::routes(),
        sites::routes(),
        today::routes(),
        tokens::routes(),
        upkeep::routes(),
        working::routes(),
        vessels::routes(),
    ];
    nouns.into_iter().fold(Routes::new(), Routes::merge)
}
