//! What holds of every history, however odd: the rules of `cases.md` section 4 as laws.

use proptest::prelude::*;

use super::*;
use crate::quantity::litres;

fn day(day: f64) -> Moment {
    Moment::from_micros(0).after(days(day))
}

fn reading() -> impl Strategy<Value = Option<MassConcentration>> {
    let strengths = vec![0.0, 0.1, 0.2, 0.5, 4.0, 4.1, 20.0];
    proptest::option::of(proptest::sample::select(strengths).prop_map(mg_per_litre))
}

fn line() -> impl Strategy<Value = Line> {
    (0..2_u32).prop_map(Line)
}

fn kind() -> impl Strategy<Value = NoticeKind> {
    proptest::sample::select(NoticeKind::ALL.to_vec())
}

fn source() -> impl Strategy<Value = SourceKind> {
    prop_oneof![
        4 => Just(SourceKind::Mains),
        1 => proptest::option::of((0.0..900.0).prop_map(day)).prop_map(|printed| SourceKind::Bought { printed }),
        1 => Just(SourceKind::Doubtful),
        1 => Just(SourceKind::Chemical),
    ]
}

fn transfer() -> impl Strategy<Value = Act> {
    let causes = proptest::sample::subsequence(Cause::ALL.to_vec(), 0..4);
    (causes, -300.0..50.0, any::<bool>()).prop_map(|(causes, filled, chloramine)| {
        Act::TransferIn(Contents { causes, filled: day(filled), keeps_until: None, chloramine })
    })
}

fn act() -> impl Strategy<Value = Act> {
    prop_oneof![
        4 => (source(), line(), any::<bool>()).prop_map(|(source, line, boiled)| Act::Fill { source, line, boiled }),
        1 => transfer(),
        1 => (line(), 0.5..60.0).prop_map(|(line, age)| Act::FlowOn { line, age: days(age) }),
        1 => Just(Act::FlowOff),
        2 => any::<bool>().prop_map(|to_outlet| Act::Draw { to_outlet }),
        2 => Just(Act::Drain),
        1 => any::<bool>().prop_map(|shock| Act::Dose { shock }),
        2 => Just(Act::Disinfect),
        3 => (reading(), reading(), any::<Option<bool>>())
            .prop_map(|(free, total, coliform)| Act::Test { free, total, coliform }),
        1 => (line(), kind()).prop_map(|(line, kind)| Act::Notice { line, kind }),
        2 => (line(), kind()).prop_map(|(line, kind)| Act::Lifted { line, kind }),
        1 => any::<bool>().prop_map(|open| Act::Lid { open }),
        1 => prop_oneof![9 => Just(Act::Flooded), 1 => Just(Act::FuelContact)],
        1 => (line(), any::<bool>()).prop_map(|(line, chloramine)| Act::Mains {
            line,
            disinfectant: if chloramine { Disinfectant::Chloramine } else { Disinfectant::Free },
        }),
    ]
}

fn vessel() -> impl Strategy<Value = Water> {
    let often = || proptest::bool::weighted(0.8);
    let floor = proptest::option::of(proptest::sample::select(vec![0.0, 0.1, 0.2, 0.5]).prop_map(mg_per_litre));
    (often(), often(), often(), 1.0..200.0, 1.0..100.0, floor).prop_map(
        |(food_grade, closed, opaque, interval, redose, floor)| {
            let policy = Policy::new(days(interval), days(redose), floor).unwrap();
            Water::new(Body { food_grade, closed, opaque }, policy)
        },
    )
}

/// A vessel with a random past, and the day of its last act (50 or later, so that any transfer was filled before).
fn past() -> impl Strategy<Value = (Water, f64)> {
    let gap = prop_oneof![Just(0.0), 0.0..0.1, 0.0..40.0];
    (vessel(), proptest::collection::vec((gap, act()), 0..25)).prop_map(|(mut water, acts)| {
        let mut at = 50.0;
        for (gap, act) in acts {
            at += gap;
            water.apply(day(at), &act).unwrap();
        }
        (water, at)
    })
}

