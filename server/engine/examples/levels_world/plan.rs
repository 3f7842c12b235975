//! What will happen in a history and when, before anybody knows how much water is there.

use crate::chance::Chance;

/// The kinds of history.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    Standing,
    InUse,
    SparseStanding,
    SparseInUse,
    Hourly,
}

impl Kind {
    pub const ALL: [Self; 5] = [Self::Standing, Self::InUse, Self::SparseStanding, Self::SparseInUse, Self::Hourly];

    pub const fn name(self) -> &'static str {
        match self {
            Self::Standing => "weekly standing",
            Self::InUse => "weekly in use",
            Self::SparseStanding => "sparse standing",
            Self::SparseInUse => "sparse in use",
            Self::Hourly => "hourly",
        }
    }

    pub const fn in_use(self) -> bool {
        matches!(self, Self::InUse | Self::SparseInUse)
    }
}

/// One thing that happens.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Step {
    Dip,
    Sight,
    Eye,
    Sensor,
    Counter,
    /// filled to the top at the outset
    Top,
    /// somebody who looked decides whether to fill
    Visit,
    Draw,
    Transfer,
    Fill,
    Forgotten,
    Ask,
}

/// A history before it is lived.
pub struct Plan {
    pub kind: Kind,
    /// rate and first day
    pub leak: Option<(f64, f64)>,
    pub counter: bool,
    pub most_use: f64,
    pub steps: Vec<(f64, Step)>,
}

impl Plan {
    /// Of a hundred in a row 60 stand, 20 are in use, 12 are read monthly and 8 end with a week of a sensor.
    pub fn any(chance: &mut Chance, number: u64) -> Self {
        let kind = match number % 25 {
            0..15 => Kind::Standing,
            15..20 => Kind::InUse,
            20..23 => chance.one_of(&[Kind::SparseStanding, Kind::SparseInUse]),
            _ => Kind::Hourly,
        };
        let mut plan = Self { kind, leak: None, counter: false, most_use: 0.035, steps: Vec::new() };
        if chance.happens(0.4) {
            plan.steps.push((0.0, Step::Top));
        }
        match kind {
            Kind::Standing => plan.standing(chance),
            Kind::InUse => plan.in_use(chance),
            Kind::SparseStanding | Kind::SparseInUse => plan.sparse(chance),
            Kind::Hourly => plan.hourly(chance),
        }
        plan.steps.sort_by(|a, b| a.0.total_cmp(&b.0));
        plan
    }

    fn put(&mut self, day: f64, step: Step) {
        self.steps.push((day, step));
    }

    fn standing(&mut self, chance: &mut Chance) {
        let about = chance.one_of(&[0.0, 0.0, 2.0, 5.0, 20.0]);
        if about > 0.0 {
            self.leak = Some((about * chance.between(0.9, 1.1), chance.between(28.0, 105.0)));
        }
        self.put(chance.between(0.2, 0.5), Step::Dip);
        for week in 0..26 {
            let monday = 7.0 * f64::from(week);
            self.moves(chance, monday + 0.6, monday + 7.0);
            if !chance.happens(0.1) {
                self.put(monday + 7.0 + chance.between(0.2, 0.5), Step::Dip);
            }
            self.put(monday + 7.9, Step::Ask);
        }
    }

    /// What may happen in a week to a vessel that stands.
    fn moves(&mut self, chance: &mut Chance, from: f64, to: f64) {
        for (odds, step) in [(0.06, Step::Draw), (0.02, Step::Transfer), (0.025, Step::Fill), (0.012, Step::Forgotten)]
        {
            if chance.happens(odds) {
                self.put(chance.between(from, to), step);
            }
        }
    }

    fn in_use(&mut self, chance: &mut Chance) {
        let sight = chance.happens(0.3);
        self.counter = chance.happens(0.35);
        for week in 0..=26 {
            let day = 7.0 * f64::from(week) + chance.between(0.2, 0.5);
            if week == 0 || !chance.happens(0.1) {
                self.put(day, if sight { Step::Sight } else { Step::Dip });
                self.decide(chance, day);
                if sight && chance.happens(0.12) {
                    self.put(day + 0.04, Step::Dip);
                }
                self.put(day + 0.045, Step::Counter);
            }
            if week > 0 {
                self.put(7.0 * f64::from(week) + 0.9, Step::Ask);
            }
        }
    }

    /// In the same minute as the reading, or 43 minutes later.
    fn decide(&mut self, chance: &mut Chance, day: f64) {
        let wait = if chance.happens(0.5) { 0.0 } else { 0.03 };
        self.put(day + wait, Step::Visit);
    }

    fn sparse(&mut self, chance: &mut Chance) {
        self.most_use = 0.016;
        let mut day = 0.3;
        self.put(day, Step::Dip);
        while day < 364.0 {
            if self.kind.in_use() {
                self.decide(chance, day);
            }
            day += chance.between(23.0, 37.0);
            let how = chance.one_of(&[Step::Dip, Step::Dip, Step::Dip, Step::Sight, Step::Eye]);
            self.put(day, how);
        }
        for fortnight in 1..=26 {
            let week = 14.0 * f64::from(fortnight);
            if self.kind == Kind::SparseStanding {
                self.moves(chance, week - 14.0 + 0.6, week - 7.0);
                self.moves(chance, week - 7.0, week);
            }
            self.put(week, Step::Ask);
        }
    }

    fn hourly(&mut self, chance: &mut Chance) {
        if chance.happens(0.5) {
            self.leak = Some((20.0 * chance.between(0.95, 1.05), chance.between(28.5, 31.5)));
        }
        for week in 0..5 {
            let day = 7.0 * f64::from(week) + 0.4;
            self.put(day, Step::Dip);
            if week < 4 {
                self.moves(chance, day + 0.1, day + 6.9);
            }
        }
        for hour in 0..168 {
            self.put(28.5 + f64::from(hour) / 24.0, Step::Sensor);
        }
        for day in 29..36 {
            self.put(f64::from(day) + 0.47, Step::Ask);
        }
    }
}
