//! Which explanations are kept.

use super::Explanation;
use super::normal;
use super::odds;
use super::state::part;
use super::state::unit;

/// Two explanations whose figures differ by less than this many standard deviations say the same.
const SAME: f64 = 0.35;
/// ... and whose standard deviations differ by less than this part.
const SAME_SD: f64 = 0.25;

impl Explanation {
    /// The logarithm of its weight, counting also that a leak runs at no less than [`odds::LEAST_LEAK`] and began neither
    /// after it was first held possible nor before the reading before that.
    fn weigh(&self) -> f64 {
        let Some((from, to)) = self.leak else { return self.log };
        let state = &self.state;
        let rate = chance(state.mean[part::LEAK] - odds::LEAST_LEAK, state.variance(part::LEAK));
        let began = chance(state.mean[part::LOST], state.variance(part::LOST));
        let mut row = unit(part::LOST);
        row[part::LOST] = -1.0;
        row[part::LEAK] = to - from;
        let (room, variance) = state.along(&row);
        self.log + rate + began + chance(room, variance)
    }

    /// Whether they say the same of now, whatever they say of the past.
    fn agrees(&self, other: &Self) -> bool {
        let near = |at: usize| {
            let (own, theirs) = (self.state.variance(at).sqrt(), other.state.variance(at).sqrt());
            (self.state.mean[at] - other.state.mean[at]).abs() <= SAME * own.min(theirs)
                && (own - theirs).abs() <= SAME_SD * own.max(theirs)
        };
        let leak = match (self.leak, other.leak) {
            (None, None) => true,
            (Some(_), Some(_)) => near(part::LEAK),
            _ => false,
        };
        leak && near(part::LEVEL) && near(part::USE) && near(part::MOVED)
    }
}

fn chance(over: f64, variance: f64) -> f64 {
    if variance <= 0.0 {
        return if over >= 0.0 { 0.0 } else { normal::log(0.0) };
    }
    normal::log(normal::below(over / variance.sqrt()))
}

/// ln(exp(a) + exp(b)).
fn sum(a: f64, b: f64) -> f64 {
    let most = a.max(b);
    most + ((a - most).exp() + (b - most).exp()).ln()
}

/// Merges what says the same, drops what is hopeless or too much, and makes the weights sum to one. The heavier of two
/// that are merged keeps its story.
pub fn prune(all: &mut Vec<Explanation>, keep: usize) {
    for one in all.iter_mut() {
        one.weight = one.weigh();
    }
    all.sort_by(|a, b| b.weight.total_cmp(&a.weight));
    let hopeless = all.first().map_or(0.0, |best| best.weight) - odds::HOPELESS;
    let mut kept = 0;
    for at in 0..all.len() {
        let next = all[at];
        if let Some(same) = all[..kept].iter_mut().find(|same| same.agrees(&next)) {
            let both = sum(same.log, next.log);
            same.weight += both - same.log;
            same.log = both;
        } else if kept < keep && next.weight >= hopeless {
            all[kept] = next;
            kept += 1;
        }
    }
    all.truncate(kept.max(1));
    let total = all.iter().map(|one| one.log).reduce(sum).unwrap_or(0.0);
    for one in all.iter_mut() {
        one.log -= total;
        one.weight -= total;
    }
}

/// The weights: they sum to one.
pub fn weights(all: &[Explanation]) -> Vec<f64> {
    let total = all.iter().map(|one| one.weight).reduce(sum).unwrap_or(0.0);
    all.iter().map(|one| (one.weight - total).exp()).collect()
}
