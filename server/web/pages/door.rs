//! The delivery list as pages show it: who cannot fetch water, how much to bring, from when and from where. A section of
//! the carries and the outage, a paragraph of the situation report.

use std::sync::Arc;

use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Volume;

use crate::model::carry::Carry;
use crate::model::choice::Choice;
use crate::model::id::SiteId;
use crate::picture::Picture;
use crate::picture::deliveries::Delivery;
use crate::picture::deliveries::deliveries;
use crate::picture::today::SiteToday;
use crate::picture::today::Today;
use crate::web::pages::today::sees;
use crate::web::shown;
use crate::web::visitor::Visitor;
use crate::web::words::Phrase;

/// The sites on it that the visitor may see.
#[derive(Default)]
pub(super) struct Door {
    /// an outage is on
    pub outage: bool,
    pub lines: Vec<Line>,
}

pub(super) struct Line {
    pub site: SiteId,
    pub name: String,
    pub people: u32,
    pub a_day: Volume,
    pub cans: u64,
    /// days from now; none: their own tap runs as far as is looked
    pub from: Option<Time>,
    /// "Saturday 7 March, about midday"; none for now
    pub when: Option<String>,
    /// the site's own store, as long as it gives
    pub store: Option<Phrase>,
    /// the carries that reach it, with the name of each
    pub carries: Vec<(Phrase, String)>,
    /// what nobody has agreed to bring
    pub open: Option<Phrase>,
}

impl Door {
    pub fn of(visitor: &Visitor, picture: &Picture, today: &Today) -> Self {
        let line = |one: &Delivery| {
            let site = today.sites.get(one.place).filter(|site| sees(visitor, site))?;
            Some(line(visitor, today, site, one))
        };
        Self { outage: today.outage, lines: deliveries(picture, today).iter().filter_map(line).collect() }
    }

    pub fn people(&self) -> u64 {
        self.lines.iter().map(|line| u64::from(line.people)).sum()
    }

    pub fn a_day(&self) -> Volume {
        self.lines.iter().fold(Volume::default(), |sum, line| sum + line.a_day)
    }

    pub fn cans(&self) -> u64 {
        self.lines.iter().map(|line| line.cans).sum()
    }

    /// For the report: those whose tap stops, a phrase a site.
    pub fn said(&self, visitor: &Visitor) -> Vec<Phrase> {
        let reader = &visitor.reader;
        let said = |line: &Line| {
            let from = line.from?;
            let words = if line.when.is_some() {
                "<b>{site}</b>: {people}, {litres} a day in {cans}, from {day}: {whence}"
            } else {
                "<b>{site}</b>: {people}, {litres} a day in {cans}, now: {whence}"
            };
            let ways = line.carries.iter().map(|(_, name)| name.clone());
            let whence = line.store.iter().map(ToString::to_string).chain(ways);
            let whence: Vec<String> = whence.chain(line.open.as_ref().map(ToString::to_string)).collect();
            Some(
                shown::words(reader, words)
                    .with("site", line.name.as_str())
                    .with("people", shown::people(reader, line.people.into()))
                    .with("litres", shown::litres(reader, line.a_day))
                    .with("cans", reader.plural("{n} can", "{n} cans", line.cans))
                    .with("day", shown::on_day(reader, from))
                    .with("whence", whence.join(", ")),
            )
        };
        self.lines.iter().filter_map(said).collect()
    }
}

fn line(visitor: &Visitor, today: &Today, site: &SiteToday, one: &Delivery) -> Line {
    let reader = &visitor.reader;
    let later = one.from.filter(|from| *from > Time::default());
    Line {
        site: site.site.site.id,
        name: site.site.site.name.to_string(),
        people: one.people,
        a_day: one.a_day,
        cans: one.cans,
        from: one.from,
        when: later.map(|from| shown::part_of_day(reader, &today.now.after(from))),
        store: store(visitor, one),
        carries: carried(visitor, today, one),
        open: one.is_open().then(|| open(visitor, one)),
    }
}

fn store(visitor: &Visitor, one: &Delivery) -> Option<Phrase> {
    let reader = &visitor.reader;
    one.has_store().then(|| match one.store_ends {
        Some(ends) => shown::words(reader, "its own store, to {day}").with("day", shown::on_day(reader, ends)),
        None => shown::words(reader, "its own store"),
    })
}

fn carried(visitor: &Visitor, today: &Today, one: &Delivery) -> Vec<(Phrase, String)> {
    let reader = &visitor.reader;
    let carried = |carry: &Arc<Carry>| {
        let giver = today.site(carry.from).filter(|site| sees(visitor, site));
        let giver =
            giver.map_or_else(|| reader.word("another site").to_owned(), |site| site.site.site.name.to_string());
        let words = shown::words(reader, "{giver}, {means} ({carry})")
            .with("giver", giver)
            .with("means", shown::words(reader, carry.means.label()))
            .with("carry", carry.name.as_str());
        (words, carry.name.to_string())
    };
    one.carries.iter().map(carried).collect()
}

fn open(visitor: &Visitor, one: &Delivery) -> Phrase {
    let reader = &visitor.reader;
    if one.brought > Volume::default() {
        let words = "What is agreed by cart, car or hose brings {litres} of it";
        return shown::words(reader, words).with("litres", shown::litres(reader, one.brought));
    }
    shown::words(reader, "Nobody has agreed to bring it by cart, car or hose")
}
