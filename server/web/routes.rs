//! The builder that pages add their routes to. It keeps the list of what was added, because axum's `Router` cannot be
//! asked, and the tests walk every route.

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::handler::Handler;
use axum::http::Method;
use axum::routing::MethodFilter;
use axum::routing::MethodRouter;
use axum::routing::on;

use crate::web::House;

/// What any route may be sent, unless it says otherwise.
pub const BODY_LIMIT_BYTES: usize = 1024 * 1024;

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Route {
    pub method: Method,
    /// As axum writes it: `/sites/{id}`.
    pub path: &'static str,
}

#[derive(Default)]
pub struct Routes {
    router: Router<House>,
    list: Vec<Route>,
}

impl Routes {
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// `HEAD` is answered too.
    #[must_use]
    pub fn get<H: Handler<T, House>, T: 'static>(self, path: &'static str, handler: H) -> Self {
        self.add(Method::GET, path, on(MethodFilter::GET, handler))
    }

    #[must_use]
    pub fn post<H: Handler<T, House>, T: 'static>(self, path: &'static str, handler: H) -> Self {
        self.add(Method::POST, path, on(MethodFilter::POST, handler))
    }

    /// A post that may carry more than [`BODY_LIMIT_BYTES`].
    #[must_use]
    pub fn post_up_to<H: Handler<T, House>, T: 'static>(
        self,
        path: &'static str,
        limit_bytes: usize,
        handler: H,
    ) -> Self {
        let limits = (DefaultBodyLimit::max(limit_bytes), axum::Extension(BodyLimit(limit_bytes)));
        self.add(Method::POST, path, on(MethodFilter::POST, handler).layer(limits))
    }

    #[must_use]
    pub fn merge(mut self, other: Self) -> Self {
        self.list.extend(other.list);
        Self { router: self.router.merge(other.router), list: self.list }
    }

    /// Any method; the API's own builder adds its routes by it.
    #[must_use]
    pub(super) fn add(mut self, method: Method, path: &'static str, route: MethodRouter<House>) -> Self {
        self.list.push(Route { method, path });
        Self { router: self.router.route(path, route), list: self.list }
    }

    pub(super) fn into_parts(self) -> (Router<House>, Vec<Route>) {
        (self.router, self.list)
    }
}

/// The limit in force on a route, for the message that names it.
#[derive(Clone, Copy, Debug)]
pub(super) struct BodyLimit(pub usize);
