//! Drops and spoons.

use crate::quantity::Volume;
use crate::quantity::as_millilitres;
use crate::quantity::millilitres;

/// A US teaspoon, mL.
const TEASPOON_ML: f64 = 4.928_921_593_75;
/// A drop by the usual count, 20 to the mL.
pub(in crate::treatment) const SMALL_DROP_ML: f64 = 0.05;
/// A drop by "8 drops are an eighth of a teaspoon". Both are in print.
pub(in crate::treatment) const LARGE_DROP_ML: f64 = TEASPOON_ML / 64.0;

/// A count of drops, whose size nobody knows: the printed sizes give the ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drops {
    /// at 0.077 mL a drop
    pub least: f64,
    /// at 0.05 mL a drop, 20 to the mL
    pub most: f64,
}

/// A kitchen measure, in eighths.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spoon {
    /// eighths of a US teaspoon of 4.929 mL, to the nearest
    pub teaspoon_eighths: f64,
    /// what that many hold
    pub volume: Volume,
}

/// Few enough to count: at most 100 of the small ones.
pub(super) fn drops(volume: Volume) -> Option<Drops> {
    let volume = as_millilitres(volume);
    let drops = Drops { least: (volume / LARGE_DROP_ML).round(), most: (volume / SMALL_DROP_ML).round() };
    (drops.least >= 1.0 && drops.most <= 100.0).then_some(drops)
}

pub(super) fn spoons(volume: Volume) -> Option<Spoon> {
    let eighth = TEASPOON_ML / 8.0;
    let eighths = (as_millilitres(volume) / eighth).round();
    // past two dozen teaspoons a measuring jug is nearer at hand
    (1.0..=192.0).contains(&eighths).then(|| Spoon { teaspoon_eighths: eighths, volume: millilitres(eighths * eighth) })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn drops_state_their_spread() {
        // 8 drops are 0.4 mL at 20 to the mL, and 0.616 mL at "8 drops = 1/8 teaspoon": US EPA and kitchen practice
        let eight = drops(millilitres(8.0 * 4.928_921_593_75 / 64.0)).unwrap();
        assert!((eight.least - 8.0).abs() < 1e-9 && (eight.most - 12.0).abs() < 1e-9);
        assert_eq!(drops(millilitres(50.0)), None);
        // 40 drops = 1/2 teaspoon = 2.5 mL: CDC's chart for 5 US gallons
        let half = spoons(millilitres(2.5)).unwrap();
        assert!((half.teaspoon_eighths - 4.0).abs() < 1e-9);
    }
}
