//! Bytes to text: UTF-8 with or without a byte-order mark, UTF-16 with one. Nothing is guessed and nothing replaced.

use crate::model::message::Arg;
use crate::model::message::Message;

/// Why a file is no text, with all that was read before the place.
pub struct Unread {
    pub before: String,
    pub value: String,
    pub message: Message,
}

pub fn decode(bytes: &[u8]) -> Result<String, Unread> {
    let text = match bytes {
        [0xEF, 0xBB, 0xBF, rest @ ..] => utf8(rest)?,
        [0xFF, 0xFE, rest @ ..] => utf16(rest, u16::from_le_bytes)?,
        [0xFE, 0xFF, rest @ ..] => utf16(rest, u16::from_be_bytes)?,
        rest => utf8(rest)?,
    };
    match text.char_indices().find(|(_, c)| c.is_control() && !matches!(c, '\t' | '\n' | '\r')) {
        None => Ok(text),
        Some((at, c)) => {
            let message = if c == '\0' {
                Message::new(
                    "There is a NUL character. If this is UTF-16, save it with its byte-order mark, or as UTF-8.",
                )
            } else {
                Message::new("There is a control character, {value}. Take it out.")
                    .with("value", Arg::text(format!("U+{:04X}", u32::from(c))))
            };
            Err(Unread { before: text[..at].to_owned(), value: format!("U+{:04X}", u32::from(c)), message })
        }
    }
}

fn utf8(bytes: &[u8]) -> Result<String, Unread> {
    let error = match core::str::from_utf8(bytes) {
        Ok(text) => return Ok(text.to_owned()),
        Err(error) => error,
    };
    let (before, rest) = bytes.split_at(error.valid_up_to());
    let value = rest.first().map_or_else(String::new, |byte| format!("0x{byte:02X}"));
    let message = Message::new("This is not UTF-8: there is a byte {value}. Save the file as “CSV UTF-8”.")
        .with("value", Arg::text(value.as_str()));
    Err(Unread { before: String::from_utf8_lossy(before).into_owned(), value, message })
}

fn utf16(bytes: &[u8], unit: fn([u8; 2]) -> u16) -> Result<String, Unread> {
    let (pairs, rest) = bytes.as_chunks::<2>();
    let mut text = String::with_capacity(bytes.len());
    for decoded in char::decode_utf16(pairs.iter().map(|pair| unit(*pair))) {
        match decoded {
            Ok(c) => text.push(c),
            Err(error) => {
                let value = format!("0x{:04X}", error.unpaired_surrogate());
                let message = Message::new("This is not UTF-16: {value} is half of a character.")
                    .with("value", Arg::text(value.as_str()));
                return Err(Unread { before: text, value, message });
            }
        }
    }
    match rest {
        [] => Ok(text),
        odd => {
            let value = odd.first().map_or_else(String::new, |byte| format!("0x{byte:02X}"));
            let message = Message::new("This is not UTF-16: it ends in half a character.");
            Err(Unread { before: text, value, message })
        }
    }
}
