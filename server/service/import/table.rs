//! Text to lines of cells, by RFC 4180, with a semicolon or a tab for the comma where the file has them.
//!
//! Our own reader and not the csv crate's: that one reads on over a quote that is never closed or closed too early, and
//! counts no line at a lone carriage return, where we have to refuse by line and column.

use core::iter::Peekable;
use core::str::Chars;

use crate::model::message::Message;

/// What a file's cells may be separated by.
const SEPARATORS: [char; 3] = ['\t', ';', ','];

/// A line that is not empty.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// from 1, empty lines counted, a cell of several lines not
    pub number: usize,
    /// without the space around them
    pub cells: Vec<String>,
}

/// Where reading ended: the line, from 1, and the cell in it, from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct End {
    pub line: usize,
    pub cell: usize,
}

pub struct Table {
    pub lines: Vec<Line>,
    pub end: End,
    /// why it ended before the text did
    pub broken: Option<Broken>,
}

pub struct Broken {
    pub value: String,
    pub message: Message,
}

/// The separator that stands most often in the first line that has words in it, quoted ones left out; the comma where
/// none does.
pub fn separator(text: &str) -> char {
    let mut counts = [0_usize; SEPARATORS.len()];
    let (mut quoted, mut words) = (false, false);
    for c in text.chars() {
        match c {
            '"' => quoted = !quoted,
            _ if quoted => words |= c.is_alphanumeric(),
            '\n' | '\r' if words => break,
            '\n' | '\r' => counts = [0; SEPARATORS.len()],
            _ => {
                words |= c.is_alphanumeric();
                if let Some(which) = SEPARATORS.iter().position(|separator| *separator == c) {
                    counts[which] += 1;
                }
            }
        }
    }
    let most = counts.iter().max().copied().unwrap_or_default();
    let found = SEPARATORS.into_iter().zip(counts).find(|(_, count)| *count == most && most > 0);
    found.map_or(',', |(separator, _)| separator)
}

pub fn split(text: &str, separator: char) -> Table {
    let mut chars = text.chars().peekable();
    let mut table = Table { lines: Vec::new(), end: End { line: 1, cell: 0 }, broken: None };
    while chars.peek().is_some() {
        let mut line = Line { number: table.end.line, cells: Vec::new() };
        let stop = loop {
            let (cell, stop) = cell(&mut chars, separator);
            line.cells.push(cell.trim().to_owned());
            if stop != Stop::Cell {
                break stop;
            }
        };
        table.end.cell = line.cells.len() - 1;
        table.broken = stop.broken(line.cells.last());
        if line.cells.iter().any(|cell| !cell.is_empty()) {
            table.lines.push(line);
        }
        if table.broken.is_some() {
            break;
        }
        if stop == Stop::Line {
            table.end = End { line: table.end.line + 1, cell: 0 };
        }
    }
    table
}

/// What a cell ended with.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Stop {
    Cell,
    Line,
    Text,
    NeverClosed,
    AfterClosing,
}

impl Stop {
    fn broken(self, cell: Option<&String>) -> Option<Broken> {
        let message = match self {
            Self::Cell | Self::Line | Self::Text => return None,
            Self::NeverClosed => Message::new("A quotation mark is opened here and never closed."),
            Self::AfterClosing => Message::new(
                "There is text after the closing quotation mark. Within a quoted value each mark is written twice.",
            ),
        };
        // A mark that is never closed swallows the rest of the file: enough of it to find the place.
        let value = cell.map(|cell| cell.chars().take(60).collect()).unwrap_or_default();
        Some(Broken { value, message })
    }
}

fn cell(chars: &mut Peekable<Chars<'_>>, separator: char) -> (String, Stop) {
    let mut cell = String::new();
    if chars.next_if_eq(&'"').is_some() {
        loop {
            match chars.next() {
                None => return (cell, Stop::NeverClosed),
                Some('"') if chars.next_if_eq(&'"').is_some() => cell.push('"'),
                Some('"') => break,
                Some(c) => cell.push(c),
            }
        }
        while chars.next_if_eq(&' ').is_some() {}
        let stop = stop(chars, separator).unwrap_or(Stop::AfterClosing);
        return (cell, stop);
    }
    loop {
        if let Some(stop) = stop(chars, separator) {
            return (cell, stop);
        }
        cell.extend(chars.next());
    }
}

/// What ends the cell here, taken; none where it goes on.
fn stop(chars: &mut Peekable<Chars<'_>>, separator: char) -> Option<Stop> {
    let stop = match chars.peek() {
        None => return Some(Stop::Text),
        Some('\n' | '\r') => Stop::Line,
        Some(c) if *c == separator => Stop::Cell,
        Some(_) => return None,
    };
    if chars.next() == Some('\r') {
        chars.next_if_eq(&'\n');
    }
    Some(stop)
}
