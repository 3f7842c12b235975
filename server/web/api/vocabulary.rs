//! The words that the API speaks: the kinds of entry with their fields, the closed lists, the shapes with what is measured
//! of them, the ladder of rations; and who asks. So that a program can make its own forms.

use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::Uri;
use axum::response::Response;
use keepwell_engine::demand::Ladder;
use keepwell_engine::quantity::Measure;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::vessel;
use serde::Serialize;

use crate::model::choice::Choice;
use crate::model::choice::options;
use crate::model::entry;
use crate::model::entry::About;
use crate::model::entry::Kind;
use crate::model::entry::fields::Field;
use crate::model::id::PersonId;
use crate::model::id::SiteId;
use crate::model::id::TokenId;
use crate::model::name::Name;
use crate::model::neighbourhood::Units;
use crate::model::person::Role;
use crate::model::power::Fuel;
use crate::model::site::Animal;
use crate::model::site::Category;
use crate::model::site::SiteKind;
use crate::model::source::Disinfectant;
use crate::model::source::SourceKind;
use crate::model::vessel::DrawWay;
use crate::model::vessel::Material;
use crate::model::vessel::RotateHow;
use crate::model::vessel::ShapeKind;
use crate::model::vessel::StandsOn;
use crate::model::works::PipeKind;
use crate::model::works::PipeSize;
use crate::model::works::StageKind;
use crate::model::works::UvClass;
use crate::service::Caller;
use crate::service::authorise::Deed;
use crate::web::House;
use crate::web::api::answer;
use crate::web::api::client::Client;
use crate::web::api::operation::Api;
use crate::web::api::operation::Operation;
use crate::web::api::shape::Member;
use crate::web::api::shape::Object;
use crate::web::api::shape::Options;
use crate::web::api::shape::What;
use crate::web::error::Error;

fn abouts() -> Vec<(&'static str, &'static str)> {
    [About::Vessel, About::Site, About::Source, About::Entry].map(|about| (about_key(about), "")).to_vec()
}

const fn about_key(about: About) -> &'static str {
    match about {
        About::Vessel => "vessel",
        About::Site => "site",
        About::Source => "source",
        About::Entry => "entry",
    }
}

fn whats() -> Vec<(&'static str, &'static str)> {
    ["figure", "whole", "choice", "flag", "text", "date", "id"].map(|what| (what, "")).to_vec()
}

const OPTION: Object = Object {
    name: "Option",
    about: "one member of a closed list",
    members: &[
        Member::needed("key", "what is sent and kept", What::Text(80)),
        Member::needed("label", "what a person reads", What::Text(200)),
    ],
};

const FIELD: Object = Object {
    name: "Field",
    about: "one field of a kind of entry, or one dimension of a shape",
    members: &[
        Member::needed("key", "", What::Text(80)),
        Member::needed("label", "", What::Text(200)),
        Member::needed("hint", "how to answer", What::Text(400)),
        Member::needed("what", "what may stand in it", What::Choice(whats)),
        Member::needed("required", "", What::Flag),
        Member::maybe("unit", "of a figure", What::Text(20)),
        Member::maybe("least", "", What::Number),
        Member::maybe("most", "of a figure; of text, characters", What::Number),
        Member::maybe("options", "", What::List(&What::Object(&OPTION), 500)),
    ],
};

const KIND: Object = Object {
    name: "Kind",
    about: "a kind of entry",
    members: &[
        Member::needed("kind", "", What::Choice(options::<Kind>)),
        Member::needed("label", "", What::Text(200)),
        Member::needed("about", "what an entry of it names", What::Choice(abouts)),
        Member::needed("fields", "", What::List(&What::Object(&FIELD), 100)),
    ],
};

const KINDS: Object = Object {
    name: "Kinds",
    about: "every kind of entry",
    members: &[Member::needed("kinds", "", What::List(&What::Object(&KIND), 200))],
};

const LISTED: Object = Object {
    name: "ClosedList",
    about: "a closed list",
    members: &[
        Member::needed("name", "", What::Text(80)),
        Member::needed("options", "", What::List(&What::Object(&OPTION), 500)),
    ],
};

const CHOICES: Object = Object {
    name: "Choices",
    about: "every closed list of the set-up",
    members: &[Member::needed("choices", "", What::List(&What::Object(&LISTED), 200))],
};

const SHAPE: Object = Object {
    name: "Shape",
    about: "a shape and what is measured of it",
    members: &[
        Member::needed("shape", "", What::Choice(options::<ShapeKind>)),
        Member::needed("label", "", What::Text(200)),
        Member::needed("dimensions", "", What::List(&What::Object(&FIELD), 50)),
    ],
};

