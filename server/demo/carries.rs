//! Who brings water to whom in Alder Reach, as agreed at a meeting in the hall.

use jiff::Timestamp;
use rand_pcg::Pcg64Mcg;

use crate::demo::book::Book;
use crate::demo::ground::name;
use crate::demo::ground::uuid;
use crate::model::carry::Carry;
use crate::model::carry::Means;
use crate::model::id::Id;
use crate::model::setup::Thing;
use crate::service::Error;

/// A generator of its own, so that what is agreed moves nothing in the history.
const SEED: u128 = 0xca44;

struct Agreed {
    name: &'static str,
    from: &'static str,
    to: &'static str,
    means: Means,
    litres_a_day: f64,
    litres_a_trip: f64,
}

const fn agreed(
    name: &'static str,
    [from, to]: [&'static str; 2],
    means: Means,
    litres_a_day: f64,
    litres_a_trip: f64,
) -> Agreed {
    Agreed { name, from, to, means, litres_a_day, litres_a_trip }
}

const AGREED: &[Agreed] = &[
    agreed("Down Mill Road", ["Alder Reach Hall", "Birch Court"], Means::Cart, 300.0, 60.0),
    agreed("School trolleys", ["Reach Primary", "Birch Court"], Means::Cart, 420.0, 60.0),
    agreed("To the clinic door", ["Alder Reach Hall", "Weir Lane Clinic"], Means::Car, 200.0, 100.0),
    agreed("Over the weir", ["Reach Primary", "Weir Cottage"], Means::Foot, 40.0, 20.0),
    agreed("Back lane", ["Pear Tree", "Stonecroft"], Means::Foot, 40.0, 20.0),
    agreed("Mill path", ["Reach Primary", "Mill End"], Means::Foot, 40.0, 20.0),
    agreed("Up the orchard", ["Larkfield", "Orchard Plots"], Means::Cart, 60.0, 60.0),
    agreed("School to hall", ["Reach Primary", "Alder Reach Hall"], Means::Car, 400.0, 200.0),
];

pub fn agree(book: &Book, since: Timestamp) -> Result<Vec<Thing>, Error> {
    let mut rng = Pcg64Mcg::new(SEED);
    let carry = |agreed: &Agreed| {
        Ok(Thing::Carry(Carry {
            id: Id::from_uuid(uuid(since, &mut rng)),
            name: name(agreed.name)?,
            from: book.site(agreed.from)?,
            to: book.site(agreed.to)?,
            means: agreed.means,
            litres_a_day: agreed.litres_a_day,
            litres_a_trip: agreed.litres_a_trip,
            loss: 0.0,
            ended: None,
        }))
    };
    AGREED.iter().map(carry).collect()
}
