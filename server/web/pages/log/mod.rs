//! Logging, made for one thumb: what it happened to, what happened, how much, done. All of it works without script: a
//! question is an address, a deed is a form.

mod choose;
mod deeds;
mod done;
mod form;
mod head;
mod once;
mod page;
mod pick;
mod subject;
mod typed;
mod will;

pub(crate) use once::log_once;
pub(crate) use will::change;

use crate::web::routes::Routes;

pub(super) fn routes() -> Routes {
    Routes::new()
        .get("/log", choose::begin)
        .get("/log/sites/{site}", choose::site)
        .get("/log/sites/{site}/{kind}", page::open_site)
        .post("/log/sites/{site}/{kind}", page::log_site)
        .get("/log/vessels/{vessel}", choose::vessel)
        .get("/log/vessels/{vessel}/{kind}", page::open_vessel)
        .post("/log/vessels/{vessel}/{kind}", page::log_vessel)
        .get("/log/supplies", choose::supplies)
        .get("/log/supplies/{supply}", choose::supply)
        .get("/log/supplies/{supply}/{kind}", page::open_supply)
        .post("/log/supplies/{supply}/{kind}", page::log_supply)
        .get("/log/done/{entry}", done::show)
}
