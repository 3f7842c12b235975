//! The levels of service that a site has unless someone writes others.

use crate::endurance::Level;
use crate::endurance::Reach;
use crate::endurance::Uses;
use crate::quantity::Volume;

/// The usual levels for a ration: at the tap in full, carried by hand up to what people can carry, then drinking alone.
///
/// **Rule.** By hand at most `hand_cap` a person a day (15 L unless set otherwise: the Sphere indicator of 15 L a person a
/// day, Sphere Handbook 2018 water supply standard 2.1, is for carried water). A ration above it is cut in the order flush,
/// wash, cook; drinking is never cut. `gravity_taps`: the house's taps run by gravity without the pump, so a level of its
/// own, "gravity tap", gives the ration in full between the two.
///
/// **Arguments.** `ration` and `hand_cap` in litres a person a day, 0 or more.
///
/// ```
/// use keepwell_engine::endurance::{usual_levels, Uses};
/// use keepwell_engine::quantity::{as_litres, litres};
///
/// // Ample, 50 L: 3 + 6 + 26 + 15. By hand 15 L: no flushing, and of the washing what the cap leaves, 6 L.
/// let ample = Uses { drink: litres(3.0), cook: litres(6.0), wash: litres(26.0), flush: litres(15.0) };
/// let levels = usual_levels(ample, litres(15.0), false);
/// let names: Vec<&str> = levels.iter().map(|level| level.name.as_str()).collect();
/// assert_eq!(names, ["tap", "hand", "drinking"]);
/// assert!((as_litres(levels[1].uses.wash) - 6.0).abs() < 1e-9);
/// assert!((as_litres(levels[1].uses.total()) - 15.0).abs() < 1e-9);
/// ```
///
/// **Reference.** The cap as above; the order of cutting and the levels: common practice, no source.
#[must_use]
pub fn usual_levels(ration: Uses, hand_cap: Volume, gravity_taps: bool) -> Vec<Level> {
    let by_hand = Reach { gravity: true, dip: true, ..Reach::default() };
    let mut levels = Vec::with_capacity(4);
    levels.push(Level { name: "tap".to_owned(), reach: Reach { pump: true, ..Reach::default() }, uses: ration });
    if gravity_taps {
        let reach = Reach { gravity: true, ..Reach::default() };
        levels.push(Level { name: "gravity tap".to_owned(), reach, uses: ration });
    }
    levels.push(Level { name: "hand".to_owned(), reach: by_hand, uses: ration.carried(hand_cap) });
    let drink_alone = Uses { drink: ration.drink, ..Uses::default() };
    levels.push(Level { name: "drinking".to_owned(), reach: by_hand, uses: drink_alone });
    levels
}
