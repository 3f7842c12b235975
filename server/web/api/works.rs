//! The stages of a site's treatment and its pumps, as they are kept.

use std::collections::BTreeMap;

use keepwell_engine::quantity::CUT_OUT;
use keepwell_engine::quantity::ELEVATION;
use keepwell_engine::quantity::FITTINGS;
use keepwell_engine::quantity::FLOW_AT_TAP;
use keepwell_engine::quantity::LAMP_HOURS;
use keepwell_engine::quantity::LAMP_LIFE;
use keepwell_engine::quantity::MEDIA_LITRES;
use keepwell_engine::quantity::MEDIA_MONTHS;
use keepwell_engine::quantity::PIPE_RUN;
use keepwell_engine::quantity::PLACE;
use keepwell_engine::quantity::POWER;
use keepwell_engine::quantity::PRESSURE;
use keepwell_engine::quantity::PRESSURE_TANK;
use keepwell_engine::quantity::PUMP_FLOW;
use keepwell_engine::quantity::PUMP_HEAD;
use keepwell_engine::quantity::PUMP_POWER;
use keepwell_engine::quantity::VOLUME;

use crate::model::choice::options;
use crate::model::id::Id;
use crate::model::id::SiteId;
use crate::model::id::of;
use crate::model::setup::Kept;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::model::works::PipeKind;
use crate::model::works::PipeSize;
use crate::model::works::Pump;
use crate::model::works::Stage;
use crate::model::works::StageKind;
use crate::model::works::UvClass;
use crate::service::authorise::Deed;
use crate::web::api::kept::Noun;
use crate::web::api::power::LINE;
use crate::web::api::power::Line;
use crate::web::api::shape::Member;
use crate::web::api::shape::Object;
use crate::web::api::shape::What;

const STAGE: Object = Object {
    name: "Stage",
    about: "a stage of a site's treatment",
    members: &[
        Member::needed("site", "", What::Id),
        Member::needed("name", "", What::Name),
        Member::needed("kind", "", What::Choice(options::<StageKind>)),
        Member::needed("place", "in the train; 1 is the first after the source", What::Whole(&PLACE)),
        Member::maybe("most_flow_l_per_min", "a lamp has one", What::Figure(&FLOW_AT_TAP)),
        Member::maybe("drop_kpa", "pressure lost at that flow, clean", What::Figure(&PRESSURE)),
        Member::maybe("life_l", "litres that its medium may pass", What::Figure(&MEDIA_LITRES)),
        Member::maybe("life_months", "months it may serve", What::Figure(&MEDIA_MONTHS)),
        Member::maybe("fitted", "an entry that it was renewed counts from then", What::Date),
        Member::maybe("passed_l", "since it was fitted", What::Figure(&VOLUME)),
        Member::maybe("draws_w", "while water passes", What::Figure(&POWER)),
        Member::maybe("uv_class", "of a lamp, which has one (NSF/ANSI 55)", What::Choice(options::<UvClass>)),
        Member::maybe("lamp_hours", "by its counter; null: day and night since fitted", What::Figure(&LAMP_HOURS)),
        Member::maybe("lamp_life_hours", "null: 9,000", What::Figure(&LAMP_LIFE)),
        Member::maybe("ended", "no longer in use since", What::Moment),
    ],
};

const POINT: Object = Object {
    name: "CurvePoint",
    about: "at this flow, so much head",
    members: &[
        Member::needed("flow_l_per_min", "", What::Figure(&PUMP_FLOW)),
        Member::needed("head_m", "", What::Figure(&PUMP_HEAD)),
    ],
};

