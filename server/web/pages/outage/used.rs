//! What was used and given out, day by day, and how that is known.

use keepwell_engine::moment::Moment;

use crate::model::id::SiteId;
use crate::picture::course::Day;
use crate::service::authorise::Deed;
use crate::service::outages::OutageAnswer;
use crate::web::reader::Reader;
use crate::web::shown;
use crate::web::visitor::Visitor;
use crate::web::words::Phrase;

/// Days that have a column of their own, the last ones.
const COLUMNS: usize = 3;
/// Sites that have a row of their own.
const ROWS: usize = 40;

pub struct Used {
    /// when each column's day begins and ends
    pub columns: Vec<(Moment, Moment)>,
    pub rows: Vec<Row>,
    pub all: Row,
    /// sites with water of which nobody said anything since it began
    pub silent: usize,
    pub more: usize,
}

pub struct Row {
    pub site: Option<(SiteId, String)>,
    pub how: Phrase,
    pub days: Vec<f64>,
    pub whole: f64,
    pub given: f64,
}

pub fn used(visitor: &Visitor, answer: &OutageAnswer) -> Used {
    let course = &answer.course;
    let first = course.days.len().saturating_sub(COLUMNS);
    let mut silent = 0;
    let mut others: Vec<Vec<Day>> = Vec::new();
    let mut rows = Vec::new();
    let mut all: Vec<Vec<Day>> = Vec::new();
    for (site, days) in &course.sites {
        let whole = Day::together(days);
        if whole == Day::default() {
            continue;
        }
        all.push(days.clone());
        if !whole.is_known() && whole.before > 0.5 {
            silent += 1;
        }
        let name = answer.picture.site(*site).map(|site| site.site.name.to_string());
        match name.filter(|_| visitor.caller.can(Deed::SeeSite, Some(*site))) {
            Some(name) if whole.is_known() => rows.push(row(&visitor.reader, Some((*site, name)), days, first)),
            Some(_) | None => others.push(days.clone()),
        }
    }
    rows.sort_by(|a, b| (b.whole + b.given).total_cmp(&(a.whole + a.given)));
    let more = rows.len().saturating_sub(ROWS);
    rows.truncate(ROWS);
    let together = |sites: &[Vec<Day>]| -> Vec<Day> {
        (0..course.days.len())
            .map(|day| sites.iter().filter_map(|site| site.get(day)).fold(Day::default(), |sum, day| sum.and(day)))
            .collect()
    };
    let rest = together(&others);
    if Day::together(&rest).is_known() {
        rows.push(row(&visitor.reader, None, &rest, first));
    }
    let columns = course.days.get(first..).unwrap_or_default().to_vec();
    Used { columns, rows, all: row(&visitor.reader, None, &together(&all), first), silent, more }
}

fn row(reader: &Reader, site: Option<(SiteId, String)>, days: &[Day], first: usize) -> Row {
    let whole = Day::together(days);
    Row {
        site,
        how: how(reader, &whole),
        days: days.get(first..).unwrap_or_default().iter().map(amount).collect(),
        whole: amount(&whole),
        given: whole.given_out,
    }
}

/// What was used; where nothing but a tally tells, what was handed out.
fn amount(day: &Day) -> f64 {
    if day.readings + day.draws == 0 { day.used().max(day.given_out) } else { day.used() }
}

fn how(reader: &Reader, day: &Day) -> Phrase {
    let mut parts = Vec::new();
    if day.tallies > 0 {
        let counted = reader.plural("{n} tally", "{n} tallies", day.tallies.into());
        parts.push(counted.to_string());
    }
    if day.readings > 0 {
        parts.push(reader.plural("level read once", "level read {n} times", day.readings.into()).to_string());
    }
    if day.draws > 0 {
        parts.push(reader.plural("{n} draw logged", "{n} draws logged", day.draws.into()).to_string());
    }
    if day.received > 0.5 {
        let words = shown::words(reader, "received {litres}");
        parts.push(
            words
                .with("litres", shown::figure(reader, day.received, keepwell_engine::quantity::Unit::Litre))
                .to_string(),
        );
    }
    if parts.is_empty() {
        return shown::words(reader, "nobody has said anything since it began");
    }
    Phrase::verbatim(parts.join(", "))
}
