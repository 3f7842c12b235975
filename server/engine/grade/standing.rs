//! A cause that came with an entry, and how far its way out has been gone.

use super::Cause;
use crate::moment::Moment;

/// How far the way out of a cause has been gone. Each step counts only after the cause last came and after the step
/// before it; fills in between undo none.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Step {
    /// nothing done yet
    Came,
    /// emptied, heel and all
    Drained,
    /// disinfected with water in it: counts once that water is drained too
    Soaking,
    /// disinfected
    Disinfected,
    /// filled; what is left to do is a sample without coliforms
    Filled,
}

/// What takes a cause away.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Way {
    /// a fresh fill
    Fresh,
    /// drained, then filled
    Emptied,
    /// drained, disinfected, then filled
    Cleaned,
    /// drained, disinfected, filled, then a sample without coliforms
    Sampled,
    /// no entry
    Never,
}

impl Cause {
    pub(super) const fn way(self) -> Way {
        match self {
            Self::Overdue | Self::Residual | Self::Light => Way::Fresh,
            Self::Open | Self::Boil | Self::DoNotDrink | Self::Shock => Way::Emptied,
            Self::Doubtful | Self::Chemical | Self::DoNotUse => Way::Cleaned,
            Self::Flooded | Self::Coliform => Way::Sampled,
            Self::FuelContact => Way::Never,
        }
    }
}

/// One cause that an entry brought.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Standing {
    pub cause: Cause,
    /// when it first came; a later coming begins the way out anew but makes it no younger
    pub since: Moment,
    pub step: Step,
}

impl Standing {
    pub fn drained(&mut self) {
        self.step = match self.step {
            Step::Came => Step::Drained,
            Step::Soaking => Step::Disinfected,
            further => further,
        };
    }

    pub fn disinfected(&mut self, empty: bool) {
        if self.step == Step::Drained {
            self.step = if empty { Step::Disinfected } else { Step::Soaking };
        }
    }

    /// A fill: whether the cause is gone with it.
    pub fn filled(&mut self, fresh: bool) -> bool {
        match self.cause.way() {
            Way::Fresh => fresh,
            Way::Emptied => self.step >= Step::Drained,
            Way::Cleaned => self.step >= Step::Disinfected,
            Way::Sampled => {
                if self.step == Step::Disinfected {
                    self.step = Step::Filled;
                }
                false
            }
            Way::Never => false,
        }
    }

    /// Whether a sample without coliforms is all that is left to do.
    pub fn awaits_sample(&self) -> bool {
        self.cause.way() == Way::Sampled && self.step == Step::Filled
    }
}
