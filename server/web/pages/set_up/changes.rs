//! The record of changes in plain words: what was one thing and is now another. It reads the record as it was written, so
//! that a change made by an older version is still told.

use jiff::Timestamp;
use keepwell_engine::demand::Ladder;
use keepwell_engine::quantity::Unit;
use keepwell_engine::vessel::Kind;
use serde_json::Value;
use uuid::Uuid;

use crate::model::carry::Means;
use crate::model::choice::Choice;
use crate::model::id::Id;
use crate::model::neighbourhood::Units;
use crate::model::outage::OutageKind;
use crate::model::person::Role;
use crate::model::power::Fuel;
use crate::model::setup::SetUp;
use crate::model::site::Animal;
use crate::model::site::Category;
use crate::model::site::SiteKind;
use crate::model::source::Disinfectant;
use crate::model::source::SourceKind;
use crate::model::vessel::DrawWay;
use crate::model::vessel::Material;
use crate::model::vessel::RotateHow;
use crate::model::vessel::ShapeKind;
use crate::model::vessel::StandsOn;
use crate::model::works::PipeKind;
use crate::model::works::PipeSize;
use crate::model::works::StageKind;
use crate::model::works::UvClass;
use crate::service::set_up::Change;
use crate::web::pages::set_up::form::name_of;
use crate::web::pages::set_up::neighbourhood::rung_words;
use crate::web::pages::set_up::noun::Noun;
use crate::web::reader::Reader;

/// One field of one change.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Difference {
    pub what: String,
    pub before: String,
    pub after: String,
}

/// One change of the record.
pub(super) struct Recorded {
    pub seq: i64,
    pub at: Timestamp,
    /// empty where no person did it
    pub who: String,
    /// English, as a key
    pub noun: &'static str,
    pub name: String,
    pub is_new: bool,
    pub is_gone: bool,
    pub differences: Vec<Difference>,
}

/// The labels of what is kept, in the order in which they are told. English, as keys.
#[rustfmt::skip]
const LABELS: &[(&str, &str)] = &[
    ("name", "name"), ("site", "site"), ("kind", "kind"), ("role", "role"), ("sites", "sites"), ("shape", "shape"),
    ("full_m", "full mark"), ("strapping", "table of depths"), ("material", "material"), ("food_grade", "food grade"), ("closed", "closed"),
    ("opaque", "opaque"), ("stands_on", "stands on"), ("anchored", "anchored"), ("empty_kg", "weight when empty"), ("floor_m", "height of its floor"),
    ("bank", "bank"), ("source", "usually filled from"), ("how", "renewed"), ("interval_days", "every"),
    ("redose_days", "a test vouches for"), ("floor_mg_l", "residual to keep"), ("outage_only", "only in an outage"),
    ("daily_use", "drawn on daily"), ("may_freeze", "may freeze"),
    ("sources", "supplies"), ("disinfectant", "disinfectant"), ("address", "address"), ("latitude", "latitude"),
    ("longitude", "longitude"), ("elevation_m", "height over the sea"), ("access", "way in"), ("contact", "contact"),
    ("phone", "telephone"), ("pump_hours_a_day", "run plan, a day"), ("keep_l", "keeps back"),
    ("handed_out_loss", "lost in handing out"),
    ("cannot_collect", "cannot fetch water"),
    ("from", "from"), ("to", "to"), ("means", "brought"), ("litres_a_day", "at most, a day"),
    ("litres_a_trip", "in one trip"), ("loss", "lost"), ("fuel", "fuel"), ("rated_w", "rated power"), ("burst_w", "power for some seconds"),
    ("burn", "burn"), ("capacity_l", "holds"), ("amount_l", "amount at first"), ("bought", "bought"),
    ("stabilised", "stabilised"), ("running_w", "power"), ("surge_w", "power as it starts"), ("hours_a_day", "hours a day"),
    ("pump", "is the pump"), ("coupled_at_first", "open at first"), ("zone", "time zone"), ("units", "units"),
    ("language", "language"), ("ration", "ration"), ("target_days", "days to last"),
    ("petrol_l", "a litre of petrol"), ("diesel_l", "a litre of diesel"), ("propane_l", "a litre of liquid propane"),
    ("can", "a can of 20 L"), ("stage", "a cartridge or a lamp"), ("since", "in place since"),
    ("place", "place in the train"), ("most_flow_l_per_min", "most flow"), ("drop_kpa", "pressure lost"),
    ("life_l", "litres of use"), ("life_months", "months of use"), ("fitted", "fitted"), ("passed_l", "passed since"),
    ("draws_w", "takes"), ("uv_class", "class"), ("lamp_hours", "lamp hours"), ("lamp_life_hours", "lamp life"),
    ("capacity_wh", "capacity"), ("usable", "usable part"), ("inverter", "inverter passes on"),
    ("idle_w", "inverter, only to be on"), ("charge", "charge"), ("panels_w", "panels"), ("sun_hours", "hours of full sun a day"),
    ("panel_loss", "lost from the panels"),
    ("curve", "curve"), ("power_w", "takes"), ("npsh_m", "requires at its suction"),
    ("lift_m", "highest tap over the pump"), ("tap_l_per_min", "the tap at 300 kPa"), ("pipe", "pipes of"),
    ("suction_size", "pipe to the pump"), ("suction_run_m", "its length"), ("suction_fittings", "its fittings"),
    ("delivery_size", "pipe from the pump"), ("delivery_run_m", "length of the pipe from it"),
    ("delivery_fittings", "fittings from it"), ("cut_in_kpa", "cut-in"), ("cut_out_kpa", "cut-out"),
    ("precharge_kpa", "precharge"), ("tank_l", "pressure tank"), ("sds_g", "SDS, g"), ("sd1_g", "SD1, g"),
    ("rations", "rations in force"), ("expected", "mains expected back"), ("ran_out", "ran out first"),
    ("dip_days", "days between readings"), ("generator_days", "days between generator runs"),
    ("pump_days", "days between pump runs"), ("couplings_days", "days between looks at couplings"),
    ("round_days", "days between rounds"), ("ended", "no longer in use since"), ("made", "made"), ("person", "acts for"), ("notes", "notes"),
];

