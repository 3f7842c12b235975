//! What is asked of a state: it changes nothing.

use super::Act;
use super::Cause;
use super::Contents;
use super::Grade;
use super::Graded;
use super::Policy;
use super::Reason;
use super::Refused;
use super::SourceKind;
use super::Step;
use super::longest_in_light;
use super::passed;
use super::reached;
use super::water::Flow;
use super::water::Inside;
use super::water::Water;
use crate::moment::Moment;

impl Inside {
    fn vouched(&self, ask: Moment, policy: &Policy) -> Option<Moment> {
        self.good.filter(|good| !reached(ask, good.after(policy.redose())))
    }

    fn reasons(&self) -> impl Iterator<Item = Reason> {
        let topped_up =
            self.topped_up.map(|added| Reason::ToppedUp { from: added.from, at: added.at, boiled: added.boiled });
        let flow = self.flow.map(|Flow { age, since, renewed, .. }| Reason::RunsThrough { age, since, renewed });
        let tested = self.tested.map(|test| Reason::Tested { at: test.at, reading: test.value, total: test.total });
        let first = Reason::Filled { from: self.first.from, at: self.first.at, boiled: self.first.boiled };
        let sealed = self.sealed.then_some(Reason::Sealed { printed: self.due });
        [Some(first), topped_up, sealed, flow, tested].into_iter().flatten()
    }
}

impl Water {
    /// The grade at `ask`, with its causes and reasons. A moment before the last act is answered as of that act.
    #[must_use]
    pub fn at(&self, ask: Moment) -> Graded {
        let (now, ask) = self.by(ask);
        let causes = now.causes(ask);
        let mut graded = Graded {
            grade: now.inside.map(|_| worst(&causes)),
            clock: None,
            due: None,
            vouched_by_test: None,
            reasons: Vec::new(),
            causes: Vec::new(),
        };
        if let Some(inside) = now.inside {
            let (clock, due) = inside.dates(ask, &now.policy);
            graded.clock = Some(clock);
            graded.due = Some(due);
            graded.vouched_by_test = inside.vouched(ask, &now.policy);
            graded.reasons.extend(inside.reasons());
        }
        let why: Vec<_> = causes.iter().map(|cause| now.why(*cause, &graded)).collect();
        graded.reasons.extend(why);
        graded.causes = causes;
        graded
    }

    /// The grade alone; none when the vessel is empty.
    #[must_use]
    pub fn grade(&self, ask: Moment) -> Option<Grade> {
        let (now, ask) = self.by(ask);
        now.inside.map(|_| worst(&now.causes(ask)))
    }

    /// What the grade would be if `act` happened at `at`: a mixing seen before it is logged.
    ///
    /// # Errors
    /// Whatever [`Water::apply`] would refuse.
    pub fn preview(&self, at: Moment, act: &Act) -> Result<Graded, Refused> {
        let mut after = self.clone();
        after.apply(at, act)?;
        Ok(after.at(at))
    }

    /// What the water takes along when it is poured into another vessel at `at`; none when the vessel is empty by
    /// its entries.
    #[must_use]
    pub fn contents(&self, at: Moment) -> Option<Contents> {
        let (now, at) = self.by(at);
        let inside = now.inside?;
        let (filled, _) = inside.dates(at, &now.policy);
        Some(Contents {
            causes: now.causes(at),
            filled,
            keeps_until: inside.keeps_until,
            chloramine: inside.chloramine,
        })
    }

    /// Whether nothing is in it, by its entries.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.inside.is_none()
    }

    /// The state as it has become by `ask` without any entry, and the moment it then is.
    fn by(&self, ask: Moment) -> (Self, Moment) {
        let ask = self.last.map_or(ask, |last| ask.max(last));
        let mut now = self.clone();
        now.renew(ask);
        (now, ask)
    }

    fn causes(&self, ask: Moment) -> Vec<Cause> {
        if self.inside.is_none() {
            let mut filled = self.clone();
            filled.fill(filled.part(ask, SourceKind::Bought { printed: None }, false, None), &[]);
            return filled.causes(ask);
        }
        Cause::ALL.into_iter().filter(|cause| self.stands(*cause, ask)).collect()
    }

    fn stands(&self, cause: Cause, ask: Moment) -> bool {
        if self.standing.iter().any(|standing| standing.cause == cause) {
            return true;
        }
        let Some(inside) = &self.inside else { return false };
        let (clock, due) = inside.dates(ask, &self.policy);
        match cause {
            Cause::Overdue => reached(ask, due) && inside.vouched(ask, &self.policy).is_none(),
            Cause::Light => !self.body.opaque && !inside.sealed && passed(ask, clock.after(longest_in_light())),
            Cause::Open => !self.body.closed,
            Cause::Chemical => !self.body.food_grade,
            _ => false,
        }
    }

    fn why(&self, cause: Cause, graded: &Graded) -> Reason {
        let entry = self.standing.iter().find(|standing| standing.cause == cause);
        let since = match cause {
            Cause::Overdue => graded.due,
            Cause::Light => graded.clock.map(|clock| clock.after(longest_in_light())),
            _ => None,
        };
        Reason::Stands {
            cause,
            since: entry.map(|entry| entry.since).or(since),
            step: entry.map_or(Step::Came, |entry| entry.step),
        }
    }
}

fn worst(causes: &[Cause]) -> Grade {
    causes.iter().map(|cause| cause.grade()).max().unwrap_or(Grade::Drink)
}
