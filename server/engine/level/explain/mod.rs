//! Several explanations of one history side by side, each with a Kalman filter of its own.
//!
//! A wrong dip, a draw that nobody logged and a young leak look alike when first seen. So none is chosen: whatever may
//! have happened since the last reading (nothing, a forgotten draw, a fill nobody wrote down, a leak that began or one
//! that was mended, a vessel run dry) is joined with whatever the reading may mean (what it says, a slip one can name,
//! anything), each is worked out, and the next readings choose. [`odds`] says how often each happens.

mod belief;
mod branch;
mod entry;
mod normal;
pub mod odds;
mod prune;
mod seen;
mod state;
mod tank;
mod working;

#[cfg(test)]
mod laws;
#[cfg(test)]
mod tests;

pub use belief::Belief;
pub use belief::Leak;
pub use belief::Misfit;
pub use belief::Outlook;
pub use belief::Rate;
pub use belief::Why;
pub use entry::End;
pub use entry::Entry;
pub use entry::EntryError;
pub use entry::Habit;
pub use entry::What;
pub use tank::Member;
pub use tank::Tank;
pub use tank::TankError;

use crate::moment::Moment;
use crate::quantity::Volume;
use crate::quantity::as_days;
use crate::quantity::as_litres;
use branch::Child;
use branch::Move;
use branch::Since;
use seen::Meaning;
use seen::meanings;
use state::Seen;
use state::State;
use state::part;

/// One explanation of what was told.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Explanation {
    /// logarithm of the odds and likelihoods that led to it
    log: f64,
    /// logarithm of its weight: of these, and of how well what it says of a leak can be
    weight: f64,
    state: State,
    /// the days between which a leak began that goes on
    leak: Option<(f64, f64)>,
    /// the last event that nobody logged, by its place in the list of events
    story: Option<usize>,
}

/// Something that nobody logged, or a reading that is wrong, by one explanation.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Event {
    id: u64,
    why: Why,
    before: Option<usize>,
}

/// All explanations of one vessel's history that may yet prove right.
///
/// - **What** litres, use a day, a leak and readings that do not fit, each with how sure it is; from entries told in the
///   order in which they happened. Of the same entries always the same, to the last digit.
/// - **Formulas** each explanation holds ten figures with their covariance: the level by the stated capacity S, the
///   capacity's error e, a sensor's offset b, a sight glass's scale g, mean use u and today's departure from it, use
///   since the counter was read, change since the level was read, a leak r and what it lost before it was first held
///   possible D. Litres are S·(1 + e). A dip sees S, a sensor S + A·b, a sight glass S·(1 + e + g), a counter its use;
///   by eye the level lies between two ends. Gain K = P·Hᵀ/(H·P·Hᵀ + R), x' = x + K·y, P' = P − K·H·P; where only the
///   ends of y are known, its mean and variance between them take its place. A leak that was first held possible at day
///   t began at t − D/r. Weights go as odds · density of what was read; all together V = Σ w·V_k,
///   s² = Σ w·(s_k² + (V_k − V)²).
/// - **Range** litres 0 to brim·(1 + 3·sd of the capacity). Walls as upright as straight lines between the points of the
///   vessel's table; a dip near a point where the surface changes is taken at one side of it.
/// - **Left out** evaporation; a day's use that is not evenly spread; a counter that lasts in error; a leak that
///   changes its rate; a second leak.
/// - **Errors of the method** a Gaussian stands for what is none (an even spread, a log-normal draw, what is cut off at
///   floor and brim), with the same mean and variance.
/// - **References** Kalman, "A new approach to linear filtering and prediction problems", J. Basic Eng. 82, 1960; Reid,
///   "An algorithm for tracking multiple targets", IEEE Trans. Automatic Control 24, 1979 (explanations kept, merged and
///   dropped); JCGM 100:2008 (GUM) for the errors of readings; both papers from memory. The odds: common practice, no
///   source.
///
/// Four dips of a drum of a quarter litre a millimetre, 402, 398, 402 and 398 mm: by hand their mean, 400 mm or 100 L,
/// and 4 mm / √4 · 0.25 = 0.5 L.
/// ```
/// use keepwell_engine::level::explain::{End, Entry, Explanations, Habit, Member, Tank, What};
/// use keepwell_engine::moment::Moment;
/// use keepwell_engine::quantity::{as_litres, days, litres, millimetres};
/// let day_0 = Moment::from_micros(0);
/// let drum = Tank::new(&[Member::upright(millimetres(0.0), millimetres(880.0), litres(220.0))], 0.0)?;
/// let mut drum = Explanations::new(drum, Habit::Standing, day_0);
/// for (id, depth) in [(1, 402.0), (2, 398.0), (3, 402.0), (4, 398.0)] {
///     let what = What::Dip { member: 0, depth: millimetres(depth), from: End::Floor };
///     drum.tell(&Entry { id, at: day_0.after(days(id as f64)), what })?;
/// }
/// let belief = drum.at(day_0.after(days(4.0)));
/// assert!((as_litres(belief.level.volume) - 100.0).abs() < 0.01);
/// assert!((as_litres(belief.level.sd) - 0.5).abs() < 0.01);
/// assert!(belief.leak.is_none() && belief.misfits.is_empty());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug)]
pub struct Explanations {
    tank: Tank,
    habit: Habit,
    midnight: Moment,
    kept: Vec<Explanation>,
    events: Vec<Event>,
    /// the day of the last entry
    now: f64,
    begun: bool,
    /// when the level was last read or pinned
    read: Option<f64>,
    /// when the beginning of a leak was last looked for
    looked: Option<f64>,
    filled: bool,
    counter: Option<f64>,
    room: Room,
}

