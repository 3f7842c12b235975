//! What of an outage does not hold. There is one at a time, drills counted, so that every page can say which it is.

use keepwell_engine::demand::Ladder;
use keepwell_engine::quantity::INTERVAL;

use crate::model::entry::fields::Problem;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::outage::Outage;
use crate::model::setup::SetUp;
use crate::picture::cluster::moment;

/// Rations in force, one after the other; nobody changes them so often.
const MOST_STEPS: usize = 200;

/// Beside what its types already hold to.
pub(in crate::service) fn check(set_up: &SetUp, outage: &Outage, problems: &mut Vec<Problem>) {
    times(outage, problems);
    overlap(set_up, outage, problems);
    crate::service::set_up::measure(problems, "target_days", "days to last", outage.target_days, &INTERVAL);
    rations(outage, problems);
}

/// What is said to have happened cannot lie ahead of our clock by more than another's may be fast.
pub(in crate::service) fn ahead(outage: &Outage, now: jiff::Timestamp) -> Vec<Problem> {
    const AHEAD: jiff::SignedDuration = jiff::SignedDuration::from_mins(10);
    let rations = outage.rations.last().map(|step| step.since);
    [("since", Some(outage.since)), ("ended", outage.ended), ("ration", rations)]
        .into_iter()
        .filter(|(_, at)| at.is_some_and(|at| at.duration_since(now) > AHEAD))
        .map(|(field, _)| {
            let words = "The time lies ahead of the clock here. At most 10 minutes ahead is allowed.";
            Problem::new(field, Message::new(words))
        })
        .collect()
}

fn times(outage: &Outage, problems: &mut Vec<Problem>) {
    let since = Arg::Moment(moment(outage.since));
    if let Some(ended) = outage.ended.filter(|ended| *ended <= outage.since) {
        let words = "It ends after it began. It began {since}; you gave {ended}.";
        let detail = Message::new(words).with("since", since.clone()).with("ended", Arg::Moment(moment(ended)));
        problems.push(Problem::new("ended", detail));
    }
    if outage.expected.is_some_and(|expected| expected <= outage.since) {
        let words = "The mains are expected back after they stopped. They stopped {since}.";
        problems.push(Problem::new("expected", Message::new(words).with("since", since)));
    }
}

fn overlap(set_up: &SetUp, outage: &Outage, problems: &mut Vec<Problem>) {
    let others = || set_up.outages.values().map(|kept| &*kept.thing).filter(|other| other.id != outage.id);
    if outage.ended.is_none()
        && let Some(other) = others().find(|other| other.ended.is_none())
    {
        let words = if other.is_drill() {
            "A drill is on since {since}. End it first: there is one at a time."
        } else {
            "An outage is on since {since}. End it first: there is one at a time."
        };
        problems.push(Problem::new("", Message::new(words).with("since", Arg::Moment(moment(other.since)))));
        return;
    }
    let meets = |other: &&Outage| {
        let ends_later = |ended: Option<jiff::Timestamp>, than| ended.is_none_or(|ended| ended > than);
        ends_later(other.ended, outage.since) && ends_later(outage.ended, other.since)
    };
    if let Some(other) = others().find(meets) {
        let words = "It would run into the one that began {since}. They follow one another.";
        problems.push(Problem::new("since", Message::new(words).with("since", Arg::Moment(moment(other.since)))));
    }
}

