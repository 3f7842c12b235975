//! A vessel's water renewed, in one step: down to the outlet and filled again, or dosed and tested.

use axum::extract::State;
use axum::response::Response;
use keepwell_engine::quantity::FREE_CHLORINE;
use keepwell_engine::quantity::VOLUME;

use crate::model::entry::Act;
use crate::model::entry::discard::Discard;
use crate::model::entry::discard::HowFar;
use crate::model::entry::dose::Dose;
use crate::model::entry::draw::Draw;
use crate::model::entry::fill::Fill;
use crate::model::entry::fill::Measured;
use crate::model::entry::test::Test;
use crate::model::id::SourceId;
use crate::model::id::VesselId;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::name::Name;
use crate::model::vessel::RotateHow;
use crate::picture::VesselPicture;
use crate::service::authorise;
use crate::service::entries::New;
use crate::service::reckon::VesselAnswer;
use crate::web::House;
use crate::web::asking::Asking;
use crate::web::asking::ask;
use crate::web::error::Error;
use crate::web::extract::FormData;
use crate::web::extract::Pairs;
use crate::web::extract::Path;
use crate::web::form::Choice;
use crate::web::pages::upkeep::done::Deed;
use crate::web::visitor::Visitor;

/// A dose is tested half an hour after it (design: the grade).
const WAIT: jiff::SignedDuration = jiff::SignedDuration::from_mins(30);

pub(super) async fn open(
    State(house): State<House>,
    visitor: Visitor,
    Path(id): Path<VesselId>,
) -> Result<Response, Error> {
    let answer = found(&house, &visitor, id)?;
    let deed = deed(&house, &visitor, &answer);
    let mut asking = Asking::of(&visitor.reader, None);
    questions(&deed, &answer, &mut asking, None);
    // What the usual answers would do.
    let source = usual_source(&answer.vessel);
    let acts = match (answer.vessel.vessel.policy.how, source) {
        (RotateHow::Dosed, _) | (_, None) => [None, None],
        (how, Some(source)) => [Some(emptied(how)), Some(Act::Fill(filled(source, None)))],
    };
    let ids = [0, 1].map(|_| Some(crate::model::id::EntryId::fresh()));
    let usual = deed.entries(ids, house.app.instant(), acts);
    deed.show(asking, &usual)
}

pub(super) async fn log(
    State(house): State<House>,
    visitor: Visitor,
    Path(id): Path<VesselId>,
    typed: FormData,
) -> Result<Response, Error> {
    let answer = found(&house, &visitor, id)?;
    let deed = deed(&house, &visitor, &answer);
    let mut asking = Asking::of(&visitor.reader, Some(&typed));
    let (new, just_now) = questions(&deed, &answer, &mut asking, Some(&typed));
    deed.log(asking, new, just_now).await
}

fn found(house: &House, visitor: &Visitor, id: VesselId) -> Result<VesselAnswer, Error> {
    let answer = house.app.vessel(&visitor.caller, id)?;
    visitor.caller.may(authorise::Deed::Log, Some(answer.site.site.id))?;
    Ok(answer)
}

fn deed<'a>(house: &'a House, visitor: &'a Visitor, answer: &VesselAnswer) -> Deed<'a> {
    let vessel = &answer.vessel;
    let dosed = vessel.vessel.policy.how == RotateHow::Dosed;
    let due = vessel.parts(answer.now).iter().filter_map(|part| part.graded.due).min();
    let mut facts: Vec<Message> =
        due.map(|due| Message::new("Its date is {date}.").with("date", Arg::Day(due))).into_iter().collect();
    facts.push(Message::new(match vessel.vessel.policy.how {
        RotateHow::UsedThroughHouse => "Draw it down to the outlet through the house, then fill it to the top.",
        RotateHow::PouredAway => "Pour it away down to the outlet, then fill it to the top.",
        RotateHow::Dosed => "Dose it, stir, wait 30 minutes, then test.",
    }));
    let mut cautions = Vec::new();
    if crate::web::pages::today::supplies(&visitor.reader, &answer.picture).0 && !dosed {
        cautions.push((
            "The mains are off.",
            "Pour nothing away now: it cannot be filled again until they are back and cleared.",
        ));
    }
    cautions.push(if dosed {
        ("Chlorine alone.", "Never with acid or ammonia. Open doors and windows. Plain, unscented bleach only.")
    } else {
        (
            "No hose below the water.",
            "Leave an air gap between hose and water, or use the backflow preventer a licensed plumber put in. Keep the vent open. Never enter a tank.",
        )
    });
    Deed {
        house,
        visitor,
        site: (answer.site.site.id, answer.site.site.name.to_string()),
        vessel: Some(vessel.vessel.id),
        name: vessel.vessel.name.to_string(),
        question: if dosed { "What did the test show?" } else { "Emptied and filled: what went in?" },
        facts,
        cautions,
        action: format!("/upkeep/rotation/{}", vessel.vessel.id),
    }
}

