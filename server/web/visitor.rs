//! Who asks for a page: the caller behind the session's cookie, the reader, and where they are.

use axum::extract::FromRequestParts;
use axum::http::HeaderMap;
use axum::http::request::Parts;

use crate::model::choice::Choice;
use crate::service::App;
use crate::service::Caller;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Mark;
use crate::web::chrome::Place;
use crate::web::error::Error;
use crate::web::reader::Reader;
use crate::web::session;
use crate::web::usual;

/// Made once for each request of a page.
#[derive(Clone, Debug)]
pub struct Visitor {
    pub caller: Caller,
    /// the session's token, for signing out
    pub token: Option<String>,
    pub reader: Reader,
    /// the neighbourhood's name; empty until it has one
    neighbourhood: String,
    outage: Option<Mark>,
    /// nothing new can be kept for want of room on the disk
    pub full: bool,
}

impl FromRequestParts<House> for Visitor {
    type Rejection = Error;

    async fn from_request_parts(parts: &mut Parts, house: &House) -> Result<Self, Error> {
        let reader = Reader::from_request_parts(parts, house).await?;
        let visitor = Self::of(house, reader, &parts.headers).await?;
        house.app.allow_caller(&visitor.caller, None)?;
        Ok(visitor)
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
        let outage = picture.set_up.outage().map(|kept| Mark {
            drill: kept.thing.is_drill(),
            since: kept.thing.since,
            day: day_of(reader.now.duration_since(kept.thing.since)),
        });
        let full = house.app.is_full().await;
        Ok(Self { caller, token, reader, neighbourhood, outage, full })
    }

    /// The house itself, for what it writes without being asked: in the neighbourhood's own language, units and zone.
    #[must_use]
    pub fn of_the_house(app: &App) -> Self {
        let neighbourhood = String::new();
        Self { caller: Caller::House, token: None, reader: usual(app), neighbourhood, outage: None, full: false }
    }

    /// What stands round a page, with the visitor at `place`.
    #[must_use]
    pub fn chrome(&self, place: Place) -> Chrome {
        let who = match &self.caller {
            Caller::Person(person) => Some(format!("{}, {}", person.name, self.reader.word(person.role.label()))),
            Caller::Nobody | Caller::House => None,
        };
        Chrome {
            neighbourhood: self.neighbourhood.clone(),
            who,
            place,
            said: None,
            outage: self.outage,
            full: self.full,
        }
    }
}

/// The day of what has gone on for so long: the first is 1.
pub(super) fn day_of(elapsed: jiff::SignedDuration) -> u64 {
    u64::try_from(elapsed.as_hours().max(0) / 24).unwrap_or(0) + 1
}
