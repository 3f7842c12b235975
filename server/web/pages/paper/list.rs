//! `GET /paper`: what can be printed, by site.

use askama::Template;
use axum::extract::State;
use axum::response::Response;
use serde::Deserialize;

use crate::model::id::SiteId;
use crate::model::id::VesselId;
use crate::picture::cluster::moment;
use crate::service::authorise::Deed;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::extract::Query;
use crate::web::filters;
use crate::web::pages::paper::status;
use crate::web::pages::rows;
use crate::web::pages::rows::Pages;
use crate::web::visitor::Visitor;
use crate::web::words::Phrase;

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Asked {
    /// the place in the list from which sites are shown
    from: usize,
}

#[derive(Template)]
#[template(path = "paper/list.html")]
struct Page {
    chrome: Chrome,
    sites: Vec<Site>,
    pages: Pages,
    /// what became of the copy that is written every day; told to who coordinates
    copy: Option<Phrase>,
}

struct Site {
    id: SiteId,
    name: String,
    vessels: usize,
    /// those that have a dip table
    dips: Vec<(VesselId, String)>,
}

pub(super) async fn show(
    State(house): State<House>,
    visitor: Visitor,
    Query(asked): Query<Asked>,
) -> Result<Response, Error> {
    visitor.caller.may(Deed::SeeTotals, None)?;
    let (picture, now) = (house.app.picture(), house.app.now());
    let in_use = picture.sites().iter().filter(|site| site.site.ended.is_none_or(|ended| moment(ended) > now));
    let mut sites: Vec<_> = in_use.filter(|site| visitor.caller.can(Deed::SeeSite, Some(site.site.id))).collect();
    sites.sort_by_key(|site| site.site.name.as_str().to_lowercase());
    let (range, pages) = rows::page(&visitor.reader, asked.from, sites.len());
    let row = |site: &&std::sync::Arc<crate::picture::SitePicture>| {
        let with_depth = site.vessels_at(now).filter(|vessel| vessel.body.shape.height().is_some());
        Site {
            id: site.site.id,
            name: site.site.name.to_string(),
            vessels: site.vessels_at(now).count(),
            dips: with_depth.map(|vessel| (vessel.vessel.id, vessel.vessel.name.to_string())).collect(),
        }
    };
    let template = Page {
        chrome: visitor.chrome(Place::Paper),
        sites: sites.get(range).unwrap_or_default().iter().map(row).collect(),
        pages,
        copy: status::copy(&house.app, &visitor),
    };
    page(&visitor.reader, template)
}
