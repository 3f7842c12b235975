//! The keep-back: so many days of the last level's drinking water, held from the levels above it.

use crate::endurance::course::Course;
use crate::endurance::draw::Draw;
use crate::endurance::draw::Kept;
use crate::endurance::draw::Watch;
use crate::endurance::draw::lasts;
use crate::grade::Grade;

impl Course {
    /// What the last level could drink, as far as media go.
    pub(super) fn kept(&self) -> Kept {
        let mut kept = Kept { drink: 0.0, treat: 0.0 };
        let Some(last) = self.levels.last().filter(|last| self.has_power(last)) else { return kept };
        for (stock, volume) in self.litres.iter().enumerate() {
            let above = (volume - last.heel[stock]).max(0.0);
            match self.grade[stock] {
                Grade::Drink => kept.drink += above,
                Grade::Treat if last.treats => kept.treat += above,
                Grade::Treat | Grade::Utility | Grade::Hold => {}
            }
        }
        kept
    }

    /// The litres at which the keep-back comes into force.
    pub(super) fn mark(&self) -> f64 {
        self.levels.last().map_or(0.0, |last| self.people * last.uses[0] * self.keep_days)
    }

    pub(super) fn look_at_keep(&mut self) {
        self.held = None;
        let mark = self.mark();
        if mark <= 0.0 {
            return;
        }
        let kept = self.kept();
        let total = kept.total(self.media);
        if total > 0.0 && (self.reached || total <= mark) {
            self.reached = true;
            self.held = Some(kept.treat);
        }
    }

    /// The keep-back in force on a level, as the media held back: never on the last one.
    pub(super) fn held_from(&self, index: usize) -> Option<f64> {
        self.held.filter(|_| index + 1 < self.levels.len())
    }

    pub(super) fn is_kept(&self, stock: usize) -> bool {
        self.levels.last().is_some_and(|last| {
            last.heel[stock].is_finite()
                && match self.grade[stock] {
                    Grade::Drink => true,
                    Grade::Treat => last.treats && self.media > 0.0,
                    Grade::Utility | Grade::Hold => false,
                }
        })
    }

    /// Media that a level may use.
    pub(super) fn free_media(&self, index: usize) -> f64 {
        self.held_from(index).map_or(self.media, |held| (self.media - held).max(0.0))
    }

    /// Days until the draw on a stock is down at the last level's heel, from where it no longer touches what is kept.
    pub(super) fn to_kept_heel(&self, stock: usize, draw: &Draw) -> f64 {
        let above = self.levels.last().map_or(0.0, |last| self.litres[stock] - last.heel[stock]);
        if above > 0.0 { lasts(above, draw.from(stock)) } else { f64::INFINITY }
    }

    /// While a level above the last draws down what may be kept: when the mark is reached at the rate of now, and when
    /// media and the water they are for are even, where that rate turns.
    pub(super) fn watch(&self, index: usize, draw: &Draw) -> Option<Watch> {
        let mark = self.mark();
        let last = self.levels.last()?;
        if mark <= 0.0 || self.reached || index + 1 == self.levels.len() {
            return None;
        }
        let kept = self.kept();
        let total = kept.total(self.media);
        if total <= 0.0 {
            return None;
        }
        let (mut drink, mut treat) = (0.0, 0.0);
        for stock in draw.stocks().filter(|stock| self.litres[*stock] > last.heel[*stock]) {
            match self.grade[stock] {
                Grade::Drink => drink += draw.from(stock),
                Grade::Treat if last.treats => treat += draw.from(stock),
                Grade::Treat | Grade::Utility | Grade::Hold => {}
            }
        }
        let (spare, falls) = (self.media - kept.treat, draw.treated - treat);
        let even = if spare.is_finite() && spare * falls > 0.0 { spare / falls } else { f64::INFINITY };
        let treatable = if spare > 0.0 {
            treat
        } else if spare < 0.0 {
            draw.treated
        } else {
            treat.max(draw.treated)
        };
        Some(Watch { mark: lasts(total - mark, drink + treatable), media: even })
    }
}
