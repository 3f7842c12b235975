//! The forecast: how the days are spread once what is uncertain is drawn from its errors, and the chance of lasting as long
//! as the neighbourhood wants to.

use askama::Template;
use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::StatusCode;
use axum::http::Uri;
use axum::response::IntoResponse;
use axum::response::Response;
use keepwell_engine::forecast::Day;
use keepwell_engine::forecast::Days;
use keepwell_engine::forecast::Outlook;
use keepwell_engine::forecast::working;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::days;
use serde::Deserialize;

use crate::model::id::SiteId;
use crate::picture::Picture;
use crate::picture::learned::LearnedAt;
use crate::service::authorise::Deed;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::extract::Query;
use crate::web::extract::Question;
use crate::web::filters;
use crate::web::form::WorkingView;
use crate::web::fresh::Fresh;
use crate::web::pages::ration;
use crate::web::pages::suppose;
use crate::web::pages::suppose::Beside;
use crate::web::pages::suppose::Supposed;
use crate::web::pages::today::ration_words;
use crate::web::reader::Reader;
use crate::web::routes::Routes;
use crate::web::shown;
use crate::web::shown::working::view;
use crate::web::visitor::Visitor;
use crate::web::words::Phrase;

pub(super) fn routes() -> Routes {
    Routes::new().get("/forecast", show)
}

/// Sites on the page.
const SITES: usize = 200;

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Asked {
    ration: Option<String>,
}

#[derive(Template)]
#[template(path = "forecast/page.html")]
struct Page<'a> {
    chrome: Chrome,
    asked: Phrase,
    now: String,
    target: Time,
    draws: u32,
    /// all together; none while nobody is counted
    first: Option<Line>,
    pooled: Option<Spread>,
    /// the chance that nobody goes without the ration before the mains are back
    through: Option<f64>,
    supposing: bool,
    asked_ration: Option<&'a str>,
    what_if: Supposed,
    beside: Vec<Beside>,
    sites: Vec<Line>,
    more: usize,
    /// what people used in outages that there have been
    learned: Vec<Taught>,
    working: WorkingView,
    question: String,
}

/// One spread of days with its chances.
struct Line {
    site: Option<(SiteId, String)>,
    days: Spread,
    /// chance of reaching the target, at the ration and with any water at all
    ration: f64,
    water: f64,
    /// in so many draws it is the first to go without
    first: f64,
}

/// What one site has taught.
struct Taught {
    site: SiteId,
    name: String,
    rationed: f64,
    measured: f64,
    /// what is taken now, one standard deviation of it
    each: f64,
    sd: f64,
    days: Time,
    enough: bool,
    working: WorkingView,
}

impl Taught {
    fn of(reader: &Reader, picture: &Picture, taught: &LearnedAt) -> Option<Self> {
        let learned = &taught.learned;
        Some(Self {
            site: taught.site,
            name: picture.site(taught.site)?.site.name.to_string(),
            rationed: as_litres(taught.rationed),
            measured: as_litres(learned.measured?.0),
            each: as_litres(learned.each),
            sd: as_litres(learned.sd),
            days: days(learned.days),
            enough: learned.enough,
            working: view(reader, &learned.working()),
        })
    }
}

/// 10th, 50th and 90th percentile in words.
struct Spread {
    low: String,
    middle: String,
    high: String,
}

impl Spread {
    fn of(reader: &Reader, days: &Days) -> Self {
        let day = |day: Day| {
            if day.at_least { reader.word("over 2 years").to_owned() } else { shown::day_number(reader, day.at) }
        };
        Self { low: day(days.p10), middle: day(days.p50), high: day(days.p90) }
    }
}

async fn show(
    State(house): State<House>,
    visitor: Visitor,
    uri: Uri,
    headers: HeaderMap,
    Query(asked): Query<Asked>,
    Question(sent): Question,
) -> Result<Response, Error> {
    let ration = ration::asked(asked.ration.as_deref())?;
    visitor.caller.may(Deed::SeeTotals, None)?;
    let fresh = Fresh::of(&house, &visitor, &uri)?;
    if let Some(held) = fresh.held(&house, &headers) {
        return Ok(held);
    }
    let what_if = suppose::asked_of_a_forecast(&visitor, &house.app.picture(), &sent);
    let supposing = !what_if.suppose.is_nothing() || what_if.outage.is_some();
    let (picture, today) = if what_if.suppose.is_nothing() {
        house.app.today(&visitor.caller, ration)?
    } else {
        house.app.supposing(&visitor.caller, ration, what_if.suppose.clone())?
    };
    let expected = match what_if.outage {
        Some(outage) => house.app.expected_of_an_outage(&visitor.caller, &picture, &today, outage).await?,
        None => house.app.expected(&visitor.caller, &picture, &today).await?,
    };
    let reader = &visitor.reader;
    let forecast = &expected.forecast;
    let line = |site, outlook: &Outlook, first: f64| Line {
        site,
        days: Spread::of(reader, &outlook.ration),
        ration: outlook.ration_reaches.part(),
        water: outlook.water_reaches.part(),
        first,
    };
    let needy = || today.sites.iter().zip(&forecast.sites).filter(|(site, _)| site.standing.needs_water());
    let seen = needy().filter(|(site, _)| visitor.caller.can(Deed::SeeSite, Some(site.site.site.id)));
    let mut sites: Vec<Line> = seen
        .map(|(site, found)| {
            let named = (site.site.site.id, site.site.site.name.to_string());
            line(Some(named), &found.outlook, found.first.part())
        })
        .collect();
    sites.sort_by(|a, b| a.ration.total_cmp(&b.ration).then(b.first.total_cmp(&a.first)));
    let more = sites.len().saturating_sub(SITES);
    sites.truncate(SITES);
    let taught = expected.learned.iter().filter(|taught| visitor.caller.can(Deed::SeeSite, Some(taught.site)));
    let learned = taught.filter_map(|taught| Taught::of(reader, &picture, taught)).take(SITES).collect();
    let status = if what_if.refused { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
    let template = Page {
        supposing,
        asked_ration: ration,
        beside: Vec::new(),
        what_if,
        through: forecast
            .first
            .through
            .as_ref()
            .filter(|_| needy().next().is_some())
            .map(|through| through.ration.part()),
        chrome: visitor.chrome(Place::Today),
        asked: ration_words(reader, &today),
        now: shown::moment(reader, &today.now),
        target: expected.question.target,
        draws: expected.question.draws,
        first: needy().next().is_some().then(|| line(None, &forecast.first, 0.0)),
        pooled: forecast.pooled.as_ref().map(|days| Spread::of(reader, days)),
        sites,
        more,
        learned,
        working: view(reader, &working(&expected.question, forecast)),
        question: ration::question(ration),
    };
    let page = page(reader, template)?;
    // What does not hold is told anew each time.
    Ok(if status == StatusCode::OK { fresh.dress(page) } else { (status, page).into_response() })
}
