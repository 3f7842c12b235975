//! Sites in rows: what each stores, drawn to one scale, its days, its service, what gives out first. Only the rows of
//! one page are made, however many sites there are.

use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::as_days;

use crate::model::choice::Choice;
use crate::model::id::SiteId;
use crate::picture::today::SiteToday;
use crate::picture::today::Today;
use crate::web::draw::Drawing;
use crate::web::draw::key::Swatch;
use crate::web::draw::key::key;
use crate::web::draw::service;
use crate::web::draw::service::Served;
use crate::web::draw::vessel;
use crate::web::draw::vessel::Body;
use crate::web::draw::vessel::Fit;
use crate::web::draw::vessel::Grade;
use crate::web::draw::vessel::Vessel;
use crate::web::reader::Reader;
use crate::web::shown;
use crate::web::shown::outlook;
use crate::web::words::Phrase;

/// Rows on one page.
pub const A_PAGE: usize = 50;

pub struct Rows {
    pub rows: Vec<Row>,
    pub head: Drawing,
    pub key: Drawing,
}

pub struct Row {
    pub id: SiteId,
    pub name: String,
    /// "block of flats, 58 people"
    pub what: Phrase,
    pub vessels: Drawing,
    pub days: Days,
    pub bar: Drawing,
    pub first: Phrase,
    pub under: Option<Phrase>,
}

/// A site's days, as a figure or in words.
pub enum Days {
    For(Time),
    OverTwoYears,
    /// nobody draws there
    None,
}

impl Days {
    #[must_use]
    pub fn of(site: &SiteToday) -> Self {
        match site.standing.timeline.ration_ends() {
            _ if !site.standing.needs_water() => Self::None,
            Some(at) => Self::For(at),
            None => Self::OverTwoYears,
        }
    }
}

impl Row {
    /// Nothing to say but that it has water: on a phone such a row is shorter.
    #[must_use]
    pub fn is_plain(&self) -> bool {
        self.under.is_none() && matches!(self.days, Days::For(_))
    }
}

/// The rows of the sites given, in that order. `today` gives the length that all bars of the neighbourhood share.
#[must_use]
pub fn rows(reader: &Reader, today: &Today, sites: &[&SiteToday]) -> Rows {
    let drawn: Vec<Vec<Vessel>> = sites
        .iter()
        .map(|site| {
            site.site.vessels_at(today.now).map(|vessel| shown::vessel::drawn(reader, vessel, today.now)).collect()
        })
        .collect();
    let fit = Fit::to(drawn.iter().map(Vec::as_slice), 190.0, 64.0);
    let horizon = horizon(today);
    let rows: Vec<Row> = sites
        .iter()
        .zip(&drawn)
        .map(|(site, vessels)| {
            let name = site.site.site.name.as_str();
            let (first, under) = outlook::in_a_list(reader, &site.site, &site.standing, today.now);
            let stores = shown::words(reader, "{site} stores").with("site", name).to_string();
            Row {
                id: site.site.site.id,
                name: name.to_owned(),
                what: what(reader, site),
                vessels: if vessels.is_empty() { Drawing::default() } else { vessel::small(vessels, &fit, &stores) },
                days: Days::of(site),
                bar: service::small(&shown::service::bar(reader, name, &site.standing, today.rung.name()), horizon),
                first,
                under,
            }
        })
        .collect();
    let head = service::small_head(horizon, reader.word("now"), reader.word("days from now: 7, 14"));
    Rows { key: the_key(reader, sites, &drawn), rows, head }
}

/// "block of flats, 58 people".
#[must_use]
pub fn what(reader: &Reader, site: &SiteToday) -> Phrase {
    let kind = shown::words(reader, site.site.site.kind.label());
    match site.standing.demand.people {
        0 => kind,
        count => {
            shown::words(reader, "{kind}, {people}").with("kind", kind).with("people", shown::people(reader, count))
        }
    }
}

/// How many days the bars show: as far as most sites last, between two weeks and two months.
fn horizon(today: &Today) -> f64 {
    let ends: Vec<f64> =
        today.as_placed.ration.falls.iter().map(|fall| as_days(fall.at)).filter(|day| *day < 60.0).collect();
    let most = ends.get(ends.len().saturating_sub(1) * 19 / 20).copied().unwrap_or_default();
    (most * 1.08).clamp(16.0, 60.0)
}

/// What the drawings of this page use, and no more.
fn the_key(reader: &Reader, sites: &[&SiteToday], drawn: &[Vec<Vessel>]) -> Drawing {
    let serves = |served: Served| {
        sites.iter().filter(|site| site.standing.needs_water()).any(|site| {
            let mut levels = site.standing.timeline.spans.iter().filter_map(|span| span.level);
            levels.any(|level| outlook::served(&site.standing, level) == served)
        })
    };
    let holds = |grade: Grade| {
        drawn.iter().flatten().any(|vessel| match &vessel.body {
            Body::Tank(tank) => tank.grade == grade && tank.water.is_some(),
            Body::Set(set) => set.lots.iter().any(|lot| lot.grade == grade),
        })
    };
    let heel = drawn.iter().flatten().any(|vessel| matches!(&vessel.body, Body::Tank(tank) if tank.heel_m > 0.0));
    let all = [
        (serves(Served::Tap), Swatch::Tap, "at the tap"),
        (serves(Served::Hand), Swatch::Hand, "carried by hand"),
        (serves(Served::Drinking), Swatch::Drinking, "drinking only"),
        (holds(Grade::Treat), Swatch::Grade(Grade::Treat), "treat first"),
        (holds(Grade::Utility), Swatch::Grade(Grade::Utility), "washing only"),
        (holds(Grade::Hold), Swatch::Grade(Grade::Hold), "on hold"),
        (heel, Swatch::Heel, "below the outlet"),
        (true, Swatch::Whisker, "8 times in 10"),
    ];
    key(all.into_iter().filter(|(used, ..)| *used).map(|(_, swatch, words)| (swatch, reader.word(words))))
}

/// The way to the other pages of a list.
pub struct Pages {
    /// "sites 51 to 100 of 10,000"; none where one page holds all
    pub words: Option<Phrase>,
    pub before: Option<usize>,
    pub after: Option<usize>,
}

/// Which part of a list is shown, from its place `from` on.
#[must_use]
pub fn page(reader: &Reader, from: usize, all: usize) -> (core::ops::Range<usize>, Pages) {
    let from = if from < all { from } else { 0 };
    let to = (from + A_PAGE).min(all);
    let whole = |number: usize| reader.whole(number as u64);
    let words = (all > A_PAGE).then(|| {
        shown::words(reader, "sites {from} to {to} of {all}")
            .with("from", whole(from + 1))
            .with("to", whole(to))
            .with("all", whole(all))
    });
    let before = (from > 0).then(|| from.saturating_sub(A_PAGE));
    (from..to, Pages { words, before, after: (to < all).then_some(to) })
}
