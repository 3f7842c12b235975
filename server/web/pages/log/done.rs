//! Done: what happened, what it changed, and the way back.

use std::sync::Arc;

use askama::Template;
use axum::extract::State;
use axum::response::Response;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_litres;

use crate::model::entry::Entry;
use crate::model::id::EntryId;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::picture::Picture;
use crate::picture::SitePicture;
use crate::picture::VesselPicture;
use crate::picture::standing::Standing;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::draw::Drawing;
use crate::web::draw::vessel;
use crate::web::error::Error;
use crate::web::extract::Path;
use crate::web::extract::Question;
use crate::web::filters;
use crate::web::pages::entries::line;
use crate::web::pages::log::page::moves_water;
use crate::web::pages::log::will;
use crate::web::pages::vessels;
use crate::web::reader::Reader;
use crate::web::visitor::Visitor;

#[derive(Template)]
#[template(path = "log/done.html")]
struct Done {
    chrome: Chrome,
    id: EntryId,
    /// what was logged along with it
    then: Option<EntryId>,
    void_ids: [EntryId; 2],
    lines: Vec<Message>,
    at: jiff::Timestamp,
    by: Option<String>,
    undone: bool,
    water: Option<Water>,
    /// the site's name and its days at the ration, before and after
    days: Option<(String, Message)>,
    words: Vec<Message>,
    surprise: Option<Message>,
    next: String,
    /// it came from the list of what is due
    upkeep: bool,
    vessel: Option<(String, String)>,
}

/// A vessel before and after.
struct Water {
    drawing: Drawing,
    name: String,
    known: bool,
    held: f64,
    /// what went in or came out, where both levels are known
    moved: Option<(&'static str, f64)>,
}

/// `GET /log/done/{entry}`
pub(super) async fn show(
    State(house): State<House>,
    visitor: Visitor,
    Path(id): Path<EntryId>,
    Question(question): Question,
) -> Result<Response, Error> {
    let (app, reader) = (&house.app, &visitor.reader);
    let listed = app.entry(&visitor.caller, id)?;
    let entry = listed.entry;
    let then = question.get("then").and_then(|then| then.parse::<EntryId>().ok());
    let then = then.and_then(|then| app.entry(&visitor.caller, then).ok()).map(|listed| listed.entry);
    let then = then.filter(|then| (then.site, then.vessel) == (entry.site, entry.vessel) && then.site.is_some());
    let entries: Vec<Arc<Entry>> = [Some(Arc::clone(&entry)), then].into_iter().flatten().collect();
    let (picture, now, undone) = (app.picture(), app.now(), listed.voided.is_some());
    let found = entry.vessel.and_then(|vessel| picture.vessel(vessel));
    let by = entry.by.and_then(|by| picture.set_up.people.get(&by));

    let mut words = Vec::new();
    let (mut water, mut days, mut surprise) = (None, None, None);
    if let (Some((site, after)), false) = (found, undone)
        && moves_water(entry.act.kind())
    {
        let before = after.without(&entries, &picture.sources);
        // The levels stand beside the drawing already.
        words = will::change(&before, after, &entries, now).into_iter().skip(1).collect();
        surprise = will::surprise(after, &entries);
        water = Some(water_of(&before, after, now, reader));
        days = days_of(&house, site, &picture, &entries, now).map(|change| (site.site.name.to_string(), change));
    } else if entry.act.source().is_some() && !undone {
        words = will::supply(&entry.act);
    }
    let next = match (entry.site, entry.act.source()) {
        (Some(site), _) => format!("/log/sites/{site}"),
        (None, _) => "/log/supplies".to_owned(),
    };
    let template = Done {
        chrome: visitor.chrome(Place::Log),
        id,
        then: entries.get(1).map(|then| then.id),
        void_ids: [EntryId::fresh(), EntryId::fresh()],
        lines: entries.iter().map(|entry| line(entry, &picture)).collect(),
        at: entry.at,
        by: by.map(|kept| kept.thing.name.to_string()),
        undone,
        water,
        days,
        words,
        surprise,
        next,
        upkeep: question.get("from") == Some("upkeep"),
        vessel: found.map(|(_, vessel)| (format!("/vessels/{}", vessel.vessel.id), vessel.vessel.name.to_string())),
    };
    page(reader, template)
}

fn water_of(before: &VesselPicture, after: &VesselPicture, now: Moment, reader: &Reader) -> Water {
    let (was, is) = (before.estimate(now).volume, after.estimate(now).volume);
    let both = before.is_known() && after.is_known();
    let marks = after
        .is_known()
        .then(|| vessel::Mark { at_m: vessels::stands_at(after, is), words: reader.word("now").to_owned() });
    let moved = as_litres(is - was);
    let words = vessel::Words {
        marks: marks.into_iter().collect(),
        unread: reader.word("not read yet").to_owned(),
        before: (both && moved.abs() >= 0.5).then(|| vessel::Before {
            level_m: vessels::stands_at(before, was),
            words: reader.word("before").to_owned(),
        }),
        ..vessel::Words::default()
    };
    let title = Message::new("{name}, before and after").with("name", Arg::text(after.vessel.name.as_str()));
    let drawn = vessels::drawn(after, now, reader.say(&title).to_string());
    Water {
        drawing: vessel::large(&drawn, &words, &vessels::rule(reader), &|value, decimals| {
            reader.number(value, decimals, decimals)
        }),
        name: after.vessel.name.to_string(),
        known: after.is_known(),
        held: as_litres(is),
        moved: (both && moved.abs() >= 0.5)
            .then(|| (if moved > 0.0 { "more than before" } else { "less than before" }, moved.abs())),
    }
}

/// The site's days at the ration in force, without those entries and with them; none if they are the same.
fn days_of(
    house: &House,
    site: &SitePicture,
    picture: &Picture,
    entries: &[Arc<Entry>],
    now: Moment,
) -> Option<Message> {
    let ladder = keepwell_engine::demand::Ladder::default();
    let ration = house.app.ration();
    let rung = ladder.rung(&ration)?.clone();
    let mut before = site.clone();
    for vessel in &mut before.vessels {
        *vessel = vessel.without(entries, &picture.sources);
    }
    let days = |site: &SitePicture| {
        let standing = Standing::of(site, &rung, now).ok()?;
        standing.needs_water().then(|| keepwell_engine::quantity::as_days(standing.timeline.days_at_ration))
    };
    let (was, is) = (days(&before)?, days(site)?);
    ((was - is).abs() >= 0.05).then(|| {
        Message::new("{was} → {is}").with("was", Arg::Figure(was, Unit::Day)).with("is", Arg::Figure(is, Unit::Day))
    })
}
