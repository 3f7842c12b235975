//! What a person called something.

use core::fmt;

use serde::{Deserialize, Serialize};

use crate::model::message::Message;

/// A name: 1 to 80 characters on one line. Quotes, tags, emoji and right-to-left text are names like any other;
/// control characters are not.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Name(String);

impl Name {
    pub const LONGEST: usize = 80;

    /// # Errors
    /// Says what is wrong with it.
    pub fn new(text: &str) -> Result<Self, Message> {
        let text = text.trim();
        if text.is_empty() {
            return Err(Message::new("Give it a name."));
        }
        if text.chars().count() > Self::LONGEST {
            return Err(Message::new("A name has 80 characters at most."));
        }
        if text.chars().any(char::is_control) {
            return Err(Message::new("A name stands on one line, without control characters."));
        }
        Ok(Self(text.to_owned()))
    }

    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl TryFrom<String> for Name {
    type Error = String;

    fn try_from(text: String) -> Result<Self, String> {
        Self::new(&text).map_err(|message| message.key.to_owned())
    }
}

impl From<Name> for String {
    fn from(name: Name) -> Self {
        name.0
    }
}

impl fmt::Display for Name {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}
