//! Everything that is kept, as files and back: one CSV file for each noun, ids included, made from the columns that stand
//! beside the nouns in the model and from the `FIELDS` of the kinds of entry. What is written comes back the same, to the
//! last bit of every figure.
//!
//! These are not the spreadsheets that people fill in (`import`), which name things by their names and leave things out:
//! here the first heading names the noun (`site_id`), every row is a whole thing, and an empty cell says that there is
//! nothing. Sign-ins, sessions and tokens are no records, and stay where they are.

mod archive;
mod cells;
mod read;
mod write;

use std::collections::HashMap;

use keepwell_engine::vessel;
use uuid::Uuid;

use crate::model::battery;
use crate::model::carry;
use crate::model::choice::Choice;
use crate::model::column::Cell;
use crate::model::column::Column;
use crate::model::entry::Kind;
use crate::model::entry::fields::Field;
use crate::model::neighbourhood;
use crate::model::outage;
use crate::model::person;
use crate::model::power;
use crate::model::setup::SetUp;
use crate::model::site;
use crate::model::source;
use crate::model::vessel as tank;
use crate::model::works;

pub use archive::opened;
pub use read::is_record;
pub use read::read;
pub use write::Exported;
pub use write::to_folder;

/// A file of one noun.
#[derive(Clone, Copy, Debug)]
pub struct Sheet {
    /// as the record of changes names it
    pub noun: &'static str,
    /// the file's name, without `.csv`
    pub file: &'static str,
    /// English, as a key
    pub label: &'static str,
    pub columns: &'static [Column],
}

/// The files of the set-up, each after those that it may name.
pub const SHEETS: [Sheet; 14] = [
    sheet("neighbourhood", "neighbourhood", "neighbourhood settings", neighbourhood::COLUMNS),
    sheet("source", "sources", "sources", source::COLUMNS),
    sheet("site", "sites", "sites, with their people and animals", site::COLUMNS),
    sheet("bank", "banks", "banks", tank::BANK_COLUMNS),
    sheet("vessel", "vessels", "vessels, with their rotation", tank::COLUMNS),
    sheet("generator", "generators", "generators", power::GENERATOR_COLUMNS),
    sheet("fuel_store", "fuel_stores", "fuel stores", power::FUEL_STORE_COLUMNS),
    sheet("load", "loads", "loads", power::LOAD_COLUMNS),
    sheet("battery", "batteries", "batteries, with their inverters and panels", battery::COLUMNS),
    sheet("carry", "carries", "carries between sites, as agreed", carry::COLUMNS),
    sheet("stage", "stages", "treatment stages", works::STAGE_COLUMNS),
    sheet("pump", "pumps", "pumps", works::PUMP_COLUMNS),
    sheet("person", "accounts", "accounts, with their roles", person::COLUMNS),
    sheet("outage", "outages", "outages", outage::COLUMNS),
];

const fn sheet(noun: &'static str, file: &'static str, label: &'static str, columns: &'static [Column]) -> Sheet {
    Sheet { noun, file, label, columns }
}

/// The file of the ledger.
pub const ENTRIES: &str = "entries";
/// The file of all files.
pub const ARCHIVE: &str = "keepwell.zip";

/// What ends the heading of a name that stands beside an id to be read by people: passed over on the way back.
const NAME: &str = "_name";

/// The first headings of the ledger's file; the kinds' own fields follow.
const OF_ENTRY: [&str; 10] = [
    "entry_id",
    "entry_kind",
    "happened",
    "arrived",
    "logged_by",
    "logged_by_name",
    "at_site",
    "at_site_name",
    "of_vessel",
    "of_vessel_name",
];

/// Every field of every kind of entry once, in the order of the kinds: those of one name mean one thing.
fn entry_fields() -> Vec<&'static Field> {
    let mut fields: Vec<&'static Field> = Vec::new();
    for field in Kind::LIST.iter().flat_map(|row| row.0.fields()) {
        if fields.iter().all(|known| known.key != field.key) {
            fields.push(field);
        }
    }
    fields
}

/// The columns as they stand in a file, parts and dimensions among the rest.
fn flat(columns: &'static [Column]) -> Vec<Place> {
    let mut places = Vec::new();
    for column in columns {
        let within = |key, cell| Place { of: Some(column.key), key, cell };
        match column.cell {
            Cell::Part(parts) => places.extend(parts.iter().map(|part| within(part.key, part.cell))),
            Cell::Dimensions => {
                places.extend(dimensions().into_iter().map(|key| within(key, Cell::Maybe(&Cell::Figure))))
            }
            cell => places.push(Place { of: None, key: column.key, cell }),
        }
    }
    places
}

/// A column of a file: the key within the thing, or within a part of it.
#[derive(Clone, Copy, Debug)]
struct Place {
    of: Option<&'static str>,
    key: &'static str,
    cell: Cell,
}

impl Place {
    /// Its heading: the key, for the id the noun's too, and for rows what each of them holds.
    fn heading(&self, noun: &str) -> String {
        match self.cell {
            Cell::Id if self.key == "id" => format!("{noun}_id"),
            Cell::Rows(columns) | Cell::Pairs(columns) => {
                let keys: Vec<&str> = columns.iter().map(|column| column.key).collect();
                format!("{} ({})", self.key, keys.join(" "))
            }
            _ => self.key.to_owned(),
        }
    }

