//! `GET /paper/status`: what today says, in figures, on one sheet; and the same as a file that stands by itself, so that
//! the last copy outlives the server.

use askama::Template;
use axum::extract::State;
use axum::response::Response;
use keepwell_engine::demand::Use;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Volume;

use crate::picture::today::SiteToday;
use crate::picture::today::Today;
use crate::service;
use crate::service::App;
use crate::service::authorise::Deed;
use crate::web::House;
use crate::web::assets;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::filters;
use crate::web::pages::outage::next;
use crate::web::pages::outage::next::Next;
use crate::web::pages::paper::timed;
use crate::web::pages::tasks;
use crate::web::pages::tasks::Task;
use crate::web::pages::today;
use crate::web::pages::today::Figures;
use crate::web::pages::today::Head;
use crate::web::shown;
use crate::web::shown::outlook;
use crate::web::visitor::Visitor;
use crate::web::words::Phrase;

/// As many as one sheet holds at ten points.
const SITES: usize = 16;
const NEXT: usize = 5;
const TASKS: usize = 4;

#[derive(Template)]
#[template(path = "paper/status.html")]
struct Page {
    chrome: Chrome,
    status: Status,
    copy: Option<Phrase>,
}

/// The same without the house round it, its style within.
#[derive(Template)]
#[template(path = "paper/status_file.html")]
struct Alone {
    style: String,
    status: Status,
}

struct Status {
    neighbourhood: String,
    made: String,
    head: Head,
    figures: Figures,
    pooled: Option<Time>,
    pooled_band: Option<(Time, Time)>,
    in_reach: Volume,
    sites: Vec<Site>,
    more: usize,
    next: Vec<Next>,
    tasks: Vec<Task>,
    more_tasks: usize,
    ration: String,
    uses: Vec<(&'static str, Volume)>,
    drill: bool,
}

struct Site {
    name: String,
    people: u64,
    drink: Volume,
    treat: Volume,
    days: Option<Time>,
    needs: bool,
    first: Phrase,
}

pub(super) async fn show(State(house): State<House>, visitor: Visitor) -> Result<Response, Error> {
    let status = status(&house.app, &visitor)?;
    let copy = copy(&house.app, &visitor);
    page(&visitor.reader, Page { chrome: visitor.chrome(Place::Paper), status, copy })
}

/// The whole neighbourhood as a file: nothing in it is fetched from anywhere.
///
/// # Errors
/// A figure that cannot be reckoned with; a filter that failed.
pub fn status_file(app: &App) -> Result<String, Error> {
    let visitor = Visitor::of_the_house(app);
    let style = assets::text("keepwell.css").ok_or_else(|| Error::internal("the style sheet is not there"))?;
    // The file has no font beside it.
    let style =
        style.lines().filter(|line| !line.trim_start().starts_with("@font-face")).collect::<Vec<_>>().join("\n");
    let alone = Alone { style, status: status(app, &visitor)? };
    Ok(alone.render_with_values(&visitor.reader)?)
}

/// What became of the daily copy, for those who look after the machine.
pub(super) fn copy(app: &App, visitor: &Visitor) -> Option<Phrase> {
    let reader = &visitor.reader;
    let kept = app.status_kept().filter(|_| visitor.caller.can(Deed::Coordinate, None))?;
    Some(match kept.outcome {
        Ok(path) => shown::words(reader, "Last written {when}, to {path}.")
            .with("when", reader.moment(kept.at))
            .with("path", path.display().to_string()),
        Err(why) => {
            shown::words(reader, "<b>It could not be written {when}:</b> {why}. Look at the data folder and its disk.")
                .with("when", reader.moment(kept.at))
                .with("why", why)
        }
    })
}

fn status(app: &App, visitor: &Visitor) -> Result<Status, service::Error> {
    let (picture, answer) = app.today(&visitor.caller, None)?;
    let reader = &visitor.reader;
    let seen: Vec<&SiteToday> =
        answer.sites.iter().filter(|site| visitor.caller.can(Deed::SeeSite, Some(site.site.site.id))).collect();
    let findings = app.all_findings(&visitor.caller, &picture, &answer)?;
    let found = tasks::tasks(reader, &picture, &findings, true);
    let all = found.open.len() + found.folded.len() + found.more;
    let uses = answer.rung.uses();
    let neighbourhood = picture.set_up.neighbourhood.as_ref();
    let shown = seen.len().min(SITES);
    Ok(Status {
        neighbourhood: neighbourhood.map_or_else(String::new, |kept| kept.thing.name.to_string()),
        made: timed(reader, reader.now),
        head: Head::of(reader, &picture, &answer),
        figures: today::figures(visitor, &answer, ""),
        pooled: answer.pooled.days,
        pooled_band: answer.pooled_band,
        in_reach: answer.pooled.in_reach,
        sites: seen.iter().take(shown).map(|site| row(visitor, site, &answer)).collect(),
        more: seen.len() - shown,
        next: next::next(visitor, &answer).into_iter().take(NEXT).collect(),
        tasks: found.open.into_iter().chain(found.folded).take(TASKS).collect(),
        more_tasks: all.saturating_sub(TASKS),
        ration: shown::words(reader, answer.rung.name()).to_string(),
        uses: [(Use::Drink, uses.drink), (Use::Cook, uses.cook), (Use::Wash, uses.wash), (Use::Flush, uses.flush)]
            .into_iter()
            .filter(|(_, volume)| *volume > Volume::default())
            .map(|(of, volume)| (of.name(), volume))
            .collect(),
        drill: picture.set_up.outage().is_some_and(|kept| kept.thing.is_drill()),
    })
}

fn row(visitor: &Visitor, site: &SiteToday, today: &Today) -> Site {
    let standing = &site.standing;
    let (first, _) = outlook::in_a_list(&visitor.reader, &site.site, standing, today.now);
    Site {
        name: site.site.site.name.to_string(),
        people: standing.demand.people,
        drink: standing.water.drink,
        treat: standing.water.treat,
        days: standing.timeline.ration_ends(),
        needs: standing.needs_water(),
        first,
    }
}
