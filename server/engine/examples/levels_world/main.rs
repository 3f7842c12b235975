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

use keepwell_engine::level::explain::Habit;
use keepwell_engine::level::explain::believe;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::days;

use score::Score;

fn main() -> Result<(), Box<dyn Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let number = |at: usize, usual: u64| words.get(at).map_or(Ok(usual), |word| word.parse());
    let (count, seed) = (number(0, 1000)?, number(1, 1)?);
    let mut score = Score::default();
    for number in 0..count {
        let history = world::history(seed, number);
        let tank = history.vessel.told()?;
        let habit = if history.kind.in_use() { Habit::InUse } else { Habit::Standing };
        let asks: Vec<Moment> = history.asks.iter().map(|&day| world::DAY_0.after(days(day))).collect();
        let beliefs = believe(&tank, habit, world::DAY_0, &history.entries, &asks)?;
        if words.get(3).and_then(|w| w.parse::<u64>().ok()) == Some(number) {
            println!("{:?} {:?}", history.kind, history.vessel);
            for e in &history.entries {
                println!("{} {:.3} {:?}", e.id, keepwell_engine::quantity::as_days(e.at.since(world::DAY_0)), e.what);
            }
            for ((b, t), d) in beliefs.iter().zip(&history.truth.at).zip(&history.asks) {
                println!(
                    "{d:.1} {:.1} ± {:.1} | {:?} | {:?} | {:?}",
                    keepwell_engine::quantity::as_litres(b.level.volume),
                    keepwell_engine::quantity::as_litres(b.level.sd),
                    t,
                    b.leak.map(|l| (keepwell_engine::quantity::as_litres_per_day(l.rate.mean), l.chance)),
                    b.misfits.iter().map(|m| (m.id, m.why)).collect::<Vec<_>>()
                );
            }
            println!("{:?} {:?}", history.truth.leak, history.truth.mistakes);
            for m in &history.truth.missed {
                println!("missed {:.0} {:?}", m.millimetres, m.ids);
            }
        }
        score.add(number, &history, &beliefs);
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