fn causes_of(grade: &Graded) -> Vec<Grade> {
    grade.causes.iter().map(|cause| cause.grade()).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn the_grade_is_the_worst_of_the_causes_and_each_has_its_reason((water, at) in past(), later in 0.0..400.0) {
        let graded = water.at(day(at + later));
        prop_assert_eq!(graded.grade.is_none(), water.is_empty());
        prop_assert_eq!(graded.grade, water.grade(day(at + later)));
        if let Some(grade) = graded.grade {
            prop_assert_eq!(grade, causes_of(&graded).into_iter().fold(Grade::Drink, Grade::max));
            prop_assert!(graded.clock.is_some() && graded.due.is_some());
        }
        prop_assert!(graded.causes.is_sorted());
        let told = graded.reasons.iter().filter(|reason| matches!(reason, Reason::Stands { .. })).count();
        prop_assert_eq!(told, graded.causes.len());
    }

    #[test]
    fn asking_changes_nothing_and_time_alone_mends_only_what_the_mains_run_through(
        (water, at) in past(), sooner in 0.0..200.0, later in 0.0..200.0,
    ) {
        let before = water.clone();
        let first = water.grade(day(at + sooner));
        let second = water.grade(day(at + sooner + later));
        prop_assert_eq!(&water, &before);
        let runs_through = water.inside.is_some_and(|inside| inside.flow.is_some());
        if !runs_through {
            prop_assert!(first <= second);
        }
    }

    #[test]
    fn mixed_water_has_every_cause_the_oldest_date_and_the_earliest_due_of_its_parts(
        (mut taker, a) in past(), (giver, b) in past(),
    ) {
        let at = day(a.max(b));
        if let Some(given) = giver.contents(at) {
            taker.apply(at, &Act::Draw { to_outlet: false }).unwrap();
            let own = taker.at(at);
            let mixed = taker.preview(at, &Act::TransferIn(given.clone())).unwrap();
            prop_assert!(mixed.grade >= giver.grade(at));
            prop_assert!(given.causes.iter().all(|cause| mixed.causes.contains(cause)));
            let topped_up = taker.inside.is_some_and(|inside| !inside.drawn_down);
            if topped_up {
                prop_assert!(mixed.grade >= own.grade);
                prop_assert!(own.causes.iter().all(|cause| mixed.causes.contains(cause)));
                prop_assert_eq!(mixed.clock, own.clock.min(Some(given.filled)));
                prop_assert!(mixed.due <= own.due);
            }
        }
    }

    #[test]
    fn a_dose_never_raises_a_grade((water, at) in past(), shock in any::<bool>(), later in 0.0..100.0) {
        let mut dosed = water.clone();
        dosed.apply(day(at), &Act::Dose { shock }).unwrap();
        prop_assert!(dosed.grade(day(at + later)) >= water.grade(day(at + later)));
    }

    #[test]
    fn a_lifted_notice_raises_no_stored_water((water, at) in past(), line in line(), kind in kind()) {
        let mut lifted = water.clone();
        lifted.apply(day(at), &Act::Lifted { line, kind }).unwrap();
        prop_assert_eq!(lifted.at(day(at)).causes, water.at(day(at)).causes);
    }

    #[test]
    fn fuel_is_for_ever((mut water, at) in past(), acts in proptest::collection::vec(act(), 0..20)) {
        water.apply(day(at), &Act::FuelContact).unwrap();
        for (days_on, act) in (1..).zip(acts) {
            water.apply(day(at + f64::from(days_on)), &act).unwrap();
        }
        prop_assert!(water.at(day(at + 500.0)).causes.contains(&Cause::FuelContact));
    }

    /// Whoever does what the road says, in its order, has drinking water; where there is none, no entry helps.
    #[test]
    fn the_road_back_leads_to_drinking_water((mut water, at) in past()) {
        let graded = water.at(day(at));
        let held = litres(if water.is_empty() { 0.0 } else { 700.0 });
        let Some(road) = water.restoration(day(at), held, litres(1000.0)) else {
            let stuck = |cause: &Cause| matches!(cause, Cause::FuelContact | Cause::Open | Cause::Chemical);
            prop_assert!(graded.causes.iter().any(stuck));
            return Ok(());
        };
        prop_assert!(road.kept <= road.restored);
        prop_assert_eq!(road.deeds.is_empty(), graded.grade == Some(Grade::Drink));
        let reading = Some(water.policy.floor().map_or(mg_per_litre(0.5), |floor| floor.max(mg_per_litre(0.5))));
        let mut hour = 0.0;
        for deed in road.deeds {
            hour += 1.0;
            let test = |coliform| Act::Test { free: reading, total: reading, coliform };
            let acts = match deed {
                Deed::DrawDown => vec![Act::Draw { to_outlet: true }],
                Deed::Empty => vec![Act::Drain],
                Deed::Disinfect => vec![Act::Disinfect],
                Deed::Fill => {
                    let fill = Act::Fill { source: SourceKind::Bought { printed: None }, line: Line(0), boiled: false };
                    vec![Act::Lid { open: false }, fill]
                }
                Deed::Dose => vec![Act::Dose { shock: false }],
                Deed::Test => vec![test(None)],
                Deed::Sample => vec![test(Some(false))],
            };
            for act in acts {
                water.apply(day(at + hour / 24.0), &act).unwrap();
            }
        }
        let after = water.at(day(at + (hour + 0.1) / 24.0));
        prop_assert_eq!(after.causes, vec![]);
        prop_assert_eq!(after.grade, Some(Grade::Drink));
    }

    #[test]
    fn what_is_refused_changes_nothing((water, at) in past()) {
        let mut same = water.clone();
        let strong = Act::Test { free: Some(mg_per_litre(1000.1)), total: None, coliform: Some(true) };
        prop_assert!(same.apply(day(at), &strong).is_err());
        let ageless = Act::FlowOn { line: Line(0), age: days(f64::NAN) };
        prop_assert!(same.apply(day(at), &ageless).is_err());
        let ahead = Contents { causes: vec![], filled: day(at + 1.0), keeps_until: None, chloramine: false };
        prop_assert!(same.apply(day(at), &Act::TransferIn(ahead)).is_err());
        if same.last.is_some() {
            prop_assert!(same.apply(day(at - 100.0), &Act::Drain).is_err());
        }
        prop_assert_eq!(same, water);
    }

    #[test]
    fn a_notice_on_another_supply_touches_no_fill((mut water, at) in past(), kind in kind()) {
        water.apply(day(at), &Act::Drain).unwrap();
        let fill = Act::Fill { source: SourceKind::Mains, line: Line(7), boiled: false };
        let without = water.preview(day(at), &fill).unwrap();
        water.apply(day(at), &Act::Notice { line: Line(8), kind }).unwrap();
        prop_assert_eq!(water.preview(day(at), &fill).unwrap(), without);
    }

    #[test]
    fn the_far_ends_of_time_panic_nowhere(acts in proptest::collection::vec((any::<i64>(), act()), 0..8), ask in any::<i64>(), mut water in vessel()) {
        for (at, act) in acts {
            // an act out of order is refused and leaves the rest to be tried
            water.apply(Moment::from_micros(at), &act).ok();
        }
        let asked = water.at(Moment::from_micros(ask));
        prop_assert_eq!(asked.grade.is_none(), water.is_empty());
        prop_assert_eq!(water.contents(Moment::from_micros(i64::MAX)).is_none(), water.is_empty());
    }
}

#[test]
fn keys_and_words_are_told_apart() {
    let keys: std::collections::BTreeSet<_> = Cause::ALL.iter().map(|cause| cause.key()).collect();
    let names: std::collections::BTreeSet<_> = Cause::ALL.iter().map(|cause| cause.name()).collect();
    assert_eq!((keys.len(), names.len()), (Cause::ALL.len(), Cause::ALL.len()));
    assert!(Cause::ALL.is_sorted() && Grade::ALL.is_sorted());
}
