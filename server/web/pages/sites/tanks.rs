//! A site's tanks: drawn to scale, and what each is counted as, and why.

use keepwell_engine::grade::Grade;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Volume;

use crate::model::id::VesselId;
use crate::picture::PartNow;
use crate::picture::VesselPicture;
use crate::service::reckon::SiteAnswer;
use crate::web::draw::Drawing;
use crate::web::draw::key::Swatch;
use crate::web::draw::key::key;
use crate::web::draw::vessel;
use crate::web::draw::vessel::Standing;
use crate::web::pages::vessels;
use crate::web::reader::Reader;
use crate::web::shown;
use crate::web::shown::grade::Why;
use crate::web::shown::grade::counted_as;
use crate::web::shown::grade::why;

pub struct Tanks {
    pub drawing: Drawing,
    pub key: Drawing,
    pub rows: Vec<Row>,
}

/// One vessel, or one lot of a set.
pub struct Row {
    pub vessel: VesselId,
    pub name: String,
    /// empty where nothing is told apart
    pub lot: String,
    pub counted_as: &'static str,
    pub facts: Vec<Why>,
    pub stands: Vec<Why>,
    pub due: Option<Moment>,
    pub overdue: bool,
    /// above the lowest outlet; none: nobody has said what is in it
    pub in_reach: Option<Volume>,
    /// no way of drawing is set up
    pub no_way: bool,
}

impl Tanks {
    #[must_use]
    pub fn of(reader: &Reader, answer: &SiteAnswer) -> Self {
        let here: Vec<&VesselPicture> = answer.site.vessels_at(answer.now).collect();
        let standing: Vec<Standing> = here.iter().map(|vessel| stands(reader, vessel, answer.now)).collect();
        let title = shown::words(reader, "The tanks of {site}, to one scale")
            .with("site", answer.site.site.name.as_str())
            .to_string();
        let figures = shown::service::figures(reader);
        Self {
            drawing: vessel::row(&standing, &vessels::rule(reader), &title, &figures),
            key: the_key(reader, &here, answer.now),
            rows: here.iter().flat_map(|vessel| rows(reader, vessel, answer.now)).collect(),
        }
    }
}

fn stands(reader: &Reader, vessel: &VesselPicture, now: Moment) -> Standing {
    let parts = vessel.parts(now);
    let grade = vessels::worst(&parts);
    let litres = if vessel.is_known() {
        shown::litres(reader, vessel.estimate(now).volume)
    } else {
        reader.word("not read yet").to_owned()
    };
    let as_of = vessel
        .state()
        .last_reading
        .map(|(at, _)| shown::words(reader, "read {when}").with("when", shown::date(reader, &at)).to_string());
    let counted = match grade {
        Some(Grade::Drink) => reader.word("drinking water counted"),
        grade => reader.word(counted_as(grade)),
    };
    Standing {
        vessel: shown::vessel::drawn(reader, vessel, now),
        name: vessel.vessel.name.to_string(),
        litres,
        lines: core::iter::once(counted.to_owned()).chain(as_of).collect(),
    }
}

fn rows(reader: &Reader, vessel: &VesselPicture, now: Moment) -> Vec<Row> {
    let parts = vessel.parts(now);
    let heel = vessel.body.lowest_heel();
    let row = |part: &PartNow| {
        let (stands, facts): (Vec<Why>, Vec<Why>) =
            part.graded.reasons.iter().map(|reason| why(reader, reason)).partition(|why| why.stands.is_some());
        let reach = heel.map(|heel| (part.estimate.volume - heel).max(Volume::default())).unwrap_or_default();
        Row {
            vessel: vessel.vessel.id,
            name: vessel.vessel.name.to_string(),
            lot: part.lot.clone(),
            counted_as: counted_as(part.graded.grade),
            facts,
            stands,
            due: part.graded.due,
            overdue: part.graded.causes.contains(&keepwell_engine::grade::Cause::Overdue),
            in_reach: vessel.is_known().then_some(reach),
            no_way: heel.is_none(),
        }
    };
    parts.iter().map(row).collect()
}

fn the_key(reader: &Reader, here: &[&VesselPicture], now: Moment) -> Drawing {
    let grades: Vec<Grade> =
        here.iter().flat_map(|vessel| vessel.parts(now)).filter_map(|part| part.graded.grade).collect();
    let drawn = |grade| Swatch::Grade(vessels::filling(Some(grade)));
    let entries = [
        (grades.contains(&Grade::Drink), drawn(Grade::Drink), "drinking water counted"),
        (grades.contains(&Grade::Treat), drawn(Grade::Treat), "treat first"),
        (grades.contains(&Grade::Utility), drawn(Grade::Utility), "washing only"),
        (grades.contains(&Grade::Hold), drawn(Grade::Hold), "on hold"),
        (!grades.is_empty(), Swatch::Band, "give or take"),
        (here.iter().any(|vessel| vessels::heel(vessel) > Volume::default()), Swatch::Heel, "below the outlet"),
    ];
    key(entries.into_iter().filter(|(used, ..)| *used).map(|(_, swatch, words)| (swatch, reader.word(words))))
}
