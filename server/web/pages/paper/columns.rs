//! The columns and letters of a log sheet, and its rows as they were typed.

use crate::model::choice::Choice;
use crate::model::entry::Kind;
use crate::model::id::EntryId;
use crate::model::message::Message;
use crate::web::extract::Pairs;

/// The columns of the sheet, without the last, which is ticked by hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Column {
    Date,
    Time,
    Vessel,
    What,
    Depth,
    Litres,
    Chlorine,
    Note,
    Who,
}

impl Choice for Column {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Date, "date", "date"),
        (Self::Time, "time", "time"),
        (Self::Vessel, "vessel", "vessel"),
        (Self::What, "what", "what"),
        (Self::Depth, "depth", "depth"),
        (Self::Litres, "litres", "amount"),
        (Self::Chlorine, "chlorine", "free chlorine"),
        (Self::Note, "note", "note"),
        (Self::Who, "who", "who"),
    ];
}

impl Column {
    /// Every column, from the left.
    pub fn all() -> impl Iterator<Item = Self> {
        Self::LIST.iter().map(|row| row.0)
    }
}

/// What was done, by the letter of the sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum What {
    Read,
    Filled,
    Drew,
    Moved,
    PouredAway,
    Tested,
    Dosed,
    Fault,
}

impl Choice for What {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Read, "R", "read the level"),
        (Self::Filled, "F", "filled"),
        (Self::Drew, "D", "drew"),
        (Self::Moved, "M", "moved"),
        (Self::PouredAway, "P", "poured away"),
        (Self::Tested, "T", "tested"),
        (Self::Dosed, "C", "dosed with chlorine"),
        (Self::Fault, "X", "fault"),
    ];
}

impl What {
    /// Every letter, in the order of the sheet.
    pub fn all() -> impl Iterator<Item = Self> {
        Self::LIST.iter().map(|row| row.0)
    }

    pub const fn kind(self) -> Kind {
        match self {
            Self::Read => Kind::Reading,
            Self::Filled => Kind::Fill,
            Self::Drew => Kind::Draw,
            Self::Moved => Kind::Transfer,
            Self::PouredAway => Kind::Discard,
            Self::Tested => Kind::Test,
            Self::Dosed => Kind::Dose,
            Self::Fault => Kind::Wrong,
        }
    }

    /// The figures that a row of it has.
    pub const fn figures(self) -> &'static [Column] {
        match self {
            Self::Read => &[Column::Depth, Column::Litres],
            Self::Filled | Self::Drew | Self::Moved | Self::PouredAway | Self::Dosed => &[Column::Litres],
            Self::Tested => &[Column::Chlorine],
            Self::Fault => &[],
        }
    }
}

/// One row as it was typed.
#[derive(Clone, Debug)]
pub struct Row {
    /// the number its entry will have
    pub id: EntryId,
    cells: Vec<String>,
}

/// What is wrong with a cell.
#[derive(Clone, Debug)]
pub struct Fault {
    pub row: usize,
    pub column: Column,
    pub message: Message,
}

impl Row {
    pub fn blank() -> Self {
        Self { id: EntryId::fresh(), cells: Column::all().map(|_| String::new()).collect() }
    }

    /// The rows of a form that was sent; a row that lost its number has a new one.
    pub fn sent(typed: &Pairs, many: usize) -> Vec<Self> {
        let cell = |column: Column, row: usize| {
            typed.get(&format!("{}.{row}", column.key())).unwrap_or_default().trim().to_owned()
        };
        let row = |row: usize| Self {
            id: typed.get(&format!("id.{row}")).and_then(|id| id.parse().ok()).unwrap_or_else(EntryId::fresh),
            cells: Column::all().map(|column| cell(column, row)).collect(),
        };
        (0..many).map(row).collect()
    }

    pub fn cell(&self, column: Column) -> &str {
        self.cells.get(column as usize).map_or("", String::as_str)
    }

    pub fn is_blank(&self) -> bool {
        self.cells.iter().all(String::is_empty)
    }
}
