//! Answers cases on standard input: a JSON array in, one JSON object a line out,
//! `{"id": …, "answer": …}` or `{"id": …, "refused": "why"}`. A case that makes no sense is refused alone.
//!
//! `cargo run --release -q -p keepwell-engine --example cases -- grades < FILE`

#![expect(
    clippy::disallowed_macros,
    clippy::disallowed_methods,
    clippy::print_stdout,
    reason = "an example is a program: it reads its command line and prints"
)]

mod fields;
mod grades;
mod levels;
mod runs;
mod shares;

use std::error::Error;
use std::io;

use serde_json::Value;
use serde_json::json;

fn main() -> Result<(), Box<dyn Error>> {
    let kind = std::env::args().nth(1).unwrap_or_default();
    let answer = match kind.as_str() {
        "grades" => grades::answer,
        "levels" => levels::answer,
        "runs" => runs::answer,
        "shares" => shares::answer,
        _ => return Err(format!("unknown kind of case: \"{kind}\"; known are: grades, levels, runs, shares").into()),
    };
    let cases: Vec<Value> = serde_json::from_reader(io::stdin().lock())?;
    for case in &cases {
        let id = case.get("id").unwrap_or(&Value::Null);
        println!(
            "{}",
            match answer(case) {
                Ok(answer) => json!({"id": id, "answer": answer}),
                Err(why) => json!({"id": id, "refused": why}),
            }
        );
    }
    Ok(())
}
