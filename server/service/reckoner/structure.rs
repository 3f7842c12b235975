//! Where a vessel stands: what the floor feels, what an earthquake does, and whether it gets there.

use keepwell_engine::distribution::container_mass;
use keepwell_engine::distribution::measures::CONTAINER;
use keepwell_engine::distribution::measures::TARE;
use keepwell_engine::hydraulics::measures::GRAVITY;
use keepwell_engine::hydraulics::water::Water;
use keepwell_engine::quantity as q;
use keepwell_engine::quantity::HEIGHT;
use keepwell_engine::quantity::Mass;
use keepwell_engine::quantity::MassDensity;
use keepwell_engine::quantity::Unit;
use keepwell_engine::structure::Allowance;
use keepwell_engine::structure::Basin;
use keepwell_engine::structure::Force7_16;
use keepwell_engine::structure::Force7_22;
use keepwell_engine::structure::Passage;
use keepwell_engine::structure::Site;
use keepwell_engine::structure::Spectrum;
use keepwell_engine::structure::Standing;
use keepwell_engine::structure::depth_at_limit;
use keepwell_engine::structure::floor_load;
use keepwell_engine::structure::height_factor;
use keepwell_engine::structure::measures;
use keepwell_engine::structure::passes;
use keepwell_engine::structure::turns;

use crate::model::choice::Choice;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::service::reckoner::Answer;
use crate::service::reckoner::Calculation;
use crate::service::reckoner::Table;
use crate::service::reckoner::Topic;
use crate::service::reckoner::Warning;
use crate::service::reckoner::calculation::Given;
use crate::service::reckoner::refused::Refused;

pub(super) fn all() -> Vec<Calculation> {
    vec![floor(), earthquake(), slosh(), passage()]
}

fn heavy(calculation: Calculation, litres: f64, tare: f64) -> Calculation {
    calculation.figure("litres", "Water, when full", "", &CONTAINER, litres).figure(
        "tare_kg",
        "The vessel, empty",
        "",
        &TARE,
        tare,
    )
}

/// Cold water, which weighs most.
fn density() -> Result<MassDensity, Refused> {
    Ok(Water::at(q::celsius(4.0))?.density())
}

fn mass(given: &Given) -> Result<Mass, Refused> {
    let tare = q::kilograms(given.figure("tare_kg")?);
    Ok(container_mass(q::litres(given.figure("litres")?), density()?, tare)?.value)
}

fn floor() -> Calculation {
    heavy(
        Calculation::new(
            Topic::Structure,
            "floor-load",
            "Load on a floor",
            "What a full vessel presses on the floor, against the usual allowances.",
            reckon_floor,
        ),
        1000.0,
        60.0,
    )
    .figure(
        "contact_m2",
        "Area that touches the floor",
        "A tote's pallet as a whole, or its feet.",
        &measures::CONTACT,
        1.2,
    )
}

fn reckon_floor(given: &Given) -> Result<Answer, Refused> {
    let (mass, contact) = (mass(given)?, q::square_metres(given.figure("contact_m2")?));
    let load = floor_load(mass, contact)?;
    let tare = floor_load(q::kilograms(given.figure("tare_kg")?), contact)?;
    let mut rows = Vec::new();
    for allowance in Allowance::ALL {
        let limit = allowance.pressure();
        let depth = depth_at_limit(limit, tare.pressure, density()?)?.value;
        rows.push((allowance.name().to_owned(), vec![q::as_kilopascals(limit), q::as_metres(depth).max(0.0)]));
    }
    let mut answer = Answer::new()
        .figure("load_kpa", "on the floor", q::as_kilopascals(load.pressure), Unit::Kilopascal)
        .figure("mass_kg", "water and vessel together", q::as_kilograms(mass), Unit::Kilogram)
        .figure("kg_m2", "on each square metre", load.a_square_metre, Unit::Kilogram)
        .figure("kg_ft2", "on each square foot", load.a_square_foot, Unit::Kilogram)
        .table(Table {
            of: "usual allowance",
            columns: vec![("load", Unit::Kilopascal), ("reached by water so deep", Unit::Metre)],
            rows,
        });
    for allowance in &load.over {
        let over = Message::new("It is over what is usual for: {floor}. Ask a structural engineer.");
        answer = answer.say(over.with("floor", Arg::Word(allowance.name())));
    }
    Ok(answer
        .say_if(load.over.is_empty(), "It is under every usual allowance of this list.")
        .warn(Warning::STRUCTURE)
        .working(load.working))
}

