//! Vessels and banks as they are kept.

use std::collections::BTreeMap;

use jiff::Timestamp;
use keepwell_engine::quantity::DEPTH;
use keepwell_engine::quantity::ELEVATION;
use keepwell_engine::quantity::HEIGHT;
use keepwell_engine::quantity::INTERVAL;
use keepwell_engine::quantity::Measure;
use keepwell_engine::quantity::RESIDUAL_FLOOR;
use keepwell_engine::quantity::VOLUME;
use keepwell_engine::structure::measures::EMPTY;
use keepwell_engine::vessel::Kind;
use serde::Serialize;

use crate::model::choice::Choice;
use crate::model::choice::options;
use crate::model::id::BankId;
use crate::model::id::Id;
use crate::model::id::SiteId;
use crate::model::id::VesselId;
use crate::model::id::of;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::name::Name;
use crate::model::setup::Kept;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::model::vessel::Bank;
use crate::model::vessel::DrawWay;
use crate::model::vessel::Material;
use crate::model::vessel::RotateHow;
use crate::model::vessel::ShapeKind;
use crate::model::vessel::StandsOn;
use crate::model::vessel::Vessel;
use crate::picture::body::kind;
use crate::service::authorise::Deed;
use crate::web::api::check::under;
use crate::web::api::kept::Noun;
use crate::web::api::shape::Member;
use crate::web::api::shape::Object;
use crate::web::api::shape::What;
use crate::web::error::Fault;

/// What can be measured of any shape; which of them a shape needs, `shapes` says.
fn dimensions() -> Vec<(&'static str, &'static Measure)> {
    let mut known: Vec<(&'static str, &'static Measure)> = Vec::new();
    for dimension in Kind::ALL.into_iter().flat_map(Kind::dimensions) {
        if !known.iter().any(|(key, _)| *key == dimension.key) {
            known.push((dimension.key, dimension.measure));
        }
    }
    known
}

const DRAW: Object = Object {
    name: "Draw",
    about: "a way of drawing; what lies below its height stays in",
    members: &[
        Member::needed("way", "", What::Choice(options::<DrawWay>)),
        Member::needed("height_m", "over the floor", What::Figure(&HEIGHT)),
    ],
};

const POLICY: Object = Object {
    name: "Policy",
    about: "when and how the water is renewed",
    members: &[
        Member::needed("interval_days", "", What::Figure(&INTERVAL)),
        Member::needed("how", "", What::Choice(options::<RotateHow>)),
        Member::needed("redose_days", "how long a good test vouches for it", What::Figure(&INTERVAL)),
        Member::maybe("floor_mg_l", "the residual it is meant to keep", What::Figure(&RESIDUAL_FLOOR)),
    ],
};

const BODY: Object = Object {
    name: "Vessel",
    about: "a tank, drum, cistern or bottle, or a set of identical ones",
    members: &[
        Member::needed("site", "where it stands", What::Id),
        Member::needed("name", "", What::Name),
        Member::needed("shape", "", What::Choice(options::<ShapeKind>)),
        Member::usual("dimensions", "those of its shape", What::Figures(dimensions)),
        Member::usual(
            "strapping",
            "the owner's own table: rows of depth in metres and litres",
            What::Pairs(&DEPTH, &VOLUME, 500),
        ),
        Member::maybe("full_m", "the full mark over the floor; the rim where there is none", What::Figure(&HEIGHT)),
        Member::usual("draws", "", What::List(&What::Object(&DRAW), 20)),
        Member::needed("material", "", What::Choice(options::<Material>)),
        Member::needed("food_grade", "", What::Flag),
        Member::needed("closed", "", What::Flag),
        Member::needed("opaque", "or kept in the dark", What::Flag),
        Member::needed("stands_on", "", What::Choice(options::<StandsOn>)),
        Member::needed("anchored", "", What::Flag),
        Member::maybe("empty_kg", "what it weighs with nothing in it", What::Figure(&EMPTY)),
        Member::usual("floor_m", "height of its floor over the site's datum", What::Figure(&ELEVATION)),
        Member::maybe("bank", "", What::Id),
        Member::maybe("source", "what it is usually filled from", What::Id),
        Member::needed("policy", "", What::Object(&POLICY)),
        Member::usual("outage_only", "counts only in an outage", What::Flag),
        Member::usual("daily_use", "drawn on daily without an entry each time", What::Flag),
        Member::usual("may_freeze", "it stands where water freezes in a hard frost", What::Flag),
        Member::needed("since", "in place since", What::Moment),
        Member::maybe("ended", "no longer in use since", What::Moment),
        Member::usual("notes", "", What::Text(2000)),
    ],
};

