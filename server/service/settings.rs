//! What of the neighbourhood's settings does not hold.

use keepwell_engine::demand::Ladder;
use keepwell_engine::quantity::INTERVAL;
use keepwell_engine::quantity::PRICE;
use keepwell_engine::quantity::SHAKING;

use crate::model::entry::fields::Problem;
use crate::model::message::Message;
use crate::model::neighbourhood::Neighbourhood;
use crate::service::set_up::measure;

pub(super) fn check(thing: &Neighbourhood, problems: &mut Vec<Problem>) {
    if jiff::tz::TimeZone::get(&thing.zone).is_err() {
        problems.push(Problem::new("zone", Message::new("That is no time zone we know. Write it like Europe/Dublin.")));
    }
    if Ladder::default().rung(&thing.ration).is_none() {
        problems.push(Problem::new("ration", Message::new("That is no rung of the ladder.")));
    }
    let upkeep = &thing.upkeep;
    for (field, label, days) in [
        ("dip_days", "days between readings", upkeep.dip_days),
        ("generator_days", "days between generator runs", upkeep.generator_days),
        ("pump_days", "days between pump runs", upkeep.pump_days),
        ("couplings_days", "days between looks at couplings", upkeep.couplings_days),
        ("round_days", "days between rounds", upkeep.round_days),
        ("target_days", "target days", thing.target_days),
    ] {
        measure(problems, field, label, days, &INTERVAL);
    }
    let prices = &thing.prices;
    for (field, label, value, allowed) in [
        ("sds_g", "short-period acceleration", thing.sds_g, &SHAKING),
        ("sd1_g", "one-second acceleration", thing.sd1_g, &SHAKING),
        ("petrol_l", "price of petrol", prices.petrol_l, &PRICE),
        ("diesel_l", "price of diesel", prices.diesel_l, &PRICE),
        ("propane_l", "price of propane", prices.propane_l, &PRICE),
        ("can", "price of a can", prices.can, &PRICE),
        ("stage", "price of a cartridge or a lamp", prices.stage, &PRICE),
    ] {
        if let Some(value) = value {
            measure(problems, field, label, value, allowed);
        }
    }
}
