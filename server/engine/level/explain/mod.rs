//! Several explanations of one history side by side, each with a Kalman filter of its own.

mod belief;
mod branch;
mod entry;
mod normal;
pub mod odds;
mod prune;
mod seen;
mod state;
mod tank;

pub use belief::Belief;
pub use belief::Leak;
pub use belief::Misfit;
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
    /// logarithm of its weight
    log: f64,
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
            kept: vec![Explanation { log: 0.0, state, leak: None, story: None }],
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

    /// Takes in what happened next. Entries come in the order of their moment, then of their id; one that comes too
    /// late counts as of now.
    ///
    /// # Errors
    /// [`EntryError`] when it makes no sense for this vessel; all is then as it was.
    pub fn tell(&mut self, entry: &Entry) -> Result<(), EntryError> {
        entry.check(&self.tank)?;
        let day = self.day(entry.at);
        if self.begun {
            for one in &mut self.kept {
                one.state.advance(self.now, day, self.habit == Habit::InUse);
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
            What::Top => self.top(),
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

    fn top(&mut self) {
        let (slack, sd) = self.tank.slack();
        let brim = self.tank.brim_litres();
        for one in &mut self.kept {
            one.state.renew(part::LEVEL, brim - slack, sd * sd);
            one.state.renew(part::MOVED, 0.0, 0.0);
        }
        self.filled = true;
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
        room.children.sort_by(|a, b| b.log.total_cmp(&a.log));
        let best = room.children.first().map_or(0.0, |child| child.log);
        room.children.truncate(odds::TRIED);
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
        self.read = Some(self.now);
        if since.look.is_some() || self.looked.is_none() {
            self.looked = Some(self.now);
        }
        self.filled = false;
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
