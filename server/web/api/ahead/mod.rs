//! What the days hang on: the agreed carries, what is brought to the door, what would help most, what one loss would cost
//! and what would hurt less then, what may be expected, and the neighbourhood's days with something supposed.

mod carried;
mod deliveries;
mod expected;
mod moves;
mod supposed;

use serde::Deserialize;

use crate::web::api::operation::Api;
use crate::web::api::operation::Operation;
use crate::web::api::reckoned::RATION;
use crate::web::api::shape::MANY;
use crate::web::api::shape::What;
use crate::web::api::today::TODAY;

pub fn routes() -> Api {
    let list = |path, name: &str, about: &str, of| {
        Operation::get(path, name.to_owned(), about.to_owned(), of).asking(&[RATION])
    };
    Api::new()
        .add(
            list("/api/v1/today/carries", "getCarried", "With the agreed carries", What::Object(&carried::SHARED)),
            carried::carried,
        )
        .add(
            list(
                "/api/v1/today/moves",
                "listNextMoves",
                "What would help most, the most litres for an hour of work first",
                What::List(&What::Object(&moves::NEXT_MOVE), MANY),
            ),
            moves::moves,
        )
        .add(
            list(
                "/api/v1/today/losses",
                "listLosses",
                "Days left if one thing is lost, the worst first",
                What::List(&What::Object(&moves::LOSS), MANY),
            ),
            moves::losses,
        )
        .add(
            list(
                "/api/v1/today/guards",
                "listGuards",
                "What would hurt less after a loss, the most litres for an hour of work first",
                What::List(&What::Object(&moves::GUARD), MANY),
            ),
            moves::guards,
        )
        .add(
            list(
                "/api/v1/today/deliveries",
                "listDeliveries",
                "What is brought to the door of those who cannot fetch water, those who come first first",
                What::List(&What::Object(&deliveries::DELIVERY), MANY),
            ),
            deliveries::list,
        )
        .add(
            Operation::get(
                "/api/v1/today/forecast",
                "getForecast",
                "What may be expected, of the days as they are or with something supposed",
                What::Object(&expected::FORECAST),
            )
            .asking(supposed::OF_A_FORECAST),
            expected::forecast,
        )
        .add(
            Operation::get(
                "/api/v1/today/supposed",
                "getSupposed",
                "How long the neighbourhood would last, with something supposed",
                What::Object(&TODAY),
            )
            .asking(supposed::OF_DAYS),
            supposed::supposed,
        )
}

#[derive(Debug, Deserialize)]
struct Question {
    ration: Option<String>,
}
