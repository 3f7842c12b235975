//! The heading line: what kind of file it is, which column is which, and the unit that each names.

use keepwell_engine::quantity::Measure;
use keepwell_engine::quantity::Unit;

use crate::model::choice::Choice;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::service::import::Fault;
use crate::service::import::File;
use crate::service::import::Kind;
use crate::service::import::columns;
use crate::service::import::columns::Column;
use crate::service::import::columns::Takes;
use crate::service::import::decode;
use crate::service::import::number::Marks;
use crate::service::import::table;
use crate::service::import::table::Line;
use crate::service::import::table::Table;
use crate::service::import::unit;
use crate::service::import::unit::Written;

/// A file whose headings are understood.
pub struct Sheet {
    pub file: String,
    pub kind: Kind,
    pub columns: Vec<Column>,
    /// where each of the columns stands, if it does
    pub places: Vec<Option<Place>>,
    pub lines: Vec<Line>,
    pub marks: Marks,
}

/// A column found in a file.
#[derive(Clone, Debug)]
pub struct Place {
    pub index: usize,
    /// as it was written
    pub heading: String,
    /// the units it names; a table of pairs has two
    pub units: Vec<&'static Written>,
}

/// Reads a file as far as its headings; what is wrong so far goes to the faults, and the file no further.
pub fn sheet(file: File<'_>, faults: &mut Vec<Fault>) -> Option<Sheet> {
    let (mut table, comma_separates) = open(file, faults)?;
    if table.lines.is_empty() {
        faults.push(whole(file, 1, Message::new("The file is empty.")));
        return None;
    }
    let headings = table.lines.remove(0);
    let ragged = trim(file, &headings, &mut table.lines, faults);
    let kind = match kind_of(&headings.cells) {
        Ok(kind) => kind,
        Err(message) => {
            faults.push(whole(file, headings.number, message));
            return None;
        }
    };
    let columns = columns::columns(kind);
    let (places, units_known) = place(file, &headings, kind, &columns, faults);
    let mut readable = units_known;
    for column in columns.iter().zip(&places).filter(|(column, place)| column.required && place.is_none()) {
        let missing = Message::new("There is no column “{column}”. A file of {kind} has: {known}.")
            .with("column", Arg::text(column.0.name()))
            .with("kind", Arg::Word(kind.label()))
            .with("known", Arg::text(known(&columns)));
        faults.push(whole(file, headings.number, missing));
        readable = false;
    }
    if table.lines.is_empty() && !ragged {
        faults.push(whole(file, headings.number, Message::new("There are headings and no rows.")));
    }
    // Without them every row would be found wrong for the heading's fault.
    if !readable {
        return None;
    }
    let mut marks = Marks { comma_separates, ..Marks::default() };
    let figures = columns.iter().zip(&places).filter(|(column, _)| !matches!(column.takes, Takes::Words));
    for place in figures.filter_map(|(_, place)| place.as_ref()) {
        table.lines.iter().filter_map(|line| line.cells.get(place.index)).for_each(|cell| marks.see(cell));
    }
    Some(Sheet { file: file.name.to_owned(), kind, columns, places, lines: table.lines, marks })
}

/// The file as lines of cells, and whether commas separate them.
fn open(file: File<'_>, faults: &mut Vec<Fault>) -> Option<(Table, bool)> {
    let (text, unread) = match decode::decode(file.bytes) {
        Ok(text) => (text, None),
        Err(unread) => (unread.before, Some((unread.value, unread.message))),
    };
    let separator = table::separator(&text);
    let table = table::split(&text, separator);
    let wrong = unread.or_else(|| table.broken.as_ref().map(|broken| (broken.value.clone(), broken.message.clone())));
    let Some((value, message)) = wrong else { return Some((table, separator == ',')) };
    let headings = table.lines.first().filter(|line| line.number < table.end.line);
    let heading = headings.and_then(|line| line.cells.get(table.end.cell)).filter(|heading| !heading.is_empty());
    let column = heading.cloned().unwrap_or_else(|| letter(table.end.cell));
    faults.push(Fault { file: file.name.to_owned(), line: table.end.line, column, value, message });
    None
}

