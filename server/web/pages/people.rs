//! Accounts.

use crate::web::routes::Routes;

pub(super) fn routes() -> Routes {
    Routes::new()
}
