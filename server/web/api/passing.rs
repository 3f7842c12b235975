//! What is reckoned between a site's vessels and its taps, and of how its tanks stand: parts of a site's standing.

use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_kilonewtons;
use keepwell_engine::quantity::as_kilopascals;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::as_litres_per_minute;
use keepwell_engine::quantity::as_metres;
use keepwell_engine::quantity::as_watts;
use keepwell_engine::treatment::Germ;
use serde::Serialize;

use crate::model::id::PumpId;
use crate::model::id::StageId;
use crate::model::id::VesselId;
use crate::picture::structure::Edition;
use crate::picture::structure::stands;
use crate::picture::works::Found;
use crate::picture::works::PumpNow;
use crate::picture::works::TrainNow;
use crate::service::reckon::SiteAnswer;
use crate::web::api::shape::MANY;
use crate::web::api::shape::Member;
use crate::web::api::shape::Object;
use crate::web::api::shape::What;
use crate::web::error::Error;

fn germs() -> Vec<(&'static str, &'static str)> {
    Germ::ALL.iter().map(|germ| (germ.key(), germ.key())).collect()
}

pub const TAP: Object = Object {
    name: "TapNow",
    about: "what a site's pump brings to an open tap; null where figures are wanted first",
    members: &[
        Member::needed("pump", "", What::Id),
        Member::needed(
            "wants",
            "what has to be set up, or why it cannot be reckoned",
            What::List(&What::Text(400), 50),
        ),
        Member::maybe("flow_l_per_min", "", What::Number),
        Member::maybe("pressure_kpa", "", What::Number),
        Member::maybe("power_w", "", What::Number),
        Member::maybe("kwh_per_1000_l", "", What::Number),
        Member::maybe("npsh_m", "suction head available", What::Number),
        Member::maybe("over_cut_out_kpa", "with the taps shut; below 0 the switch never opens", What::Number),
        Member::maybe("starts_per_hour", "at most", What::Number),
    ],
};

const STAGE: Object = Object {
    name: "StageNow",
    about: "what a stage may still pass",
    members: &[
        Member::needed("stage", "", What::Id),
        Member::maybe("litres_left", "null: without end", What::Number),
        Member::maybe("days_left", "below 0 it is past them; null: without end", What::Number),
    ],
};

pub const TREATMENT: Object = Object {
    name: "TreatmentNow",
    about: "a site's train of treatment. The authority's word stands over it",
    members: &[
        Member::needed("counts", "whether what passes it is counted as drinking water", What::Flag),
        Member::maybe("treatable_l", "before something is spent; null: without end", What::Number),
        Member::needed("flow_l_per_min", "that it was reckoned at", What::Number),
        Member::needed("needs_power", "", What::Flag),
        Member::needed("lets_pass", "germs that no stage of it is a barrier to", What::List(&What::Choice(germs), 10)),
        Member::needed("faults", "in words", What::List(&What::Text(400), 200)),
        Member::needed("stages", "source first", What::List(&What::Object(&STAGE), MANY)),
    ],
};

pub const STANDS: Object = Object {
    name: "StandsNow",
    about: "how a full tank stands: screening only, for a structural engineer to judge",
    members: &[
        Member::needed("vessel", "", What::Id),
        Member::maybe("floor_kpa", "spread over all that lies under it", What::Number),
        Member::maybe("floor_kg_per_m2", "", What::Number),
        Member::needed("over_allowance", "more than is usual on what it stands on", What::Flag),
        Member::maybe("held_kn", "of an anchored one: what its anchors have to hold", What::Number),
        Member::maybe("sliding", "over 1 it slides", What::Number),
        Member::maybe("tipping", "over 1 it tips", What::Number),
        Member::maybe("wave_m", "", What::Number),
        Member::maybe("freeboard_m", "", What::Number),
        Member::needed("weighed", "its own weight is set up, and counted", What::Flag),
        Member::needed("unsaid", "of which there is no figure, and why", What::List(&What::Text(400), 10)),
    ],
};

#[derive(Debug, Serialize)]
pub struct Tap {
    pump: PumpId,
    wants: Vec<String>,
    flow_l_per_min: Option<f64>,
    pressure_kpa: Option<f64>,
    power_w: Option<f64>,
    kwh_per_1000_l: Option<f64>,
    npsh_m: Option<f64>,
    over_cut_out_kpa: Option<f64>,
    starts_per_hour: Option<f64>,
}

