//! The pages: one file per noun, each with its routes, view structs and handlers.

pub(crate) mod entries;
pub(crate) mod vessels;

use crate::web::routes::Routes;

/// Every page's routes. A new noun adds one `.merge` here.
pub(super) fn routes() -> Routes {
    Routes::new()
}