/// What is asked, and the entries that the answers stand for.
fn questions(deed: &Deed, answer: &VesselAnswer, asking: &mut Asking, typed: Option<&Pairs>) -> (Vec<New>, bool) {
    let vessel = &answer.vessel;
    let how = vessel.vessel.policy.how;
    if how == RotateHow::Dosed {
        let free = ask("free_mg_l", "Free chlorine").hint("30 minutes or more after the dose");
        let free = asking.figure(free, &FREE_CHLORINE, None);
        let (ids, at, just_now) = deed.begin(asking, typed);
        let acts = [Some(Act::Dose(dosed())), free.map(|free| Act::Test(tested(free)))];
        let mut new = deed.entries(ids, at, acts);
        if let Some(dose) = new.first_mut() {
            dose.at = dose.at.checked_sub(WAIT).unwrap_or(dose.at);
        }
        return (if free.is_some() { new } else { Vec::new() }, just_now);
    }
    let litres = ask("litres", "How much went in").hint("Leave it empty if it was filled to the top.").optional();
    let litres = asking.figure(litres, &VOLUME, None);
    let usual = usual_source(vessel).map(|source| source.to_string());
    let source = asking.pick(ask("source", "From"), sources(answer), usual);
    let source = source.and_then(|source| source.parse().ok());
    let (ids, at, just_now) = deed.begin(asking, typed);
    let acts = [Some(emptied(how)), source.map(|source| Act::Fill(filled(source, litres)))];
    (if source.is_some() { deed.entries(ids, at, acts) } else { Vec::new() }, just_now)
}

fn emptied(how: RotateHow) -> Act {
    match how {
        RotateHow::PouredAway => {
            Act::Discard(Discard { how_far: HowFar::ToOutlet, litres: None, lot: None, note: None })
        }
        RotateHow::UsedThroughHouse | RotateHow::Dosed => {
            Act::Draw(Draw { litres: None, to_outlet: true, measured: None, lot: None, note: None })
        }
    }
}

fn filled(source: SourceId, litres: Option<f64>) -> Fill {
    Fill {
        litres,
        to_top: litres.is_none(),
        measured: litres.map(|_| Measured::default()),
        source,
        boiled: false,
        printed: None,
        lot: None,
        note: None,
    }
}

const fn dosed() -> Dose {
    Dose { amount_l: None, strength: None, percent_of: None, shock: false, note: None }
}

const fn tested(free: f64) -> Test {
    Test {
        free_mg_l: Some(free),
        total_mg_l: None,
        turbidity_ntu: None,
        ph: None,
        temperature_c: None,
        coliform: None,
        lot: None,
        note: None,
    }
}

/// What a vessel is taken to be filled from where no entry says so.
fn usual_source(vessel: &VesselPicture) -> Option<SourceId> {
    let member = vessel.cluster().members().iter().find(|member| member.vessel.id == vessel.vessel.id);
    member.and_then(|member| member.usual)
}

/// The neighbourhood's supplies, the site's own first.
fn sources(answer: &VesselAnswer) -> Vec<Choice> {
    let mut all: Vec<(bool, &Name, SourceId)> = answer
        .picture
        .set_up
        .sources
        .values()
        .map(|kept| (!answer.site.site.sources.contains(&kept.thing.id), &kept.thing.name, kept.thing.id))
        .collect();
    all.sort();
    let choice = |(_, name, id): (bool, &Name, SourceId)| Choice {
        value: id.to_string(),
        label: name.to_string(),
        hint: String::new(),
    };
    all.into_iter().map(choice).collect()
}
