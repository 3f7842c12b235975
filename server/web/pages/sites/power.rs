//! A site's power: fuel on hand, what is burnt, how long that runs.

use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Mass;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::days;
use keepwell_engine::working::Trust;

use crate::picture::SitePicture;
use crate::picture::cluster::moment;
use crate::picture::power::PowerNow;
use crate::picture::standing::Standing;
use crate::web::reader::Reader;
use crate::web::shown;
use crate::web::words::Phrase;

pub struct Power {
    pub now: PowerNow,
    pub fuel: &'static str,
    /// gas from the main is not in store
    pub stored: bool,
    /// the same fuel by weight, for what is sold by it
    pub mass: Option<Mass>,
    /// too old, or nobody knows how old: not counted
    pub old: Option<Volume>,
    /// days at the run plan
    pub days: Option<Time>,
    pub stores: Vec<Phrase>,
    /// when a generator last ran
    pub ran: Option<Phrase>,
    pub extended: bool,
}

impl Power {
    #[must_use]
    pub fn of(reader: &Reader, site: &SitePicture, standing: &Standing, now: Moment) -> Option<Self> {
        let power = standing.power.clone()?;
        let mass = (power.fuel == keepwell_engine::power::FuelKind::Propane)
            .then(|| power.fuel.mass_of(power.on_hand.good))
            .flatten();
        let plan = power.hours_a_day / days(1.0);
        let lasts = power.running.filter(|_| plan.value > 0.0).map(|running| running / plan.value);
        let stores = site
            .fuel_stores
            .iter()
            .filter(|store| store.ended.is_none_or(|ended| moment(ended) > now))
            .filter_map(|store| {
                let state = site.ledger.state.fuel.get(&store.id)?;
                let litres = keepwell_engine::quantity::litres(state.litres);
                Some(
                    shown::words(reader, "{store}: {litres}, as of {date}")
                        .with("store", store.name.as_str())
                        .with("litres", shown::litres(reader, litres))
                        .with("date", shown::date(reader, &state.told)),
                )
            })
            .collect();
        let ran = site.ledger.state.last_run.values().max_by_key(|run| run.0).map(|(at, hours)| {
            shown::words(reader, "last ran {date}, {hours}")
                .with("date", shown::date(reader, at))
                .with("hours", shown::figure(reader, *hours, keepwell_engine::quantity::Unit::Hour))
        });
        Some(Self {
            fuel: power.fuel.name(),
            stored: power.fuel.stored(),
            mass,
            old: Some(power.on_hand.old).filter(|old| *old > Volume::default()),
            days: lasts,
            stores,
            ran,
            extended: power.trust == Trust::Extrapolated,
            now: power,
        })
    }
}
