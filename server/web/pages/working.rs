//! The working behind a figure: formula, what went in and from where, what was not counted, the source. Exactly as the
//! engine gave it, and good to print.

use askama::Template;
use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::Uri;
use axum::response::Response;
use keepwell_engine::endurance;
use keepwell_engine::level::BAND;
use keepwell_engine::power::Lasts;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::vessel::usable;
use keepwell_engine::working::Figure;
use keepwell_engine::working::Working;
use serde::Deserialize;

use crate::model::id::SiteId;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::picture::standing::burns;
use crate::picture::today::SiteToday;
use crate::picture::today::Today;
use crate::service::authorise::Deed;
use crate::service::reckon::SiteAnswer;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::extract::Path;
use crate::web::extract::Query;
use crate::web::filters;
use crate::web::form::WorkingView;
use crate::web::fresh::Fresh;
use crate::web::pages::ration;
use crate::web::reader::Reader;
use crate::web::routes::Routes;
use crate::web::shown;
use crate::web::shown::grade::counted_as;
use crate::web::shown::working::view;
use crate::web::visitor::Visitor;
use crate::web::words::Phrase;

pub(super) fn routes() -> Routes {
    Routes::new().get("/working/pooled", pooled).get("/working/need", need).get("/sites/{id}/working", site)
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Asked {
    ration: Option<String>,
    /// which figure of a site: days, need, water, fuel
    of: Option<String>,
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
                "All drinking water in reach, shared among all who draw, as if every litre could be moved to wherever it is needed. It cannot: nobody lives by this figure. It says what moving water could buy at most.",
            )],
            panels: vec![Panel::of(reader, &today.pooled.working())],
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
    if let Some(held) = fresh.held(headers) {
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
        stores: Vec::new(),
        others: Vec::new(),
    }
}

/// The figures of a site that have a working: the word in the address, and the link's.
const FIGURES: &[(&str, &str)] = &[
    ("days", "days at the ration"),
    ("need", "litres needed a day"),
    ("water", "litres that count"),
    ("fuel", "hours of fuel"),
];

async fn site(
    State(house): State<House>,
    visitor: Visitor,
    uri: Uri,
    headers: HeaderMap,
    Path(id): Path<SiteId>,
    Query(asked): Query<Asked>,
) -> Result<Response, Error> {
    let ration = ration::asked(asked.ration.as_deref())?;
    let of = asked.of.as_deref().filter(|of| !of.is_empty()).unwrap_or("days");
    visitor.caller.may(Deed::SeeSite, Some(id))?;
    let fresh = Fresh::of(&house, &visitor, &uri)?;
    if let Some(held) = fresh.held(&headers) {
        return Ok(held);
    }
    let reader = &visitor.reader;
    let answer = house.app.site(&visitor.caller, id, ration)?;
    let standing = answer.standing.as_ref().ok_or_else(|| {
        Error::NotFound(
            Message::new("{site} is no longer in use, so nothing is reckoned there.")
                .with("site", Arg::text(answer.site.site.name.as_str())),
        )
    })?;
    let mut view = match of {
        "days" => of_days(&visitor, &answer, standing),
        "need" => of_need(&visitor, &answer, standing),
        "water" => of_water(&visitor, &answer, standing),
        "fuel" => of_fuel(&visitor, &answer, standing),
        other => {
            let known: Vec<&str> = FIGURES.iter().map(|figure| figure.0).collect();
            let what = Message::new("There is no working of {of}; there are {known}.")
                .with("of", Arg::text(other))
                .with("known", Arg::text(known.join(", ")));
            return Err(Error::invalid("of", what));
        }
    }?;
    let question = ration::question(ration);
    let joined = if question.is_empty() { "?".to_owned() } else { format!("{question}&") };
    view.back = (format!("/sites/{id}{question}"), answer.site.site.name.to_string());
    view.chrome = visitor.chrome(Place::Sites);
    view.others = FIGURES
        .iter()
        .filter(|figure| figure.0 != "fuel" || standing.standing.power.is_some())
        .map(|figure| (format!("/sites/{id}/working{joined}of={}", figure.0), figure.1, figure.0 == of))
        .collect();
    Ok(fresh.dress(page(reader, view)?))
}

fn of_days(visitor: &Visitor, answer: &SiteAnswer, site: &SiteToday) -> Result<Page, Error> {
    let (reader, today, standing) = (&visitor.reader, &*answer.today, &site.standing);
    let (figure, unit) = match standing.timeline.ration_ends() {
        Some(at) => {
            let shown = reader.figure(as_days(at), Unit::Day).map_err(Error::internal)?;
            (shown.number, shown.unit.to_owned())
        }
        None => (reader.word("over 2").to_owned(), reader.word("years").to_owned()),
    };
    let band = standing.timeline.ration_ends().filter(|_| standing.high > standing.low).map(|_| {
        shown::words(reader, "8 times in 10 between {low} and {high}.")
            .with("low", shown::day_number(reader, standing.low))
            .with("high", shown::figure(reader, as_days(standing.high), Unit::Day))
    });
    let mut words = vec![shown::words(
        reader,
        "The site is run forward from now with the mains off, from one event to the next: each store goes down at its own rate, and service falls a step when what it rests on is spent. The ration ends when it can no longer be met in full.",
    )];
    if standing.power.as_ref().is_some_and(|power| power.load_assumed) {
        words.push(shown::words(reader, "No loads are set up: half of what the generator is rated for is taken."));
    }
    Ok(Page {
        title: titled(reader, "Days at {ration}", today),
        figure,
        unit,
        band,
        words,
        panels: vec![Panel::of(reader, &endurance::working(&standing.run, &standing.timeline))],
        stores: stores(reader, answer, site),
        ..blank(visitor, reader, today)
    })
}

