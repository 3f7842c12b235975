//! What was typed into a form, as the entries it stands for; or each thing wrong with it, by field.

use jiff::Timestamp;
use keepwell_engine::quantity::CONTAINERS_FULL;
use keepwell_engine::quantity::DEPTH;
use keepwell_engine::quantity::FRACTION;
use keepwell_engine::quantity::METER;
use keepwell_engine::quantity::Measure;
use keepwell_engine::quantity::VOLUME;
use serde_json::Value;

use crate::model::entry::Act;
use crate::model::entry::Kind;
use crate::model::entry::fields;
use crate::model::entry::fields::Values;
use crate::model::entry::fields::What;
use crate::model::id::EntryId;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::service::entries::New;
use crate::web::error::Fault;
use crate::web::extract::Pairs;
use crate::web::input::parse_date;
use crate::web::input::parse_measure;
use crate::web::input::parse_when;
use crate::web::pages::log::form::asked;
use crate::web::pages::log::form::small_unit;
use crate::web::pages::log::pick::HOW;
use crate::web::pages::log::pick::of;
use crate::web::pages::log::subject::Subject;
use crate::web::reader::Reader;

/// The entries of a form.
pub(super) struct Typed {
    /// one; for a fill to a mark, the fill and the reading after it
    pub new: Vec<New>,
    /// it happened when it was sent, so that the same form sent again is the same though the clock has moved on
    pub just_now: bool,
}

/// What is collected on the way.
struct Reading<'a> {
    typed: &'a Pairs,
    reader: &'a Reader,
    faults: Vec<Fault>,
}

/// # Errors
/// Everything that does not hold.
pub(super) fn read(
    kind: Kind,
    subject: &Subject,
    typed: &Pairs,
    reader: &Reader,
    instant: Timestamp,
) -> Result<Typed, Vec<Fault>> {
    let mut reading = Reading { typed, reader, faults: Vec::new() };
    let mut values = Values::new();
    reading.picked(kind, &mut values);
    if !reading.faults.is_empty() && typed.get(HOW).is_none() {
        return Err(reading.faults);
    }
    for spec in kind.fields() {
        if asked(kind, spec, subject) && !values.contains_key(spec.key) && !chosen_away(kind, typed, spec.key) {
            reading.one(spec, spec.key, &mut values);
        }
    }
    if let Some(supply) = subject.as_supply() {
        values.insert("source".to_owned(), supply.source.id.to_string().into());
    }
    let (at, just_now) = reading.when(instant);
    let id = reading.id("id");
    let mark = (kind == Kind::Fill && typed.get(HOW) == Some("mark")).then(|| reading.mark());
    if let Err(problems) = fields::check(kind.fields(), &values) {
        reading.problems(problems, None);
    }
    if let Some((values, _)) = &mark
        && let Err(problems) = fields::check(Kind::Reading.fields(), values)
    {
        reading.problems(problems, Some("mark"));
    }
    let mut acts = Vec::new();
    if reading.faults.is_empty() {
        let then = mark.and_then(|(values, id)| id.map(|id| (Kind::Reading, values, Some(id))));
        for (kind, values, id) in [(kind, values, id)].into_iter().chain(then) {
            match Act::parse(kind, values) {
                Ok(act) => acts.extend(id.map(|id| (id, act))),
                Err(problems) => reading.problems(problems, None),
            }
        }
    }
    let (Some(at), true) = (at, reading.faults.is_empty()) else { return Err(reading.faults) };
    let site = subject.as_site().map(|site| site.site.id);
    let vessel = subject.as_vessel().map(|vessel| vessel.vessel.id);
    // What follows happened a hair later, so that it counts later.
    let later = |number: i64| at.checked_add(jiff::SignedDuration::from_micros(number)).unwrap_or(at);
    let new = acts.into_iter().zip(0..).map(|((id, act), number)| New { id, site, vessel, at: later(number), act });
    Ok(Typed { new: new.collect(), just_now })
}

/// A field that belongs to an answer which was not chosen counts as empty.
fn chosen_away(kind: Kind, typed: &Pairs, key: &str) -> bool {
    let how = typed.get(HOW).unwrap_or_default();
    match (kind, key) {
        (Kind::Reading, "method" | "depth_m" | "from" | "part" | "litres" | "meter_l" | "full") => true,
        (Kind::Fill | Kind::Draw, "litres" | "measured") => how != "amount",
        (Kind::Discard, "litres") => how != "some",
        _ => false,
    }
}

/// The fault of a service or of the model beside the field that it is about.
pub(super) fn place(kind: Kind, typed: &Pairs, field: &str) -> String {
    let how = typed.get(HOW).unwrap_or_default();
    match (kind, how, field) {
        (_, _, "at") => "hour".to_owned(),
        (Kind::Reading, how, "method") => format!("method.{how}"),
        (Kind::Fill, "mark", "depth_m") => "mark".to_owned(),
        (_, _, field) => field.to_owned(),
    }
}

fn put(values: &mut Values, key: &str, value: impl Into<Value>) {
    values.insert(key.to_owned(), value.into());
}

fn text_or_null(text: &str) -> Value {
    if text.is_empty() { Value::Null } else { text.into() }
}

fn numberless() -> Fault {
    let detail = Message::new("The form came without its number. Open it again from the list and fill it in anew.");
    Fault { field: None, detail }
}

fn missing(label: &'static str) -> Message {
    Message::new("{Field} is missing.").with("field", Arg::Word(label))
}

