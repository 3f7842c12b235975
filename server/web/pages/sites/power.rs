//! A site's power: fuel on hand, what is burnt, how long that runs.

use keepwell_engine::moment::Moment;
use keepwell_engine::power::PowerError;
use keepwell_engine::power::RunPlan;
use keepwell_engine::power::RunTime;
use keepwell_engine::quantity::Mass;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::as_hours;
use keepwell_engine::quantity::as_watts;
use keepwell_engine::quantity::days;
use keepwell_engine::working::Trust;

use crate::picture::SitePicture;
use crate::picture::bears::Bears;
use crate::picture::bears::Verdict;
use crate::picture::bears::bears;
use crate::picture::cluster::moment;
use crate::picture::power::PowerNow;
use crate::picture::power::plan;
use crate::picture::standing::Standing;
use crate::web::pages::sites::works::Line;
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
    /// sun and battery carry the pump before it
    pub spared: bool,
    pub stores: Vec<Phrase>,
    /// when a generator last ran
    pub ran: Option<Phrase>,
    pub extended: bool,
    /// the plan by which the fuel lasts as long as the water, beside the one in force
    pub plan: Option<Plan>,
    /// why there can be none
    pub no_plan: Option<String>,
    /// whether it bears what hangs on it
    pub bears: Vec<Line>,
}

/// Hours a day that stretch the fuel, and what they cost in comfort.
pub struct Plan {
    pub hours: Time,
    pub lasts: Time,
    /// "06:00 to 08:10 and 19:50 to 22:00"
    pub runs: String,
    pub gap: Time,
    pub drawn_ahead: Volume,
    /// still flows between the runs: the pressure tank, and what a battery lifts
    pub bridged: Volume,
}

impl Plan {
    fn of(reader: &Reader, plan: &RunPlan) -> Self {
        let clock = |at: Time| {
            let minutes = (as_hours(at) * 60.0).round().rem_euclid(24.0 * 60.0);
            format!("{:02}:{:02}", (minutes / 60.0).floor(), minutes % 60.0)
        };
        let run = |run: &RunTime| {
            shown::words(reader, "{from} to {until}")
                .with("from", clock(run.starts))
                .with("until", clock(run.starts + run.lasts))
                .to_string()
        };
        let lasts = plan.fuel_lasts.min(plan.water_lasts);
        let runs = plan.runs.iter().map(run).collect::<Vec<_>>().join(", ");
        Self {
            hours: plan.hours,
            lasts,
            runs,
            gap: plan.longest_gap,
            drawn_ahead: plan.drawn_ahead,
            bridged: plan.bridged,
        }
    }
}

impl Power {
    ///
    /// # Errors
    /// A figure of the set-up that the engine does not take; it names it.
    pub fn of(
        reader: &Reader,
        site: &SitePicture,
        standing: &Standing,
        now: Moment,
    ) -> Result<Option<Self>, PowerError> {
        let Some(power) = standing.power.clone() else { return Ok(None) };
        let found = plan(site, standing, now);
        let no_plan = found.as_ref().err().map(ToString::to_string);
        let better = |plan: &RunPlan| plan.hours < power.hours_a_day && plan.gains > days(0.05);
        let plan_found = found.ok().flatten().filter(better).map(|found| Plan::of(reader, &found));
        let mass = (power.fuel == keepwell_engine::power::FuelKind::Propane)
            .then(|| power.fuel.mass_of(power.on_hand.good))
            .flatten();
        let part = power.hours_a_day / days(1.0);
        let lasts = power.running.filter(|_| part.value > 0.0).map(|running| running / part.value);
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
                .with("hours", shown::figure(reader, *hours, Unit::Hour))
        });
        Ok(Some(Self {
            fuel: power.fuel.name(),
            stored: power.fuel.stored(),
            mass,
            old: Some(power.on_hand.old).filter(|old| *old > Volume::default()),
            days: lasts,
            spared: standing.run.battery.is_some(),
            stores,
            ran,
            extended: power.trust == Trust::Extrapolated,
            bears: bears(site, standing, now)?.map(|now| borne(reader, &now)).unwrap_or_default(),
            plan: plan_found,
            no_plan,
            now: power,
        }))
    }
}

/// What it makes, what is asked of it, and whether it bears that.
fn borne(reader: &Reader, now: &Bears) -> Vec<Line> {
    let say = |key: &str| shown::words(reader, key);
    let watts = |power| shown::figure(reader, as_watts(power), Unit::Watt);
    let seconds = match &now.bursts {
        Some(bursts) => say("{watts} for some seconds").with("watts", watts(bursts.value)),
        None => say("what it gives for some seconds is not set up"),
    };
    let makes = Line {
        what: say("makes all day, as height leaves it"),
        figure: watts(now.makes.value),
        notes: vec![seconds, say("up to 25 °C; warmer air takes 1 % for each 5.6 °C (10 °F)")],
        mind: Vec::new(),
    };
    let name = |at: &usize| now.names.get(*at).map_or("", String::as_str);
    let hardest = now.borne.hardest.as_ref().map(|at| {
        say("{watts} as {load} starts while the rest runs")
            .with("watts", watts(now.borne.any_start))
            .with("load", name(at))
    });
    let order = now.borne.order.iter().map(name).collect::<Vec<_>>().join(", ");
    let mind = match now.verdict {
        Verdict::All => None,
        Verdict::InOrder => Some(say("Start them in this order, or it may stall: {order}.").with("order", order)),
        Verdict::Unsaid => Some(say(
            "Whether it starts them nobody knows: set up what it gives for some seconds, and what the pump takes as it starts.",
        )),
        Verdict::NotAll => Some(say("It does not bear all of them at once: run less, the pump first.")),
        Verdict::NotThePump => Some(say("It cannot run or start the pump, so no day counts on it.")),
    };
    let asked = Line {
        what: say("asked by all that hangs on it"),
        figure: watts(now.borne.running),
        notes: hardest.into_iter().collect(),
        mind: mind.into_iter().collect(),
    };
    vec![makes, asked]
}
