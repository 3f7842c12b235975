//! Who reads: the language and units a page is shown in.

use std::convert::Infallible;

use axum::extract::FromRequestParts;
use axum::http::request::Parts;

#[derive(Clone, Debug, Default)]
pub struct Reader {}

impl<S: Sync> FromRequestParts<S> for Reader {
    type Rejection = Infallible;

    async fn from_request_parts(_: &mut Parts, _: &S) -> Result<Self, Infallible> {
        Ok(Self {})
    }
}
