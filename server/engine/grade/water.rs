//! The state that a vessel's entries are folded into. It holds what later entries and questions need and no history.

use super::Act;
use super::Body;
use super::Cause;
use super::Contents;
use super::Line;
use super::NoticeKind;
use super::Origin;
use super::Policy;
use super::Refused;
use super::SourceKind;
use super::Step;
use super::VOLUMES_TO_RENEW;
use super::boiled_keeps;
use super::passed;
use super::reached;
use super::standing::Standing;
use crate::moment::Moment;
use crate::quantity::MassConcentration;
use crate::quantity::Time;

/// What is known of one vessel's water, and of the vessel where it matters to the next fill.
///
/// *What* - acts are folded in with [`Water::apply`], in the order in which they happened; [`Water::at`] answers for
/// any moment from the last act on. An act costs the same however long the history.
///
/// *Mixing* - [`Water::preview`] tells the grade as it would be after an act, before anyone logs it.
///
/// ```
/// use keepwell_engine::grade::*;
/// use keepwell_engine::moment::Moment;
/// use keepwell_engine::quantity::{days, mg_per_litre};
///
/// let day = |d| Moment::from_micros(0).after(days(d));
/// let mut water = Water::new(
///     Body { food_grade: true, closed: true, opaque: true },
///     Policy::new(days(180.0), days(90.0), None)?,
/// );
/// let fill = Act::Fill { source: SourceKind::Mains, line: Line(0), boiled: false };
/// water.apply(day(0.0), &fill)?;
/// // 0.2 mg/L is the least at the point of use (WHO): half an hour after the dose it vouches for old water
/// water.apply(day(190.0), &Act::Dose { shock: false })?;
/// assert_eq!(water.grade(day(190.1)), Some(Grade::Treat));
/// water.apply(day(190.1), &Act::Test { free: Some(mg_per_litre(0.2)), total: None, coliform: None })?;
/// assert_eq!(water.grade(day(190.1)), Some(Grade::Drink));
/// # Ok::<(), Refused>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Water {
    pub(super) body: Body,
    pub(super) policy: Policy,
    /// the supplies that are not as they are by default: no notice, free chlorine
    pub(super) supplies: Vec<Supply>,
    lid_open: bool,
    /// what entries brought and none has taken away; overdue, light and the vessel's own faults are reckoned when asked
    pub(super) standing: Vec<Standing>,
    /// the last dose, disinfection or water added
    pub(super) touched: Option<Moment>,
    pub(super) last: Option<Moment>,
    pub(super) inside: Option<Inside>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Supply {
    pub(super) line: Line,
    pub(super) in_force: [bool; NoticeKind::ALL.len()],
    pub(super) chloramine: bool,
}

/// The water itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Inside {
    pub first: Added,
    pub topped_up: Option<Added>,
    pub clock: Moment,
    pub due: Moment,
    pub keeps_until: Option<Moment>,
    pub sealed: bool,
    pub chloramine: bool,
    pub drawn_down: bool,
    pub good: Option<Moment>,
    pub tested: Option<Reading>,
    pub flow: Option<Flow>,
}

/// Where water came from, and when.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Added {
    pub from: Origin,
    pub at: Moment,
    pub boiled: bool,
}

