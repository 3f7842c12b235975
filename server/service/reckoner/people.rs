//! People: what they need, how it is handed out, how it is carried.

use keepwell_engine::demand::Animal;
use keepwell_engine::demand::Category;
use keepwell_engine::demand::FLUSHES;
use keepwell_engine::demand::Ladder;
use keepwell_engine::demand::Population;
use keepwell_engine::demand::Rung;
use keepwell_engine::demand::STORE_DAYS;
use keepwell_engine::demand::Season;
use keepwell_engine::demand::Visit;
use keepwell_engine::demand::flushing;
use keepwell_engine::demand::points_needed;
use keepwell_engine::demand::store_for;
use keepwell_engine::distribution::Lift;
use keepwell_engine::distribution::Point;
use keepwell_engine::distribution::container_mass;
use keepwell_engine::distribution::measures;
use keepwell_engine::distribution::trips;
use keepwell_engine::hydraulics::water::Water;
use keepwell_engine::quantity as q;
use keepwell_engine::quantity::ANIMALS;
use keepwell_engine::quantity::MassDensity;
use keepwell_engine::quantity::Measure;
use keepwell_engine::quantity::PEOPLE;
use keepwell_engine::quantity::RATION;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::VOLUME;
use keepwell_engine::working::Figure;
use keepwell_engine::working::Working;

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
    vec![demand(), store(), handing_out(), carrying(), lifting()]
}

/// The rations, least first.
pub(super) fn rations() -> Vec<(&'static str, &'static str)> {
    Ladder::usual().rungs().iter().map(|rung| (rung.key(), rung.name())).collect()
}

pub(super) fn of_ration(given: &Given) -> Result<&'static Rung, Refused> {
    Ladder::usual().rung(given.key("ration")?).ok_or_else(|| Refused::missing("ration"))
}

impl Choice for Visit {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Outpatient, Self::Outpatient.key(), "to be seen at a clinic"),
        (Self::Pupil, Self::Pupil.key(), "to school"),
        (Self::Daytime, Self::Daytime.key(), "to a place of rest"),
    ];
}

impl Choice for Season {
    const LIST: &'static [(Self, &'static str, &'static str)] =
        &[(Self::Winter, "winter", "winter"), (Self::Summer, "summer", "summer")];
}

fn demand() -> Calculation {
    let asked = Calculation::new(
        Topic::People,
        "demand",
        "What people need a day",
        "Litres a day at a ration, and at every other rung of the ladder.",
        reckon_demand,
    )
    .one_of("ration", "Ration", "", rations, "basic");
    let asked = Category::ALL.into_iter().fold(asked, |asked, category| {
        let usual = if category == Category::Adult { 40 } else { 0 };
        asked.whole(category.key(), category.name(), "", &PEOPLE, usual)
    });
    let asked =
        Animal::ALL.into_iter().fold(asked, |asked, animal| asked.whole(animal.key(), animal.name(), "", &ANIMALS, 0));
    let asked = asked.choice("season", "Season", "For animals.", Season::default());
    asked.figure("bed_l", "For each bed in use", "Whatever the ration: Sphere has 40 to 60 L.", &RATION, 40.0).choice(
        "visit",
        "Day visitors come",
        "",
        Visit::Outpatient,
    )
}

fn reckon_demand(given: &Given) -> Result<Answer, Refused> {
    let mut population =
        Population::default().with_bed_need(q::litres(given.figure("bed_l")?))?.with_visits(given.choice("visit")?);
    for category in Category::ALL {
        population = population.with(category, given.count(category.key())?);
    }
    for animal in Animal::ALL {
        population = population.with_animals(animal, given.count(animal.key())?);
    }
    population = population.in_season(given.choice("season")?);
    let demand = population.demand(of_ration(given)?.uses())?;
    let mut rows = Vec::new();
    for rung in Ladder::usual().rungs() {
        let at = population.demand(rung.uses())?;
        let each = q::as_litres(rung.uses().total());
        rows.push((rung.name().to_owned(), vec![each, q::as_litres(at.total()), q::as_litres(at.drink_grade())]));
    }
    Ok(Answer::new()
        .figure("total_l", "a day in all", q::as_litres(demand.total()), Unit::Litre)
        .figure("drink_l", "of that, drinking water", q::as_litres(demand.drink_grade()), Unit::Litre)
        .figure("flush_l", "of that, for flushing, which need not be", q::as_litres(demand.rationed.flush), Unit::Litre)
        .figure(
            "unrationed_l",
            "of that, beds, visitors and animals, which no ration cuts",
            q::as_litres(demand.unrationed()),
            Unit::Litre,
        )
        .table(Table {
            of: "ration",
            columns: vec![("each", Unit::Litre), ("a day in all", Unit::Litre), ("drinking water", Unit::Litre)],
            rows,
        })
        .say_if(demand.priority, "Infants, nursing mothers, the unwell and patients go first when water is shared.")
        .warn(Warning::LITRES)
        .working(demand.working()))
}

