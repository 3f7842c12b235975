//! Power and fuel.

mod loads;

use keepwell_engine::hydraulics::measures::EFFICIENCY;
use keepwell_engine::hydraulics::measures::HEAD as ANY_HEAD;
use keepwell_engine::hydraulics::water::Water;
use keepwell_engine::moment::Moment;
use keepwell_engine::power::BurnPoint;
use keepwell_engine::power::Derating;
use keepwell_engine::power::FuelKind;
use keepwell_engine::power::FuelState;
use keepwell_engine::power::FuelStore;
use keepwell_engine::power::Generator;
use keepwell_engine::power::Lasts;
use keepwell_engine::power::battery_energy;
use keepwell_engine::power::cylinder_limit;
use keepwell_engine::power::fuel_by_mass;
use keepwell_engine::power::heat_of_mass;
use keepwell_engine::power::measures;
use keepwell_engine::power::propane_from_mass;
use keepwell_engine::power::solar_day;
use keepwell_engine::power::starting_current;
use keepwell_engine::power::water_lifted;
use keepwell_engine::quantity as q;
use keepwell_engine::quantity::BURN;
use keepwell_engine::quantity::FUEL;
use keepwell_engine::quantity::HOURS_A_DAY;
use keepwell_engine::quantity::INTERVAL;
use keepwell_engine::quantity::Measure;
use keepwell_engine::quantity::POWER;
use keepwell_engine::quantity::RUN_HOURS;
use keepwell_engine::quantity::Unit;
use keepwell_engine::working::Figure;
use keepwell_engine::working::Reckoned;
use keepwell_engine::working::Working;

use crate::model::choice::Choice;
use crate::model::message::Message;
use crate::service::reckoner::Answer;
use crate::service::reckoner::Calculation;
use crate::service::reckoner::Topic;
use crate::service::reckoner::Warning;
use crate::service::reckoner::calculation::Given;
use crate::service::reckoner::refused::Refused;

pub(super) fn all() -> Vec<Calculation> {
    vec![generator(), run(), derating(), loads::loads(), fuel_age(), propane(), battery(), solar(), motor()]
}

impl Choice for FuelKind {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Petrol, Self::Petrol.key(), Self::Petrol.name()),
        (Self::Diesel, Self::Diesel.key(), Self::Diesel.name()),
        (Self::Propane, Self::Propane.key(), Self::Propane.name()),
        (Self::MainsGas, Self::MainsGas.key(), Self::MainsGas.name()),
    ];
}

fn generator() -> Calculation {
    Calculation::new(
        Topic::Power,
        "generator",
        "How long a generator's fuel lasts",
        "What it burns at a load, the part burnt at no load included, and how many days the fuel is for.",
        reckon_generator,
    )
    .choice("fuel", "Fuel", "", FuelKind::Petrol)
    .figure("fuel_l", "Usable fuel", "Litres of liquid, propane too.", &FUEL, 40.0)
    .figure("rated_w", "Rated power", "", &POWER, 3000.0)
    .figure("no_load_l_h", "Burn at no load", "", &BURN, 0.45)
    .figure("full_l_h", "Burn at full load", "", &BURN, 1.75)
    .figure("load_w", "Average load while it runs", "", &POWER, 800.0)
    .figure("hours_a_day", "Hours a day", "16 for water at the tap on demand.", &HOURS_A_DAY, 16.0)
}

fn reckon_generator(given: &Given) -> Result<Answer, Refused> {
    let fuel: FuelKind = given.choice("fuel")?;
    let rated = q::watts(given.figure("rated_w")?);
    let point = |load, burn| Ok::<_, Refused>(BurnPoint { load, burn: q::litres_per_hour(given.figure(burn)?) });
    let set = Generator::new(fuel, rated, &[point(q::watts(0.0), "no_load_l_h")?, point(rated, "full_l_h")?])?;
    let load = q::watts(given.figure("load_w")?);
    let (usable, hours) = (q::litres(given.figure("fuel_l")?), q::hours(given.figure("hours_a_day")?));
    let burn = q::as_litres_per_hour(set.burn(load)?.rate);
    let answer = match set.lasts(usable, load, hours)? {
        Lasts::For(running) => Answer::new()
            .figure("days", "at so many hours a day", q::as_days(running.days), Unit::Day)
            .figure("hours", "of running", q::as_hours(running.hours), Unit::Hour)
            .figure("burn_l_h", "fuel an hour at that load", burn, Unit::LitrePerHour)
            .figure("a_day_l", "fuel a day", q::as_litres(running.a_day()), Unit::Litre)
            .maybe("mass_kg", "the fuel weighs", fuel.mass_of(usable).map(q::as_kilograms), Unit::Kilogram)
            .working(running.working()),
        lasts => Answer::new()
            .figure("burn_l_h", "fuel an hour at that load", burn, Unit::LitrePerHour)
            .say_if(
                lasts == Lasts::WhileTheMainDoes,
                "Gas from the main lasts as long as the main does, and no longer.",
            )
            .say_if(lasts == Lasts::NothingBurnt, "At no load on a line that starts at 0 nothing is burnt.")
            .working(burn_line(burn)),
    };
    Ok(answer.warn(Warning::EXHAUST).warn(Warning::FUEL))
}

