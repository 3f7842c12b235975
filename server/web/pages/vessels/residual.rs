//! What free chlorine is to be expected in it: now, and when it is down to its floor; drawn and with its working.

use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_mg_per_litre;
use keepwell_engine::quantity::as_per_day;
use keepwell_engine::quantity::days;
use keepwell_engine::treatment::Falls;

use crate::model::message::Arg;
use crate::model::message::Message;
use crate::picture::residual::Forecast;
use crate::picture::residual::NoForecast;
use crate::service::reckon::VesselAnswer;
use crate::web::draw::Drawing;
use crate::web::draw::level;
use crate::web::draw::plot::DayName;
use crate::web::draw::plot::Days;
use crate::web::form::WorkingView;
use crate::web::pages::vessels::page::days_since;
use crate::web::reader::Reader;
use crate::web::shown;
use crate::web::shown::working::view;

pub(super) struct Residual {
    pub said: Vec<Message>,
    pub drawing: Option<Drawing>,
}

/// The drawing ends where the residual likely has, but not before so many days from now, nor after so many.
const AHEAD_DAYS: core::ops::RangeInclusive<f64> = 14.0..=180.0;
/// Points of the curve.
const POINTS: u32 = 48;

impl Residual {
    pub(super) fn of(reader: &Reader, answer: &VesselAnswer) -> Self {
        match Forecast::of(&answer.vessel, answer.now) {
            Ok(forecast) => Self { said: said(&forecast, answer.now), drawing: drawing(reader, answer, &forecast) },
            Err(why) => Self { said: vec![none(why)], drawing: None },
        }
    }
}

/// The workings behind a forecast, each under its heading; none without one.
pub(super) fn workings(reader: &Reader, answer: &VesselAnswer) -> Vec<(&'static str, WorkingView)> {
    Forecast::of(&answer.vessel, answer.now).map_or_else(
        |_| Vec::new(),
        |forecast| {
            vec![
                ("Free chlorine to be expected now", view(reader, &forecast.now.working)),
                ("When it is down to its floor", view(reader, &forecast.to_floor.working)),
                ("How fast it falls, by its own tests", view(reader, &forecast.rate.working)),
            ]
        },
    )
}

fn mg_l(value: f64) -> Arg {
    Arg::Figure(value, Unit::MilligramPerLitre)
}

fn said(forecast: &Forecast, now: Moment) -> Vec<Message> {
    let expected = forecast.now.value;
    let mut said = vec![
        Message::new("Expected now: free chlorine {likely}; 8 times in 10 between {low} and {high}.")
            .with("likely", mg_l(as_mg_per_litre(expected.likely)))
            .with("low", mg_l(as_mg_per_litre(expected.low)))
            .with("high", mg_l(as_mg_per_litre(expected.high))),
    ];
    let to_floor = forecast.to_floor.value;
    let on = |falls| forecast.day(falls);
    let floor = ("floor", mg_l(forecast.floor));
    said.push(match (on(to_floor.likely), on(to_floor.earliest), on(to_floor.latest)) {
        (Some(likely), _, _) if likely <= now => {
            Message::new("It is likely below {floor} since {date}. Test it: only a reading counts.")
                .with("date", Arg::Day(likely))
        }
        (Some(likely), Some(earliest), Some(latest)) => {
            let test_by = if earliest > now { earliest } else { now };
            Message::new("It falls below {floor} about {date}, 8 times in 10 between {earliest} and {latest}: test it by {by}.")
                .with("date", Arg::Day(likely))
                .with("earliest", Arg::Day(earliest))
                .with("latest", Arg::Day(latest))
                .with("by", Arg::Day(test_by))
        }
        (Some(likely), _, _) => Message::new("It falls below {floor} about {date}, maybe much later: test it by then.")
            .with("date", Arg::Day(likely)),
        (None, ..) => Message::new("It does not fall to {floor} in any time that matters."),
    }
    .with(floor.0, floor.1));
    let tests = u64::try_from(forecast.tests.len()).unwrap_or(u64::MAX);
    said.push(
        Message::new(
            "By {tests} of this water, falling {rate} a day. A forecast asks for a test; it changes no grade.",
        )
        .with("tests", Arg::Counted { count: tests, one: "{n} test", other: "{n} tests" })
        .with("rate", Arg::Figure(-(-as_per_day(forecast.rate.value.rate)).exp_m1(), Unit::Fraction)),
    );
    said
}

