//! The list of sites, and a site's own page.

mod battery;
mod need;
mod one;
mod power;
pub(super) mod stands;
mod tanks;
mod works;

use askama::Template;
use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::Uri;
use axum::response::Response;
use serde::Deserialize;

use crate::picture::today::SiteToday;
use crate::service::authorise::Deed;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::extract::Query;
use crate::web::filters;
use crate::web::fresh::Fresh;
use crate::web::pages::ration;
use crate::web::pages::rows;
use crate::web::pages::rows::Pages;
use crate::web::pages::rows::Rows;
use crate::web::routes::Routes;
use crate::web::visitor::Visitor;

pub(super) fn routes() -> Routes {
    Routes::new().get("/sites", list).get("/sites/{id}", one::show)
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Asked {
    ration: Option<String>,
    from: usize,
    /// part of a name
    q: String,
}

#[derive(Template)]
#[template(path = "sites/list.html")]
struct List<'a> {
    chrome: Chrome,
    /// what was looked for, as it was typed
    asked: &'a str,
    /// all that the visitor may see
    all: usize,
    found: usize,
    rows: Rows,
    pages: Pages,
    may_set_up: bool,
    question: String,
    /// what goes with the link to another page of the list
    carried: String,
}

async fn list(
    State(house): State<House>,
    visitor: Visitor,
    uri: Uri,
    headers: HeaderMap,
    Query(asked): Query<Asked>,
) -> Result<Response, Error> {
    let ration = ration::asked(asked.ration.as_deref())?;
    visitor.caller.may(Deed::SeeTotals, None)?;
    let fresh = Fresh::of(&house, &visitor, &uri)?;
    if let Some(held) = fresh.held(&house, &headers) {
        return Ok(held);
    }
    let (_, today) = house.app.today(&visitor.caller, ration)?;
    let sees = |site: &&SiteToday| visitor.caller.can(Deed::SeeSite, Some(site.site.site.id));
    let mut sites: Vec<&SiteToday> = today.sites.iter().filter(sees).collect();
    let all = sites.len();
    let wanted = asked.q.trim().to_lowercase();
    sites.retain(|site| site.site.site.name.as_str().to_lowercase().contains(&wanted));
    sites.sort_by_cached_key(|site| site.site.site.name.as_str().to_lowercase());
    let (range, pages) = rows::page(&visitor.reader, asked.from, sites.len());
    let mut carried = form_urlencoded(&[("q", asked.q.trim()), ("ration", ration.unwrap_or_default())]);
    if !carried.is_empty() {
        carried.push('&');
    }
    let view = List {
        chrome: visitor.chrome(Place::Sites),
        asked: asked.q.trim(),
        all,
        found: sites.len(),
        rows: rows::rows(&visitor.reader, &today, sites.get(range).unwrap_or_default()),
        pages,
        may_set_up: visitor.caller.can(Deed::Coordinate, None),
        question: ration::question(ration),
        carried,
    };
    Ok(fresh.dress(page(&visitor.reader, view)?))
}

/// Names and values as they stand after the `?` of an address; empty ones are left out.
pub(super) fn form_urlencoded(pairs: &[(&str, &str)]) -> String {
    let escaped = |text: &str| {
        text.bytes().fold(String::new(), |mut out, byte| {
            if byte.is_ascii_alphanumeric() {
                out.push(char::from(byte));
            } else {
                out.push('%');
                for half in [byte >> 4, byte & 15] {
                    out.extend(char::from_digit(u32::from(half), 16));
                }
            }
            out
        })
    };
    let given = pairs.iter().filter(|(_, value)| !value.is_empty());
    given.map(|(name, value)| format!("{name}={}", escaped(value))).collect::<Vec<_>>().join("&")
}
