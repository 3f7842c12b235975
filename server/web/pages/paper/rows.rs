//! The rows of a log sheet, as typed in: each becomes one entry with its own time, or is told what is wrong with it, by
//! column. Blank rows are nothing; a blank date or time is that of the row above, as people write.

use jiff::Timestamp;
use keepwell_engine::quantity::CONTAINERS_FULL;
use keepwell_engine::quantity::DEPTH;
use keepwell_engine::quantity::DOSE_VOLUME;
use keepwell_engine::quantity::FREE_CHLORINE;
use keepwell_engine::quantity::Measure;
use keepwell_engine::quantity::VOLUME;
use serde_json::Value;

use crate::model::choice::Choice;
use crate::model::entry::Act;
use crate::model::entry::fields::Values;
use crate::model::id::SourceId;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::vessel::ShapeKind;
use crate::picture::Picture;
use crate::picture::SitePicture;
use crate::picture::VesselPicture;
use crate::service::entries::New;
use crate::web::input::parse_date;
use crate::web::input::parse_measure;
use crate::web::input::parse_when;
use crate::web::pages::paper::columns::Column;
use crate::web::pages::paper::columns::Fault;
use crate::web::pages::paper::columns::Row;
use crate::web::pages::paper::columns::What;
use crate::web::pages::paper::letters::capitals;
use crate::web::pages::paper::measure::small;
use crate::web::reader::Reader;
use crate::web::shown;

/// What is wrong with one row, by column.
type Wrong = Vec<(Column, Message)>;

/// Where the rows are read.
pub struct Sheet<'a> {
    pub picture: &'a Picture,
    pub site: &'a SitePicture,
    pub letters: Vec<(String, &'a VesselPicture)>,
    pub reader: &'a Reader,
}

impl Sheet<'_> {
    /// Each row that is not blank, by its place, as the entry it stands for.
    ///
    /// # Errors
    /// Everything that cannot be read.
    pub fn entries(&self, rows: &[Row]) -> Result<Vec<(usize, New)>, Vec<Fault>> {
        let (mut found, mut faults) = (Vec::new(), Vec::new());
        let (mut date, mut time) = (String::new(), String::new());
        for (place, row) in rows.iter().enumerate().filter(|(_, row)| !row.is_blank()) {
            for (cell, carried) in [(row.cell(Column::Date), &mut date), (row.cell(Column::Time), &mut time)] {
                if !cell.is_empty() {
                    cell.clone_into(carried);
                }
            }
            let at = self.when(&date, &time);
            let act = self.act(row);
            match (at, act) {
                (Ok(at), Ok((vessel, act))) => {
                    let vessel = vessel.map(|vessel| vessel.vessel.id);
                    let new = New { id: row.id, site: Some(self.site.site.id), vessel, at, act };
                    found.push((place, new));
                }
                (at, act) => {
                    let all = at.err().into_iter().chain(act.err().unwrap_or_default());
                    faults.extend(all.map(|(column, message)| Fault { row: place, column, message }));
                }
            }
        }
        if faults.is_empty() { Ok(found) } else { Err(faults) }
    }

    fn when(&self, date: &str, time: &str) -> Result<Timestamp, (Column, Message)> {
        let missing = |column, words| Err((column, Message::new(words)));
        if date.is_empty() {
            return missing(Column::Date, "Say which day; a blank date is that of the row above, and there is none.");
        }
        parse_date(date, self.reader).map_err(|message| (Column::Date, message))?;
        if time.is_empty() {
            return missing(
                Column::Time,
                "Say at what hour, such as 07:40; a blank time is that of the row above, and there is none.",
            );
        }
        parse_when(&format!("{date} {time}"), self.reader).map_err(|message| (Column::Time, message))
    }

    fn act(&self, row: &Row) -> Result<(Option<&VesselPicture>, Act), Wrong> {
        let typed = row.cell(Column::What);
        let what = What::all().find(|what| what.key().eq_ignore_ascii_case(typed));
        let Some(what) = what else { return Err(vec![(Column::What, unknown_letter(typed))]) };
        let mut wrong = strangers(what, row);
        let (from, into) = self.vessels(what, row.cell(Column::Vessel)).unwrap_or_else(|message| {
            wrong.push((Column::Vessel, message));
            (None, None)
        });
        let mut values = Values::new();
        let mut read = Reading { sheet: self, row, values: &mut values, wrong: &mut wrong };
        match (what, from) {
            (What::Fault, _) => read.fault(),
            // Without its vessel nothing more can be said of it.
            (_, None) => {}
            (What::Read, Some(vessel)) => read.level(vessel),
            (What::Filled, Some(vessel)) => read.fill(vessel),
            (What::Drew, Some(_)) => read.amount_or("to_outlet"),
            (What::Moved, Some(_)) => {
                if let Some(into) = into {
                    read.put("to", into.vessel.id.to_string());
                }
                read.needed(Column::Litres, "litres", &VOLUME, "Write how much was moved.");
            }
            (What::PouredAway, Some(_)) => read.poured(),
            (What::Tested, Some(_)) => {
                read.needed(Column::Chlorine, "free_mg_l", &FREE_CHLORINE, "Write the free chlorine that was found.");
            }
            (What::Dosed, Some(_)) => read.dose(),
        }
        read.note();
        if !wrong.is_empty() {
            return Err(wrong);
        }
        let place = |problem: crate::model::entry::fields::Problem| (column_of(problem.field), problem.message);
        let act = Act::parse(what.kind(), values);
        act.map(|act| (from, act)).map_err(|problems| problems.into_iter().map(place).collect())
    }

    /// The vessel of a row, and the one that water was moved into.
    fn vessels(&self, what: What, typed: &str) -> Result<(Option<&VesselPicture>, Option<&VesselPicture>), Message> {
        if what == What::Moved {
            let parted = typed.replace('→', ">").to_lowercase().replace(" to ", ">");
            let Some((from, into)) = parted.split_once('>') else {
                return Err(Message::new("Write both vessels of a move, such as E>W: out of E, into W."));
            };
            let (from, into) = (self.vessel(from)?, self.vessel(into)?);
            if from.vessel.id == into.vessel.id {
                return Err(Message::new("A move goes from one vessel into another; both are the same."));
            }
            return Ok((Some(from), Some(into)));
        }
        match (what, typed) {
            (What::Fault, "") => Ok((None, None)),
            _ => self.vessel(typed).map(|vessel| (Some(vessel), None)),
        }
    }

    fn vessel(&self, typed: &str) -> Result<&VesselPicture, Message> {
        let wanted = capitals(typed);
        let lettered = self.letters.iter().find(|(letters, _)| capitals(letters) == wanted);
        let named = || {
            let mut all = self.letters.iter().filter(|(_, vessel)| capitals(vessel.vessel.name.as_str()) == wanted);
            all.next().filter(|_| all.next().is_none())
        };
        if let Some((_, vessel)) = lettered.or_else(named).filter(|_| !wanted.is_empty()) {
            return Ok(vessel);
        }
        let known: Vec<String> =
            self.letters.iter().map(|(letters, vessel)| format!("{letters} {}", vessel.vessel.name)).collect();
        let known = Arg::text(known.join(", "));
        Err(if wanted.is_empty() {
            Message::new("Say which vessel: {known}.").with("known", known)
        } else {
            Message::new("“{typed}” is no vessel of this site. There are: {known}.")
                .with("typed", Arg::text(clip(typed)))
                .with("known", known)
        })
    }

    /// What a vessel is usually filled from.
    fn supply(&self, vessel: &VesselPicture) -> Option<SourceId> {
        let own = vessel.vessel.source.or_else(|| self.site.site.sources.first().copied());
        let mut all = self.picture.set_up.sources.keys().copied();
        let only = all.next().filter(|_| all.next().is_none());
        own.or(only)
    }
}

