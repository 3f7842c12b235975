//! What columns each kind of file has. Those of a reading and the dimensions of a vessel are made from the same
//! descriptions as their forms, so a new one is a column without a word here.

use keepwell_engine::quantity::ANIMALS;
use keepwell_engine::quantity::ELEVATION;
use keepwell_engine::quantity::FUEL;
use keepwell_engine::quantity::HEIGHT;
use keepwell_engine::quantity::INTERVAL;
use keepwell_engine::quantity::LATITUDE;
use keepwell_engine::quantity::LONGITUDE;
use keepwell_engine::quantity::Measure;
use keepwell_engine::quantity::PEOPLE;
use keepwell_engine::vessel;

use crate::model::choice::Choice;
use crate::model::entry::fields::What;
use crate::model::entry::reading;
use crate::model::vessel::DrawWay;
use crate::service::import::Kind;

/// A column a kind of file may have.
#[derive(Clone, Debug)]
pub struct Column {
    /// what we call it in here
    pub key: &'static str,
    /// its heading; the first is the one we write
    pub names: Vec<String>,
    pub takes: Takes,
    /// a file without it is none of this kind
    pub required: bool,
}

/// What stands in a column.
#[derive(Clone, Copy, Debug)]
pub enum Takes {
    Words,
    Figure(&'static Measure),
    /// fuel, which may be weighed
    Fuel(&'static Measure),
    /// depths and litres
    Pairs,
}

impl Column {
    fn new(key: &'static str, also: &[&str], takes: Takes) -> Self {
        let names = [key].iter().chain(also).map(|name| (*name).to_owned()).collect();
        Self { key, names, takes, required: false }
    }

    fn words(key: &'static str, also: &[&str]) -> Self {
        Self::new(key, also, Takes::Words)
    }

    fn figure(key: &'static str, also: &[&str], measure: &'static Measure) -> Self {
        Self::new(key, also, Takes::Figure(measure))
    }

    fn required(self) -> Self {
        Self { required: true, ..self }
    }

    pub fn name(&self) -> &str {
        self.names.first().map_or("", String::as_str)
    }
}

pub fn columns(kind: Kind) -> Vec<Column> {
    match kind {
        Kind::Sites => sites(),
        Kind::Vessels => vessels(),
        Kind::People => people(),
        Kind::Readings => readings(),
        Kind::Fuel => fuel(),
    }
}

fn sites() -> Vec<Column> {
    vec![
        Column::words("name", &["site", "site name"]).required(),
        Column::words("kind", &["kind of site"]).required(),
        Column::words("address", &[]),
        Column::figure("latitude", &["lat"], &LATITUDE),
        Column::figure("longitude", &["long", "lon"], &LONGITUDE),
        Column::figure("elevation", &["height above sea"], &ELEVATION),
        Column::words("access", &["how to get in"]),
        Column::words("contact", &[]),
        Column::words("phone", &["telephone"]),
        Column::words("notes", &["note"]),
        Column::figure("cannot collect", &["to the door"], &PEOPLE),
        Column::words("source", &["sources", "filled from"]),
    ]
}

fn people() -> Vec<Column> {
    vec![
        Column::words("site", &[]).required(),
        Column::words("category", &["who", "people"]).required(),
        Column::figure("number", &["count", "how many"], &ANIMALS).required(),
    ]
}

fn vessels() -> Vec<Column> {
    let mut columns = vec![
        Column::words("site", &[]).required(),
        Column::words("name", &["vessel", "vessel name"]).required(),
        Column::words("shape", &[]).required(),
    ];
    for dimension in vessel::Kind::ALL.iter().flat_map(|kind| kind.dimensions()) {
        if columns.iter().all(|column| column.key != dimension.key) {
            let plain = plain(dimension.key);
            let mut column = Column::figure(dimension.key, &[dimension.label], dimension.measure);
            column.names.rotate_left(1);
            column.names.insert(0, plain);
            columns.push(column);
        }
    }
    columns.push(Column::new("table", &["depth and litres", "strapping table"], Takes::Pairs));
    columns.push(Column::figure("full mark", &["full level"], &HEIGHT));
    for row in DrawWay::LIST {
        let mut column = Column::figure(row.1, &[], &HEIGHT);
        column.names = vec![format!("{} outlet", row.1), format!("{} height", row.1)];
        columns.push(column);
    }
    columns.extend([
        Column::words("material", &[]),
        Column::words("food grade", &[]),
        Column::words("closed", &[]),
        Column::words("opaque", &["opaque or dark"]),
        Column::words("stands on", &[]),
        Column::words("anchored", &[]),
        Column::figure("floor height", &["height of its floor"], &ELEVATION),
        Column::words("bank", &[]),
        Column::words("source", &["filled from"]),
        Column::figure("rotate every", &["rotation"], &INTERVAL),
        Column::words("rotate how", &["rotated by"]),
        Column::words("only in an outage", &["outage only"]),
        Column::words("drawn on daily", &["daily use"]),
        Column::words("may freeze", &["freezes"]),
        Column::words("in place since", &["since"]),
        Column::words("last filled", &[]),
        Column::words("filled to the top", &["to the top"]),
        Column::words("notes", &["note"]),
    ]);
    columns
}

fn readings() -> Vec<Column> {
    let mut columns = vec![
        Column::words("site", &[]),
        Column::words("vessel", &["name", "vessel name"]).required(),
        Column::words("time", &["when", "date", "date and time", "read at"]).required(),
    ];
    for field in reading::FIELDS {
        let takes = match field.what {
            What::Figure(measure) | What::Whole(measure) => Takes::Figure(measure),
            What::Choice(_) | What::Flag | What::Text(_) | What::Date | What::Ref(_) => Takes::Words,
        };
        let mut column = Column::new(field.key, &[field.label], takes);
        column.names = match field.key {
            // A word that says more at the head of a column than beside its field.
            "from" => vec!["measured from".to_owned(), field.label.to_owned()],
            "method" => vec!["method".to_owned(), field.label.to_owned()],
            key => vec![field.label.to_owned(), plain(key)],
        };
        columns.push(column);
    }
    columns
}

fn fuel() -> Vec<Column> {
    vec![
        Column::words("site", &[]).required(),
        Column::words("store", &["fuel store", "name"]).required(),
        Column::words("fuel", &["kind of fuel"]).required(),
        Column::new("capacity", &["holds"], Takes::Fuel(&FUEL)),
        Column::new("amount", &[], Takes::Fuel(&FUEL)).required(),
        Column::words("measured on", &["measured at", "seen on"]),
        Column::words("bought", &["bought on", "date bought"]),
        Column::words("stabilised", &["stabilized", "stabiliser added"]),
    ]
}

/// A key without its unit, in words: `diameter_m` is a diameter, `meter_l` a meter's.
fn plain(key: &str) -> String {
    let bare = key.strip_suffix("_m").or_else(|| key.strip_suffix("_l")).unwrap_or(key);
    bare.replace('_', " ")
}

#[cfg(test)]
mod tests {
    use std::collections::HashSet;

    use super::*;
    use crate::service::import::heading::plain_name;

    #[test]
    fn no_heading_means_two_columns() {
        for row in Kind::LIST {
            let mut seen = HashSet::new();
            for column in columns(row.0) {
                let names: HashSet<String> = column.names.iter().map(|name| plain_name(name)).collect();
                for name in names {
                    assert!(seen.insert(name.clone()), "{}: {name}", row.1);
                }
            }
        }
    }

    #[test]
    fn every_dimension_of_every_shape_has_its_column() {
        let columns = columns(Kind::Vessels);
        for dimension in vessel::Kind::ALL.iter().flat_map(|kind| kind.dimensions()) {
            assert!(columns.iter().any(|column| column.key == dimension.key), "{}", dimension.key);
        }
        let names: Vec<&str> = columns.iter().map(Column::name).collect();
        for name in ["diameter", "length", "width", "height", "count", "litres each", "litres", "pump outlet"] {
            assert!(names.contains(&name), "{name} is not in {names:?}");
        }
    }
}