fn earthquake() -> Calculation {
    heavy(
        Calculation::new(
            Topic::Structure,
            "earthquake",
            "What an earthquake does to a standing vessel",
            "The sideways force by both editions of the standard, whether it slides or tips when not held, and what a strap must hold.",
            reckon_earthquake,
        ),
        1000.0,
        60.0,
    )
    .figure("sds", "Short-period acceleration SDS, in g", "From the hazard map of the place.", &measures::SDS, 1.0)
    .figure("importance", "Importance factor", "1.5 for what is needed after an earthquake.", &measures::IMPORTANCE, 1.5)
    .figure("storey", "Height in the building, z/h", "0 on the ground, 1 at the roof.", &measures::STOREY, 0.0)
    .figure("centre_m", "Centre of the full vessel over its base", "", &measures::UP, 0.6)
    .figure("half_base_m", "Half the width of its base", "The narrower way.", &measures::HALF_BASE, 0.5)
    .figure("friction", "Friction under it", "Plastic on concrete 0.2 to 0.4 (common practice, no source).", &measures::FRICTION, 0.3)
    .figure("strap_m", "Strap over its base", "", &measures::HOLD, 0.8)
    .figure("amplification", "7-16: ap", "Tanks 1.0 (from memory).", &measures::AMPLIFICATION, 1.0)
    .figure("response", "7-16: Rp", "Tanks 2.5 (from memory).", &measures::RESPONSE, 2.5)
    .figure("ductility", "7-22: Rμ of the building", "1 at or below the ground.", &measures::RESPONSE, 1.0)
    .figure("resonance", "7-22: CAR of the vessel", "From its table 13.6-1.", &measures::AMPLIFICATION, 1.0)
    .figure("strength", "7-22: Rpo of the vessel", "From its table 13.6-1.", &measures::RESPONSE, 1.5)
}

fn reckon_earthquake(given: &Given) -> Result<Answer, Refused> {
    let weight = q::kilonewtons(q::as_kilograms(mass(given)?) * GRAVITY / 1000.0);
    let (sds, storey) = (given.figure("sds")?, given.figure("storey")?);
    let site = Site { sds, importance: given.figure("importance")? };
    let old = Force7_16 { amplification: given.figure("amplification")?, response: given.figure("response")?, storey };
    let new = Force7_22 {
        height: height_factor(storey, None)?,
        ductility: given.figure("ductility")?,
        resonance: given.figure("resonance")?,
        strength: given.figure("strength")?,
    };
    let (old, new) = (old.force(weight, site)?, new.force(weight, site)?);
    // Of what is not held, the force without the reduction for what is.
    let unheld = Standing::new(weight * (0.4 * sds), weight, sds)?;
    let centre = q::metres(given.figure("centre_m")?);
    let half_base = q::metres(given.figure("half_base_m")?);
    let strap_at = q::metres(given.figure("strap_m")?);
    let sliding = unheld.sliding(given.figure("friction")?)?;
    let tipping = unheld.tipping(centre, half_base)?;
    let strap = |force| Standing::new(force, weight, sds)?.strap(centre, half_base, strap_at);
    let (old_strap, new_strap) = (strap(old.value)?, strap(new.value)?);
    Ok(Answer::new()
        .figure(
            "sliding",
            "sliding, not held: what is asked over what holds; over 1 it slides",
            sliding.value,
            Unit::Count,
        )
        .figure("tipping", "tipping, not held: the same; over 1 it tips", tipping.value, Unit::Count)
        .figure("force_7_16_kn", "sideways force, ASCE/SEI 7-16", q::as_kilonewtons(old.value), Unit::Kilonewton)
        .figure("force_7_22_kn", "sideways force, ASCE/SEI 7-22", q::as_kilonewtons(new.value), Unit::Kilonewton)
        .figure("strap_7_16_kn", "a strap holds, 7-16", q::as_kilonewtons(old_strap.value), Unit::Kilonewton)
        .figure("strap_7_22_kn", "a strap holds, 7-22", q::as_kilonewtons(new_strap.value), Unit::Kilonewton)
        .figure("weight_kn", "weight of the full vessel", q::as_kilonewtons(weight), Unit::Kilonewton)
        .say_if(sliding.value > 1.0, "Not held, it slides.")
        .say_if(tipping.value > 1.0, "Not held, it tips over.")
        .say_if(sliding.value <= 1.0 && tipping.value <= 1.0, "By these figures it stands where it is.")
        .warn(Warning::STRUCTURE)
        .working(sliding.working)
        .working(tipping.working)
        .working(old.working)
        .working(new.working)
        .working(old_strap.working)
        .working(new_strap.working))
}

/// Standing water in plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Plan {
    Round,
    Rectangular,
}