/// Each water of the run by its vessel, with the half of its 8-in-10 band and the day it was last read.
fn stores(reader: &Reader, answer: &SiteAnswer, site: &SiteToday) -> Vec<Store> {
    let stocks = site.standing.stocks.iter().filter_map(|stock| {
        let vessel = answer.site.vessels.iter().find(|vessel| vessel.vessel.id == stock.vessel)?;
        let name = if stock.lot.is_empty() {
            vessel.vessel.name.to_string()
        } else {
            shown::words(reader, "{vessel}, lot {lot}")
                .with("vessel", vessel.vessel.name.as_str())
                .with("lot", stock.lot.as_str())
                .to_string()
        };
        let read = vessel
            .state()
            .last_reading
            .map(|(at, _)| shown::words(reader, "read {when}").with("when", shown::date(reader, &at)).to_string());
        Some(Store {
            name,
            held: shown::litres(reader, stock.estimate.volume),
            give_or_take: shown::litres(reader, stock.estimate.sd * BAND),
            reach: shown::litres(reader, stock.in_reach),
            counted_as: counted_as(Some(stock.grade)),
            as_of: read.unwrap_or_else(|| reader.word("never read").to_owned()),
        })
    });
    stocks.collect()
}

fn of_need(visitor: &Visitor, answer: &SiteAnswer, site: &SiteToday) -> Result<Page, Error> {
    let (reader, today, demand) = (&visitor.reader, &*answer.today, &site.standing.demand);
    let figure = reader.figure(as_litres(demand.total()), Unit::Litre).map_err(Error::internal)?;
    Ok(Page {
        title: titled(reader, "Litres needed a day, at {ration}", today),
        figure: figure.number,
        unit: figure.unit.to_owned(),
        words: vec![shown::words(
            reader,
            "Everybody who draws here, each counted once, at the ration in force; beds, day visits and animals at what they need.",
        )],
        panels: vec![Panel::of(reader, &demand.working())],
        ..blank(visitor, reader, today)
    })
}

fn of_water(visitor: &Visitor, answer: &SiteAnswer, site: &SiteToday) -> Result<Page, Error> {
    let (reader, today) = (&visitor.reader, &*answer.today);
    let figure = reader.figure(as_litres(site.standing.water.drink), Unit::Litre).map_err(Error::internal)?;
    let mut panels = Vec::new();
    for vessel in answer.site.vessels_at(answer.now).filter(|vessel| vessel.is_known()) {
        let held = vessel.estimate(answer.now).volume;
        let (_, working) = usable(&vessel.body.shape, &vessel.body.fittings, held).map_err(Error::internal)?;
        panels.push(Panel::named(reader, vessel.vessel.name.as_str(), &working));
    }
    Ok(Page {
        title: shown::words(reader, "Drinking water in reach"),
        figure: figure.number,
        unit: figure.unit.to_owned(),
        words: vec![shown::words(
            reader,
            "Of each tank, what lies above its lowest way of drawing. Only what is counted as drinking water is in the figure above; what each tank is counted as stands on the site's page.",
        )],
        panels,
        ..blank(visitor, reader, today)
    })
}

fn of_fuel(visitor: &Visitor, answer: &SiteAnswer, site: &SiteToday) -> Result<Page, Error> {
    let (reader, today) = (&visitor.reader, &*answer.today);
    let none = || Error::NotFound(Message::new("No generator is set up here."));
    let power = site.standing.power.as_ref().ok_or_else(none)?;
    let in_use =
        |ended: Option<jiff::Timestamp>| ended.is_none_or(|ended| crate::picture::cluster::moment(ended) > answer.now);
    let generator = answer.site.generators.iter().find(|generator| in_use(generator.ended)).ok_or_else(none)?;
    let engine = burns(generator).map_err(Error::internal)?;
    let lasts = engine.lasts(power.on_hand.good, power.load, power.hours_a_day).map_err(Error::internal)?;
    let (figure, unit, panels) = match &lasts {
        Lasts::For(running) => {
            let shown = reader
                .figure(keepwell_engine::quantity::as_hours(running.hours), Unit::Hour)
                .map_err(Error::internal)?;
            (shown.number, shown.unit.to_owned(), vec![Panel::of(reader, &running.working())])
        }
        Lasts::WhileTheMainDoes | Lasts::NothingBurnt => ("–".to_owned(), String::new(), Vec::new()),
    };
    let mut words = vec![match lasts {
        Lasts::For(_) => shown::words(
            reader,
            "Fuel that counts, over what is burnt at the load while it runs, the part burnt at no load included.",
        ),
        Lasts::WhileTheMainDoes => shown::words(reader, "Gas from the main lasts no longer than the main does."),
        Lasts::NothingBurnt => shown::words(reader, "By its burn line nothing is burnt at this load."),
    }];
    if power.load_assumed {
        words.push(shown::words(reader, "No loads are set up: half of what the generator is rated for is taken."));
    }
    Ok(Page {
        title: shown::words(reader, "Hours of fuel on hand"),
        figure,
        unit,
        words,
        panels,
        ..blank(visitor, reader, today)
    })
}
