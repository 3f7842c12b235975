//! What may have happened since the level was last read, and what a reading makes of each possibility.

use super::Explanation;
use super::entry::Habit;
use super::normal;
use super::odds;
use super::seen::Meaning;
use super::seen::likelihood;
use super::seen::take;
use super::state::Row;
use super::state::Seen;
use super::state::State;
use super::state::lost;
use super::state::part;
use super::state::unit;
use super::tank::Tank;

/// What nobody logged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Move {
    None,
    /// the level rose (or fell, below 0) by an amount evenly between these
    Draw(f64, f64),
    Fill(f64, f64),
    /// filled on the last visit, to a level with a standard deviation
    Filled(f64, f64),
    /// a leak began in the last so many days: rate and standard deviation
    Leak(f64, f64, f64),
    /// the leak ended, and by so much less ran out
    Mended(f64),
}

/// How long ago what was, when a reading comes.
#[derive(Clone, Copy, Debug)]
pub struct Since {
    /// days since the level was last read or pinned
    pub reading: Option<f64>,
    /// days since the beginning of a leak was last looked for; nothing while it need not be looked for again
    pub look: Option<f64>,
    /// whether a fill was logged since the last reading
    pub filled: bool,
}

/// A child of an explanation, not yet worked out.
#[derive(Clone, Copy, Debug)]
pub struct Child {
    pub parent: usize,
    pub moved: Move,
    pub meaning: usize,
    pub dry: bool,
    pub log: f64,
}

/// What may have happened by this explanation, with the logarithm of its odds.
pub fn moves(of: &Explanation, tank: &Tank, habit: Habit, since: Since, into: &mut Vec<(Move, f64)>) {
    into.clear();
    into.push((Move::None, 0.0));
    let Some(days) = since.reading else { return };
    let state = &of.state;
    let (brim, level) = (tank.brim_litres(), state.mean[part::LEVEL].clamp(0.0, tank.brim_litres()));
    let mut may = |moved: Move, odds: f64| {
        if odds > 1e-9 {
            into.push((moved, odds.min(0.5).ln()));
        }
    };
    let drawn = days * if habit == Habit::Standing { odds::DRAW_A_DAY } else { odds::DRAW_IN_USE_A_DAY };
    let most = odds::USUAL_DRAW.1.min(odds::USUAL_DRAW_PART * level);
    let least = odds::USUAL_DRAW.0.min(most / 2.0);
    if most > 1e-3 && habit == Habit::Standing {
        may(Move::Draw(-most, -least), drawn * (1.0 - odds::UNUSUAL_DRAW));
    }
    if level > 1e-3 {
        may(Move::Draw(-level, 0.0), drawn * odds::UNUSUAL_DRAW);
    }
    if brim - level > 1e-3 {
        may(Move::Fill(0.0, brim - level), days * odds::FILL_A_DAY);
    }
    if !since.filled {
        let visited: Row = {
            let mut row = unit(part::LEVEL);
            row[part::MOVED] = -1.0;
            row
        };
        let (found, variance) = state.along(&visited);
        let low = if habit == Habit::InUse { odds::LOW } else { odds::NEARLY_FULL };
        let full = tank.full_litres();
        let chance = normal::below((low * full - found) / variance.sqrt().max(1e-6 * brim));
        let fill = chance * if habit == Habit::InUse { odds::FILL_AT_LOW } else { odds::FILL_AT_VISIT };
        let (slack, slack_sd) = tank.slack();
        may(Move::Filled(full - slack, slack_sd), fill * odds::TO_TOP);
        may(Move::Filled(odds::NEARLY_FULL * full, odds::NEARLY_FULL_SD * full), fill * (1.0 - odds::TO_TOP));
    }
    if habit == Habit::Standing {
        if of.leak.is_some() {
            let most = (state.mean[part::LEAK] * days).max(1e-3);
            may(Move::Mended(most), days * odds::LEAK_ENDS_A_DAY);
        } else if let Some(look) = since.look {
            for (rate, sd, share) in odds::LEAKS {
                may(Move::Leak(rate, sd, look), look * odds::LEAK_A_DAY * share);
            }
        }
    }
}

/// The level that a move leaves, before the reading is taken in: how a row hangs on the state then, what comes on top of
/// its mean and variance, and what is unknown between two ends.
fn foretell(moved: Move, row: &mut Row) -> (f64, f64, Option<(f64, f64)>) {
    match moved {
        Move::None => (0.0, 0.0, None),
        Move::Draw(low, high) | Move::Fill(low, high) => (0.0, 0.0, Some((low, high))),
        Move::Mended(most) => (0.0, 0.0, Some((0.0, most))),
        Move::Filled(level, sd) => {
            row[part::MOVED] += row[part::LEVEL];
            row[part::LEVEL] = 0.0;
            (level, sd * sd, None)
        }
        Move::Leak(rate, sd, days) => {
            let (mean, variance, _) = lost(rate, sd, days);
            (-mean, variance, None)
        }
    }
}

/// Every way in which an explanation, a move and a meaning go together, with the logarithm of its weight.
pub fn children(parent: usize, of: &Explanation, moves: &[(Move, f64)], meanings: &[Meaning], into: &mut Vec<Child>) {
    for &(moved, odds) in moves {
        let mut surface = unit(part::LEVEL);
        let (by, spread, between) = foretell(moved, &mut surface);
        let (level, variance) = of.state.along(&surface);
        let (level, variance) = (level + by, variance + spread);
        let empty = if between.is_none() { normal::below(-level / variance.sqrt().max(1e-9)) } else { 0.0 };
        for (index, meaning) in meanings.iter().enumerate() {
            let log = of.log + odds + meaning.log;
            let mut child = Child { parent, moved, meaning: index, dry: false, log };
            if meaning.seen != Seen::Nothing {
                let (mut row, also, seen) = meaning.row(&of.state, level);
                foretell(moved, &mut row);
                let (mean, variance) = of.state.along(&row);
                child.log += likelihood(seen, mean + by + also, variance + spread, meaning.error, between);
                if empty > 1e-3 {
                    let dry = log + normal::log(empty) + likelihood(seen, 0.0, 0.0, meaning.error, None);
                    into.push(Child { dry: true, log: dry, ..child });
                }
            }
            into.push(child);
        }
    }
}

/// Works a child out.
pub fn grow(of: &Explanation, child: &Child, meaning: &Meaning, from: f64, to: f64) -> Explanation {
    let mut grown = Explanation { log: child.log, ..*of };
    let state = &mut grown.state;
    let mut between = None;
    match child.moved {
        Move::None => {}
        Move::Draw(low, high) | Move::Fill(low, high) => between = Some((low, high)),
        Move::Mended(most) => between = Some((0.0, most)),
        Move::Filled(level, sd) => {
            state.renew(part::LEVEL, level, sd * sd);
            state.add(part::LEVEL, 1.0, part::MOVED);
        }
        Move::Leak(rate, sd, days) => {
            state.spring(rate, sd, days);
            grown.leak = Some((from, to));
        }
    }
    if child.dry {
        state.dry();
    } else {
        take(state, meaning, between);
    }
    if matches!(child.moved, Move::Mended(_)) {
        stop(state);
        grown.leak = None;
    }
    state.renew(part::MOVED, 0.0, 0.0);
    grown
}

fn stop(state: &mut State) {
    state.renew(part::LEAK, 0.0, 0.0);
    state.renew(part::LOST, 0.0, 0.0);
}