/// Why there is no forecast, said plainly.
fn none(why: NoForecast) -> Message {
    match why {
        NoForecast::InLots => Message::new("No forecast of free chlorine: each lot is a water of its own."),
        NoForecast::Chloramine => {
            Message::new("No forecast of free chlorine: its supply is chloraminated, and judged on total chlorine.")
        }
        NoForecast::NoTest(Some(since)) => Message::new(
            "No forecast of free chlorine: nobody has tested it since it was filled, dosed or mixed on {date}.",
        )
        .with("date", Arg::Day(since)),
        NoForecast::NoTest(None) => Message::new("No forecast of free chlorine: nobody has tested it yet."),
        NoForecast::OneTest(at) => Message::new(
            "No forecast of free chlorine: one test, of {date}, since it was filled, dosed or mixed. A second, some days later, tells how fast it falls.",
        )
        .with("date", Arg::Day(at)),
        NoForecast::NoneLeft(at) => {
            Message::new("No forecast of free chlorine: the test of {date} found none.").with("date", Arg::Day(at))
        }
        NoForecast::NotFalling => Message::new(
            "No forecast of free chlorine: its tests do not fall with time. Was it dosed or topped up between them?",
        ),
        NoForecast::Refused(error) => Message::new("No forecast of free chlorine: {why}.").with("why", Arg::text(error.to_string())),
    }
}

fn drawing(reader: &Reader, answer: &VesselAnswer, forecast: &Forecast) -> Option<Drawing> {
    let (first, _) = *forecast.tests.first()?;
    let today = as_days(answer.now.since(first));
    let falls = match forecast.to_floor.value.latest {
        Falls::In(time) => as_days(time) - today,
        Falls::Already | Falls::Never => 0.0,
    };
    let length = today + falls.clamp(*AHEAD_DAYS.start(), *AHEAD_DAYS.end());
    let point = |piece: u32| {
        let day = length * f64::from(piece) / f64::from(POINTS);
        let expected = forecast.rate.value.residual_after(days(day)).ok()?.value;
        let (amount, low, high) = (expected.likely, expected.low, expected.high);
        let mg_l = as_mg_per_litre;
        Some(level::Believed { day, amount: mg_l(amount), low: mg_l(low), high: mg_l(high) })
    };
    let note =
        |day: f64, amount: f64, words: String| level::Note { day, amount, short: words.clone(), words, strong: false };
    let mut notes = Vec::new();
    if let Falls::In(time) = forecast.to_floor.value.likely
        && as_days(time) > today
    {
        notes.push(note(as_days(time), forecast.floor, shown::date(reader, &first.after(time))));
    }
    let sign = reader.sign(Unit::MilligramPerLitre);
    let figure = |value: f64| shown::figure(reader, value, Unit::MilligramPerLitre);
    let drawn = level::Level {
        title: shown::words(reader, "Free chlorine to be expected in {name}, {unit}")
            .with("name", answer.vessel.vessel.name.as_str())
            .with("unit", sign)
            .to_string(),
        description: shown::words(reader, "Circles are tests, the paler band is 8 times in 10, the line its floor.")
            .to_string(),
        believed: (0..=POINTS).filter_map(point).collect(),
        readings: forecast.tests.iter().map(|(at, free)| (days_since(first, *at), *free)).collect(),
        full: Some((
            forecast.floor,
            shown::words(reader, "floor {figure}").with("figure", figure(forecast.floor)).to_string(),
        )),
        notes,
    };
    let name = |day: f64, words: String| DayName { day, short: words.clone(), words };
    let end = first.after(days(length));
    let along = Days {
        length,
        names: vec![
            name(0.0, shown::date(reader, &first)),
            name(today, reader.word("now").to_owned()),
            name(length, shown::date(reader, &end)),
        ],
    };
    Some(level::level(&drawn, &along, &|value, decimals| reader.number(value, decimals, decimals)))
}
