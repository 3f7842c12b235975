//! A place that stores or needs water.

use jiff::Timestamp;
use serde::{Deserialize, Serialize};

use crate::model::choice::Choice;
use crate::model::column::Cell;
use crate::model::column::Column;
use crate::model::id::SiteId;
use crate::model::id::SourceId;
use crate::model::name::Name;

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SiteKind {
    Household,
    Hall,
    School,
    Clinic,
    Flats,
    Allotments,
    FireWatch,
    Other,
}

impl Choice for SiteKind {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Household, "household", "household"),
        (Self::Hall, "hall", "hall or church"),
        (Self::School, "school", "school"),
        (Self::Clinic, "clinic", "clinic"),
        (Self::Flats, "flats", "block of flats"),
        (Self::Allotments, "allotments", "allotments"),
        (Self::FireWatch, "fire_watch", "fire-watch cistern"),
        (Self::Other, "other", "another place"),
    ];
}

/// Who draws water, and so how much each needs. The engine's demand says how.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Category {
    Adult,
    Child,
    Infant,
    Nursing,
    Unwell,
    Bed,
    DayVisitor,
    Catchment,
}

impl Choice for Category {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Adult, "adult", "adults"),
        (Self::Child, "child", "children"),
        (Self::Infant, "infant", "infants"),
        (Self::Nursing, "nursing", "pregnant or nursing"),
        (Self::Unwell, "unwell", "unwell or in care"),
        (Self::Bed, "bed", "clinic beds"),
        (Self::DayVisitor, "day_visitor", "day visits"),
        (Self::Catchment, "catchment", "people with no store who draw here"),
    ];
}

/// So many of one category. Each person is counted once, where they would draw.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct People {
    pub category: Category,
    pub count: u32,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Animal {
    DogOrCat,
    Poultry,
    Sheep,
    Horse,
    Cow,
}

impl Choice for Animal {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::DogOrCat, "dog_or_cat", "dogs and cats"),
        (Self::Poultry, "poultry", "poultry"),
        (Self::Sheep, "sheep", "sheep and goats"),
        (Self::Horse, "horse", "horses"),
        (Self::Cow, "cow", "cows"),
    ];
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Animals {
    pub animal: Animal,
    pub count: u32,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Site {
    pub id: SiteId,
    pub name: Name,
    pub kind: SiteKind,
    #[serde(default)]
    pub people: Vec<People>,
    /// of the people counted here, those who cannot fetch water themselves
    #[serde(default)]
    pub cannot_collect: u32,
    #[serde(default)]
    pub animals: Vec<Animals>,
    /// the supplies it can fill from
    #[serde(default)]
    pub sources: Vec<SourceId>,
    #[serde(default)]
    pub address: String,
    #[serde(default)]
    pub latitude: Option<f64>,
    #[serde(default)]
    pub longitude: Option<f64>,
    #[serde(default)]
    pub elevation_m: Option<f64>,
    /// how to get in, in words
    #[serde(default)]
    pub access: String,
    /// seen by the coordinator and the site's own keepers alone
    #[serde(default)]
    pub contact: String,
    /// likewise
    #[serde(default)]
    pub phone: String,
    #[serde(default)]
    pub notes: String,
    /// the run plan: hours a day that the generator runs the pump in an outage; 16 is "tap on demand"
    pub pump_hours_a_day: f64,
    /// litres that it keeps whatever others lack, when water is carried
    #[serde(default)]
    pub keep_l: f64,
    /// the part of what is drawn that is lost in handing it out
    #[serde(default)]
    pub handed_out_loss: f64,
    /// no longer part of the neighbourhood since
    #[serde(default)]
    pub ended: Option<Timestamp>,
}

impl Site {
    /// Hours a day a generator runs when the taps are to work on demand (common practice, no source).
    pub const TAP_ON_DEMAND_HOURS: f64 = 16.0;

    /// Everyone counted here, visitors and beds included.
    #[must_use]
    pub fn heads(&self) -> u32 {
        self.people.iter().map(|people| people.count).fold(0, u32::saturating_add)
    }

    /// The same without day visitors, who are counted at home.
    #[must_use]
    pub fn residents(&self) -> u32 {
        let residents = self.people.iter().filter(|people| people.category != Category::DayVisitor);
        residents.map(|people| people.count).fold(0, u32::saturating_add)
    }
}

pub const COLUMNS: &[Column] = &[
    Column::new("id", Cell::Id),
    Column::new("name", Cell::Text),
    Column::choice::<SiteKind>("kind"),
    Column::new("people", Cell::Rows(&[Column::choice::<Category>("category"), Column::new("count", Cell::Count)])),
    Column::new("cannot_collect", Cell::Count),
    Column::new("animals", Cell::Rows(&[Column::choice::<Animal>("animal"), Column::new("count", Cell::Count)])),
    Column::new("sources", Cell::Ids),
    Column::new("address", Cell::Text),
    Column::new("latitude", Cell::Maybe(&Cell::Figure)),
    Column::new("longitude", Cell::Maybe(&Cell::Figure)),
    Column::new("elevation_m", Cell::Maybe(&Cell::Figure)),
    Column::new("access", Cell::Text),
    Column::new("contact", Cell::Text),
    Column::new("phone", Cell::Text),
    Column::new("notes", Cell::Text),
    Column::new("pump_hours_a_day", Cell::Figure),
    Column::new("keep_l", Cell::Figure),
    Column::new("handed_out_loss", Cell::Figure),
    Column::new("ended", Cell::Maybe(&Cell::Moment)),
];
