//! Published demands, and laws of rations.

use proptest::prelude::*;
use serde::Deserialize;

use super::*;
use crate::quantity::as_days;

#[derive(Deserialize)]
struct Row {
    id: String,
    quantity: String,
    inputs: String,
    expected: f64,
    tolerance: String,
}

#[derive(Deserialize)]
#[serde(tag = "quantity", rename_all = "snake_case")]
enum Question {
    DemandPerPerson {
        level: String,
    },
    HouseholdStore {
        people: u32,
        pets: u32,
        days: f64,
        #[serde(rename = "L_each_day")]
        each: f64,
    },
    Demand {
        lines: Vec<(u32, f64)>,
        days: f64,
    },
    DaysOnHand {
        #[serde(rename = "usable_L")]
        usable: f64,
        lines: Vec<(u32, f64)>,
        loss_fraction: f64,
    },
}

fn basic() -> Uses {
    Ladder::default().rung("basic").unwrap().uses()
}

fn answer(question: Question) -> f64 {
    match question {
        Question::DemandPerPerson { level } => {
            let key = if level == "sphere_minimum" { "basic" } else { &level };
            as_litres(Ladder::default().rung(key).unwrap().uses().total())
        }
        Question::HouseholdStore { people, pets, days, each } => {
            let home = Population::default().with(Category::Adult, people).with_animals(Animal::DogOrCat, pets);
            days * as_litres(home.demand(Uses::litres(each, 0.0, 0.0, 0.0)).unwrap().total())
        }
        // a line is told by its litres: beds 60, outpatients 5, pupils 3
        Question::Demand { lines, days } => {
            let mut place = Population::default();
            for (count, each) in lines {
                place = if each < 4.0 {
                    place.with(Category::DayVisitor, count).with_visits(Visit::Pupil)
                } else if each < 6.0 {
                    place.with(Category::DayVisitor, count).with_visits(Visit::Outpatient)
                } else {
                    place.with(Category::Bed, count).with_bed_need(litres(each)).unwrap()
                };
            }
            days * as_litres(place.demand(basic()).unwrap().total())
        }
        Question::DaysOnHand { usable, lines, loss_fraction } => {
            let [(people, 15.0)] = lines[..] else { panic!("a line that is not Basic") };
            let need = Population::default().with(Category::Catchment, people).demand(basic()).unwrap().total();
            as_days(days_on_hand(litres(usable), need, loss_fraction).unwrap().unwrap())
        }
    }
}

#[test]
fn published_demands() {
    let rows: Vec<Row> = csv::Reader::from_reader(include_str!("../../../tests/published/demand.csv").as_bytes())
        .deserialize()
        .collect::<Result<_, _>>()
        .unwrap();
    assert_eq!(rows.len(), 13);
    for Row { id, quantity, inputs, expected, tolerance } in rows {
        let mut inputs: serde_json::Value = serde_json::from_str(&inputs).unwrap();
        inputs["quantity"] = quantity.into();
        let got = answer(serde_json::from_value(inputs).unwrap());
        let allowed = match tolerance.split_once(':') {
            Some(("abs", figure)) => figure.parse().unwrap(),
            _ => 1e-9,
        };
        assert!((got - expected).abs() <= allowed, "{id}: {got} is not {expected}");
    }
}

#[test]
fn animals_need_what_the_tables_say() {
    // Agriculture and Agri-Food Canada, range livestock table: winter, summer
    for (animal, winter, summer) in [(Animal::Horse, 36.0, 55.0), (Animal::Cow, 77.0, 95.0), (Animal::Sheep, 3.6, 14.0)]
    {
        assert_eq!(animal.a_day(Season::Winter), litres(winter));
        assert_eq!(animal.a_day(Season::Summer), litres(summer));
    }
}

#[test]
fn each_person_is_counted_once_and_visitors_at_home() {
    let clinic = Population::default()
        .with(Category::Adult, 4)
        .with(Category::Infant, 1)
        .with(Category::Bed, 6)
        .with(Category::DayVisitor, 40)
        .with(Category::Catchment, 20);
    let demand = clinic.demand(basic()).unwrap();
    assert_eq!(demand.people, 31);
    assert!(demand.priority);
    // by hand: 25 × 15 + 6 × 40 + 40 × 5 = 815
    assert!((as_litres(demand.total()) - 815.0).abs() < 1e-9);
    let (heads, each) = demand.per_head();
    assert!((heads * as_litres(each.total()) - 815.0).abs() < 1e-9);
    let last = demand.working().steps.pop().unwrap();
    assert!((last.figure.value - 815.0).abs() < 1e-9);
    assert!(!Population::default().with(Category::Adult, 3).priority());
}

#[test]
fn a_school_by_day_needs_water_though_nobody_lives_there() {
    let school = Population::default().with(Category::DayVisitor, 300).with_visits(Visit::Pupil);
    let (heads, each) = school.demand(basic()).unwrap().per_head();
    assert!((heads * as_litres(each.total()) - 900.0).abs() < 1e-9);
    let (heads, each) = Population::default().demand(basic()).unwrap().per_head();
    assert_eq!((heads, each), (0.0, Uses::default()));
}

