//! Numbers as typed. The rule stands in the module above.

use crate::model::message::Arg;
use crate::model::message::Message;

/// More digits than any measured thing has.
const LONGEST: usize = 40;

/// How a lone comma before three digits is to be taken.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Marks {
    /// `1,234` is 1234: a form in English
    #[default]
    English,
    /// `1,234` is 1.234, and `1.234` is refused: a file known to write a comma before decimals
    DecimalComma,
    /// `1,234` is refused: a file of which nothing is known
    Unsure,
}

/// Why it is no number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Trouble {
    Empty,
    NotANumber,
    Ambiguous,
}

impl Trouble {
    pub(super) fn about(self, typed: &str) -> Message {
        match self {
            Self::Empty => Message::new("Write a number, such as 12.5."),
            Self::NotANumber => Message::new("“{typed}” is not a number. Write it like 1234.5 or 1,234.5.")
                .with("typed", clipped(typed)),
            Self::Ambiguous => {
                Message::new("“{typed}” may be read in two ways. Write it without marks between thousands.")
                    .with("typed", clipped(typed))
            }
        }
    }
}

/// What was typed, as far as it is worth repeating.
pub(super) fn clipped(typed: &str) -> Arg {
    let typed = typed.trim();
    if typed.chars().count() <= LONGEST {
        return Arg::text(typed);
    }
    Arg::text(typed.chars().take(LONGEST).chain("…".chars()).collect::<String>())
}

/// A bare number, read as in a form in English.
///
/// # Errors
/// What is wrong with it, in words.
///
/// ```
/// use keepwell::web::input::parse_number;
/// assert_eq!(parse_number("1,234.5"), Ok(1234.5));
/// assert_eq!(parse_number("1,5"), Ok(1.5));
/// assert!(parse_number("1,23,4").is_err());
/// ```
pub fn parse_number(text: &str) -> Result<f64, Message> {
    parse_marked_number(text, Marks::English)
}

/// A bare number from a file, whose marks may be another's.
///
/// # Errors
/// What is wrong with it, in words.
pub fn parse_marked_number(text: &str, marks: Marks) -> Result<f64, Message> {
    plain(text, marks).and_then(|plain| shifted(&plain, 0)).map_err(|trouble| trouble.about(text))
}

/// The number in plain digits with a point: `-1234.5`.
pub(super) fn plain(text: &str, marks: Marks) -> Result<String, Trouble> {
    let text = text.trim();
    if text.is_empty() {
        return Err(Trouble::Empty);
    }
    let (sign, number) = match text.strip_prefix(['-', '−']) {
        Some(rest) => ("-", rest.trim_start()),
        None => ("", text.strip_prefix('+').unwrap_or(text)),
    };
    if number.len() > 2 * LONGEST || !number.chars().all(|c| c.is_ascii_digit() || c == '.' || c == ',' || is_space(c))
    {
        return Err(Trouble::NotANumber);
    }
    let (decimal, group) = which_marks(number, marks)?;
    let (whole, decimals) = match decimal.and_then(|mark| number.split_once(mark)) {
        Some((whole, decimals)) => (whole, decimals),
        None => (number, ""),
    };
    let groups: Vec<&str> = match group {
        Some(mark) => whole.split(mark).collect(),
        None => whole.split(is_space).collect(),
    };
    let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    let well_grouped = match groups.as_slice() {
        [_] => true,
        [first, rest @ ..] => (1..=3).contains(&first.len()) && rest.iter().all(|group| group.len() == 3),
        [] => false,
    };
    let whole = groups.concat();
    if !well_grouped || !digits(&whole) || !digits(decimals) || (whole.is_empty() && decimals.is_empty()) {
        return Err(Trouble::NotANumber);
    }
    let whole = if whole.is_empty() { "0" } else { &whole };
    let point = if decimals.is_empty() { "" } else { "." };
    Ok(format!("{sign}{whole}{point}{decimals}"))
}

/// Which mark stands before the decimals, and which parts thousands.
fn which_marks(number: &str, marks: Marks) -> Result<(Option<char>, Option<char>), Trouble> {
    let count = |mark: char| number.matches(mark).count();
    Ok(match (count('.'), count(',')) {
        (0, 0) => (None, None),
        (1, 0) if marks == Marks::DecimalComma && like_thousands(number, '.') => return Err(Trouble::Ambiguous),
        (1, 0) => (Some('.'), None),
        (0, 1) if like_thousands(number, ',') => match marks {
            Marks::English => (None, Some(',')),
            Marks::DecimalComma => (Some(','), None),
            Marks::Unsure => return Err(Trouble::Ambiguous),
        },
        (0, 1) => (Some(','), None),
        (_, 0) => (None, Some('.')),
        (0, _) => (None, Some(',')),
        (points, commas) => {
            let point_is_last = number.rfind('.') > number.rfind(',');
            match (point_is_last, points, commas) {
                (true, 1, _) => (Some('.'), Some(',')),
                (false, _, 1) => (Some(','), Some('.')),
                _ => return Err(Trouble::NotANumber),
            }
        }
    })
}

