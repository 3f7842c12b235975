//! Whether a site's generator bears what hangs on it, as height over the sea leaves it.

use keepwell_engine::moment::Moment;
use keepwell_engine::power;
use keepwell_engine::power::Borne;
use keepwell_engine::power::Derating;
use keepwell_engine::power::PowerError;
use keepwell_engine::quantity::Power;
use keepwell_engine::quantity::celsius;
use keepwell_engine::quantity::metres;
use keepwell_engine::quantity::watts;
use keepwell_engine::working::Reckoned;

use crate::model::power::Generator;
use crate::picture::SitePicture;
use crate::picture::power::OnIt;
use crate::picture::power::generator_of;
use crate::picture::power::loads_of;
use crate::picture::standing::Standing;

/// Up to so warm a generator loses nothing; in more heat it does, and nobody knows how hot it will be.
const NO_LOSS_UP_TO: f64 = 25.0;

/// A motor takes 3 to 7 times its running power as it starts: see [`power::bears`].
const STARTS_AT_MOST: f64 = 7.0;

/// By makers' manuals of standby sets with spark plugs: see [`Derating`].
fn rule() -> Derating {
    Derating { a_thousand_feet: 0.035, ten_fahrenheit: 0.01, from: celsius(NO_LOSS_UP_TO) }
}

/// A generator and what hangs on it.
#[derive(Clone, Debug)]
pub struct Bears {
    /// what it makes all day, as height leaves it
    pub makes: Reckoned<Power>,
    /// the same for some seconds; none where nobody said it
    pub bursts: Option<Reckoned<Power>>,
    pub borne: Borne,
    /// what hangs on it, by name
    pub names: Vec<String>,
    pub verdict: Verdict,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// it runs all of them, and starts any while the others run
    All,
    /// it starts them one after the other, the hardest first
    InOrder,
    /// it runs them; whether it starts them nobody knows
    Unsaid,
    /// not all of them at once
    NotAll,
    /// not the pump, even alone
    NotThePump,
}

/// What the generator in use bears, where anything hangs on it.
///
/// # Errors
/// A figure of the set-up that the engine does not take; it names it.
pub fn bears(site: &SitePicture, standing: &Standing, now: Moment) -> Result<Option<Bears>, PowerError> {
    let (Some(generator), Some(power)) = (generator_of(site, now), &standing.power) else {
        return Ok(None);
    };
    let on_it =
        loads_of(site, &standing.demand, standing.pump.as_ref(), standing.train.as_ref(), power.hours_a_day, now);
    let takes: Vec<OnIt> = on_it.into_iter().filter(|on_it| on_it.load.surge > watts(0.0)).collect();
    if takes.is_empty() {
        return Ok(None);
    }
    let left = |of: f64| rule().rating(watts(of), metres(height(site)), celsius(NO_LOSS_UP_TO));
    let makes = left(generator.rated_w)?;
    let bursts = generator.burst_w.map(left).transpose()?;
    let pumps = pumps(site, generator, &takes)?;
    let said = takes.iter().filter(|on_it| on_it.pump).all(|on_it| on_it.start_said);
    let at_most: Vec<power::Load> = takes.iter().map(starts_at_most).collect();
    let (names, loads): (Vec<String>, Vec<power::Load>) =
        takes.into_iter().map(|on_it| (on_it.load.name.clone(), on_it.load)).unzip();
    let for_seconds = bursts.as_ref().map_or(makes.value, |bursts| bursts.value);
    let borne = power::bears(makes.value, for_seconds, &loads)?;
    let surely = said || power::bears(makes.value, for_seconds, &at_most)?.starts_any;
    let verdict = if !pumps {
        Verdict::NotThePump
    } else if !borne.runs {
        Verdict::NotAll
    } else if borne.starts_any && surely {
        Verdict::All
    } else if bursts.is_none() || !said {
        Verdict::Unsaid
    } else if borne.starts_in_order {
        Verdict::InOrder
    } else {
        Verdict::NotAll
    };
    Ok(Some(Bears { makes, bursts, borne, names, verdict }))
}

/// A pump of which nobody said it takes at most so many times its power as it starts.
fn starts_at_most(on_it: &OnIt) -> power::Load {
    let surge = if on_it.pump && !on_it.start_said { on_it.load.running * STARTS_AT_MOST } else { on_it.load.surge };
    power::Load { surge, ..on_it.load.clone() }
}

/// Whether a generator runs and starts the pump alone. What it gives for some seconds counts only where somebody said it.
///
/// # Errors
/// As [`bears`].
pub(super) fn pumps(site: &SitePicture, generator: &Generator, on_it: &[OnIt]) -> Result<bool, PowerError> {
    let left = |of: f64| rule().left(watts(of), metres(height(site)), celsius(NO_LOSS_UP_TO));
    let (makes, bursts) = (left(generator.rated_w)?, generator.burst_w.map(left).transpose()?);
    let mut pumps = on_it.iter().filter(|on_it| on_it.pump).map(|on_it| &on_it.load);
    Ok(pumps.all(|pump| pump.running <= makes && bursts.is_none_or(|bursts| pump.surge <= bursts)))
}

fn height(site: &SitePicture) -> f64 {
    site.site.elevation_m.unwrap_or(0.0)
}
