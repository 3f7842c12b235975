//! Litres left against the plan: the drawing, and the same as a table.

use jiff::Timestamp;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::days;

use crate::picture::cluster::moment;
use crate::service::outages::OutageAnswer;
use crate::web::draw::Drawing;
use crate::web::draw::burn;
use crate::web::draw::burn::Burn;
use crate::web::draw::key::Swatch;
use crate::web::draw::key::key;
use crate::web::draw::plot::DayName;
use crate::web::draw::plot::Days;
use crate::web::pages::outage::next::short_weekday;
use crate::web::reader::Reader;
use crate::web::reader::Units;
use crate::web::shown;

/// Rows of the table; a long outage is told by the day.
const ROWS: usize = 60;

/// One row of the table.
pub struct Row {
    pub at: Moment,
    pub left: Volume,
    pub plan: Volume,
}

/// The drawing with its key.
pub fn drawn(reader: &Reader, answer: &OutageAnswer) -> Drawing {
    let course = &answer.course;
    let amount = |volume: Volume| match reader.units {
        Units::Metric => as_litres(volume),
        Units::Us => Unit::Litre.to_us(as_litres(volume)),
    };
    let day = |at: Moment| as_days(at.since(answer.since()));
    let now = as_days(answer.elapsed());
    let measured: Vec<(f64, f64)> =
        course.times.iter().zip(&course.left).map(|(at, left)| (day(*at), amount(*left))).collect();
    let ends: Vec<f64> = course.days.iter().map(|(_, end)| day(*end)).collect();
    let points = measured.iter().copied().filter(|(day, _)| ends.iter().any(|end| (end - day).abs() < 1e-9)).collect();
    let (left, plan) = (course.at_end(), answer.plan.left(answer.elapsed()));
    let ahead = answer.ahead.as_ref();
    let pooled = ahead.and_then(|ahead| ahead.today.pooled.days).map(|lasts| {
        let band = ahead.and_then(|ahead| ahead.today.pooled_band).filter(|(low, high)| high > low);
        (now + as_days(lasts), band.map(|(low, high)| (now + as_days(low), now + as_days(high))))
    });
    let target = as_days(answer.plan.target);
    let length = match pooled {
        Some((day, _)) => target.max(day.min(now + 60.0)) * 1.04,
        None => target.max(now) * 1.04,
    };
    let expected = answer.kept.thing.expected.filter(|_| answer.is_on());
    let view = Burn {
        title: shown::words(reader, "Litres left against plan: {left} left, plan {plan}")
            .with("left", shown::litres(reader, left))
            .with("plan", shown::litres(reader, plan))
            .to_string(),
        description: shown::words(reader, "It began with {start}; the plan is to make them last {days}.")
            .with("start", shown::litres(reader, course.at_start()))
            .with("days", shown::figure(reader, target, Unit::Day))
            .to_string(),
        measured,
        points,
        left: shown::words(reader, "{litres} left").with("litres", shown::litres(reader, left)).to_string(),
        now: reader.word(if answer.is_on() { "now" } else { "the end" }).to_owned(),
        plan: (amount(answer.plan.at_start), target),
        planned: shown::words(reader, "plan: {litres}").with("litres", shown::litres(reader, plan)).to_string(),
        placed: ahead.map_or_else(Vec::new, |ahead| {
            ahead.as_placed.iter().map(|(at, left)| (now + as_days(*at), amount(*left))).collect()
        }),
        pooled,
        expected: expected.map(|at| {
            let words = shown::words(reader, "mains expected {when}").with("when", shown::moment(reader, &at));
            (day(moment(at)), words.to_string())
        }),
    };
    let figures = shown::service::figures(reader);
    let drawing = burn::burn(&view, &axis(reader, answer.since(), length.max(3.0)), &figures);
    Drawing::together([drawing, the_key(reader, answer)])
}

/// Days from the beginning, each by its weekday and date, as many as find room.
fn axis(reader: &Reader, since: Moment, length: f64) -> Days {
    let step = [(16.0, 1.0), (32.0, 2.0), (80.0, 7.0)].into_iter().find(|(most, _)| length <= *most);
    let step = step.map_or(28.0, |(_, step)| step);
    let mut names = Vec::new();
    let mut day = 0.0;
    while day <= length {
        let at = Timestamp::from_microsecond(since.after(days(day)).micros());
        let words = at.map_or_else(
            |_| String::new(),
            |at| format!("{} {}", short_weekday(reader, at), reader.local(at).date().day()),
        );
        names.push(DayName { day, short: words.clone(), words });
        day += step;
    }
    Days { length, names }
}

fn the_key(reader: &Reader, answer: &OutageAnswer) -> Drawing {
    let on = answer.is_on();
    let all = [
        (true, Swatch::Line, "as measured"),
        (true, Swatch::Broken, "the plan"),
        (on, Swatch::BrokenWater, "each site on its own"),
        (on, Swatch::Dotted, "all pooled, an upper bound"),
    ];
    key(all.into_iter().filter(|(used, ..)| *used).map(|(_, swatch, words)| (swatch, reader.word(words))))
}

/// The days' ends, and the beginning.
pub fn table(answer: &OutageAnswer) -> Vec<Row> {
    let course = &answer.course;
    let row =
        |(at, left): (&Moment, &Volume)| Row { at: *at, left: *left, plan: answer.plan.left(at.since(answer.since())) };
    let told = |at: &Moment| *at == answer.since() || course.days.iter().any(|(_, end)| end == at);
    course.times.iter().zip(&course.left).filter(|(at, _)| told(at)).map(row).take(ROWS).collect()
}
