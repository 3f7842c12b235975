//! What stands over every page of the log: the thing as it is believed to be now.

use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::as_litres;

use crate::model::choice::Choice;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::picture::VesselPicture;
use crate::picture::source::SourcePicture;
use crate::web::draw::Drawing;
use crate::web::draw::vessel::alone;
use crate::web::pages::log::subject::Subject;
use crate::web::pages::log::subject::Thing;
use crate::web::pages::vessels;
use crate::web::reader::Reader;

pub(super) struct Head {
    pub drawing: Option<Drawing>,
    pub name: String,
    /// litres, where the thing holds any and somebody said how many
    pub litres: Option<f64>,
    pub lines: Vec<Message>,
}

impl Head {
    pub fn of(subject: &Subject, reader: &Reader) -> Self {
        let name = subject.name().to_owned();
        let (drawing, litres, lines) = match &subject.thing {
            Thing::Vessel(_, vessel) => {
                let drawing = vessels::drawn(vessel, subject.now, reader.say(&title(vessel, subject)).to_string());
                let held = vessel.is_known().then(|| as_litres(vessel.estimate(subject.now).volume));
                (Some(alone(&drawing, 108.0, 132.0)), held, about_vessel(vessel, subject))
            }
            Thing::Site(_) => (None, None, Vec::new()),
            Thing::Supply(supply) => (None, None, about_supply(supply)),
        };
        Self { drawing, name, litres, lines }
    }
}

fn title(vessel: &VesselPicture, subject: &Subject) -> Message {
    let name = Arg::text(vessel.vessel.name.as_str());
    if !vessel.is_known() {
        return Message::new("{name}, not read yet").with("name", name);
    }
    let held = as_litres(vessel.estimate(subject.now).volume);
    Message::new("{name}, {litres}").with("name", name).with("litres", Arg::Figure(held, Unit::Litre))
}

fn about_vessel(vessel: &VesselPicture, subject: &Subject) -> Vec<Message> {
    let mut lines = Vec::new();
    match vessel.state().last_reading {
        Some((at, _)) => lines.push(Message::new("Read {when}.").with("when", Arg::Moment(at))),
        None => lines.push(Message::new("Nobody has read it yet.")),
    }
    if vessel.is_known() {
        let room = vessel.body.capacity.full - vessel.estimate(subject.now).volume;
        let room = as_litres(room.max(Volume::default()));
        lines.push(Message::new("Room for {litres}.").with("litres", Arg::Figure(room, Unit::Litre)));
    }
    if let Some(grade) = vessels::worst(&vessel.parts(subject.now)) {
        lines.push(Message::new("Counted as {grade}.").with("grade", Arg::Word(grade.name())));
    }
    lines
}

/// How a supply runs and which notices are in force on it.
pub(super) fn about_supply(supply: &SourcePicture) -> Vec<Message> {
    let mut lines = vec![match supply.supply {
        Some((state, since)) => Message::new("{State} since {when}.")
            .with("state", Message::new(state.label()).into())
            .with("when", Arg::Moment(since)),
        None => Message::new("Nobody has said whether it runs."),
    }];
    for notice in &supply.notices {
        lines.push(
            Message::new("Notice in force: <b>{kind}</b>, since {when}, by word of {by}.")
                .with("kind", Message::new(notice.kind.label()).into())
                .with("when", Arg::Moment(notice.since))
                .with("by", Arg::text(&notice.by)),
        );
    }
    if supply.notices.is_empty() {
        lines.push(Message::new("No notice in force."));
    }
    lines
}