const SHAPES: Object = Object {
    name: "Shapes",
    about: "every shape",
    members: &[Member::needed("shapes", "", What::List(&What::Object(&SHAPE), 100))],
};

const RUNG: Object = Object {
    name: "Rung",
    about: "a rung of the ladder: litres a person a day",
    members: &[
        Member::needed("key", "", What::Text(80)),
        Member::needed("name", "", What::Text(200)),
        Member::needed("drink_l_per_day", "", What::Number),
        Member::needed("cook_l_per_day", "", What::Number),
        Member::needed("wash_l_per_day", "", What::Number),
        Member::needed("flush_l_per_day", "", What::Number),
        Member::needed("source", "where it is published", What::Text(400)),
    ],
};

const RUNGS: Object = Object {
    name: "Rations",
    about: "the ladder, from the least to the most",
    members: &[Member::needed("rations", "", What::List(&What::Object(&RUNG), 100))],
};

const ME: Object = Object {
    name: "Me",
    about: "who asks",
    members: &[
        Member::needed("person", "the account", What::Id),
        Member::needed("name", "its name", What::Text(80)),
        Member::needed("role", "what it may do", What::Choice(options::<Role>)),
        Member::needed("sites", "the sites of a keeper", What::List(&What::Id, 500)),
        Member::maybe("token", "the token it came by", What::Id),
    ],
};

pub fn routes() -> Api {
    let get = |path, name, about, object| Operation::get(path, name, about, What::Object(object));
    Api::new()
        .add(get("/api/v1/kinds", "listKinds", "The kinds of entry and their fields", &KINDS), kinds)
        .add(get("/api/v1/choices", "listChoices", "The closed lists of the set-up", &CHOICES), choices)
        .add(get("/api/v1/shapes", "listShapes", "The shapes of vessels and their dimensions", &SHAPES), shapes)
        .add(get("/api/v1/rations", "listRations", "The ladder of rations", &RUNGS), rations)
        .add(get("/api/v1/me", "getMe", "Who asks, and what they may do", &ME), me)
}

#[derive(Debug, Serialize)]
struct Named {
    key: &'static str,
    label: &'static str,
}

fn named(options: Vec<(&'static str, &'static str)>) -> Vec<Named> {
    options.into_iter().map(|(key, label)| Named { key, label }).collect()
}

#[derive(Debug, Serialize)]
struct Told {
    key: &'static str,
    label: &'static str,
    hint: &'static str,
    what: &'static str,
    required: bool,
    unit: Option<&'static str>,
    least: Option<f64>,
    most: Option<f64>,
    options: Option<Vec<Named>>,
}

impl Told {
    fn of(field: &Field) -> Self {
        let bare = |what| Self {
            key: field.key,
            label: field.label,
            hint: field.hint,
            what,
            required: field.required,
            unit: None,
            least: None,
            most: None,
            options: None,
        };
        match field.what {
            entry::fields::What::Figure(measure) => bare("figure").within(measure),
            entry::fields::What::Whole(measure) => bare("whole").within(measure),
            entry::fields::What::Choice(options) => Self { options: Some(named(options())), ..bare("choice") },
            entry::fields::What::Flag => bare("flag"),
            entry::fields::What::Text(longest) => {
                Self { most: u32::try_from(longest).ok().map(f64::from), ..bare("text") }
            }
            entry::fields::What::Date => bare("date"),
            entry::fields::What::Ref(_) => bare("id"),
        }
    }

    fn within(self, measure: &Measure) -> Self {
        Self { unit: Some(measure.unit.sign()), least: Some(measure.min), most: Some(measure.max), ..self }
    }
}

#[derive(Debug, Serialize)]
struct KindTold {
    kind: &'static str,
    label: &'static str,
    about: &'static str,
    fields: Vec<Told>,
}

#[derive(Debug, Serialize)]
struct Kinds {
    kinds: Vec<KindTold>,
}

async fn kinds(State(house): State<House>, client: Client, uri: Uri, headers: HeaderMap) -> Result<Response, Error> {
    answer::fresh(&house, &client, &uri, &headers, || {
        client.caller.may(Deed::SeeTotals, None)?;
        let kinds = Kind::LIST.iter().map(|(kind, key, label)| KindTold {
            kind: key,
            label,
            about: about_key(kind.about()),
            fields: kind.fields().iter().map(Told::of).collect(),
        });
        Ok(Kinds { kinds: kinds.collect() })
    })
}

