//! What may stand in the API's JSON, described once. What comes in is checked against the description (`check`), the
//! OpenAPI document and our own page are made from it (`schema`), so that none of them can say something else than another.

use keepwell_engine::quantity::Measure;

use crate::model::entry::Kind;

/// An object of the API: its name in the document, what it is, its members.
#[derive(Debug)]
pub struct Object {
    pub name: &'static str,
    pub about: &'static str,
    pub members: &'static [Member],
}

/// One member of an object, or one parameter of an address.
#[derive(Clone, Copy, Debug)]
pub struct Member {
    pub key: &'static str,
    pub about: &'static str,
    pub what: What,
    pub must: Must,
}

/// Whether a member may be missing. In an answer every member stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Must {
    /// it may not
    Needed,
    /// where it is missing, what is usual holds
    Usual,
    /// where it is missing or null there is none
    Maybe,
}

impl Member {
    #[must_use]
    pub const fn needed(key: &'static str, about: &'static str, what: What) -> Self {
        Self { key, about, what, must: Must::Needed }
    }

    #[must_use]
    pub const fn usual(key: &'static str, about: &'static str, what: What) -> Self {
        Self { key, about, what, must: Must::Usual }
    }

    #[must_use]
    pub const fn maybe(key: &'static str, about: &'static str, what: What) -> Self {
        Self { key, about, what, must: Must::Maybe }
    }
}

/// A closed list: keys and labels.
pub type Options = fn() -> Vec<(&'static str, &'static str)>;

/// What may stand in a place.
#[derive(Clone, Copy, Debug)]
pub enum What {
    /// the id of a thing
    Id,
    /// an id made by whoever sends it: a UUID of version 7, so that things sort by the time they were made
    Fresh,
    /// a name: 1 to 80 characters on one line
    Name,
    /// words, so many characters at most
    Text(usize),
    /// a figure in a measure's unit and range
    Figure(&'static Measure),
    /// a whole number in a measure's range
    Whole(&'static Measure),
    /// a whole number between these
    Count(u64, u64),
    /// a figure that was reckoned; the key names its unit
    Number,
    Flag,
    /// one key of a closed list
    Choice(Options),
    /// RFC 3339, with its offset
    Moment,
    /// a civil date
    Date,
    /// so many at most
    List(&'static What, usize),
    /// figures by key, each with its measure
    Figures(fn() -> Vec<(&'static str, &'static Measure)>),
    /// the same to change: null takes one away
    FiguresPatch(fn() -> Vec<(&'static str, &'static Measure)>),
    /// rows of two figures
    Pairs(&'static Measure, &'static Measure, usize),
    Object(&'static Object),
    /// an object as it is sent to be kept: with an id of the sender's own
    New(&'static Object),
    /// members to change, as a merge patch (RFC 7396)
    Patch(&'static Object),
    /// an object as it is kept: with its id and its revision
    Kept(&'static Object),
    /// one page of a list, and the address of the next
    Page(&'static What),
    /// the fields of a kind of entry
    Fields(Kind),
    /// an entry to be logged, of any kind
    NewEntry,
    /// entries to be logged together; each is checked for itself
    Batch,
    /// an entry of the ledger
    Entry,
    /// any object: a thing as the record of changes holds it
    Record,
}

impl What {
    /// The same within a merge patch: what has members of its own is changed member by member.
    #[must_use]
    pub const fn to_change(self) -> Self {
        match self {
            Self::Object(object) => Self::Patch(object),
            Self::Figures(known) => Self::FiguresPatch(known),
            other => other,
        }
    }
}

/// Most of what a list holds that has no limit of its own.
pub const MANY: usize = 10_000;
/// Entries in one batch at most.
pub const BATCH: usize = 1000;
/// Most that are answered on one page of a list.
pub const A_PAGE: u64 = 500;

/// The parameters of every list: where it goes on, and how many at once.
pub const AFTER: Member =
    Member::maybe("after", "where the list goes on: the cursor in the address of the next page", What::Text(200));
pub const LIMIT: Member = Member::maybe("limit", "how many at once; 100 where none is named", What::Count(1, A_PAGE));
