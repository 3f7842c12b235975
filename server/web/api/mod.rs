//! The JSON API under `/api/v1`: one file per noun, each with its routes, what goes in and out, and its handlers, which
//! call the service functions that the pages call. Every route is added together with its description (`operation`); from
//! the descriptions come the check of what comes in, the OpenAPI document and our own page of it.

mod ahead;
mod answer;
mod batch;
mod battery;
mod carries;
mod check;
mod client;
mod cursor;
pub mod document;
mod entries;
mod entry;
mod kept;
mod level;
mod neighbourhood;
mod operation;
mod outages;
mod page;
mod passing;
mod people;
mod power;
mod read;
mod reckoned;
mod reckoner;
mod record;
pub mod schema;
mod shape;
mod sites;
mod sources;
mod standing;
mod today;
mod tokens;
mod vessels;
mod vocabulary;
mod works;

use core::future::Ready;
use core::future::ready;
use std::sync::Arc;

use axum::http::HeaderValue;
use axum::http::header;
use axum::response::IntoResponse;
use axum::response::Response;

use crate::model::battery::Battery;
use crate::model::carry::Carry;
use crate::model::outage::Outage;
use crate::model::person::Person;
use crate::model::power::FuelStore;
use crate::model::power::Generator;
use crate::model::power::Load;
use crate::model::site::Site;
use crate::model::source::Source;
use crate::model::vessel::Bank;
use crate::model::vessel::Vessel;
use crate::model::works::Pump;
use crate::model::works::Stage;
use crate::web::api::operation::Api;
use crate::web::api::operation::Operation;
use crate::web::api::shape::What;
use crate::web::routes::Routes;
use crate::web::visitor::Visitor;

/// The routes of every noun. A new noun adds its own here.
fn nouns() -> Api {
    let nouns = [
        today::routes(),
        ahead::routes(),
        kept::routes::<Site>(),
        standing::routes(),
        kept::routes::<Vessel>(),
        level::routes(),
        entries::routes(),
        batch::routes(),
        kept::routes::<Bank>(),
        kept::routes::<Source>(),
        kept::routes::<Generator>(),
        kept::routes::<FuelStore>(),
        kept::routes::<Load>(),
        kept::routes::<Battery>(),
        kept::routes::<Carry>(),
        kept::routes::<Stage>(),
        kept::routes::<Pump>(),
        kept::routes::<Person>(),
        kept::routes::<Outage>(),
        neighbourhood::routes(),
        tokens::routes(),
        record::routes(),
        vocabulary::routes(),
        reckoner::routes(),
    ];
    nouns.into_iter().fold(Api::new(), Api::merge)
}

/// The whole of the API, and the document that describes it, itself included.
pub fn routes() -> Routes {
    let itself = Operation::get("/api/v1/openapi.json", "getDocument", "This document (OpenAPI 3.1)", What::Record)
        .only_ok()
        .opened();
    let (routes, operations) = nouns().add_made(itself, document).into_parts();
    let operations: Arc<[Arc<Operation>]> = operations.into();
    routes.get("/api", move |visitor: Visitor| page::show(visitor, Arc::clone(&operations)))
}

/// Answers with the document.
fn document(operations: &[Arc<Operation>]) -> impl Fn() -> Ready<Response> + Clone + Send + Sync + use<> {
    let text: Arc<str> = document::document(operations).to_string().into();
    move || {
        let headers = [
            (header::CONTENT_TYPE, HeaderValue::from_static("application/json")),
            (header::CACHE_CONTROL, HeaderValue::from_static("no-cache")),
        ];
        ready((headers, text.to_string()).into_response())
    }
}
