//! Figures as people and spreadsheets write them. One that could be read two ways is refused, never guessed.

use crate::model::message::Arg;
use crate::model::message::Message;

/// What a file shows of the way its figures are written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Marks {
    /// cells are separated by commas, so that a comma is no decimal mark
    pub comma_separates: bool,
    /// a figure elsewhere in it can only have a decimal point
    pub points: bool,
    /// a figure elsewhere in it can only have a decimal comma
    pub commas: bool,
}

impl Marks {
    /// Takes note of a figure that can only be read in one way.
    pub fn see(&mut self, cell: &str) {
        let body = cell.strip_prefix(['+', '-', '−']).unwrap_or(cell);
        let digits = body.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ','));
        if !digits || self.comma_separates {
            return;
        }
        let decimal = match (body.rfind('.'), body.rfind(',')) {
            (Some(point), Some(comma)) => point > comma,
            (Some(_), None) if one_mark(body, '.') && !three_after(body, '.') => true,
            (None, Some(_)) if one_mark(body, ',') && !three_after(body, ',') => false,
            _ => return,
        };
        self.points |= decimal;
        self.commas |= !decimal;
    }
}

fn one_mark(body: &str, mark: char) -> bool {
    body.matches(mark).count() == 1
}

/// Whether this could be thousands as well as thousandths: `1,234`, not `0,234` and not `12,34`.
fn three_after(body: &str, mark: char) -> bool {
    body.split_once(mark)
        .is_some_and(|(whole, rest)| rest.len() == 3 && (1..=3).contains(&whole.len()) && !whole.starts_with('0'))
}

/// The figure written here.
pub fn figure(text: &str, marks: Marks) -> Result<f64, Message> {
    let (sign, body) = match text.strip_prefix(['-', '−']) {
        Some(body) => ("-", body),
        None => ("", text.strip_prefix('+').unwrap_or(text)),
    };
    let plain = plain(body, marks)?;
    match format!("{sign}{plain}").parse::<f64>() {
        Ok(figure) if figure.is_finite() => Ok(figure),
        _ => Err(no_number(text)),
    }
}

/// The same digits with a decimal point and nothing between thousands.
fn plain(body: &str, marks: Marks) -> Result<String, Message> {
    let spaces = |c: char| matches!(c, ' ' | '\u{a0}' | '\u{202f}' | '\u{2009}' | '\'' | '’');
    let known = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',') || spaces(c);
    if !body.chars().all(known) || !body.contains(|c: char| c.is_ascii_digit()) {
        return Err(no_number(body));
    }
    if body.contains(spaces) {
        let (whole, rest) = body.split_at(body.find(['.', ',']).unwrap_or(body.len()));
        let whole = whole.replace(spaces, " ");
        let digits = rest.trim_start_matches(['.', ',']);
        let sound = grouped(&whole, ' ') && rest.len() - digits.len() <= 1 && all_digits(digits);
        let figure = format!("{}.{digits}", whole.replace(' ', ""));
        return if sound { Ok(figure) } else { Err(no_number(body)) };
    }
    match (body.rfind('.'), body.rfind(',')) {
        (None, None) => Ok(body.to_owned()),
        (Some(point), Some(comma)) => {
            let (thousands, decimal) = if point > comma { (',', '.') } else { ('.', ',') };
            let sound =
                body.split_once(decimal).is_some_and(|(whole, rest)| grouped(whole, thousands) && all_digits(rest));
            if sound { Ok(body.replace(thousands, "").replace(decimal, ".")) } else { Err(no_number(body)) }
        }
        (Some(_), None) => one_kind(body, '.', marks),
        (None, Some(_)) => one_kind(body, ',', marks),
    }
}

fn one_kind(body: &str, mark: char, marks: Marks) -> Result<String, Message> {
    if !one_mark(body, mark) {
        return if grouped(body, mark) { Ok(body.replace(mark, "")) } else { Err(no_number(body)) };
    }
    let comma = mark == ',';
    let other_mark = if comma { marks.points || marks.comma_separates } else { marks.commas };
    if three_after(body, mark) && other_mark {
        let decimal_mark = if marks.commas { "," } else { "." };
        return Err(Message::new(
            "{value} can be read in two ways: write {one}, or {other} if the mark is a decimal mark.",
        )
        .with("value", Arg::text(body))
        .with("one", Arg::text(body.replace(mark, "")))
        .with("other", Arg::text(format!("{}0", body.replace(mark, decimal_mark)))));
    }
    if comma && marks.comma_separates {
        return Err(Message::new(
            "In a file whose cells are separated by commas the decimal mark is a point: {value}.",
        )
        .with("value", Arg::text(body.replace(',', "."))));
    }
    Ok(body.replace(mark, "."))
}

