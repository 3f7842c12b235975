//! `GET /paper/labels/{site}`: the labels of a site's vessels, two to a sheet. No level stands on them: it would be old
//! before the ink is dry.

use askama::Template;
use axum::extract::State;
use axum::response::Response;
use keepwell_engine::grade::Grade;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::as_metres;
use keepwell_engine::quantity::metres;

use crate::model::id::SiteId;
use crate::model::vessel::ShapeKind;
use crate::picture::SitePicture;
use crate::picture::VesselPicture;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::draw::Drawing;
use crate::web::draw::vessel::Depth;
use crate::web::draw::vessel::Depths;
use crate::web::draw::vessel::label;
use crate::web::error::Error;
use crate::web::extract::Path;
use crate::web::filters;
use crate::web::pages::paper::code::code;
use crate::web::pages::paper::dated;
use crate::web::pages::paper::measure;
use crate::web::pages::paper::measure::small;
use crate::web::pages::paper::qr;
use crate::web::pages::paper::timed;
use crate::web::pages::vessels;
use crate::web::reader::Reader;
use crate::web::shown;
use crate::web::visitor::Visitor;
use crate::web::whence::Whence;

/// Labels on a sheet.
const A_SHEET: usize = 2;
/// About so many depths are written in a drawing.
const DEPTHS: f64 = 5.0;

#[derive(Template)]
#[template(path = "paper/labels.html")]
struct Page {
    chrome: Chrome,
    site: (SiteId, String),
    sheets: Vec<Vec<Label>>,
    /// where the codes lead: the name and port under which this page was opened
    host: String,
    /// only this machine can reach that
    here_only: bool,
    made: String,
}

struct Label {
    name: String,
    /// long names stand smaller
    size: &'static str,
    counted: &'static str,
    code: String,
    qr: String,
    drawing: Option<Drawing>,
    rows: Vec<(&'static str, String)>,
}

pub(super) async fn show(
    State(house): State<House>,
    visitor: Visitor,
    whence: Whence,
    Path(id): Path<SiteId>,
) -> Result<Response, Error> {
    let answer = house.app.site(&visitor.caller, id, None)?;
    let reader = &visitor.reader;
    let all = labels(reader, &answer.site, answer.now, &whence.host)?;
    let mut sheets: Vec<Vec<Label>> = Vec::new();
    for label in all {
        match sheets.last_mut().filter(|sheet| sheet.len() < A_SHEET) {
            Some(sheet) => sheet.push(label),
            None => sheets.push(vec![label]),
        }
    }
    let template = Page {
        chrome: visitor.chrome(Place::Paper),
        site: (id, answer.site.site.name.to_string()),
        sheets,
        here_only: !whence.is_overheard(),
        host: whence.host,
        made: timed(reader, reader.now),
    };
    page(reader, template)
}

fn labels(reader: &Reader, site: &SitePicture, now: Moment, host: &str) -> Result<Vec<Label>, Error> {
    site.vessels_at(now)
        .map(|vessel| {
            let name = vessel.vessel.name.to_string();
            Ok(Label {
                size: size(&name),
                name,
                counted: counted(vessel, now),
                code: code(&vessel.vessel),
                qr: qr::svg(&format!("http://{host}/log/vessels/{}", vessel.vessel.id))?,
                drawing: drawing(reader, vessel, now),
                rows: rows(reader, vessel, now),
            })
        })
        .collect()
}

/// By how many letters there are.
fn size(name: &str) -> &'static str {
    match name.chars().count() {
        0..=8 => "",
        9..=13 => "long",
        14..=36 => "longer",
        _ => "longest",
    }
}

/// What it counts as, as a warning on a wall says it.
fn counted(vessel: &VesselPicture, now: Moment) -> &'static str {
    if !vessel.is_known() {
        return "Not read yet. Count on nothing in it";
    }
    match vessels::worst(&vessel.parts(now)) {
        Some(Grade::Drink) => "Drinking water",
        Some(Grade::Treat) => "Treat first. Do not drink as it is",
        Some(Grade::Utility) => "Washing only. Do not drink, boiled or not",
        Some(Grade::Hold) => "On hold. Do not use",
        None => "Empty",
    }
}