/// Where dimensions, people and ways of drawing come, which have labels of their own.
const AFTER_SHAPE: usize = 5;

/// The record, newest first, in words.
pub(super) fn told(changes: &[Change], set_up: &SetUp, reader: &Reader) -> Vec<Recorded> {
    changes
        .iter()
        .map(|change| {
            let (before, after) = (parsed(change.before.as_deref()), parsed(change.after.as_deref()));
            let teller = Teller { set_up, reader, noun: &change.noun };
            let said = |key: &str| after.get(key).or_else(|| before.get(key)).and_then(Value::as_str);
            // An outage has no name; its kind says which it is.
            let name = said("name")
                .or_else(|| said("kind").and_then(OutageKind::from_key).map(|kind| reader.word(kind.label())));
            let who = change.by.and_then(|by| set_up.people.get(&by)).map(|kept| kept.thing.name.to_string());
            let (is_new, is_gone) = (change.before.is_none(), change.after.is_none());
            let in_a_word = is_new || is_gone;
            Recorded {
                seq: change.seq,
                at: change.at,
                who: who.unwrap_or_default(),
                noun: word(&change.noun),
                name: name.unwrap_or_default().to_owned(),
                is_new,
                is_gone,
                differences: if in_a_word { Vec::new() } else { teller.differences(&before, &after) },
            }
        })
        .collect()
}

/// Everything that one change says, of what was added or taken away too.
pub(super) fn in_full(change: &Change, set_up: &SetUp, reader: &Reader) -> Vec<Difference> {
    let teller = Teller { set_up, reader, noun: &change.noun };
    teller.differences(&parsed(change.before.as_deref()), &parsed(change.after.as_deref()))
}

/// What was changed of a thing after the state that a form began from.
pub(super) fn since(changes: &[Change], began_from: Option<i64>, set_up: &SetUp, reader: &Reader) -> Vec<Difference> {
    let Some(newest) = changes.first() else { return Vec::new() };
    let base = changes.iter().find(|change| Some(change.seq) == began_from);
    let base = parsed(base.and_then(|change| change.after.as_deref()));
    let teller = Teller { set_up, reader, noun: &newest.noun };
    teller.differences(&base, &parsed(newest.after.as_deref()))
}

fn parsed(json: Option<&str>) -> Value {
    json.and_then(|json| serde_json::from_str(json).ok()).unwrap_or_default()
}

