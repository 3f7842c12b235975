//! What it happened to, and what happened: pages of tiles.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::IntoResponse;
use axum::response::Redirect;
use axum::response::Response;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_litres;

use crate::model::choice::Choice;
use crate::model::id::SiteId;
use crate::model::id::SourceId;
use crate::model::id::VesselId;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::picture::Picture;
use crate::picture::SitePicture;
use crate::picture::cluster::moment;
use crate::service::authorise::Deed;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::extract::Path;
use crate::web::extract::Question;
use crate::web::filters;
use crate::web::form::Control;
use crate::web::form::Field;
use crate::web::pages::entries::joined;
use crate::web::pages::log::deeds::Tile;
use crate::web::pages::log::deeds::tiles;
use crate::web::pages::log::head::Head;
use crate::web::pages::log::head::about_supply;
use crate::web::pages::log::subject::Subject;
use crate::web::pages::paper;
use crate::web::reader::Reader;
use crate::web::visitor::Visitor;

#[derive(Template)]
#[template(path = "log/choose.html")]
struct Choose {
    chrome: Chrome,
    /// where one came from: address and name
    back: Option<(String, String)>,
    head: Option<Head>,
    question: &'static str,
    /// said where there is nothing to choose
    nothing: Option<Message>,
    tiles: Vec<Tile>,
    /// what is chosen less often, with its heading
    rest: Vec<(&'static str, Vec<Tile>)>,
    /// where a vessel is still to be chosen: the code from its label
    code: Option<Field>,
}

/// The code that stands on a vessel's label.
fn code_field(reader: &Reader) -> Field {
    Field::new("code", reader.word("Code from a label"), Control::Text { autocomplete: "off" })
        .hint(reader.word("such as EAST 7Q4; capitals and spaces do not matter"))
}

fn named(href: String, name: &str, hint: Message) -> Tile {
    Tile { href, label: Message::new("{name}").with("name", Arg::text(name)), hint }
}

fn supplies_tile() -> Tile {
    Tile {
        href: "/log/supplies".to_owned(),
        label: Message::new("A supply"),
        hint: Message::new("running, low, off; a notice"),
    }
}

/// `GET /log`; with the code from a label, the way to its vessel.
pub(super) async fn begin(
    State(house): State<House>,
    visitor: Visitor,
    Question(asked): Question,
) -> Result<Response, Error> {
    visitor.caller.may(Deed::LogSupply, None)?;
    let (picture, now) = (house.app.picture(), house.app.now());
    let in_use = |site: &&std::sync::Arc<SitePicture>| site.site.ended.is_none_or(|ended| moment(ended) > now);
    let mut sites: Vec<_> = picture.sites().iter().filter(in_use).collect();
    sites.retain(|site| visitor.caller.can(Deed::Log, Some(site.site.id)));
    sites.sort_by_key(|site| site.site.name.as_str().to_lowercase());
    if let Some(typed) = asked.get("code") {
        return by_code(&picture, &visitor, now, typed);
    }
    if let [only] = sites.as_slice() {
        return Ok(Redirect::to(&format!("/log/sites/{}", only.site.id)).into_response());
    }
    let nothing = sites.is_empty().then(|| {
        Message::new("There is no site of yours to log at yet. The coordinator adds sites and says whose they are.")
    });
    let tiles = sites.iter().map(|site| {
        let hint = Message::new(site.site.kind.label());
        named(format!("/log/sites/{}", site.site.id), site.site.name.as_str(), hint)
    });
    let template = Choose {
        chrome: visitor.chrome(Place::Log),
        back: None,
        head: None,
        question: "Where did it happen?",
        nothing,
        tiles: tiles.collect(),
        rest: vec![("Or", vec![supplies_tile()])],
        code: Some(code_field(&visitor.reader)),
    };
    page(&visitor.reader, template)
}

/// The vessel of a code; a choice where several have it; words where none has.
fn by_code(picture: &Picture, visitor: &Visitor, now: Moment, typed: &str) -> Result<Response, Error> {
    let reader = &visitor.reader;
    let found = paper::find(picture, &visitor.caller, now, typed);
    if let [(_, only)] = found.as_slice() {
        return Ok(Redirect::to(&format!("/log/vessels/{}", only.vessel.id)).into_response());
    }
    let shown: String = typed.trim().chars().take(40).collect();
    let said = match (shown.is_empty(), found.is_empty()) {
        (true, _) => Message::new("Type the code that stands at the foot of the label."),
        (_, true) => Message::new(
            "“{typed}” is the code of no vessel that you may log at. It stands at the foot of the label: a name and three characters.",
        ),
        (_, false) => Message::new("“{typed}” is the code of several vessels. Choose the one you stand beside."),
    };
    let error = reader.say(&said.with("typed", Arg::text(&shown))).to_string();
    let tiles = found.iter().map(|(site, vessel)| {
        let hint = Message::new("{site}").with("site", Arg::text(site.site.name.as_str()));
        named(format!("/log/vessels/{}", vessel.vessel.id), vessel.vessel.name.as_str(), hint)
    });
    let template = Choose {
        chrome: visitor.chrome(Place::Log),
        back: Some(("/log".to_owned(), reader.word("Log").to_owned())),
        head: None,
        question: "Which vessel?",
        nothing: None,
        tiles: tiles.collect(),
        rest: Vec::new(),
        code: Some(code_field(reader).value(&shown).error(Some(error))),
    };
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page(reader, template)?).into_response())
}

