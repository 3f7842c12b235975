//! Why each carry stops where it does, and whom the carries cannot keep up.

use crate::neighbourhood::share::Sharing;
use crate::neighbourhood::share::network::Network;
use crate::neighbourhood::share::rise::JUST;
use crate::quantity::VolumeRate;
use crate::quantity::as_days;
use crate::quantity::litres_per_day;

/// Two amounts this near, as a part of the larger, are shown as one.
const SAME: f64 = 1e-9;

/// Why a carry moves what it does, and no more.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stop {
    /// the receiver needs no water
    NoNeed,
    /// with all its carries the receiver cannot keep up, and it has no store to fall back on
    TooSlow,
    /// it moves all it may, every day
    DailyLimit,
    /// the giver has nothing beyond what it keeps
    NothingToGive,
    /// the giver is down to what it keeps
    KeepsTheRest,
    /// the receiver has the days that come first, and others have not
    TargetReached,
    /// the giver comes first, or those it gives to
    OthersFirst,
    /// more would leave the giver, or another it gives to, with fewer days than the receiver
    WouldShorten,
    /// the receiver has its days by other carries, with less to carry
    NotNeeded,
}

/// A site that its carries cannot keep up: it lasts at most its store ÷ what is wanting each day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TooSlow {
    /// which site, by its place in the list
    pub site: usize,
    /// litres a day that arrive when every carry to it runs at its limit: the need that they would hold
    pub holds: VolumeRate,
}

pub(super) fn reasons(
    sharing: &Sharing,
    net: &Network,
    lasts: &[Option<f64>],
    flow: &[f64],
) -> (Vec<Stop>, Vec<TooSlow>) {
    let mut arrives: Vec<Option<f64>> = vec![None; net.sites];
    let mut given = vec![0.0; net.sites];
    for (carry, (arc, flow)) in sharing.carries.iter().zip(net.arcs.iter().zip(flow)) {
        *arrives[carry.to].get_or_insert(0.0) += arc.daily * arc.gain;
        given[carry.from] += flow;
    }
    let slow = |site: usize| arrives[site].filter(|arrives| *arrives < net.need[site] * (1.0 - JUST));
    let too_slow = (0..net.sites)
        .filter_map(|site| slow(site).map(|holds| TooSlow { site, holds: litres_per_day(holds) }))
        .collect();
    let stop = |index: usize| {
        let (carry, arc) = (&sharing.carries[index], &net.arcs[index]);
        let Some(receiver) = lasts[carry.to] else { return Stop::NoNeed };
        let spare = net.spare[carry.from];
        if receiver <= 0.0 && slow(carry.to).is_some() {
            return Stop::TooSlow;
        }
        if receiver > 0.0 && flow[index] >= arc.daily * receiver * (1.0 - SAME) {
            return Stop::DailyLimit;
        }
        if spare <= 0.0 {
            return Stop::NothingToGive;
        }
        let classes = (sharing.sites[carry.from].class, sharing.sites[carry.to].class);
        let target = sharing.target.map(as_days);
        let at_target = target.is_some_and(|target| (receiver - target).abs() <= SAME * target);
        if at_target && classes.1 < classes.0 {
            return Stop::TargetReached;
        }
        if given[carry.from] >= spare * (1.0 - SAME) {
            return Stop::KeepsTheRest;
        }
        // what it may give and does not, it uses itself
        let short_of_target = |days: f64| target.is_none_or(|target| days < target);
        match lasts[carry.from] {
            Some(giver) if giver <= receiver * (1.0 + SAME) => Stop::WouldShorten,
            Some(giver) if classes.0 < classes.1 && short_of_target(giver.min(receiver)) => Stop::OthersFirst,
            _ => Stop::NotNeeded,
        }
    };
    ((0..sharing.carries.len()).map(stop).collect(), too_slow)
}
