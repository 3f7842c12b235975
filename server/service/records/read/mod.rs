//! Reading the files back: every row checked as a form's would be, every problem told by its line and column, and then
//! all of it or nothing. An entry was taken once; it is held to what it names and to the ranges of its fields, not again
//! to a set-up that may have been mended since.

mod ledger;

use std::collections::HashMap;
use std::collections::HashSet;
use std::sync::Arc;

use jiff::Timestamp;
use serde_json::Map;
use serde_json::Value;
use uuid::Uuid;

use crate::model::entry::Entry;
use crate::model::id::EntryId;
use crate::model::id::Id;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::person::Role;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::service::import::Counts;
use crate::service::import::Fault;
use crate::service::import::File;
use crate::service::import::Outcome;
use crate::service::import::Plan;
use crate::service::records::NAME;
use crate::service::records::OF_ENTRY;
use crate::service::records::Place;
use crate::service::records::SHEETS;
use crate::service::records::Sheet;
use crate::service::records::cells;
use crate::service::records::flat;
use crate::service::set_up::check;

/// Whether a file is one that was exported: its first heading is the id of a noun.
#[must_use]
pub fn is_record(bytes: &[u8]) -> bool {
    first_heading(bytes).is_some_and(|(heading, _)| place_of(&heading).is_some())
}

/// The first heading, and what separates it from the next.
fn first_heading(bytes: &[u8]) -> Option<(String, u8)> {
    let bytes = unmarked(bytes);
    let end = bytes.iter().position(|byte| b",;\t\r\n".contains(byte))?;
    let heading = core::str::from_utf8(bytes.get(..end)?).ok()?;
    Some((heading.trim_matches('"').to_owned(), *bytes.get(end)?))
}

fn unmarked(bytes: &[u8]) -> &[u8] {
    bytes.strip_prefix("\u{feff}".as_bytes()).unwrap_or(bytes)
}

/// Which file it is, in the order in which they are read: the ledger's is the last.
fn place_of(heading: &str) -> Option<usize> {
    let noun = heading.strip_suffix("_id")?;
    let sheet = SHEETS.iter().position(|sheet| sheet.noun == noun);
    sheet.or_else(|| (heading == OF_ENTRY[0]).then_some(SHEETS.len()))
}

/// Reads exported files, in whatever order they come.
///
/// # Errors
/// Everything that is wrong, file by file and line by line; then nothing may be kept.
pub fn read(
    set_up: &SetUp,
    there: impl Fn(EntryId) -> Option<Arc<Entry>>,
    files: &[File<'_>],
    now: Timestamp,
) -> Result<Plan, Vec<Fault>> {
    let mut draft = Draft {
        set_up: set_up.clone(),
        things: Vec::new(),
        said: HashSet::new(),
        entries: Vec::new(),
        brought: HashMap::new(),
        counts: Counts::default(),
        faults: Vec::new(),
    };
    let mut sorted: Vec<(usize, &File<'_>)> = files
        .iter()
        .filter_map(|file| first_heading(file.bytes).and_then(|(heading, _)| place_of(&heading)).map(|at| (at, file)))
        .collect();
    sorted.sort_by_key(|file| file.0);
    for (at, file) in &sorted {
        match SHEETS.get(*at) {
            Some(sheet) => draft.sheet(*at, sheet, file),
            None => draft.ledger(file, &there, now),
        }
    }
    draft.voids(&there);
    if draft.faults.is_empty()
        && let Some((_, first)) = sorted.first()
    {
        draft.is_a_house(first.name);
    }
    if draft.faults.is_empty() {
        let entries = draft.entries.into_iter().map(|read| read.entry).collect();
        return Ok(Plan { things: draft.things, entries, counts: draft.counts });
    }
    let place = |fault: &Fault| files.iter().position(|file| file.name == fault.file);
    draft.faults.sort_by_key(|fault| (place(fault), fault.line));
    Err(draft.faults)
}

/// The set-up as it would be with what was read so far.
struct Draft {
    set_up: SetUp,
    things: Vec<(Thing, Option<i64>)>,
    /// the things that a row was about
    said: HashSet<(&'static str, Uuid)>,
    entries: Vec<Read>,
    brought: HashMap<EntryId, [u8; 32]>,
    counts: Counts,
    faults: Vec<Fault>,
}

/// An entry with the line it came from.
struct Read {
    entry: Entry,
    file: String,
    line: usize,
}

/// A line of a file while it is read.
struct Row<'a> {
    file: &'a str,
    line: usize,
    headings: &'a csv::StringRecord,
    cells: csv::StringRecord,
}

impl Row<'_> {
    /// What stands under a heading; none where the file has no such column.
    fn cell(&self, heading: &str) -> Option<&str> {
        // Rows say after their key, in brackets, what each of them holds.
        let at = self.headings.iter().position(|there| there.split(" (").next() == Some(heading))?;
        self.cells.get(at)
    }

    fn fault(&self, column: &str, message: Message) -> Fault {
        Fault {
            file: self.file.to_owned(),
            line: self.line,
            column: column.to_owned(),
            value: self.cell(column).unwrap_or_default().to_owned(),
            message,
        }
    }
}

/// Which line of a file a place in it stands on. The places come in their order.
struct Lines<'a> {
    bytes: &'a [u8],
    seen: usize,
    line: usize,
}

