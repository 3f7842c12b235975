//! What is supposed beside what is believed: the same picture with one thing lost, or one thing done. What an address asks,
//! what a move would buy and what a loss would cost are all reckoned by the one way that today is.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::model::id::SiteId;
use crate::model::id::SourceId;
use crate::model::id::StageId;
use crate::model::id::VesselId;

/// Nothing of it is kept anywhere.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Suppose {
    /// what is supposed of single sites
    pub sites: BTreeMap<SiteId, AtSite>,
    /// lost: nothing in them counts
    pub lost: BTreeSet<VesselId>,
    /// filled to their full mark with good water
    pub filled: BTreeSet<VesselId>,
    /// dosed, tested and found good
    pub restored: BTreeSet<VesselId>,
    /// something got into them: washing water at best, as under a do-not-drink notice
    pub fouled: BTreeSet<VesselId>,
    /// what was filled from these supplies is on hold
    pub spoilt: BTreeSet<SourceId>,
    /// these supplies give nothing: no vessel is filled from them
    pub failed: BTreeSet<SourceId>,
    /// stages of treatment whose medium or lamp is new
    pub renewed: BTreeSet<StageId>,
    /// a hard frost: nothing can be drawn from what may freeze
    pub frost: bool,
    /// days of heat from now, on which the need for drinking doubles
    pub heat_days: f64,
    /// another ration from some day on
    pub then: Option<Then>,
    /// nothing is treated anywhere
    pub untreated: bool,
    /// nothing is carried
    pub uncarried: bool,
    /// the days that come first when water is shared, instead of those that the neighbourhood wants to last
    pub target_days: Option<f64>,
}

/// A ration that takes the place of the one in force.
#[derive(Clone, Debug, PartialEq)]
pub struct Then {
    /// a rung of the ladder, by its key
    pub ration: String,
    /// days from now
    pub after: f64,
}

/// Water that is promised to a site: into its largest vessel of drinking water, in cans where it has none.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Delivery {
    pub litres: f64,
    /// days from now
    pub day: f64,
    /// the chance that it comes, 0 to 1; in the days it is taken to come
    pub chance: f64,
}

/// What is supposed of one site.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct AtSite {
    /// all that it stores is lost; its people still need water
    pub lost: bool,
    /// its generator does not run
    pub unpowered: bool,
    /// its pump does not run: what comes by gravity or by hand is all there is
    pub pumpless: bool,
    /// people more who draw there
    pub guests: u32,
    /// litres of fuel more
    pub fuel_l: f64,
    /// another run plan, hours a day
    pub pump_hours: Option<f64>,
    /// litres of drinking water more, in cans
    pub cans_l: f64,
    pub delivery: Option<Delivery>,
}

impl Suppose {
    /// Whether it is the picture as it is.
    #[must_use]
    pub fn is_nothing(&self) -> bool {
        *self == Self::default()
    }

    #[must_use]
    pub fn at(&self, site: SiteId) -> AtSite {
        self.sites.get(&site).copied().unwrap_or_default()
    }

    /// The same, and so much more of one site.
    #[must_use]
    pub fn and_at(mut self, site: SiteId, change: impl FnOnce(&mut AtSite)) -> Self {
        change(self.sites.entry(site).or_default());
        self
    }

    /// The same, and those vessels lost.
    #[must_use]
    pub fn and_lost(mut self, vessels: impl IntoIterator<Item = VesselId>) -> Self {
        self.lost.extend(vessels);
        self
    }

    /// The same, and those vessels fouled.
    #[must_use]
    pub fn and_fouled(mut self, vessels: impl IntoIterator<Item = VesselId>) -> Self {
        self.fouled.extend(vessels);
        self
    }

    /// Whether people need more or less from some day on.
    #[must_use]
    pub const fn need_changes(&self) -> bool {
        self.heat_days > 0.0 || self.then.is_some()
    }

    /// Whether a site's own days are asked otherwise than they are.
    #[must_use]
    pub fn touches(&self, site: SiteId, mut vessels: impl Iterator<Item = VesselId>) -> bool {
        self.sites.contains_key(&site)
            || self.untreated
            || self.frost
            || !self.spoilt.is_empty()
            || !self.renewed.is_empty()
            || self.need_changes()
            || vessels.any(|vessel| {
                [&self.lost, &self.filled, &self.restored, &self.fouled].iter().any(|set| set.contains(&vessel))
            })
    }
}
