//! How a site's tanks stand: on their floors, and in an earthquake.

use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_kilonewtons;
use keepwell_engine::quantity::as_kilopascals;
use keepwell_engine::quantity::as_metres;

use crate::model::id::VesselId;
use crate::picture::structure::EDITION;
use crate::picture::structure::Quake;
use crate::picture::structure::Stands;
use crate::picture::structure::spills;
use crate::picture::structure::stands;
use crate::service::reckon::SiteAnswer;
use crate::web::reader::Reader;
use crate::web::reader::Units;
use crate::web::shown;
use crate::web::words::Phrase;

/// The panel of a site's tanks.
pub struct Structure {
    pub rows: Vec<Row>,
    /// of these no figure can be given: legs, cradles, shelves
    pub unknown: Vec<String>,
    /// how hard the ground may shake is set up
    pub shakes: bool,
    pub edition: &'static str,
}

/// One tank.
pub struct Row {
    pub vessel: VesselId,
    pub name: String,
    pub load: String,
    /// on each square metre, or foot
    pub each: Phrase,
    /// what is usual on what it stands on
    pub allowed: Option<Phrase>,
    pub over: bool,
    pub quake: Option<Phrase>,
    pub moves: bool,
    pub wave: Option<Phrase>,
    pub spills: bool,
}

impl Structure {
    /// None for a site that has no tank.
    #[must_use]
    pub fn of(reader: &Reader, answer: &SiteAnswer) -> Option<Self> {
        let settings = answer.picture.set_up.neighbourhood.as_ref().map(|kept| &*kept.thing);
        let (mut rows, mut unknown) = (Vec::new(), Vec::new());
        for vessel in answer.site.vessels_at(answer.now) {
            let name = vessel.vessel.name.to_string();
            match stands(vessel, settings) {
                Ok(Some(standing)) => rows.push(row(reader, vessel.vessel.id, name, &standing)),
                Ok(None) => unknown.push(name),
                Err(why) => unknown.push(format!("{name} ({why})")),
            }
        }
        let shakes = settings.is_some_and(|settings| settings.sds_g.is_some());
        (!rows.is_empty() || !unknown.is_empty()).then_some(Self { rows, unknown, shakes, edition: EDITION })
    }
}

fn row(reader: &Reader, vessel: VesselId, name: String, standing: &Stands) -> Row {
    let say = |key: &str| shown::words(reader, key);
    let figure = |value: f64, unit| shown::figure(reader, value, unit);
    let floor = &standing.floor;
    let each = match reader.units {
        Units::Metric => say("{mass} per m²").with("mass", figure(floor.a_square_metre, Unit::Kilogram)),
        Units::Us => say("{mass} per ft²").with("mass", figure(floor.a_square_foot, Unit::Kilogram)),
    };
    let allowed = standing.allowance.map(|allowance| {
        let key = if standing.is_over() {
            "More than the {allowed} usual for: {floor}. Ask a structural engineer."
        } else {
            "under the {allowed} usual for: {floor}"
        };
        say(key)
            .with("allowed", figure(as_kilopascals(allowance.pressure()), Unit::Kilopascal))
            .with("floor", say(allowance.name()))
    });
    let ratio = |value: f64| reader.number(value, 1, 1);
    let quake = standing.quake.as_ref().map(|quake| match &quake.loose {
        None => say("anchored: its straps have to hold {force}")
            .with("force", figure(as_kilonewtons(quake.force.value), Unit::Kilonewton)),
        Some((sliding, tipping)) => say("sliding {slides}, tipping {tips}")
            .with("slides", ratio(sliding.value))
            .with("tips", ratio(tipping.value)),
    });
    let wave = standing.wave.as_ref().map(|(wave, freeboard)| {
        say("{wave}, with {freeboard} of freeboard")
            .with("wave", figure(as_metres(wave.value), Unit::Metre))
            .with("freeboard", figure(as_metres(*freeboard), Unit::Metre))
    });
    Row {
        vessel,
        name,
        load: figure(as_kilopascals(floor.pressure), Unit::Kilopascal),
        each,
        allowed,
        over: standing.is_over(),
        moves: standing.quake.as_ref().is_some_and(Quake::moves),
        quake,
        spills: standing.wave.as_ref().is_some_and(|(wave, freeboard)| spills(wave.value, *freeboard)),
        wave,
    }
}
