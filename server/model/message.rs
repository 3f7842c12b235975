//! What is said to a person, before it is words: an English sentence as key, and typed arguments.
//!
//! Nothing below `web` speaks. Findings and errors carry a [`Message`]; the page says it in the reader's language and
//! units, so a figure travels as a figure and a moment as a moment.

use jiff::civil::Date;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Unit;

/// One sentence with its arguments: `{name}` in the key stands for the argument of that name, `{Name}` for the same
/// with a capital. `<b>` and `</b>` may mark what matters in it; there is no other markup.
///
/// ```
/// use keepwell::model::message::Arg;
/// use keepwell::model::message::Message;
/// let message = Message::new("{vessel} was last dipped {days} days ago.")
///     .with("vessel", Arg::text("East"))
///     .with("days", Arg::Count(41));
/// assert_eq!(message.args.len(), 2);
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Message {
    /// the English sentence, which is also the key to its translations
    pub key: &'static str,
    /// what fills its places
    pub args: Vec<(&'static str, Arg)>,
}

/// What may stand in a message.
#[derive(Clone, Debug, PartialEq)]
pub enum Arg {
    /// one of our own words, to be translated
    Word(&'static str),
    /// what a person wrote: a name, something typed; shown as it is
    Text(String),
    /// a figure in its metric unit, rounded for reading
    Figure(f64, Unit),
    /// a figure in its metric unit, not rounded: a limit, a value that was refused
    Exact(f64, Unit),
    /// how many
    Count(u64),
    /// how many of something, with its singular and plural: `{n} can`, `{n} cans`
    Counted {
        /// how many
        count: u64,
        /// the words for one
        one: &'static str,
        /// the words for another number
        other: &'static str,
    },
    /// a point in time, as a day and an hour
    Moment(Moment),
    /// a point in time, as a day with its weekday
    Day(Moment),
    /// how long ago a point in time is
    Ago(Moment),
    /// a calendar date
    Date(Date),
    /// another message within this one
    Message(Box<Message>),
}

impl Message {
    /// A message that has no arguments yet.
    #[must_use]
    pub const fn new(key: &'static str) -> Self {
        Self { key, args: Vec::new() }
    }

    /// The same message with one more argument.
    #[must_use]
    pub fn with(mut self, name: &'static str, arg: Arg) -> Self {
        self.args.push((name, arg));
        self
    }
}

impl Arg {
    /// What a person wrote.
    #[must_use]
    pub fn text(text: impl Into<String>) -> Self {
        Self::Text(text.into())
    }
}

impl From<Message> for Arg {
    fn from(message: Message) -> Self {
        Self::Message(Box::new(message))
    }
}