impl Lines<'_> {
    /// The reader takes what ends a line for the beginning of the next row, and passes empty lines over.
    fn at(&mut self, position: Option<&csv::Position>) -> usize {
        let begins = position.and_then(|position| usize::try_from(position.byte()).ok()).unwrap_or(self.seen);
        let rest = self.bytes.get(begins..).unwrap_or_default();
        let begins = begins + rest.iter().take_while(|byte| b"\r\n".contains(byte)).count();
        let between = self.bytes.get(self.seen..begins).unwrap_or_default();
        self.line += between.iter().filter(|byte| **byte == b'\n').count();
        self.seen = self.seen.max(begins);
        self.line
    }
}

impl Draft {
    /// Every line of a file, with those that cannot be read among the faults.
    fn rows(&mut self, file: &File<'_>, known: &[String], mut each: impl FnMut(&mut Self, Row<'_>)) {
        let bytes = unmarked(file.bytes);
        let separator = first_heading(bytes).map_or(b',', |(_, separator)| separator);
        let separator = if b",;\t".contains(&separator) { separator } else { b',' };
        let mut reader = csv::ReaderBuilder::new().delimiter(separator).from_reader(bytes);
        let whole = |line: usize, message: Message| Fault {
            file: file.name.to_owned(),
            line,
            column: String::new(),
            value: String::new(),
            message,
        };
        let headings = match reader.headers() {
            Ok(headings) => headings.clone(),
            Err(error) => return self.faults.push(whole(1, unreadable(&error))),
        };
        for (at, heading) in headings.iter().enumerate() {
            let plain = heading.split(" (").next().unwrap_or_default();
            let twice = headings.iter().take(at).any(|before| before == heading);
            if twice || !(known.iter().any(|known| known == plain) || plain.ends_with(NAME)) {
                let words = if twice {
                    "The heading {heading} stands here twice."
                } else {
                    "{heading} is no column of this file. Known are: {known}."
                };
                let message =
                    Message::new(words).with("heading", Arg::text(heading)).with("known", Arg::text(known.join(", ")));
                self.faults.push(Fault { column: heading.to_owned(), ..whole(1, message) });
            }
        }
        if !self.faults.is_empty() && self.faults.iter().any(|fault| fault.file == file.name) {
            return;
        }
        // A cell may hold several lines.
        let mut lines = Lines { bytes, seen: 0, line: 1 };
        for cells in reader.records() {
            match cells {
                Ok(cells) => {
                    let line = lines.at(cells.position());
                    each(self, Row { file: file.name, line, headings: &headings, cells });
                }
                Err(error) => self.faults.push(whole(lines.at(error.position()), unreadable(&error))),
            }
        }
    }

    fn sheet(&mut self, at: usize, sheet: &'static Sheet, file: &File<'_>) {
        let places = flat(sheet.columns);
        let first = format!("{}_id", sheet.noun);
        let mut known = vec![first.clone()];
        known.extend(places.iter().filter(|place| place.key != "id").map(|place| place.key.to_owned()));
        self.rows(file, &known, |draft, row| match draft.thing(sheet, &places, &first, &row) {
            Ok(outcome) => draft.counts.records[at].count(outcome),
            Err(faults) => draft.faults.extend(faults),
        });
    }

    fn thing(
        &mut self,
        sheet: &'static Sheet,
        places: &[Place],
        first: &str,
        row: &Row<'_>,
    ) -> Result<Outcome, Vec<Fault>> {
        let id = cells::uuid(row.cell(first).unwrap_or_default()).map_err(|message| vec![row.fault(first, message)])?;
        if !self.said.insert((sheet.noun, id)) {
            return Err(vec![row.fault(first, Message::new("This id stands in these files twice."))]);
        }
        let standing = self.standing(sheet.noun, id);
        let mut fields = standing.as_ref().map_or_else(Map::new, |(thing, _)| fields_of(thing));
        let mut faults = Vec::new();
        for place in places {
            let heading = if place.key == "id" { first } else { place.key };
            let Some(text) = row.cell(heading) else { continue };
            match cells::read(place.cell, text) {
                Ok(value) => put(&mut fields, place, value),
                Err(message) => faults.push(row.fault(heading, message)),
            }
        }
        if !faults.is_empty() {
            return Err(faults);
        }
        let thing = Thing::read(sheet.noun, Value::Object(fields)).map_err(|error| {
            let message = Message::new("It cannot be kept: {why}.").with("why", Arg::text(error.to_string()));
            vec![row.fault(first, message)]
        })?;
        if standing.as_ref().is_some_and(|(there, _)| *there == thing) {
            return Ok(Outcome::Skipped);
        }
        let problems = check(&self.set_up, &thing);
        if !problems.is_empty() {
            return Err(problems.into_iter().map(|problem| row.fault(problem.field, problem.message)).collect());
        }
        let revision = standing.map(|(_, revision)| revision);
        self.set_up.put(thing.clone(), revision.unwrap_or_default());
        self.things.push((thing, revision));
        Ok(if revision.is_some() { Outcome::Changed } else { Outcome::Added })
    }

    fn standing(&self, noun: &str, id: Uuid) -> Option<(Thing, i64)> {
        fn with<T: Clone>(kept: Option<&crate::model::setup::Kept<T>>, thing: fn(T) -> Thing) -> Option<(Thing, i64)> {
            kept.map(|kept| (thing(T::clone(&kept.thing)), kept.revision))
        }
        let set_up = &self.set_up;
        match noun {
            "neighbourhood" => with(set_up.neighbourhood.as_ref(), Thing::Neighbourhood),
            "source" => with(set_up.sources.get(&Id::from_uuid(id)), Thing::Source),
            "site" => with(set_up.sites.get(&Id::from_uuid(id)), Thing::Site),
            "bank" => with(set_up.banks.get(&Id::from_uuid(id)), Thing::Bank),
            "vessel" => with(set_up.vessels.get(&Id::from_uuid(id)), Thing::Vessel),
            "generator" => with(set_up.generators.get(&Id::from_uuid(id)), Thing::Generator),
            "fuel_store" => with(set_up.fuel_stores.get(&Id::from_uuid(id)), Thing::FuelStore),
            "load" => with(set_up.loads.get(&Id::from_uuid(id)), Thing::Load),
            "battery" => with(set_up.batteries.get(&Id::from_uuid(id)), Thing::Battery),
            "carry" => with(set_up.carries.get(&Id::from_uuid(id)), Thing::Carry),
            "stage" => with(set_up.stages.get(&Id::from_uuid(id)), Thing::Stage),
            "pump" => with(set_up.pumps.get(&Id::from_uuid(id)), Thing::Pump),
            "person" => with(set_up.people.get(&Id::from_uuid(id)), Thing::Person),
            "outage" => with(set_up.outages.get(&Id::from_uuid(id)), Thing::Outage),
            _ => None,
        }
    }

    /// A neighbourhood without settings or without anyone to lead it could never be opened.
    fn is_a_house(&mut self, file: &str) {
        let leads =
            self.set_up.people.values().any(|kept| kept.thing.role == Role::Coordinator && kept.thing.ended.is_none());
        let message = match (&self.set_up.neighbourhood, leads) {
            (None, _) => "No neighbourhood is kept here yet. Bring neighbourhood.csv in the same import.",
            (Some(_), false) => "Nobody here is a coordinator. Bring accounts.csv in the same import.",
            (Some(_), true) => return,
        };
        let (column, value) = (String::new(), String::new());
        self.faults.push(Fault { file: file.to_owned(), line: 1, column, value, message: Message::new(message) });
    }
}

