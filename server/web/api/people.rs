//! Accounts as they are kept. Passwords and sign-in links are secrets of people: they are made on the pages, by somebody
//! who has signed in, and a token opens no way to them.

use std::collections::BTreeMap;

use jiff::Timestamp;
use serde::Serialize;

use crate::model::choice::options;
use crate::model::id::Id;
use crate::model::id::PersonId;
use crate::model::id::of;
use crate::model::name::Name;
use crate::model::person::Person;
use crate::model::person::Role;
use crate::model::setup::Kept;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::service::authorise::Deed;
use crate::web::api::kept::Noun;
use crate::web::api::shape::Member;
use crate::web::api::shape::Object;
use crate::web::api::shape::What;

const BODY: Object = Object {
    name: "Person",
    about: "an account",
    members: &[
        Member::needed("name", "they sign in by it", What::Name),
        Member::needed("role", "", What::Choice(options::<Role>)),
        Member::usual("sites", "the sites a keeper keeps", What::List(&What::Id, 500)),
        Member::maybe("ended", "may no longer sign in since", What::Moment),
    ],
};

const LINE: Object = Object {
    name: "PersonLine",
    about: "an account in a list",
    members: &[
        Member::needed("id", "", What::Id),
        Member::needed("name", "", What::Name),
        Member::needed("role", "", What::Choice(options::<Role>)),
        Member::maybe("ended", "", What::Moment),
        Member::needed("revision", "", What::Count(0, u64::MAX)),
    ],
};

#[derive(Debug, Serialize)]
pub struct Line {
    id: PersonId,
    name: Name,
    role: Role,
    ended: Option<Timestamp>,
    revision: i64,
}

impl Noun for Person {
    type Of = of::Person;
    type Line = Line;
    const LIST: &'static str = "/api/v1/people";
    const ONE: &'static str = "/api/v1/people/{id}";
    const NAMES: (&'static str, &'static str) = ("Person", "People");
    const WORDS: (&'static str, &'static str) = ("account", "accounts");
    const BODY: &'static Object = &BODY;
    const LINE: &'static Object = &LINE;
    const SEE: (Deed, Deed) = (Deed::Coordinate, Deed::Coordinate);

    fn all(set_up: &SetUp) -> &BTreeMap<Id<of::Person>, Kept<Self>> {
        &set_up.people
    }

    fn line(kept: &Kept<Self>) -> Line {
        let person = &kept.thing;
        Line {
            id: person.id,
            name: person.name.clone(),
            role: person.role,
            ended: person.ended,
            revision: kept.revision,
        }
    }

    fn thing(self) -> Thing {
        Thing::Person(self)
    }
}
