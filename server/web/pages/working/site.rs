//! The figures of one site: its days, its need, its water, its fuel.

use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::Uri;
use axum::response::Response;
use keepwell_engine::endurance;
use keepwell_engine::level::BAND;
use keepwell_engine::power::Lasts;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_hours;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::vessel::usable;

use crate::model::id::SiteId;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::picture::bears::bears;
use crate::picture::power::burns;
use crate::picture::power::generator_of;
use crate::picture::standing::Standing;
use crate::picture::today::SiteToday;
use crate::service::authorise::Deed;
use crate::service::reckon::SiteAnswer;
use crate::web::House;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::extract::Path;
use crate::web::extract::Query;
use crate::web::fresh::Fresh;
use crate::web::pages::ration;
use crate::web::pages::sites::stands::edition;
use crate::web::pages::working::Asked;
use crate::web::pages::working::Page;
use crate::web::pages::working::Panel;
use crate::web::pages::working::Store;
use crate::web::pages::working::battery;
use crate::web::pages::working::blank;
use crate::web::pages::working::titled;
use crate::web::pages::working::works;
use crate::web::reader::Reader;
use crate::web::shown;
use crate::web::shown::grade::counted_as;
use crate::web::visitor::Visitor;

/// The figures of a site that have a working: the word in the address, and the link's.
const FIGURES: &[(&str, &str)] = &[
    ("days", "days at the ration"),
    ("need", "litres needed a day"),
    ("water", "litres that count"),
    ("fuel", "hours of fuel"),
    ("battery", "what the battery gives"),
    ("tap", "at the tap"),
    ("train", "treatment"),
    ("structure", "how the tanks stand"),
];

pub(super) async fn site(
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
    if let Some(held) = fresh.held(&house, &headers) {
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
        "battery" => battery::of_battery(&visitor, &answer, standing),
        "tap" => works::of_tap(&visitor, &answer, standing),
        "train" => works::of_train(&visitor, &answer, standing),
        "structure" => works::of_structure(&visitor, &answer, asked.vessel, edition(asked.edition.as_deref())?),
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
        .filter(|figure| is_there(figure.0, &answer, &standing.standing))
        .map(|figure| (format!("/sites/{id}/working{joined}of={}", figure.0), figure.1, figure.0 == of))
        .collect();
    Ok(fresh.dress(page(reader, view)?))
}

/// Whether there is anything to reckon of that figure.
fn is_there(of: &str, answer: &SiteAnswer, standing: &Standing) -> bool {
    match of {
        "fuel" => standing.power.is_some(),
        "battery" => standing.battery.is_some(),
        "tap" => standing.pump.as_ref().is_some_and(|pump| pump.known().is_some()),
        "train" => standing.train.is_some(),
        "structure" => answer.site.vessels_at(answer.now).next().is_some(),
        _ => true,
    }
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
    let generator = generator_of(&answer.site, answer.now).ok_or_else(none)?;
    let engine = burns(generator).map_err(Error::internal)?;
    let lasts = engine.lasts(power.on_hand.good, power.load, power.hours_a_day).map_err(Error::internal)?;
    let (figure, unit, panels) = match &lasts {
        Lasts::For(running) => {
            let shown = reader.figure(as_hours(running.hours), Unit::Hour).map_err(Error::internal)?;
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
    let mut panels = panels;
    if let Some(now) = bears(&answer.site, &site.standing, answer.now).map_err(Error::internal)? {
        panels.push(Panel::of_works(reader, &now.borne.working));
        panels.push(Panel::of_works(reader, &now.makes.working));
    }
    if power.load_assumed {
        words.push(shown::words(reader, "No loads are set up: half of what the generator is rated for is taken."));
    }
    if power.pump_reckoned {
        words.push(shown::words(
            reader,
            "What the pump takes comes from its hydraulics: its power, for as long as it runs to bring up what the site needs a day.",
        ));
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
