//! `GET /paper/dip/{vessel}`: its dip table at a step of the reader's choice, in both systems of units side by side.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::IntoResponse;
use axum::response::Response;
use keepwell_engine::level::BAND;
use keepwell_engine::level::Method;
use keepwell_engine::level::reading_sd;
use keepwell_engine::quantity::Measure;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::as_metres;
use keepwell_engine::quantity::metres;
use keepwell_engine::vessel::Shape;
use keepwell_engine::vessel::dip_table;

use crate::model::id::VesselId;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::picture::VesselPicture;
use crate::service;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::extract::Path;
use crate::web::extract::Question;
use crate::web::filters;
use crate::web::form::Control;
use crate::web::form::Field;
use crate::web::input::parse_measure;
use crate::web::pages::paper::measure;
use crate::web::pages::paper::measure::CENTIMETRE;
use crate::web::pages::paper::measure::INCH;
use crate::web::pages::paper::measure::small;
use crate::web::pages::paper::timed;
use crate::web::reader::Reader;
use crate::web::reader::Units;
use crate::web::shown;
use crate::web::visitor::Visitor;

/// Rows in one column of a sheet, and columns.
const ROWS: usize = 35;
const COLUMNS: usize = 2;
/// Nobody hangs up more sheets than that.
const MOST_SHEETS: usize = 10;
/// A line this near to a named depth carries its name.
const SAME_M: f64 = 5e-4;

/// Any length at all: the table has its own range, told in its own words.
const STEP: Measure = Measure { name: "step", unit: Unit::Metre, min: 0.0, max: 1_000.0 };

#[derive(Template)]
#[template(path = "paper/dip.html")]
struct Page {
    chrome: Chrome,
    vessel: (VesselId, String),
    site: String,
    step: Field,
    /// empty where the step was refused
    sheets: Vec<Vec<Vec<Row>>>,
    facts: Vec<String>,
    made: String,
    us: bool,
}

struct Row {
    cm: String,
    litres: String,
    inches: String,
    gallons: String,
    mark: String,
}

