//! The first step of a vessel: its shape. Each stands drawn as the engine's own sample of it.

use askama::Template;
use axum::response::Response;
use keepwell_engine::vessel::Kind;

use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::draw::Drawing;
use crate::web::error::Error;
use crate::web::filters;
use crate::web::pages::set_up::form::Task;
use crate::web::pages::set_up::sketch::Sketch;
use crate::web::visitor::Visitor;

#[derive(Template)]
#[template(path = "set_up/shapes.html")]
struct Shapes {
    chrome: Chrome,
    place: String,
    home: String,
    shapes: Vec<Shown>,
}

struct Shown {
    name: &'static str,
    /// what has to be measured, English keys
    measured: Vec<&'static str>,
    href: String,
    drawing: Option<Drawing>,
}

pub(super) fn show(visitor: &Visitor, task: &Task) -> Result<Response, Error> {
    let reader = &visitor.reader;
    let shown = |kind: Kind| Shown {
        name: kind.name(),
        measured: kind.dimensions().iter().map(|dimension| dimension.label).collect(),
        href: format!("{}?shape={}", task.address(), kind.key()),
        drawing: Sketch::sample(kind).map(|sketch| sketch.small(reader)),
    };
    let place = task.site.and_then(|site| task.set_up().sites.get(&site)).map(|kept| kept.thing.name.to_string());
    let place = place.unwrap_or_default();
    let (chrome, home) = (visitor.chrome(Place::SetUp), task.home());
    page(reader, Shapes { chrome, place, home, shapes: Kind::ALL.into_iter().map(shown).collect() })
}
