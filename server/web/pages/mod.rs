//! The pages: one file per noun, each with its routes, view structs and handlers.

use crate::web::routes::Routes;

/// Every page's routes. A new noun adds one `.merge` here.
pub(super) fn routes() -> Routes {
    Routes::new()
}
