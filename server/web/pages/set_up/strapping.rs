//! The owner's own table: a depth and what the vessel holds there, a line each.

use keepwell_engine::quantity::DEPTH;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::VOLUME;

use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::vessel::Vessel;
use crate::web::asking::Asking;
use crate::web::asking::ask;
use crate::web::input::format_measure;
use crate::web::input::parse_measure;
use crate::web::reader::Reader;

/// Far more rows than anyone measures; few enough to be gone through at once.
const ROWS: usize = 500;
const CHARACTERS: usize = 20_000;

pub(super) fn questions(asking: &mut Asking, old: Option<&Vessel>) -> Vec<(f64, f64)> {
    let reader = asking.reader;
    let line = |row: &(f64, f64)| {
        let (depth, held) = (format_measure(row.0, Unit::Metre, reader), format_measure(row.1, Unit::Litre, reader));
        format!("{depth} {held}")
    };
    let standing = old.map_or(&[][..], |old| old.strapping.as_slice());
    let standing = standing.iter().map(line).collect::<Vec<_>>().join("\n");
    let question = ask("strapping", "Depth and volume, a line each")
        .hint("Lowest first, such as “0.5 620”. Units may be written: “50 cm 620 L”, “20 in 164 gal”.");
    let typed = asking.lines(question, CHARACTERS, &standing);
    match rows(&typed, reader) {
        Ok(rows) => rows,
        Err(message) => {
            asking.fault("strapping", message);
            Vec::new()
        }
    }
}

fn rows(typed: &str, reader: &Reader) -> Result<Vec<(f64, f64)>, Message> {
    let lines = typed.lines().map(str::trim).filter(|line| !line.is_empty());
    let rows: Vec<&str> = lines.collect();
    if rows.len() > ROWS {
        return Err(Message::new("The table has {rows} rows; allowed are {most}.")
            .with("rows", Arg::Count(rows.len() as u64))
            .with("most", Arg::Count(ROWS as u64)));
    }
    rows.iter()
        .enumerate()
        .map(|(at, line)| {
            row(line, reader).map_err(|problem| {
                Message::new("Row {row}: {problem}")
                    .with("row", Arg::Count(at as u64 + 1))
                    .with("problem", problem.into())
            })
        })
        .collect()
}

/// A depth, then a volume, parted by a tab, a semicolon, or the first space that leaves two figures.
fn row(line: &str, reader: &Reader) -> Result<(f64, f64), Message> {
    let both = |depth: &str, held: &str| {
        let depth = parse_measure(depth, &DEPTH, reader)?;
        Ok((depth, parse_measure(held, &VOLUME, reader)?))
    };
    if let Some((depth, held)) = line.split_once([';', '\t']) {
        return both(depth, held);
    }
    let mut first = None;
    for (at, _) in line.match_indices(' ') {
        match both(&line[..at], &line[at..]) {
            Ok(row) => return Ok(row),
            Err(problem) => {
                first.get_or_insert(problem);
            }
        }
    }
    Err(first.unwrap_or_else(|| Message::new("write a depth, a space and a volume.")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::web::reader::Units;
    use crate::web::reader::tests::reader;

    #[test]
    fn a_line_is_a_depth_and_a_volume() {
        // 20 in = 0.508 m; 164 US gal = 164 × 3.785411784 L = 620.807532576 L (NIST SP 811, appendix B.8).
        for (typed, depth, held) in [
            ("0.5 620", 0.5, 620.0),
            ("0,5\t1.234,5", 0.5, 1234.5),
            ("50 cm 620 L", 0.5, 620.0),
            ("50 cm; 1 234 L", 0.5, 1234.0),
            ("20 in 164 gal", 0.508, 620.807_532_576),
        ] {
            let read = row(typed, &reader(Units::Metric)).unwrap();
            assert!((read.0 - depth).abs() < 1e-12 && (read.1 - held).abs() < 1e-9, "{typed}: {read:?}");
        }
        for typed in ["0.5", "half full", "0.5 NaN", "-1 20", "0.5 20 cubits"] {
            assert!(row(typed, &reader(Units::Metric)).is_err(), "{typed}");
        }
    }
}
