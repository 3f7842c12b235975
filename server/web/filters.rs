//! What templates do to words and figures.

use crate::web::assets;

#[askama::filter_fn]
pub fn t(text: &str, _values: &dyn askama::Values) -> askama::Result<String> {
    Ok(text.to_owned())
}

/// `{{ "keepwell.css"|asset }}`
#[askama::filter_fn]
pub fn asset(name: &str, _values: &dyn askama::Values) -> askama::Result<&'static str> {
    assets::asset(name).ok_or_else(|| askama::Error::custom(format!("there is no static/{name}")))
}