/// Takes off the empty cells to the right, and the lines that have not as many cells as there are headings; says
/// whether there were any.
fn trim(file: File<'_>, headings: &Line, lines: &mut Vec<Line>, faults: &mut Vec<Fault>) -> bool {
    let width = headings.cells.iter().rposition(|cell| !cell.is_empty()).map_or(0, |last| last + 1);
    let before = faults.len();
    lines.retain_mut(|line| {
        while line.cells.len() > width && line.cells.last().is_some_and(String::is_empty) {
            line.cells.pop();
        }
        let (cells, wanted) = (line.cells.len(), width);
        if cells == wanted {
            return true;
        }
        let message = Message::new("This line has {cells} cells; there are {wanted} headings.")
            .with("cells", Arg::Count(u64::try_from(cells).unwrap_or(u64::MAX)))
            .with("wanted", Arg::Count(u64::try_from(wanted).unwrap_or(u64::MAX)));
        let column = if cells > wanted { letter(wanted) } else { String::new() };
        let value = line.cells.get(wanted).cloned().unwrap_or_default();
        faults.push(Fault { file: file.name.to_owned(), line: line.number, column, value, message });
        false
    });
    faults.len() > before
}

/// The kind whose columns these are: the one that has all it requires, or else most of its columns.
fn kind_of(headings: &[String]) -> Result<Kind, Message> {
    let scored = Kind::LIST.iter().map(|row| {
        let columns = columns::columns(row.0);
        let found: Vec<usize> =
            headings.iter().filter_map(|heading| read(heading, &columns).ok().map(|found| found.0)).collect();
        let missing = columns.iter().enumerate().any(|(at, column)| column.required && !found.contains(&at));
        (!missing, found.len(), row.0)
    });
    // Of equals the first.
    let best = scored.reduce(|best, next| if (next.0, next.1) > (best.0, best.1) { next } else { best });
    match best {
        Some((whole, found, kind)) if whole || found >= 2 => Ok(kind),
        _ => {
            let kinds = Kind::LIST.iter().map(|row| format!("{} ({})", row.1, required(row.0))).collect::<Vec<_>>();
            Err(Message::new("These headings are of no kind of file that is known here. Known are: {kinds}.")
                .with("kinds", Arg::text(kinds.join("; "))))
        }
    }
}

fn required(kind: Kind) -> String {
    let columns = columns::columns(kind);
    columns.iter().filter(|column| column.required).map(Column::name).collect::<Vec<_>>().join(", ")
}

fn known(columns: &[Column]) -> String {
    columns.iter().map(Column::name).collect::<Vec<_>>().join(", ")
}

/// Where each column stands, and whether every unit is known.
fn place(
    file: File<'_>,
    headings: &Line,
    kind: Kind,
    columns: &[Column],
    faults: &mut Vec<Fault>,
) -> (Vec<Option<Place>>, bool) {
    let mut places: Vec<Option<Place>> = vec![None; columns.len()];
    let mut units_known = true;
    for (index, heading) in headings.cells.iter().enumerate() {
        let mut fault = |column: String, message: Message| {
            let (file, value) = (file.name.to_owned(), heading.clone());
            faults.push(Fault { file, line: headings.number, column, value, message });
        };
        if heading.is_empty() {
            let last = headings.cells.iter().rposition(|cell| !cell.is_empty());
            if last.is_some_and(|last| index < last) {
                fault(letter(index), Message::new("This column has no heading."));
            }
            continue;
        }
        match read(heading, columns) {
            Err(Unknown::Column) => fault(
                heading.clone(),
                Message::new("“{heading}” is no column of {kind}. Known are: {known}.")
                    .with("heading", Arg::text(heading.as_str()))
                    .with("kind", Arg::Word(kind.label()))
                    .with("known", Arg::text(known(columns))),
            ),
            Err(Unknown::Unit(message)) => {
                units_known = false;
                fault(heading.clone(), message);
            }
            Ok((at, units)) => match &places[at] {
                Some(other) => fault(
                    heading.clone(),
                    Message::new("“{heading}” says the same as “{other}”: leave one of the two out.")
                        .with("heading", Arg::text(heading.as_str()))
                        .with("other", Arg::text(other.heading.as_str())),
                ),
                None => places[at] = Some(Place { index, heading: heading.clone(), units }),
            },
        }
    }
    (places, units_known)
}

enum Unknown {
    Column,
    Unit(Message),
}