/// The noun of the record in words.
fn word(noun: &str) -> &'static str {
    match noun {
        "neighbourhood" => "neighbourhood",
        "source" => "supply",
        "site" => "site",
        "bank" => "bank",
        "vessel" => "vessel",
        "generator" => "generator",
        "fuel_store" => "fuel store",
        "load" => "load",
        "battery" => "battery",
        "carry" => "carry",
        "stage" => "stage of treatment",
        "pump" => "pump",
        "person" => "person",
        "outage" => "outage",
        "token" => "token",
        _ => "thing",
    }
}

struct Teller<'a> {
    set_up: &'a SetUp,
    reader: &'a Reader,
    noun: &'a str,
}

impl Teller<'_> {
    fn differences(&self, before: &Value, after: &Value) -> Vec<Difference> {
        let (old, new) = (self.lines(before), self.lines(after));
        let value = |lines: &[(String, String)], what: &str| {
            let found = lines.iter().find(|line| line.0 == what).map(|line| line.1.clone());
            found.filter(|value| !value.is_empty()).unwrap_or_else(|| "–".to_owned())
        };
        let mut all: Vec<&String> = new.iter().map(|line| &line.0).collect();
        all.extend(old.iter().map(|line| &line.0).filter(|what| !new.iter().any(|line| line.0 == **what)));
        all.into_iter()
            .map(|what| Difference { what: what.clone(), before: value(&old, what), after: value(&new, what) })
            .filter(|difference| difference.before != difference.after)
            .collect()
    }

    /// Everything a thing says of itself, in words.
    fn lines(&self, thing: &Value) -> Vec<(String, String)> {
        let mut lines = Vec::new();
        let Some(fields) = thing.as_object() else { return lines };
        for (key, value) in fields {
            match (key.as_str(), value) {
                ("id", _) => {}
                ("policy" | "upkeep" | "prices", Value::Object(policy)) => {
                    lines.extend(policy.iter().map(|(key, value)| (self.label(key), self.value(key, value))));
                }
                ("dimensions", Value::Object(dimensions)) => {
                    lines.extend(dimensions.iter().map(|(key, value)| (self.label(key), self.value(key, value))));
                }
                ("people", Value::Array(rows)) => lines.extend(self.rows::<Category>(rows, "category", "count")),
                ("animals", Value::Array(rows)) => lines.extend(self.rows::<Animal>(rows, "animal", "count")),
                ("draws", Value::Array(rows)) => lines.extend(self.rows::<DrawWay>(rows, "way", "height_m")),
                _ => lines.push((self.label(key), self.value(key, value))),
            }
        }
        let place = |line: &(String, String)| {
            LABELS.iter().position(|row| self.reader.word(row.1) == line.0).unwrap_or(AFTER_SHAPE)
        };
        lines.sort_by_key(place);
        lines
    }

    /// Rows of a key of a closed list and a figure: a line each.
    fn rows<T: Choice>(&self, rows: &[Value], key: &str, figure: &str) -> Vec<(String, String)> {
        let line = |row: &Value| {
            let what = row.get(key).and_then(Value::as_str)?;
            let label = T::from_key(what).map_or(what, |one| self.reader.word(one.label()));
            Some((label.to_owned(), self.value(figure, row.get(figure)?)))
        };
        rows.iter().filter_map(line).collect()
    }

    fn label(&self, key: &str) -> String {
        if let Some(row) = LABELS.iter().find(|row| row.0 == key) {
            return self.reader.word(row.1).to_owned();
        }
        let mut dimensions = Kind::ALL.into_iter().flat_map(Kind::dimensions);
        let label = dimensions.find(|dimension| dimension.key == key).map(|dimension| dimension.label);
        label.map_or_else(|| key.replace('_', " "), |label| self.reader.word(label).to_lowercase())
    }

    fn value(&self, key: &str, value: &Value) -> String {
        match value {
            Value::Null => String::new(),
            Value::Bool(yes) => self.reader.word(if *yes { "yes" } else { "no" }).to_owned(),
            Value::Number(number) => {
                let shown = self.reader.exact(number.as_f64().unwrap_or(f64::NAN), unit(key));
                shown.map_or_else(|_| number.to_string(), |shown| shown.to_string())
            }
            Value::String(text) => self.text(key, text),
            Value::Array(rows) if let Some((one, other)) = halves(key) => {
                let row = |row: &Value| {
                    let half = |key: &str| row.get(key).map(|value| self.value(key, value)).unwrap_or_default();
                    format!("{}: {}", half(one), half(other))
                };
                rows.iter().map(row).collect::<Vec<_>>().join("; ")
            }
            Value::Array(rows) if key == "strapping" => {
                let row = |row: &Value| {
                    let half =
                        |at: usize, key: &str| row.get(at).map(|value| self.value(key, value)).unwrap_or_default();
                    format!("{}: {}", half(0, "depth_m"), half(1, "held_l"))
                };
                rows.iter().map(row).collect::<Vec<_>>().join("; ")
            }
            Value::Array(all) => all.iter().map(|one| self.value(key, one)).collect::<Vec<_>>().join(", "),
            Value::Object(_) => value.to_string(),
        }
    }

    fn text(&self, key: &str, text: &str) -> String {
        fn label<T: Choice>(text: &str) -> Option<&'static str> {
            T::from_key(text).map(Choice::label)
        }
        let word = match key {
            "kind" if self.noun == "source" => label::<SourceKind>(text),
            "kind" if self.noun == "outage" => label::<OutageKind>(text),
            "kind" if self.noun == "stage" => label::<StageKind>(text),
            "kind" => label::<SiteKind>(text),
            "uv_class" => label::<UvClass>(text),
            "pipe" => label::<PipeKind>(text),
            "suction_size" | "delivery_size" => label::<PipeSize>(text),
            "shape" => label::<ShapeKind>(text),
            "material" => label::<Material>(text),
            "stands_on" => label::<StandsOn>(text),
            "how" => label::<RotateHow>(text),
            "fuel" => label::<Fuel>(text),
            "means" => label::<Means>(text),
            "role" => label::<Role>(text),
            "units" => label::<Units>(text),
            "disinfectant" => label::<Disinfectant>(text),
            _ => None,
        };
        if let Some(word) = word {
            return self.reader.word(word).to_owned();
        }
        match key {
            "ration" => {
                Ladder::default().rung(text).map_or_else(|| text.to_owned(), |rung| rung_words(rung, self.reader))
            }
            "since" | "ended" | "made" | "expected" => {
                text.parse::<Timestamp>().map_or_else(|_| text.to_owned(), |at| self.reader.moment(at))
            }
            "site" | "bank" | "source" | "sources" | "sites" | "from" | "to" | "person" => {
                self.named(text).unwrap_or_else(|| text.to_owned())
            }
            _ => text.to_owned(),
        }
    }

    fn named(&self, id: &str) -> Option<String> {
        let id = Uuid::try_parse(id).ok()?;
        let found = Noun::ALL.into_iter().find_map(|noun| noun.find(self.set_up, id));
        let person = || self.set_up.people.get(&Id::from_uuid(id)).map(|kept| kept.thing.name.to_string());
        found.map(|(thing, _)| name_of(&thing)).or_else(person)
    }
}

