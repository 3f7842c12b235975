//! A coordinator's spreadsheets, saved as CSV, read into a plan of what to keep: all of it, or a list of everything that
//! is wrong with it.
//!
//! Pure: what is kept already comes in as arguments, the plan goes out, and the caller keeps it whole or not at all. A
//! dry run shows the plan's counts and drops it. How a file becomes a plan:
//!
//! 1. `decode`: bytes to text;
//! 2. `table`: text to lines of cells;
//! 3. `columns`, `heading`: which kind of file it is, and which of its columns is which, in what unit;
//! 4. `row` with `number`, `unit`, `when`: cells to figures, times, choices, checked once;
//! 5. `sites`, `vessels`, `people`, `readings`, `fuel`: rows to things and entries, on a `draft` of the set-up.
//!
//! What holds throughout: an empty cell says nothing, so it changes nothing of what is kept; a row that says what is
//! kept already is counted and skipped, so the same file twice changes nothing.

mod columns;
mod decode;
mod draft;
mod fuel;
mod heading;
mod number;
mod people;
mod readings;
mod row;
mod sites;
mod table;
mod template;
#[cfg(test)]
mod tests;
mod unit;
mod vessels;
mod wall;
mod when;

use std::collections::HashSet;

use jiff::Timestamp;
use jiff::tz::TimeZone;

use crate::model::choice::Choice;
use crate::model::entry::Entry;
use crate::model::id::PersonId;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::neighbourhood::Units;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::service::import::draft::Draft;
use crate::service::import::heading::Sheet;
use crate::service::import::row::Asked;
use crate::service::import::row::Row;
use crate::service::records::SHEETS;

pub use template::template;

/// The headings a kind of file may have, and whether it must have each.
#[must_use]
pub fn headings(kind: Kind) -> Vec<(String, bool)> {
    let columns = columns::columns(kind);
    columns.iter().map(|column| (column.name().to_owned(), column.required)).collect()
}

/// A file as it was sent. Its name is only for finding the way back to it.
#[derive(Clone, Copy, Debug)]
pub struct File<'a> {
    pub name: &'a str,
    pub bytes: &'a [u8],
}

/// What the ledger holds already, by [`Entry::hash`].
#[derive(Clone, Debug, Default)]
pub struct Existing {
    pub entries: HashSet<[u8; 32]>,
}

/// The kinds of file, told apart by their headings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Kind {
    Sites,
    Vessels,
    People,
    Readings,
    Fuel,
}

impl Choice for Kind {
    /// In the order they are read: each may name what the ones before it bring.
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Sites, "sites", "sites"),
        (Self::Vessels, "vessels", "vessels"),
        (Self::People, "people", "people and animals"),
        (Self::Readings, "readings", "levels read"),
        (Self::Fuel, "fuel", "fuel"),
    ];
}

/// What to keep. Things come in the order in which they name each other; a change comes with the revision it began
/// from.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    pub things: Vec<(Thing, Option<i64>)>,
    pub entries: Vec<Entry>,
    pub counts: Counts,
}

impl Plan {
    /// Whether there is nothing to keep.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.things.is_empty() && self.entries.is_empty()
    }
}

/// How many rows of a kind bring something.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    pub added: u64,
    pub changed: u64,
    /// there already, with the same content
    pub skipped: u64,
}

impl Tally {
    pub(in crate::service) const fn count(&mut self, outcome: Outcome) {
        match outcome {
            Outcome::Added => self.added += 1,
            Outcome::Changed => self.changed += 1,
            Outcome::Skipped => self.skipped += 1,
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::service) enum Outcome {
    Added,
    Changed,
    Skipped,
}

/// What an import brings, for the page and the command line. Rows of the file are counted; of sources and banks, which
/// are only named in other rows, those that are new.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    pub sites: Tally,
    pub vessels: Tally,
    pub people: Tally,
    pub readings: Tally,
    /// made from the dates on which vessels were last filled
    pub fills: Tally,
    pub fuel: Tally,
    pub sources: Tally,
    pub banks: Tally,
    /// of whole records, by their files, the ledger's last
    pub records: [Tally; SHEETS.len() + 1],
}

impl Counts {
    /// Each kind with its label and tally, those of which the import says nothing left out.
    #[must_use]
    pub fn lines(&self) -> Vec<(&'static str, Tally)> {
        let all = [
            (Kind::Sites.label(), self.sites),
            (Kind::Vessels.label(), self.vessels),
            (Kind::People.label(), self.people),
            (Kind::Readings.label(), self.readings),
            ("fills", self.fills),
            (Kind::Fuel.label(), self.fuel),
            ("sources", self.sources),
            ("banks", self.banks),
        ];
        let files = SHEETS.iter().map(|sheet| sheet.label).chain(["entries"]);
        all.into_iter().chain(files.zip(self.records)).filter(|line| line.1 != Tally::default()).collect()
    }

    /// The same as sentences.
    #[must_use]
    pub fn said(&self) -> Vec<Message> {
        let say = |(label, tally): (&'static str, Tally)| {
            Message::new("{Kind}: {added} added, {changed} changed, {skipped} there already.")
                .with("kind", Arg::Word(label))
                .with("added", Arg::Count(tally.added))
                .with("changed", Arg::Count(tally.changed))
                .with("skipped", Arg::Count(tally.skipped))
        };
        self.lines().into_iter().map(say).collect()
    }
}

/// One thing that is wrong with a file.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    pub file: String,
    /// from 1, as a spreadsheet numbers its rows: a cell of several lines is one row
    pub line: usize,
    /// its heading as it was written, the spreadsheet's letter where there is none, empty for the whole line
    pub column: String,
    /// what stands there
    pub value: String,
    pub message: Message,
}

/// Reads the files of one import, in whatever order they come, each recognised by its headings.
///
/// `units` are those of figures whose heading names none, `zone` is the neighbourhood's, `by` is who sends the files.
///
/// # Errors
/// Everything that is wrong, file by file and line by line; then nothing may be kept.
pub fn read(
    set_up: &SetUp,
    existing: &Existing,
    files: &[File<'_>],
    units: Units,
    now: Timestamp,
    by: Option<PersonId>,
    zone: &TimeZone,
) -> Result<Plan, Vec<Fault>> {
    let mut faults = Vec::new();
    let mut sheets: Vec<Sheet> = files.iter().filter_map(|file| heading::sheet(*file, &mut faults)).collect();
    sheets.sort_by_key(|sheet| Kind::LIST.iter().position(|row| row.0 == sheet.kind));

    let asked = Asked { units, now, zone };
    let mut draft = Draft::of(set_up);
    draft.has_gaps = sheets.len() < files.len();
    for sheet in &sheets {
        let read_row: fn(&mut Row<'_>, &mut Draft) = match sheet.kind {
            Kind::Sites => sites::read,
            Kind::Vessels => vessels::read,
            Kind::People => people::read,
            Kind::Readings => readings::read,
            Kind::Fuel => fuel::read,
        };
        for line in &sheet.lines {
            read_row(&mut Row::new(sheet, line, &asked, &mut faults), &mut draft);
        }
    }
    let plan = draft.plan(existing, now, by, &mut faults);
    if faults.is_empty() {
        return Ok(plan);
    }
    let place = |fault: &Fault| files.iter().position(|file| file.name == fault.file);
    faults.sort_by_key(|fault| (place(fault), fault.line));
    Err(faults)
}
