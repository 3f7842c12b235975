//! What a forecast refuses, before a draw is made.

use crate::endurance;
use crate::endurance::Run;
use crate::forecast::Question;
use crate::forecast::Site;
use crate::quantity::as_days;
use crate::quantity::as_litres;

/// The most draws that are made: the error of a chance is then 0.005 at most.
pub(super) const MOST_DRAWS: u32 = 10_000;

/// Why there is no forecast.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Refusal {
    /// a run that cannot be reckoned
    #[error("site number {site}, counted from 0: {why}")]
    Run {
        /// which site
        site: usize,
        /// what is wrong with its run
        why: endurance::Refusal,
    },
    /// a figure of the question that is not a number, or outside its range
    #[error("{field} is {value}; allowed is {allowed}")]
    Question {
        /// which figure
        field: &'static str,
        /// what was given
        value: f64,
        /// what may be given, in words
        allowed: &'static str,
    },
    /// a figure of a site that is not a number, or outside its range
    #[error("{field} of site number {site}, counted from 0, is {value}; allowed is {allowed}")]
    Figure {
        /// which site
        site: usize,
        /// which figure
        field: &'static str,
        /// what was given
        value: f64,
        /// what may be given, in words
        allowed: &'static str,
    },
    /// not as many doubts as there are stocks or events
    #[error("site number {site}, counted from 0, has {given} {field}; allowed is {needed}, one for each")]
    Count {
        /// which site
        site: usize,
        /// "doubts of stocks" or "chances of events"
        field: &'static str,
        /// how many there are
        given: usize,
        /// how many there must be
        needed: usize,
    },
    /// two sites of one key
    #[error("two sites have the key {key:?}; allowed is once")]
    SiteTwice {
        /// the key given
        key: String,
    },
}

pub(super) fn check_question(question: &Question) -> Result<(), Refusal> {
    if !(1..=MOST_DRAWS).contains(&question.draws) {
        let (field, allowed) = ("number of draws", "1 to 10000");
        return Err(Refusal::Question { field, value: f64::from(question.draws), allowed });
    }
    let figure = |field, value: f64, most: f64, allowed| {
        let good = (0.0..=most).contains(&value);
        if good { Ok(()) } else { Err(Refusal::Question { field, value, allowed }) }
    };
    figure("target", as_days(question.target), 3_650_000.0, "0 to 3650000 days")?;
    figure("part of the spread of use that all share", question.use_joint, 1.0, "0 to 1")?;
    let Some(outage) = question.outage else { return Ok(()) };
    let half = as_days(outage.half_over);
    if !(0.001..=3650.0).contains(&half) {
        let (field, allowed) = ("days by which half of such outages are over", "0.001 to 3650");
        return Err(Refusal::Question { field, value: half, allowed });
    }
    let most = as_days(outage.nine_in_ten_over);
    if most >= half && most <= 36_500.0 {
        return Ok(());
    }
    let field = "days by which nine in ten such outages are over";
    Err(Refusal::Question { field, value: most, allowed: "at least those for half of them, and no more than 36500" })
}

pub(super) fn check_sites(sites: &[Site], question: &Question) -> Result<(), Refusal> {
    let mut keys: Vec<&str> = sites.iter().map(|site| site.key.as_str()).collect();
    keys.sort_unstable();
    if let Some((key, _)) = keys.iter().zip(keys.iter().skip(1)).find(|(one, next)| one == next) {
        return Err(Refusal::SiteTwice { key: (*key).to_owned() });
    }
    let horizon = sites.first().map(|site| site.run.horizon);
    for (place, site) in sites.iter().enumerate() {
        check_site(place, site)?;
        let own = as_days(site.run.horizon);
        if Some(site.run.horizon) != horizon {
            let allowed = "the horizon of the first site";
            return Err(Refusal::Figure { site: place, field: "horizon", value: own, allowed });
        }
        if question.target > site.run.horizon {
            let (field, allowed) = ("target", "no more than the horizon of the runs");
            return Err(Refusal::Question { field, value: as_days(question.target), allowed });
        }
    }
    Ok(())
}

pub(super) fn check_site(place: usize, site: &Site) -> Result<(), Refusal> {
    let Run { stocks, events, .. } = &site.run;
    let counts =
        [("doubts of stocks", site.stocks.len(), stocks.len()), ("chances of events", site.events.len(), events.len())];
    for (field, given, needed) in counts {
        if given != needed {
            return Err(Refusal::Count { site: place, field, given, needed });
        }
    }
    let figure = |field, value: f64, most: f64, allowed| {
        let good = (0.0..=most).contains(&value);
        if good { Ok(()) } else { Err(Refusal::Figure { site: place, field, value, allowed }) }
    };
    figure("spread of use", site.use_spread, 3.0, "0 to 3, a part of the use")?;
    figure("spread of fuel burnt", site.burn_spread, 3.0, "0 to 3, a part of the burn")?;
    figure("spread of the sun", site.sun_spread, 3.0, "0 to 3, a part of the sun")?;
    figure("part of the errors that all stocks share", site.stocks_joint, 1.0, "0 to 1")?;
    for (doubt, stock) in site.stocks.iter().zip(stocks) {
        figure("standard deviation of a stock", as_litres(doubt.sd), 1e15, "0 to 1e15 L")?;
        let Some(brim) = doubt.brim else { continue };
        if !(brim >= stock.volume && as_litres(brim) <= 1e15) {
            let allowed = "at least what is in the stock, and no more than 1e15 L";
            return Err(Refusal::Figure { site: place, field: "brim of a stock", value: as_litres(brim), allowed });
        }
    }
    for chance in &site.events {
        figure("chance that something comes", chance.comes, 1.0, "0 to 1")?;
        figure("days that something comes late", as_days(chance.late), 3650.0, "0 to 3650")?;
    }
    Ok(())
}
