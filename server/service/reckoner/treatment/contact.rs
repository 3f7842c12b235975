//! Contact: how long, how much the tables ask, and what it is credited with.

use keepwell_engine::quantity as q;
use keepwell_engine::quantity::FREE_CHLORINE;
use keepwell_engine::quantity::PH;
use keepwell_engine::quantity::TURBIDITY;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::VOLUME;
use keepwell_engine::quantity::WATER_TEMPERATURE;
use keepwell_engine::treatment::Caution;
use keepwell_engine::treatment::Conditions;
use keepwell_engine::treatment::Method;
use keepwell_engine::treatment::Sample;
use keepwell_engine::treatment::Tank;
use keepwell_engine::treatment::VirusLog;
use keepwell_engine::treatment::contact_time;
use keepwell_engine::treatment::credit as credited;
use keepwell_engine::treatment::ct_giardia;
use keepwell_engine::treatment::ct_virus;
use keepwell_engine::treatment::hypochlorous_fraction;
use keepwell_engine::treatment::inactivated;
use keepwell_engine::treatment::measures;

use crate::model::choice::Choice;
use crate::model::message::Message;
use crate::service::reckoner::Answer;
use crate::service::reckoner::Calculation;
use crate::service::reckoner::Topic;
use crate::service::reckoner::Warning;
use crate::service::reckoner::calculation::Given;
use crate::service::reckoner::refused::Refused;

impl Choice for Tank {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Unbaffled, "unbaffled", "one inlet and one outlet, as house tanks are"),
        (Self::Poor, "poor", "several inlets or outlets, no baffles"),
        (Self::Average, "average", "baffled inlet or outlet, some inside"),
        (Self::Superior, "superior", "baffles throughout"),
        (Self::PlugFlow, "plug_flow", "a long pipe"),
    ];
}

pub(super) fn time() -> Calculation {
    Calculation::new(
        Topic::Disinfection,
        "contact-time",
        "Contact time in a flowing tank",
        "How long all but the fastest tenth of the water stays in a tank that it runs through.",
        |given| {
            let tank: Tank = given.choice("tank")?;
            let (volume, flow) =
                (q::litres(given.figure("litres")?), q::litres_per_minute(given.figure("flow_l_min")?));
            let time = contact_time(volume, flow, tank.baffling())?;
            Ok(Answer::new()
                .figure("contact_min", "of contact", q::as_minutes(time.value), Unit::Minute)
                .figure("baffling", "baffling factor", tank.baffling(), Unit::Count)
                .working(time.working))
        },
    )
    .figure("litres", "Least that the tank held", "", &VOLUME, 1000.0)
    .figure("flow_l_min", "Flow in the peak hour", "", &measures::FLOW, 20.0)
    .choice("tank", "How water moves through it", "", Tank::Unbaffled)
}

fn water(calculation: Calculation) -> Calculation {
    calculation
        .figure("temperature_c", "Water temperature", "The coldest it was.", &WATER_TEMPERATURE, 10.0)
        .figure("ph", "pH", "The highest it was.", &PH, 7.5)
        .figure("free_mg_l", "Free chlorine at the end", "", &FREE_CHLORINE, 1.0)
}

pub(super) fn needed() -> Calculation {
    water(Calculation::new(
        Topic::Disinfection,
        "contact-needed",
        "How much contact the tables ask",
        "Chlorine times minutes for Giardia and for viruses, by temperature and pH.",
        reckon_needed,
    ))
}

fn reckon_needed(given: &Given) -> Result<Answer, Refused> {
    let (temperature, ph) = (q::celsius(given.figure("temperature_c")?), given.figure("ph")?);
    let conditions = Conditions { temperature, ph, free: q::mg_per_litre(given.figure("free_mg_l")?) };
    let looked_up = ct_giardia(&conditions, Method::Lookup)?;
    let between = ct_giardia(&conditions, Method::Interpolated)?;
    let virus = ct_virus(temperature, ph, VirusLog::Four)?;
    let stronger = hypochlorous_fraction(ph, temperature)?;
    let unit = Unit::MilligramMinutePerLitre;
    Ok(Answer::new()
        .figure(
            "giardia_ct",
            "for 3-log of Giardia, by the cautious reading of the table",
            looked_up.value.as_mg_min_per_litre(),
            unit,
        )
        .figure("giardia_between_ct", "the same, read between its lines", between.value.as_mg_min_per_litre(), unit)
        .figure("virus_ct", "for 4-log of viruses", virus.value.as_mg_min_per_litre(), unit)
        .figure("hypochlorous", "of the free chlorine is in its stronger form", stronger.value, Unit::Fraction)
        .say(Message::new("Cryptosporidium earns nothing by chlorine, whatever the contact."))
        .warn(Caution::NotCryptosporidium.into())
        .warn(Warning::NOTICE)
        .working(looked_up.working)
        .working(virus.working)
        .working(stronger.working))
}

pub(super) fn credit() -> Calculation {
    let asked = Calculation::new(
        Topic::Disinfection,
        "contact-credit",
        "What a contact is credited with",
        "Free chlorine at the end, times the minutes: its credit against Giardia and viruses by the published tables.",
        reckon_credit,
    );
    water(asked)
        .figure(
            "contact_min",
            "Contact time",
            "Of a tank that was filled and left alone: since it was mixed.",
            &measures::CONTACT_TIME,
            60.0,
        )
        .maybe("turbidity_ntu", "Cloudiness", "Empty: not measured.", &TURBIDITY)
        .flag("chloramine", "From mains that hold chloramine", "and nobody confirmed free chlorine")
}

fn reckon_credit(given: &Given) -> Result<Answer, Refused> {
    let sample = Sample {
        free: Some(q::mg_per_litre(given.figure("free_mg_l")?)),
        chloramine: given.flag("chloramine"),
        temperature: q::celsius(given.figure("temperature_c")?),
        ph: given.figure("ph")?,
        turbidity: given.maybe("turbidity_ntu"),
    };
    let credit = credited(&sample, q::minutes(given.figure("contact_min")?))?;
    let germs = credit.giardia.map(inactivated).transpose()?;
    Ok(Answer::new()
        .maybe("giardia_log", "powers of ten of Giardia; 3 stands for 3 or more", credit.giardia, Unit::Log10)
        .figure("virus_log", "powers of ten of viruses; 4 stands for 4 or more", credit.virus, Unit::Log10)
        .figure("cryptosporidium_log", "powers of ten of Cryptosporidium", credit.cryptosporidium, Unit::Log10)
        .figure("ct", "contact", credit.ct.as_mg_min_per_litre(), Unit::MilligramMinutePerLitre)
        .maybe("giardia_part", "of Giardia made harmless", germs.map(|germs| germs.value), Unit::Fraction)
        .say_if(credit.giardia.is_none(), "Above pH 9 nothing is published for Giardia, so there is no credit.")
        .warn(Caution::NotCryptosporidium.into())
        .warn(Caution::AskFirst.into())
        .warn(Warning::NOTICE)
        .working(credit.working))
}
