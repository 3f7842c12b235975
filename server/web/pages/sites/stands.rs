//! How a site's tanks stand: on their floors, and in an earthquake.

use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_kilonewtons;
use keepwell_engine::quantity::as_kilopascals;
use keepwell_engine::quantity::as_metres;

use crate::model::choice::Choice;
use crate::model::id::VesselId;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::picture::structure::Edition;
use crate::picture::structure::Quake;
use crate::picture::structure::Stands;
use crate::picture::structure::spills;
use crate::picture::structure::stands;
use crate::service::reckon::SiteAnswer;
use crate::web::error::Error;
use crate::web::reader::Reader;
use crate::web::reader::Units;
use crate::web::shown;
use crate::web::words::Phrase;

/// The panel of a site's tanks.
pub struct Structure {
    pub rows: Vec<Row>,
    /// of these the engine refuses a figure, and why
    pub unknown: Vec<String>,
    /// the own weight of one of them is not set up
    pub unweighed: bool,
    /// how hard the ground may shake is set up
    pub shakes: bool,
    pub edition: Edition,
    /// the other one, and where it is asked for
    pub other: (&'static str, String),
}

/// One tank.
pub struct Row {
    pub vessel: VesselId,
    pub name: String,
    pub load: Option<String>,
    /// on each square metre, or foot; or why there is none
    pub each: Phrase,
    /// what is usual on what it stands on
    pub allowed: Option<Phrase>,
    pub over: bool,
    pub quake: Option<Phrase>,
    pub moves: bool,
    pub wave: Option<Phrase>,
    pub spills: bool,
}

/// The edition that an address asks for.
///
/// # Errors
/// There is none of that name; the error names those there are.
pub fn edition(asked: Option<&str>) -> Result<Edition, Error> {
    let Some(asked) = asked.filter(|asked| !asked.is_empty()) else { return Ok(Edition::default()) };
    let known: Vec<&str> = Edition::LIST.iter().map(|row| row.1).collect();
    Edition::from_key(asked).ok_or_else(|| {
        let what = Message::new("There is no edition {edition}; there are {known}.");
        let what = what.with("edition", Arg::text(asked)).with("known", Arg::text(known.join(", ")));
        Error::invalid("edition", what)
    })
}

impl Structure {
    /// None for a site that has no tank.
    #[must_use]
    pub fn of(reader: &Reader, answer: &SiteAnswer, edition: Edition, ration: Option<&str>) -> Option<Self> {
        let settings = answer.picture.set_up.neighbourhood.as_ref().map(|kept| &*kept.thing);
        let (mut rows, mut unknown) = (Vec::new(), Vec::new());
        for vessel in answer.site.vessels_at(answer.now) {
            let name = vessel.vessel.name.to_string();
            match stands(vessel, settings, edition) {
                Ok(standing) => rows.push(row(reader, vessel.vessel.id, name, &standing)),
                Err(why) => unknown.push(format!("{name} ({why})")),
            }
        }
        let shakes = settings.is_some_and(|settings| settings.sds_g.is_some());
        let unweighed = answer.site.vessels_at(answer.now).any(|vessel| vessel.vessel.empty_kg.is_none());
        let other = Edition::LIST.iter().find(|row| row.0 != edition).map_or(edition, |row| row.0);
        let ration = ration.map_or_else(String::new, |ration| format!("&ration={ration}"));
        let address = format!("/sites/{}?edition={}{ration}#structure", answer.site.site.id, other.key());
        let other = (other.label(), address);
        (!rows.is_empty() || !unknown.is_empty()).then_some(Self { rows, unknown, unweighed, shakes, edition, other })
    }
}

fn row(reader: &Reader, vessel: VesselId, name: String, standing: &Stands) -> Row {
    let say = |key: &str| shown::words(reader, key);
    let figure = |value: f64, unit| shown::figure(reader, value, unit);
    let each = match (&standing.floor, reader.units) {
        (Ok(floor), Units::Metric) => say("{mass} per m²").with("mass", figure(floor.a_square_metre, Unit::Kilogram)),
        (Ok(floor), Units::Us) => say("{mass} per ft²").with("mass", figure(floor.a_square_foot, Unit::Kilogram)),
        (Err(why), _) => say(why),
    };
    let each = match standing.floor {
        Ok(_) if standing.at_least => {
            say("{each}, spread over all under it; more on legs or a cradle").with("each", each)
        }
        _ => each,
    };
    let allowed = standing.allowance.map(|allowance| {
        let key = if standing.is_over() {
            "More than the {allowed} usual for: {floor}. Ask a structural engineer."
        } else if standing.floor.is_err() || standing.at_least {
            "{allowed} are usual for: {floor}"
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
        Some(loose) => match &loose.tipping {
            Ok(tipping) => say("sliding {slides}, tipping {tips}")
                .with("slides", ratio(loose.sliding.value))
                .with("tips", ratio(tipping.value)),
            Err(why) => say("sliding {slides}; no figure for tipping: {why}")
                .with("slides", ratio(loose.sliding.value))
                .with("why", say(why)),
        },
    });
    let wave = standing.wave.as_ref().map(|wave| match wave {
        Ok((wave, freeboard)) => say("{wave}, with {freeboard} of freeboard")
            .with("wave", figure(as_metres(wave.value), Unit::Metre))
            .with("freeboard", figure(as_metres(*freeboard), Unit::Metre)),
        Err(why) => say("no figure: {why}").with("why", say(why)),
    });
    Row {
        vessel,
        name,
        load: standing.floor.as_ref().ok().map(|floor| figure(as_kilopascals(floor.pressure), Unit::Kilopascal)),
        each,
        allowed,
        over: standing.is_over(),
        moves: standing.quake.as_ref().is_some_and(Quake::moves),
        quake,
        spills: matches!(&standing.wave, Some(Ok((wave, freeboard))) if spills(wave.value, *freeboard)),
        wave,
    }
}
