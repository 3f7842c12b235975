//! One operation: a method at an address, with everything that the document says of it; and the builder that adds the
//! route and its operation together, so that there is no route without a description and none the other way round. The
//! description travels with the request, and what comes in is checked against it.

use std::sync::Arc;

use axum::Extension;
use axum::extract::DefaultBodyLimit;
use axum::handler::Handler;
use axum::http::Method;
use axum::http::StatusCode;
use axum::routing::MethodFilter;
use axum::routing::on;

use crate::web::House;
use crate::web::api::shape::Member;
use crate::web::api::shape::What;
use crate::web::error::kind;
use crate::web::error::kind::Kind;
use crate::web::routes::BodyLimit;
use crate::web::routes::Routes;

/// What the media types are that the API takes.
pub const JSON: &str = "application/json";
pub const MERGE_PATCH: &str = "application/merge-patch+json";

#[derive(Debug)]
pub struct Operation {
    pub method: Method,
    pub path: &'static str,
    /// its name in the document: "listSites"
    pub name: String,
    /// one line
    pub about: String,
    /// more of it; may be empty
    pub more: &'static str,
    /// the parameters of the address, behind the `?`
    pub asks: Vec<Member>,
    /// the body
    pub takes: Option<What>,
    /// what is answered where all goes well, by status; no body where there is none
    pub gives: Vec<(StatusCode, Option<What>)>,
    /// it changes a thing from a revision that `If-Match` names
    pub from_revision: bool,
    /// answered to everybody
    pub open: bool,
    /// bytes of a body at most, where that is not what any route takes
    pub limit_bytes: Option<usize>,
}

impl Operation {
    fn of(method: Method, path: &'static str, name: impl Into<String>, about: impl Into<String>, gives: What) -> Self {
        Self {
            method,
            path,
            name: name.into(),
            about: about.into(),
            more: "",
            asks: Vec::new(),
            takes: None,
            gives: vec![(StatusCode::OK, Some(gives))],
            from_revision: false,
            open: false,
            limit_bytes: None,
        }
    }

    #[must_use]
    pub fn get(path: &'static str, name: impl Into<String>, about: impl Into<String>, gives: What) -> Self {
        let mut get = Self::of(Method::GET, path, name, about, gives);
        get.gives.push((StatusCode::NOT_MODIFIED, None));
        get
    }

    /// A post that makes something, or finds it made by the same post before.
    #[must_use]
    pub fn post(
        path: &'static str,
        name: impl Into<String>,
        about: impl Into<String>,
        takes: What,
        gives: What,
    ) -> Self {
        let mut post = Self::of(Method::POST, path, name, about, gives);
        post.takes = Some(takes);
        post.gives.push((StatusCode::CREATED, Some(gives)));
        post
    }

    #[must_use]
    pub fn change(
        method: Method,
        path: &'static str,
        name: impl Into<String>,
        about: impl Into<String>,
        takes: What,
        gives: What,
    ) -> Self {
        Self { takes: Some(takes), from_revision: true, ..Self::of(method, path, name, about, gives) }
    }

    #[must_use]
    pub fn delete(path: &'static str, name: impl Into<String>, about: impl Into<String>) -> Self {
        let delete = Self::of(Method::DELETE, path, name, about, What::Record);
        Self { gives: vec![(StatusCode::NO_CONTENT, None)], ..delete }
    }

    #[must_use]
    pub fn asking(mut self, asks: &[Member]) -> Self {
        self.asks.extend_from_slice(asks);
        self
    }

    /// A post that keeps nothing, or keeps each of several: answered with 200.
    #[must_use]
    pub fn only_ok(mut self) -> Self {
        self.gives.truncate(1);
        self
    }

    #[must_use]
    pub const fn saying(mut self, more: &'static str) -> Self {
        self.more = more;
        self
    }

    #[must_use]
    pub const fn up_to(mut self, limit_bytes: usize) -> Self {
        self.limit_bytes = Some(limit_bytes);
        self
    }

    #[must_use]
    pub const fn opened(mut self) -> Self {
        self.open = true;
        self
    }

    /// The media type of its body.
    #[must_use]
    pub const fn media(&self) -> &'static str {
        match self.takes {
            Some(What::Patch(_)) => MERGE_PATCH,
            _ => JSON,
        }
    }

    /// The kinds of error it may answer with.
    #[must_use]
    pub fn errors(&self) -> Vec<&'static Kind> {
        let mut errors: Vec<&'static Kind> =
            vec![&kind::NOT_ACCEPTABLE, &kind::TOO_MANY, &kind::UNAVAILABLE, &kind::INTERNAL];
        errors.push(&kind::BAD_HOST);
        if !self.open {
            errors.extend([&kind::SIGN_IN, &kind::TOKEN, &kind::FORBIDDEN, &kind::NOT_FOUND]);
        }
        errors.push(&kind::INVALID);
        errors.push(&kind::UNREADABLE);
        if self.asks.iter().any(|ask| ask.key == "after") {
            errors.push(&kind::CURSOR);
        }
        if self.takes.is_some() {
            errors.extend([&kind::TOO_LARGE, &kind::MEDIA, &kind::ID_USED, &kind::FULL]);
        }
        if self.from_revision {
            errors.extend([&kind::STALE, &kind::REVISION]);
        }
        errors
    }
}

/// The routes of the API and their operations.
#[derive(Default)]
pub struct Api {
    routes: Routes,
    operations: Vec<Arc<Operation>>,
}

impl Api {
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// The route and its operation.
    #[must_use]
    pub fn add<H: Handler<T, House>, T: 'static>(self, operation: Operation, handler: H) -> Self {
        self.add_made(operation, |_| handler)
    }

    /// The same for a handler that is made from all operations so far, its own included.
    #[must_use]
    pub fn add_made<H: Handler<T, House>, T: 'static>(
        mut self,
        operation: Operation,
        make: impl FnOnce(&[Arc<Operation>]) -> H,
    ) -> Self {
        let operation = Arc::new(operation);
        self.operations.push(Arc::clone(&operation));
        let handler = make(&self.operations);
        let filter = MethodFilter::try_from(operation.method.clone()).unwrap_or(MethodFilter::GET);
        let mut route = on(filter, handler).layer(Extension(Arc::clone(&operation)));
        if let Some(limit_bytes) = operation.limit_bytes {
            route = route.layer((DefaultBodyLimit::max(limit_bytes), Extension(BodyLimit(limit_bytes))));
        }
        self.routes = self.routes.add(operation.method.clone(), operation.path, route);
        self
    }

    #[must_use]
    pub fn merge(mut self, other: Self) -> Self {
        self.operations.extend(other.operations);
        Self { routes: self.routes.merge(other.routes), operations: self.operations }
    }

    #[must_use]
    pub fn into_parts(self) -> (Routes, Vec<Arc<Operation>>) {
        (self.routes, self.operations)
    }
}
