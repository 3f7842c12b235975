//! Lets an invented world run whose truth is known, has the estimator tell what is in its vessels, and prints how well
//! it did beside what is aimed at.
//!
//! `cargo run --release -q -p keepwell-engine --example levels_world -- 1000 1`: how many histories, and the world's
//! seed; a third word, anything, lists what went wrong.

#![expect(
    clippy::disallowed_macros,
    clippy::disallowed_methods,
    clippy::print_stdout,
    clippy::cast_precision_loss,
    reason = "an example is a program: it reads its command line, counts and prints"
)]

mod chance;
mod figures;
mod plan;
mod score;
mod vessel;
mod world;

use std::error::Error;

use score::Score;

fn main() -> Result<(), Box<dyn Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let number = |at: usize, usual: u64| words.get(at).map_or(Ok(usual), |word| word.parse());
    let (count, seed) = (number(0, 1000)?, number(1, 1)?);
    let mut score = Score::default();
    for number in 0..count {
        let history = world::history(seed, number);
        score.add(number, &history, &history.believe()?);
    }
    for line in figures::lines(&score) {
        println!("{line}");
    }
    if words.len() > 2 {
        for line in &score.shown {
            println!("{line}");
        }
    }
    Ok(())
}
