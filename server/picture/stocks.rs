//! The water of a site as a run draws on it: what counts as what, what can be reached, and what is supposed of it.

use keepwell_engine::endurance::Heels;
use keepwell_engine::endurance::Stock;
use keepwell_engine::grade::Grade;
use keepwell_engine::level::Estimate;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::days;
use keepwell_engine::quantity::litres;

use crate::model::id::VesselId;
use crate::picture::PartNow;
use crate::picture::SitePicture;
use crate::picture::VesselPicture;
use crate::picture::suppose::Suppose;

/// A test vouches for the litres "that rest on a test" for so many days.
const TESTED_WITHIN_DAYS: f64 = 90.0;

/// Litres at a site, by what they are counted as.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Water {
    /// counted as drinking water and in reach by some way
    pub drink: Volume,
    /// one standard deviation of that
    pub drink_sd: Volume,
    /// in reach, to be treated first
    pub treat: Volume,
    /// in reach, for washing floors and flushing only
    pub utility: Volume,
    /// on hold, in no total
    pub hold: Volume,
    /// drinking water in what counts only while the mains are off, as long as they are on
    pub waiting: Volume,
    /// below every outlet, or where nothing draws
    pub out_of_reach: Volume,
    /// of the drinking water in reach: rests on a test under 90 days old; on the fill date alone
    pub tested: Volume,
    pub untested: Volume,
}

/// Which vessel and lot a stock of the run is.
#[derive(Clone, Debug, PartialEq)]
pub struct StockOf {
    pub vessel: VesselId,
    pub lot: String,
    pub estimate: Estimate,
    pub in_reach: Volume,
    pub grade: Grade,
}

impl StockOf {
    /// The most that its vessel holds.
    #[must_use]
    pub fn brim(&self, site: &SitePicture) -> Option<Volume> {
        let vessel = site.vessels.iter().find(|vessel| vessel.vessel.id == self.vessel)?;
        Some(vessel.body.capacity.brim)
    }
}

/// The waters of a site, in the order in which they are used, and what they come to.
pub fn stocks_of(
    site: &SitePicture,
    now: Moment,
    outage: bool,
    suppose: &Suppose,
) -> (Vec<StockOf>, Vec<Stock>, Water) {
    let mut found: Vec<(Option<Moment>, StockOf, Stock)> = Vec::new();
    let mut water = Water::default();
    let mut variance = 0.0;
    let mut cans = None;
    let own = suppose.at(site.site.id);
    let frozen = |vessel: &VesselPicture| suppose.frost && vessel.vessel.may_freeze;
    let lost = |vessel: &VesselPicture| own.lost || frozen(vessel) || suppose.lost.contains(&vessel.vessel.id);
    for vessel in site.vessels_at(now).filter(|vessel| vessel.is_known() && !lost(vessel)) {
        let body = &vessel.body;
        let heel = Heels { pump: body.pump.filter(|_| !own.pumpless), gravity: body.gravity, dip: body.dip };
        let lowest = [heel.pump, heel.gravity, heel.dip].into_iter().flatten().reduce(Volume::min);
        let parts = vessel.parts(now);
        let alone = parts.len() == 1;
        for (number, mut part) in parts.into_iter().enumerate() {
            suppose_of(vessel, &mut part, alone, suppose, now);
            let Some(grade) = part.graded.grade else { continue };
            let volume = part.estimate.volume;
            let reach = lowest.map_or_else(Volume::default, |heel| (volume - heel).max(Volume::default()));
            if vessel.vessel.outage_only && !outage {
                if grade == Grade::Drink {
                    water.waiting += reach;
                }
                continue;
            }
            match grade {
                Grade::Drink => {
                    water.drink += reach;
                    variance += part.estimate.sd.value * part.estimate.sd.value;
                    if tested(&part.graded, now) { water.tested += reach } else { water.untested += reach }
                }
                Grade::Treat => water.treat += reach,
                Grade::Utility => water.utility += reach,
                Grade::Hold => water.hold += volume,
            }
            if grade != Grade::Hold {
                water.out_of_reach += volume - reach;
            }
            let id = format!("{}/{number}", vessel.vessel.id);
            let stock = Stock { id, grade, volume, heel };
            let of =
                StockOf { vessel: vessel.vessel.id, lot: part.lot, estimate: part.estimate, in_reach: reach, grade };
            found.push((part.graded.clock, of, stock));
        }
    }
    if own.cans_l > 0.0 {
        let (volume, none) = (litres(own.cans_l), Volume::default());
        water.drink += volume;
        water.untested += volume;
        let heel = Heels { dip: Some(none), ..Heels::default() };
        cans = Some(Stock { id: "cans".to_owned(), grade: Grade::Drink, volume, heel });
    }
    water.drink_sd = Volume { value: variance.sqrt(), ..Volume::default() };
    // The oldest is used first.
    found.sort_by(|a, b| a.0.cmp(&b.0).then_with(|| a.2.id.cmp(&b.2.id)));
    let mut of = Vec::with_capacity(found.len());
    let mut stocks = Vec::with_capacity(found.len());
    for (_, stock_of, stock) in found {
        of.push(stock_of);
        stocks.push(stock);
    }
    stocks.extend(cans);
    (of, stocks, water)
}

/// A part as it would be if what is supposed of its vessel had been done.
fn suppose_of(vessel: &VesselPicture, part: &mut PartNow, alone: bool, suppose: &Suppose, now: Moment) {
    let id = vessel.vessel.id;
    if alone && suppose.filled.contains(&id) {
        let full = vessel.body.capacity.full;
        part.estimate = Estimate { volume: full, sd: Volume::default(), low: full, high: full };
        // what was empty is as good as what comes in, but for what the vessel itself brings
        let of_vessel = || part.graded.causes.iter().map(|cause| cause.grade()).max().unwrap_or(Grade::Drink);
        part.graded.grade = part.graded.grade.or_else(|| Some(of_vessel()));
    }
    if suppose.restored.contains(&id) {
        part.graded.grade = Some(Grade::Drink);
    }
    if suppose.fouled.contains(&id) {
        part.graded.grade = part.graded.grade.map(|grade| grade.max(Grade::Utility));
    }
    if !suppose.spoilt.is_empty() && !vessel.may_come_from(now).is_disjoint(&suppose.spoilt) {
        part.graded.grade = part.graded.grade.map(|_| Grade::Hold);
    }
}

fn tested(graded: &keepwell_engine::grade::Graded, now: Moment) -> bool {
    graded.reasons.iter().any(|reason| match reason {
        keepwell_engine::grade::Reason::Tested { at, .. } => now.since(*at) < days(TESTED_WITHIN_DAYS),
        _ => false,
    })
}
