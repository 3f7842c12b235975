//! The form of a kind of entry, made from the kind's own description. Reading, fill, draw and what was poured away begin
//! with one choice of a thumb's size ([`Pick`]); the rest are plain fields.

use keepwell_engine::quantity::DEPTH;
use keepwell_engine::quantity::DOSE_VOLUME;
use keepwell_engine::quantity::Measure;
use keepwell_engine::quantity::PERCENT;
use keepwell_engine::quantity::Unit;

use crate::model::entry::Kind;
use crate::model::entry::fields;
use crate::model::entry::fields::Noun;
use crate::model::entry::fields::What;
use crate::model::id::SourceId;
use crate::service::Caller;
use crate::service::authorise::Deed;
use crate::web::form::Choice;
use crate::web::form::Control;
use crate::web::form::Field;
use crate::web::pages::log::pick;
use crate::web::pages::log::pick::Pick;
use crate::web::pages::log::subject::Subject;
use crate::web::pages::log::subject::Thing;
use crate::web::reader::Reader;
use crate::web::reader::Units;

/// As many choices as are shown at once.
const IN_SIGHT: usize = 7;

/// A kind's form, still empty but for what is usual.
pub(super) struct Form {
    /// one of these first; empty for most kinds
    pub picks: Vec<Pick>,
    pub fields: Vec<Field>,
    /// what is seldom said, folded away
    pub more: Vec<Field>,
}

impl Form {
    pub fn of(kind: Kind, subject: &Subject, caller: &Caller, reader: &Reader) -> Self {
        let picks = pick::picks(kind, subject, reader);
        let mut form = Self { picks, fields: Vec::new(), more: Vec::new() };
        for spec in kind.fields() {
            if !asked(kind, spec, subject) || form.picks.iter().any(|pick| pick.holds(spec.key)) {
                continue;
            }
            let field = field(kind, spec, subject, caller, reader);
            let seldom = matches!(spec.key, "note" | "printed" | "boiled" | "lot" | "disinfectant" | "measured");
            let list = if seldom && !spec.required && kind != Kind::Note { &mut form.more } else { &mut form.fields };
            list.push(field);
        }
        form
    }

    pub fn all(&self) -> impl Iterator<Item = &Field> {
        self.picks.iter().flat_map(|pick| &pick.fields).chain(&self.fields).chain(&self.more)
    }

    pub fn each(&mut self, mut change: impl FnMut(&mut Field)) {
        let picked = self.picks.iter_mut().flat_map(|pick| &mut pick.fields);
        picked.chain(&mut self.fields).chain(&mut self.more).for_each(&mut change);
    }
}

/// Whether a field is asked for here: a lot and full containers of a set alone, and no supply where the address
/// names it.
pub(super) fn asked(kind: Kind, spec: &fields::Field, subject: &Subject) -> bool {
    match spec.key {
        "lot" | "full" => subject.is_set(),
        "source" if kind != Kind::Fill => !matches!(subject.thing, Thing::Supply(_)),
        // Chosen by the first choice of a reading and of a fill.
        "to_top" | "to_outlet" | "how_far" => false,
        _ => true,
    }
}

/// The unit a bare number is in where the usual one is too coarse for a thumb: a dipstick is read in centimetres,
/// bleach measured in millilitres.
pub(super) fn small_unit(measure: &Measure, reader: &Reader) -> Option<&'static str> {
    let units = match () {
        () if *measure == DEPTH => ("cm", "in"),
        () if *measure == DOSE_VOLUME => ("mL", "fl oz"),
        () => return None,
    };
    Some(if reader.units == Units::Us { units.1 } else { units.0 })
}

pub(super) fn number(measure: &Measure, reader: &Reader) -> Control {
    let unit = match measure.unit {
        Unit::Fraction => "%",
        unit => small_unit(measure, reader).unwrap_or_else(|| reader.sign(unit)),
    };
    Control::Number { unit: unit.to_owned() }
}

/// English words as a label begins.
pub(super) fn label(reader: &Reader, words: &str) -> String {
    reader.language.catalogue().phrase(words).capital().to_string()
}

pub(super) fn choice(reader: &Reader, value: &str, words: &str) -> Choice {
    let label = reader.language.catalogue().phrase(words).to_string();
    Choice { value: value.to_owned(), label, hint: String::new() }
}

/// One field from its description.
pub(super) fn field(kind: Kind, spec: &fields::Field, subject: &Subject, caller: &Caller, reader: &Reader) -> Field {
    let control = match spec.what {
        What::Figure(measure) => number(measure, reader),
        What::Whole(_) => Control::Number { unit: String::new() },
        What::Choice(options) => {
            let mut list: Vec<Choice> = options().into_iter().map(|(key, words)| choice(reader, key, words)).collect();
            if list.len() > IN_SIGHT {
                Control::Select(list)
            } else {
                if !spec.required {
                    list.insert(0, choice(reader, "", "not said"));
                }
                Control::Radios(list)
            }
        }
        What::Flag if spec.required => Control::Radios(vec![choice(reader, "yes", "yes"), choice(reader, "no", "no")]),
        What::Flag => Control::Check,
        What::Text(longest) if longest > 300 => Control::Lines,
        What::Text(_) => Control::Text { autocomplete: "off" },
        What::Date => Control::Day,
        What::Ref(noun) => {
            let list = things(noun, subject, caller);
            // What is not there is not asked for.
            if list.is_empty() && !spec.required { Control::Hidden } else { Control::Select(list) }
        }
    };
    let mut field = Field::new(spec.key, &label(reader, spec.label), control).hint(&hint(spec, subject, reader));
    field.required = spec.required;
    if let Some(usual) = usual(kind, spec, &field, subject) {
        field = field.value(&usual);
    }
    field
}

