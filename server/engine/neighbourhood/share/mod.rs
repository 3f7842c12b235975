//! The fairest that the agreed carries allow: litres for each carry so that the site with the fewest days has as many
//! as can be, then the next, and so on, class by class. Exact, with the least that must be carried for it.

mod check;
mod close;
mod forest;
mod network;
mod queue;
mod rise;
mod step;
mod stop;

#[cfg(test)]
mod laws;

pub use check::Refusal;
pub use stop::Stop;
pub use stop::TooSlow;

use crate::neighbourhood::share::network::Network;
use crate::neighbourhood::share::rise::Rise;
use crate::neighbourhood::share::rise::Stand;
use crate::neighbourhood::share::rise::Unsettled;
use crate::quantity::Time;
use crate::quantity::Unit;
use crate::quantity::Volume;
use crate::quantity::VolumeRate;
use crate::quantity::as_days;
use crate::quantity::as_litres;
use crate::quantity::as_litres_per_day;
use crate::quantity::days;
use crate::quantity::litres;
use crate::working::Figure;
use crate::working::Working;

/// A place that stores or needs water.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Site {
    /// litres that it has, of the grade that is shared
    pub volume: Volume,
    /// litres a day that it needs at the ration in force
    pub need: VolumeRate,
    /// litres that it keeps whatever others lack
    pub keep: Volume,
    /// who comes first: 1 before 2, and so on
    pub class: u64,
}

/// A way that water may go, as agreed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Carry {
    /// the giver, by its place in the list of sites
    pub from: usize,
    /// the receiver, by its place in the list of sites
    pub to: usize,
    /// the most that is sent in a day
    pub daily: VolumeRate,
    /// the part of it that does not arrive, 0 or more and less than 1
    pub loss: f64,
}

/// What is shared, and how it may go.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sharing {
    /// all places
    pub sites: Vec<Site>,
    /// all ways between them
    pub carries: Vec<Carry>,
    /// days that every class in turn is brought to before any site goes beyond; `None`: without end
    pub target: Option<Time>,
}

/// The fairest share.
#[derive(Clone, Debug, PartialEq)]
pub struct Shared {
    /// how long each site lasts, by its place in the list; `None`: it needs nothing
    pub days: Vec<Option<Time>>,
    /// litres sent on each carry over the whole time, by its place in the list
    pub moves: Vec<Volume>,
    /// why each carry stops there
    pub stops: Vec<Stop>,
    /// sites that their carries cannot keep up, and the litres a day that they would
    pub too_slow: Vec<TooSlow>,
}

impl Shared {
    /// All that is sent.
    #[must_use]
    pub fn carried(&self) -> Volume {
        // from nothing, for the sum of none is -0
        self.moves.iter().fold(litres(0.0), |sum, moved| sum + *moved)
    }

    /// The site that goes without first, and when; `None`: nothing is needed anywhere.
    #[must_use]
    pub fn first(&self) -> Option<(usize, Time)> {
        let lasting = self.days.iter().enumerate().filter_map(|(site, days)| days.map(|days| (site, days)));
        lasting.min_by(|one, other| as_days(one.1).total_cmp(&as_days(other.1)))
    }
}

