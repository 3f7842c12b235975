//! A vessel on a page of its own.

mod dip;
mod dose;
mod drawn;
mod level;
mod page;
mod residual;
mod told;
mod working;

pub(crate) use drawn::drawn;
pub(crate) use drawn::filling;
pub(crate) use drawn::heel;
pub(crate) use drawn::outlet;
pub(crate) use drawn::rule;
pub(crate) use drawn::stands_at;

pub(crate) use drawn::worst;

use crate::web::routes::Routes;

pub(super) fn routes() -> Routes {
    Routes::new()
        .get("/vessels/{id}", page::show)
        .get("/vessels/{id}/working", working::show)
        .get("/vessels/{id}/dose", dose::show)
}