pub(super) async fn show(
    State(house): State<House>,
    visitor: Visitor,
    Path(id): Path<VesselId>,
    Question(asked): Question,
) -> Result<Response, Error> {
    let answer = house.app.vessel(&visitor.caller, id)?;
    let (vessel, reader) = (&answer.vessel, &visitor.reader);
    let height = vessel.body.shape.height().map(as_metres).ok_or(service::Error::NotFound("dip table"))?;
    let unit = small(reader.units);
    let typed = asked.get("step").map(str::trim).filter(|typed| !typed.is_empty());
    let usual = usual(height / unit.metres);
    let step = typed.map_or(Ok(usual * unit.metres), |typed| step(typed, height, reader));
    let shown = typed.map_or_else(|| reader.number(usual, 0, 2), str::to_owned);
    let error = step.as_ref().err().map(|message| reader.say(message).to_string());
    let refused = error.is_some();
    let field = Field::new("step", reader.word("A line every"), Control::Number { unit: unit.sign.to_owned() })
        .value(&shown)
        .error(error);
    let rows = match step {
        Ok(step) => rows(vessel, step, reader)?,
        Err(_) => Vec::new(),
    };
    let template = Page {
        chrome: visitor.chrome(Place::Paper),
        vessel: (id, vessel.vessel.name.to_string()),
        site: answer.site.site.name.to_string(),
        step: field,
        sheets: sheets(rows),
        facts: facts(reader, vessel),
        made: timed(reader, reader.now),
        us: reader.units == Units::Us,
    };
    let answer = page(reader, template)?;
    let status = if refused { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
    Ok((status, answer).into_response())
}

/// A round step that fills a sheet or two.
fn usual(height: f64) -> f64 {
    let rounds = [0.5, 1.0, 2.0, 5.0, 10.0];
    let sheet = height / f64::from(u32::try_from(ROWS * COLUMNS).unwrap_or(u32::MAX));
    rounds.into_iter().find(|round| *round >= sheet).unwrap_or(20.0)
}

/// The step that was typed, in metres.
fn step(typed: &str, height: f64, reader: &Reader) -> Result<f64, Message> {
    let unit = small(reader.units);
    let bare = !typed.chars().any(|letter| letter.is_alphabetic() || "'\"′″".contains(letter));
    let typed = if bare { format!("{typed} {}", unit.sign) } else { typed.to_owned() };
    let step = parse_measure(&typed, &STEP, reader)?;
    let most_rows = f64::from(u32::try_from(ROWS * COLUMNS * MOST_SHEETS).unwrap_or(u32::MAX)) - 8.0;
    let least = (height / most_rows).max(0.001);
    if (least..=height).contains(&step) {
        return Ok(step);
    }
    let told = |metres: f64, digits: usize| {
        Arg::text(format!("{}\u{a0}{}", reader.number(metres / unit.metres, 0, digits), unit.sign))
    };
    Err(Message::new("The step is {step}; allowed is {least} to {most}, the height of the vessel, so that it stays within {sheets} sheets.")
        .with("step", told(step, 4))
        .with("least", told((least / unit.metres * 100.0).ceil() / 100.0 * unit.metres, 2))
        .with("most", told(height, 1))
        .with("sheets", Arg::Count(u64::try_from(MOST_SHEETS).unwrap_or(u64::MAX))))
}

/// The lines of the table, with the floor, the outlet, the full mark and the rim among them.
fn rows(vessel: &VesselPicture, step_m: f64, reader: &Reader) -> Result<Vec<Row>, Error> {
    let shape: &Shape = &vessel.body.shape;
    let table = dip_table(shape, &vessel.body.fittings, metres(step_m)).map_err(Error::internal)?;
    let mut depths: Vec<f64> = table.rows.iter().map(|row| as_metres(row.depth)).collect();
    let rim = depths.last().copied().unwrap_or_default();
    let mut named: Vec<(f64, &'static str)> = vec![(0.0, "floor")];
    named.extend(measure::outlet(vessel).map(|(word, height)| (height, word)));
    let full = measure::full_m(vessel).unwrap_or(rim);
    named.extend([(full, "full"), (rim, "rim")]);
    for (at, _) in &named {
        if depths.iter().all(|depth| (depth - at).abs() > SAME_M) {
            depths.push(*at);
        }
    }
    depths.sort_by(f64::total_cmp);
    let row = |depth: f64| -> Result<Row, Error> {
        let held = as_litres(shape.volume_at(metres(depth.min(rim))).map_err(Error::internal)?);
        let mark: Vec<&str> =
            named.iter().filter(|(at, _)| (at - depth).abs() <= SAME_M).map(|(_, word)| reader.word(word)).collect();
        Ok(Row {
            cm: reader.number(depth / CENTIMETRE.metres, 1, 1),
            litres: fine(reader, held),
            inches: reader.number(depth / INCH.metres, 2, 2),
            gallons: fine(reader, Unit::Litre.to_us(held)),
            mark: mark.join(", "),
        })
    };
    depths.into_iter().map(row).collect()
}

/// Under a hundred to a tenth: the last litres count most.
fn fine(reader: &Reader, value: f64) -> String {
    let decimals = usize::from(value.abs() < 99.95);
    reader.number(value, decimals, decimals)
}

fn sheets(rows: Vec<Row>) -> Vec<Vec<Vec<Row>>> {
    let mut sheets: Vec<Vec<Vec<Row>>> = Vec::new();
    for row in rows {
        let full = |sheet: &Vec<Vec<Row>>| sheet.len() == COLUMNS && sheet.iter().all(|column| column.len() == ROWS);
        if sheets.last().is_none_or(full) {
            sheets.push(Vec::new());
        }
        if let Some(sheet) = sheets.last_mut() {
            match sheet.last_mut().filter(|column| column.len() < ROWS) {
                Some(column) => column.push(row),
                None => sheet.push(vec![row]),
            }
        }
    }
    sheets
}

/// What stands above the table.
fn facts(reader: &Reader, vessel: &VesselPicture) -> Vec<String> {
    let mut said = Vec::new();
    let body = &vessel.body;
    let full = measure::full_m(vessel).unwrap_or_default();
    said.push(
        shown::words(reader, "Full: {litres} at {depth}.")
            .with("litres", both(reader, as_litres(body.capacity.full)))
            .with("depth", depth_both(reader, full))
            .to_string(),
    );
    if let Some((word, height)) = measure::outlet(vessel) {
        said.push(
            shown::words(
                reader,
                "Outlet ({way}) at {depth}: what lies below it cannot be drawn that way; usable when full {litres}.",
            )
            .with("way", reader.word(word))
            .with("depth", depth_both(reader, height))
            .with("litres", both(reader, as_litres(measure::usable(vessel))))
            .to_string(),
        );
    }
    let half = full / 2.0;
    let held = body.shape.volume_at(metres(half)).ok();
    let surface = body.shape.surface_at(metres(half)).ok();
    let sd = held
        .zip(surface)
        .and_then(|(held, surface)| reading_sd(Method::Dipstick, surface, held, body.capacity.brim).ok());
    if let Some(sd) = sd {
        said.push(
            shown::words(reader, "Read with a dipstick, a line is right to give or take {litres} half way up, 8 times in 10; by eye it is worse.")
                .with("litres", both(reader, BAND * as_litres(sd)))
                .to_string(),
        );
    }
    said
}

/// "4,988 L (1,318 US gal)", the reader's own first.
fn both(reader: &Reader, litres: f64) -> String {
    let other = match reader.units {
        Units::Metric => Units::Us,
        Units::Us => Units::Metric,
    };
    let other = Reader { units: other, ..reader.clone() };
    let shown = |reader: &Reader| shown::figure(reader, litres, Unit::Litre);
    format!("{} ({})", shown(reader), shown(&other))
}

fn depth_both(reader: &Reader, at_m: f64) -> String {
    let cm = format!("{}\u{a0}cm", reader.number(at_m / CENTIMETRE.metres, 0, 1));
    let inches = format!("{}\u{a0}in", reader.number(at_m / INCH.metres, 0, 1));
    match reader.units {
        Units::Metric => format!("{cm} ({inches})"),
        Units::Us => format!("{inches} ({cm})"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::web::reader::tests::reader;

    #[test]
    fn a_step_out_of_range_is_refused_in_words() {
        let metric = reader(Units::Metric);
        assert!((step("5", 2.0, &metric).unwrap() - 0.05).abs() < 1e-12);
        assert!((step("1 in", 2.0, &metric).unwrap() - 0.0254).abs() < 1e-12);
        // 1 foot is 0.3048 m exactly (international yard and pound agreement, 1959)
        assert!((step("1", 2.0, &reader(Units::Us)).unwrap() - 0.3048 / 12.0).abs() < 1e-12);
        for typed in ["0", "0.05", "300", "-1", "many", "5 kg"] {
            let message = step(typed, 2.0, &metric).unwrap_err();
            assert!(!metric.say(&message).to_string().contains('{'), "{typed}");
        }
        let said = metric.say(&step("300", 2.0, &metric).unwrap_err()).to_string().replace('\u{a0}', " ");
        assert!(said.starts_with("The step is 300 cm; allowed is 0.29 cm to 200 cm"), "{said}");
    }

    #[test]
    fn no_line_is_lost_between_sheets() {
        let line = |n: usize| Row {
            cm: n.to_string(),
            litres: String::new(),
            inches: String::new(),
            gallons: String::new(),
            mark: String::new(),
        };
        for many in [0, 1, ROWS, ROWS + 1, ROWS * COLUMNS, ROWS * COLUMNS + 1, 500] {
            let made = sheets((0..many).map(line).collect());
            let told: Vec<String> = made.iter().flatten().flatten().map(|row| row.cm.clone()).collect();
            assert_eq!(told, (0..many).map(|n| n.to_string()).collect::<Vec<_>>());
            assert!(made.iter().flatten().all(|column| column.len() <= ROWS));
            assert_eq!(made.len(), many.div_ceil(ROWS * COLUMNS));
        }
    }
}
