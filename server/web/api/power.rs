//! Generators, fuel stores and loads as they are kept.

use std::collections::BTreeMap;

use jiff::Timestamp;
use keepwell_engine::quantity::BURN;
use keepwell_engine::quantity::FUEL;
use keepwell_engine::quantity::HOURS_A_DAY;
use keepwell_engine::quantity::POWER;
use serde::Serialize;

use crate::model::choice::options;
use crate::model::id::Id;
use crate::model::id::SiteId;
use crate::model::id::of;
use crate::model::name::Name;
use crate::model::power::Fuel;
use crate::model::power::FuelStore;
use crate::model::power::Generator;
use crate::model::power::Load;
use crate::model::setup::Kept;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::service::authorise::Deed;
use crate::web::api::kept::Noun;
use crate::web::api::shape::Member;
use crate::web::api::shape::Object;
use crate::web::api::shape::What;

const BURN_POINT: Object = Object {
    name: "BurnPoint",
    about: "at this load, so much fuel an hour; the first is the burn without a load",
    members: &[
        Member::needed("load_w", "", What::Figure(&POWER)),
        Member::needed("litres_per_hour", "", What::Figure(&BURN)),
    ],
};

const GENERATOR: Object = Object {
    name: "Generator",
    about: "a generator: outdoors, 6 m from openings, exhaust away from them",
    members: &[
        Member::needed("site", "", What::Id),
        Member::needed("name", "", What::Name),
        Member::needed("fuel", "", What::Choice(options::<Fuel>)),
        Member::needed("rated_w", "", What::Figure(&POWER)),
        Member::maybe("burst_w", "for some seconds; no less than rated_w", What::Figure(&POWER)),
        Member::needed("burn", "its burn line", What::List(&What::Object(&BURN_POINT), 50)),
        Member::maybe("ended", "no longer in use since", What::Moment),
    ],
};

const STORE: Object = Object {
    name: "FuelStore",
    about: "fuel that is kept, under the fire code",
    members: &[
        Member::needed("site", "", What::Id),
        Member::needed("name", "", What::Name),
        Member::needed("fuel", "", What::Choice(options::<Fuel>)),
        Member::maybe("capacity_l", "more than 0", What::Figure(&FUEL)),
        Member::needed(
            "amount_l",
            "what was in it when it was set up; entries move it from there",
            What::Figure(&FUEL),
        ),
        Member::maybe("bought", "the day the oldest of it was bought", What::Date),
        Member::usual("stabilised", "", What::Flag),
        Member::needed("since", "in place since", What::Moment),
        Member::maybe("ended", "no longer in use since", What::Moment),
    ],
};

const LOAD: Object = Object {
    name: "Load",
    about: "what a generator drives",
    members: &[
        Member::needed("site", "", What::Id),
        Member::needed("name", "", What::Name),
        Member::needed("running_w", "", What::Figure(&POWER)),
        Member::maybe("surge_w", "as it starts", What::Figure(&POWER)),
        Member::needed("hours_a_day", "while the generator runs its plan", What::Figure(&HOURS_A_DAY)),
        Member::usual("pump", "the pump that brings stored water to the taps", What::Flag),
        Member::maybe("ended", "no longer in use since", What::Moment),
    ],
};

pub const LINE: Object = Object {
    name: "PowerLine",
    about: "a generator, fuel store, load, battery, stage or pump in a list",
    members: &[
        Member::needed("id", "", What::Id),
        Member::needed("site", "", What::Id),
        Member::needed("name", "", What::Name),
        Member::maybe("ended", "", What::Moment),
        Member::needed("revision", "", What::Count(0, u64::MAX)),
    ],
};

#[derive(Debug, Serialize)]
pub struct Line<I> {
    pub id: I,
    pub site: SiteId,
    pub name: Name,
    pub ended: Option<Timestamp>,
    pub revision: i64,
}

impl Noun for Generator {
    type Of = of::Generator;
    type Line = Line<Id<of::Generator>>;
    const LIST: &'static str = "/api/v1/generators";
    const ONE: &'static str = "/api/v1/generators/{id}";
    const NAMES: (&'static str, &'static str) = ("Generator", "Generators");
    const WORDS: (&'static str, &'static str) = ("generator", "generators");
    const BODY: &'static Object = &GENERATOR;
    const LINE: &'static Object = &LINE;
    const SEE: (Deed, Deed) = (Deed::SeeSite, Deed::SeeSite);

    fn all(set_up: &SetUp) -> &BTreeMap<Id<of::Generator>, Kept<Self>> {
        &set_up.generators
    }

    fn line(kept: &Kept<Self>) -> Self::Line {
        let Self { id, site, name, ended, .. } = &*kept.thing;
        Line { id: *id, site: *site, name: name.clone(), ended: *ended, revision: kept.revision }
    }

    fn thing(self) -> Thing {
        Thing::Generator(self)
    }

    fn site(&self) -> Option<SiteId> {
        Some(self.site)
    }
}

impl Noun for FuelStore {
    type Of = of::FuelStore;
    type Line = Line<Id<of::FuelStore>>;
    const LIST: &'static str = "/api/v1/fuel-stores";
    const ONE: &'static str = "/api/v1/fuel-stores/{id}";
    const NAMES: (&'static str, &'static str) = ("FuelStore", "FuelStores");
    const WORDS: (&'static str, &'static str) = ("fuel store", "fuel stores");
    const BODY: &'static Object = &STORE;
    const LINE: &'static Object = &LINE;
    const SEE: (Deed, Deed) = (Deed::SeeSite, Deed::SeeSite);

    fn all(set_up: &SetUp) -> &BTreeMap<Id<of::FuelStore>, Kept<Self>> {
        &set_up.fuel_stores
    }

    fn line(kept: &Kept<Self>) -> Self::Line {
        let Self { id, site, name, ended, .. } = &*kept.thing;
        Line { id: *id, site: *site, name: name.clone(), ended: *ended, revision: kept.revision }
    }

    fn thing(self) -> Thing {
        Thing::FuelStore(self)
    }

    fn site(&self) -> Option<SiteId> {
        Some(self.site)
    }
}

impl Noun for Load {
    type Of = of::Load;
    type Line = Line<Id<of::Load>>;
    const LIST: &'static str = "/api/v1/loads";
    const ONE: &'static str = "/api/v1/loads/{id}";
    const NAMES: (&'static str, &'static str) = ("Load", "Loads");
    const WORDS: (&'static str, &'static str) = ("load", "loads");
    const BODY: &'static Object = &LOAD;
    const LINE: &'static Object = &LINE;
    const SEE: (Deed, Deed) = (Deed::SeeSite, Deed::SeeSite);

    fn all(set_up: &SetUp) -> &BTreeMap<Id<of::Load>, Kept<Self>> {
        &set_up.loads
    }

    fn line(kept: &Kept<Self>) -> Self::Line {
        let Self { id, site, name, ended, .. } = &*kept.thing;
        Line { id: *id, site: *site, name: name.clone(), ended: *ended, revision: kept.revision }
    }

    fn thing(self) -> Thing {
        Thing::Load(self)
    }

    fn site(&self) -> Option<SiteId> {
        Some(self.site)
    }
}