/// Lists that are filled anew at every reading.
#[derive(Clone, Debug, Default)]
struct Room {
    meanings: Vec<Meaning>,
    moves: Vec<(Move, f64)>,
    children: Vec<Child>,
    grown: Vec<Explanation>,
    /// when so many events are kept it is time to tidy up
    many: usize,
}

impl Explanations {
    /// A vessel of which nothing is known yet. `midnight` is any midnight where it stands: use is anew every day.
    #[must_use]
    pub fn new(tank: Tank, habit: Habit, midnight: Moment) -> Self {
        let brim = tank.brim_litres();
        let mut state = State::ZERO;
        state.renew(part::LEVEL, brim / 2.0, brim * brim / 12.0);
        state.renew(part::CAPACITY, 0.0, tank.capacity_sd().powi(2));
        state.renew(part::OFFSET, 0.0, odds::SENSOR_OFFSET_MM.powi(2));
        state.renew(part::SCALE, 0.0, odds::SIGHT_SCALE.powi(2));
        if habit == Habit::InUse {
            let (mean, sd) = odds::USE_AT_FIRST;
            state.renew(part::USE, mean * brim, (sd * brim).powi(2));
            state.renew(part::TODAY, 0.0, (odds::USE_OF_A_DAY * mean * brim).powi(2));
        }
        Self {
            tank,
            habit,
            midnight,
            kept: vec![Explanation { log: 0.0, weight: 0.0, state, leak: None, story: None }],
            events: Vec::new(),
            now: 0.0,
            begun: false,
            read: None,
            looked: None,
            filled: false,
            counter: None,
            room: Room::default(),
        }
    }

    fn day(&self, at: Moment) -> f64 {
        as_days(at.since(self.midnight))
    }

    /// The brim of a vessel in daily use.
    fn use_of(&self) -> Option<f64> {
        (self.habit == Habit::InUse).then_some(self.tank.brim_litres())
    }

