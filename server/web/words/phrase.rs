//! A phrase: words with places for arguments, and where the emphasis lies.

use core::fmt;

use askama::FastWritable;
use askama::Values;
use askama::filters::Escaper;
use askama::filters::Html;
use askama::filters::HtmlSafe;
use askama::filters::Safe;

/// Words with places to fill. Written into a page it is HTML, with `<b>` kept and all else escaped; as text (`Display`)
/// it is plain. A place that nobody filled fails the page, so that no reader meets a `{name}`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Phrase(Vec<Piece>);

#[derive(Clone, Debug, PartialEq)]
enum Piece {
    Text(String),
    Place(String),
    Strong { opens: bool },
    Markup(String),
}

impl Phrase {
    /// Reads our own words: `{name}` is a place, `<b>` and `</b>` are emphasis, all else is text.
    #[must_use]
    pub fn read(words: &str) -> Self {
        let mut pieces = Vec::new();
        let mut text = String::new();
        let mut rest = words;
        while let Some(first) = rest.chars().next() {
            let (piece, length) = if let Some(after) = rest.strip_prefix("<b>") {
                (Some(Piece::Strong { opens: true }), rest.len() - after.len())
            } else if let Some(after) = rest.strip_prefix("</b>") {
                (Some(Piece::Strong { opens: false }), rest.len() - after.len())
            } else if let Some(name) = place(rest) {
                (Some(Piece::Place(name.to_owned())), name.len() + 2)
            } else {
                text.push(first);
                (None, first.len_utf8())
            };
            if let Some(piece) = piece {
                if !text.is_empty() {
                    pieces.push(Piece::Text(std::mem::take(&mut text)));
                }
                pieces.push(piece);
            }
            rest = &rest[length..];
        }
        if !text.is_empty() {
            pieces.push(Piece::Text(text));
        }
        Self(pieces)
    }

    /// Text that is not ours: nothing in it is a place or emphasis.
    #[must_use]
    pub fn verbatim(text: impl Into<String>) -> Self {
        Self(vec![Piece::Text(text.into())])
    }

    /// The names of the places that are still open.
    pub fn places(&self) -> impl Iterator<Item = &str> {
        self.0.iter().filter_map(|piece| match piece {
            Piece::Place(name) => Some(name.as_str()),
            _ => None,
        })
    }

    /// The phrase with its place `{name}` filled; `{Name}` takes the same with a capital.
    #[must_use]
    pub fn with(self, name: &str, value: impl Fill) -> Self {
        let value = value.phrase();
        let capital = capitalised(name);
        let mut pieces = Vec::with_capacity(self.0.len());
        for piece in self.0 {
            match piece {
                Piece::Place(place) if place == name => pieces.extend(value.0.iter().cloned()),
                Piece::Place(place) if place == capital => pieces.extend(value.clone().capital().0),
                other => pieces.push(other),
            }
        }
        Self(pieces)
    }

    /// The phrase as a sentence begins: its first letter a capital, unless the word has its own (pH).
    #[must_use]
    pub fn capital(mut self) -> Self {
        if let Some(Piece::Text(text)) = self.0.iter_mut().find(|piece| !matches!(piece, Piece::Strong { .. })) {
            *text = capitalised(text);
        }
        self
    }
}

/// The text with a capital first letter, unless its second letter is one already: "pH" stays.
fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    match letters.next() {
        Some(first) if !letters.clone().next().is_some_and(char::is_uppercase) => {
            first.to_uppercase().chain(letters).collect()
        }
        _ => text.to_owned(),
    }
}

/// The name of the place that the text begins with.
fn place(text: &str) -> Option<&str> {
    let (name, _) = text.strip_prefix('{')?.split_once('}')?;
    let is_name = !name.is_empty() && name.chars().all(|c| c.is_ascii_alphanumeric() || c == '_');
    is_name.then_some(name)
}