impl Tap {
    pub fn of(pump: &PumpNow) -> Self {
        let known = pump.known();
        let tap = known.map(|known| &known.tap);
        let starts = known.and_then(|known| known.switch.as_ref()?.starts.as_ref()).map(|starts| starts.value);
        Self {
            pump: pump.pump.id,
            wants: match &pump.found {
                Found::Known(_) => Vec::new(),
                Found::Wants(wants) => wants.iter().map(|wanted| (*wanted).to_owned()).collect(),
                Found::NoVessel => vec!["a vessel that is drawn by pump, its level read".to_owned()],
                Found::Refused(why) => vec![why.to_string()],
            },
            flow_l_per_min: tap.map(|tap| as_litres_per_minute(tap.flow)),
            pressure_kpa: tap.map(|tap| as_kilopascals(tap.pressure)),
            power_w: tap.map(|tap| as_watts(tap.power)),
            kwh_per_1000_l: tap.map(|tap| tap.energy),
            npsh_m: tap.map(|tap| as_metres(tap.npsh)),
            over_cut_out_kpa: known.and_then(|known| known.margin.as_ref()).map(|margin| as_kilopascals(margin.value)),
            starts_per_hour: starts,
        }
    }
}

#[derive(Debug, Serialize)]
struct Stage {
    stage: StageId,
    litres_left: Option<f64>,
    days_left: Option<f64>,
}

#[derive(Debug, Serialize)]
pub struct Treatment {
    counts: bool,
    treatable_l: Option<f64>,
    flow_l_per_min: f64,
    needs_power: bool,
    lets_pass: Vec<&'static str>,
    faults: Vec<&'static str>,
    stages: Vec<Stage>,
}

impl Treatment {
    pub fn of(train: &TrainNow) -> Self {
        let stage = |now: &crate::picture::works::StageNow| Stage {
            stage: now.stage.id,
            litres_left: now.litres_left.map(as_litres),
            days_left: now.time_left.map(as_days),
        };
        Self {
            counts: train.counts(),
            treatable_l: train.treatable.map(as_litres),
            flow_l_per_min: as_litres_per_minute(train.flow),
            needs_power: train.needs_power,
            lets_pass: train.lets_pass.iter().map(|germ| germ.key()).collect(),
            faults: train.passed.faults.iter().map(|fault| fault.words()).collect(),
            stages: train.stages.iter().map(stage).collect(),
        }
    }
}

#[derive(Debug, Serialize)]
pub struct Stand {
    vessel: VesselId,
    floor_kpa: Option<f64>,
    floor_kg_per_m2: Option<f64>,
    over_allowance: bool,
    held_kn: Option<f64>,
    sliding: Option<f64>,
    tipping: Option<f64>,
    wave_m: Option<f64>,
    freeboard_m: Option<f64>,
    weighed: bool,
    unsaid: Vec<String>,
}

impl Stand {
    /// Those of a site's tanks of which something can be said.
    ///
    /// # Errors
    /// A figure of the set-up that the engine does not take.
    pub fn all(answer: &SiteAnswer) -> Result<Vec<Self>, Error> {
        let settings = answer.picture.set_up.neighbourhood.as_ref().map(|kept| &*kept.thing);
        let mut all = Vec::new();
        for vessel in answer.site.vessels_at(answer.now) {
            let standing = stands(vessel, settings, Edition::default()).map_err(Error::internal)?;
            let floor = standing.floor.as_ref().ok();
            let wave = standing.wave.as_ref().and_then(|wave| wave.as_ref().ok());
            let unsaid = standing.unsaid().into_iter().map(|(what, why)| format!("{what}: {why}"));
            let quake = standing.quake.as_ref();
            let held = quake.filter(|quake| quake.loose.is_none()).map(|quake| as_kilonewtons(quake.force.value));
            let loose = quake.and_then(|quake| quake.loose.as_ref());
            all.push(Self {
                vessel: vessel.vessel.id,
                floor_kpa: floor.map(|floor| as_kilopascals(floor.pressure)),
                floor_kg_per_m2: floor.map(|floor| floor.a_square_metre),
                over_allowance: standing.is_over(),
                held_kn: held,
                sliding: loose.map(|loose| loose.sliding.value),
                tipping: loose.and_then(|loose| loose.tipping.as_ref().ok()).map(|tipping| tipping.value),
                wave_m: wave.map(|(wave, _)| as_metres(wave.value)),
                freeboard_m: wave.map(|(_, freeboard)| as_metres(*freeboard)),
                weighed: standing.weighed,
                unsaid: unsaid.collect(),
            });
        }
        Ok(all)
    }
}
