//! A site's run, ready to be drawn as its service bar.

use jiff::Timestamp;
use keepwell_engine::endurance::Cause;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::days;

use crate::picture::standing::Standing;
use crate::web::draw::plot::DayName;
use crate::web::draw::plot::Days;
use crate::web::draw::service::Break;
use crate::web::draw::service::Served;
use crate::web::draw::service::Service;
use crate::web::draw::service::Stretch;
use crate::web::reader::Reader;
use crate::web::shown;
use crate::web::shown::outlook;
use crate::web::shown::outlook::served;
use crate::web::shown::outlook::spent;

/// How a stretch is called in a bar and its key.
#[must_use]
pub const fn name(served: Served) -> &'static str {
    match served {
        Served::Tap => "at the tap",
        Served::Hand => "carried by hand",
        Served::Drinking => "drinking only",
    }
}

/// The bar of a site. `ration` is the ration's name.
#[must_use]
pub fn bar(reader: &Reader, site: &str, standing: &Standing, ration: &str) -> Service {
    if !standing.needs_water() {
        let title = shown::words(reader, "{site}: nobody draws here").with("site", site).to_string();
        return Service { title, stretches: Vec::new(), breaks: Vec::new(), band: None };
    }
    let timeline = &standing.timeline;
    let mut stretches = Vec::new();
    let mut breaks = Vec::new();
    let mut told = Vec::new();
    for (place, span) in timeline.spans.iter().enumerate() {
        let Some(level) = span.level else { break };
        let served = served(standing, level);
        stretches.push(Stretch { served, until: as_days(span.to), words: reader.word(name(served)).to_owned() });
        if span.cause == Cause::Horizon {
            told.push(shown::words(reader, "{how} for 2 years and more").with("how", reader.word(name(served))));
        } else {
            told.push(
                shown::words(reader, "{how} to {day}")
                    .with("how", reader.word(name(served)))
                    .with("day", shown::on_day(reader, span.to)),
            );
            breaks.push(broken(reader, standing, place, span.to, span.cause, ration));
        }
    }
    let told: Vec<String> = told.iter().map(ToString::to_string).collect();
    let told = if told.is_empty() { reader.word("nothing in reach").to_owned() } else { told.join(", ") };
    Service {
        title: shown::words(reader, "{site}: {how}").with("site", site).with("how", told).to_string(),
        stretches,
        breaks,
        band: timeline.ration_ends().map(|_| (as_days(standing.low), as_days(standing.high))),
    }
}

fn broken(reader: &Reader, standing: &Standing, place: usize, at: Time, cause: Cause, ration: &str) -> Break {
    let next = outlook::next(standing, place + 1);
    let ends_ration = standing.timeline.ration_ends() == Some(at);
    let then = match next {
        Some(served) => reader.word(name(served)),
        None => reader.word("dry"),
    };
    let key =
        if ends_ration && next.is_some() { ", {spent}: {then}, {ration} no longer met" } else { ", {spent}: {then}" };
    let cause = shown::words(reader, key)
        .with("spent", spent(reader, standing, cause))
        .with("then", then)
        .with("ration", reader.language.catalogue().word(ration));
    let short = shown::words(reader, " {then}").with("then", then).to_string();
    Break { day: as_days(at), figure: shown::on_day(reader, at), cause: cause.to_string(), short }
}

/// An axis of days from now, with its weeks (or months, or seasons) named by their date.
#[must_use]
pub fn axis(reader: &Reader, now: Moment, length: f64) -> Days {
    let step = [(8.0, 2.0), (28.0, 7.0), (60.0, 14.0), (130.0, 28.0), (400.0, 91.0)]
        .into_iter()
        .find(|(most, _)| length <= *most)
        .map_or(182.0, |(_, step)| step);
    let mut names =
        vec![DayName { day: 0.0, words: reader.word("now").to_owned(), short: reader.word("now").to_owned() }];
    let mut day = step;
    while day <= length {
        let number = reader.number(day, 0, 0);
        let short = shown::words(reader, "day {n}").with("n", number).to_string();
        let words = Timestamp::from_microsecond(now.after(days(day)).micros())
            .map_or_else(|_| short.clone(), |at| format!("{short}, {}", reader.date(at)));
        names.push(DayName { day, words, short });
        day += step;
    }
    Days { length, names }
}

/// How figures on a drawing are written.
pub fn figures(reader: &Reader) -> impl Fn(f64, usize) -> String + '_ {
    |value, decimals| reader.number(value, decimals, decimals)
}
