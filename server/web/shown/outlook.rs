//! How a site lasts, in words: what gives out first, what then, and what ends the ration.

use keepwell_engine::endurance::Cause;
use keepwell_engine::grade::Grade;
use keepwell_engine::moment::Moment;
use keepwell_engine::power::FuelKind;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::litres;

use crate::picture::SitePicture;
use crate::picture::standing::Standing;
use crate::picture::works;
use crate::picture::works::TrainNow;
use crate::web::draw::service::Served;
use crate::web::reader::Reader;
use crate::web::shown;
use crate::web::words::Phrase;

/// What gives out first at a site.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Outlook {
    /// nothing is needed here, so nothing runs out
    NobodyDraws,
    /// no vessel at all
    NoStore,
    /// vessels, and nobody has said what is in any of them
    NotRead,
    /// water or none, but none that counts and can be reached
    NothingInReach,
    /// the ration is met as far as is looked
    Lasts,
    /// the first level of service ends
    GivesOut(End),
}

/// The end of a stretch of service.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct End {
    pub cause: Cause,
    pub at: Time,
    /// how it goes on; none is dry
    pub then: Option<Served>,
}

impl Outlook {
    #[must_use]
    pub fn of(site: &SitePicture, standing: &Standing, now: Moment) -> Self {
        if !standing.needs_water() {
            return Self::NobodyDraws;
        }
        let Some(first) = standing.timeline.spans.first() else { return Self::Lasts };
        if first.level.is_none() {
            let mut vessels = site.vessels_at(now).peekable();
            return if vessels.peek().is_none() {
                Self::NoStore
            } else if vessels.all(|vessel| !vessel.is_known()) {
                Self::NotRead
            } else {
                Self::NothingInReach
            };
        }
        // What arrives or changes on the way is no end of anything.
        let mut spans = standing.timeline.spans.iter().enumerate();
        match spans.find(|(_, span)| span.cause != Cause::Event) {
            Some((place, span)) if span.cause != Cause::Horizon => {
                Self::GivesOut(End { cause: span.cause, at: span.to, then: next(standing, place + 1) })
            }
            _ => Self::Lasts,
        }
    }
}

/// How the stretch of that place is served; none is dry, or past the last.
#[must_use]
pub fn next(standing: &Standing, place: usize) -> Option<Served> {
    standing.timeline.spans.get(place).and_then(|span| span.level).map(|level| served(standing, level))
}

/// A level of the run as a drawing shows it.
#[must_use]
pub fn served(standing: &Standing, level: usize) -> Served {
    match level.cmp(&standing.hand) {
        core::cmp::Ordering::Less => Served::Tap,
        core::cmp::Ordering::Equal => Served::Hand,
        core::cmp::Ordering::Greater => Served::Drinking,
    }
}

/// Drinking water that is still in the vessels at the end though some of it lies above an outlet: what the fuel would
/// have brought up, and the heels with it. Nothing where only heels are left.
#[must_use]
pub fn stranded(standing: &Standing) -> Volume {
    let left = || {
        let each = standing.stocks.iter().zip(&standing.timeline.left).zip(&standing.run.stocks);
        each.filter(|((of, _), _)| of.grade == Grade::Drink)
    };
    let above: Volume = left().map(|((of, left), stock)| *left - (stock.volume - of.in_reach)).sum();
    if worth_a_word(above) { left().map(|((_, left), _)| *left).sum() } else { Volume::default() }
}

/// Less than this is nothing worth a word.
fn worth_a_word(volume: Volume) -> bool {
    volume >= litres(1.0)
}

/// The word for what gave out: the fuel by its name.
#[must_use]
pub fn thing(standing: &Standing, cause: Cause) -> &'static str {
    match cause {
        Cause::Fuel => standing.power.as_ref().map_or("fuel", |power| power.fuel.name()),
        Cause::Battery => "battery",
        // By the stage that ends first: a filter, the lamp.
        Cause::Media => {
            let first = standing.train.as_ref().and_then(TrainNow::ends_first);
            first.map_or("treatment", |stage| works::kind(&stage.stage).name())
        }
        Cause::Event => "a change on the way",
        Cause::Water | Cause::Horizon => "water",
        Cause::Flush => "water to flush with",
        Cause::Keep => "water above what is kept back",
    }
}

/// How it goes on from then.
#[must_use]
pub const fn then(served: Option<Served>) -> &'static str {
    match served {
        Some(Served::Tap) => "then at the tap again",
        Some(Served::Hand) => "then carried by hand",
        Some(Served::Drinking) => "then drinking only",
        None => "then nothing",
    }
}

/// For a list: what gives out first, and a small line under it.
#[must_use]
pub fn in_a_list(reader: &Reader, site: &SitePicture, standing: &Standing, now: Moment) -> (Phrase, Option<Phrase>) {
    let say = |key: &str| shown::words(reader, key);
    match Outlook::of(site, standing, now) {
        Outlook::NobodyDraws => (say("nobody draws here"), None),
        Outlook::NoStore => (say("<b>no store</b>"), None),
        Outlook::NotRead => (say("<b>not read yet</b>"), None),
        Outlook::NothingInReach => (say("<b>nothing in reach</b>"), not_counted(reader, standing)),
        Outlook::Lasts => (say("does not run out within 2 years"), None),
        Outlook::GivesOut(end) => {
            let falls_short = standing.timeline.days_at_ration <= Time::default();
            let thing = say(thing(standing, end.cause));
            let under = if falls_short {
                Some(say("less than the ration from the first hour"))
            } else if end.then.is_some() {
                Some(say(then(end.then)))
            } else {
                stays(reader, standing)
            };
            if end.cause == Cause::Water && end.then.is_none() {
                (thing, under)
            } else {
                (say("<b>{thing}</b>, {day}").with("thing", thing).with("day", shown::on_day(reader, end.at)), under)
            }
        }
    }
}

