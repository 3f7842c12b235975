//! What free chlorine is to be expected in a vessel, from its own tests of one water: those since it was last filled,
//! dosed or mixed. A forecast asks for a test and changes no grade.

use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::celsius;
use keepwell_engine::quantity::mg_per_litre;
use keepwell_engine::treatment::Falls;
use keepwell_engine::treatment::FittedRate;
use keepwell_engine::treatment::FloorForecast;
use keepwell_engine::treatment::ResidualForecast;
use keepwell_engine::treatment::ResidualTest;
use keepwell_engine::treatment::TEST_ERROR;
use keepwell_engine::treatment::TreatmentError;
use keepwell_engine::treatment::fitted_rate;
use keepwell_engine::treatment::usual_temperature_effect;
use keepwell_engine::working::Reckoned;

use crate::model::entry::Act;
use crate::model::entry::Entry;
use crate::model::entry::test::Test;
use crate::picture::VesselPicture;
use crate::picture::cluster::moment;

/// The least free chlorine that stored drinking water is meant to keep where its policy names none, mg/L: WHO, Sphere
/// 2018.
pub const USUAL_FLOOR_MG_L: f64 = 0.2;
/// The water's temperature where a test does not say, °C: common practice, no source. The same for all tests of a
/// vessel then, so that it counts for nothing.
const USUAL_CELSIUS: f64 = 15.0;

/// The forecast, and what it rests on.
#[derive(Clone, Debug)]
pub struct Forecast {
    /// when each test was, and what it read in mg/L
    pub tests: Vec<(Moment, f64)>,
    /// mg/L
    pub floor: f64,
    pub rate: Reckoned<FittedRate>,
    pub now: Reckoned<ResidualForecast>,
    pub to_floor: Reckoned<FloorForecast>,
}

/// Why there is none.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoForecast {
    /// containers told apart have waters of their own
    InLots,
    /// judged by total chlorine, which is no free chlorine
    Chloramine,
    /// nobody tested it since that
    NoTest(Option<Moment>),
    /// one test is no line
    OneTest(Moment),
    /// the last test found none
    NoneLeft(Moment),
    /// the tests do not fall
    NotFalling,
    /// a figure of a test that is not taken
    Refused(TreatmentError),
}

impl Forecast {
    /// # Errors
    /// [`NoForecast`] says why the tests do not allow it.
    pub fn of(vessel: &VesselPicture, now: Moment) -> Result<Self, NoForecast> {
        let [part] = vessel.state().parts.as_slice() else { return Err(NoForecast::InLots) };
        if part.water.contents(now).is_some_and(|inside| inside.chloramine) {
            return Err(NoForecast::Chloramine);
        }
        let (renewed, read) = of_one_water(vessel, now);
        let (Some(first), Some(last)) = (read.first(), read.last()) else { return Err(NoForecast::NoTest(renewed)) };
        if last.free <= 0.0 {
            return Err(NoForecast::NoneLeft(last.at));
        }
        if read.len() < 2 {
            return Err(NoForecast::OneTest(last.at));
        }
        let measured = read.iter().all(|test| test.celsius.is_some());
        let celsius_of = |test: &Read| celsius(test.celsius.filter(|_| measured).unwrap_or(USUAL_CELSIUS));
        let tests: Vec<ResidualTest> = read
            .iter()
            .map(|test| ResidualTest {
                after: test.at.since(first.at),
                free: mg_per_litre(test.free),
                temperature: celsius_of(test),
            })
            .collect();
        let rate = fitted_rate(&tests, celsius_of(last), usual_temperature_effect(), TEST_ERROR)?;
        let floor = vessel.vessel.policy.floor_mg_l.unwrap_or(USUAL_FLOOR_MG_L);
        Ok(Self {
            now: rate.value.residual_after(now.since(first.at).max(Time::default()))?,
            to_floor: rate.value.to_floor(mg_per_litre(floor))?,
            tests: read.iter().map(|test| (test.at, test.free)).collect(),
            rate,
            floor,
        })
    }

    /// When it falls so far; none where it never does.
    #[must_use]
    pub fn day(&self, falls: Falls) -> Option<Moment> {
        let (first, _) = self.tests.first()?;
        match falls {
            Falls::Already => Some(*first),
            Falls::In(time) => Some(first.after(time)),
            Falls::Never => None,
        }
    }
}

impl From<TreatmentError> for NoForecast {
    fn from(error: TreatmentError) -> Self {
        match error {
            TreatmentError::NotFalling | TreatmentError::TooFewReadings { .. } => Self::NotFalling,
            other => Self::Refused(other),
        }
    }
}

struct Read {
    at: Moment,
    free: f64,
    celsius: Option<f64>,
}

/// When the water last became another, and the tests of free chlorine since.
fn of_one_water(vessel: &VesselPicture, now: Moment) -> (Option<Moment>, Vec<Read>) {
    let mut read = Vec::new();
    let mut renewed = None;
    for entry in vessel.cluster().history().iter().rev().filter(|entry| moment(entry.at) <= now) {
        let at = moment(entry.at);
        if renews(vessel, entry) {
            renewed = Some(at);
            break;
        }
        if let Act::Test(test) = &entry.act
            && entry.vessel == Some(vessel.vessel.id)
            && let Some(free) = test.free_mg_l
        {
            read.push(Read { at, free, celsius: test.temperature_c });
        }
    }
    read.reverse();
    (renewed, read)
}

/// The last test of free chlorine of the water that is in it now, and when that was; none where it was filled, dosed or mixed since.
#[must_use]
pub fn last_test(vessel: &VesselPicture, now: Moment) -> Option<(Moment, &Test)> {
    let history = vessel.cluster().history().iter().rev().filter(|entry| moment(entry.at) <= now);
    let of_this = history.take_while(|entry| !renews(vessel, entry));
    let tests = of_this.filter(|entry| entry.vessel == Some(vessel.vessel.id)).filter_map(|entry| match &entry.act {
        Act::Test(test) if test.free_mg_l.is_some() => Some((moment(entry.at), test)),
        _ => None,
    });
    tests.into_iter().next()
}

/// Whether the water is another after it, or its chlorine is.
fn renews(vessel: &VesselPicture, entry: &Entry) -> bool {
    let own = entry.vessel == Some(vessel.vessel.id);
    match &entry.act {
        Act::Fill(_) | Act::Dose(_) | Act::Disinfection(_) => own,
        Act::Transfer(transfer) => transfer.to == vessel.vessel.id,
        Act::Coupling(coupling) => Some(coupling.bank) == vessel.vessel.bank,
        _ => false,
    }
}
