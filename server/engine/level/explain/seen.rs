//! One reading, as it may be meant: as it stands, by a slip, or wrong altogether.

use super::entry::End;
use super::entry::What;
use super::normal;
use super::odds;
use super::state::Row;
use super::state::Seen;
use super::state::State;
use super::state::part;
use super::tank::Tank;
use crate::quantity::as_litres;
use crate::quantity::as_millimetres;

/// One way to take a reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Meaning {
    /// logarithm of how often it is meant so; where it says nothing, of that and of the density of such a reading
    pub log: f64,
    /// what it then says of the level
    pub seen: Seen,
    /// variance of its error in litres²
    pub error: f64,
    /// litres a millimetre of the sensor's offset; 0 for all else
    pub offset: f64,
    /// whether the sight glass's scale comes in
    pub scaled: bool,
    /// whether a second look errs as the first did: one that only confirms then says nothing new
    pub lasting: bool,
    /// whether the reading is wrong
    pub wrong: bool,
}

impl Meaning {
    /// What the reading measures in this state, and what it says of it: the scale of a sight glass is linearised about
    /// what is believed of it.
    pub fn row(&self, state: &State, level: f64) -> (Row, f64, Seen) {
        let mut row = super::state::unit(part::LEVEL);
        row[part::OFFSET] = self.offset;
        if !self.scaled {
            return (row, 0.0, self.seen);
        }
        let too_much = state.mean[part::CAPACITY] + state.mean[part::SCALE];
        row[part::CAPACITY] = level;
        row[part::SCALE] = level;
        let seen = match self.seen {
            Seen::Exactly(litres) => Seen::Exactly(litres / (1.0 + too_much)),
            other => other,
        };
        (row, -level * too_much, seen)
    }
}

/// Every way to take a reading of the level; none for what is no reading of it.
pub fn meanings(tank: &Tank, what: What, into: &mut Vec<Meaning>) {
    into.clear();
    match what {
        What::Dip { member, depth, from } => dips(tank, member, as_millimetres(depth), from == End::Rim, into),
        What::Sensor(depth) => {
            let height = as_millimetres(depth);
            let slope = tank.slope_at(height);
            let meaning = Meaning { offset: slope, ..as_it_stands(tank, height, odds::SENSOR_MM, odds::WRONG_OTHER) };
            into.push(meaning);
            into.push(wrong(odds::WRONG_OTHER, tank.brim_mm()));
        }
        What::Sight(volume) => {
            let litres = as_litres(volume).min(MOST_BRIMS * tank.brim_litres());
            let error = odds::SIGHT_MM * tank.slope_of(litres);
            into.push(Meaning {
                log: (1.0 - odds::WRONG_OTHER).ln(),
                seen: Seen::Exactly(litres),
                error: error * error,
                offset: 0.0,
                scaled: true,
                lasting: false,
                wrong: false,
            });
            into.push(wrong(odds::WRONG_OTHER, tank.brim_litres()));
        }
        What::Eye(seen) => {
            let brim = tank.brim_litres();
            let low =
                if seen <= odds::EYE_REACH { f64::NEG_INFINITY } else { (seen - odds::EYE_REACH).min(1.0) * brim };
            let high = if seen >= 1.0 - odds::EYE_REACH { f64::INFINITY } else { (seen + odds::EYE_REACH) * brim };
            into.push(Meaning {
                log: (1.0 - odds::WRONG_OTHER).ln(),
                seen: Seen::Between(low, high),
                error: (odds::EYE_BORDER * brim).powi(2),
                offset: 0.0,
                scaled: false,
                lasting: true,
                wrong: false,
            });
            // five quarters to choose from
            into.push(wrong(odds::WRONG_OTHER, 5.0));
        }
        What::Counter(_) | What::In { .. } | What::Top | What::To { .. } | What::Out { .. } | What::OutUnknown => {}
    }
}

/// Standard deviations of a dip by which a reading at floor or brim may have been cut off.
const CUT_OFF: f64 = 2.0;
/// A look that finds what was this likely to be found only confirms it (an even spread over a quarter, taken for a
/// normal one, leaves 0.92 within the quarter).
const CONFIRMS: f64 = 0.9;
/// Amounts beyond so many brims are as good as so many.
pub const MOST_BRIMS: f64 = 1e3;

fn wrong(odds: f64, choice: f64) -> Meaning {
    Meaning {
        log: (odds / choice).ln(),
        seen: Seen::Nothing,
        error: 0.0,
        offset: 0.0,
        scaled: false,
        lasting: false,
        wrong: true,
    }
}

/// A height read; at the floor and at the brim it says only "this or beyond". The density is that of a millimetre.
fn as_it_stands(tank: &Tank, height: f64, sd: f64, wrong: f64) -> Meaning {
    let slope = tank.slope_at(height);
    let error = (sd * slope).powi(2);
    Meaning {
        log: (1.0 - wrong).ln() + slope.ln(),
        seen: Seen::Exactly(tank.litres_at(height)),
        error,
        offset: 0.0,
        scaled: false,
        lasting: false,
        wrong: false,
    }
}