/// The fairest share that the carries allow: days of every site, litres on every carry, and why each stops there.
///
/// **Formula.** T_i = (litres − Σ sent + Σ received) / need, with sent ≤ litres a day × T of the receiver on each carry
/// and Σ sent ≤ litres − kept at each giver; the vector T is the lexicographic max–min, class by class; then the least
/// Σ sent. Found exactly, by raising the day and mending the flows as they come to their ends (a parametric dual simplex
/// method on a network with losses); no step is rounded to a day.
///
/// **Arguments.** [`Sharing`]: litres, kept and litres a day 0 to 1e15; need 0, or 1e-9 to 1e15 litres a day; loss 0 to
/// less than 1; class from 1. Water received is used where it arrives: a carry is entered from its first giver to its
/// last receiver. To a site without need nothing is carried.
///
/// **Errors of the answer.** Below 1e-9 of each figure for inputs of like size. Amounts a day that differ by less than
/// 1e-9 of themselves count as equal.
///
/// ```
/// use keepwell_engine::neighbourhood::share::{Carry, Sharing, Site, share};
/// use keepwell_engine::quantity::{as_days, as_litres, litres, litres_per_day};
///
/// // By hand: at 60 L a day, 100 T = 200 + 60 T, so T = 5 and 300 L are sent; the giver has (3000 − 300) ÷ 300 = 9 days.
/// let site = |store, need| Site { volume: litres(store), need: litres_per_day(need), keep: litres(0.0), class: 1 };
/// let carry = Carry { from: 0, to: 1, daily: litres_per_day(60.0), loss: 0.0 };
/// let shared = share(&Sharing { sites: vec![site(3000.0, 300.0), site(200.0, 100.0)], carries: vec![carry], target: None })?;
/// let lasts: Vec<f64> = shared.days.iter().flatten().map(|lasts| as_days(*lasts)).collect();
/// assert!((lasts[0] - 9.0).abs() < 1e-9 && (lasts[1] - 5.0).abs() < 1e-9);
/// assert!((as_litres(shared.carried()) - 300.0).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::neighbourhood::share::Refusal>(())
/// ```
///
/// **Reference.** The project's own definition of a fair share. The method: a dual simplex method with a parameter in
/// the right-hand side, on a generalised network (Ahuja, Magnanti, Orlin 1993, Network Flows, chapters 11 and 15), from
/// memory.
///
/// # Errors
/// [`Refusal`] names the site or carry, the figure and what is allowed.
pub fn share(sharing: &Sharing) -> Result<Shared, Refusal> {
    check::check(sharing)?;
    let network = Network::new(sharing);
    let mut rise = Rise::new(&network);
    fill(&mut rise, sharing).map_err(|Unsettled| Refusal::TooFarApart)?;
    let lasts: Vec<Option<f64>> =
        rise.stand.iter().map(|stand| if let Stand::Closed(days) = stand { Some(*days) } else { None }).collect();
    let (stops, too_slow) = stop::reasons(sharing, &network, &lasts, &rise.flow);
    Ok(Shared {
        days: lasts.into_iter().map(|lasts| lasts.map(days)).collect(),
        moves: rise.flow.iter().take(sharing.carries.len()).copied().map(litres).collect(),
        stops,
        too_slow,
    })
}

/// Class by class; with a target, each as far as that, and then together whoever got there.
fn fill(rise: &mut Rise, sharing: &Sharing) -> Result<(), Unsettled> {
    let mut needing: Vec<usize> = (0..sharing.sites.len()).filter(|site| rise.net.need[*site] > 0.0).collect();
    let target = sharing.target.map(as_days);
    needing.sort_by_key(|site| sharing.sites[*site].class);
    if target != Some(0.0) {
        for class in needing.chunk_by(|one, other| sharing.sites[*one].class == sharing.sites[*other].class) {
            rise.rise(class, 0.0, target.unwrap_or(f64::INFINITY))?;
        }
    }
    target.map_or(Ok(()), |target| rise.rise(&needing, target, f64::INFINITY))
}

/// How a share came to its days: what was shared, the levels of the fairest vector that are lowest, and what was carried.
///
/// **Reference.** The project's own rules; no published table covers them.
#[must_use]
pub fn working(sharing: &Sharing, shared: &Shared) -> Working {
    let volume: Volume = sharing.sites.iter().map(|site| site.volume).sum();
    let need: VolumeRate = sharing.sites.iter().map(|site| site.need).sum();
    let mut working = Working::new(
        "Days of water, shared as agreed",
        "T = (litres − Σ sent + Σ received × (1 − loss)) / (litres a day)",
    )
    .input("Drinking water in reach", "Σ litres", Figure::exact(as_litres(volume), Unit::Litre), "estimate")
    .input(
        "Litres needed a day",
        "Σ (litres a day)",
        Figure::exact(as_litres_per_day(need), Unit::LitrePerDay),
        "ration",
    );
    if let Some(target) = sharing.target {
        working = working.input("Days that come first", "D", Figure::exact(as_days(target), Unit::Day), "set-up");
    }
    let mut levels: Vec<f64> = shared.days.iter().flatten().map(|lasts| as_days(*lasts)).collect();
    levels.sort_by(f64::total_cmp);
    levels.dedup_by(|one, other| (*one - *other).abs() <= 1e-9 * other.abs());
    if let Some(first) = levels.first() {
        working = working.step("Days of the site with the fewest", "min T", Figure::exact(*first, Unit::Day));
    }
    for next in levels.iter().skip(1).take(9) {
        working =
            working.step("Days of those with the next fewest", "min T of the rest", Figure::exact(*next, Unit::Day));
    }
    working
        .step("Litres carried", "Σ sent", Figure::exact(as_litres(shared.carried()), Unit::Litre))
        .without("water passed on by those who receive it")
        .without("the labour of a carry beyond its litres a day")
        .source("the fairest share by the project's own rules; common practice, no source")
}