/// Which column a heading means, and its units: `Depth (cm)`, `depth_cm`, `gallons each`.
fn read(heading: &str, columns: &[Column]) -> Result<(usize, Vec<&'static Written>), Unknown> {
    let (base, bracket) = bracketed(heading);
    let name = plain_name(base);
    let of_name =
        |name: &str| columns.iter().position(|column| column.names.iter().any(|known| plain_name(known) == name));
    if let Some(at) = of_name(&name) {
        let units = match bracket {
            Some(text) => units(base, text, columns[at].takes).map_err(Unknown::Unit)?,
            None => own_unit(&name, columns[at].takes),
        };
        return Ok((at, units));
    }
    if name.contains("gallon") {
        let at = of_name(&name.replace("gallons", "litres").replace("gallon", "litre")).ok_or(Unknown::Column)?;
        return units(base, bracket.unwrap_or("gal"), columns[at].takes)
            .map(|units| (at, units))
            .map_err(Unknown::Unit);
    }
    let cut = base.trim().rfind(|c: char| c.is_whitespace() || c == '_').ok_or(Unknown::Column)?;
    let (name, unit) = base.trim().split_at(cut);
    let at = of_name(&plain_name(name)).ok_or(Unknown::Column)?;
    if bracket.is_some() {
        return Err(Unknown::Column);
    }
    units(base, &unit[1..], columns[at].takes).map(|units| (at, units)).map_err(|_| Unknown::Column)
}

/// A heading and what stands in brackets at its end.
fn bracketed(heading: &str) -> (&str, Option<&str>) {
    let open = heading.rfind(['(', '[']);
    let inside = open.and_then(|open| heading[open + 1..].trim_end().strip_suffix([')', ']']));
    match (open, inside) {
        (Some(open), Some(inside)) if !inside.trim().is_empty() => (&heading[..open], Some(inside.trim())),
        (Some(open), Some(_)) => (&heading[..open], None),
        _ => (heading, None),
    }
}

/// A heading for comparing: small letters and digits, in one spelling.
pub fn plain_name(heading: &str) -> String {
    let plain: String = heading.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect();
    plain.replace("liter", "litre")
}

/// A name that says litres means litres, in whichever system the rest is.
fn own_unit(name: &str, takes: Takes) -> Vec<&'static Written> {
    let of_volume = matches!(takes, Takes::Figure(Measure { unit: Unit::Litre, .. }));
    if of_volume && name.contains("litre") {
        unit::find("L", Unit::Litre, false).into_iter().collect()
    } else {
        Vec::new()
    }
}

fn units(heading: &str, text: &str, takes: Takes) -> Result<Vec<&'static Written>, Message> {
    let unknown = |allowed: String| {
        Message::new("{value} is no unit of {column}. Known are: {allowed}.")
            .with("value", Arg::text(text))
            .with("column", Arg::text(heading.trim()))
            .with("allowed", Arg::text(allowed))
    };
    let one = |unit: Unit, weighed: bool| {
        let found = unit::find(text, unit, weighed).map(|written| vec![written]);
        found.ok_or_else(|| unknown(unit::signs(unit, weighed)))
    };
    match takes {
        Takes::Words if plain_name(text) == "yesno" || plain_name(text) == "yesorno" => Ok(Vec::new()),
        Takes::Words => Err(Message::new("{column} has no unit; take “{value}” out of its heading.")
            .with("column", Arg::text(heading.trim()))
            .with("value", Arg::text(text))),
        Takes::Figure(measure) => one(measure.unit, false),
        Takes::Fuel(measure) => one(measure.unit, true),
        Takes::Pairs => {
            let both = text.split_once([':', ',', '/']).and_then(|(depth, litres)| {
                Some(vec![unit::find(depth, Unit::Metre, false)?, unit::find(litres, Unit::Litre, false)?])
            });
            both.ok_or_else(|| unknown("m:L, cm:L, mm:L, ft:gal, in:gal".to_owned()))
        }
    }
}

fn whole(file: File<'_>, line: usize, message: Message) -> Fault {
    Fault { file: file.name.to_owned(), line, column: String::new(), value: String::new(), message }
}

/// A column as a spreadsheet names it: A to Z, then AA.
pub fn letter(index: usize) -> String {
    let mut letters = Vec::new();
    let mut rest = index + 1;
    while rest > 0 {
        let digit = u8::try_from((rest - 1) % 26).unwrap_or_default();
        letters.push(char::from(b'A' + digit));
        rest = (rest - 1) / 26;
    }
    letters.iter().rev().collect()
}
