//! Whoever comes too often waits. Files and the sign of life are not counted: they cost nothing, and a page that is let in
//! should not lack its style.

use std::net::SocketAddr;

use axum::extract::ConnectInfo;
use axum::extract::Request;
use axum::extract::State;
use axum::middleware::Next;
use axum::response::Response;

use crate::web::House;
use crate::web::error::Error;

pub(super) async fn limit(State(house): State<House>, request: Request, next: Next) -> Result<Response, Error> {
    let path = request.uri().path();
    if !path.starts_with("/static/")
        && path != "/healthz"
        && let Some(ConnectInfo(peer)) = request.extensions().get::<ConnectInfo<SocketAddr>>()
    {
        house.app.allow_address(peer.ip())?;
    }
    Ok(next.run(request).await)
}