/// Just three digits after the mark, one to three before it, the first of them not 0.
fn like_thousands(number: &str, mark: char) -> bool {
    number.split_once(mark).is_some_and(|(before, after)| {
        after.len() == 3 && (1..=3).contains(&before.len()) && !before.starts_with('0') && !before.contains(is_space)
    })
}

pub(super) fn is_space(c: char) -> bool {
    matches!(c, ' ' | '\u{a0}' | '\u{202f}' | '\u{2009}')
}

/// Plain digits times a power of ten, to the nearest number there is: shifting the point in the text rounds once,
/// so that 111.8 cm is stored as just what 1.118 m is.
pub(super) fn shifted(plain: &str, power: i32) -> Result<f64, Trouble> {
    let value: f64 = format!("{plain}e{power}").parse().map_err(|_| Trouble::NotANumber)?;
    // Adding zero makes a negative zero plain.
    if value.is_finite() { Ok(value + 0.0) } else { Err(Trouble::NotANumber) }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn commas_points_and_spaces_are_read_by_the_rule() {
        for (typed, plainly) in [
            ("12", "12"),
            ("12.5", "12.5"),
            ("1,5", "1.5"),
            ("1,234", "1234"),
            ("12,345", "12345"),
            ("0,125", "0.125"),
            ("1,2345", "1.2345"),
            ("1234,567", "1234.567"),
            ("1.118", "1.118"),
            ("1,234.5", "1234.5"),
            ("1.234,5", "1234.5"),
            ("1,234,567", "1234567"),
            ("1.234.567", "1234567"),
            ("1 234 567,25", "1234567.25"),
            ("1\u{202f}234", "1234"),
            (".5", "0.5"),
            ("5.", "5"),
            ("−3", "-3"),
            ("- 3", "-3"),
            ("+3", "3"),
            (" 7 ", "7"),
        ] {
            assert_eq!(plain(typed, Marks::English).as_deref(), Ok(plainly), "{typed}");
        }
    }

    #[test]
    fn what_is_no_number_is_refused() {
        for typed in [
            "NaN",
            "inf",
            "-inf",
            "1e3",
            "1,23,4",
            "1,2345,678",
            "1.2.3",
            "1,234.5.6",
            "1 23",
            "1,,000",
            ".",
            ",",
            "-",
            "--1",
            "1-",
            "0x10",
            "١٢",
            "½",
            "1_000",
            "1,234,5",
            "12 345 6",
            "1'234",
        ] {
            assert_eq!(plain(typed, Marks::English), Err(Trouble::NotANumber), "{typed}");
        }
        assert_eq!(plain(" ", Marks::English), Err(Trouble::Empty));
        assert!(parse_number(&"9".repeat(400)).is_err());
    }

    #[test]
    fn a_file_of_unknown_hand_is_not_guessed_at() {
        assert_eq!(plain("1,234", Marks::Unsure), Err(Trouble::Ambiguous));
        assert_eq!(plain("1.234", Marks::DecimalComma), Err(Trouble::Ambiguous));
        assert_eq!(plain("1,234", Marks::DecimalComma).as_deref(), Ok("1.234"));
        assert_eq!(plain("1,23", Marks::Unsure).as_deref(), Ok("1.23"));
        assert_eq!(plain("1.234", Marks::Unsure).as_deref(), Ok("1.234"));
    }

    proptest! {
        #[test]
        fn no_text_panics_and_every_answer_is_finite(text in ".{0,60}") {
            for marks in [Marks::English, Marks::DecimalComma, Marks::Unsure] {
                if let Ok(value) = parse_marked_number(&text, marks) {
                    prop_assert!(value.is_finite());
                }
            }
        }

        #[test]
        fn text_of_digits_and_marks_never_panics(text in "[-+−0-9., ]{0,30}") {
            if let Ok(value) = parse_number(&text) {
                prop_assert!(value.is_finite());
            }
        }

        #[test]
        fn a_plain_number_comes_back_bit_for_bit(value in -1e12..1e12_f64) {
            prop_assume!(value.to_string().len() < 40);
            prop_assert_eq!(parse_number(&value.to_string()), Ok(value));
        }
    }
}
