//! Tokens that programs come in by: made, shown once, listed and revoked, by the coordinator.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::IntoResponse;
use axum::response::Redirect;
use axum::response::Response;
use jiff::Timestamp;

use crate::model::choice::Choice as _;
use crate::model::id::SiteId;
use crate::model::id::TokenId;
use crate::model::message::Message;
use crate::model::name::Name;
use crate::model::person::Role;
use crate::model::setup::SetUp;
use crate::model::token::Token;
use crate::service;
use crate::service::authorise::Deed;
use crate::service::tokens::NewToken;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::extract::FormData;
use crate::web::extract::Pairs;
use crate::web::extract::Path;
use crate::web::filters;
use crate::web::form::Choice;
use crate::web::form::Control;
use crate::web::form::Field;
use crate::web::form::Wrong;
use crate::web::reader::Reader;
use crate::web::routes::Routes;
use crate::web::visitor::Visitor;
use crate::web::whence::Whence;

pub(super) fn routes() -> Routes {
    Routes::new().get("/tokens", list).post("/tokens", make).post("/tokens/{id}/revoke", revoke)
}

#[derive(Template)]
#[template(path = "tokens/list.html")]
struct List {
    chrome: Chrome,
    overheard: bool,
    tokens: Vec<Row>,
    ended: Vec<(String, Timestamp)>,
    stray: Vec<String>,
    fields: Vec<Field>,
}

struct Row {
    id: String,
    name: String,
    role: &'static str,
    /// it reaches every site
    whole: bool,
    sites: Vec<String>,
    made: Timestamp,
    by: String,
}

#[derive(Template)]
#[template(path = "tokens/made.html")]
struct Made {
    chrome: Chrome,
    overheard: bool,
    name: String,
    secret: String,
}

fn row(set_up: &SetUp, token: &Token) -> Row {
    let whole = token.role == Role::Coordinator;
    let known = token.sites.iter().filter(|_| !whole).filter_map(|site| set_up.sites.get(site));
    Row {
        id: token.id.to_string(),
        name: token.name.to_string(),
        role: token.role.label(),
        whole,
        sites: known.map(|kept| kept.thing.name.to_string()).collect(),
        made: token.made,
        by: set_up.people.get(&token.person).map_or_else(String::new, |kept| kept.thing.name.to_string()),
    }
}

async fn list(State(house): State<House>, visitor: Visitor, whence: Whence) -> Result<Response, Error> {
    let first = [("id", TokenId::fresh().to_string()), ("role", Role::Keeper.key().to_owned())];
    let first = Pairs(first.map(|(name, value)| (name.to_owned(), value)).to_vec());
    shown(&house, &visitor, &whence, &first, &Wrong::default())
}

fn shown(house: &House, visitor: &Visitor, whence: &Whence, typed: &Pairs, wrong: &Wrong) -> Result<Response, Error> {
    visitor.caller.may(Deed::Coordinate, None)?;
    let picture = house.app.picture();
    let set_up = &picture.set_up;
    let all = || set_up.tokens.values().rev().map(|kept| &kept.thing);
    let fields = fields(set_up, &visitor.reader, typed, wrong);
    let view = List {
        chrome: visitor.chrome(Place::Data),
        overheard: whence.is_overheard(),
        tokens: all().filter(|token| token.ended.is_none()).map(|token| row(set_up, token)).collect(),
        ended: all().filter_map(|token| Some((token.name.to_string(), token.ended?))).collect(),
        stray: wrong.about_none_of(&visitor.reader, &fields),
        fields,
    };
    page(&visitor.reader, view)
}

