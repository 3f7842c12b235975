//! The fairest that the agreed carries allow: how long each site lasts with them, and what is carried from where to where.

use std::collections::BTreeMap;
use std::sync::Arc;

use keepwell_engine::level::BAND;
use keepwell_engine::moment::Moment;
use keepwell_engine::neighbourhood::share::Refusal;
use keepwell_engine::neighbourhood::share::Shared;
use keepwell_engine::neighbourhood::share::Sharing;
use keepwell_engine::neighbourhood::share::Site;
use keepwell_engine::neighbourhood::share::Stop;
use keepwell_engine::neighbourhood::share::share;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::VolumeRate;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::days;
use keepwell_engine::quantity::litres;
use keepwell_engine::quantity::litres_per_day;

use crate::model::carry::Carry;
use crate::model::entry::Act;
use crate::model::entry::Entry;
use crate::model::id::SiteId;
use crate::picture::Picture;
use crate::picture::cluster::moment;
use crate::picture::standing::Standing;
use crate::picture::today::SiteToday;

/// Priority sites are a class of their own that comes first.
const FIRST: u64 = 1;
const OTHERS: u64 = 2;

/// With the agreed carries.
#[derive(Clone, Debug)]
pub struct WithCarries {
    /// what was shared, sites in the order of the answer
    pub sharing: Sharing,
    /// how long each site lasts, by its place in the answer; `None`: it needs nothing
    pub shared: Shared,
    /// the first person to go without: which site, and when
    pub first: Option<(usize, Time)>,
    /// 8 times in 10 the first goes without between these
    pub band: Option<(Time, Time)>,
    /// what is carried, the most first; a carry that moves nothing too, for it says why
    pub moves: Vec<Move>,
    /// sites that their carries cannot keep up, by their place in the answer, and the litres a person a day that they would
    pub too_slow: Vec<(usize, Volume)>,
}

/// What one carry does.
#[derive(Clone, Debug)]
pub struct Move {
    pub carry: Arc<Carry>,
    /// its place in what was shared
    place: usize,
    /// litres sent over the whole time
    pub sent: Volume,
    /// litres sent a day
    pub daily: VolumeRate,
    /// how long it goes on: as long as the receiver lasts
    pub until: Time,
    /// trips over the whole time
    pub trips: f64,
    pub stop: Stop,
}

/// One carry, if no other is taken.
#[derive(Clone, Copy, Debug)]
pub struct Alone {
    /// by their places in the answer
    pub to: usize,
    pub from: usize,
    pub sent: Volume,
    /// when those it is carried to go without
    pub lasts: Time,
    /// the same of its giver; none where that needs nothing
    pub giver: Option<Time>,
}

impl WithCarries {
    /// None where no carry is agreed between sites in use.
    ///
    /// # Errors
    /// A figure that the engine does not take.
    pub fn of(
        picture: &Picture,
        sites: &[SiteToday],
        now: Moment,
        target: Option<f64>,
    ) -> Result<Option<Self>, Refusal> {
        let places: BTreeMap<SiteId, usize> =
            sites.iter().enumerate().map(|(place, site)| (site.site.site.id, place)).collect();
        let agreed: Vec<(Arc<Carry>, usize, usize)> = agreed(picture, now)
            .filter_map(|carry| Some((Arc::clone(carry), *places.get(&carry.from)?, *places.get(&carry.to)?)))
            .collect();
        if agreed.is_empty() {
            return Ok(None);
        }
        let carries = agreed.iter().map(|(carry, from, to)| keepwell_engine::neighbourhood::share::Carry {
            from: *from,
            to: *to,
            daily: litres_per_day(carry.litres_a_day),
            loss: carry.loss,
        });
        let mut sharing = Sharing {
            sites: sites.iter().map(|site| shared_site(site, site.standing.timeline.days_at_ration)).collect(),
            carries: carries.collect(),
            target: target.map(days),
        };
        let band = band(&mut sharing, sites)?;
        let shared = share(&sharing)?;
        let first = shared.first().filter(|(_, at)| *at < sites[0].standing.run.horizon);
        let mut moves: Vec<Move> =
            agreed.iter().enumerate().map(|(place, (carry, _, to))| step(carry, *to, place, &shared)).collect();
        moves.sort_by(|a, b| b.sent.value.total_cmp(&a.sent.value));
        let too_slow = shared.too_slow.iter().map(|slow| (slow.site, each(&sites[slow.site].standing, slow.holds)));
        let too_slow = too_slow.collect();
        Ok(Some(Self { band: band.filter(|_| first.is_some()), sharing, shared, first, moves, too_slow }))
    }

    /// When the first person goes without if one site, by its place, stood otherwise; `None`: nobody, as far as is looked.
    ///
    /// # Errors
    /// A figure that the engine does not take.
    pub fn first_with(&self, place: usize, site: &SiteToday) -> Result<Option<Time>, Refusal> {
        let mut sharing = self.sharing.clone();
        sharing.sites[place] = shared_site(site, site.standing.timeline.days_at_ration);
        let first = share(&sharing)?.first().map(|(_, at)| at);
        Ok(first.filter(|at| *at < site.standing.run.horizon))
    }

