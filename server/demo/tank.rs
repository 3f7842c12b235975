//! What truly is in a vessel, known to nobody; what people read, fill and draw comes from it with the error of their
//! way of measuring.

use jiff::Timestamp;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::as_metres;
use keepwell_engine::quantity::as_square_metres;
use keepwell_engine::quantity::litres;
use keepwell_engine::quantity::metres;
use keepwell_engine::vessel::Kind;
use keepwell_engine::vessel::Shape;

use crate::demo::diary::Diary;
use crate::demo::diary::When;
use crate::demo::odd;
use crate::model::choice::Choice;
use crate::model::entry::Act;
use crate::model::entry::discard::Discard;
use crate::model::entry::discard::HowFar;
use crate::model::entry::draw::Draw;
use crate::model::entry::fill::Fill;
use crate::model::entry::fill::Measured;
use crate::model::entry::reading::From;
use crate::model::entry::reading::Method;
use crate::model::entry::reading::Reading;
use crate::model::id::SourceId;
use crate::model::vessel::Vessel;
use crate::service::Error;

/// Something that happens to a vessel.
#[derive(Clone, Debug)]
pub enum Deed {
    /// filled to the top
    Top,
    /// the same, from another source than usual
    TopFrom(SourceId),
    /// used down to the tap
    Out,
    /// poured away down to the tap
    Pour,
    /// emptied, heel and all
    Drain,
    /// so much used, and how it was measured
    Use(f64, Measured),
    /// used until about so much is left, by meter
    To(f64),
    /// so much used that nobody logged
    Unseen(f64),
    /// filled, and nobody logged it
    Missed,
    /// so much more is in it, logged elsewhere
    More(f64),
    /// read
    Read(Method),
    /// read down from the rim
    FromRim,
    /// the counter at its outlet
    Meter,
    /// anything else
    Say(Act),
}

/// One deed: when, by whom.
pub type Event = (When, &'static str, Deed);

#[derive(Debug)]
pub struct Tank<'a> {
    vessel: &'a Vessel,
    shape: Shape,
    full: f64,
    heel: f64,
    source: SourceId,
    lot: Option<String>,
    /// days that bought water is printed to keep
    keeps: Option<i64>,
    /// how many alike stand open to each other
    alike: f64,
    truth: f64,
    meter: f64,
    /// litres a day that leak out since
    leak: Option<(Timestamp, f64)>,
    last: Option<Timestamp>,
}

impl<'a> Tank<'a> {
    pub fn new(vessel: &'a Vessel) -> Result<Self, Error> {
        let kind = Kind::from_key(vessel.shape.key()).ok_or_else(|| odd(anyhow::anyhow!("no such shape")))?;
        let shape =
            Shape::from_dimensions(kind, |key| vessel.dimensions.get(key).copied(), &vessel.strapping).map_err(odd)?;
        let at = |height: f64| -> Result<f64, Error> {
            if shape.height().is_none() {
                return Ok(0.0);
            }
            shape.volume_at(metres(height)).map(as_litres).map_err(odd)
        };
        let full = vessel.full_m.map_or_else(|| Ok(as_litres(shape.brim())), at)?;
        let lowest = vessel.draws.iter().map(|draw| draw.height_m).fold(f64::INFINITY, f64::min);
        let heel = if lowest.is_finite() { at(lowest)? } else { 0.0 };
        let source = vessel.source.ok_or_else(|| odd(anyhow::anyhow!("no source to fill it from")))?;
        Ok(Self {
            vessel,
            shape,
            full,
            heel,
            source,
            lot: None,
            keeps: None,
            alike: 1.0,
            truth: 0.0,
            meter: 41_300.0,
            leak: None,
            last: None,
        })
    }

    /// So many containers of the set, told apart as a lot.
    pub fn lot(mut self, name: &str, containers: f64) -> Self {
        self.full = containers * self.each();
        self.lot = Some(name.to_owned());
        self
    }

    pub const fn keeping(mut self, days: i64) -> Self {
        self.keeps = Some(days);
        self
    }

    pub const fn alike(mut self, vessels: f64) -> Self {
        self.alike = vessels;
        self
    }

    pub const fn leaking(mut self, since: Timestamp, litres_a_day: f64) -> Self {
        self.leak = Some((since, litres_a_day));
        self
    }

    /// Lives through what happens to it, in the order of time.
    pub fn live(&mut self, diary: &mut Diary, mut events: Vec<Event>) -> Result<(), Error> {
        events.sort_by_key(|((ago, hour), ..)| (-ago, *hour));
        for (when, who, deed) in events {
            let ago = when.0;
            let at = diary.time(when)?.max(self.last.unwrap_or(Timestamp::MIN));
            self.leak_until(at);
            if let Some(act) = self.happen(diary, ago, deed)? {
                diary.log(who, at, Some(self.vessel.site), Some(self.vessel.id), act)?;
            }
            self.last = Some(at);
        }
        Ok(())
    }

    fn leak_until(&mut self, at: Timestamp) {
        if let Some((since, a_day)) = self.leak
            && at > since
        {
            let days = at.duration_since(since.max(self.last.unwrap_or(since))).as_secs_f64() / 86_400.0;
            self.truth = (self.truth - a_day * days).max(0.0);
        }
    }

