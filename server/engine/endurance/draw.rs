//! What a level in force spends, and what is kept back from it.

/// What is spent, and how fast, while a level is in force.
#[derive(Clone, Copy, Default)]
pub(super) struct Draw {
    /// the stock drunk from and its litres a day
    pub(super) drink: Option<(usize, f64)>,
    /// the stock flushed from and its litres a day
    pub(super) flush: Option<(usize, f64)>,
    /// litres treated a day
    pub(super) treated: f64,
    /// litres of fuel a day
    pub(super) burnt: f64,
    /// watt-hours a day out of the battery; below 0 it fills
    pub(super) drained: f64,
}

impl Draw {
    /// Litres a day from one stock, both needs together.
    pub(super) fn from(&self, stock: usize) -> f64 {
        [self.drink, self.flush].into_iter().flatten().filter(|(s, _)| *s == stock).map(|(_, rate)| rate).sum()
    }

    /// The stocks drawn on, each once.
    pub(super) fn stocks(&self) -> impl Iterator<Item = usize> + use<> {
        let drink = self.drink.map(|(stock, _)| stock);
        let flush = self.flush.map(|(stock, _)| stock).filter(|stock| Some(*stock) != drink);
        drink.into_iter().chain(flush)
    }
}

/// What the last level could drink.
#[derive(Clone, Copy)]
pub(super) struct Kept {
    /// litres of `drink`
    pub(super) drink: f64,
    /// litres of `treat` that only need media
    pub(super) treat: f64,
}

impl Kept {
    pub(super) fn total(self, media: f64) -> f64 {
        self.drink + self.treat.min(media)
    }
}

/// When what is kept comes down to the mark, and when media and the water they are for come even, in days.
pub(super) struct Watch {
    pub(super) mark: f64,
    pub(super) media: f64,
}

/// Days that an amount lasts at a rate; without end where nothing is taken.
pub(super) fn lasts(amount: f64, rate: f64) -> f64 {
    if rate > 0.0 { amount / rate } else { f64::INFINITY }
}
