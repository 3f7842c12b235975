//! Every row of `tests/published/engineering_checks.csv`, through the same reader as `examples/rows`: the figure a source
//! outside this project has, with its tolerance. None is left out.

#[path = "../examples/rows/engineering/mod.rs"]
mod engineering;
#[path = "../examples/rows/row.rs"]
mod row;

use row::Row;

#[test]
fn every_published_row_agrees() {
    let mut table =
        csv::Reader::from_reader(include_str!("../../../tests/published/engineering_checks.csv").as_bytes());
    let header = table.headers().unwrap().clone();
    let (mut tried, mut wrong) = (0, Vec::new());
    for record in table.records() {
        let record = record.unwrap();
        let cell = |name: &str| record.get(header.iter().position(|column| column == name).unwrap()).unwrap();
        let row = Row::new(cell("quantity"), cell("inputs"), cell("unit")).unwrap();
        let expected: f64 = cell("expected").parse().unwrap();
        let tolerance: f64 = cell("tolerance_rel").parse().unwrap();
        let allowed = if expected == 0.0 { 1e-9 } else { tolerance * expected.abs() };
        let got = engineering::answer(&row).unwrap_or_else(|| Err("unknown quantity".to_owned()));
        let right = got.as_ref().is_ok_and(|got| got.parse::<f64>().is_ok_and(|got| (got - expected).abs() <= allowed));
        if !right {
            wrong.push(format!("{} {}: {got:?}, not {expected} ({})", cell("id"), cell("quantity"), cell("source")));
        }
        tried += 1;
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert_eq!(tried, 160, "rows tried");
}