    fn happen(&mut self, diary: &mut Diary, ago: i64, deed: Deed) -> Result<Option<Act>, Error> {
        let act = match deed {
            Deed::Top => return self.top(diary, ago, self.source).map(Some),
            Deed::TopFrom(source) => return self.top(diary, ago, source).map(Some),
            Deed::Out => {
                self.truth = self.heel;
                Act::Draw(Draw { litres: None, to_outlet: true, measured: None, lot: self.lot.clone(), note: None })
            }
            Deed::Pour => {
                self.truth = self.heel;
                self.pour(HowFar::ToOutlet)
            }
            Deed::Drain => {
                self.truth = 0.0;
                self.pour(HowFar::Drained)
            }
            Deed::Use(amount, measured) => self.used(diary, amount, measured),
            Deed::To(left) => self.used(diary, (self.truth - left).max(1.0), Measured::Meter),
            Deed::Unseen(amount) => {
                self.truth = (self.truth - amount).max(0.0);
                self.meter += amount;
                return Ok(None);
            }
            Deed::Missed => {
                self.truth = self.full;
                return Ok(None);
            }
            Deed::More(amount) => {
                self.truth = (self.truth + amount).min(as_litres(self.shape.brim()));
                return Ok(None);
            }
            Deed::Read(method) => Act::Reading(self.reading(diary, method)?),
            Deed::FromRim => Act::Reading(self.read_from_rim(diary)?),
            Deed::Meter => Act::Reading(Reading { meter_l: Some(self.meter.round()), ..Reading::by(Method::Meter) }),
            Deed::Say(act) => act,
        };
        Ok(Some(act))
    }

    /// To the top, or within a centimetre of it; a set by counting the containers that were filled.
    fn top(&mut self, diary: &mut Diary, ago: i64, source: SourceId) -> Result<Act, Error> {
        let before = self.truth;
        let counted = self.lot.is_some();
        let slack = match self.shape.height() {
            Some(_) => {
                let surface = self.shape.surface_at(self.depth(self.full)?).map_err(odd)?;
                diary.up_to(0.01) * as_square_metres(surface) * 1_000.0
            }
            None => 0.0,
        };
        self.truth = self.full - slack;
        let printed = self.keeps.map(|days| diary.day(ago - days)).transpose()?;
        Ok(Act::Fill(Fill {
            litres: counted.then_some((self.full - before).max(0.0)),
            to_top: !counted,
            measured: counted.then_some(Measured::Bucket),
            source,
            boiled: false,
            printed,
            lot: self.lot.clone(),
            note: None,
        }))
    }

    fn pour(&self, how_far: HowFar) -> Act {
        Act::Discard(Discard { how_far, litres: None, lot: self.lot.clone(), note: None })
    }

    fn used(&mut self, diary: &mut Diary, amount: f64, measured: Measured) -> Act {
        let part = match measured {
            Measured::Meter => 0.008_7,
            Measured::Bucket => 0.02,
            Measured::Guess => 0.15,
        };
        let amount = amount.min(self.truth - self.heel).max(0.0);
        self.truth -= amount;
        self.meter += amount;
        let noted = self.alike * amount * (1.0 + part * diary.error().clamp(-2.0, 2.0));
        let litres = Some(noted.round().min(as_litres(self.shape.brim())));
        Act::Draw(Draw { litres, to_outlet: false, measured: Some(measured), lot: self.lot.clone(), note: None })
    }

    fn reading(&self, diary: &mut Diary, method: Method) -> Result<Reading, Error> {
        let brim = as_litres(self.shape.brim());
        let mut reading = Reading { lot: self.lot.clone(), ..Reading::by(method) };
        match method {
            Method::Counted => reading.full = Some((self.truth / self.each()).round()),
            Method::Eye => reading.part = Some(((8.0 * self.truth / brim).round() / 8.0).clamp(0.0, 1.0)),
            Method::Meter => reading.meter_l = Some(self.meter.round()),
            Method::Dipstick => reading.depth_m = Some(self.seen(diary, 0.004)?),
            Method::SightGlass => reading.depth_m = Some(self.seen(diary, 0.005)?),
            Method::Sensor => reading.depth_m = Some(self.seen(diary, 0.007)?),
        }
        Ok(reading)
    }

    fn read_from_rim(&self, diary: &mut Diary) -> Result<Reading, Error> {
        let rim = self.shape.height().map_or(0.0, as_metres);
        let down = (1_000.0 * (rim - self.seen(diary, 0.004)?)).round() / 1_000.0;
        Ok(Reading { depth_m: Some(down), from: Some(From::Rim), ..Reading::by(Method::Dipstick) })
    }

    /// A depth to the millimetre, wrong by that many metres in one case of three.
    fn seen(&self, diary: &mut Diary, error: f64) -> Result<f64, Error> {
        let rim = self.shape.height().map_or(0.0, as_metres);
        let depth = as_metres(self.depth(self.truth)?) + error * diary.error().clamp(-2.0, 2.0);
        Ok((1_000.0 * depth).round().clamp(0.0, (1_000.0 * rim).floor()) / 1_000.0)
    }

    fn depth(&self, volume: f64) -> Result<keepwell_engine::quantity::Length, Error> {
        self.shape.depth_of(litres(volume)).map_err(odd)
    }

    fn each(&self) -> f64 {
        self.vessel.dimensions.get("litres_each").copied().unwrap_or(1.0)
    }
}
