//! Rows of sites.

use crate::model::choice::Choice;
use crate::model::id::SiteId;
use crate::model::id::SourceId;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::name::Name;
use crate::model::site::Site;
use crate::model::site::SiteKind;
use crate::model::source::Disinfectant;
use crate::model::source::Source;
use crate::model::source::SourceKind;
use crate::service::import::draft::ANYWHERE;
use crate::service::import::draft::Draft;
use crate::service::import::draft::Found;
use crate::service::import::row::Row;
use crate::service::import::row::choose;
use crate::service::import::row::none_of;

pub fn read(row: &mut Row<'_>, draft: &mut Draft) {
    let name = row.name_in("name");
    let kind = row.choice::<SiteKind>("kind");
    let (latitude, longitude) = (row.figure("latitude"), row.figure("longitude"));
    let elevation = row.figure("elevation");
    let cannot_collect = row.whole("cannot collect");
    let sources = sources(row, draft);
    let Some(name) = name else { return };

    let at = match draft.sites.find(ANYWHERE, name.as_str()) {
        Found::One(at) => at,
        Found::None => {
            if row.text("kind").is_empty() {
                row.missing("kind");
            }
            draft.sites.add(ANYWHERE, name.as_str(), new(name.clone(), kind.unwrap_or(SiteKind::Other)))
        }
        found => return row.fault("name", unusable(found, "sites", name.as_str())),
    };
    if let Err(message) = draft.sites.claim(at, row.spot("name")) {
        row.fault("name", message);
        return;
    }
    let mut site = draft.sites.items[at].thing.clone();
    site.kind = kind.unwrap_or(site.kind);
    site.latitude = latitude.or(site.latitude);
    site.longitude = longitude.or(site.longitude);
    site.elevation_m = elevation.or(site.elevation_m);
    if let Some(count) = cannot_collect {
        site.cannot_collect = count;
        draft.last_counted.insert(at, row.spot("cannot collect"));
    }
    if !sources.is_empty() {
        site.sources = sources;
    }
    for (key, kept) in [
        ("address", &mut site.address),
        ("access", &mut site.access),
        ("contact", &mut site.contact),
        ("phone", &mut site.phone),
        ("notes", &mut site.notes),
    ] {
        if let Some(words) = row.words(key) {
            *kept = words;
        }
    }
    let outcome = draft.sites.set(at, site);
    draft.counts.sites.count(outcome);
}

fn new(name: Name, kind: SiteKind) -> Site {
    Site {
        id: SiteId::fresh(),
        name,
        kind,
        people: Vec::new(),
        cannot_collect: 0,
        animals: Vec::new(),
        sources: Vec::new(),
        address: String::new(),
        latitude: None,
        longitude: None,
        elevation_m: None,
        access: String::new(),
        contact: String::new(),
        phone: String::new(),
        notes: String::new(),
        pump_hours_a_day: Site::TAP_ON_DEMAND_HOURS,
        keep_l: 0.0,
        handed_out_loss: 0.0,
        ended: None,
    }
}

/// The site a row names in its column of that name, which has to be kept or in the same import.
pub fn named(row: &mut Row<'_>, draft: &Draft) -> Option<usize> {
    let name = row.text("site");
    if name.is_empty() {
        row.missing("site");
        return None;
    }
    match draft.sites.find(ANYWHERE, name) {
        Found::One(at) => return Some(at),
        Found::None if draft.has_gaps => {}
        Found::None => row.fault(
            "site",
            Message::new("There is no site “{name}”: it has to be kept already or stand in the same import.")
                .with("name", Arg::text(name)),
        ),
        found => row.fault("site", unusable(found, "sites", name)),
    }
    None
}

/// Why what a name finds cannot be used.
pub fn unusable(found: Found, nouns: &'static str, name: &str) -> Message {
    if found == Found::Ended {
        return Message::new("“{name}” is no longer in use, and its name stays taken: choose another.")
            .with("name", Arg::text(name));
    }
    Message::new("Several {nouns} are called “{name}”; give them names of their own first.")
        .with("nouns", Arg::Word(nouns))
        .with("name", Arg::text(name))
}

/// The sources a site names: one, or several with `;` or `|` between.
fn sources(row: &mut Row<'_>, draft: &mut Draft) -> Vec<SourceId> {
    let text = row.text("source");
    if draft.sources.find(ANYWHERE, text) != Found::None {
        return source(row, draft, text).into_iter().collect();
    }
    let names = text.split([';', '|']).map(str::trim).filter(|name| !name.is_empty());
    names.filter_map(|name| source(row, draft, name)).collect()
}

/// The source of that name or, where the word is a kind of source (`mains`), the first of that kind; if there is none
/// it comes into being with the import.
pub fn source(row: &mut Row<'_>, draft: &mut Draft, text: &str) -> Option<SourceId> {
    if text.is_empty() {
        return None;
    }
    match draft.sources.find(ANYWHERE, text) {
        Found::One(at) => return Some(draft.sources.items[at].thing.id),
        Found::None => {}
        found => {
            row.fault("source", unusable(found, "sources", text));
            return None;
        }
    }
    let (Some(kind), Ok(name)) = (choose::<SourceKind>(text), Name::new(text)) else {
        let names = draft.sources.items.iter().map(|item| item.thing.name.to_string());
        let kinds = SourceKind::LIST.iter().map(|kind| kind.1.replace('_', " "));
        row.fault("source", none_of("source", text, &names.chain(kinds).collect::<Vec<_>>()));
        return None;
    };
    if let Some(item) = draft.sources.items.iter().find(|item| item.thing.kind == kind) {
        return Some(item.thing.id);
    }
    let source =
        Source { id: SourceId::fresh(), name, kind, disinfectant: Disinfectant::Unknown, notes: String::new() };
    let id = source.id;
    draft.sources.add(ANYWHERE, text, source);
    draft.counts.sources.added += 1;
    Some(id)
}
