//! A level that was seen.

use keepwell_engine::quantity::CONTAINERS_FULL;
use keepwell_engine::quantity::DEPTH;
use keepwell_engine::quantity::FRACTION;
use keepwell_engine::quantity::METER;
use keepwell_engine::quantity::VOLUME;
use serde::{Deserialize, Serialize};

use crate::model::choice::Choice;
use crate::model::choice::options;
use crate::model::entry::fields::Field;
use crate::model::entry::fields::Problem;
use crate::model::entry::fields::What;
use crate::model::message::Message;

/// How it was seen; each way has its own error.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Method {
    Dipstick,
    SightGlass,
    Eye,
    Meter,
    Sensor,
    Counted,
}

impl Choice for Method {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Dipstick, "dipstick", "dipstick or tape"),
        (Self::SightGlass, "sight_glass", "sight glass or moulded scale"),
        (Self::Eye, "eye", "by eye"),
        (Self::Meter, "meter", "meter"),
        (Self::Sensor, "sensor", "level sensor"),
        (Self::Counted, "counted", "counted"),
    ];
}

/// Where a depth is measured from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum From {
    #[default]
    Floor,
    Rim,
}

impl Choice for From {
    const LIST: &'static [(Self, &'static str, &'static str)] =
        &[(Self::Floor, "floor", "up from the floor"), (Self::Rim, "rim", "down from the rim")];
}

/// One of depth, part of full, litres, a meter's count or full containers.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reading {
    pub method: Method,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth_m: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<From>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub part: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub litres: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub meter_l: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub full: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lot: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

pub const FIELDS: &[Field] = &[
    Field::required("method", "how it was read", "", What::Choice(options::<Method>)),
    Field::optional("depth_m", "depth", "to the millimetre if you can", What::Figure(&DEPTH)),
    Field::optional("from", "measured", "", What::Choice(options::<From>)),
    Field::optional("part", "part of full", "a quarter is 0.25", What::Figure(&FRACTION)),
    Field::optional("litres", "volume", "as the scale shows it", What::Figure(&VOLUME)),
    Field::optional("meter_l", "meter reading", "the whole count", What::Figure(&METER)),
    Field::optional("full", "full containers", "of a set", What::Figure(&CONTAINERS_FULL)),
    Field::optional("lot", "lot", "which containers of the set", What::Text(40)),
    Field::optional("note", "note", "", What::Text(1000)),
];

impl Reading {
    /// What was read that way, its figure still to be given.
    #[must_use]
    pub const fn by(method: Method) -> Self {
        Self {
            method,
            depth_m: None,
            from: None,
            part: None,
            litres: None,
            meter_l: None,
            full: None,
            lot: None,
            note: None,
        }
    }

    /// # Errors
    /// Exactly one figure must be given.
    pub fn check(&self) -> Result<(), Problem> {
        let given = [self.depth_m, self.part, self.litres, self.meter_l, self.full];
        match given.iter().flatten().count() {
            1 => Ok(()),
            0 => Err(Problem::new(
                "depth_m",
                Message::new("Give the depth, the part of full, the volume, the meter or the full containers."),
            )),
            _ => Err(Problem::new("depth_m", Message::new("Give one figure for the level, not several."))),
        }
    }
}