    /// What one carry does if no other is taken; none where nothing is sent.
    ///
    /// # Errors
    /// A figure that the engine does not take.
    pub fn alone(&self, step: &Move) -> Result<Option<Alone>, Refusal> {
        let Some(carry) = self.sharing.carries.get(step.place) else { return Ok(None) };
        let (from, to) = (carry.from, carry.to);
        let alone = Sharing { carries: vec![*carry], ..self.sharing.clone() };
        let shared = share(&alone)?;
        let ends = |place: usize| shared.days.get(place).copied().flatten();
        let sent = ends(to).zip(shared.moves.first().copied());
        Ok(sent.map(|(lasts, sent)| Alone { to, from, sent, lasts, giver: ends(from) }))
    }

    /// All that is sent.
    #[must_use]
    pub fn carried(&self) -> Volume {
        self.shared.carried()
    }

    /// Trips in all.
    #[must_use]
    pub fn trips(&self) -> f64 {
        self.moves.iter().map(|step| step.trips).sum()
    }
}

/// The carries that are agreed at a moment.
pub(super) fn agreed(picture: &Picture, now: Moment) -> impl Iterator<Item = &Arc<Carry>> {
    let in_use = move |carry: &&Arc<Carry>| carry.ended.is_none_or(|ended| moment(ended) > now);
    picture.set_up.carries.values().map(|kept| &kept.thing).filter(in_use)
}

/// When a carry was last taken since a moment: by a transfer between its sites, or by a draw that names it.
#[must_use]
pub fn taken_since(picture: &Picture, carry: &Carry, since: Moment) -> Option<jiff::Timestamp> {
    let giver = picture.site(carry.from)?;
    let to = |id| picture.vessel(id).is_some_and(|(site, _)| site.site.id == carry.to);
    let is_trip = |entry: &&Arc<Entry>| match &entry.act {
        Act::Transfer(transfer) => to(transfer.to),
        Act::Draw(draw) => draw.note.as_deref() == Some(carry.name.as_str()),
        _ => false,
    };
    let of_giver = |entry: &&Arc<Entry>| entry.site == Some(carry.from) && moment(entry.at) >= since;
    let trips = giver.vessels.iter().filter_map(|vessel| {
        let since = vessel.cluster.history().iter().rev().take_while(|entry| moment(entry.at) >= since);
        since.filter(of_giver).find(is_trip).map(|entry| entry.at)
    });
    trips.max()
}

/// A site as it comes to be shared with: the litres that it could itself use at the ration, so that water which nothing
/// brings up once the fuel is spent is promised to nobody.
pub(super) fn shared_site(site: &SiteToday, lasts: Time) -> Site {
    let standing = &site.standing;
    let need = litres_per_day(as_litres(standing.demand.drink_grade()));
    let class = if standing.demand.priority { FIRST } else { OTHERS };
    let used = need * lasts;
    let nothing_needed = need <= VolumeRate::default();
    let in_reach = standing.water.drink + standing.treatable();
    let volume = if nothing_needed || standing.timeline.ration_to_horizon { in_reach } else { used };
    Site { volume, need, keep: litres(site.site.site.keep_l), class }
}

/// The first to go without, with every site at the low and at the high end of its own band.
fn band(sharing: &mut Sharing, sites: &[SiteToday]) -> Result<Option<(Time, Time)>, Refusal> {
    let believed = sharing.sites.clone();
    let mut ends = Vec::with_capacity(2);
    for high in [false, true] {
        for (shared, site) in sharing.sites.iter_mut().zip(sites) {
            let standing = &site.standing;
            *shared = shared_site(site, if high { standing.high } else { standing.low });
            if standing.timeline.ration_to_horizon || !standing.needs_water() {
                let by = standing.water.drink_sd * if high { BAND } else { -BAND };
                shared.volume = (shared.volume + by).max(Volume::default());
            }
        }
        ends.push(share(sharing)?.first().map(|(_, at)| at));
    }
    sharing.sites = believed;
    Ok(match ends[..] {
        [Some(low), Some(high)] => Some((low, high)),
        _ => None,
    })
}

/// Trips that so much takes; a thousandth of a litre is none.
pub(super) fn trips(carry: &Carry, sent: Volume) -> f64 {
    ((as_litres(sent) - 1e-3) / carry.litres_a_trip).ceil().max(0.0)
}

fn step(carry: &Arc<Carry>, to: usize, place: usize, shared: &Shared) -> Move {
    let sent = shared.moves[place];
    let until = shared.days[to].unwrap_or_default();
    let daily = if until > Time::default() { sent / until } else { VolumeRate::default() };
    let trips = trips(carry, sent);
    Move { carry: Arc::clone(carry), place, sent, daily, until, trips, stop: shared.stops[place] }
}

/// What so much a day is for each person of a site.
fn each(standing: &Standing, daily: VolumeRate) -> Volume {
    let people = standing.run.people.max(1.0);
    daily * days(1.0) / people
}
