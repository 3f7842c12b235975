//! The API from outside: whole answers as they are, every bad input tried, and every route held against the document.

mod ahead;
mod calls;
mod conform;
mod coverage;
mod entries;
mod kept;
mod wrong;

use core::cell::RefCell;

use keepwell::model::id::SiteId;
use keepwell::model::id::TokenId;
use keepwell::model::name::Name;
use keepwell::model::person::Role;
use keepwell::service::tokens::NewToken;
use reqwest::Method;
use serde_json::Value;

use crate::harness::Answer;
use crate::harness::House;
use crate::harness::Visitor;
use crate::pages::scene;
use crate::pages::scene::Reach;

/// A house with the small neighbourhood in it.
pub async fn house() -> (House, Reach) {
    let house = House::open().await;
    let ids = scene::reach(house.running.app()).await;
    (house, ids)
}

/// A program that comes by a token.
pub struct Machine {
    visitor: Visitor,
    token: String,
    /// what it asked: the method and the path
    pub asked: RefCell<Vec<(Method, String)>>,
}

impl Machine {
    /// With a token of the coordinator's own rights.
    pub async fn coordinator(house: &House, ids: &Reach) -> Self {
        Self::with(house, ids, Role::Coordinator, &[]).await.0
    }

    pub async fn with(house: &House, ids: &Reach, role: Role, sites: &[SiteId]) -> (Self, TokenId) {
        let app = house.running.app();
        let maren = scene::caller(app, ids.maren);
        let id = TokenId::fresh();
        let new = NewToken { id, name: Name::new("Sensor").unwrap(), role, sites: sites.to_vec() };
        let (_, token) = app.make_token(&maren, new).await.unwrap();
        let visitor = house.visitor();
        conform::learn(json(&visitor.get("/api/v1/openapi.json").await));
        (Self { visitor, token, asked: RefCell::default() }, id)
    }

    pub fn token(&self) -> &str {
        &self.token
    }

    pub async fn get(&self, path: &str) -> Answer {
        self.send(Method::GET, path, &[], String::new()).await
    }

    pub async fn get_with(&self, path: &str, headers: &[(&str, &str)]) -> Answer {
        self.send(Method::GET, path, headers, String::new()).await
    }

    pub async fn post(&self, path: &str, body: &Value) -> Answer {
        self.send(Method::POST, path, &[("content-type", "application/json")], body.to_string()).await
    }

    pub async fn put(&self, path: &str, tag: &str, body: &Value) -> Answer {
        let headers = [("content-type", "application/json"), ("if-match", tag)];
        self.send(Method::PUT, path, &headers, body.to_string()).await
    }

    pub async fn patch(&self, path: &str, tag: &str, body: &Value) -> Answer {
        let headers = [("content-type", "application/merge-patch+json"), ("if-match", tag)];
        self.send(Method::PATCH, path, &headers, body.to_string()).await
    }

    /// With the token, unless the headers bring another; whatever is answered is held against the document.
    pub async fn send(&self, method: Method, path: &str, headers: &[(&str, &str)], body: String) -> Answer {
        self.asked.borrow_mut().push((method.clone(), path.to_owned()));
        let bearer = format!("Bearer {}", self.token);
        let mut all = vec![("authorization", bearer.as_str()), ("accept", "application/json")];
        all.retain(|(name, _)| !headers.iter().any(|(given, _)| given == name));
        all.extend_from_slice(headers);
        let answer = self.visitor.send(method.clone(), path, &all, body).await;
        conform::conforms(&method, path, &answer);
        answer
    }
}

/// The answer's JSON.
pub fn json(answer: &Answer) -> Value {
    serde_json::from_str(&answer.text).unwrap_or_else(|wrong| panic!("{wrong}: {}", answer.text))
}

/// The answer's JSON with what is new each time left out: ids by the order in which they come, moments, secrets.
pub fn masked(answer: &Answer) -> Value {
    fn mask(value: &mut Value, ids: &mut Vec<String>) {
        match value {
            Value::String(text) => {
                let known = |text: &str, ids: &mut Vec<String>| {
                    let place = ids.iter().position(|id| id == text).unwrap_or_else(|| {
                        ids.push(text.to_owned());
                        ids.len() - 1
                    });
                    format!("[id {place}]")
                };
                if text.len() == 36 && uuid::Uuid::try_parse(text).is_ok() {
                    *text = known(text, ids);
                } else if text.contains("after=") {
                    *text = text.split("after=").next().unwrap().to_owned() + "after=[cursor]";
                } else if text.starts_with("kwt_") {
                    *text = "[token]".to_owned();
                } else if text.parse::<jiff::Timestamp>().is_ok() {
                    *text = "[time]".to_owned();
                }
            }
            // What is reckoned is the engine's business: here its place is held, not its last digits.
            Value::Number(number) if number.as_f64().is_some_and(|number| (number * 1e4).fract() != 0.0) => {
                *value = "[figure]".into();
            }
            Value::Array(list) => list.iter_mut().for_each(|one| mask(one, ids)),
            Value::Object(members) => members.values_mut().for_each(|one| mask(one, ids)),
            _ => {}
        }
    }
    let mut value = json(answer);
    mask(&mut value, &mut Vec::new());
    value
}

/// A fresh id of the kind that entries have.
pub fn fresh() -> String {
    uuid::Uuid::now_v7().to_string()
}
