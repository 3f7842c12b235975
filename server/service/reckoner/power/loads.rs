//! Whether a generator runs what hangs on it, and starts it.

use keepwell_engine::power::Load;
use keepwell_engine::power::bears;
use keepwell_engine::quantity as q;
use keepwell_engine::quantity::POWER;
use keepwell_engine::quantity::Unit;

use crate::model::message::Arg;
use crate::model::message::Message;
use crate::service::reckoner::Answer;
use crate::service::reckoner::Calculation;
use crate::service::reckoner::Table;
use crate::service::reckoner::Topic;
use crate::service::reckoner::Warning;
use crate::service::reckoner::calculation::Given;
use crate::service::reckoner::power::air;
use crate::service::reckoner::power::derated;
use crate::service::reckoner::refused::Refused;

/// The questions about a load: key and label of what it takes as it runs, and as it starts.
type Asked = ((&'static str, &'static str), (&'static str, &'static str));

macro_rules! load {
    ($n:literal) => {
        (
            (concat!("load_", $n, "_w"), concat!("Load ", $n, ": running")),
            (concat!("start_", $n, "_w"), concat!("Load ", $n, ": as it starts")),
        )
    };
}

static LOADS: [Asked; 6] = [load!(1), load!(2), load!(3), load!(4), load!(5), load!(6)];

pub(super) fn loads() -> Calculation {
    let asked = Calculation::new(
        Topic::Power,
        "generator-loads",
        "Whether a generator bears its loads",
        "Up to six loads, running and starting, against what the generator still makes in thin, warm air.",
        reckon,
    )
    .heading("The generator")
    .figure("rated_w", "Rated power", "What it makes all day.", &POWER, 3000.0)
    .maybe("burst_w", "Power for some seconds", "From its plate. Empty: its rated power counts.", &POWER);
    let asked = air(asked)
        .heading("What hangs on it")
        .figure(LOADS[0].0.0, LOADS[0].0.1, "A pump, say.", &POWER, 750.0)
        .figure(LOADS[0].1.0, LOADS[0].1.1, "A motor takes 3 to 7 times as much.", &POWER, 2250.0)
        .beside();
    LOADS[1..].iter().fold(asked, |asked, (running, start)| {
        asked.maybe(running.0, running.1, "", &POWER).maybe(start.0, start.1, "Empty: as it runs.", &POWER).beside()
    })
}

fn reckon(given: &Given) -> Result<Answer, Refused> {
    let rated = q::watts(given.figure("rated_w")?);
    let makes = derated(given, rated)?;
    let burst = match given.maybe("burst_w").map(q::watts) {
        Some(burst) if burst < rated => {
            return Err(Refused::Said(
                "burst_w",
                Message::new("Power for some seconds is {burst}; allowed is {rated} or more, its rated power.")
                    .with("burst", Arg::Exact(q::as_watts(burst), Unit::Watt))
                    .with("rated", Arg::Exact(q::as_watts(rated), Unit::Watt)),
            ));
        }
        Some(burst) => derated(given, burst)?.value,
        None => makes.value,
    };
    let mut names = Vec::new();
    let mut loads = Vec::new();
    for (running, start) in &LOADS {
        if let Some(load) = load(given, running, start)? {
            names.push(running.1.trim_end_matches(": running"));
            loads.push(load);
        }
    }
    let found = bears(makes.value, burst, &loads)?;
    let watts = q::as_watts;
    let mut on = 0.0;
    let mut rows = Vec::new();
    for (load, name) in found.order.iter().filter_map(|at| loads.get(*at).zip(names.get(*at))) {
        let (running, start) = (watts(load.running), watts(load.surge));
        rows.push(((*name).to_owned(), vec![on + start, on + running]));
        on += running;
    }
    Ok(Answer::new()
        .figure("running_w", "asked while all of them run", watts(found.running), Unit::Watt)
        .figure("left_w", "made all day, as height and warmth leave it", watts(makes.value), Unit::Watt)
        .figure("any_start_w", "asked as the hardest of them starts while the others run", watts(found.any_start), Unit::Watt)
        .figure("in_order_w", "asked at most, started in the order below", watts(found.in_order), Unit::Watt)
        .figure("burst_w", "made for some seconds, as height and warmth leave it", watts(burst), Unit::Watt)
        .table(Table {
            of: "start in this order",
            columns: vec![("as it starts", Unit::Watt), ("once it runs", Unit::Watt)],
            rows,
        })
        .say_if(!found.runs, "All of them together are more than it makes: it stalls, or its breaker opens.")
        .say_if(found.runs && found.starts_any, "It runs them, and starts any of them while the others run.")
        .say_if(
            found.runs && !found.starts_any && found.starts_in_order,
            "It runs them, and starts them in the order below; it does not start the hardest while all the others run. A pump that starts by its switch does just that.",
        )
        .say_if(found.runs && !found.starts_in_order, "It would run them, but it does not start them, in whatever order.")
        .say_if(given.maybe("burst_w").is_none(), "What it makes for some seconds is not given: its rated power counts.")
        .warn(Warning::EXHAUST)
        .working(found.working)
        .working(makes.working))
}

/// A load, if one is given there.
fn load(
    given: &Given,
    running: &(&'static str, &'static str),
    start: &(&'static str, &'static str),
) -> Result<Option<Load>, Refused> {
    let starts = given.maybe(start.0);
    let Some(runs) = given.maybe(running.0) else {
        return match starts {
            None => Ok(None),
            Some(_) => {
                Err(Refused::Said(running.0, Message::new("{Field} is missing.").with("field", Arg::Word(running.1))))
            }
        };
    };
    let starts = starts.unwrap_or(runs);
    if starts < runs {
        return Err(Refused::Said(
            start.0,
            Message::new("{Field} is {start}; allowed is {running} or more, what it takes as it runs.")
                .with("field", Arg::Word(start.1))
                .with("start", Arg::Exact(starts, Unit::Watt))
                .with("running", Arg::Exact(runs, Unit::Watt)),
        ));
    }
    Ok(Some(Load { name: String::new(), running: q::watts(runs), surge: q::watts(starts), hours_a_day: q::hours(0.0) }))
}
