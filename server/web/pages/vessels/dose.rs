//! `GET /vessels/{id}/dose`: how much bleach to add to what is in it now, filled in from what is known of it. The
//! question is in the address; nothing is stored.

use askama::Template;
use axum::extract::State;
use axum::response::Response;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_litres;

use crate::model::id::VesselId;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::picture::VesselPicture;
use crate::picture::residual::last_test;
use crate::service::authorise::Deed;
use crate::web::House;
use crate::web::asking::Asking;
use crate::web::asking::Sheet;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::extract::Path;
use crate::web::extract::Question;
use crate::web::filters;
use crate::web::pages::dosing;
use crate::web::pages::dosing::Answer;
use crate::web::visitor::Visitor;

#[derive(Template)]
#[template(path = "vessels/dose.html")]
struct Page {
    chrome: Chrome,
    id: VesselId,
    name: String,
    sheet: Sheet,
    answer: Option<Answer>,
    may_log: bool,
    coupled: bool,
    /// what was filled in, and how old it is
    facts: Vec<Message>,
}

/// `GET /vessels/{id}/dose`
pub(super) async fn show(
    State(house): State<House>,
    visitor: Visitor,
    Path(id): Path<VesselId>,
    Question(asked): Question,
) -> Result<Response, Error> {
    let answer = house.app.vessel(&visitor.caller, id)?;
    let vessel = &answer.vessel;
    let sent = (!asked.0.is_empty()).then_some(&asked);
    let mut asking = Asking::of(&visitor.reader, sent);
    let dose = dosing::questions(&mut asking, &known(vessel, answer.now));
    let template = Page {
        chrome: visitor.chrome(Place::Sites),
        id,
        name: vessel.vessel.name.to_string(),
        sheet: asking.finish(Vec::new()),
        answer: dose,
        may_log: visitor.caller.can(Deed::Log, Some(answer.site.site.id)),
        coupled: vessel.is_coupled(),
        facts: facts(vessel, answer.now),
    };
    page(&visitor.reader, template)
}

fn facts(vessel: &VesselPicture, now: Moment) -> Vec<Message> {
    let mut facts = Vec::new();
    if vessel.is_known() {
        let held = vessel.estimate(now);
        facts.push(
            Message::new("It holds {litres}, give or take {error}.")
                .with("litres", Arg::Figure(as_litres(held.volume), Unit::Litre))
                .with("error", Arg::Figure(as_litres(held.high - held.low) / 2.0, Unit::Litre)),
        );
    }
    facts.push(match last_test(vessel, now).and_then(|(at, test)| Some((at, test.free_mg_l?))) {
        Some((at, free)) => Message::new("Free chlorine was {free} on {date}. Test it again before you dose it.")
            .with("free", Arg::Figure(free, Unit::MilligramPerLitre))
            .with("date", Arg::Day(at)),
        None => Message::new("Nobody has tested this water yet. Test it before you dose it."),
    });
    if vessel.state().doses_untested > 0 {
        facts.push(Message::new("It was dosed and not tested since: test before you dose it again."));
    }
    facts
}

fn known(vessel: &VesselPicture, now: Moment) -> dosing::Known {
    let test = last_test(vessel, now).map(|(_, test)| test);
    let part = vessel.state().parts.first();
    let inside = part.and_then(|part| part.water.contents(now));
    dosing::Known {
        litres: vessel.is_known().then(|| as_litres(vessel.estimate(now).volume)),
        present: test.and_then(|test| test.free_mg_l),
        turbidity: test.and_then(|test| test.turbidity_ntu),
        target: None,
        chloramine: inside.is_some_and(|inside| inside.chloramine),
        dosed_untested: vessel.state().doses_untested > 0,
    }
}