/// `1,234` and `12,345,678`: one to three digits, then threes.
fn grouped(whole: &str, mark: char) -> bool {
    let mut groups = whole.split(mark);
    let first = groups.next().unwrap_or_default();
    (1..=3).contains(&first.len()) && all_digits(first) && groups.all(|group| group.len() == 3 && all_digits(group))
}

fn all_digits(text: &str) -> bool {
    text.bytes().all(|byte| byte.is_ascii_digit())
}

/// What is said of a text that is none.
pub fn no_number(text: &str) -> Message {
    Message::new("{value} is not a number.").with("value", Arg::text(text))
}

#[cfg(test)]
mod tests {
    use super::*;

    const COMMAS: Marks = Marks { comma_separates: true, points: false, commas: false };
    const OTHER: Marks = Marks { comma_separates: false, points: false, commas: false };
    const WITH_POINTS: Marks = Marks { points: true, ..OTHER };
    const WITH_COMMAS: Marks = Marks { commas: true, ..OTHER };

    #[test]
    fn figures_that_can_be_read_one_way_are_read() {
        let read = [
            ("1.2", COMMAS, 1.2),
            ("-0.5", COMMAS, -0.5),
            ("−0.5", COMMAS, -0.5),
            ("+7", COMMAS, 7.0),
            (".5", COMMAS, 0.5),
            ("1.234", COMMAS, 1.234),
            ("1,234.5", COMMAS, 1234.5),
            ("1,234,567", COMMAS, 1_234_567.0),
            ("1 234", COMMAS, 1234.0),
            ("1\u{a0}234,5", OTHER, 1234.5),
            ("1'234.5", OTHER, 1234.5),
            ("1,2", OTHER, 1.2),
            ("1,234", OTHER, 1.234),
            ("0,234", WITH_POINTS, 0.234),
            ("1.234,5", OTHER, 1234.5),
            ("1.234", OTHER, 1.234),
            ("1.234", WITH_POINTS, 1.234),
            ("1,234", WITH_COMMAS, 1.234),
        ];
        for (text, marks, expected) in read {
            let figure = figure(text, marks).unwrap_or_else(|error| panic!("{text}: {error:?}"));
            assert!((figure - expected).abs() < 1e-12, "{text}: {figure}");
        }
    }

    #[test]
    fn figures_that_can_be_read_two_ways_or_none_are_refused() {
        let refused = [
            ("1,234", COMMAS),
            ("1,2", COMMAS),
            ("1,234", WITH_POINTS),
            ("1.234", WITH_COMMAS),
            ("12,34,567", COMMAS),
            ("1,234.5.6", COMMAS),
            ("1.2.3", OTHER),
            ("1 23", OTHER),
            ("1 234,5,6", OTHER),
            ("1e3", COMMAS),
            ("inf", COMMAS),
            ("NaN", COMMAS),
            ("-", COMMAS),
            (".", COMMAS),
            ("--1", COMMAS),
            ("1.2 m", COMMAS),
            ("٣", COMMAS),
        ];
        for (text, marks) in refused {
            assert!(figure(text, marks).is_err(), "{text}");
        }
    }

    #[test]
    fn a_file_shows_its_decimal_mark() {
        let seen = |cells: &[&str]| {
            let mut marks = OTHER;
            cells.iter().for_each(|cell| marks.see(cell));
            marks
        };
        assert_eq!(seen(&["1,234", "12", "1.234", "tank 1,5"]), OTHER);
        assert_eq!(seen(&["1,5"]), WITH_COMMAS);
        assert_eq!(seen(&["1.5"]), WITH_POINTS);
        assert_eq!(seen(&["1.234,5"]), WITH_COMMAS);
        assert_eq!(seen(&["1,234.5"]), WITH_POINTS);
    }
}