fn store() -> Calculation {
    Calculation::new(
        Topic::People,
        "store",
        "How much to store",
        "So much a day for so many, for so many days; and what flushing would take beside it.",
        reckon_store,
    )
    .figure("heads", "People, and pets as people", "", &PEOPLE, 4.0)
    .figure("each_l", "For each a day", "A US gallon (3.8 L) at least: CDC. Sphere has 15 L.", &RATION, 15.0)
    .figure("days", "Days", "3 at least, 14 if possible: CDC.", &STORE_DAYS, 14.0)
    .figure("flushes", "Flushes of each a day", "5 is usual.", &FLUSHES, 5.0)
    .figure("flush_l", "Litres a flush", "", &RATION, 6.0)
}

fn reckon_store(given: &Given) -> Result<Answer, Refused> {
    let (heads, days) = (given.figure("heads")?, given.figure("days")?);
    let (each, flush) = (given.figure("each_l")?, given.figure("flush_l")?);
    let litres = q::as_litres(store_for(heads, q::litres(each), q::days(days))?);
    let flushing = q::as_litres(flushing(heads, given.figure("flushes")?, q::litres(flush))?);
    let working = Working::new("Water to store", "heads · litres · days")
        .input("people, and pets as people", "heads", Figure::exact(heads, Unit::Count), "given")
        .input("for each a day", "litres", Figure::exact(each, Unit::LitrePerDay), "given")
        .input("days", "days", Figure::exact(days, Unit::Day), "given")
        .step("to store", "heads · litres · days", Figure::exact(litres, Unit::Litre))
        .step("flushing, a day", "heads · flushes · litres a flush", Figure::exact(flushing, Unit::LitrePerDay))
        .source("CDC, Creating & Storing an Emergency Water Supply, 2017")
        .source("5 flushes a person: Residential End Uses of Water 2016");
    Ok(Answer::new()
        .figure("store_l", "to store", litres, Unit::Litre)
        .figure(
            "flush_l_day",
            "beside it, a day for flushing, which need not be drinking water",
            flushing,
            Unit::LitrePerDay,
        )
        .warn(Warning::LITRES)
        .working(working))
}

/// People that one tap serves: Sphere Handbook 2018, water supply standard 2.1.
const A_TAP: f64 = 250.0;

fn handing_out() -> Calculation {
    Calculation::new(
        Topic::People,
        "handing-out",
        "How long handing out takes",
        "Taps, queue and hours: when the last is served, how many in the hours open, and how many taps it takes.",
        reckon_handing_out,
    )
    .figure("people", "People", "", &PEOPLE, 400.0)
    .figure("each_l", "For each", "", &measures::EACH, 15.0)
    .whole("taps", "Taps", "", &measures::TAPS, 4)
    .figure("flow_l_min", "Flow of a tap", "7.5 L a minute is what is planned with.", &measures::TAP_FLOW, 7.5)
    .figure("change_s", "From one person to the next", "", &measures::CHANGE, 30.0)
    .figure("open_h", "Hours open", "", &measures::OPEN, 8.0)
}

fn reckon_handing_out(given: &Given) -> Result<Answer, Refused> {
    let flow = q::litres_per_minute(given.figure("flow_l_min")?);
    let point = Point::new(f64::from(given.count("taps")?), flow, q::seconds(given.figure("change_s")?))?;
    let (people, each) = (given.figure("people")?, q::litres(given.figure("each_l")?));
    let open = q::hours(given.figure("open_h")?);
    let day = point.serving(people, each, open)?;
    // Where one does not get through in the hours open, no number of taps serves them.
    let taps = if day.each <= open { Some(point.taps_for(people, each, open)?) } else { None };
    Ok(Answer::new()
        .figure("hours", "until the last is served", q::as_hours(day.hours), Unit::Hour)
        .figure("served", "served in the hours open", day.served, Unit::Count)
        .figure("each_s", "for one person", q::as_seconds(day.each), Unit::Second)
        .figure("wait_h", "longest wait, all coming at once", q::as_hours(day.longest_wait), Unit::Hour)
        .maybe("taps_needed", "taps that serve all in the hours open", taps, Unit::Count)
        .figure("taps_planned", "taps by the usual 250 people a tap", points_needed(people, A_TAP)?, Unit::Count)
        .say_if(day.hours > open, "Not all are served in the hours open.")
        .say_if(taps.is_none(), "One person takes longer than the hours open.")
        .warn(Warning::LITRES)
        .working(day.working.source("250 people a tap of 7.5 L/min: Sphere Handbook 2018, water supply standard 2.1")))
}

