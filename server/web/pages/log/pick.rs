//! The first choice of a form that is filled in with one thumb: how much, in a few large answers, each with the fields
//! that it alone needs.

use keepwell_engine::quantity::CONTAINERS_FULL;
use keepwell_engine::quantity::DEPTH;
use keepwell_engine::quantity::FRACTION;
use keepwell_engine::quantity::METER;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::VOLUME;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::as_litres;

use crate::model::choice::Choice as _;
use crate::model::entry::Kind;
use crate::model::entry::fill::Measured;
use crate::model::entry::reading::From;
use crate::model::entry::reading::Method;
use crate::picture::VesselPicture;
use crate::web::form::Control;
use crate::web::form::Field;
use crate::web::pages::log::form::choice;
use crate::web::pages::log::form::label;
use crate::web::pages::log::form::number;
use crate::web::pages::log::subject::Subject;
use crate::web::pages::vessels;
use crate::web::reader::Reader;

/// The name that the choice is sent under.
pub(super) const HOW: &str = "how";

/// One large answer.
pub(super) struct Pick {
    pub value: &'static str,
    pub label: String,
    pub hint: String,
    /// on its right: a figure, or the unit of what is asked next
    pub figure: String,
    pub fields: Vec<Field>,
    pub taken: bool,
}

impl Pick {
    fn new(reader: &Reader, value: &'static str, label: &str, hint: &str) -> Self {
        let word = |words: &str| reader.language.catalogue().phrase(words).to_string();
        let (label, hint) = (word(label), if hint.is_empty() { String::new() } else { word(hint) });
        Self { value, label, hint, figure: String::new(), fields: Vec::new(), taken: false }
    }

    fn figure(mut self, figure: impl ToString) -> Self {
        self.figure = figure.to_string();
        self
    }

    fn with(mut self, field: Field) -> Self {
        if let (true, Control::Number { unit }) = (self.figure.is_empty(), &field.control) {
            self.figure.clone_from(unit);
        }
        self.fields.push(field);
        self
    }

    /// Whether a field of the kind is asked for here.
    pub fn holds(&self, key: &str) -> bool {
        self.fields.iter().any(|field| of(&field.name) == key)
    }
}

/// The kind's own key of a field that more than one answer asks for: `method.eye` is `method`.
pub(super) fn of(name: &str) -> &str {
    name.split_once('.').map_or(name, |(key, _)| key)
}

/// A kind's answers; none for kinds that begin with fields.
pub(super) fn picks(kind: Kind, subject: &Subject, reader: &Reader) -> Vec<Pick> {
    let Some(vessel) = subject.as_vessel() else { return Vec::new() };
    let mut picks = match kind {
        Kind::Reading => reading(vessel, subject, reader),
        Kind::Fill => fill(vessel, subject, reader),
        Kind::Draw => draw(vessel, subject, reader),
        Kind::Discard => discard(reader),
        _ => Vec::new(),
    };
    if let Some(first) = picks.first_mut() {
        first.taken = true;
    }
    picks
}

fn litres(reader: &Reader, volume: Volume) -> String {
    reader.figure(as_litres(volume), Unit::Litre).map(|shown| shown.to_string()).unwrap_or_default()
}

fn has_depth(vessel: &VesselPicture) -> bool {
    vessel.body.shape.height().is_some()
}

