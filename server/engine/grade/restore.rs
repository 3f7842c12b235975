//! What would restore water to drinking grade: the shortest road, and how many litres it keeps.

use super::Cause;
use super::Step;
use super::standing::Way;
use super::water::Water;
use crate::moment::Moment;
use crate::quantity::Volume;
use crate::quantity::litres;

/// One thing to do on the road back, in the order in which they are done. Words are the page's business.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Deed {
    /// draw it down to the outlet (or empty it)
    DrawDown,
    /// empty it, heel and all, whatever stands in it
    Empty,
    /// disinfect it by a published method, empty
    Disinfect,
    /// fill it from a good source, lid on, nothing under notice
    Fill,
    /// dose it
    Dose,
    /// wait 30 minutes, test free chlorine (total where chloraminated): 4.0 mg/L or less, and at or above the floor where
    /// age or residual is the cause
    Test,
    /// have a sample tested for coliforms, 30 minutes or more after filling
    Sample,
}

/// The road back to drinking grade.
#[derive(Clone, Debug, PartialEq)]
pub struct Restoration {
    /// what to do, in order; empty where nothing is wrong
    pub deeds: Vec<Deed>,
    /// litres now in the vessel that are counted again after it: all where they are kept, none where they are poured away
    pub kept: Volume,
    /// litres of drinking water in the vessel after it
    pub restored: Volume,
}

impl Water {
    /// The road back to drinking grade for a vessel with `held` litres that takes `full`; nothing where a cause has none:
    /// the vessel itself (not food-grade, cannot be closed), or contact with fuel.
    ///
    /// - **Rule** the causes' own ways together, the steps that were gone already left out ([`Step`]). Age and a low residual
    ///   alone need no new water: dose, wait, test. Too strong alone needs a test.
    /// - **Reference** [`Cause::source`] of each cause.
    ///
    /// ```
    /// use keepwell_engine::grade::*;
    /// use keepwell_engine::moment::Moment;
    /// use keepwell_engine::quantity::{days, litres};
    /// let day = |d| Moment::from_micros(0).after(days(d));
    /// let policy = Policy::new(days(180.0), days(90.0), None)?;
    /// let mut water = Water::new(Body { food_grade: true, closed: true, opaque: true }, policy);
    /// water.apply(day(0.0), &Act::Fill { source: SourceKind::Mains, line: Line(0), boiled: false })?;
    /// // six months old (CDC 2017): dose, wait 30 minutes, test, and all of it counts again
    /// let road = water.restoration(day(181.0), litres(900.0), litres(1000.0)).ok_or("no road")?;
    /// assert_eq!(road.deeds, [Deed::Dose, Deed::Test]);
    /// assert_eq!(road.restored, litres(900.0));
    /// # Ok::<(), Box<dyn core::error::Error>>(())
    /// ```
    #[must_use]
    pub fn restoration(&self, at: Moment, held: Volume, full: Volume) -> Option<Restoration> {
        let graded = self.at(at);
        let causes = &graded.causes;
        let lifted = |cause: &Cause| !matches!(cause.way(), Way::Never) && !self.of_the_vessel(*cause);
        if !causes.iter().all(lifted) {
            return None;
        }
        let has = |cause: Cause| causes.contains(&cause);
        let (aged, shock, empty) =
            (has(Cause::Overdue) || has(Cause::Residual), has(Cause::Shock), graded.grade.is_none());
        // what is mended by a reading alone, or waits for nothing but its sample
        let kept = |cause: &Cause| {
            matches!(cause, Cause::Overdue | Cause::Residual | Cause::Shock) || self.step(*cause) == Step::Filled
        };
        let sampled = causes.iter().any(|cause| matches!(cause.way(), Way::Sampled));
        let mut deeds = Vec::new();
        let keeps = !empty && causes.iter().all(kept);
        if keeps {
            if aged && !shock {
                deeds.push(Deed::Dose);
            }
            if aged || shock {
                deeds.push(Deed::Test);
            }
        } else {
            self.refill(causes, empty, &mut deeds);
        }
        if sampled {
            deeds.push(Deed::Sample);
        }
        let (kept, restored) = if keeps { (held, held) } else { (litres(0.0), full) };
        Some(Restoration { deeds, kept, restored })
    }

    fn refill(&self, causes: &[Cause], empty: bool, deeds: &mut Vec<Deed>) {
        let mut emptied = false;
        let mut cleaned = false;
        for cause in causes {
            let step = self.step(*cause);
            match cause.way() {
                Way::Emptied => emptied |= step == Step::Came,
                Way::Cleaned | Way::Sampled => {
                    let dirty = step < Step::Soaking;
                    cleaned |= dirty;
                    emptied |= step == Step::Soaking || step == Step::Came || (dirty && !empty);
                }
                Way::Fresh | Way::Never => {}
            }
        }
        if emptied {
            deeds.push(Deed::Empty);
        } else if !empty {
            deeds.push(Deed::DrawDown);
        }
        if cleaned {
            deeds.push(Deed::Disinfect);
        }
        deeds.push(Deed::Fill);
    }

    /// Whether the vessel itself is the cause, which no entry lifts.
    const fn of_the_vessel(&self, cause: Cause) -> bool {
        match cause {
            Cause::Open => !self.body.closed,
            Cause::Chemical => !self.body.food_grade,
            _ => false,
        }
    }

    fn step(&self, cause: Cause) -> Step {
        let of_cause = self.standing.iter().filter(|standing| standing.cause == cause);
        of_cause.map(|standing| standing.step).min().unwrap_or(Step::Came)
    }
}
