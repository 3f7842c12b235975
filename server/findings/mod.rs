//! What is not in order: pure rules over the picture, one file each, with the level at which it is raised and the one at
//! which it clears. A rule sees a site, its standing and the hour; what it finds is a message and what to do.

mod fuel_first;
mod leak;
mod light;
mod media;
mod misfit;
mod no_outlet;
mod notice;
mod old_fuel;
mod on_hold;
mod overdue;
mod stale_reading;
mod train;
mod trouble;
mod twice_dosed;
mod unread;
mod weak_generator;

use std::collections::HashMap;
use std::collections::HashSet;
use std::sync::Arc;

use keepwell_engine::moment::Moment;

use crate::model::id::SiteId;
use crate::model::id::VesselId;
use crate::model::message::Message;
use crate::picture::Picture;
use crate::picture::SitePicture;
use crate::picture::VesselPicture;
use crate::picture::source::Sources;
use crate::picture::standing::Standing;
use crate::picture::today::SiteToday;
use crate::picture::today::Today;

/// How much it presses, the most first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// a person is needed now
    DoNow,
    /// past its date
    Overdue,
    /// to be kept in mind
    Mind,
    /// due soon; no mark
    Due,
}

/// Something not in order.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// the rule's name, which does not change
    pub rule: &'static str,
    pub weight: Weight,
    pub site: SiteId,
    pub vessel: Option<VesselId>,
    pub since: Option<Moment>,
    pub what: Message,
    pub todo: Message,
}

/// What a rule sees.
#[derive(Clone, Copy, Debug)]
pub struct Scene<'a> {
    pub picture: &'a Picture,
    pub site: &'a SitePicture,
    /// none for a site that cannot be reckoned
    pub standing: Option<&'a Standing>,
    pub now: Moment,
}

impl Scene<'_> {
    fn finding(&self, rule: &'static str, weight: Weight, what: Message, todo: Message) -> Finding {
        Finding { rule, weight, site: self.site.site.id, vessel: None, since: None, what, todo }
    }

    fn of_vessel(
        &self,
        rule: &'static str,
        vessel: &VesselPicture,
        weight: Weight,
        what: Message,
        todo: Message,
    ) -> Finding {
        Finding { vessel: Some(vessel.vessel.id), ..self.finding(rule, weight, what, todo) }
    }
}

/// A rule: from what it sees to what it finds.
type Rule = fn(&Scene<'_>, &mut Vec<Finding>);

/// Every rule. A new one is a file and a line here.
const RULES: &[Rule] = &[
    trouble::look,
    on_hold::look,
    notice::look,
    fuel_first::look,
    overdue::look,
    leak::look,
    media::look,
    train::look,
    light::look,
    misfit::look,
    twice_dosed::look,
    no_outlet::look,
    stale_reading::look,
    unread::look,
    old_fuel::look,
    weak_generator::look,
];

/// Everything not in order at a site, the most pressing first.
#[must_use]
pub fn at(scene: &Scene<'_>) -> Vec<Finding> {
    let mut found = Vec::new();
    for rule in RULES {
        rule(scene, &mut found);
    }
    found.sort_by_key(|finding| finding.weight);
    found
}

/// What was found earlier in the same minute and the same set-up.
#[derive(Clone, Debug)]
pub struct Before {
    pub sources: Arc<Sources>,
    pub today: Arc<Today>,
    pub found: Arc<[Finding]>,
}

/// Everything not in order at any site, the most pressing first, then the sites in the order of their days. A site that
/// has not changed since `before` is not looked at again, unless a source has, which may be any site's.
#[must_use]
pub fn everywhere(picture: &Picture, today: &Today, before: Option<&Before>) -> Vec<Finding> {
    let before = before.filter(|before| Arc::ptr_eq(&before.sources, &picture.sources));
    let mut looked_at: HashMap<SiteId, &Arc<Standing>> = HashMap::new();
    if let Some(Before { today: before, .. }) = before {
        looked_at.extend(before.sites.iter().map(|site| (site.site.site.id, &site.standing)));
    }
    let (mut found, mut places, mut same) = (Vec::new(), HashMap::new(), HashSet::new());
    for (place, SiteToday { site, standing }) in today.sites.iter().enumerate() {
        places.insert(site.site.id, place);
        // A standing is made anew whenever its site is.
        if looked_at.get(&site.site.id).is_some_and(|before| Arc::ptr_eq(before, standing)) {
            same.insert(site.site.id);
        } else {
            found.extend(at(&Scene { picture, site, standing: Some(standing), now: today.now }));
        }
    }
    let earlier = before.map_or(&[][..], |before| &*before.found);
    found.extend(earlier.iter().filter(|finding| same.contains(&finding.site)).cloned());
    found.sort_by_key(|finding| (finding.weight, places.get(&finding.site).copied()));
    found
}