fn canned(calculation: Calculation) -> Calculation {
    calculation.figure("container_l", "Container", "", &measures::CONTAINER, 20.0).figure(
        "tare_kg",
        "The container, empty",
        "",
        &measures::TARE,
        1.1,
    )
}

fn density() -> Result<MassDensity, Refused> {
    Ok(Water::at(q::celsius(15.0))?.density())
}

fn carrying() -> Calculation {
    canned(
        Calculation::new(
            Topic::People,
            "carrying",
            "How many trips it takes",
            "Water in containers, by a vehicle or a barrow of a payload.",
            reckon_carrying,
        )
        .figure("litres", "Water to be carried", "", &VOLUME, 1000.0)
        .figure(
            "payload_kg",
            "Carried at once",
            "From the vehicle's plate, the people in it taken off.",
            &measures::PAYLOAD,
            450.0,
        ),
    )
}

fn reckon_carrying(given: &Given) -> Result<Answer, Refused> {
    let (container, tare) = (q::litres(given.figure("container_l")?), q::kilograms(given.figure("tare_kg")?));
    let payload = q::kilograms(given.figure("payload_kg")?);
    let found = trips(q::litres(given.figure("litres")?), payload, (container, tare), density()?)?;
    let full = container_mass(container, density()?, tare)?;
    Ok(Answer::new()
        .figure("trips", "trips", found.value, Unit::Count)
        .figure("full_kg", "a full container weighs", q::as_kilograms(full.value), Unit::Kilogram)
        .say(Message::new("Full containers only: part-filled ones surge."))
        .warn(Warning::LIFTING)
        .working(found.working))
}

/// The engine's lengths of a lift stand in metres; people measure them in centimetres, which may be typed.
const REACH: Measure = measures::REACH;

fn lifting() -> Calculation {
    canned(Calculation::new(
        Topic::People,
        "lifting",
        "Whether a container is too heavy to lift",
        "The mass most people may lift so, against a full container.",
        reckon_lifting,
    ))
    .figure("reach_m", "Hands in front of the ankles", "", &REACH, 0.3)
    .figure("height_m", "Hands over the floor at the start", "", &REACH, 0.35)
    .figure("travel_m", "How far up or down", "", &REACH, 0.5)
    .figure("turn_deg", "Turn of the body", "", &measures::TURN, 0.0)
    .figure(
        "frequency",
        "For how often, 0 to 1",
        "NIOSH 94-110, table 5: once in five minutes for an hour 1, each minute 0.94.",
        &measures::MULTIPLIER,
        0.94,
    )
    .figure(
        "coupling",
        "For the grip, 0 to 1",
        "NIOSH 94-110, table 7: good 1, fair 0.95, poor 0.9.",
        &measures::MULTIPLIER,
        0.95,
    )
}

fn reckon_lifting(given: &Given) -> Result<Answer, Refused> {
    let metres = |key| Ok::<_, Refused>(q::metres(given.figure(key)?));
    let lift = Lift {
        reach: metres("reach_m")?,
        height: metres("height_m")?,
        travel: metres("travel_m")?,
        turn: given.figure("turn_deg")?,
        frequency: given.figure("frequency")?,
        coupling: given.figure("coupling")?,
    };
    let limit = lift.limit()?;
    let tare = q::kilograms(given.figure("tare_kg")?);
    let full = container_mass(q::litres(given.figure("container_l")?), density()?, tare)?;
    let most = q::as_kilograms(limit.value);
    let index = if most > 0.0 { Some(lift.index(full.value)?) } else { None };
    let answer = Answer::new()
        .figure("limit_kg", "most people may lift so", most, Unit::Kilogram)
        .figure("full_kg", "the full container weighs", q::as_kilograms(full.value), Unit::Kilogram)
        .maybe("index", "times that limit", index, Unit::Count)
        .say_if(index.is_none(), "Nothing may be lifted so: come nearer, or raise it first.");
    let over = index.filter(|index| *index > 1.0);
    Ok(match over {
        Some(_) => answer.say(
            Message::new("It is too heavy for many. Fill it to {part} or less, or lift it by two.")
                .with("part", Arg::Figure((most - q::as_kilograms(tare)).max(0.0), Unit::Kilogram)),
        ),
        None => answer,
    }
    .warn(Warning::LIFTING)
    .working(limit.working)
    .working(full.working))
}