fn fields(set_up: &SetUp, reader: &Reader, typed: &Pairs, wrong: &Wrong) -> Vec<Field> {
    let hint = |role| match role {
        Role::Coordinator => "Sees and changes everything. Few programs need that.",
        Role::Keeper => "Logs and changes at the sites ticked below; sees the neighbourhood's totals.",
    };
    let role = |(role, key, label): &(Role, &'static str, &'static str)| Choice {
        value: (*key).to_owned(),
        label: reader.word(label).to_owned(),
        hint: reader.word(hint(*role)).to_owned(),
    };
    let offered = set_up.sites.values().map(|kept| &kept.thing).filter(|site| site.ended.is_none());
    let mut sites: Vec<Choice> = offered
        .map(|site| Choice { value: site.id.to_string(), label: site.name.to_string(), hint: String::new() })
        .collect();
    sites.sort_by_key(|site| site.label.to_lowercase());
    let mut keeps = Field::new("sites", reader.word("Sites it reaches"), Control::Checks(sites))
        .error(wrong.about(reader, "sites"))
        .optional();
    keeps.values = typed.all("sites").map(str::to_owned).collect();
    vec![
        Field::new("name", reader.word("What it is for"), Control::Text { autocomplete: "off" })
            .hint(reader.word("Level sensor in the north tank."))
            .value(typed.get("name").unwrap_or_default())
            .error(wrong.about(reader, "name")),
        Field::new("role", reader.word("Role"), Control::Radios(Role::LIST.iter().map(role).collect()))
            .value(typed.get("role").unwrap_or_default())
            .error(wrong.about(reader, "role")),
        keeps,
        Field::new("id", "", Control::Hidden).value(typed.get("id").unwrap_or_default()),
    ]
}

/// The token that was typed, if all of it holds.
fn asked(sent: &Pairs, wrong: &mut Wrong) -> Result<Option<NewToken>, Error> {
    let id = sent.get("id").and_then(|id| id.parse::<TokenId>().ok());
    let id = id.ok_or_else(|| Error::Unreadable(Message::new("The form came without its number. Open it again.")))?;
    let name = Name::new(sent.get("name").unwrap_or_default()).map_err(|why| wrong.add("name", why)).ok();
    let role = Role::from_key(sent.get("role").unwrap_or_default());
    if role.is_none() {
        wrong.add("role", Message::new("Choose one of these."));
    }
    let sites = sent.all("sites").map(str::parse::<SiteId>).collect::<Result<Vec<_>, _>>();
    let sites = sites.map_err(|_| wrong.add("sites", Message::new("There is no such site."))).ok();
    if role == Some(Role::Keeper) && sites.as_ref().is_some_and(Vec::is_empty) {
        wrong.add("sites", Message::new("Tick the sites it reaches."));
    }
    let (Some(name), Some(role), Some(sites), true) = (name, role, sites, wrong.is_empty()) else { return Ok(None) };
    Ok(Some(NewToken { id, name, role, sites }))
}

async fn make(State(house): State<House>, visitor: Visitor, whence: Whence, sent: FormData) -> Result<Response, Error> {
    visitor.caller.may(Deed::Coordinate, None)?;
    let mut wrong = Wrong::default();
    if let Some(new) = asked(&sent, &mut wrong)? {
        match house.app.make_token(&visitor.caller, new).await {
            Ok((kept, secret)) => {
                let name = kept.thing.name.to_string();
                let (chrome, overheard) = (visitor.chrome(Place::Data), whence.is_overheard());
                return page(&visitor.reader, Made { chrome, overheard, name, secret });
            }
            // The second tap on the button. The first answer has the secret, which is shown once.
            Err(service::Error::IdTaken) => return Ok(Redirect::to("/tokens").into_response()),
            Err(refusal) => wrong = Wrong::of(refusal)?,
        }
    }
    let form = shown(&house, &visitor, &whence, &sent, &wrong)?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, form).into_response())
}

async fn revoke(State(house): State<House>, visitor: Visitor, Path(id): Path<TokenId>) -> Result<Response, Error> {
    house.app.revoke_token(&visitor.caller, id).await?;
    Ok(Redirect::to("/tokens").into_response())
}
