//! What would hurt less after a loss: steps that lengthen no day as things stand, each tried in what the loss would leave,
//! by the reckoning that today is, and put in the same order as the moves.

use std::collections::BTreeSet;

use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::hours;

use crate::model::id::BankId;
use crate::model::id::VesselId;
use crate::picture::Picture;
use crate::picture::VesselPicture;
use crate::picture::losses::Lost;
use crate::picture::losses::fallen;
use crate::picture::losses::is_loose;
use crate::picture::moves::LOOKED_AT;
use crate::picture::moves::NextMove;
use crate::picture::moves::What;
use crate::picture::moves::bought;
use crate::picture::moves::by_worth;
use crate::picture::moves::standing;
use crate::picture::standing::Standing;
use crate::picture::suppose::Suppose;
use crate::picture::today::SiteToday;
use crate::picture::today::Today;
use crate::picture::today::TodayError;

/// Hours of work (common practice, no source): to strap a tank to a wall, to shut a valve and say so.
const TO_ANCHOR: f64 = 2.0;
const TO_SHUT_A_VALVE: f64 = 0.1;

/// One step, with the loss after which it buys what it buys.
#[derive(Clone, Debug, PartialEq)]
pub struct Guard {
    pub after: Lost,
    pub step: NextMove,
}

/// The steps that help, the most litres for the work first.
///
/// # Errors
/// A figure that the engine does not take.
pub fn guards(picture: &Picture, today: &Today) -> Result<Vec<Guard>, TodayError> {
    let shaken = fallen(today);
    let quake = Lost::Earthquake { vessels: shaken.len() };
    let mut found = Vec::new();
    for site in today.sites.iter().filter(|site| site.standing.needs_water()).take(LOOKED_AT) {
        let here = Here { picture, today, site };
        let vessels: Vec<&VesselPicture> =
            site.site.vessels_at(today.now).filter(|vessel| shaken.contains(&vessel.vessel.id)).collect();
        if vessels.is_empty() {
            continue;
        }
        let fallen: BTreeSet<VesselId> = vessels.iter().map(|vessel| vessel.vessel.id).collect();
        let then = here.without(fallen.clone())?;
        for vessel in vessels.iter().filter(|vessel| !vessel.is_coupled()) {
            let id = vessel.vessel.id;
            let step = (What::Anchor { vessel: id }, hours(TO_ANCHOR));
            found.extend(here.spared(quake, (&then, &fallen), &[id], step)?);
        }
        for (bank, together) in banks(&vessels) {
            let step = (What::Uncouple { bank }, hours(TO_SHUT_A_VALVE));
            let held = together.iter().filter(|vessel| !is_loose(vessel)).map(|vessel| vessel.vessel.id);
            let shaken = here.spared(quake, (&then, &fallen), &held.collect::<Vec<_>>(), step)?;
            let both = [shaken, here.leaking(&together, step)?].into_iter().flatten();
            found.extend(both.max_by(|a, b| a.step.gain.value.total_cmp(&b.step.gain.value)));
        }
    }
    found.sort_by(|a, b| by_worth(&a.step, &b.step));
    Ok(found)
}

/// The open banks among those vessels, each with its vessels.
fn banks<'a>(vessels: &[&'a VesselPicture]) -> Vec<(BankId, Vec<&'a VesselPicture>)> {
    let mut banks: Vec<(BankId, Vec<&VesselPicture>)> = Vec::new();
    for vessel in vessels.iter().filter(|vessel| vessel.is_coupled()) {
        let Some(bank) = vessel.vessel.bank else { continue };
        match banks.iter_mut().find(|there| there.0 == bank) {
            Some(there) => there.1.push(vessel),
            None => banks.push((bank, vec![vessel])),
        }
    }
    banks
}

struct Here<'a> {
    picture: &'a Picture,
    today: &'a Today,
    site: &'a SiteToday,
}

impl Here<'_> {
    /// The site as it would stand without those.
    fn without(&self, lost: BTreeSet<VesselId>) -> Result<Standing, TodayError> {
        let suppose: Suppose = self.today.suppose.clone().and_lost(lost);
        standing(self.today, self.site, &suppose)
    }

    /// What it buys that some are spared, of all that the loss takes here; none if it buys nothing.
    fn spared(
        &self,
        after: Lost,
        (before, taken): (&Standing, &BTreeSet<VesselId>),
        spared: &[VesselId],
        step: (What, Time),
    ) -> Result<Option<Guard>, TodayError> {
        let then = self.without(taken.iter().copied().filter(|vessel| !spared.contains(vessel)).collect())?;
        let step = bought(self.picture, self.today, self.site, (before, &then), step)?;
        Ok(step.map(|step| Guard { after, step }))
    }

    /// The same where the fullest of a bank leaks: all of it runs out, or that one alone.
    fn leaking(&self, together: &[&VesselPicture], step: (What, Time)) -> Result<Option<Guard>, TodayError> {
        let held = |vessel: &VesselPicture| -> Volume { vessel.estimate(self.today.now).volume };
        let fullest = together.iter().max_by(|a, b| held(a).value.total_cmp(&held(b).value));
        let Some(fullest) = fullest.map(|vessel| vessel.vessel.id) else { return Ok(None) };
        let all: BTreeSet<VesselId> = together.iter().map(|vessel| vessel.vessel.id).collect();
        let others: Vec<VesselId> = all.iter().copied().filter(|vessel| *vessel != fullest).collect();
        let after = Lost::Vessel { site: self.site.site.site.id, vessel: fullest, vessels: all.len() };
        let before = self.without(all.clone())?;
        self.spared(after, (&before, &all), &others, step)
    }
}
