//! `GET /vessels/{id}/working`: how the litres and what can be drawn of them are reckoned.

use askama::Template;
use axum::extract::State;
use axum::response::Response;
use keepwell_engine::level::Estimate;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::vessel::usable;
use keepwell_engine::working::Working;

use crate::model::id::VesselId;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::extract::Path;
use crate::web::filters;
use crate::web::form::WorkingView;
use crate::web::pages::vessels::residual::workings;
use crate::web::shown::working::view;
use crate::web::visitor::Visitor;

#[derive(Template)]
#[template(path = "vessels/working.html")]
struct WorkingPage {
    chrome: Chrome,
    id: VesselId,
    name: String,
    now: Moment,
    figures: Vec<Figured>,
    /// of its free chlorine, each under its heading
    residual: Vec<(&'static str, WorkingView)>,
}

/// One figure with what is behind it.
struct Figured {
    heading: &'static str,
    /// the lot, where the vessel is told apart by lots
    lot: String,
    litres: f64,
    low: f64,
    high: f64,
    working: WorkingView,
}

const WHOLE: &str = "In the whole bank, which shares one level";
const OWN: &str = "What is in it";

/// `GET /vessels/{id}/working`
pub(super) async fn show(
    State(house): State<House>,
    visitor: Visitor,
    Path(id): Path<VesselId>,
) -> Result<Response, Error> {
    let answer = house.app.vessel(&visitor.caller, id)?;
    let (vessel, now, reader) = (&answer.vessel, answer.now, &visitor.reader);
    let state = vessel.cluster().state();
    let joint = vessel.cluster().slot(id).and_then(|slot| state.joint_of(slot));
    let joint = joint.and_then(|joint| state.joints.get(joint)).and_then(|joint| joint.level.as_ref());
    let mut figures = Vec::new();
    let figured = |heading, lot: &str, estimate: Estimate, working: &Working| Figured {
        heading,
        lot: lot.to_owned(),
        litres: as_litres(estimate.volume),
        low: as_litres(estimate.low),
        high: as_litres(estimate.high),
        working: view(reader, working),
    };
    if let Some(explained) = vessel.explained().filter(|explained| explained.holds()) {
        let heading = if joint.is_some() { WHOLE } else { OWN };
        figures.push(figured(heading, "", explained.whole(now), &explained.working(now)));
    } else if let Some(level) = joint {
        figures.push(figured(WHOLE, "", level.at(now), &level.working(now)));
    } else {
        let parts = vessel.state().parts.iter();
        figures.extend(parts.map(|part| figured(OWN, &part.lot, part.level.at(now), &part.level.working(now))));
    }
    let estimate = vessel.estimate(now);
    let reckoned = |volume: Volume| usable(&vessel.body.shape, &vessel.body.fittings, volume).ok();
    if let Some((above, working)) = reckoned(estimate.volume) {
        let end = |volume| reckoned(volume).map_or(0.0, |(above, _)| as_litres(above));
        figures.push(Figured {
            heading: "What of it can be drawn by the lowest way",
            lot: String::new(),
            litres: as_litres(above),
            low: end(estimate.low),
            high: end(estimate.high),
            working: view(reader, &working),
        });
    }
    let name = vessel.vessel.name.to_string();
    page(
        reader,
        WorkingPage {
            chrome: visitor.chrome(Place::Sites),
            id,
            name,
            now,
            figures,
            residual: workings(reader, &answer),
        },
    )
}