fn unknown_letter(typed: &str) -> Message {
    let known: Vec<&str> = What::all().map(What::key).collect();
    let known = Arg::text(known.join(", "));
    if typed.is_empty() {
        return Message::new("Say what was done, by its letter: {known}.").with("known", known);
    }
    Message::new("“{typed}” is none of the letters: {known}.")
        .with("typed", Arg::text(clip(typed)))
        .with("known", known)
}

/// Figures that a row of that kind does not have: rather a question than a figure lost.
fn strangers(what: What, row: &Row) -> Wrong {
    let figures = [Column::Depth, Column::Litres, Column::Chlorine];
    let stray = figures.into_iter().filter(|one| !what.figures().contains(one) && !row.cell(*one).is_empty());
    stray
        .map(|column| {
            let message = Message::new("“{what}” takes no {column}. Give it a row of its own, or leave it blank.")
                .with("what", Arg::Word(what.label()))
                .with("column", Arg::Word(column.label()));
            (column, message)
        })
        .collect()
}

fn column_of(field: &str) -> Column {
    match field {
        "depth_m" | "full" | "from" => Column::Depth,
        "litres" | "amount_l" => Column::Litres,
        "free_mg_l" => Column::Chlorine,
        "note" => Column::Note,
        "at" => Column::Time,
        "to" | "vessel" | "source" => Column::Vessel,
        _ => Column::What,
    }
}

/// The column of a fault that the service found.
pub fn placed(row: usize, problem: crate::model::entry::fields::Problem) -> Fault {
    Fault { row, column: column_of(problem.field), message: problem.message }
}

fn clip(typed: &str) -> String {
    typed.chars().take(40).collect()
}

/// "All" in place of a figure.
fn is_all(text: &str, reader: &Reader) -> bool {
    text.eq_ignore_ascii_case("all") || text.to_lowercase() == reader.word("all").to_lowercase()
}

/// One row on its way to an act's values.
struct Reading<'a, 'b> {
    sheet: &'a Sheet<'b>,
    row: &'a Row,
    values: &'a mut Values,
    wrong: &'a mut Wrong,
}

impl Reading<'_, '_> {
    fn put(&mut self, key: &str, value: impl Into<Value>) {
        self.values.insert(key.to_owned(), value.into());
    }

