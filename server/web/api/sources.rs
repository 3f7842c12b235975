//! Supplies as they are kept.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::model::choice::options;
use crate::model::id::Id;
use crate::model::id::SourceId;
use crate::model::id::of;
use crate::model::name::Name;
use crate::model::setup::Kept;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::model::source::Disinfectant;
use crate::model::source::Source;
use crate::model::source::SourceKind;
use crate::service::authorise::Deed;
use crate::web::api::kept::Noun;
use crate::web::api::shape::Member;
use crate::web::api::shape::Object;
use crate::web::api::shape::What;

const BODY: Object = Object {
    name: "Source",
    about: "where water comes from; it belongs to the neighbourhood",
    members: &[
        Member::needed("name", "", What::Name),
        Member::needed("kind", "decides what a fill from it counts as", What::Choice(options::<SourceKind>)),
        Member::needed("disinfectant", "", What::Choice(options::<Disinfectant>)),
        Member::usual("notes", "", What::Text(2000)),
    ],
};

const LINE: Object = Object {
    name: "SourceLine",
    about: "a supply in a list",
    members: &[
        Member::needed("id", "", What::Id),
        Member::needed("name", "", What::Name),
        Member::needed("kind", "", What::Choice(options::<SourceKind>)),
        Member::needed("revision", "", What::Count(0, u64::MAX)),
    ],
};

#[derive(Debug, Serialize)]
pub struct Line {
    id: SourceId,
    name: Name,
    kind: SourceKind,
    revision: i64,
}

impl Noun for Source {
    type Of = of::Source;
    type Line = Line;
    const LIST: &'static str = "/api/v1/sources";
    const ONE: &'static str = "/api/v1/sources/{id}";
    const NAMES: (&'static str, &'static str) = ("Source", "Sources");
    const WORDS: (&'static str, &'static str) = ("supply", "supplies");
    const BODY: &'static Object = &BODY;
    const LINE: &'static Object = &LINE;
    const SEE: (Deed, Deed) = (Deed::SeeTotals, Deed::SeeTotals);

    fn all(set_up: &SetUp) -> &BTreeMap<Id<of::Source>, Kept<Self>> {
        &set_up.sources
    }

    fn line(kept: &Kept<Self>) -> Line {
        let source = &kept.thing;
        Line { id: source.id, name: source.name.clone(), kind: source.kind, revision: kept.revision }
    }

    fn thing(self) -> Thing {
        Thing::Source(self)
    }
}
