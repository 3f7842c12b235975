//! The pages that the types of problems lead to: what each means, and what to do about it. Open to everybody, for whoever
//! meets a problem may not have come in yet.

use askama::Template;
use axum::response::Response;

use crate::model::message::Arg;
use crate::model::message::Message;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::error::kind::KINDS;
use crate::web::error::kind::Kind;
use crate::web::extract::Path;
use crate::web::filters;
use crate::web::routes::Routes;
use crate::web::visitor::Visitor;

pub(super) fn routes() -> Routes {
    Routes::new().get("/problems", list).get("/problems/{name}", show)
}

#[derive(Template)]
#[template(path = "problems/list.html")]
struct List {
    chrome: Chrome,
    kinds: &'static [&'static Kind],
}

#[derive(Template)]
#[template(path = "problems/show.html")]
struct Show {
    chrome: Chrome,
    kind: &'static Kind,
    members: [(&'static str, &'static str); 6],
}

const MEMBERS: [(&str, &str); 6] = [
    ("type", "the address of this page"),
    ("title", "its heading"),
    ("status", "the status, as the answer has it"),
    ("detail", "what happened this time"),
    ("instance", "the address it came about"),
    ("errors", "each place that does not hold: pointer into the body, or parameter of the address, and detail"),
];

async fn list(visitor: Visitor) -> Result<Response, Error> {
    page(&visitor.reader, List { chrome: visitor.chrome(Place::None), kinds: &KINDS })
}

async fn show(visitor: Visitor, Path(name): Path<String>) -> Result<Response, Error> {
    let kind = KINDS.iter().find(|kind| kind.name == name).ok_or_else(|| {
        Error::NotFound(Message::new("There is no problem of the name {name}.").with("name", Arg::text(name.as_str())))
    })?;
    page(&visitor.reader, Show { chrome: visitor.chrome(Place::None), kind, members: MEMBERS })
}