fn reading(vessel: &VesselPicture, subject: &Subject, reader: &Reader) -> Vec<Pick> {
    let figure = |key: &str, words: &str, measure| Field::new(key, &label(reader, words), number(measure, reader));
    let seen = |name: &str, methods: &[Method]| {
        let list = methods.iter().map(|method| choice(reader, method.key(), method.label())).collect();
        let first = methods.first().map_or("", |method| method.key());
        Field::new(name, &label(reader, "how it was read"), Control::Select(list)).value(first)
    };
    let mut picks = Vec::new();
    if has_depth(vessel) {
        picks.push(
            Pick::new(reader, "depth", "By depth", "dipstick, tape, sight tube")
                .with(figure("depth_m", "depth", &DEPTH).hint(&word(reader, "to the millimetre if you can")))
                .with(measured_from("from", reader))
                .with(seen("method.depth", &[Method::Dipstick, Method::SightGlass, Method::Eye, Method::Sensor])),
        );
    }
    if subject.is_set() {
        picks.push(Pick::new(reader, "full", "Counted", "the full ones").with(figure(
            "full",
            "full containers",
            &CONTAINERS_FULL,
        )));
    }
    picks.push(
        Pick::new(reader, "part", "By part", "of the whole, by eye")
            .with(figure("part", "part of full", &FRACTION).hint(&word(reader, "a quarter is 25, or 1/4")))
            .with(seen("method.part", &[Method::Eye, Method::SightGlass, Method::Sensor])),
    );
    picks.push(
        Pick::new(reader, "litres", "By volume", "as a scale or a gauge shows it")
            .with(figure("litres", "volume", &VOLUME))
            .with(seen("method.litres", &[Method::SightGlass, Method::Sensor, Method::Eye])),
    );
    picks.push(Pick::new(reader, "meter", "A meter", "at its outlet, the whole count").with(figure(
        "meter_l",
        "meter reading",
        &METER,
    )));
    picks
}

fn word(reader: &Reader, words: &str) -> String {
    reader.language.catalogue().phrase(words).to_string()
}

fn measured_from(name: &str, reader: &Reader) -> Field {
    let list = From::LIST.iter().map(|row| choice(reader, row.1, row.2)).collect();
    Field::new(name, &label(reader, "measured"), Control::Radios(list)).value(From::Floor.key())
}

fn amount(reader: &Reader) -> [Field; 2] {
    let list = Measured::LIST.iter().map(|row| choice(reader, row.1, row.2)).collect();
    [
        Field::new("litres", &label(reader, "amount"), number(&VOLUME, reader)),
        Field::new("measured", &label(reader, "how the amount is known"), Control::Radios(list))
            .value(Measured::Bucket.key()),
    ]
}

fn fill(vessel: &VesselPicture, subject: &Subject, reader: &Reader) -> Vec<Pick> {
    let room = vessel.body.capacity.full - vessel.estimate(subject.now).volume;
    let top = Pick::new(reader, "top", "To the top", "");
    let top = if vessel.is_known() { top.figure(litres(reader, room.max(Volume::default()))) } else { top };
    let mut picks = vec![top];
    if has_depth(vessel) {
        picks.push(
            Pick::new(reader, "mark", "To a mark", "I will read it off")
                .with(Field::new("mark", &label(reader, "depth now"), number(&DEPTH, reader)))
                .with(measured_from("mark_from", reader)),
        );
    }
    let [litres, measured] = amount(reader);
    picks.push(Pick::new(reader, "amount", "An amount", "meter or containers").with(litres).with(measured));
    picks.push(Pick::new(reader, "unknown", "I do not know", "someone reads it later"));
    picks
}

fn draw(vessel: &VesselPicture, subject: &Subject, reader: &Reader) -> Vec<Pick> {
    let [amount, measured] = amount(reader);
    let above = vessel.estimate(subject.now).volume - vessels::heel(vessel);
    let outlet = Pick::new(reader, "outlet", "Down to the outlet", "until nothing more came");
    let outlet = if vessel.is_known() { outlet.figure(litres(reader, above.max(Volume::default()))) } else { outlet };
    vec![
        Pick::new(reader, "amount", "An amount", "meter or containers").with(amount).with(measured),
        outlet,
        Pick::new(reader, "unknown", "I do not know", "someone reads it later"),
    ]
}

fn discard(reader: &Reader) -> Vec<Pick> {
    let [amount, _] = amount(reader);
    vec![
        Pick::new(reader, "to_outlet", "Down to the outlet", "the heel is still there"),
        Pick::new(reader, "drained", "All of it", "the heel too"),
        Pick::new(reader, "some", "An amount", "").with(amount),
    ]
}
