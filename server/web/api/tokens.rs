//! Tokens: made, listed and revoked. The secret is in the answer to its making and in no other.

use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::StatusCode;
use axum::http::Uri;
use axum::response::IntoResponse;
use axum::response::Response;
use jiff::Timestamp;
use serde::Deserialize;
use serde::Serialize;

use crate::model::choice::options;
use crate::model::id::PersonId;
use crate::model::id::SiteId;
use crate::model::id::TokenId;
use crate::model::message::Message;
use crate::model::name::Name;
use crate::model::person::Role;
use crate::model::token::Token;
use crate::service;
use crate::service::authorise::Deed;
use crate::service::tokens::NewToken;
use crate::web::House;
use crate::web::api::answer;
use crate::web::api::answer::Page;
use crate::web::api::client::Asked;
use crate::web::api::client::Client;
use crate::web::api::client::Sent;
use crate::web::api::client::typed_as;
use crate::web::api::cursor;
use crate::web::api::kept::USUAL_PAGE;
use crate::web::api::kept::told;
use crate::web::api::operation::Api;
use crate::web::api::operation::Operation;
use crate::web::api::shape::AFTER;
use crate::web::api::shape::LIMIT;
use crate::web::api::shape::Member;
use crate::web::api::shape::Object;
use crate::web::api::shape::What;
use crate::web::error::Error;
use crate::web::extract::Path;

const LIST: &str = "/api/v1/tokens";
const ONE: &str = "/api/v1/tokens/{id}";

const NEW: Object = Object {
    name: "TokenAsked",
    about: "a token to be made",
    members: &[
        Member::needed("id", "made by whoever asks: the same wish sent again makes no second token", What::Fresh),
        Member::needed("name", "what it is for", What::Name),
        Member::needed("role", "", What::Choice(options::<Role>)),
        Member::usual("sites", "the sites of a keeper's token", What::List(&What::Id, 500)),
    ],
};

const TOKEN: Object = Object {
    name: "Token",
    about: "a token that is good, without its secret",
    members: &[
        Member::needed("id", "", What::Id),
        Member::needed("name", "what it is for", What::Name),
        Member::needed("role", "", What::Choice(options::<Role>)),
        Member::needed("sites", "the sites of a keeper's token", What::List(&What::Id, 500)),
        Member::needed("person", "the account that made it, in whose name it acts", What::Id),
        Member::needed("made", "", What::Moment),
    ],
};

const MADE: Object = Object {
    name: "TokenMade",
    about: "a token with its secret, which is told this once",
    members: &[
        Member::needed("id", "", What::Id),
        Member::needed("token", "", What::Object(&TOKEN)),
        Member::needed("secret", "send it in the header Authorization, after Bearer", What::Text(100)),
    ],
};

pub fn routes() -> Api {
    let (token, line) = (What::Object(&TOKEN), const { &What::Object(&TOKEN) });
    let mut make = Operation::post(LIST, "makeToken", "Makes a token", What::Object(&NEW), What::Object(&MADE))
        .saying("It never has more rights than the account that makes it. An id that was used is refused: a secret is told once.");
    make.gives.retain(|(status, _)| *status == StatusCode::CREATED);
    Api::new()
        .add(
            Operation::get(LIST, "listTokens", "The tokens that are good", What::Page(line)).asking(&[AFTER, LIMIT]),
            list,
        )
        .add(make, add)
        .add(Operation::get(ONE, "getToken", "One token that is good", token), read)
        .add(Operation::delete(ONE, "revokeToken", "Revokes a token, from the next request on"), revoke)
}

/// A token as it is answered.
#[derive(Debug, Serialize)]
struct Shown {
    id: TokenId,
    name: Name,
    role: Role,
    sites: Vec<SiteId>,
    person: PersonId,
    made: Timestamp,
}

impl From<&Token> for Shown {
    fn from(token: &Token) -> Self {
        let Token { id, name, role, sites, person, made, .. } = token.clone();
        Self { id, name, role, sites, person, made }
    }
}

#[derive(Debug, Serialize)]
struct Made {
    id: TokenId,
    token: Shown,
    secret: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Asking {
    id: TokenId,
    name: Name,
    role: Role,
    #[serde(default)]
    sites: Vec<SiteId>,
}

#[derive(Debug, Deserialize)]
struct Question {
    after: Option<String>,
    limit: Option<usize>,
}

async fn list(
    State(house): State<House>,
    client: Client,
    uri: Uri,
    headers: HeaderMap,
    Asked(asked): Asked<Question>,
) -> Result<Response, Error> {
    client.caller.may(Deed::Coordinate, None)?;
    let tag = answer::tag(&house, &client, &uri)?;
    if let Some(held) = tag.held(&house, &headers) {
        return Ok(answer::varied(held));
    }
    let picture = house.app.picture();
    let after = asked.after.map(|cursor| cursor::read(LIST, &cursor)).transpose()?.map(TokenId::from_uuid);
    if after.is_some_and(|after| !picture.set_up.tokens.contains_key(&after)) {
        return Err(Error::ForeignCursor);
    }
    let limit = asked.limit.unwrap_or(USUAL_PAGE);
    let good = picture.set_up.tokens.values().map(|kept| &*kept.thing).filter(|token| token.ended.is_none());
    let rest = good.filter(|token| after.is_none_or(|after| token.id > after));
    let mut items: Vec<Shown> = rest.take(limit + 1).map(Shown::from).collect();
    let more = items.len() > limit;
    items.truncate(limit);
    let next = items
        .last()
        .filter(|_| more)
        .map(|last| cursor::next(LIST, &[("limit", limit.to_string())], &cursor::after(LIST, last.id.uuid())));
    Ok(answer::varied(tag.dress(answer::page(&Page { items, next })?)))
}

async fn read(
    State(house): State<House>,
    client: Client,
    headers: HeaderMap,
    Path(id): Path<TokenId>,
) -> Result<Response, Error> {
    let kept = good(&house, &client, id)?;
    match answer::held(&headers, kept.revision)? {
        Some(held) => Ok(held),
        None => answer::kept(StatusCode::OK, &Shown::from(&*kept.thing), kept.revision, None),
    }
}

/// A token that is good; one that was revoked is on record, but no longer here.
fn good(house: &House, client: &Client, id: TokenId) -> Result<crate::model::setup::Kept<Token>, Error> {
    let kept = house.app.token(&client.caller, id)?;
    if kept.thing.ended.is_some() { Err(service::Error::NotFound("token").into()) } else { Ok(kept) }
}

async fn add(State(house): State<House>, client: Client, Sent(sent): Sent) -> Result<Response, Error> {
    let caller = client.still(&house)?;
    let Asking { id, name, role, sites } = typed_as(sent.clone())?;
    let (kept, secret) =
        house.app.make_token(&caller, NewToken { id, name, role, sites }).await.map_err(|refusal| match refusal {
            service::Error::IdTaken => Error::Conflict(Message::new(
                "A token of this id was made before. Its secret was told then, and is not told again.",
            )),
            refusal => told(refusal, &sent),
        })?;
    let made = Made { id, token: Shown::from(&*kept.thing), secret };
    answer::at(answer::json(StatusCode::CREATED, &made)?, &ONE.replace("{id}", &id.to_string()))
}

async fn revoke(State(house): State<House>, client: Client, Path(id): Path<TokenId>) -> Result<Response, Error> {
    good(&house, &client, id)?;
    house.app.revoke_token(&client.caller, id).await?;
    Ok(StatusCode::NO_CONTENT.into_response())
}
