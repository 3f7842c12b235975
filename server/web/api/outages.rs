//! Outages and drills as they are kept: begun by adding one, ended by its `ended`.

use std::collections::BTreeMap;

use jiff::Timestamp;
use keepwell_engine::quantity::INTERVAL;
use serde::Serialize;

use crate::model::choice::options;
use crate::model::id::Id;
use crate::model::id::OutageId;
use crate::model::id::of;
use crate::model::outage::Outage;
use crate::model::outage::OutageKind;
use crate::model::setup::Kept;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::service::authorise::Deed;
use crate::web::api::kept::Noun;
use crate::web::api::neighbourhood::rungs;
use crate::web::api::shape::Member;
use crate::web::api::shape::Object;
use crate::web::api::shape::What;

const STEP: Object = Object {
    name: "RationStep",
    about: "a ration in force from a moment on",
    members: &[Member::needed("since", "", What::Moment), Member::needed("ration", "", What::Choice(rungs))],
};

const BODY: Object = Object {
    name: "Outage",
    about: "a time without the mains, real or a drill; one at a time",
    members: &[
        Member::needed("kind", "", What::Choice(options::<OutageKind>)),
        Member::needed("since", "", What::Moment),
        Member::maybe("ended", "", What::Moment),
        Member::needed("target_days", "how long the water at its beginning is to last", What::Figure(&INTERVAL)),
        Member::needed(
            "rations",
            "in order of time; the first from the beginning",
            What::List(&What::Object(&STEP), 200),
        ),
        Member::maybe("expected", "when the supplier thinks that the mains are back", What::Moment),
        Member::usual("ran_out", "what ran out first", What::Text(2000)),
        Member::usual("notes", "", What::Text(2000)),
    ],
};

const LINE: Object = Object {
    name: "OutageLine",
    about: "an outage in a list",
    members: &[
        Member::needed("id", "", What::Id),
        Member::needed("kind", "", What::Choice(options::<OutageKind>)),
        Member::needed("since", "", What::Moment),
        Member::maybe("ended", "", What::Moment),
        Member::needed("revision", "", What::Count(0, u64::MAX)),
    ],
};

#[derive(Debug, Serialize)]
pub struct Line {
    id: OutageId,
    kind: OutageKind,
    since: Timestamp,
    ended: Option<Timestamp>,
    revision: i64,
}

impl Noun for Outage {
    type Of = of::Outage;
    type Line = Line;
    const LIST: &'static str = "/api/v1/outages";
    const ONE: &'static str = "/api/v1/outages/{id}";
    const NAMES: (&'static str, &'static str) = ("Outage", "Outages");
    const WORDS: (&'static str, &'static str) = ("outage", "outages");
    const BODY: &'static Object = &BODY;
    const LINE: &'static Object = &LINE;
    const SEE: (Deed, Deed) = (Deed::SeeTotals, Deed::SeeTotals);

    fn all(set_up: &SetUp) -> &BTreeMap<Id<of::Outage>, Kept<Self>> {
        &set_up.outages
    }

    fn line(kept: &Kept<Self>) -> Line {
        let outage = &kept.thing;
        Line { id: outage.id, kind: outage.kind, since: outage.since, ended: outage.ended, revision: kept.revision }
    }

    fn thing(self) -> Thing {
        Thing::Outage(self)
    }
}
