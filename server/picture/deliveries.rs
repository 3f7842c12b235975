//! The delivery list: those who cannot fetch water themselves, what they need a day, from when it has to be brought to
//! their door, and from where.

use std::sync::Arc;

use keepwell_engine::demand::HAND_CAP;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::litres;

use crate::model::carry::Carry;
use crate::model::carry::Means;
use crate::model::site::Category;
use crate::picture::Picture;
use crate::picture::moves::CAN;
use crate::picture::shared::agreed;
use crate::picture::today::SiteToday;
use crate::picture::today::Today;
use crate::picture::today::rung;

/// What is brought to the doors of one site.
#[derive(Clone, Debug)]
pub struct Delivery {
    /// the site's place in the answer
    pub place: usize,
    pub people: u32,
    /// litres a day
    pub a_day: Volume,
    /// cans a day, each full but the last
    pub cans: u64,
    /// when water comes to their own tap no more; none: it does as far as is looked
    pub from: Option<Time>,
    /// when the site's own store gives nothing more; none: it does as far as is looked
    pub store_ends: Option<Time>,
    /// those that reach the site
    pub carries: Vec<Arc<Carry>>,
    /// litres a day that those by cart, car or hose bring
    pub brought: Volume,
}

impl Delivery {
    /// Whether the site's own store still gives water once it has to be brought.
    #[must_use]
    pub fn has_store(&self) -> bool {
        self.store_ends.is_none_or(|ends| ends > self.from.unwrap_or_default())
    }

    /// Whether nothing that is agreed brings all of it: the store gives none, and too little comes on wheels or by hose.
    #[must_use]
    pub fn is_open(&self) -> bool {
        let enough = as_litres(self.a_day) * (1.0 - 1e-9);
        self.from.is_some() && !self.has_store() && as_litres(self.brought) < enough
    }
}

/// The sites in use where somebody cannot fetch water: those that come first when water is shared, then the soonest.
#[must_use]
pub fn deliveries(picture: &Picture, today: &Today) -> Vec<Delivery> {
    let counted = today.sites.iter().enumerate().filter(|(_, site)| site.site.site.cannot_collect > 0);
    let mut all: Vec<Delivery> = counted.map(|(place, site)| delivery(picture, today, place, site)).collect();
    all.sort_by(|a, b| {
        let standing = |one: &Delivery| &today.sites[one.place].standing;
        let from = |one: &Delivery| one.from.map_or(f64::INFINITY, |from| from.value);
        let name = |one: &Delivery| &today.sites[one.place].site.site.name;
        let first = standing(b).demand.priority.cmp(&standing(a).demand.priority);
        first.then(from(a).total_cmp(&from(b))).then_with(|| name(a).cmp(name(b)))
    });
    all
}

fn delivery(picture: &Picture, today: &Today, place: usize, site: &SiteToday) -> Delivery {
    let timeline = &site.standing.timeline;
    let tap = timeline.spans.first().filter(|span| span.level == Some(0)).map_or_else(Time::default, |span| span.to);
    let from = (tap < site.standing.run.horizon).then_some(tap);
    let a_day = need(today, site, from.unwrap_or_default());
    let here = site.site.site.id;
    let to_here = |carry: &&Arc<Carry>| carry.to == here && today.site(carry.from).is_some();
    let carries: Vec<Arc<Carry>> =
        agreed(picture, today.now).filter(|_| !today.suppose.uncarried).filter(to_here).map(Arc::clone).collect();
    let on_wheels = carries.iter().filter(|carry| carry.means != Means::Foot);
    let brought = on_wheels.fold(0.0, |sum, carry| sum + carry.litres_a_day * (1.0 - carry.loss));
    Delivery {
        place,
        people: site.site.site.cannot_collect,
        a_day,
        cans: cans(a_day),
        from,
        store_ends: timeline.dry_from(),
        carries,
        brought: litres(brought),
    }
}

/// Litres a day of drinking water for them at a time from now: the ration in force then as far as it is carried by hand,
/// the heat with it. Nobody says who they are: patients in beds, whom no ration cuts, are taken to be the first of them.
fn need(today: &Today, site: &SiteToday, at: Time) -> Volume {
    let day = as_days(at);
    let later = today.suppose.then.as_ref().filter(|then| then.after <= day).map(|then| rung(&then.ration));
    let ration = later.as_ref().unwrap_or(&today.rung).uses();
    let hot = if day < today.suppose.heat_days { ration.drink } else { Volume::default() };
    let each = ration.carried(litres(HAND_CAP)).drink_grade() + hot;
    let people = site.site.site.cannot_collect;
    let in_beds = site.site.site.people.iter().filter(|people| people.category == Category::Bed);
    let beds = in_beds.map(|people| people.count).fold(0, u32::saturating_add);
    let patients = people.min(beds);
    each * f64::from(people - patients) + site.standing.demand.beds * (f64::from(patients) / f64::from(beds.max(1)))
}

/// Full cans that so much takes; a thousandth of a litre is none.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "whole, not negative, far below 2^53")]
fn cans(a_day: Volume) -> u64 {
    ((as_litres(a_day) - 1e-3) / CAN).ceil().max(0.0) as u64
}