const PUMP: Object = Object {
    name: "Pump",
    about: "a pump with its pipes, switch and pressure tank; what is not known yet is null",
    members: &[
        Member::needed("site", "", What::Id),
        Member::needed("name", "", What::Name),
        Member::usual("curve", "none, or three points and more", What::List(&What::Object(&POINT), 50)),
        Member::maybe("power_w", "while it runs", What::Figure(&PUMP_POWER)),
        Member::maybe("npsh_m", "the suction head that it requires", What::Figure(&PUMP_HEAD)),
        Member::maybe("height_m", "as the heights of the vessels' floors are measured", What::Figure(&ELEVATION)),
        Member::maybe("lift_m", "the highest tap over the pump", What::Figure(&ELEVATION)),
        Member::maybe("tap_l_per_min", "what the open tap gives at 300 kPa", What::Figure(&FLOW_AT_TAP)),
        Member::maybe("pipe", "", What::Choice(options::<PipeKind>)),
        Member::maybe("suction_size", "", What::Choice(options::<PipeSize>)),
        Member::maybe("suction_run_m", "", What::Figure(&PIPE_RUN)),
        Member::maybe("suction_fittings", "bends, valves and tees", What::Whole(&FITTINGS)),
        Member::maybe("delivery_size", "", What::Choice(options::<PipeSize>)),
        Member::maybe("delivery_run_m", "", What::Figure(&PIPE_RUN)),
        Member::maybe("delivery_fittings", "bends, valves and tees", What::Whole(&FITTINGS)),
        Member::maybe("cut_in_kpa", "", What::Figure(&PRESSURE)),
        Member::maybe("cut_out_kpa", "above the cut-in", What::Figure(&CUT_OUT)),
        Member::maybe("precharge_kpa", "", What::Figure(&PRESSURE)),
        Member::maybe("tank_l", "the pressure tank's own volume", What::Figure(&PRESSURE_TANK)),
        Member::maybe("ended", "no longer in use since", What::Moment),
    ],
};

impl Noun for Stage {
    type Of = of::Stage;
    type Line = Line<Id<of::Stage>>;
    const LIST: &'static str = "/api/v1/stages";
    const ONE: &'static str = "/api/v1/stages/{id}";
    const NAMES: (&'static str, &'static str) = ("Stage", "Stages");
    const WORDS: (&'static str, &'static str) = ("stage of treatment", "stages of treatment");
    const BODY: &'static Object = &STAGE;
    const LINE: &'static Object = &LINE;
    const SEE: (Deed, Deed) = (Deed::SeeSite, Deed::SeeSite);

    fn all(set_up: &SetUp) -> &BTreeMap<Id<of::Stage>, Kept<Self>> {
        &set_up.stages
    }

    fn line(kept: &Kept<Self>) -> Self::Line {
        let Self { id, site, name, ended, .. } = &*kept.thing;
        Line { id: *id, site: *site, name: name.clone(), ended: *ended, revision: kept.revision }
    }

    fn thing(self) -> Thing {
        Thing::Stage(self)
    }

    fn site(&self) -> Option<SiteId> {
        Some(self.site)
    }
}

impl Noun for Pump {
    type Of = of::Pump;
    type Line = Line<Id<of::Pump>>;
    const LIST: &'static str = "/api/v1/pumps";
    const ONE: &'static str = "/api/v1/pumps/{id}";
    const NAMES: (&'static str, &'static str) = ("Pump", "Pumps");
    const WORDS: (&'static str, &'static str) = ("pump", "pumps");
    const BODY: &'static Object = &PUMP;
    const LINE: &'static Object = &LINE;
    const SEE: (Deed, Deed) = (Deed::SeeSite, Deed::SeeSite);

    fn all(set_up: &SetUp) -> &BTreeMap<Id<of::Pump>, Kept<Self>> {
        &set_up.pumps
    }

    fn line(kept: &Kept<Self>) -> Self::Line {
        let Self { id, site, name, ended, .. } = &*kept.thing;
        Line { id: *id, site: *site, name: name.clone(), ended: *ended, revision: kept.revision }
    }

    fn thing(self) -> Thing {
        Thing::Pump(self)
    }

    fn site(&self) -> Option<SiteId> {
        Some(self.site)
    }
}