impl Choice for Plan {
    const LIST: &'static [(Self, &'static str, &'static str)] =
        &[(Self::Round, "round", "round"), (Self::Rectangular, "rectangular", "rectangular")];
}

fn slosh() -> Calculation {
    Calculation::new(
        Topic::Structure,
        "slosh",
        "How high the water swings",
        "The wave that an earthquake makes in an open tank, against the air left above the water.",
        reckon_slosh,
    )
    .choice("plan", "Tank, seen from above", "", Plan::Round)
    .figure("across_m", "Diameter, or length the way it shakes", "", &measures::ACROSS, 2.4)
    .figure("depth_m", "Depth of water", "", &measures::DEPTH, 1.9)
    .figure("freeboard_m", "Air above the water", "", &HEIGHT, 0.3)
    .figure("sds", "Short-period acceleration SDS, in g", "", &measures::SDS, 1.0)
    .figure("sd1", "One-second acceleration SD1, in g", "", &measures::SD1, 0.6)
    .figure("long_s", "Long periods begin at", "4 s for ordinary risk (from memory).", &measures::PERIOD, 4.0)
    .figure("importance", "Importance factor", "", &measures::IMPORTANCE, 1.0)
}

fn reckon_slosh(given: &Given) -> Result<Answer, Refused> {
    let (across, depth) = (q::metres(given.figure("across_m")?), q::metres(given.figure("depth_m")?));
    let basin = match given.choice("plan")? {
        Plan::Round => Basin::round(across, depth)?,
        Plan::Rectangular => Basin::rectangular(across, depth)?,
    };
    let spectrum = Spectrum {
        sds: given.figure("sds")?,
        sd1: given.figure("sd1")?,
        long_period: q::seconds(given.figure("long_s")?),
    };
    let wave = basin.wave(&spectrum, given.figure("importance")?)?;
    let (height, freeboard) = (q::as_metres(wave.value), given.figure("freeboard_m")?);
    let (period, swinging) = (basin.period(), basin.swinging_part());
    Ok(Answer::new()
        .figure("wave_m", "the wave stands over the water", height, Unit::Metre)
        .figure("freeboard_m", "air above the water", freeboard, Unit::Metre)
        .figure("period_s", "it swings once in", q::as_seconds(period.value), Unit::Second)
        .figure("swinging", "of the water swings", swinging.value, Unit::Fraction)
        .say_if(
            height > freeboard,
            "It is higher than the air above the water: an open tank spills, and water presses on a lid.",
        )
        .say_if(height <= freeboard, "It stays below the rim.")
        .warn(Warning::STRUCTURE)
        .working(wave.working)
        .working(swinging.working))
}

fn passage() -> Calculation {
    Calculation::new(
        Topic::Structure,
        "passage",
        "Whether a vessel gets to its place",
        "The room to spare at a door and at the turn of a passage, carried the best way.",
        reckon_passage,
    )
    .figure("length_m", "Vessel: length over all", "", &measures::SIZE, 1.2)
    .figure("width_m", "Vessel: width over all", "A round one: its diameter twice.", &measures::SIZE, 0.8)
    .figure("height_m", "Vessel: height over all", "", &measures::SIZE, 1.0)
    .figure("door_width_m", "Door: clear width", "", &measures::SIZE, 0.91)
    .figure("door_height_m", "Door: clear height", "", &measures::SIZE, 2.03)
    .figure("before_m", "Passage: width before the turn", "", &measures::SIZE, 1.2)
    .figure("after_m", "Passage: width after the turn", "", &measures::SIZE, 1.0)
    .figure("ceiling_m", "Passage: height", "", &measures::SIZE, 2.3)
}

fn reckon_passage(given: &Given) -> Result<Answer, Refused> {
    let metres = |key| Ok::<_, Refused>(q::metres(given.figure(key)?));
    let vessel = Passage::new([metres("length_m")?, metres("width_m")?, metres("height_m")?])?;
    let door = passes(&vessel, metres("door_width_m")?, metres("door_height_m")?)?;
    let turn = turns(&vessel, (metres("before_m")?, metres("after_m")?), metres("ceiling_m")?)?;
    let (at_door, at_turn) = (q::as_metres(door.value), q::as_metres(turn.value));
    Ok(Answer::new()
        .figure("door_m", "to spare at the door", at_door, Unit::Metre)
        .figure("turn_m", "to spare at the turn", at_turn, Unit::Metre)
        .say_if(at_door < 0.0, "It does not pass the door.")
        .say_if(at_turn < 0.0, "It does not get round the turn.")
        .say_if(at_door >= 0.0 && at_turn >= 0.0, "It gets there.")
        .warn(Warning::LIFTING)
        .working(door.working)
        .working(turn.working))
}