/// `GET /log/sites/{site}`
pub(super) async fn site(
    State(house): State<House>,
    visitor: Visitor,
    Path(id): Path<SiteId>,
) -> Result<Response, Error> {
    let subject = Subject::site(&house.app, &visitor.caller, id)?;
    let (at_site, _) = tiles(&subject);
    let vessels: Vec<Tile> = subject.as_site().into_iter().flat_map(|site| vessels(site, subject.now)).collect();
    let nothing = vessels.is_empty().then(|| {
        Message::new("No vessel has been set up here yet. What happened to the site itself can be logged all the same.")
    });
    let template = Choose {
        chrome: visitor.chrome(Place::Log),
        back: Some(("/log".to_owned(), visitor.reader.word("Log").to_owned())),
        head: Some(Head::of(&subject, &visitor.reader)),
        question: "Which vessel?",
        nothing,
        tiles: vessels,
        rest: vec![("The site itself", at_site), ("Or", vec![supplies_tile()])],
        code: Some(code_field(&visitor.reader)),
    };
    page(&visitor.reader, template)
}

fn vessels(site: &SitePicture, now: Moment) -> impl Iterator<Item = Tile> {
    site.vessels_at(now).map(move |vessel| {
        let hint = if vessel.is_known() {
            let held = as_litres(vessel.estimate(now).volume);
            Message::new("{litres}").with("litres", Arg::Figure(held, Unit::Litre))
        } else {
            Message::new("not read yet")
        };
        named(format!("/log/vessels/{}", vessel.vessel.id), vessel.vessel.name.as_str(), hint)
    })
}

/// `GET /log/vessels/{vessel}`: where a vessel's label leads.
pub(super) async fn vessel(
    State(house): State<House>,
    visitor: Visitor,
    Path(id): Path<VesselId>,
) -> Result<Response, Error> {
    let subject = Subject::vessel(&house.app, &visitor.caller, id)?;
    let (large, rest) = tiles(&subject);
    let site = subject.as_site().map(|site| (format!("/log/sites/{}", site.site.id), site.site.name.to_string()));
    let template = Choose {
        chrome: visitor.chrome(Place::Log),
        back: site,
        head: Some(Head::of(&subject, &visitor.reader)),
        question: "What happened?",
        nothing: None,
        tiles: large,
        rest: vec![("Less often", rest)],
        code: None,
    };
    page(&visitor.reader, template)
}

/// `GET /log/supplies`
pub(super) async fn supplies(State(house): State<House>, visitor: Visitor) -> Result<Response, Error> {
    visitor.caller.may(Deed::LogSupply, None)?;
    let picture = house.app.picture();
    let mut supplies: Vec<_> = picture.sources.all.values().collect();
    supplies.sort_by_key(|supply| supply.source.name.as_str().to_lowercase());
    let tiles = supplies.iter().map(|supply| {
        let href = format!("/log/supplies/{}", supply.source.id);
        named(href, supply.source.name.as_str(), joined_lines(about_supply(supply)))
    });
    let template = Choose {
        chrome: visitor.chrome(Place::Log),
        back: Some(("/log".to_owned(), visitor.reader.word("Log").to_owned())),
        head: None,
        question: "Which supply?",
        nothing: supplies
            .is_empty()
            .then(|| Message::new("No supply has been set up yet. The coordinator adds the mains and other supplies.")),
        tiles: tiles.collect(),
        rest: Vec::new(),
        code: None,
    };
    page(&visitor.reader, template)
}

fn joined_lines(lines: Vec<Message>) -> Message {
    let together = |first: Message, next: Message| {
        Message::new("{first} {next}").with("first", first.into()).with("next", next.into())
    };
    lines.into_iter().reduce(together).unwrap_or_else(|| joined(Vec::new()))
}

/// `GET /log/supplies/{supply}`
pub(super) async fn supply(
    State(house): State<House>,
    visitor: Visitor,
    Path(id): Path<SourceId>,
) -> Result<Response, Error> {
    let subject = Subject::supply(&house.app, &visitor.caller, id)?;
    let (mut tiles, _) = tiles(&subject);
    if subject.as_supply().is_some_and(|supply| supply.notices.is_empty()) {
        // There is none to lift.
        tiles.pop();
    }
    let template = Choose {
        chrome: visitor.chrome(Place::Log),
        back: Some(("/log/supplies".to_owned(), visitor.reader.word("Supplies").to_owned())),
        head: Some(Head::of(&subject, &visitor.reader)),
        question: "What happened?",
        nothing: None,
        tiles,
        rest: Vec::new(),
        code: None,
    };
    page(&visitor.reader, template)
}
