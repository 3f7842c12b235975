//! Many entries in one request, each for itself: one result for each, in their order.

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Serialize;
use serde_json::Value;

use crate::service;
use crate::service::entries::New;
use crate::service::entries::Stored;
use crate::web::House;
use crate::web::api::answer;
use crate::web::api::check::check;
use crate::web::api::client::Client;
use crate::web::api::client::Sent;
use crate::web::api::entries::entry;
use crate::web::api::entries::placed;
use crate::web::api::operation::Api;
use crate::web::api::operation::Operation;
use crate::web::api::shape::BATCH;
use crate::web::api::shape::Member;
use crate::web::api::shape::Object;
use crate::web::api::shape::What;
use crate::web::error::Error;
use crate::web::error::told;
use crate::web::reader::Reader;

/// A thousand entries with a note each.
const MOST_BYTES: usize = 8 * 1024 * 1024;

const RESULT: Object = Object {
    name: "BatchResult",
    about: "what became of one entry",
    members: &[
        Member::maybe("id", "the entry's own, where it could be read", What::Id),
        Member::needed("status", "what the entry would have been answered by itself", What::Count(200, 599)),
        Member::maybe("problem", "why it was refused", What::Record),
    ],
};

const RESULTS: Object = Object {
    name: "BatchResults",
    about: "what became of each, in their order",
    members: &[
        Member::needed("results", "", What::List(&What::Object(&RESULT), BATCH)),
        Member::needed("stored", "new in the ledger", What::Count(0, BATCH as u64)),
        Member::needed("again", "there already, the same", What::Count(0, BATCH as u64)),
        Member::needed("refused", "", What::Count(0, BATCH as u64)),
    ],
};

pub fn routes() -> Api {
    let results = What::Object(&RESULTS);
    Api::new().add(
        Operation::post("/api/v1/entries/batch", "logEntries", "Logs up to 1,000 entries", What::Batch, results)
            .only_ok()
            .up_to(MOST_BYTES)
            .saying(
                "Each entry is checked and stored for itself, and has a result of its own; one that is refused stands in \
                 no other's way. An entry may void one that stands before it. The whole batch can be sent again: what is \
                 stored already is not stored twice.",
            ),
        log_all,
    )
}

#[derive(Debug, Serialize)]
struct Results {
    results: Vec<One>,
    stored: usize,
    again: usize,
    refused: usize,
}

#[derive(Debug, Serialize)]
struct One {
    id: Option<String>,
    status: u16,
    problem: Option<Value>,
}

async fn log_all(State(house): State<House>, client: Client, Sent(mut sent): Sent) -> Result<Response, Error> {
    // After the last byte: a token that was revoked while they came stores nothing.
    let caller = client.still(&house)?;
    let Some(Value::Array(list)) = sent.get_mut("entries").map(Value::take) else {
        return Err(Error::internal("a batch without entries passed its check"));
    };
    let ids: Vec<Option<String>> = list
        .iter()
        .map(|one| one.get("id").and_then(Value::as_str).filter(|id| id.len() == 36).map(str::to_owned))
        .collect();
    let mut all = Vec::with_capacity(list.len());
    let mut unread = Vec::with_capacity(list.len());
    for one in list {
        match read(one) {
            Ok(new) => {
                all.push(new);
                unread.push(None);
            }
            Err(why) => unread.push(Some(why)),
        }
    }
    let mut outcomes = house.app.log_each(&caller, all).await.into_iter();
    let mut results = Results { results: Vec::with_capacity(ids.len()), stored: 0, again: 0, refused: 0 };
    for (id, why) in ids.into_iter().zip(unread) {
        let outcome = match why {
            Some(why) => Err(why),
            None => outcomes.next().unwrap_or(Err(service::Error::Busy)).map_err(placed),
        };
        results.results.push(match outcome {
            Ok((_, Stored::New)) => {
                results.stored += 1;
                One { id, status: 201, problem: None }
            }
            Ok((_, Stored::Again)) => {
                results.again += 1;
                One { id, status: 200, problem: None }
            }
            Err(why) => {
                results.refused += 1;
                refusal(&client.reader, id, &why)
            }
        });
    }
    answer::json(StatusCode::OK, &results)
}

/// # Errors
/// It is no entry by its description, or its kind refuses it.
fn read(mut one: Value) -> Result<New, Error> {
    let mut faults = Vec::new();
    check(&mut one, &What::NewEntry, "", &mut faults);
    if faults.is_empty() { entry(one) } else { Err(Error::Invalid(faults)) }
}

fn refusal(reader: &Reader, id: Option<String>, why: &Error) -> One {
    if let Error::Internal(_) = why {
        tracing::error!("an entry of a batch: {why}");
    }
    One { id, status: why.status().as_u16(), problem: Some(told(why, reader)) }
}
