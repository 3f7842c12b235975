//! What the answers that are reckoned share: litres by what they are counted as, moments, the ration that is asked for.

use jiff::Timestamp;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::as_litres;
use serde::Serialize;

use crate::model::choice::options;
use crate::model::entry::mains::Supply;
use crate::model::entry::notice::NoticeKind;
use crate::model::id::SourceId;
use crate::model::name::Name;
use crate::picture::source::SourcePicture;
use crate::picture::stocks;
use crate::web::api::neighbourhood::rungs;
use crate::web::api::shape::Member;
use crate::web::api::shape::Object;
use crate::web::api::shape::What;
use crate::web::error::Error;

/// The ration that a question asks for.
pub const RATION: Member =
    Member::maybe("ration", "the rung to reckon at; the one in force where none is named", What::Choice(rungs));

pub const WATER: Object = Object {
    name: "Water",
    about: "litres, by what they are counted as",
    members: &[
        Member::needed("drink_l", "counted as drinking water, in reach", What::Number),
        Member::needed("drink_sd_l", "one standard deviation of that", What::Number),
        Member::needed("treat_l", "in reach, to be treated first", What::Number),
        Member::needed("utility_l", "in reach, for washing floors and flushing only", What::Number),
        Member::needed("hold_l", "on hold: for nothing, and in no total", What::Number),
        Member::needed("out_of_reach_l", "below every outlet", What::Number),
        Member::needed("tested_l", "of the drinking water: rests on a test under 90 days old", What::Number),
        Member::needed("untested_l", "of the drinking water: rests on the fill date alone", What::Number),
    ],
};

#[derive(Clone, Copy, Debug, Serialize)]
pub struct Water {
    drink_l: f64,
    drink_sd_l: f64,
    treat_l: f64,
    utility_l: f64,
    hold_l: f64,
    out_of_reach_l: f64,
    tested_l: f64,
    untested_l: f64,
}

impl From<&stocks::Water> for Water {
    fn from(water: &stocks::Water) -> Self {
        Self {
            drink_l: as_litres(water.drink),
            drink_sd_l: as_litres(water.drink_sd),
            treat_l: as_litres(water.treat),
            utility_l: as_litres(water.utility),
            hold_l: as_litres(water.hold),
            out_of_reach_l: as_litres(water.out_of_reach),
            tested_l: as_litres(water.tested),
            untested_l: as_litres(water.untested),
        }
    }
}

const NOTICE: Object = Object {
    name: "Notice",
    about: "a notice in force",
    members: &[
        Member::needed("kind", "", What::Choice(options::<NoticeKind>)),
        Member::needed("by", "the authority that says so", What::Text(120)),
        Member::needed("since", "", What::Moment),
    ],
};

pub const SUPPLY: Object = Object {
    name: "SupplyNow",
    about: "what is known of a supply now",
    members: &[
        Member::needed("source", "", What::Id),
        Member::needed("name", "", What::Name),
        Member::maybe("state", "null where nobody ever said", What::Choice(options::<Supply>)),
        Member::maybe("since", "", What::Moment),
        Member::needed("notices", "", What::List(&What::Object(&NOTICE), 100)),
    ],
};

#[derive(Debug, Serialize)]
pub struct SupplyNow {
    source: SourceId,
    name: Name,
    state: Option<Supply>,
    since: Option<Timestamp>,
    notices: Vec<Notice>,
}

#[derive(Debug, Serialize)]
struct Notice {
    kind: NoticeKind,
    by: String,
    since: Timestamp,
}

impl SupplyNow {
    /// # Errors
    /// A moment past the calendar.
    pub fn of(supply: &SourcePicture) -> Result<Self, Error> {
        let notice = |notice: &crate::picture::source::InForce| {
            Ok(Notice { kind: notice.kind, by: notice.by.clone(), since: timestamp(notice.since)? })
        };
        Ok(Self {
            source: supply.source.id,
            name: supply.source.name.clone(),
            state: supply.supply.map(|(state, _)| state),
            since: supply.supply.map(|(_, since)| timestamp(since)).transpose()?,
            notices: supply.notices.iter().map(notice).collect::<Result<Vec<_>, Error>>()?,
        })
    }
}

/// # Errors
/// Past the calendar: no moment of ours is.
pub fn timestamp(moment: Moment) -> Result<Timestamp, Error> {
    Timestamp::from_microsecond(moment.micros()).map_err(Error::internal)
}