/// What a field holds before anyone has typed.
fn usual(kind: Kind, spec: &fields::Field, field: &Field, subject: &Subject) -> Option<String> {
    match (&field.control, spec.what) {
        (Control::Select(list), What::Ref(noun)) => {
            let from = usual_source(subject).map(|id| id.to_string()).filter(|_| noun == Noun::Source);
            let only = if let [only] = list.as_slice() { Some(only.value.clone()) } else { None };
            from.or(only).filter(|_| spec.required)
        }
        (Control::Radios(list), What::Choice(_)) if list.first().is_some_and(|first| first.value.is_empty()) => {
            Some(String::new())
        }
        (Control::Radios(_), What::Choice(_)) if kind == Kind::Mains => {
            let now = subject.as_supply().and_then(|supply| supply.supply);
            now.map(|(state, _)| crate::model::choice::Choice::key(state).to_owned())
        }
        _ => None,
    }
}

/// What a vessel is usually filled from: its own supply, or its site's first.
pub(super) fn usual_source(subject: &Subject) -> Option<SourceId> {
    let own = subject.as_vessel().and_then(|vessel| vessel.vessel.source);
    own.or_else(|| subject.as_site()?.site.sources.first().copied())
}

fn hint(spec: &fields::Field, subject: &Subject, reader: &Reader) -> String {
    let told = |words: &str| reader.language.catalogue().phrase(words).to_string();
    match spec.what {
        What::Figure(measure) if *measure == PERCENT => told("as printed on it, such as 6"),
        _ if spec.key == "lot" => {
            let parts = subject.as_vessel().map(|vessel| vessel.parts(subject.now)).unwrap_or_default();
            let lots: Vec<String> = parts.into_iter().map(|part| part.lot).filter(|lot| !lot.is_empty()).collect();
            if lots.is_empty() { told(spec.hint) } else { lots.join(", ") }
        }
        _ if spec.hint.is_empty() => String::new(),
        _ => told(spec.hint),
    }
}

/// What a reference may name: the site's own; vessels of other sites that the caller may log at, after them.
fn things(noun: Noun, subject: &Subject, caller: &Caller) -> Vec<Choice> {
    let set_up = &subject.picture.set_up;
    let Some(site) = subject.as_site() else { return Vec::new() };
    let own = site.site.id;
    let named = |value: String, label: &str| Choice { value, label: label.to_owned(), hint: String::new() };
    match noun {
        Noun::Vessel => {
            let this = subject.as_vessel().map(|vessel| vessel.vessel.id);
            let mut list: Vec<Choice> = site
                .vessels_at(subject.now)
                .filter(|vessel| Some(vessel.vessel.id) != this)
                .map(|vessel| named(vessel.vessel.id.to_string(), vessel.vessel.name.as_str()))
                .collect();
            let others = subject.picture.sites().iter().filter(|other| other.site.id != own);
            for other in others.filter(|other| caller.can(Deed::Log, Some(other.site.id))) {
                list.extend(other.vessels_at(subject.now).map(|vessel| {
                    let label = format!("{}: {}", other.site.name, vessel.vessel.name);
                    named(vessel.vessel.id.to_string(), &label)
                }));
            }
            list
        }
        Noun::Bank => {
            let banks = set_up.banks.values().filter(|kept| kept.thing.site == own);
            banks.map(|kept| named(kept.thing.id.to_string(), kept.thing.name.as_str())).collect()
        }
        Noun::Source => {
            let mut sources: Vec<_> = set_up.sources.values().collect();
            sources.sort_by_key(|kept| !site.site.sources.contains(&kept.thing.id));
            sources.into_iter().map(|kept| named(kept.thing.id.to_string(), kept.thing.name.as_str())).collect()
        }
        Noun::Generator => {
            let in_use = site.generators.iter().filter(|generator| generator.ended.is_none());
            in_use.map(|generator| named(generator.id.to_string(), generator.name.as_str())).collect()
        }
        Noun::FuelStore => {
            let in_use = site.fuel_stores.iter().filter(|store| store.ended.is_none());
            in_use.map(|store| named(store.id.to_string(), store.name.as_str())).collect()
        }
        Noun::Stage => {
            let in_use = site.stages.iter().filter(|stage| stage.ended.is_none());
            in_use.map(|stage| named(stage.id.to_string(), stage.name.as_str())).collect()
        }
        Noun::Entry => Vec::new(),
    }
}
