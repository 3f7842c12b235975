//! The reader against another's writer, and against anything at all.

use proptest::prelude::*;

use super::*;
use crate::service::import::table;

/// Cells as a general library writes them.
fn written(rows: &[Vec<String>], separator: u8, end: csv::Terminator) -> String {
    let mut writer = csv::WriterBuilder::new().delimiter(separator).terminator(end).from_writer(Vec::new());
    rows.iter().for_each(|row| writer.write_record(row).unwrap());
    String::from_utf8(writer.into_inner().unwrap()).unwrap()
}

proptest! {
    #[test]
    fn what_the_csv_crate_writes_is_read(
        rows in prop::collection::vec(prop::collection::vec("[a-z\"',;\t\n 0-9é水]{0,8}", 3..=3), 1..8),
        separator in prop::sample::select(vec![b',', b';', b'\t']),
        end in prop::sample::select(vec![csv::Terminator::CRLF, csv::Terminator::Any(b'\n'), csv::Terminator::Any(b'\r')]),
    ) {
        let text = written(&rows, separator, end);
        let table = table::split(&text, char::from(separator));
        prop_assert!(table.broken.is_none());
        let numbered: Vec<(usize, Vec<String>)> = rows.iter().enumerate().map(|(at, row)| {
            (at + 1, row.iter().map(|cell| cell.trim().to_owned()).collect())
        }).filter(|(_, row): &(usize, Vec<String>)| row.iter().any(|cell| !cell.is_empty())).collect();
        let found: Vec<(usize, Vec<String>)> = table.lines.into_iter().map(|line| (line.number, line.cells)).collect();
        prop_assert_eq!(found, numbered);
    }

    #[test]
    fn any_bytes_are_taken_or_refused_in_words(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        let _answer = House::default().read(&[("any.csv", &bytes)]);
    }

    #[test]
    fn any_text_under_known_headings_is_taken_or_refused_in_words(
        heads in prop::sample::select(vec![
            "name,kind,latitude,elevation (ft),source",
            "site,name,shape,diameter,count",
            "site,name,shape,table,last filled",
            "site,vessel,time,depth (in),part of full (%)",
            "site,store,fuel,amount,measured on",
            "site,category,number",
        ]),
        body in "([-+0-9.,:;/eE'\" \n()a-zA-Z%é٣T]{0,12},){0,30}\\PC{0,30}",
        us in any::<bool>(),
    ) {
        let house = House { units: if us { Units::Us } else { Units::Metric }, ..House::default() };
        for texts in [vec![format!("{heads}\n{body}")], vec![SITES.to_owned(), TANK.to_owned(), format!("{heads}\n{body}")]] {
            let texts: Vec<&str> = texts.iter().map(String::as_str).collect();
            if let Err(faults) = house.texts(&texts) {
                prop_assert!(!faults.is_empty());
                prop_assert!(faults.iter().all(|fault| fault.line > 0 && !fault.message.key.is_empty()));
            }
        }
    }

    #[test]
    fn a_depth_comes_out_as_it_went_in(millimetres in 0_u32..=1700) {
        let depth = f64::from(millimetres) / 1000.0;
        for text in [
            format!("vessel,time,depth (m)\nEast tank,2026-03-04,{depth}\n"),
            format!("vessel,time,depth (cm)\nEast tank,2026-03-04,{}\n", depth * 100.0),
            format!("vessel,time,depth (mm)\nEast tank,2026-03-04,{millimetres}\n"),
            format!("vessel;time;depth (m)\nEast tank;2026-03-04;{}\n", depth.to_string().replace('.', ",")),
        ] {
            let plan = House::default().plan(&[SITES, TANK, &text]);
            let crate::model::entry::Act::Reading(reading) = &plan.entries[0].act else { panic!() };
            prop_assert!((reading.depth_m.unwrap() - depth).abs() < 1e-12);
        }
    }
}
