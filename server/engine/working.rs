//! The working: the formula, the figures put in, the steps and the source behind a number. Every answer that a person
//! may doubt carries one. Words here are English keys for the page to turn into the reader's language.

use crate::quantity::Unit;

/// A number with its unit, and its standard deviation where it has one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Figure {
    /// the value, in [`Figure::unit`]
    pub value: f64,
    /// one standard deviation, same unit
    pub sd: Option<f64>,
    /// the unit of both
    pub unit: Unit,
}

impl Figure {
    /// A figure without a stated error.
    #[must_use]
    pub const fn exact(value: f64, unit: Unit) -> Self {
        Self { value, sd: None, unit }
    }

    /// A figure with one standard deviation.
    #[must_use]
    pub const fn uncertain(value: f64, sd: f64, unit: Unit) -> Self {
        Self { value, sd: Some(sd), unit }
    }
}

/// Something put into a formula: what it is, its symbol there, how much, and where it came from.
#[derive(Clone, Debug, PartialEq)]
pub struct Input {
    /// in words
    pub name: &'static str,
    /// in the formula
    pub symbol: &'static str,
    /// how much
    pub figure: Figure,
    /// where from: "dipstick", "set-up", "assumed"
    pub origin: &'static str,
}

/// One step: what is done, the formula of it, what comes out.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// in words
    pub words: &'static str,
    /// in symbols
    pub formula: &'static str,
    /// what comes out
    pub figure: Figure,
}

/// Whether the inputs lie where the formula was measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Trust {
    /// all of them do
    InRange,
    /// at least one does not: the figure is an extension, and says so
    Extrapolated,
}

/// Everything behind one number.
#[derive(Clone, Debug, PartialEq)]
pub struct Working {
    /// what is reckoned
    pub what: &'static str,
    /// the formula in symbols
    pub formula: &'static str,
    /// what was put in
    pub inputs: Vec<Input>,
    /// from the inputs to the answer
    pub steps: Vec<Step>,
    /// what was not counted, in words
    pub left_out: Vec<&'static str>,
    /// where formula and constants are published; "common practice, no source" where they are not
    pub sources: Vec<&'static str>,
    /// whether the formula holds for these inputs
    pub trust: Trust,
}

impl Working {
    /// An empty working of `what` by `formula`, to be added to.
    #[must_use]
    pub const fn new(what: &'static str, formula: &'static str) -> Self {
        Self {
            what,
            formula,
            inputs: Vec::new(),
            steps: Vec::new(),
            left_out: Vec::new(),
            sources: Vec::new(),
            trust: Trust::InRange,
        }
    }

    /// Adds an input.
    #[must_use]
    pub fn input(mut self, name: &'static str, symbol: &'static str, figure: Figure, origin: &'static str) -> Self {
        self.inputs.push(Input { name, symbol, figure, origin });
        self
    }

    /// Adds a step.
    #[must_use]
    pub fn step(mut self, words: &'static str, formula: &'static str, figure: Figure) -> Self {
        self.steps.push(Step { words, formula, figure });
        self
    }

    /// Adds something not counted.
    #[must_use]
    pub fn without(mut self, what: &'static str) -> Self {
        self.left_out.push(what);
        self
    }

    /// Marks the answer as an extension of its formula, and says in words why; unless `only_if` is false.
    #[must_use]
    pub fn beyond(mut self, only_if: bool, why: &'static str) -> Self {
        if only_if {
            self.trust = Trust::Extrapolated;
            self.left_out.push(why);
        }
        self
    }

    /// The working with the value it led to.
    #[must_use]
    pub const fn gives<T>(self, value: T) -> Reckoned<T>
    where
        T: Copy,
    {
        Reckoned { value, working: self }
    }

    /// Adds a source.
    #[must_use]
    pub fn source(mut self, source: &'static str) -> Self {
        self.sources.push(source);
        self
    }
}

/// A value with everything behind it.
#[derive(Clone, Debug, PartialEq)]
pub struct Reckoned<T> {
    /// the answer
    pub value: T,
    /// how it came about
    pub working: Working,
}

impl<T> Reckoned<T> {
    /// Whether the formula was measured where it was used.
    #[must_use]
    pub const fn trust(&self) -> Trust {
        self.working.trust
    }
}