fn burn_line(burn: f64) -> Working {
    Working::new("fuel an hour", "straight between the maker's points")
        .step("fuel an hour at that load, no-load part included", "", Figure::exact(burn, Unit::LitrePerHour))
        .source("by definition; the burn line is the maker's or measured")
}

fn run() -> Calculation {
    Calculation::new(
        Topic::Power,
        "fuel-for-a-run",
        "Fuel for so many hours",
        "Where the maker states grams for a kilowatt hour, and not litres an hour.",
        |given| {
            let (load, hours) = (q::watts(given.figure("load_w")?), q::hours(given.figure("hours")?));
            let fuel = fuel_by_mass(load, hours, given.figure("g_kwh")?, given.figure("kg_l")?)?;
            Ok(Answer::new()
                .figure("fuel_l", "of fuel", q::as_litres(fuel.value), Unit::Litre)
                .warn(Warning::EXHAUST)
                .warn(Warning::FUEL)
                .working(fuel.working))
        },
    )
    .figure("load_w", "Load", "", &POWER, 1200.0)
    .figure("hours", "Hours", "", &RUN_HOURS, 8.0)
    .figure(
        "g_kwh",
        "Grams for a kilowatt hour",
        "300 to 450 at good load, 450 to 700 at light load in small sets (from memory).",
        &measures::SPECIFIC,
        500.0,
    )
    .figure("kg_l", "Kilograms a litre of the fuel", "Petrol 0.745, diesel 0.832.", &measures::FUEL_DENSITY, 0.745)
}

fn derating() -> Calculation {
    let asked = Calculation::new(
        Topic::Power,
        "derating",
        "What a generator makes in thin, warm air",
        "Its rating, less what height and warmth take.",
        |given| {
            let left = derated(given, q::watts(given.figure("rated_w")?))?;
            Ok(Answer::new()
                .figure("left_w", "that it still makes", q::as_watts(left.value), Unit::Watt)
                .warn(Warning::EXHAUST)
                .working(left.working))
        },
    );
    air(asked.figure("rated_w", "Rated power", "", &POWER, 10_000.0))
}

/// The questions about the air that a generator runs in, and what it takes.
fn air(calculation: Calculation) -> Calculation {
    calculation
        .figure("elevation_m", "Height over the sea", "", &measures::ABOVE_SEA, 1500.0)
        .figure("air_c", "Air temperature", "", &measures::AIR, 35.0)
        .figure("thin", "Lost for each 1,000 ft", "3.5 % for sets with spark plugs.", &measures::LOSS_A_STEP, 0.035)
        .figure("warm", "Lost for each 10 °F", "1 % for sets with spark plugs.", &measures::LOSS_A_STEP, 0.01)
        .figure("from_c", "No loss up to", "", &measures::AIR, 25.0)
}

fn derated(given: &Given, rated: q::Power) -> Result<Reckoned<q::Power>, Refused> {
    let rule = Derating {
        a_thousand_feet: given.figure("thin")?,
        ten_fahrenheit: given.figure("warm")?,
        from: q::celsius(given.figure("from_c")?),
    };
    let air = q::celsius(given.figure("air_c")?);
    Ok(rule.rating(rated, q::metres(given.figure("elevation_m")?), air)?)
}