fn rations(outage: &Outage, problems: &mut Vec<Problem>) {
    let ladder = Ladder::default();
    let mut problem = |detail| problems.push(Problem::new("ration", detail));
    match outage.rations.first() {
        None => problem(Message::new("Say which ration is in force.")),
        Some(first) if first.since != outage.since => {
            problem(Message::new("The first ration is in force from the beginning."));
        }
        Some(_) => {}
    }
    if outage.rations.len() > MOST_STEPS {
        problem(Message::new("A ration can be changed 200 times in one outage."));
    }
    for step in &outage.rations {
        if ladder.rung(&step.ration).is_none() {
            let known: Vec<&str> = ladder.rungs().iter().map(keepwell_engine::demand::Rung::key).collect();
            problem(
                Message::new("There is no ration {ration}; there are {known}.")
                    .with("ration", Arg::text(step.ration.as_str()))
                    .with("known", Arg::text(known.join(", "))),
            );
        }
    }
    if let Some(pair) = outage.rations.windows(2).find(|pair| pair[1].since <= pair[0].since) {
        let words = "A ration follows the one before it, which began {since}.";
        problem(Message::new(words).with("since", Arg::Moment(moment(pair[0].since))));
    }
    if let Some((last, ended)) = outage.rations.last().zip(outage.ended)
        && last.since >= ended
    {
        let words = "It ends after its last ration began, {since}.";
        problems.push(Problem::new("ended", Message::new(words).with("since", Arg::Moment(moment(last.since)))));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::id::Id;
    use crate::model::outage::OutageKind;
    use crate::model::outage::Step;
    use crate::model::setup::Thing;
    use jiff::Timestamp;

    fn at(day: i8, hour: i8) -> Timestamp {
        jiff::civil::date(2026, 3, day).at(hour, 0, 0, 0).in_tz("UTC").unwrap().timestamp()
    }

    fn outage(since: Timestamp, ended: Option<Timestamp>) -> Outage {
        Outage {
            id: Id::fresh(),
            kind: OutageKind::Real,
            since,
            ended,
            target_days: 7.0,
            rations: vec![Step { since, ration: "basic".to_owned() }],
            expected: None,
            ran_out: String::new(),
            notes: String::new(),
        }
    }

    fn faults(set_up: &SetUp, outage: &Outage) -> Vec<(&'static str, &'static str)> {
        let mut problems = Vec::new();
        check(set_up, outage, &mut problems);
        problems.into_iter().map(|problem| (problem.field, problem.message.key)).collect()
    }

    #[test]
    fn an_outage_that_holds_has_no_fault() {
        assert_eq!(faults(&SetUp::default(), &outage(at(4, 8), None)), []);
        assert_eq!(faults(&SetUp::default(), &outage(at(4, 8), Some(at(7, 8)))), []);
    }

    #[test]
    fn one_at_a_time_and_one_after_the_other() {
        let mut set_up = SetUp::default();
        let first = outage(at(4, 8), Some(at(7, 8)));
        set_up.put(Thing::Outage(first.clone()), 1);
        assert_eq!(faults(&set_up, &first), [], "the same outage is no other");
        assert_eq!(faults(&set_up, &outage(at(7, 8), None)), [], "from the moment on at which the one before ended");
        let within = "It would run into the one that began {since}. They follow one another.";
        assert_eq!(faults(&set_up, &outage(at(6, 8), None)), [("since", within)]);
        assert_eq!(faults(&set_up, &outage(at(1, 8), Some(at(5, 8)))), [("since", within)]);
        set_up.put(Thing::Outage(outage(at(8, 8), None)), 2);
        let on = "An outage is on since {since}. End it first: there is one at a time.";
        assert_eq!(faults(&set_up, &outage(at(9, 8), None)), [("", on)]);
    }

    #[test]
    fn times_and_rations_are_held_to_their_order() {
        let none = SetUp::default();
        let ends = outage(at(4, 8), Some(at(4, 8)));
        assert!(
            faults(&none, &ends).contains(&("ended", "It ends after it began. It began {since}; you gave {ended}."))
        );
        let mut unknown = outage(at(4, 8), None);
        unknown.rations[0].ration = "plenty".to_owned();
        assert_eq!(faults(&none, &unknown), [("ration", "There is no ration {ration}; there are {known}.")]);
        let mut backwards = outage(at(4, 8), None);
        backwards.rations.push(Step { since: at(4, 7), ration: "lean".to_owned() });
        assert_eq!(faults(&none, &backwards), [("ration", "A ration follows the one before it, which began {since}.")]);
        let none_at_all = Outage { rations: Vec::new(), ..outage(at(4, 8), None) };
        assert_eq!(faults(&none, &none_at_all), [("ration", "Say which ration is in force.")]);
        for days in [0.0, -3.0, f64::NAN, f64::INFINITY] {
            let plan = Outage { target_days: days, ..outage(at(4, 8), None) };
            assert_eq!(faults(&none, &plan).len(), 1, "{days}");
        }
    }
}
