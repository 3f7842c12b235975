//! The working behind a figure: formula, what went in and from where, what was not counted, the source. Exactly as the
//! engine gave it, and good to print.

mod battery;
mod site;
mod works;

use askama::Template;
use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::Uri;
use axum::response::Response;
use keepwell_engine::neighbourhood::share::working;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::working::Figure;
use keepwell_engine::working::Working;
use serde::Deserialize;

use crate::model::id::VesselId;
use crate::picture::today::Today;
use crate::service::authorise::Deed;
use crate::service::reckoner::Warning;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::extract::Query;
use crate::web::filters;
use crate::web::form::WorkingView;
use crate::web::fresh::Fresh;
use crate::web::pages::ration;
use crate::web::reader::Reader;
use crate::web::routes::Routes;
use crate::web::shown;
use crate::web::shown::working::view;
use crate::web::visitor::Visitor;
use crate::web::words::Phrase;

pub(super) fn routes() -> Routes {
    Routes::new()
        .get("/working/pooled", pooled)
        .get("/working/shared", shared)
        .get("/working/need", need)
        .get("/sites/{id}/working", site::site)
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Asked {
    ration: Option<String>,
    /// which figure of a site: days, need, water, fuel, battery, tap, train, structure
    of: Option<String>,
    /// of the standard that earthquakes are reckoned by
    edition: Option<String>,
    /// of which tank, where that is asked
    vessel: Option<VesselId>,
}

#[derive(Template)]
#[template(path = "working/page.html")]
struct Page {
    chrome: Chrome,
    /// where it belongs: an address and a name
    back: (String, String),
    title: Phrase,
    /// the figure itself
    figure: String,
    unit: String,
    band: Option<Phrase>,
    now: String,
    words: Vec<Phrase>,
    panels: Vec<Panel>,
    /// what can hurt, where it is not the water
    warning: Option<Warning>,
    /// the waters that went in, in the order in which they are used
    stores: Vec<Store>,
    /// the other figures of the same site: address, words, is it this one
    others: Vec<(String, &'static str, bool)>,
}

/// One water that went in.
struct Store {
    name: String,
    held: String,
    give_or_take: String,
    reach: String,
    counted_as: &'static str,
    as_of: String,
}

/// One working, under its own name where there are several.
struct Panel {
    name: Option<String>,
    working: WorkingView,
}

impl Panel {
    fn of(reader: &Reader, working: &Working) -> Self {
        Self { name: None, working: view(reader, working) }
    }

    /// Of pipes, floors and anchors: no litres are counted there.
    fn of_works(reader: &Reader, working: &Working) -> Self {
        let name = Some(reader.word(working.what).to_owned());
        Self { name, working: WorkingView { counts_litres: false, ..view(reader, working) } }
    }

    fn named(reader: &Reader, name: &str, working: &Working) -> Self {
        Self { name: Some(name.to_owned()), working: view(reader, working) }
    }
}

async fn pooled(
    State(house): State<House>,
    visitor: Visitor,
    uri: Uri,
    headers: HeaderMap,
    Query(asked): Query<Asked>,
) -> Result<Response, Error> {
    neighbourhood(&house, &visitor, &uri, &headers, &asked, |reader, today| {
        let days = today.pooled.days.map(|days| reader.figure(as_days(days), Unit::Day)).transpose();
        let shown = days.map_err(Error::internal)?;
        let band = today.pooled_band.map(|(low, high)| {
            shown::words(reader, "8 times in 10 between {low} and {high}.")
                .with("low", shown::day_number(reader, low))
                .with("high", shown::figure(reader, as_days(high), Unit::Day))
        });
        Ok(Page {
            title: titled(reader, "All water pooled, at {ration}", today),
            figure: shown.as_ref().map_or_else(|| "–".to_owned(), |shown| shown.number.clone()),
            unit: shown.map_or_else(String::new, |shown| shown.unit.to_owned()),
            band,
            words: vec![shown::words(
                reader,
                "All drinking water in reach, shared among all who draw, as if every litre could be moved to wherever it is needed. It cannot: nobody lives by this figure. It says what moving water could buy at most. Water to be treated first is in it as far as what treats it there lasts.",
            )],
            panels: vec![Panel::of(reader, &today.pooled.working())],
            ..blank(&visitor, reader, today)
        })
    })
}

async fn shared(
    State(house): State<House>,
    visitor: Visitor,
    uri: Uri,
    headers: HeaderMap,
    Query(asked): Query<Asked>,
) -> Result<Response, Error> {
    neighbourhood(&house, &visitor, &uri, &headers, &asked, |reader, today| {
        let with = today.with_carries.as_ref();
        let first = with.and_then(|with| with.first);
        let day = first.map(|(_, at)| shown::day_number(reader, at));
        let nobody = if with.is_some() { "over 2 years" } else { "–" };
        Ok(Page {
            title: titled(reader, "The first person goes without, with the agreed carries, at {ration}", today),
            figure: day.clone().unwrap_or_else(|| reader.word(nobody).to_owned()),
            unit: day.map_or_else(String::new, |_| reader.word("days").to_owned()),
            words: vec![shown::words(
                reader,
                "Each site brings to the share the litres that it could itself use at the ration, so that water which nothing brings up once the fuel is spent is promised to nobody. The site with the fewest days is raised as far as what is agreed allows, then the next.",
            )],
            panels: with.map_or_else(Vec::new, |with| vec![Panel::of(reader, &working(&with.sharing, &with.shared))]),
            ..blank(&visitor, reader, today)
        })
    })
}

async fn need(
    State(house): State<House>,
    visitor: Visitor,
    uri: Uri,
    headers: HeaderMap,
    Query(asked): Query<Asked>,
) -> Result<Response, Error> {
    neighbourhood(&house, &visitor, &uri, &headers, &asked, |reader, today| {
        let figure = reader.figure(as_litres(today.need), Unit::Litre).map_err(Error::internal)?;
        Ok(Page {
            title: titled(reader, "Drinking water needed a day, at {ration}", today),
            figure: figure.number,
            unit: figure.unit.to_owned(),
            words: vec![shown::words(
                reader,
                "What everybody who draws at a site needs a day, each counted once: those on the ration, and beds, day visits and animals, which no ration cuts.",
            )],
            panels: vec![Panel::of(reader, &needs(today))],
            ..blank(&visitor, reader, today)
        })
    })
}

/// The needs of all sites as one working: each line added up over the sites.
fn needs(today: &Today) -> Working {
    let mut working = Working::new("litres needed a day", "Q = Σ count × litres each");
    let mut lines: Vec<(&'static str, f64, f64, &'static str)> = Vec::new();
    for line in today.sites.iter().flat_map(|site| &site.standing.demand.lines) {
        let (count, litres) = (f64::from(line.count), as_litres(line.total()));
        match lines.iter_mut().find(|known| known.0 == line.what && known.3 == line.source) {
            Some(known) => {
                known.1 += count;
                known.2 += litres;
            }
            None => lines.push((line.what, count, litres, line.source)),
        }
    }
    let ration = Figure::exact(as_litres(today.rung.uses().total()), Unit::LitrePerDay);
    working = working.input("the ration, for each person", "", ration, "chosen");
    for (what, count, litres, source) in lines {
        working = working.input(what, "count", Figure::exact(count, Unit::Count), "set-up").step(
            what,
            "count × litres each",
            Figure::exact(litres, Unit::LitrePerDay),
        );
        if !working.sources.contains(&source) {
            working = working.source(source);
        }
    }
    let lost: f64 = today.sites.iter().map(|site| as_litres(site.standing.demand.lost)).sum();
    if lost > 0.0 {
        let lost = Figure::exact(lost, Unit::LitrePerDay);
        working = working.step("lost in handing out", "Σ Q · loss / (1 − loss)", lost);
    }
    let flush: f64 = today.sites.iter().map(|site| as_litres(site.standing.demand.rationed.flush)).sum();
    working
        .step("of it flushing, which need not be drinking water", "", Figure::exact(flush, Unit::LitrePerDay))
        .step("needs drinking water", "", Figure::exact(as_litres(today.need), Unit::LitrePerDay))
        .without("heat, pregnancy and illness: store more (CDC 2017 gives no number)")
}

fn neighbourhood(
    house: &House,
    visitor: &Visitor,
    uri: &Uri,
    headers: &HeaderMap,
    asked: &Asked,
    build: impl FnOnce(&Reader, &Today) -> Result<Page, Error>,
) -> Result<Response, Error> {
    let ration = ration::asked(asked.ration.as_deref())?;
    visitor.caller.may(Deed::SeeTotals, None)?;
    let fresh = Fresh::of(house, visitor, uri)?;
    if let Some(held) = fresh.held(house, headers) {
        return Ok(held);
    }
    let (_, today) = house.app.today(&visitor.caller, ration)?;
    let mut view = build(&visitor.reader, &today)?;
    view.back.0 = format!("/{}", ration::question(ration));
    Ok(fresh.dress(page(&visitor.reader, view)?))
}

fn titled(reader: &Reader, key: &str, today: &Today) -> Phrase {
    shown::words(reader, key).with("ration", shown::words(reader, today.rung.name()))
}

/// What every such page has.
fn blank(visitor: &Visitor, reader: &Reader, today: &Today) -> Page {
    Page {
        chrome: visitor.chrome(Place::Today),
        back: ("/".to_owned(), reader.word("Today").to_owned()),
        title: shown::words(reader, ""),
        figure: String::new(),
        unit: String::new(),
        band: None,
        now: shown::moment(reader, &today.now),
        words: Vec::new(),
        panels: Vec::new(),
        warning: None,
        stores: Vec::new(),
        others: Vec::new(),
    }
}
