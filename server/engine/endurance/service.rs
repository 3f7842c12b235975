//! A level of service in plain numbers, and the order in which it spends the stocks.

use crate::endurance::Level;
use crate::endurance::Run;
use crate::endurance::Uses;
use crate::grade::Grade;
use crate::quantity::as_litres;

/// A level of service, with all that does not change during a run worked out once.
#[derive(Clone)]
pub(super) struct Service {
    pub(super) pump: bool,
    /// whether there is a treatment that works at this level, while it has media and power
    pub(super) treats: bool,
    /// litres a person a day: drink, cook, wash, flush
    pub(super) uses: [f64; 4],
    /// litres of each stock that stay behind; infinite where the stock is out of reach
    pub(super) heel: Vec<f64>,
    /// stocks it could drink from, in the order of spending
    pub(super) drink: Vec<usize>,
    /// stocks it could flush from, in the order of spending
    pub(super) flush: Vec<usize>,
}

impl Service {
    /// `below` are the levels below this one, in any order: the order of spending looks at them.
    pub(super) fn new(run: &Run, level: &Level, grade: &[Grade], below: &[Self]) -> Self {
        let mut service = Self {
            pump: level.reach.pump,
            treats: run.treatment.is_some_and(|treatment| !treatment.needs_power || level.reach.pump),
            uses: per_person(&level.uses),
            heel: run.stocks.iter().map(|s| s.heel.lowest(level.reach).map_or(f64::INFINITY, as_litres)).collect(),
            drink: Vec::new(),
            flush: Vec::new(),
        };
        service.order(grade, below);
        service
    }

    /// Sorts the stocks into the order of spending. `below` are the levels below this one, in any order.
    fn order(&mut self, grade: &[Grade], below: &[Self]) {
        let out_of_reach = |stock: usize| below.iter().all(|level| level.heel[stock].is_infinite());
        let undrinkable = |stock: usize| {
            below.iter().all(|level| level.heel[stock].is_infinite() || (grade[stock] == Grade::Treat && !level.treats))
        };
        let reached: Vec<usize> = (0..grade.len()).filter(|stock| self.heel[*stock].is_finite()).collect();
        self.drink = reached
            .iter()
            .copied()
            .filter(|stock| match grade[*stock] {
                Grade::Drink => true,
                Grade::Treat => self.treats,
                Grade::Utility | Grade::Hold => false,
            })
            .collect();
        self.drink.sort_by_key(|stock| (!undrinkable(*stock), grade[*stock] != Grade::Treat));
        self.flush = reached;
        self.flush.retain(|stock| grade[*stock] != Grade::Hold);
        self.flush.sort_by_key(|stock| {
            let rank = match grade[*stock] {
                Grade::Utility => 0,
                Grade::Treat => 1,
                Grade::Drink | Grade::Hold => 2,
            };
            (rank, !out_of_reach(*stock))
        });
    }
}

/// Litres a person a day: drink, cook, wash, flush.
pub(super) fn per_person(uses: &Uses) -> [f64; 4] {
    [uses.drink, uses.cook, uses.wash, uses.flush].map(as_litres)
}