/// Water that comes in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Part {
    added: Added,
    clock: Moment,
    due: Moment,
    keeps_until: Option<Moment>,
    sealed: bool,
    chloramine: bool,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Reading {
    pub at: Moment,
    pub value: MassConcentration,
    pub total: bool,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Flow {
    pub line: Line,
    pub age: Time,
    pub since: Moment,
    pub renewed: bool,
}

impl Inside {
    const fn new(part: Part) -> Self {
        Self {
            first: part.added,
            topped_up: None,
            clock: part.clock,
            due: part.due,
            keeps_until: part.keeps_until,
            sealed: part.sealed,
            chloramine: part.chloramine,
            drawn_down: false,
            good: None,
            tested: None,
            flow: None,
        }
    }

    /// Mixed water has the oldest date and the earliest due of its parts.
    fn top_up(&mut self, part: Part) {
        self.topped_up = Some(part.added);
        self.clock = self.clock.min(part.clock);
        self.due = self.due.min(part.due);
        self.keeps_until = [self.keeps_until, part.keeps_until].into_iter().flatten().min();
        self.sealed &= part.sealed;
        self.chloramine |= part.chloramine;
        self.good = None;
    }

    /// How old the water counts as at `ask`, and when it is due. Where the mains run through, it grows no older.
    pub(super) fn dates(&self, ask: Moment, policy: &Policy) -> (Moment, Moment) {
        match self.flow {
            Some(Flow { age, renewed: true, .. }) => {
                let clock = ask.after(-age);
                (clock, clock.after(policy.interval()))
            }
            _ => (self.clock, self.due),
        }
    }
}

impl Water {
    /// A vessel that was never filled.
    #[must_use]
    pub const fn new(body: Body, policy: Policy) -> Self {
        Self {
            body,
            policy,
            supplies: Vec::new(),
            lid_open: false,
            standing: Vec::new(),
            touched: None,
            last: None,
            inside: None,
        }
    }

    /// Folds one act in.
    ///
    /// # Errors
    /// [`Refused`] says why; the state is then as it was.
    pub fn apply(&mut self, at: Moment, act: &Act) -> Result<(), Refused> {
        act.check(at)?;
        let at = match self.last {
            Some(last) if passed(last, at) => return Err(Refused::OutOfOrder { at, last }),
            Some(last) => at.max(last),
            None => at,
        };
        self.last = Some(at);
        self.renew(at);
        match act {
            Act::Test { free, total, coliform } => {
                if self.test(at, *free, *total, *coliform) {
                    self.settle(at);
                }
            }
            Act::Draw { to_outlet: false } => {}
            act => {
                let elsewhere = act.supply().is_some_and(|line| self.flow().is_none_or(|flow| flow.line != line));
                if !elsewhere {
                    self.settle(at);
                }
                self.happen(at, act);
            }
        }
        Ok(())
    }

    pub(super) fn flow(&self) -> Option<Flow> {
        self.inside.and_then(|inside| inside.flow)
    }

    pub(super) fn come(&mut self, at: Moment, cause: Cause) {
        match self.standing.iter_mut().find(|standing| standing.cause == cause) {
            Some(standing) => standing.step = Step::Came,
            None => self.standing.push(Standing { cause, since: at, step: Step::Came }),
        }
    }

    pub(super) fn go(&mut self, cause: Cause) {
        self.standing.retain(|standing| standing.cause != cause);
    }

    /// Five volumes of good mains water count, once, as drained and filled.
    pub(super) fn renew(&mut self, now: Moment) {
        let Some(flow) = self.flow().filter(|flow| !flow.renewed) else { return };
        let renewed = flow.since.after(flow.age * VOLUMES_TO_RENEW);
        if !reached(now, renewed) || self.supply(flow.line).in_force.contains(&true) {
            return;
        }
        self.drain();
        self.fill(self.part(renewed.min(now), SourceKind::Mains, false, Some(flow.line)), &[]);
        if let Some(inside) = &mut self.inside {
            inside.flow = Some(Flow { renewed: true, ..flow });
        }
    }

    /// Something happened to water that the mains run through: its age stands still and the volumes are counted anew.
    fn settle(&mut self, at: Moment) {
        let Some(inside) = &mut self.inside else { return };
        (inside.clock, inside.due) = inside.dates(at, &self.policy);
        if let Some(flow) = &mut inside.flow {
            *flow = Flow { since: at, renewed: false, ..*flow };
        }
    }

    fn happen(&mut self, at: Moment, act: &Act) {
        match act {
            Act::Fill { source, line, boiled } => self.fill_from(at, *source, *line, *boiled),
            Act::TransferIn(contents) => self.transfer_in(at, contents),
            Act::FlowOn { line, age } => {
                self.fill_from(at, SourceKind::Mains, *line, false);
                if let Some(inside) = &mut self.inside {
                    inside.flow = Some(Flow { line: *line, age: *age, since: at, renewed: false });
                }
            }
            Act::FlowOff => self.end_flow(),
            Act::Draw { to_outlet } => {
                self.end_flow();
                if let Some(inside) = &mut self.inside {
                    inside.drawn_down |= *to_outlet;
                }
            }
            Act::Drain => self.drain(),
            Act::Dose { shock } => {
                self.touched = Some(at);
                if *shock {
                    self.come(at, Cause::Shock);
                }
            }
            Act::Disinfect => {
                self.touched = Some(at);
                let empty = self.is_empty();
                self.standing.iter_mut().for_each(|standing| standing.disinfected(empty));
                if !empty {
                    self.come(at, Cause::Shock);
                }
            }
            Act::Notice { line, kind } => self.notice(at, *line, *kind, true),
            Act::Lifted { line, kind } => self.notice(at, *line, *kind, false),
            Act::Lid { open } => {
                self.lid_open = *open;
                if *open && !self.is_empty() {
                    self.come(at, Cause::Open);
                }
            }
            Act::Flooded => self.come(at, Cause::Flooded),
            Act::FuelContact => self.come(at, Cause::FuelContact),
            Act::Mains { line, disinfectant } => self.mains(*line, *disinfectant),
            Act::Test { .. } => {}
        }
    }

    fn end_flow(&mut self) {
        if let Some(inside) = &mut self.inside {
            inside.flow = None;
        }
    }

    fn drain(&mut self) {
        self.inside = None;
        self.standing.iter_mut().for_each(Standing::drained);
    }

    pub(super) fn part(&self, at: Moment, source: SourceKind, boiled: bool, line: Option<Line>) -> Part {
        let keeps_until = match source {
            _ if boiled => Some(at.after(boiled_keeps())),
            SourceKind::Bought { printed } => printed,
            _ => None,
        };
        Part {
            added: Added { from: source.into(), at, boiled },
            clock: at,
            due: keeps_until.unwrap_or_else(|| at.after(self.policy.interval())),
            keeps_until,
            sealed: keeps_until.is_some() && !boiled,
            chloramine: line.is_some_and(|line| self.supply(line).chloramine),
        }
    }

    fn fill_from(&mut self, at: Moment, source: SourceKind, line: Line, boiled: bool) {
        let line = (source == SourceKind::Mains).then_some(line);
        let mut brought = Vec::new();
        match source {
            SourceKind::Mains => {
                let in_force = line.map_or_else(Default::default, |line| self.supply(line).in_force);
                for kind in NoticeKind::ALL {
                    if in_force[kind as usize] && !(boiled && kind == NoticeKind::Boil) {
                        brought.push(kind.cause());
                    }
                }
            }
            SourceKind::Doubtful if !boiled => brought.push(Cause::Doubtful),
            SourceKind::Chemical => brought.push(Cause::Chemical),
            _ => {}
        }
        self.fill(self.part(at, source, boiled, line), &brought);
    }

    fn transfer_in(&mut self, at: Moment, contents: &Contents) {
        let overdue = contents.causes.contains(&Cause::Overdue).then_some(at);
        let due = contents.filled.after(self.policy.interval());
        let part = Part {
            added: Added { from: Origin::Vessel, at, boiled: false },
            clock: contents.filled,
            due: [contents.keeps_until, overdue].into_iter().flatten().fold(due, Moment::min),
            keeps_until: contents.keeps_until,
            sealed: false,
            chloramine: contents.chloramine,
        };
        self.fill(part, &contents.causes);
    }

    /// Water comes in: what a fill takes away goes, what it brings comes.
    pub(super) fn fill(&mut self, part: Part, brought: &[Cause]) {
        let fresh = self.inside.is_none_or(|inside| inside.drawn_down);
        let open = self.lid_open;
        self.standing.retain_mut(|standing| (open && standing.cause == Cause::Open) || !standing.filled(fresh));
        match &mut self.inside {
            Some(inside) if !fresh => inside.top_up(part),
            inside => *inside = Some(Inside::new(part)),
        }
        self.touched = Some(part.added.at);
        if open {
            self.come(part.added.at, Cause::Open);
        }
        for cause in brought.iter().filter(|cause| **cause != Cause::Overdue) {
            self.come(part.added.at, *cause);
        }
    }
}