const LINE: Object = Object {
    name: "VesselLine",
    about: "a vessel in a list",
    members: &[
        Member::needed("id", "", What::Id),
        Member::needed("site", "", What::Id),
        Member::needed("name", "", What::Name),
        Member::needed("shape", "", What::Choice(options::<ShapeKind>)),
        Member::maybe("bank", "", What::Id),
        Member::maybe("ended", "", What::Moment),
        Member::needed("revision", "", What::Count(0, u64::MAX)),
    ],
};

#[derive(Debug, Serialize)]
pub struct Line {
    id: VesselId,
    site: SiteId,
    name: Name,
    shape: ShapeKind,
    bank: Option<BankId>,
    ended: Option<Timestamp>,
    revision: i64,
}

impl Noun for Vessel {
    type Of = of::Vessel;
    type Line = Line;
    const LIST: &'static str = "/api/v1/vessels";
    const ONE: &'static str = "/api/v1/vessels/{id}";
    const NAMES: (&'static str, &'static str) = ("Vessel", "Vessels");
    const WORDS: (&'static str, &'static str) = ("vessel", "vessels");
    const BODY: &'static Object = &BODY;
    const LINE: &'static Object = &LINE;
    const SEE: (Deed, Deed) = (Deed::SeeSite, Deed::SeeSite);

    fn all(set_up: &SetUp) -> &BTreeMap<Id<of::Vessel>, Kept<Self>> {
        &set_up.vessels
    }

    fn line(kept: &Kept<Self>) -> Line {
        let vessel = &kept.thing;
        Line {
            id: vessel.id,
            site: vessel.site,
            name: vessel.name.clone(),
            shape: vessel.shape,
            bank: vessel.bank,
            ended: vessel.ended,
            revision: kept.revision,
        }
    }

    fn thing(self) -> Thing {
        Thing::Vessel(self)
    }

    fn site(&self) -> Option<SiteId> {
        Some(self.site)
    }

    /// A dimension of another shape says nothing here, and would be kept for nothing.
    fn faults(&self) -> Vec<Fault> {
        let own = kind(self.shape).dimensions();
        let foreign = self.dimensions.keys().filter(|key| !own.iter().any(|dimension| dimension.key == **key));
        let names: Vec<&str> = own.iter().map(|dimension| dimension.key).collect();
        let said = |key: &String| Fault {
            field: Some(under("/dimensions", key)),
            detail: Message::new("{shape} has no {field}. It has: {known}.")
                .with("shape", Arg::text(self.shape.key()))
                .with("field", Arg::text(key))
                .with("known", Arg::text(names.join(", "))),
        };
        foreign.map(said).collect()
    }
}

const BANK: Object = Object {
    name: "Bank",
    about: "vessels joined by a manifold; open or shut is a state, changed by an entry",
    members: &[
        Member::needed("site", "", What::Id),
        Member::needed("name", "", What::Name),
        Member::needed("coupled_at_first", "its valves stood open when it was set up", What::Flag),
    ],
};

const BANK_LINE: Object = Object {
    name: "BankLine",
    about: "a bank in a list",
    members: &[
        Member::needed("id", "", What::Id),
        Member::needed("site", "", What::Id),
        Member::needed("name", "", What::Name),
        Member::needed("revision", "", What::Count(0, u64::MAX)),
    ],
};

#[derive(Debug, Serialize)]
pub struct BankLine {
    id: BankId,
    site: SiteId,
    name: Name,
    revision: i64,
}

impl Noun for Bank {
    type Of = of::Bank;
    type Line = BankLine;
    const LIST: &'static str = "/api/v1/banks";
    const ONE: &'static str = "/api/v1/banks/{id}";
    const NAMES: (&'static str, &'static str) = ("Bank", "Banks");
    const WORDS: (&'static str, &'static str) = ("bank", "banks");
    const BODY: &'static Object = &BANK;
    const LINE: &'static Object = &BANK_LINE;
    const SEE: (Deed, Deed) = (Deed::SeeSite, Deed::SeeSite);

    fn all(set_up: &SetUp) -> &BTreeMap<Id<of::Bank>, Kept<Self>> {
        &set_up.banks
    }

    fn line(kept: &Kept<Self>) -> BankLine {
        let bank = &kept.thing;
        BankLine { id: bank.id, site: bank.site, name: bank.name.clone(), revision: kept.revision }
    }

    fn thing(self) -> Thing {
        Thing::Bank(self)
    }

    fn site(&self) -> Option<SiteId> {
        Some(self.site)
    }
}
