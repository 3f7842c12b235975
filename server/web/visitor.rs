//! Who asks for a page: the caller behind the session's cookie, the reader, and where they are.

use axum::extract::FromRequestParts;
use axum::http::HeaderMap;
use axum::http::request::Parts;

use crate::model::choice::Choice;
use crate::service::Caller;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::error::Error;
use crate::web::reader::Reader;
use crate::web::session;

/// Made once for each request of a page.
#[derive(Clone, Debug)]
pub struct Visitor {
    pub caller: Caller,
    /// the session's token, for signing out
    pub token: Option<String>,
    pub reader: Reader,
    /// the neighbourhood's name; empty until it has one
    neighbourhood: String,
}

impl FromRequestParts<House> for Visitor {
    type Rejection = Error;

    async fn from_request_parts(parts: &mut Parts, house: &House) -> Result<Self, Error> {
        let reader = Reader::from_request_parts(parts, house).await?;
        Self::of(house, reader, &parts.headers).await
    }
}

impl Visitor {
    /// Who sent these headers.
    ///
    /// # Errors
    /// The sessions cannot be read.
    pub async fn of(house: &House, reader: Reader, headers: &HeaderMap) -> Result<Self, Error> {
        let token = session::read(headers);
        let caller = house.app.caller(token.as_deref()).await?;
        let picture = house.app.picture();
        let neighbourhood = picture.set_up.neighbourhood.as_ref();
        let neighbourhood = neighbourhood.map_or_else(String::new, |kept| kept.thing.name.to_string());
        Ok(Self { caller, token, reader, neighbourhood })
    }

    /// What stands round a page, with the visitor at `place`.
    #[must_use]
    pub fn chrome(&self, place: Place) -> Chrome {
        let who = match &self.caller {
            Caller::Person(person) => Some(format!("{}, {}", person.name, self.reader.word(person.role.label()))),
            Caller::Nobody | Caller::House => None,
        };
        Chrome { neighbourhood: self.neighbourhood.clone(), who, place, said: None }
    }
}
