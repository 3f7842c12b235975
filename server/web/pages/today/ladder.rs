//! The same question at the other rations, side by side.

use keepwell_engine::demand;
use keepwell_engine::demand::Rung;
use keepwell_engine::endurance::Cause;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::as_days;

use crate::picture::today::Today;
use crate::web::House;
use crate::web::error::Error;
use crate::web::pages::today::sees;
use crate::web::shown;
use crate::web::visitor::Visitor;
use crate::web::words::Phrase;

/// Up to so many sites the other rations are reckoned for every page; beyond, when someone asks for one.
const AT_ONCE: usize = 500;

pub struct Ladder {
    pub rungs: Vec<Line>,
    /// why a stricter ration buys nothing, where it does not
    pub no_help: Option<Phrase>,
}

pub struct Line {
    pub rung: Rung,
    pub is_asked: bool,
    /// none: not reckoned here
    pub answer: Option<Answer>,
}

pub struct Answer {
    /// none: nobody goes without within two years
    pub first: Option<Time>,
    /// with the carries, where any are agreed; none inside: nobody goes without
    pub carried: Option<Option<Time>>,
    /// none: nothing is needed
    pub pooled: Option<Time>,
}

impl Ladder {
    /// # Errors
    /// As for the page itself.
    pub fn of(house: &House, visitor: &Visitor, today: &Today) -> Result<Self, Error> {
        let alone = today.sites.len() > AT_ONCE;
        let mut rungs = Vec::new();
        for rung in demand::Ladder::default().rungs() {
            let is_asked = rung.key() == today.rung.key();
            let answer = if is_asked {
                Some(answer(today))
            } else if alone {
                None
            } else {
                let suppose = today.suppose.clone();
                Some(answer(&*house.app.figures(&visitor.caller, rung.key(), suppose)?))
            };
            rungs.push(Line { rung: rung.clone(), is_asked, answer });
        }
        let no_help = no_help(visitor, today, &rungs);
        Ok(Self { rungs, no_help })
    }
}

fn answer(today: &Today) -> Answer {
    Answer {
        first: today.as_placed.ration.first().map(|fall| fall.at),
        carried: today.with_carries.as_ref().map(|with| with.first.map(|(_, at)| at)),
        pooled: today.pooled.days,
    }
}

/// A stricter ration leaves the first figure where it is: fuel ends it, not water.
fn no_help(visitor: &Visitor, today: &Today, rungs: &[Line]) -> Option<Phrase> {
    let site = today.first().filter(|site| sees(visitor, site))?;
    let fuel = site.standing.power.as_ref().map(|power| power.fuel.name())?;
    let here = rungs.iter().position(|line| line.is_asked)?;
    let first = |line: &Line| line.answer.as_ref().and_then(|answer| answer.first).map(as_days);
    let (now, stricter) = (first(rungs.get(here)?)?, first(rungs.get(here.checked_sub(1)?)?)?);
    let unmoved = (now - stricter).abs() < 0.05 && site.standing.timeline.ends_ration() == Some(Cause::Fuel);
    let reader = &visitor.reader;
    unmoved.then(|| {
        shown::words(
            reader,
            "Using less does not help {site}: its generator burns {fuel} by the hour, however little is drawn.",
        )
        .with("site", site.site.site.name.as_str())
        .with("fuel", shown::words(reader, fuel))
    })
}