/// The two keys of what is kept in rows of two.
fn halves(key: &str) -> Option<(&'static str, &'static str)> {
    match key {
        "burn" => Some(("load_w", "litres_per_hour")),
        "curve" => Some(("flow_l_per_min", "head_m")),
        "rations" => Some(("since", "ration")),
        _ => None,
    }
}

/// The unit that the end of a key names.
fn unit(key: &str) -> Unit {
    let ends = [
        ("petrol_l", Unit::Count),
        ("diesel_l", Unit::Count),
        ("propane_l", Unit::Count),
        ("_mg_l", Unit::MilligramPerLitre),
        ("litres_per_hour", Unit::LitrePerHour),
        ("hours_a_day", Unit::Hour),
        ("litres_a_day", Unit::LitrePerDay),
        ("litres_a_trip", Unit::Litre),
        ("loss", Unit::Fraction),
        ("usable", Unit::Fraction),
        ("inverter", Unit::Fraction),
        ("charge", Unit::Fraction),
        ("_wh", Unit::WattHour),
        ("_hours", Unit::Hour),
        ("_l_per_min", Unit::LitrePerMinute),
        ("_kpa", Unit::Kilopascal),
        ("_days", Unit::Day),
        ("_m", Unit::Metre),
        ("_l", Unit::Litre),
        ("_w", Unit::Watt),
        ("litres", Unit::Litre),
        ("litres_each", Unit::Litre),
    ];
    ends.into_iter().find(|(end, _)| key.ends_with(end)).map_or(Unit::Count, |(_, unit)| unit)
}
