//! Our own page of the API, to read without a network: made from the operations, as the document is.

use std::collections::BTreeMap;
use std::sync::Arc;

use askama::Template;
use axum::http::Method;
use axum::response::Response;
use keepwell_engine::quantity::Measure;

use crate::model::choice::Choice;
use crate::model::choice::options;
use crate::model::entry::Kind;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::service::authorise::Deed;
use crate::web::api::document::tag;
use crate::web::api::entry;
use crate::web::api::operation::Operation;
use crate::web::api::shape::Member;
use crate::web::api::shape::Must;
use crate::web::api::shape::Object;
use crate::web::api::shape::What;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::filters;
use crate::web::reader::Reader;
use crate::web::visitor::Visitor;
use crate::web::words::Phrase;

#[derive(Template)]
#[template(path = "api/page.html")]
struct View {
    chrome: Chrome,
    /// whether the visitor makes tokens
    tokens: bool,
    sections: Vec<Section>,
    objects: Vec<ObjectShown>,
    kinds: Vec<ObjectShown>,
}

struct Section {
    name: &'static str,
    operations: Vec<Shown>,
}

struct Shown {
    name: String,
    method: Method,
    path: &'static str,
    about: String,
    more: &'static str,
    asks: Vec<Row>,
    media: &'static str,
    takes: Option<Named>,
    gives: Vec<(u16, Option<Named>)>,
    problems: Vec<(u16, &'static str)>,
}

#[derive(Clone)]
struct Row {
    key: &'static str,
    needed: bool,
    what: Named,
    about: &'static str,
}

/// What stands in a place: in words, and where more of it is told.
#[derive(Clone)]
struct Named {
    words: Phrase,
    object: Option<&'static str>,
}

struct ObjectShown {
    name: &'static str,
    about: &'static str,
    rows: Vec<Row>,
}

pub async fn show(visitor: Visitor, operations: Arc<[Arc<Operation>]>) -> Result<Response, Error> {
    let teller = Teller { reader: &visitor.reader };
    let mut sections: Vec<Section> = Vec::new();
    let mut objects = BTreeMap::new();
    // Each calculation tells its own inputs on its page of the reckoner; sixty of them would bury the rest.
    let is_calculation = |operation: &&Arc<Operation>| operation.path.starts_with("/api/v1/reckoner/");
    for operation in operations.iter().filter(|operation| !is_calculation(operation)) {
        let name = tag(operation);
        let shown = teller.operation(operation);
        match sections.iter_mut().find(|section| section.name == name) {
            Some(section) => section.operations.push(shown),
            None => sections.push(Section { name, operations: vec![shown] }),
        }
        operation.takes.iter().for_each(|takes| collect(takes, &mut objects));
        operation.gives.iter().filter_map(|(_, gives)| gives.as_ref()).for_each(|gives| collect(gives, &mut objects));
    }
    let told = |object: &&'static Object| ObjectShown {
        name: object.name,
        about: object.about,
        rows: teller.rows(object.members),
    };
    let kind =
        |kind: Kind| ObjectShown { name: kind.key(), about: kind.label(), rows: teller.rows(&entry::fields(kind)) };
    let view = View {
        chrome: visitor.chrome(Place::None),
        tokens: visitor.caller.can(Deed::Coordinate, None),
        sections,
        objects: objects.values().map(told).collect(),
        kinds: Kind::LIST.iter().map(|row| kind(row.0)).collect(),
    };
    page(&visitor.reader, view)
}

/// The objects that a value is made of, by name.
fn collect(what: &What, objects: &mut BTreeMap<&'static str, &'static Object>) {
    match what {
        What::Object(object) | What::New(object) | What::Patch(object) | What::Kept(object)
            if objects.insert(object.name, object).is_none() =>
        {
            object.members.iter().for_each(|member| collect(&member.what, objects));
        }
        What::List(each, _) | What::Page(each) => collect(each, objects),
        _ => {}
    }
}

struct Teller<'a> {
    reader: &'a Reader,
}

