//! Answers rows of check values on standard input: a CSV with the columns `id`, `quantity`, `inputs` (a JSON object)
//! and, if there, `unit`; one line a row out, `id,got` in the row's unit or `id,refused: why`. No header is printed,
//! and a refusal holds no comma, so that a line splits at its first.
//!
//! `cargo run --release -q -p keepwell-engine --example rows < FILE`

#![expect(
    clippy::disallowed_macros,
    clippy::print_stdout,
    reason = "an example is a program: it reads its standard input and prints"
)]

mod engineering;
mod row;
mod water;

use std::error::Error;
use std::io;

use row::Answer;
use row::Row;

fn main() -> Result<(), Box<dyn Error>> {
    let mut table = csv::ReaderBuilder::new().flexible(true).from_reader(io::stdin().lock());
    let header = table.headers()?.clone();
    for record in table.records() {
        let (id, answer) = match record.map_err(|error| error.to_string()) {
            Ok(record) => {
                let cell =
                    |name: &str| header.iter().position(|column| column.trim() == name).and_then(|at| record.get(at));
                (cell("id").unwrap_or_default().to_owned(), answer(cell))
            }
            Err(error) => (String::new(), Err(error)),
        };
        match answer {
            Ok(got) => println!("{id},{got}"),
            Err(why) => println!("{id},refused: {}", why.replace(',', ";").replace(['\n', '\r'], " ")),
        }
    }
    Ok(())
}

fn answer<'a>(cell: impl Fn(&str) -> Option<&'a str>) -> Answer {
    let row = Row::new(
        cell("quantity").ok_or("quantity is missing")?,
        cell("inputs").ok_or("inputs is missing")?,
        cell("unit").unwrap_or_default(),
    )?;
    engineering::answer(&row).or_else(|| water::answer(&row)).unwrap_or_else(|| Err("unknown quantity".to_owned()))
}