impl Reading<'_> {
    /// Where a field has a fault already, that something is missing need not be said as well.
    fn problems(&mut self, problems: Vec<fields::Problem>, all_at: Option<&str>) {
        for problem in problems {
            let field = all_at.unwrap_or(problem.field);
            if !self.faults.iter().any(|fault| fault.field.as_deref().is_some_and(|there| of(there) == field)) {
                self.fault(field, problem.message);
            }
        }
    }

    fn fault(&mut self, field: &str, detail: Message) {
        self.faults.push(Fault { field: Some(field.to_owned()), detail });
    }

    fn text(&self, name: &str) -> &str {
        self.typed.get(name).unwrap_or_default().trim()
    }

    /// What the first choice says.
    fn picked(&mut self, kind: Kind, values: &mut Values) {
        let how = self.text(HOW).to_owned();
        match (kind, how.as_str()) {
            (Kind::Fill, "top") => put(values, "to_top", true),
            (Kind::Draw, "outlet") => put(values, "to_outlet", true),
            (Kind::Fill, "mark" | "unknown") | (Kind::Draw, "unknown") => {}
            (Kind::Fill | Kind::Draw, "amount") => self.needed("litres", "amount", &VOLUME, values),
            (Kind::Discard, "drained" | "to_outlet") => put(values, "how_far", how),
            (Kind::Discard, "some") => {
                put(values, "how_far", how);
                self.needed("litres", "amount", &VOLUME, values);
            }
            (Kind::Reading, "depth") => {
                put(values, "from", text_or_null(self.text("from")));
                put(values, "method", text_or_null(self.text("method.depth")));
                self.needed("depth_m", "depth", &DEPTH, values);
            }
            (Kind::Reading, "part" | "litres") => {
                put(values, "method", text_or_null(self.text(&format!("method.{how}"))));
                if how == "part" {
                    self.needed("part", "part of full", &FRACTION, values);
                } else {
                    self.needed("litres", "volume", &VOLUME, values);
                }
            }
            (Kind::Reading, "meter") => {
                put(values, "method", "meter");
                self.needed("meter_l", "meter reading", &METER, values);
            }
            (Kind::Reading, "full") => {
                put(values, "method", "counted");
                self.needed("full", "full containers", &CONTAINERS_FULL, values);
            }
            (Kind::Reading | Kind::Fill | Kind::Draw | Kind::Discard, _) => {
                self.fault(HOW, Message::new("Choose one of these."));
            }
            _ => {}
        }
    }

    /// A figure without which the answer chosen says nothing.
    fn needed(&mut self, key: &str, label: &'static str, measure: &'static Measure, values: &mut Values) {
        if self.text(key).is_empty() {
            return self.fault(key, missing(label));
        }
        self.figure(key, key, measure, values);
    }

    fn figure(&mut self, name: &str, key: &str, measure: &'static Measure, values: &mut Values) {
        let text = self.text(name);
        let bare = !text.chars().any(|c| c.is_alphabetic() || matches!(c, '\'' | '"' | '′' | '″' | '%' | '°'));
        let text = match small_unit(measure, self.reader) {
            Some(unit) if bare => format!("{text} {unit}"),
            _ => text.to_owned(),
        };
        match parse_measure(&text, measure, self.reader) {
            Ok(value) => drop(values.insert(key.to_owned(), value.into())),
            Err(detail) => self.fault(name, detail),
        }
    }

    /// One field as its kind describes it.
    fn one(&mut self, spec: &'static fields::Field, name: &str, values: &mut Values) {
        let text = self.text(name).to_owned();
        if text.is_empty() {
            return;
        }
        let value: Value = match spec.what {
            What::Figure(measure) | What::Whole(measure) => return self.figure(name, spec.key, measure, values),
            What::Flag => (text == "yes").into(),
            What::Date => match parse_date(&text, self.reader) {
                Ok(date) => date.to_string().into(),
                Err(detail) => return self.fault(name, detail),
            },
            What::Choice(_) | What::Text(_) | What::Ref(_) => text.into(),
        };
        values.insert(spec.key.to_owned(), value);
    }

    /// The reading after a fill to a mark, and its number.
    fn mark(&mut self) -> (Values, Option<EntryId>) {
        let mut values = Values::new();
        values.insert("method".to_owned(), "dipstick".into());
        let from = self.text("mark_from").to_owned();
        if !from.is_empty() {
            values.insert("from".to_owned(), from.into());
        }
        if self.text("mark").is_empty() {
            self.fault("mark", missing("depth now"));
        } else {
            self.figure("mark", "depth_m", &DEPTH, &mut values);
        }
        (values, self.id("then"))
    }

    fn id(&mut self, name: &str) -> Option<EntryId> {
        let id = self.text(name).parse().ok();
        if id.is_none() {
            self.faults.push(numberless());
        }
        id
    }

    /// When it happened, and whether that is just now.
    fn when(&mut self, instant: Timestamp) -> (Option<Timestamp>, bool) {
        let day = match self.text("when") {
            "" | "now" => return (Some(instant), true),
            "other" => self.text("day").to_owned(),
            day => day.to_owned(),
        };
        if day.is_empty() {
            self.fault("day", Message::new("Say which day."));
            return (None, false);
        }
        let hour = self.text("hour");
        if hour.is_empty() {
            self.fault("hour", Message::new("Say at what hour, such as 07:40."));
            return (None, false);
        }
        match parse_when(&format!("{day} {hour}"), self.reader) {
            Ok(at) => (Some(at), false),
            Err(detail) => {
                self.fault("hour", detail);
                (None, false)
            }
        }
    }
}