fn fuel_age() -> Calculation {
    Calculation::new(
        Topic::Power,
        "fuel-age",
        "Whether fuel is still good",
        "Its age against how long its kind keeps.",
        reckon_age,
    )
    .choice("fuel", "Fuel", "", FuelKind::Petrol)
    .figure("age_days", "Age", "Since it was bought.", &INTERVAL, 120.0)
    .figure("fuel_l", "How much of it", "", &FUEL, 20.0)
    .flag("stabilised", "A stabiliser was added when it was new", "")
}

fn reckon_age(given: &Given) -> Result<Answer, Refused> {
    let (fuel, stabilised): (FuelKind, bool) = (given.choice("fuel")?, given.flag("stabilised"));
    let age = q::days(given.figure("age_days")?);
    let bought = Moment::from_micros(0);
    let now = bought.after(age);
    let amount = q::litres(given.figure("fuel_l")?);
    let store = FuelStore::new(fuel, amount, q::litres(0.0), Some(bought), stabilised)?;
    let state = store.state(now);
    let life = fuel.shelf_life(stabilised);
    let left = life.map(|life| q::as_days(life.end - age).max(0.0));
    Ok(Answer::new()
        .maybe("left_days", "until it is not to be relied on", left, Unit::Day)
        .maybe("good_days", "its kind is good for", life.map(|life| q::as_days(life.good)), Unit::Day)
        .maybe("end_days", "and not to be relied on after", life.map(|life| q::as_days(life.end)), Unit::Day)
        .figure("age_days", "its age", q::as_days(age), Unit::Day)
        .say_if(life.is_none(), "It does not age in store.")
        .say_if(state == FuelState::Good && life.is_some(), "It is good.")
        .say_if(state == FuelState::Ageing, "It is ageing: use it first, and buy it new.")
        .say_if(state == FuelState::Past, "It is past its life: not to be relied on.")
        .warn(Warning::FUEL)
        .working(store.working(now)))
}

/// Heat of a pound of propane, Btu: lower heating value, US DOE AFDC, Properties of Fuels.
const PROPANE_BTU: f64 = 19_900.0;

fn propane() -> Calculation {
    Calculation::new(
        Topic::Power,
        "propane",
        "Propane by its weight",
        "A cylinder on a scale: the litres and the heat in it, and the most that it may hold.",
        reckon_propane,
    )
    .figure("gross_kg", "Cylinder on the scale", "", &measures::FUEL_MASS, 14.5)
    .figure("tare_kg", "Empty cylinder", "Stamped on it, \"TW\".", &measures::FUEL_MASS, 7.7)
    .maybe("capacity_l", "Water capacity", "Stamped on it, \"WC\".", &FUEL)
}

fn reckon_propane(given: &Given) -> Result<Answer, Refused> {
    let (gross, tare) = (given.figure("gross_kg")?, given.figure("tare_kg")?);
    if gross < tare {
        let words = Message::new("The cylinder weighs less than it does when empty: look at both weights again.");
        return Err(Refused::Said("gross_kg", words));
    }
    let mass = q::kilograms(gross - tare);
    let litres = q::as_litres(propane_from_mass(mass)?);
    let heat = heat_of_mass(mass, PROPANE_BTU)?;
    let most = given.maybe("capacity_l").map(q::litres).map(cylinder_limit).transpose()?.map(q::as_litres);
    let working = Working::new("Propane by its weight", "V = (gross − tare)/(4.24 lb a US gallon)")
        .input("cylinder on the scale", "gross", Figure::exact(gross, Unit::Kilogram), "weighed")
        .input("empty cylinder", "tare", Figure::exact(tare, Unit::Kilogram), "stamped on it")
        .step("propane", "gross − tare", Figure::exact(gross - tare, Unit::Kilogram))
        .step("litres of liquid", "V", Figure::exact(litres, Unit::Litre))
        .source("4.24 lb a US gallon: makers' standby manuals; filled to 80 % at most: the usual rule of the trade");
    Ok(Answer::new()
        .figure("fuel_l", "of liquid propane", litres, Unit::Litre)
        .figure("mass_kg", "which weigh", gross - tare, Unit::Kilogram)
        .figure("heat_kwh", "heat in it", q::as_kilowatt_hours(heat.value) * 1000.0, Unit::WattHour)
        .maybe("most_l", "the most that it may hold, 80 %", most, Unit::Litre)
        .say_if(
            most.is_some_and(|most| litres > most),
            "It holds more than it may: the liquid needs room to swell. Have it seen to.",
        )
        .warn(Warning::FUEL)
        .working(working)
        .working(heat.working))
}