    /// Takes in what happened next. Entries come in the order of their moment, then of their id; one that comes too
    /// late counts as of now.
    ///
    /// # Errors
    /// [`EntryError`] when it makes no sense for this vessel; all is then as it was.
    pub fn tell(&mut self, entry: &Entry) -> Result<(), EntryError> {
        entry.check(&self.tank)?;
        let day = self.day(entry.at);
        if self.begun {
            let used = self.use_of();
            for one in &mut self.kept {
                one.state.advance(self.now, day, used);
            }
            self.now = self.now.max(day);
        } else {
            self.now = day;
            self.begun = true;
        }
        match entry.what {
            What::Dip { .. } | What::Sensor(_) | What::Sight(_) | What::Eye(_) => self.reading(entry),
            What::Counter(total) => self.count(as_litres(total)),
            What::In { volume, by } => self.pour(volume, by.part(), 1.0),
            What::Out { volume, by } => self.pour(volume, by.part(), -1.0),
            What::Top => {
                let (slack, sd) = self.tank.slack();
                self.pin(self.tank.full_litres() - slack, sd);
                self.filled = true;
            }
            What::To { volume, sd } => {
                let brim = self.tank.brim_litres();
                self.pin(as_litres(volume).min(brim), as_litres(sd).min(brim));
            }
            What::OutUnknown => self.unknown_draw(),
        }
        Ok(())
    }

    fn pour(&mut self, volume: Volume, error: f64, sign: f64) {
        let brim = self.tank.brim_litres();
        let litres = as_litres(volume).min(seen::MOST_BRIMS * brim);
        let spread = (error * litres).powi(2);
        for one in &mut self.kept {
            if sign > 0.0 {
                one.state.not_below_floor();
            }
            one.state.pour(sign * litres, spread);
            if sign > 0.0 {
                one.state.not_over(brim);
            }
        }
        self.filled |= sign > 0.0;
    }

    fn pin(&mut self, level: f64, sd: f64) {
        for one in &mut self.kept {
            one.state.renew(part::LEVEL, level, sd * sd);
            one.state.renew(part::MOVED, 0.0, 0.0);
        }
        self.read = Some(self.now);
        self.looked.get_or_insert(self.now);
    }

    fn unknown_draw(&mut self) {
        let (mean, sd) = super::unknown_draw();
        for one in &mut self.kept {
            let half = one.state.mean[part::LEVEL].max(0.0) / 2.0;
            let (taken, error) = if mean < half { (mean, sd) } else { (half, 2.0 * half / super::SQRT_12) };
            one.state.shift(-taken, error * error);
        }
    }

    /// A counter tells use; in a vessel that stands, a draw.
    fn count(&mut self, total: f64) {
        let ran = self.counter.replace(total).map(|before| total - before).filter(|&ran| ran >= 0.0);
        let by_meter = super::method::Method::Meter.part();
        match (ran, self.habit) {
            (Some(ran), Habit::Standing) => self.pour(crate::quantity::litres(ran), by_meter, -1.0),
            (Some(ran), Habit::InUse) => {
                let row = state::unit(part::COUNTED);
                let ran = ran.min(seen::MOST_BRIMS * self.tank.brim_litres());
                let error = (by_meter * ran).powi(2).max(1e-4);
                for one in &mut self.kept {
                    let (mean, variance) = one.state.along(&row);
                    one.log += seen::likelihood(Seen::Exactly(ran), mean, variance, error, None).max(-20.0);
                    one.state.take(&row, error, ran - mean, 0.0, None);
                }
            }
            (None, _) => {}
        }
        for one in &mut self.kept {
            one.state.renew(part::COUNTED, 0.0, 0.0);
        }
        prune::prune(&mut self.kept, odds::KEPT);
    }