fn rows(reader: &Reader, vessel: &VesselPicture, now: Moment) -> Vec<(&'static str, String)> {
    let word = |key: &'static str| reader.word(key).to_owned();
    let mut rows = vec![("full", shown::litres(reader, vessel.body.capacity.full))];
    if let Some(each) = measure::each(vessel, &small(reader.units)) {
        let inch = reader.units == crate::web::reader::Units::Us;
        let key = match (inch, each.everywhere) {
            (false, true) => "1 cm is",
            (true, true) => "1 in is",
            (false, false) => "1 cm is, half way up",
            (true, false) => "1 in is, half way up",
        };
        rows.push((key, measure::tenths(reader, each.litres)));
        rows.push(("measure", word(measure::measured(vessel))));
    } else if vessel.vessel.shape == ShapeKind::Set {
        let figure = |key: &str| vessel.vessel.dimensions.get(key).copied().unwrap_or(0.0);
        let each = shown::figure(reader, figure("litres_each"), Unit::Litre);
        let words = shown::words(reader, "{count} of {litres}")
            .with("count", reader.number(figure("count"), 0, 0))
            .with("litres", each);
        rows.push(("containers", words.to_string()));
        rows.push(("measure", word("count the full ones")));
    }
    let parts = vessel.parts(now);
    let filled = parts.iter().filter_map(|part| part.graded.clock).min();
    rows.push(("filled", filled.map_or_else(|| word("not known"), |at| dated(reader, &at))));
    let due = parts.iter().filter_map(|part| part.graded.due).min();
    let due = due.map(|due| {
        let date = dated(reader, &due);
        if due > now { date } else { shown::words(reader, "{date}, overdue").with("date", date).to_string() }
    });
    rows.push(("rotate by", due.unwrap_or_else(|| word("not filled yet"))));
    rows
}

/// The vessel with its depths; a set stands as its containers.
fn drawing(reader: &Reader, vessel: &VesselPicture, now: Moment) -> Option<Drawing> {
    let title = shown::words(reader, "{name}, with its depths").with("name", vessel.vessel.name.as_str()).to_string();
    let drawn = vessels::drawn(vessel, now, title);
    let Some(rim) = vessel.body.shape.height().map(as_metres) else { return label(&drawn, &Depths::default()) };
    let unit = small(reader.units);
    let step = step(rim / unit.metres / DEPTHS);
    let full = measure::full_m(vessel).unwrap_or(rim);
    let mut depths = Depths { tick_m: Some(step * unit.metres / 5.0), ..Depths::default() };
    let mut at = step;
    while at * unit.metres < full {
        let at_m = at * unit.metres;
        if let Ok(held) = vessel.body.shape.volume_at(metres(at_m)) {
            let words = shown::words(reader, "{depth}: {litres}")
                .with("depth", measure::depth(reader, at_m))
                .with("litres", shown::figure(reader, as_litres(held), Unit::Litre));
            depths.round.push(Depth { at_m, words: words.to_string() });
        }
        at += step;
    }
    if let Some((word, at_m)) = measure::outlet(vessel) {
        depths.named.push(Depth { at_m, words: reader.word(word).to_owned() });
    }
    depths.named.push(Depth { at_m: full, words: reader.word("full").to_owned() });
    label(&drawn, &depths)
}

/// A round step.
fn step(about: f64) -> f64 {
    let rounds = [1.0, 2.0, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0, 200.0];
    rounds.into_iter().find(|round| *round >= about).unwrap_or(500.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_on_a_wall_is_a_round_depth() {
        for (about, expected) in [(0.3, 1.0), (52.0, 100.0), (49.0, 50.0), (21.0, 25.0), (900.0, 500.0)] {
            assert!((step(about) - expected).abs() < 1e-12, "{about}");
        }
    }
}
