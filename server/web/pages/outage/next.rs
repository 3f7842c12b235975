//! What gives out next, wherever it is: each fall of service with its day and its cause.

use keepwell_engine::endurance::Cause;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Time;

use crate::model::id::SiteId;
use crate::picture::today::Today;
use crate::service::authorise::Deed;
use crate::web::reader::Reader;
use crate::web::shown;
use crate::web::shown::outlook;
use crate::web::visitor::Visitor;
use crate::web::words::Phrase;

/// As many are told.
const MOST: usize = 8;

pub struct Next {
    /// from now
    pub at: Time,
    /// "Fri 23:00"
    pub when: String,
    pub site: Option<(SiteId, String)>,
    /// "diesel"
    pub what: Phrase,
    /// "then carried by hand; Basic no longer met. 20 people"
    pub then: Phrase,
}

/// The falls to come, the earliest first.
pub fn next(visitor: &Visitor, today: &Today) -> Vec<Next> {
    let reader = &visitor.reader;
    let mut found = Vec::new();
    for site in today.sites.iter().filter(|site| site.standing.needs_water()) {
        let timeline = &site.standing.timeline;
        for (place, span) in timeline.spans.iter().enumerate() {
            if span.level.is_none() || span.cause == Cause::Horizon {
                break;
            }
            if span.cause != Cause::Event {
                found.push((span.to, site, place, span.cause));
            }
        }
    }
    found.sort_by(|a, b| a.0.value.total_cmp(&b.0.value));
    let line = |(at, site, place, cause): (Time, &crate::picture::today::SiteToday, usize, Cause)| {
        let standing = &site.standing;
        let sees = visitor.caller.can(Deed::SeeSite, Some(site.site.site.id));
        let then = shown::words(reader, outlook::then(outlook::next(standing, place + 1)));
        let key = if standing.timeline.ration_ends() == Some(at) {
            "{then}; {ration} no longer met. {people}"
        } else {
            "{then}. {people}"
        };
        Next {
            at,
            when: hour(reader, &today.now.after(at)),
            site: sees.then(|| (site.site.site.id, site.site.site.name.to_string())),
            what: shown::words(reader, outlook::thing(standing, cause)),
            then: shown::words(reader, key)
                .with("then", then)
                .with("ration", shown::words(reader, today.rung.name()))
                .with("people", shown::people(reader, standing.demand.people)),
        }
    };
    found.into_iter().take(MOST).map(line).collect()
}

/// "Fri 23:00": a weekday, cut short, and the hour.
pub fn hour(reader: &Reader, at: &Moment) -> String {
    let Ok(instant) = jiff::Timestamp::from_microsecond(at.micros()) else { return String::new() };
    let local = reader.local(instant);
    let weekday = short_weekday(reader, instant);
    format!("{weekday} {:02}:00", local.hour())
}

/// "Fri".
pub fn short_weekday(reader: &Reader, at: jiff::Timestamp) -> String {
    let words = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
    let at = usize::try_from(reader.local(at).date().weekday().to_monday_zero_offset()).unwrap_or(0);
    words.get(at).map_or_else(String::new, |word| reader.word(word).to_owned())
}