    fn wrong(&mut self, column: Column, words: &'static str) {
        self.wrong.push((column, Message::new(words)));
    }

    /// A figure with or without its unit; bare, it is in the unit at the head of its column.
    fn figure(&mut self, column: Column, text: &str, key: &str, measure: &'static Measure) {
        let bare = !text.chars().any(|letter| letter.is_alphabetic() || "'\"′″".contains(letter));
        let text = if bare && *measure == DEPTH {
            format!("{text} {}", small(self.sheet.reader.units).sign)
        } else {
            text.to_owned()
        };
        match parse_measure(&text, measure, self.sheet.reader) {
            Ok(value) => self.put(key, value),
            Err(message) => self.wrong.push((column, message)),
        }
    }

    fn needed(&mut self, column: Column, key: &str, measure: &'static Measure, missing: &'static str) {
        match self.row.cell(column).to_owned() {
            text if text.is_empty() => self.wrong(column, missing),
            text => self.figure(column, &text, key, measure),
        }
    }

    /// By depth, up or down; by litres; of a set, by how many are full.
    fn level(&mut self, vessel: &VesselPicture) {
        let set = vessel.vessel.shape == ShapeKind::Set;
        let (depth, litres) = (self.row.cell(Column::Depth).to_lowercase(), self.row.cell(Column::Litres).to_owned());
        match (depth.is_empty(), litres.is_empty()) {
            (true, true) => self.wrong(Column::Depth, "Write the depth that was read, or the amount in it."),
            (false, false) => self.wrong(Column::Litres, "A reading is a depth or an amount, not both."),
            (true, false) => {
                self.put("method", if set { "counted" } else { "sight_glass" });
                self.figure(Column::Litres, &litres, "litres", &VOLUME);
            }
            (false, true) if set => {
                self.put("method", "counted");
                self.figure(Column::Depth, &depth, "full", &CONTAINERS_FULL);
            }
            (false, true) => {
                self.put("method", "dipstick");
                let down = depth.strip_suffix("down").or_else(|| depth.strip_suffix(self.sheet.reader.word("down")));
                self.put("from", if down.is_some() { "rim" } else { "floor" });
                let depth = down.unwrap_or(&depth).trim().to_owned();
                self.figure(Column::Depth, &depth, "depth_m", &DEPTH);
            }
        }
    }

    fn fill(&mut self, vessel: &VesselPicture) {
        match self.sheet.supply(vessel) {
            Some(supply) => self.put("source", supply.to_string()),
            None => self.wrong(
                Column::Vessel,
                "Nobody has set up what it is filled from. Say so under Set-up, or log this fill by itself.",
            ),
        }
        match self.row.cell(Column::Litres).to_owned() {
            text if text.is_empty() || is_all(&text, self.sheet.reader) => self.put("to_top", true),
            text => self.figure(Column::Litres, &text, "litres", &VOLUME),
        }
    }

    /// An amount; all of it; or nobody knows.
    fn amount_or(&mut self, all: &str) {
        match self.row.cell(Column::Litres).to_owned() {
            text if text.is_empty() => {}
            text if is_all(&text, self.sheet.reader) => self.put(all, true),
            text => self.figure(Column::Litres, &text, "litres", &VOLUME),
        }
    }

    /// A drained vessel counts otherwise than one that lost a little: so which it was has to be said.
    fn poured(&mut self) {
        match self.row.cell(Column::Litres).to_owned() {
            text if text.is_empty() => {
                self.wrong(Column::Litres, "Write how much was poured away, or “all” if it was drained.");
            }
            text if is_all(&text, self.sheet.reader) => self.put("how_far", "drained"),
            text => {
                self.put("how_far", "some");
                self.figure(Column::Litres, &text, "litres", &VOLUME);
            }
        }
    }

    /// A bare number of bleach might be anything from drops to litres.
    fn dose(&mut self) {
        match self.row.cell(Column::Litres).to_owned() {
            text if text.is_empty() => {}
            text if text.chars().any(char::is_alphabetic) => {
                self.figure(Column::Litres, &text, "amount_l", &DOSE_VOLUME);
            }
            _ => self.wrong(Column::Litres, "Write the unit of a dose with it, such as 40 mL; or leave it blank."),
        }
    }

    fn fault(&mut self) {
        self.put("what", "other");
        if self.row.cell(Column::Note).is_empty() {
            self.wrong(Column::Note, "Write what is wrong, in the note.");
        }
    }

    /// Who did it stands in the note, for the entry is by whoever types it in.
    fn note(&mut self) {
        let (note, who) = (self.row.cell(Column::Note), self.row.cell(Column::Who));
        let words = match (note, who) {
            ("", "") => return,
            (note, "") => note.to_owned(),
            ("", who) => shown::words(self.sheet.reader, "by {who}").with("who", who).to_string(),
            (note, who) => {
                shown::words(self.sheet.reader, "{note} (by {who})").with("note", note).with("who", who).to_string()
            }
        };
        self.put("note", words);
    }
}