fn dips(tank: &Tank, member: usize, depth: f64, from_rim: bool, into: &mut Vec<Meaning>) {
    let Some((floor, inside)) = tank.stick(member) else { return };
    let sd = odds::DIP_MM.hypot(odds::DIP_STEP_MM / super::super::SQRT_12);
    let dip = |depth: f64, from_rim: bool, odds: f64, wrong: bool| {
        let height = tank.height(member, depth, from_rim);
        let mut meaning = as_it_stands(tank, height, sd, 0.0);
        meaning.log += odds.ln();
        meaning.wrong = wrong;
        let half = odds::DIP_STEP_MM / 2.0;
        let reads = |height: f64| tank.litres_at(height);
        // what is cut off can be as much as the stick errs; further out there is no water to see
        let slope = tank.slope_at(height);
        let cut = CUT_OFF * sd * slope;
        if height <= floor + half {
            // a dry partner says only that the surface is below its floor
            let least = if floor > 0.0 { f64::NEG_INFINITY } else { -cut };
            meaning.seen = Seen::Between(least, reads(floor + half));
            meaning.log -= slope.ln();
        } else if height >= tank.brim_mm() - half {
            meaning.seen = Seen::Between(reads(tank.brim_mm() - half), tank.brim_litres() + cut);
            meaning.log -= slope.ln();
        }
        meaning
    };
    into.push(dip(depth, from_rim, 1.0 - odds::WRONG_DIP, false));
    let slip = odds::WRONG_DIP * odds::NAMED_SLIP / 3.0;
    let own = tank.height(member, depth, from_rim);
    let mut slips = |meant: f64, rim: bool, odds: f64| {
        let height = tank.height(member, meant, rim);
        // no stick finds water over the brim
        let there = (0.0..=inside).contains(&meant) && height <= tank.brim_mm();
        if there && Tank::told_apart(own, height) {
            into.push(dip(meant, rim, odds, true));
        }
    };
    slips(depth + odds::HUNDRED_MM, from_rim, slip / 2.0);
    slips(depth - odds::HUNDRED_MM, from_rim, slip / 2.0);
    slips(swapped(depth), from_rim, slip);
    slips(depth, !from_rim, slip);
    into.push(wrong(odds::WRONG_DIP * (1.0 - odds::NAMED_SLIP), tank.brim_mm()));
}

/// Hundreds and tens changed for each other: 1,370 for 1,730.
fn swapped(depth: f64) -> f64 {
    let hundreds = (depth / 100.0).floor() % 10.0;
    let tens = (depth / 10.0).floor() % 10.0;
    depth + 90.0 * (tens - hundreds)
}

/// How likely it is that a level of `mean` and `variance`, with this `error` and moved by `moved` (evenly between two
/// ends), was seen so: the logarithm of the density, or of the probability of an interval.
pub fn likelihood(seen: Seen, mean: f64, variance: f64, error: f64, moved: Option<(f64, f64)>) -> f64 {
    match (seen, moved) {
        (Seen::Nothing, _) => 0.0,
        (Seen::Exactly(litres), None) => normal::log_density(litres - mean, variance + error),
        (Seen::Exactly(litres), Some((low, high))) => {
            let (off, sd) = (litres - mean, (variance + error).sqrt());
            normal::inside((low - off) / sd, (high - off) / sd).log - (high - low).ln()
        }
        (Seen::Between(low, high), moved) => {
            let (mean, variance) = match moved {
                None => (mean, variance),
                Some((from, to)) => (mean + f64::midpoint(from, to), variance + (to - from).powi(2) / 12.0),
            };
            let sd = (variance + error).sqrt();
            normal::inside((low - mean) / sd, (high - mean) / sd).log
        }
    }
}

/// Takes a reading in.
pub fn take(state: &mut State, meaning: &Meaning, moved: Option<(f64, f64)>) {
    let (row, also, seen) = meaning.row(state, state.mean[part::LEVEL]);
    let (mean, variance) = state.along(&row);
    let (mean, sd) = (mean + also, (variance + meaning.error).sqrt());
    match (seen, moved) {
        (Seen::Nothing, None) => {}
        (Seen::Nothing, Some((low, high))) => state.shift(f64::midpoint(low, high), (high - low).powi(2) / 12.0),
        (Seen::Exactly(litres), None) => state.take(&row, meaning.error, litres - mean, 0.0, None),
        (Seen::Exactly(litres), Some((low, high))) => {
            let off = litres - mean;
            let inside = normal::inside((low - off) / sd, (high - off) / sd);
            let (amount, left) = (off + inside.mean * sd, inside.variance * sd * sd);
            state.take(&row, meaning.error, off - amount, left, Some((amount, left)));
        }
        (Seen::Between(low, high), moved) => {
            let mut mean = mean;
            let mut sd = sd;
            if let Some((from, to)) = moved {
                let (by, spread) = (f64::midpoint(from, to), (to - from).powi(2) / 12.0);
                state.shift(by, spread);
                mean += by;
                sd = sd.hypot(spread.sqrt());
            }
            let inside = normal::inside((low - mean) / sd, (high - mean) / sd);
            if !meaning.lasting || inside.log < CONFIRMS.ln() {
                state.take(&row, meaning.error, inside.mean * sd, inside.variance * sd * sd, None);
            }
        }
    }
}