    fn reading(&mut self, entry: &Entry) {
        let mut room = core::mem::take(&mut self.room);
        meanings(&self.tank, entry.what, &mut room.meanings);
        let looked = self.looked.unwrap_or(self.now);
        let look = self.now - looked;
        let since = Since {
            reading: self.read.map(|read| self.now - read),
            look: (look >= odds::LEAK_LOOK_DAYS).then_some(look),
            filled: self.filled,
        };
        room.children.clear();
        for (parent, one) in self.kept.iter().enumerate() {
            branch::moves(one, &self.tank, self.habit, since, &mut room.moves);
            branch::children(parent, one, &room.moves, &room.meanings, &mut room.children);
        }
        let better = |a: &Child, b: &Child| b.log.total_cmp(&a.log);
        if room.children.len() > odds::TRIED {
            room.children.select_nth_unstable_by(odds::TRIED, better);
            room.children.truncate(odds::TRIED);
        }
        room.children.sort_by(better);
        let best = room.children.first().map_or(0.0, |child| child.log);
        room.grown.clear();
        for child in room.children.iter().filter(|child| child.log >= best - odds::HOPELESS) {
            let meaning = &room.meanings[child.meaning];
            let mut grown = branch::grow(&self.kept[child.parent], child, meaning, looked, self.now);
            let unlogged = match child.moved {
                Move::Draw(..) => Some(Why::UnloggedDraw),
                Move::Fill(..) | Move::Filled(..) => Some(Why::UnloggedFill),
                Move::None | Move::Leak(..) | Move::Mended(_) => None,
            };
            for why in meaning.wrong.then_some(Why::WrongReading).into_iter().chain(unlogged) {
                self.events.push(Event { id: entry.id, why, before: grown.story });
                grown.story = Some(self.events.len() - 1);
            }
            room.grown.push(grown);
        }
        prune::prune(&mut room.grown, odds::KEPT);
        core::mem::swap(&mut self.kept, &mut room.grown);
        self.room = room;
        self.tidy();
        self.read = Some(self.now);
        if since.look.is_some() || self.looked.is_none() {
            self.looked = Some(self.now);
        }
        self.filled = false;
    }
}

impl Explanations {
    /// Forgets the events of explanations that were dropped, once there are many.
    fn tidy(&mut self) {
        if self.events.len() < self.room.many {
            return;
        }
        let mut told = vec![false; self.events.len()];
        for one in &self.kept {
            let mut next = one.story;
            while let Some(at) = next.filter(|&at| !told[at]) {
                told[at] = true;
                next = self.events[at].before;
            }
        }
        // an event stands after the one before it, so that its new place is known when it is needed
        let mut place = vec![None; told.len()];
        let mut kept = Vec::new();
        for (at, event) in self.events.iter().enumerate().filter(|&(at, _)| told[at]) {
            place[at] = Some(kept.len());
            kept.push(Event { before: event.before.and_then(|before| place[before]), ..*event });
        }
        for one in &mut self.kept {
            one.story = one.story.and_then(|at| place[at]);
        }
        self.room.many = odds::MANY_EVENTS.max(2 * kept.len());
        self.events = kept;
    }
}

/// What is believed at each moment asked, by what had happened by then, whatever the order of the list.
///
/// # Errors
/// [`EntryError`] when an entry makes no sense for this vessel, or two have one id.
pub fn believe(
    tank: &Tank,
    habit: Habit,
    midnight: Moment,
    entries: &[Entry],
    asks: &[Moment],
) -> Result<Vec<Belief>, EntryError> {
    let mut ids: Vec<u64> = entries.iter().map(|entry| entry.id).collect();
    ids.sort_unstable();
    if let Some(twice) = ids.windows(2).find(|pair| pair[0] == pair[1]) {
        return Err(EntryError::Twice(twice[0]));
    }
    let mut order: Vec<&Entry> = entries.iter().collect();
    order.sort_by_key(|entry| (entry.at, entry.id));
    let mut asked: Vec<usize> = (0..asks.len()).collect();
    asked.sort_by_key(|&ask| asks[ask]);
    let mut all = Explanations::new(tank.clone(), habit, midnight);
    let mut answers = vec![None; asks.len()];
    let mut next = 0;
    for ask in asked {
        while let Some(entry) = order.get(next).filter(|entry| entry.at <= asks[ask]) {
            all.tell(entry)?;
            next += 1;
        }
        answers[ask] = Some(all.at(asks[ask]));
    }
    for entry in &order[next..] {
        entry.check(tank)?;
    }
    Ok(answers.into_iter().flatten().collect())
}
