//! Encodings, separators, line ends: the same table however it was saved.

use super::*;
use crate::model::entry::Act;

const FILE: &str = "Vessel,Time,Depth (m),Note\nEast tank,2026-03-04 08:10,1.25,\"dipped, é – 水\nby hand\"\n";

fn taken(bytes: &[u8]) -> (f64, String) {
    let files = [("s.csv", SITES.as_bytes()), ("t.csv", TANK.as_bytes()), ("r.csv", bytes)];
    let plan = House::default().read(&files).unwrap_or_else(|faults| panic!("{faults:#?}"));
    let Act::Reading(reading) = &plan.entries[0].act else { panic!() };
    (reading.depth_m.unwrap(), reading.note.clone().unwrap_or_default())
}

fn utf16(text: &str, unit: fn(u16) -> [u8; 2]) -> Vec<u8> {
    "\u{feff}".encode_utf16().chain(text.encode_utf16()).flat_map(unit).collect()
}

#[test]
fn the_same_file_in_every_way_it_may_be_saved() {
    let (depth, note) = taken(FILE.as_bytes());
    assert!((depth - 1.25).abs() < 1e-12);
    assert_eq!(note, "dipped, é – 水\nby hand");
    let semicolons = "Vessel;Time;Depth (m);Note\nEast tank;2026-03-04 08:10;1,25;\"dipped, é – 水\nby hand\"\n";
    let tabs = "Vessel\tTime\tDepth (m)\tNote\nEast tank\t2026-03-04 08:10\t1,25\t\"dipped, é – 水\nby hand\"\n";
    let others = [
        format!("\u{feff}{FILE}").into_bytes(),
        utf16(FILE, u16::to_le_bytes),
        utf16(FILE, u16::to_be_bytes),
        semicolons.as_bytes().to_vec(),
        tabs.as_bytes().to_vec(),
        utf16(semicolons, u16::to_le_bytes),
        utf16(tabs, u16::to_be_bytes),
        FILE.trim_end().as_bytes().to_vec(),
        format!("\n\n,,,\n{FILE}\n,,,\n\n").into_bytes(),
        FILE.replace("Note", "Note,,").replace("by hand\"", "by hand\",,").into_bytes(),
        FILE.replace("\"\n", "\" \r\n").replace("Note\n", "Note\r\n").into_bytes(),
        FILE.replace("\"\n", "\"\r").replace("Note\n", "Note\r").into_bytes(),
        FILE.replace("Depth (m)", "DEPTH_m").into_bytes(),
        FILE.replace("Depth (m)", "depth  [ M ]").into_bytes(),
        FILE.replace("Vessel", "vessel_name").into_bytes(),
        FILE.replace(",1.25,", ",\"1.25\",").into_bytes(),
    ];
    for bytes in others {
        let again = taken(&bytes);
        assert_eq!(again.1, note, "{}", String::from_utf8_lossy(&bytes));
        assert!((again.0 - depth).abs() < 1e-12, "{}", String::from_utf8_lossy(&bytes));
    }
}

#[test]
fn what_is_no_text_is_refused_where_it_stands() {
    let le = |text: &str| utf16(text, u16::to_le_bytes);
    let half = [le("name,kind\nA,hall").as_slice(), &[0x00, 0xD8, 0x41, 0x00]].concat();
    let odd = [le("name,kind\nA,hall").as_slice(), &[0x41]].concat();
    let no_mark: Vec<u8> = "name,kind".encode_utf16().flat_map(u16::to_le_bytes).collect();
    let cases: [(&[u8], usize, &str, &str, &str); 7] = [
        (b"name,kind\nCaf\xe9,hall\n", 2, "name", "0xE9", "not UTF-8"),
        (b"name,kind\n\nA,hall\nB,h\xff\n", 4, "kind", "0xFF", "not UTF-8"),
        (b"na\xffme,kind\nA,hall\n", 1, "A", "0xFF", "not UTF-8"),
        (b"name,kind\nA,ha\0ll\n", 2, "kind", "U+0000", "NUL"),
        (&half, 2, "kind", "0xD800", "half of a character"),
        (&odd, 2, "kind", "0x41", "ends in half"),
        (&no_mark, 1, "A", "U+0000", "byte-order mark"),
    ];
    for (bytes, line, column, value, words) in cases {
        let faults = House::default().read(&[("a.csv", bytes)]).unwrap_err();
        assert_eq!(faults.len(), 1, "{faults:#?}");
        let fault = &faults[0];
        assert_eq!((fault.line, fault.column.as_str(), fault.value.as_str()), (line, column, value), "{faults:#?}");
        assert!(said(fault).contains(words), "{}", said(fault));
    }
    let bell = House::default().read(&[("a.csv", b"name,kind\nA\x07,hall\n")]).unwrap_err();
    assert_eq!((bell[0].line, bell[0].value.as_str()), (2, "U+0007"));
}

#[test]
fn a_figure_is_read_by_the_marks_of_its_file() {
    let depth = |text: &str| House::default().texts(&[SITES, TANK, text]);
    // Thousandths by the rule of the file: nothing in it has a decimal point.
    assert!(depth("vessel;time;depth (m)\nEast tank;2026-03-04;1,234\n").is_ok());
    let mixed = "vessel;time;depth (m);volume (L)\nEast tank;2026-03-04;;900,5\nEast tank;2026-03-05;;1.234\n";
    let faults = depth(mixed).unwrap_err();
    assert_eq!((faults[0].line, faults[0].value.as_str()), (3, "1.234"));
    assert!(said(&faults[0]).contains("two ways: write 1234, or 1,2340"), "{}", said(&faults[0]));
    let comma = depth("vessel,time,depth (m)\nEast tank,2026-03-04,\"1,2\"\n").unwrap_err();
    assert!(said(&comma[0]).contains("the decimal mark is a point: 1.2"), "{}", said(&comma[0]));
    assert!(depth("vessel,time,volume (L)\nEast tank,2026-03-04,\"1,234.5\"\n").is_ok());
}