#[test]
fn carrying_cuts_flushing_then_washing_then_cooking_and_never_drinking() {
    let ration = Uses::litres(3.0, 10.0, 20.0, 10.0);
    for (cap, kept) in [
        (50.0, (3.0, 10.0, 20.0, 10.0)),
        (35.0, (3.0, 10.0, 20.0, 2.0)),
        (15.0, (3.0, 10.0, 2.0, 0.0)),
        (7.0, (3.0, 4.0, 0.0, 0.0)),
        (1.0, (3.0, 0.0, 0.0, 0.0)),
    ] {
        let got = ration.carried(litres(cap));
        for (what, litres) in Use::ALL.into_iter().zip([kept.0, kept.1, kept.2, kept.3]) {
            assert!((as_litres(got.of(what)) - litres).abs() < 1e-9, "{cap}: {what:?}");
        }
    }
}

#[test]
fn a_neighbourhood_may_add_a_rung_but_none_that_gives_less_to_drink() {
    let ten = Rung::new("ten", "Ten litres", Uses::litres(3.0, 4.0, 3.0, 0.0), "set here").unwrap();
    let ladder = Ladder::default().with(ten.clone()).unwrap();
    let keys: Vec<_> = ladder.rungs().iter().map(Rung::key).collect();
    assert_eq!(keys, ["drinking", "lean", "ten", "basic", "ample", "house_careful", "house_ordinary"]);
    assert!(matches!(ladder.with(ten), Err(LadderError::Twice { .. })));
    let error = Rung::new("dry", "Dry", Uses::litres(2.5, 20.0, 0.0, 0.0), "").unwrap_err();
    assert!(error.to_string().contains("allowed is 3 L or more"), "{error}");
    assert!(Rung::new("bad", "Bad", Uses::litres(3.0, f64::NAN, 0.0, 0.0), "").is_err());
    assert!(Rung::new("", "Bad", Uses::litres(3.0, 0.0, 0.0, 0.0), "").is_err());
}

#[test]
fn what_cannot_be_is_refused_by_name() {
    for bad in [f64::NAN, -1.0, f64::INFINITY] {
        assert!(Population::default().demand(Uses::litres(3.0, bad, 0.0, 0.0)).is_err());
        assert!(Population::default().with_bed_need(litres(bad)).is_err());
        assert!(days_on_hand(litres(bad), litres(1.0), 0.0).is_err());
        assert!(days_on_hand(litres(1.0), litres(bad), 0.0).is_err());
        assert!(days_on_hand(litres(1.0), litres(1.0), bad).is_err());
    }
    assert!(days_on_hand(litres(1.0), litres(1.0), 1.0).is_err());
    assert_eq!(days_on_hand(litres(100.0), litres(0.0), 0.0), Ok(None));
}

proptest! {
    #[test]
    fn what_is_carried_is_within_the_cap_and_the_ration(
        drink in 0.0..10.0, cook in 0.0..50.0, wash in 0.0..50.0, flush in 0.0..50.0, cap in 0.0..200.0,
    ) {
        let ration = Uses::litres(drink, cook, wash, flush);
        let carried = ration.carried(litres(cap));
        prop_assert!(as_litres(carried.total()) <= f64::max(cap, drink) + 1e-9);
        for what in Use::ALL {
            prop_assert!(carried.of(what) <= ration.of(what) && carried.of(what) >= Volume::default());
        }
        prop_assert_eq!(carried.drink, ration.drink);
    }

    #[test]
    fn twice_the_people_need_twice_the_water(adults in 0u32..10_000, beds in 0u32..1000, visitors in 0u32..1000) {
        let with = |factor: u32| {
            let place = Population::default()
                .with(Category::Adult, adults * factor)
                .with(Category::Bed, beds * factor)
                .with(Category::DayVisitor, visitors * factor);
            as_litres(place.demand(basic()).unwrap().total())
        };
        prop_assert!((with(2) - 2.0 * with(1)).abs() <= 1e-9 * with(2));
    }
}

proptest! {
    #[test]
    fn any_figures_of_a_point_end_in_a_number_or_an_error(a in any::<f64>(), b in any::<f64>(), c in any::<f64>()) {
        use crate::quantity::hours;
        use crate::quantity::litres_per_minute;
        let fine = |value: f64| value.is_finite();
        prop_assert!(points_needed(a, b).map_or(true, fine));
        prop_assert!(litres_at_point(litres_per_minute(a), hours(b), c).map_or(true, |each| fine(as_litres(each))));
        prop_assert!(fill_time(litres(a), litres_per_minute(b)).map_or(true, |time| fine(crate::quantity::as_minutes(time))));
        prop_assert!(flushing(a, b, litres(c)).map_or(true, |day| fine(as_litres(day))));
        prop_assert!(store_for(a, litres(b), days(c)).map_or(true, |store| fine(as_litres(store))));
    }
}