impl fmt::Display for Phrase {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for piece in &self.0 {
            match piece {
                Piece::Text(text) | Piece::Markup(text) => f.write_str(text)?,
                Piece::Place(name) => write!(f, "{{{name}}}")?,
                Piece::Strong { .. } => {}
            }
        }
        Ok(())
    }
}

impl FastWritable for Phrase {
    fn write_into(&self, dest: &mut dyn fmt::Write, _: &dyn Values) -> askama::Result<()> {
        for piece in &self.0 {
            match piece {
                Piece::Text(text) => Html.write_escaped_str(&mut *dest, text)?,
                Piece::Markup(markup) => dest.write_str(markup)?,
                Piece::Strong { opens: true } => dest.write_str("<b>")?,
                Piece::Strong { opens: false } => dest.write_str("</b>")?,
                Piece::Place(name) => {
                    return Err(askama::Error::custom(format!("nothing fills {{{name}}} in \"{self}\"")));
                }
            }
        }
        Ok(())
    }
}

impl HtmlSafe for Phrase {}

/// What may fill a place in a phrase. Bare numbers may not: a figure has a unit or is a count, and a filter for that.
pub trait Fill {
    /// itself, as a phrase
    fn phrase(&self) -> Phrase;
}

impl<T: Fill + ?Sized> Fill for &T {
    fn phrase(&self) -> Phrase {
        (**self).phrase()
    }
}

impl Fill for str {
    fn phrase(&self) -> Phrase {
        Phrase::verbatim(self)
    }
}

impl Fill for String {
    fn phrase(&self) -> Phrase {
        Phrase::verbatim(self.as_str())
    }
}

impl Fill for Phrase {
    fn phrase(&self) -> Phrase {
        self.clone()
    }
}

/// Markup made by one of our own filters or templates, such as a link.
impl Fill for Safe<String> {
    fn phrase(&self) -> Phrase {
        Phrase(vec![Piece::Markup(self.0.clone())])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn html(phrase: &Phrase) -> askama::Result<String> {
        let mut page = String::new();
        phrase.write_into(&mut page, askama::NO_VALUES)?;
        Ok(page)
    }

    #[test]
    fn emphasis_is_kept_and_everything_else_is_escaped() {
        let phrase = Phrase::read("<b>{What}</b> gives out first & <i>now</i>, on day {n}.");
        let phrase = phrase.with("what", "propane <script>").with("n", "1.9");
        assert_eq!(
            html(&phrase).unwrap(),
            "<b>Propane &#60;script&#62;</b> gives out first &#38; &#60;i&#62;now&#60;/i&#62;, on day 1.9."
        );
        assert_eq!(phrase.to_string(), "Propane <script> gives out first & <i>now</i>, on day 1.9.");
    }

    #[test]
    fn what_fills_a_place_is_never_read_as_a_place() {
        let phrase = Phrase::read("{a} and {b}").with("a", "{b} <b>").with("b", "two");
        assert_eq!(phrase.to_string(), "{b} <b> and two");
        assert_eq!(html(&phrase).unwrap(), "{b} &#60;b&#62; and two");
    }

    #[test]
    fn an_open_place_fails_the_page() {
        let error = html(&Phrase::read("{litres} left").with("other", "1")).unwrap_err();
        assert!(error.to_string().contains("{litres}"), "{error}");
    }

    #[test]
    fn braces_that_name_nothing_are_text() {
        for text in ["{", "}", "{}", "{ }", "{a b}", "a {é} b", "{unclosed"] {
            assert_eq!(html(&Phrase::read(text)).unwrap(), text);
        }
    }

    #[test]
    fn a_capital_leaves_a_word_with_its_own_alone() {
        for (word, sentence) in [("depth", "Depth"), ("pH", "pH"), ("élevé", "Élevé"), ("", "")] {
            assert_eq!(Phrase::read("{Field}").with("field", word).to_string(), sentence);
        }
    }
}