fn fields_of(thing: &Thing) -> Map<String, Value> {
    match serde_json::to_value(thing) {
        Ok(Value::Object(fields)) => fields,
        _ => Map::new(),
    }
}

/// Puts a value in its place, in the thing or in a part of it. A dimension that is not there is none.
fn put(fields: &mut Map<String, Value>, place: &Place, value: Value) {
    let Some(of) = place.of else {
        fields.insert(place.key.to_owned(), value);
        return;
    };
    let part = fields.entry(of).or_insert_with(|| Value::Object(Map::new()));
    let Value::Object(part) = part else { return };
    if value.is_null() && of == "dimensions" {
        part.remove(place.key);
    } else {
        part.insert(place.key.to_owned(), value);
    }
}

fn keep<T>(faults: &mut Vec<Fault>, row: &Row<'_>, heading: &str, found: Result<T, Message>) -> Option<T> {
    found.map_err(|message| faults.push(row.fault(heading, message))).ok()
}

fn nothing() -> Message {
    Message::new("It names nothing that is kept here or comes with these files.")
}

/// Why a line cannot be read as cells.
fn unreadable(error: &csv::Error) -> Message {
    match error.kind() {
        csv::ErrorKind::UnequalLengths { expected_len, len, .. } => {
            Message::new("This line has {cells} cells; there are {wanted} headings.")
                .with("cells", Arg::Count(*len))
                .with("wanted", Arg::Count(*expected_len))
        }
        csv::ErrorKind::Utf8 { .. } => Message::new("This is not UTF-8. Save it as UTF-8 and bring it again."),
        _ => Message::new("It cannot be read: {why}").with("why", Arg::text(error.to_string())),
    }
}