    /// Whether the name of what it names stands beside it.
    fn is_named(&self) -> bool {
        self.key != "id" && matches!(self.cell, Cell::Id | Cell::Ids | Cell::Maybe(Cell::Id))
    }
}

/// The dimensions of every shape, each once.
fn dimensions() -> Vec<&'static str> {
    let mut keys: Vec<&'static str> = Vec::new();
    for dimension in vessel::Kind::ALL.into_iter().flat_map(vessel::Kind::dimensions) {
        if !keys.contains(&dimension.key) {
            keys.push(dimension.key);
        }
    }
    keys
}

/// The headings of a noun's file.
#[must_use]
pub fn headings(sheet: &Sheet) -> Vec<String> {
    let mut all = Vec::new();
    if sheet.columns.iter().all(|column| column.key != "id") {
        // There is one of it.
        all.push(format!("{}_id", sheet.noun));
    }
    for place in flat(sheet.columns) {
        all.push(place.heading(sheet.noun));
        if place.is_named() {
            all.push(format!("{}{NAME}", place.key));
        }
    }
    all
}

/// What everything is called, by its id.
fn names(set_up: &SetUp) -> HashMap<Uuid, String> {
    set_up.things().filter_map(|(thing, _)| Some((thing.id(), thing.name()?.to_string()))).collect()
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use serde_json::json;

    use super::*;
    use crate::model::setup::Thing;

    /// One of each noun with everything in it that can be.
    fn samples() -> Vec<(&'static str, serde_json::Value)> {
        let (id, at) = ("0190163d-8694-739b-aea5-966c26f8ad90", "2026-03-14T09:30:00.123456Z");
        vec![
            (
                "neighbourhood",
                json!({"name": "N", "zone": "UTC", "units": "us", "language": "en", "ration": "basic",
                "target_days": 14.5}),
            ),
            ("source", json!({"id": id, "name": "N", "kind": "mains", "disinfectant": "none"})),
            ("site", json!({"id": id, "name": "N", "kind": "hall", "pump_hours_a_day": 0.1})),
            ("bank", json!({"id": id, "site": id, "name": "N", "coupled_at_first": true})),
            (
                "vessel",
                json!({"id": id, "site": id, "name": "N", "shape": "box", "material": "glass", "food_grade": true,
                "closed": true, "opaque": false, "stands_on": "roof", "anchored": false, "floor_m": 0.1, "since": at,
                "policy": {"interval_days": 180.0, "how": "dosed", "redose_days": 90.0}}),
            ),
            ("generator", json!({"id": id, "site": id, "name": "N", "fuel": "diesel", "rated_w": 1.0, "burn": []})),
            ("fuel_store", json!({"id": id, "site": id, "name": "N", "fuel": "diesel", "amount_l": 1.0, "since": at})),
            ("load", json!({"id": id, "site": id, "name": "N", "running_w": 1.0, "hours_a_day": 2.0})),
            ("battery", json!({"id": id, "site": id, "name": "N", "capacity_wh": 1.5, "usable": 0.5, "inverter": 0.9})),
            (
                "carry",
                json!({"id": id, "name": "N", "from": id, "to": id, "means": "cart", "litres_a_day": 1.5, "litres_a_trip": 0.5}),
            ),
            ("stage", json!({"id": id, "site": id, "name": "N", "kind": "carbon", "place": 1})),
            ("pump", json!({"id": id, "site": id, "name": "N"})),
            ("person", json!({"id": id, "name": "N", "role": "keeper"})),
            (
                "outage",
                json!({"id": id, "kind": "drill", "since": at, "target_days": 7.0, "rations": [], "ran_out": "",
                "notes": ""}),
            ),
        ]
    }

    /// The list beside a noun names every field that the noun has, and none besides.
    #[test]
    fn the_columns_are_the_fields() {
        for ((noun, sample), sheet) in samples().into_iter().zip(SHEETS) {
            assert_eq!(noun, sheet.noun);
            let thing = serde_json::to_value(Thing::read(noun, sample).unwrap()).unwrap();
            let keys = |value: &serde_json::Value| value.as_object().unwrap().keys().cloned().collect::<BTreeSet<_>>();
            let listed = |columns: &[Column]| columns.iter().map(|c| c.key.to_owned()).collect::<BTreeSet<_>>();
            assert_eq!(listed(sheet.columns), keys(&thing), "{noun}");
            for column in sheet.columns {
                if let Cell::Part(parts) = column.cell {
                    assert_eq!(listed(parts), keys(&thing[column.key]), "{noun}.{}", column.key);
                }
            }
        }
    }

    #[test]
    fn no_heading_stands_twice() {
        let all = SHEETS.iter().map(headings).chain([write::entry_headings(&entry_fields())]);
        for headings in all {
            let unique: BTreeSet<&String> = headings.iter().collect();
            assert_eq!(unique.len(), headings.len(), "{headings:?}");
        }
    }
}
