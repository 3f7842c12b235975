//! Carries as they are kept.

use std::collections::BTreeMap;

use jiff::Timestamp;
use keepwell_engine::quantity::CARRIED;
use keepwell_engine::quantity::LOSS;
use keepwell_engine::quantity::TRIP;
use serde::Serialize;

use crate::model::carry::Carry;
use crate::model::carry::Means;
use crate::model::choice::options;
use crate::model::id::CarryId;
use crate::model::id::Id;
use crate::model::id::SiteId;
use crate::model::id::of;
use crate::model::name::Name;
use crate::model::setup::Kept;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::service::authorise::Deed;
use crate::web::api::kept::Noun;
use crate::web::api::shape::Member;
use crate::web::api::shape::Object;
use crate::web::api::shape::What;

const BODY: Object = Object {
    name: "Carry",
    about: "a way that water may go from one site to another, as agreed; from its first giver to its last receiver",
    members: &[
        Member::needed("name", "", What::Name),
        Member::needed("from", "the site that gives", What::Id),
        Member::needed("to", "another site, which receives", What::Id),
        Member::needed("means", "", What::Choice(options::<Means>)),
        Member::needed("litres_a_day", "at most", What::Figure(&CARRIED)),
        Member::needed("litres_a_trip", "", What::Figure(&TRIP)),
        Member::usual("loss", "the part that does not arrive", What::Figure(&LOSS)),
        Member::maybe("ended", "no longer agreed since", What::Moment),
    ],
};

const LINE: Object = Object {
    name: "CarryLine",
    about: "a carry in a list",
    members: &[
        Member::needed("id", "", What::Id),
        Member::needed("name", "", What::Name),
        Member::needed("from", "", What::Id),
        Member::needed("to", "", What::Id),
        Member::maybe("ended", "", What::Moment),
        Member::needed("revision", "", What::Count(0, u64::MAX)),
    ],
};

#[derive(Debug, Serialize)]
pub struct Line {
    id: CarryId,
    name: Name,
    from: SiteId,
    to: SiteId,
    ended: Option<Timestamp>,
    revision: i64,
}

impl Noun for Carry {
    type Of = of::Carry;
    type Line = Line;
    const LIST: &'static str = "/api/v1/carries";
    const ONE: &'static str = "/api/v1/carries/{id}";
    const NAMES: (&'static str, &'static str) = ("Carry", "Carries");
    const WORDS: (&'static str, &'static str) = ("carry", "carries");
    const BODY: &'static Object = &BODY;
    const LINE: &'static Object = &LINE;
    const SEE: (Deed, Deed) = (Deed::Coordinate, Deed::Coordinate);

    fn all(set_up: &SetUp) -> &BTreeMap<Id<of::Carry>, Kept<Self>> {
        &set_up.carries
    }

    fn line(kept: &Kept<Self>) -> Line {
        let Self { id, name, from, to, ended, .. } = &*kept.thing;
        Line { id: *id, name: name.clone(), from: *from, to: *to, ended: *ended, revision: kept.revision }
    }

    fn thing(self) -> Thing {
        Thing::Carry(self)
    }
}
