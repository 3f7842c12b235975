//! Reading a level: what an instrument says of the depth, and how far off it may be.

use keepwell_engine::hydraulics::measures::TEMPERATURE;
use keepwell_engine::hydraulics::water::Water;
use keepwell_engine::quantity as q;
use keepwell_engine::quantity::STANDARD_DEVIATION;
use keepwell_engine::quantity::Unit;
use keepwell_engine::sensing;
use keepwell_engine::sensing::barometric_error;
use keepwell_engine::sensing::depth_from_pressure;
use keepwell_engine::sensing::tilt_offset;
use keepwell_engine::sensing::ultrasonic_error;
use keepwell_engine::sensing::volume_change_sd;
use keepwell_engine::sensing::volume_sd;

use crate::model::message::Message;
use crate::service::reckoner::Answer;
use crate::service::reckoner::Calculation;
use crate::service::reckoner::Topic;
use crate::service::reckoner::Warning;
use crate::service::reckoner::calculation::Given;
use crate::service::reckoner::refused::Refused;

pub(super) fn all() -> Vec<Calculation> {
    vec![pressure(), echo(), tilt(), error()]
}

fn pressure() -> Calculation {
    Calculation::new(
        Topic::Levels,
        "pressure-sensor",
        "Depth by a pressure sensor",
        "The water over a sensor by its pressure, and how far the weather leads one astray that has no vent.",
        |given| {
            let density = Water::at(q::celsius(given.figure("temperature_c")?))?.density();
            let depth = depth_from_pressure(q::kilopascals(given.figure("pressure_kpa")?), density)?;
            let weather = barometric_error(q::kilopascals(given.figure("change_kpa")?), density)?;
            Ok(Answer::new()
                .figure("depth_m", "over the sensor", q::as_metres(depth.value), Unit::Metre)
                .figure("weather_m", "off by the weather, without a vent", q::as_metres(weather.value), Unit::Metre)
                .working(depth.working)
                .working(weather.working))
        },
    )
    .figure("pressure_kpa", "Pressure, over the air's", "", &sensing::GAUGE, 15.0)
    .figure("change_kpa", "Change of the air's pressure", "2 kPa from a fine day to a foul one.", &sensing::GAUGE, 2.0)
    .figure("temperature_c", "Water temperature", "", &TEMPERATURE, 15.0)
}

fn echo() -> Calculation {
    Calculation::new(
        Topic::Levels,
        "echo-sensor",
        "How far off an echo is in warm air",
        "An ultrasonic sensor over the water takes the air to be as warm as it was set for.",
        |given| {
            let distance = q::metres(given.figure("distance_m")?);
            let (air, set) = (q::celsius(given.figure("air_c")?), q::celsius(given.figure("set_c")?));
            let off = ultrasonic_error(distance, air, set)?;
            Ok(Answer::new()
                .figure("off_m", "off in the distance", q::as_metres(off.value), Unit::Metre)
                .say(Message::new("Below 0 the distance reads short, and the tank fuller than it is."))
                .working(off.working))
        },
    )
    .figure("distance_m", "From the sensor down to the water", "", &sensing::RANGE, 1.8)
    .figure("air_c", "Air in the tank", "", &sensing::AIR, 35.0)
    .figure("set_c", "Air that the sensor assumes", "", &sensing::AIR, 20.0)
}

fn tilt() -> Calculation {
    Calculation::new(
        Topic::Levels,
        "tilt",
        "How far off a reading is in a tilted tank",
        "A depth read at the wall of a tank that leans.",
        |given| {
            let off = tilt_offset(q::metres(given.figure("diameter_m")?), given.figure("tilt_deg")?)?;
            Ok(Answer::new()
                .figure("off_m", "off at the wall", q::as_metres(off.value), Unit::Metre)
                .say(Message::new("Read at two opposite sides and take the mean, or read at the middle."))
                .warn(Warning::TANK)
                .working(off.working))
        },
    )
    .figure("diameter_m", "Diameter", "", &sensing::ACROSS, 2.4)
    .figure("tilt_deg", "Tilt", "", &sensing::TILT, 1.0)
}

fn error() -> Calculation {
    Calculation::new(
        Topic::Levels,
        "reading-error",
        "What an error of depth is in litres",
        "By the water's surface: of one reading, and of the difference of two.",
        reckon_error,
    )
    .figure("surface_m2", "Surface of the water", "", &sensing::PLAN, 2.9)
    .figure("depth_sd_m", "Standard deviation of the depth", "A dipstick about 5 mm.", &STANDARD_DEVIATION, 0.005)
}

fn reckon_error(given: &Given) -> Result<Answer, Refused> {
    let (surface, sd) = (q::square_metres(given.figure("surface_m2")?), q::metres(given.figure("depth_sd_m")?));
    let (one, two) = (volume_sd(surface, sd)?, volume_change_sd(surface, sd)?);
    Ok(Answer::new()
        .figure("sd_l", "standard deviation of one reading", q::as_litres(one.value), Unit::Litre)
        .figure("change_sd_l", "standard deviation of the difference of two", q::as_litres(two.value), Unit::Litre)
        .say(Message::new("A change of less than twice that may be none."))
        .working(one.working)
        .working(two.working))
}