fn lifted(calculation: Calculation) -> Calculation {
    calculation.figure("head_m", "Head of the pump", "To be told the water it lifts.", &LIFTED, 30.0).figure(
        "efficiency",
        "Wire-to-water efficiency of the pump",
        "20 to 55 %; small sets 35.",
        &EFFICIENCY,
        0.35,
    )
}

/// No water is lifted to nowhere.
const LIFTED: Measure = Measure { min: measures::TOTAL_HEAD.min, ..ANY_HEAD };

fn with_water(given: &Given, answer: Answer, energy: q::Energy) -> Result<Answer, Refused> {
    let density = Water::at(q::celsius(15.0))?.density();
    let water = water_lifted(energy, q::metres(given.figure("head_m")?), density, given.figure("efficiency")?)?;
    Ok(answer
        .figure("water_l", "water that it lifts", q::as_litres(water.value), Unit::Litre)
        .warn(Warning::WIRING)
        .working(water.working))
}

fn battery() -> Calculation {
    lifted(
        Calculation::new(
            Topic::Power,
            "battery",
            "What a battery gives",
            "The electricity at the socket, and the water that it lifts.",
            |given| {
                let (charge, voltage) = (given.figure("charge_ah")?, given.figure("voltage_v")?);
                let energy = battery_energy(charge, voltage, given.figure("discharge")?, given.figure("inverter")?)?;
                let answer = Answer::new()
                    .figure("energy_wh", "at the socket", q::as_kilowatt_hours(energy.value) * 1000.0, Unit::WattHour)
                    .working(energy.working);
                with_water(given, answer, energy.value)
            },
        )
        .figure("charge_ah", "Capacity, Ah", "", &measures::CHARGE, 100.0)
        .figure("voltage_v", "Voltage, V", "", &measures::VOLTAGE, 12.8)
        .figure(
            "discharge",
            "Depth of discharge",
            "Lead-acid 50 %, lithium iron phosphate 80 to 90.",
            &measures::PART,
            0.8,
        )
        .figure("inverter", "Inverter", "85 to 93 % at part load.", &EFFICIENCY, 0.9),
    )
}

fn solar() -> Calculation {
    lifted(
        Calculation::new(
            Topic::Power,
            "solar",
            "What solar panels give a day",
            "The electricity of a day by its peak-sun hours, and the water that it lifts.",
            |given| {
                let (array, sun) = (q::watts(given.figure("array_w")?), q::hours(given.figure("sun_h")?));
                let energy = solar_day(array, sun, given.figure("losses")?, given.figure("inverter")?)?;
                let answer = Answer::new()
                    .figure("energy_wh", "a day", q::as_kilowatt_hours(energy.value) * 1000.0, Unit::WattHour)
                    .say(Message::new("Plan with the winter's sun; a month can stray by a third."))
                    .working(energy.working);
                with_water(given, answer, energy.value)
            },
        )
        .figure("array_w", "Panels, as on their plates", "", &POWER, 400.0)
        .figure("sun_h", "Peak-sun hours a day", "From a map of the place, for winter.", &measures::SUN, 3.0)
        .figure("losses", "Losses", "14 % is usual.", &measures::PART, 0.14)
        .figure("inverter", "Inverter", "96 %.", &EFFICIENCY, 0.96),
    )
}

fn motor() -> Calculation {
    Calculation::new(
        Topic::Power,
        "motor-start",
        "What a motor draws as it starts",
        "The current in the moment of starting, by the code letter on the motor's plate.",
        |given| {
            let current =
                starting_current(given.figure("power_hp")?, given.figure("kva_hp")?, given.figure("voltage_v")?)?;
            Ok(Answer::new()
                .figure("current_a", "in the moment of starting", current.value, Unit::Ampere)
                .say(Message::new("The generator must bear that on top of what runs already."))
                .warn(Warning::EXHAUST)
                .working(current.working))
        },
    )
    .figure("power_hp", "Rated power, hp", "", &measures::MOTOR, 0.75)
    .figure(
        "kva_hp",
        "kVA for a hp",
        "G 5.6 to 6.29, H to 7.09, J to 7.99, K to 8.99, L to 9.99.",
        &measures::CODE,
        8.5,
    )
    .figure("voltage_v", "Voltage, V", "", &measures::VOLTAGE, 120.0)
}