/// "3,459 L stay out of reach", where that is so.
fn stays(reader: &Reader, standing: &Standing) -> Option<Phrase> {
    let left = stranded(standing);
    worth_a_word(left)
        .then(|| shown::words(reader, "{litres} stay out of reach").with("litres", shown::litres(reader, left)))
}

/// "4,211 L to be treated first", where there is nothing else.
fn not_counted(reader: &Reader, standing: &Standing) -> Option<Phrase> {
    let (key, volume) = [
        ("{litres} to be treated first", standing.water.treat),
        ("{litres} for washing only", standing.water.utility),
        ("{litres} on hold", standing.water.hold),
    ]
    .into_iter()
    .find(|(_, volume)| worth_a_word(*volume))?;
    Some(shown::words(reader, key).with("litres", shown::litres(reader, volume)))
}

/// Why the ration ends, as a sentence after a site's name: "its diesel gives out before its water."
#[must_use]
pub fn why_it_ends(reader: &Reader, site: &SitePicture, standing: &Standing, now: Moment) -> Phrase {
    let say = |key: &str| shown::words(reader, key);
    match Outlook::of(site, standing, now) {
        Outlook::NoStore => return say("it has no store of its own."),
        Outlook::NotRead => return say("nobody has said yet what is in its vessels."),
        Outlook::NothingInReach => return say("it has no drinking water in reach."),
        Outlook::NobodyDraws | Outlook::Lasts => return say("its water does not run out within 2 years."),
        Outlook::GivesOut(_) => {}
    }
    match standing.timeline.ends_ration() {
        Some(Cause::Fuel) if worth_a_word(stranded(standing)) => {
            say("its {fuel} gives out before its water.").with("fuel", say(thing(standing, Cause::Fuel)))
        }
        Some(Cause::Battery) if worth_a_word(stranded(standing)) => say("its battery gives out before its water."),
        Some(Cause::Water) => say("its water is used up."),
        Some(cause) => say("its {thing} gives out.").with("thing", say(thing(standing, cause))),
        None => say("carried by hand, its water does not reach this ration from the first hour."),
    }
}

/// The sentences at the head of a site's page: what gives out first, and what then.
#[must_use]
pub fn lead(reader: &Reader, site: &SitePicture, standing: &Standing, ration: &str, now: Moment) -> Vec<Phrase> {
    let say = |key: &str| shown::words(reader, key);
    let end = match Outlook::of(site, standing, now) {
        Outlook::NobodyDraws => return vec![say("<b>Nobody draws here</b>, so no days are reckoned.")],
        Outlook::NoStore => return vec![say("<b>It has no store of its own.</b>")],
        Outlook::NotRead => return vec![say("<b>Nobody has said yet what is in its vessels.</b> Read one to begin.")],
        Outlook::NothingInReach => {
            let mut lead = vec![say("<b>No drinking water is in reach.</b>")];
            lead.extend(not_counted(reader, standing).map(|words| say("{Words}.").with("words", words)));
            return lead;
        }
        Outlook::Lasts => return vec![say("<b>It does not run out within 2 years</b>, which is as far as is looked.")],
        Outlook::GivesOut(end) => end,
    };
    let first = say("<b>{Thing} gives out first</b>, on {day}.")
        .with("thing", say(thing(standing, end.cause)))
        .with("day", shown::on_day(reader, end.at));
    let mut lead = vec![first];
    match end.then {
        Some(Served::Hand) => lead.push(say("From then water is carried by hand.")),
        Some(Served::Drinking) => lead.push(say("From then there is enough to drink and no more.")),
        Some(Served::Tap) => lead.push(say("From then it comes from the tap again.")),
        None => lead.extend(stays(reader, standing).map(|words| say("{words}.").with("words", words))),
    }
    let timeline = &standing.timeline;
    lead.push(
        match timeline.ration_ends() {
            None => say("{ration} is met in full for 2 years and more."),
            Some(at) if at <= Time::default() => {
                say("{ration} is not met in full: by hand it is 15 L a person at most.")
            }
            Some(at) => {
                say("{ration} is met in full until {when}.").with("when", shown::part_of_day(reader, &now.after(at)))
            }
        }
        .with("ration", say(ration)),
    );
    lead
}

/// Whether a site's first end is its fuel: then exhaust and storage need their words.
#[must_use]
pub fn burns_fuel(standing: &Standing) -> bool {
    standing.power.as_ref().is_some_and(|power| power.fuel != FuelKind::MainsGas)
}

/// For a drawing: "propane spent".
#[must_use]
pub fn spent(reader: &Reader, standing: &Standing, cause: Cause) -> String {
    if cause == Cause::Event {
        return reader.word("more comes, or less is asked").to_owned();
    }
    shown::words(reader, "{thing} spent").with("thing", shown::words(reader, thing(standing, cause))).to_string()
}