impl Teller<'_> {
    fn operation(&self, operation: &Operation) -> Shown {
        let mut problems: Vec<(u16, &'static str)> =
            operation.errors().iter().map(|kind| (kind.status.as_u16(), kind.name)).collect();
        problems.sort_unstable();
        Shown {
            name: operation.name.clone(),
            method: operation.method.clone(),
            path: operation.path,
            about: operation.about.clone(),
            more: operation.more,
            asks: self.rows(&operation.asks),
            media: operation.media(),
            takes: operation.takes.as_ref().map(|takes| self.named(takes)),
            gives: operation
                .gives
                .iter()
                .map(|(status, gives)| (status.as_u16(), gives.as_ref().map(|gives| self.named(gives))))
                .collect(),
            problems,
        }
    }

    fn rows(&self, members: &[Member]) -> Vec<Row> {
        let row = |member: &Member| Row {
            key: member.key,
            needed: member.must == Must::Needed,
            what: self.named(&member.what),
            about: member.about,
        };
        members.iter().map(row).collect()
    }

    fn named(&self, what: &What) -> Named {
        let (message, object) = told(what);
        Named { words: self.reader.say(&message), object }
    }
}

fn told(what: &What) -> (Message, Option<&'static str>) {
    let plain = |words| (Message::new(words), None);
    match what {
        What::Id => plain("an id (UUID)"),
        What::Fresh => plain("an id of your own making (UUID, version 7)"),
        What::Name => plain("a name: 1 to 80 characters on one line"),
        What::Text(longest) => {
            (Message::new("text, {most} characters at most").with("most", Arg::Count(*longest as u64)), None)
        }
        What::Figure(measure) => (range("a number, {least} to {most}", measure), None),
        What::Whole(measure) => (range("a whole number, {least} to {most}", measure), None),
        What::Count(least, most) if *most == u64::MAX => {
            (Message::new("a whole number from {least}").with("least", Arg::Count(*least)), None)
        }
        What::Count(least, most) => (
            Message::new("a whole number, {least} to {most}")
                .with("least", Arg::Count(*least))
                .with("most", Arg::Count(*most)),
            None,
        ),
        What::Number => plain("a number"),
        What::Flag => plain("true or false"),
        What::Choice(options) => {
            let keys: Vec<&str> = options().iter().map(|(key, _)| *key).collect();
            (Message::new("one of: {keys}").with("keys", Arg::text(keys.join(", "))), None)
        }
        What::Moment => plain("a time (RFC 3339)"),
        What::Date => plain("a day, such as 2026-03-04"),
        What::List(each, most) => {
            let (each, object) = told(each);
            let words = Message::new("a list, {most} at most, of: {each}");
            (words.with("most", Arg::Count(*most as u64)).with("each", each.into()), object)
        }
        What::Figures(known) | What::FiguresPatch(known) => {
            let keys: Vec<&str> = known().iter().map(|(key, _)| *key).collect();
            (Message::new("an object of figures: {keys}").with("keys", Arg::text(keys.join(", "))), None)
        }
        What::Pairs(..) => plain("a list of pairs of numbers"),
        What::Object(object) => (Message::new("an object:"), Some(object.name)),
        What::New(object) => (Message::new("an object, with an id of your own if you like:"), Some(object.name)),
        What::Patch(object) => (Message::new("members to change of an object:"), Some(object.name)),
        What::Kept(object) => (Message::new("an object, with its id and revision:"), Some(object.name)),
        What::Page(each) => {
            let (each, object) = told(each);
            (Message::new("a page of a list, with next, of: {each}").with("each", each.into()), object)
        }
        What::Fields(kind) => (Message::new("the fields of the kind {kind}").with("kind", Arg::text(kind.key())), None),
        What::NewEntry | What::Entry => {
            let all = options::<Kind>().len() as u64;
            (Message::new("an entry, of one of {all} kinds:").with("all", Arg::Count(all)), Some("entry-kinds"))
        }
        What::Batch => {
            (Message::new("an object whose entries are a list of entries, 1,000 at most:"), Some("entry-kinds"))
        }
        What::Record => plain("any object"),
    }
}

/// In the metric unit that the API speaks, whatever the reader's.
fn range(words: &'static str, measure: &Measure) -> Message {
    let limit = |value: f64| Arg::text(format!("{value} {}", measure.unit.sign()).trim().to_owned());
    Message::new(words).with("least", limit(measure.min)).with("most", limit(measure.max))
}
