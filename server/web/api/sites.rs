//! Sites as they are kept.

use std::collections::BTreeMap;

use jiff::Timestamp;
use keepwell_engine::quantity::ANIMALS;
use keepwell_engine::quantity::ELEVATION;
use keepwell_engine::quantity::HANDED_OUT;
use keepwell_engine::quantity::HOURS_A_DAY;
use keepwell_engine::quantity::LATITUDE;
use keepwell_engine::quantity::LONGITUDE;
use keepwell_engine::quantity::PEOPLE;
use keepwell_engine::quantity::VOLUME;
use serde::Serialize;

use crate::model::choice::options;
use crate::model::id::Id;
use crate::model::id::SiteId;
use crate::model::id::of;
use crate::model::name::Name;
use crate::model::setup::Kept;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::model::site::Animal;
use crate::model::site::Category;
use crate::model::site::Site;
use crate::model::site::SiteKind;
use crate::service::authorise::Deed;
use crate::web::api::kept::Noun;
use crate::web::api::shape::Member;
use crate::web::api::shape::Object;
use crate::web::api::shape::What;

const COUNTED: Object = Object {
    name: "People",
    about: "so many of one category; each person is counted once, where they would draw",
    members: &[
        Member::needed("category", "", What::Choice(options::<Category>)),
        Member::needed("count", "", What::Whole(&PEOPLE)),
    ],
};

const KEPT_ANIMALS: Object = Object {
    name: "Animals",
    about: "so many of one kind",
    members: &[
        Member::needed("animal", "", What::Choice(options::<Animal>)),
        Member::needed("count", "", What::Whole(&ANIMALS)),
    ],
};

const BODY: Object = Object {
    name: "Site",
    about: "a place that stores or needs water",
    members: &[
        Member::needed("name", "", What::Name),
        Member::needed("kind", "", What::Choice(options::<SiteKind>)),
        Member::usual("people", "who draws here", What::List(&What::Object(&COUNTED), 8)),
        Member::usual(
            "cannot_collect",
            "of the people, day visitors aside, those who cannot fetch water themselves; only how many is kept",
            What::Whole(&PEOPLE),
        ),
        Member::usual("animals", "", What::List(&What::Object(&KEPT_ANIMALS), 5)),
        Member::usual("sources", "the supplies it can fill from", What::List(&What::Id, 50)),
        Member::usual("address", "", What::Text(500)),
        Member::maybe("latitude", "degrees north, WGS 84", What::Figure(&LATITUDE)),
        Member::maybe("longitude", "degrees east, WGS 84", What::Figure(&LONGITUDE)),
        Member::maybe("elevation_m", "height over the sea", What::Figure(&ELEVATION)),
        Member::usual("access", "how to get in", What::Text(2000)),
        Member::usual("contact", "", What::Text(500)),
        Member::usual("phone", "", What::Text(100)),
        Member::usual("notes", "", What::Text(2000)),
        Member::needed(
            "pump_hours_a_day",
            "hours a day that the generator runs the pump in an outage; more than 0",
            What::Figure(&HOURS_A_DAY),
        ),
        Member::usual("keep_l", "what it keeps whatever others lack, when water is carried", What::Figure(&VOLUME)),
        Member::usual(
            "handed_out_loss",
            "the part of what is drawn that is lost in handing it out",
            What::Figure(&HANDED_OUT),
        ),
        Member::maybe("ended", "no longer part of the neighbourhood since", What::Moment),
    ],
};

const LINE: Object = Object {
    name: "SiteLine",
    about: "a site in a list",
    members: &[
        Member::needed("id", "", What::Id),
        Member::needed("name", "", What::Name),
        Member::needed("kind", "", What::Choice(options::<SiteKind>)),
        Member::needed("people", "everyone who draws here", What::Count(0, 1_000_000_000)),
        Member::maybe("ended", "", What::Moment),
        Member::needed("revision", "", What::Count(0, u64::MAX)),
    ],
};

#[derive(Debug, Serialize)]
pub struct Line {
    id: SiteId,
    name: Name,
    kind: SiteKind,
    people: u32,
    ended: Option<Timestamp>,
    revision: i64,
}

impl Noun for Site {
    type Of = of::Site;
    type Line = Line;
    const LIST: &'static str = "/api/v1/sites";
    const ONE: &'static str = "/api/v1/sites/{id}";
    const NAMES: (&'static str, &'static str) = ("Site", "Sites");
    const WORDS: (&'static str, &'static str) = ("site", "sites");
    const BODY: &'static Object = &BODY;
    const LINE: &'static Object = &LINE;
    const SEE: (Deed, Deed) = (Deed::SeeContacts, Deed::SeeSite);

    fn all(set_up: &SetUp) -> &BTreeMap<Id<of::Site>, Kept<Self>> {
        &set_up.sites
    }

    fn line(kept: &Kept<Self>) -> Line {
        let site = &kept.thing;
        Line {
            id: site.id,
            name: site.name.clone(),
            kind: site.kind,
            people: site.heads(),
            ended: site.ended,
            revision: kept.revision,
        }
    }

    fn thing(self) -> Thing {
        Thing::Site(self)
    }

    fn site(&self) -> Option<SiteId> {
        Some(self.id)
    }
}