#[derive(Debug, Serialize)]
struct Listed {
    name: &'static str,
    options: Vec<Named>,
}

#[derive(Debug, Serialize)]
struct Choices {
    choices: Vec<Listed>,
}

const LISTS: [(&str, Options); 18] = [
    ("site_kind", options::<SiteKind>),
    ("category", options::<Category>),
    ("animal", options::<Animal>),
    ("source_kind", options::<SourceKind>),
    ("disinfectant", options::<Disinfectant>),
    ("shape", options::<ShapeKind>),
    ("draw_way", options::<DrawWay>),
    ("material", options::<Material>),
    ("stands_on", options::<StandsOn>),
    ("rotate_how", options::<RotateHow>),
    ("fuel", options::<Fuel>),
    ("stage_kind", options::<StageKind>),
    ("uv_class", options::<UvClass>),
    ("pipe", options::<PipeKind>),
    ("pipe_size", options::<PipeSize>),
    ("role", options::<Role>),
    ("units", options::<Units>),
    ("entry_kind", options::<Kind>),
];

async fn choices(State(house): State<House>, client: Client, uri: Uri, headers: HeaderMap) -> Result<Response, Error> {
    answer::fresh(&house, &client, &uri, &headers, || {
        client.caller.may(Deed::SeeTotals, None)?;
        let choices = LISTS.iter().map(|(name, list)| Listed { name, options: named(list()) });
        Ok(Choices { choices: choices.collect() })
    })
}

#[derive(Debug, Serialize)]
struct ShapeTold {
    shape: &'static str,
    label: &'static str,
    dimensions: Vec<Told>,
}

#[derive(Debug, Serialize)]
struct Shapes {
    shapes: Vec<ShapeTold>,
}

async fn shapes(State(house): State<House>, client: Client, uri: Uri, headers: HeaderMap) -> Result<Response, Error> {
    answer::fresh(&house, &client, &uri, &headers, || {
        client.caller.may(Deed::SeeTotals, None)?;
        let dimension = |dimension: &'static vessel::Dimension| Told {
            key: dimension.key,
            label: dimension.label,
            hint: dimension.hint,
            what: "figure",
            required: true,
            unit: Some(dimension.measure.unit.sign()),
            least: Some(dimension.measure.min),
            most: Some(dimension.measure.max),
            options: None,
        };
        let shapes = ShapeKind::LIST.iter().map(|(shape, key, label)| ShapeTold {
            shape: key,
            label,
            dimensions: crate::picture::body::kind(*shape).dimensions().iter().map(dimension).collect(),
        });
        Ok(Shapes { shapes: shapes.collect() })
    })
}

#[derive(Debug, Serialize)]
struct RungTold {
    key: String,
    name: String,
    drink_l_per_day: f64,
    cook_l_per_day: f64,
    wash_l_per_day: f64,
    flush_l_per_day: f64,
    source: String,
}

#[derive(Debug, Serialize)]
struct Rations {
    rations: Vec<RungTold>,
}

async fn rations(State(house): State<House>, client: Client, uri: Uri, headers: HeaderMap) -> Result<Response, Error> {
    answer::fresh(&house, &client, &uri, &headers, || {
        client.caller.may(Deed::SeeTotals, None)?;
        let ladder = Ladder::default();
        let rations = ladder.rungs().iter().map(|rung| RungTold {
            key: rung.key().to_owned(),
            name: rung.name().to_owned(),
            drink_l_per_day: as_litres(rung.uses().drink),
            cook_l_per_day: as_litres(rung.uses().cook),
            wash_l_per_day: as_litres(rung.uses().wash),
            flush_l_per_day: as_litres(rung.uses().flush),
            source: rung.source().to_owned(),
        });
        Ok(Rations { rations: rations.collect() })
    })
}

#[derive(Debug, Serialize)]
struct Me {
    person: PersonId,
    name: Name,
    role: Role,
    sites: Vec<SiteId>,
    token: Option<TokenId>,
}

async fn me(State(house): State<House>, client: Client, uri: Uri, headers: HeaderMap) -> Result<Response, Error> {
    answer::fresh(&house, &client, &uri, &headers, || match &client.caller {
        Caller::Person(person) => Ok(Me {
            person: person.id,
            name: person.name.clone(),
            role: person.role,
            sites: person.sites.clone(),
            token: client.token,
        }),
        Caller::Nobody | Caller::House => Err(Error::SignInNeeded { next: String::new() }),
    })
}
