//! `GET /paper/sheets/{site}`: the log sheet of a site, to be written on by hand.

use askama::Template;
use axum::extract::State;
use axum::response::Response;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Unit;

use crate::model::choice::Choice;
use crate::model::id::SiteId;
use crate::model::vessel::ShapeKind;
use crate::picture::SitePicture;
use crate::picture::VesselPicture;
use crate::picture::cluster::moment;
use crate::service::authorise::Deed;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::extract::Path;
use crate::web::filters;
use crate::web::pages::paper::columns::What;
use crate::web::pages::paper::letters::letters;
use crate::web::pages::paper::measure;
use crate::web::pages::paper::measure::small;
use crate::web::pages::paper::timed;
use crate::web::reader::Reader;
use crate::web::reader::Units;
use crate::web::shown;
use crate::web::visitor::Visitor;
use crate::web::words::Phrase;

/// Rows to write on, where the words above and below take a usual part of the sheet; fewer where they take more.
const ROWS: usize = 19;
const LETTERS_A_LINE: usize = 95;

#[derive(Template)]
#[template(path = "paper/sheet.html")]
struct Page {
    chrome: Chrome,
    site: (SiteId, String),
    letters: Vec<(String, String)>,
    rows: usize,
    depth: &'static str,
    amount: &'static str,
    example: Example,
    facts: Vec<Phrase>,
    may_log: bool,
    made: String,
}

/// The row that shows how.
struct Example {
    vessel: String,
    depth: String,
}

impl Page {
    fn whats() -> impl Iterator<Item = What> {
        What::all()
    }
}

pub(super) async fn show(
    State(house): State<House>,
    visitor: Visitor,
    Path(id): Path<SiteId>,
) -> Result<Response, Error> {
    let answer = house.app.site(&visitor.caller, id, None)?;
    let (reader, site, now) = (&visitor.reader, &answer.site, answer.now);
    let here: Vec<(String, &VesselPicture)> = in_use(site, now);
    let depth = small(reader.units);
    let with_depth = here.iter().find(|(_, vessel)| vessel.body.shape.height().is_some());
    let example = with_depth.or_else(|| here.first()).map_or_else(
        || Example { vessel: String::new(), depth: String::new() },
        |(letters, vessel)| {
            let half = measure::full_m(vessel).map(|full| reader.number(full / 2.0 / depth.metres, 1, 1));
            Example { vessel: letters.clone(), depth: half.unwrap_or_else(|| "5".to_owned()) }
        },
    );
    let letters: Vec<(String, String)> =
        here.iter().map(|(letters, vessel)| (letters.clone(), vessel.vessel.name.to_string())).collect();
    let facts = facts(reader, &here);
    let said = letters.iter().map(|(letters, name)| letters.chars().count() + name.chars().count() + 3).sum::<usize>()
        + facts.iter().map(|fact| fact.to_string().chars().count()).sum::<usize>();
    let template = Page {
        chrome: visitor.chrome(Place::Paper),
        site: (id, site.site.name.to_string()),
        rows: ROWS.saturating_sub(said / LETTERS_A_LINE / 2).max(6),
        letters,
        depth: depth.sign,
        amount: if reader.units == Units::Us { "US gal in or out" } else { "litres in or out" },
        example,
        facts,
        may_log: visitor.caller.can(Deed::Log, Some(id)),
        made: timed(reader, reader.now),
    };
    page(reader, template)
}

fn in_use(site: &SitePicture, now: Moment) -> Vec<(String, &VesselPicture)> {
    let there = |vessel: &VesselPicture| vessel.vessel.ended.is_none_or(|ended| moment(ended) > now);
    letters(site).into_iter().filter(|(_, vessel)| there(vessel)).collect()
}

/// "1 cm is 25.4 L in West, East and North alike. Full at 196 cm, tap at 14 cm.": once for those that are alike.
fn facts(reader: &Reader, vessels: &[(String, &VesselPicture)]) -> Vec<Phrase> {
    let mut groups: Vec<(Phrase, Vec<&str>)> = Vec::new();
    for (_, vessel) in vessels {
        let Some(words) = fact(reader, vessel) else { continue };
        let name = vessel.vessel.name.as_str();
        match groups.iter_mut().find(|(there, _)| *there == words) {
            Some((_, names)) => names.push(name),
            None => groups.push((words, vec![name])),
        }
    }
    groups.into_iter().map(|(words, names)| words.with("names", listed(reader, &names))).collect()
}

fn fact(reader: &Reader, vessel: &VesselPicture) -> Option<Phrase> {
    if vessel.vessel.shape == ShapeKind::Set {
        let each = vessel.vessel.dimensions.get("litres_each").copied().unwrap_or(0.0);
        let each = shown::figure(reader, each, Unit::Litre);
        return Some(shown::words(reader, "{names}: count the full ones, {litres} each.").with("litres", each));
    }
    let unit = small(reader.units);
    let each = measure::each(vessel, &unit)?;
    let key = if each.everywhere {
        "{names}: 1 {unit} is {litres}, full at {full}{outlet}."
    } else {
        "{names}: by the dip table, full at {full}{outlet}."
    };
    let outlet = measure::outlet(vessel).map_or_else(
        || Phrase::verbatim(""),
        |(way, height)| {
            shown::words(reader, ", {way} at {depth}")
                .with("way", reader.word(way))
                .with("depth", measure::depth(reader, height))
        },
    );
    Some(
        shown::words(reader, key)
            .with("unit", unit.sign)
            .with("litres", measure::tenths(reader, each.litres))
            .with("full", measure::depth(reader, measure::full_m(vessel)?))
            .with("outlet", outlet),
    )
}

/// "West, East and North".
fn listed(reader: &Reader, names: &[&str]) -> Phrase {
    match names {
        [] => Phrase::verbatim(""),
        [one] => Phrase::verbatim(*one),
        [most @ .., last] => {
            shown::words(reader, "{most} and {last}").with("most", most.join(", ")).with("last", *last)
        }
    }
}
