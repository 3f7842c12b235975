//! What is believed of a level, judged by what truly was there.
//!
//! The published histories, `tests/published/levels.json`, come from a simulator written apart from this program, which
//! knows the truth; so does what is aimed at. An invented world of our own (`examples/levels_world`), which shares no
//! arithmetic with the estimator, is the second judge: here a short run of it, `cargo run --release -q -p
//! keepwell-engine --example levels_world -- 1000 1` the long one.

#[path = "../examples/levels_world/chance.rs"]
mod chance;
#[expect(dead_code, reason = "it reads the cases of every kind")]
#[path = "../examples/cases/fields.rs"]
mod fields;
#[path = "../examples/levels_world/figures.rs"]
mod figures;
#[path = "../examples/cases/levels.rs"]
mod levels;
#[path = "../examples/levels_world/plan.rs"]
mod plan;
#[path = "../examples/levels_world/score.rs"]
mod score;
#[path = "../examples/levels_world/vessel.rs"]
mod vessel;
#[path = "../examples/levels_world/world.rs"]
mod world;

use std::collections::BTreeSet;

use serde_json::Value;
use serde_json::json;

const PUBLISHED: &str = include_str!("../../../tests/published/levels.json");

fn published() -> Vec<Value> {
    serde_json::from_str(PUBLISHED).unwrap_or_default()
}

fn numbers(list: &Value) -> BTreeSet<u64> {
    list.as_array().into_iter().flatten().filter_map(Value::as_u64).collect()
}

/// Days after an unlogged move or the start of a leak, until the next reading: nobody can know.
fn unseen(case: &Value, ask: f64) -> bool {
    let truth = &case["truth"];
    let moves = truth["missed"].as_array().into_iter().flatten().filter_map(|missed| missed["day"].as_f64());
    let last = moves.chain(truth["leak"]["since_day"].as_f64()).filter(|&day| day <= ask).fold(f64::NAN, f64::max);
    let readings = ["dip", "sensor", "sight", "eye"];
    let entries = case["entries"].as_array().into_iter().flatten();
    let mut seen = entries
        .filter(|entry| entry["kind"].as_str().is_some_and(|kind| readings.contains(&kind)))
        .filter_map(|entry| entry["day"].as_f64());
    !last.is_nan() && !seen.any(|day| day > last && day <= ask)
}

#[test]
fn the_worked_histories_agree_with_the_figures_by_hand() {
    let cases = published();
    let by_hand: Vec<&Value> = cases.iter().filter(|case| case.get("by_hand").is_some()).collect();
    assert_eq!((cases.len(), by_hand.len()), (24, 4));
    for case in by_hand {
        let answer = levels::answer(case).unwrap();
        let (litres, sd) = (answer[0]["litres"].as_f64().unwrap(), answer[0]["sd"].as_f64().unwrap());
        let (true_litres, true_sd) = (&case["truth"]["litres"][0], &case["truth"]["sd"][0]);
        let (true_litres, true_sd) = (true_litres.as_f64().unwrap(), true_sd.as_f64().unwrap());
        assert!((litres - true_litres).abs() <= 0.6 * true_sd, "{}: {litres}, not {true_litres}", case["id"]);
        assert!(sd >= 0.95 * true_sd, "{}: {sd} is surer than {true_sd}", case["id"]);
    }
}

/// Of these few histories the thresholds are wider than those of a thousand.
#[test]
fn the_published_histories_are_told_as_they_truly_went() {
    let mut errors = score::Errors::default();
    let (mut mistakes, mut named, mut missed, mut noticed, mut accused) = (0, 0, 0, 0, 0);
    for case in published().iter().filter(|case| case.get("by_hand").is_none()) {
        let (id, truth) = (&case["id"], &case["truth"]);
        let answer = levels::answer(case).unwrap();
        let asks = case["ask"].as_array().unwrap();
        assert_eq!(answer.as_array().unwrap().len(), asks.len());
        for ((at, ask), litres) in answer.as_array().unwrap().iter().zip(asks).zip(truth["litres"].as_array().unwrap())
        {
            let litres = litres.as_f64().unwrap();
            if litres > 0.0 && !unseen(case, ask.as_f64().unwrap()) {
                errors.add(at["litres"].as_f64().unwrap() - litres, at["sd"].as_f64().unwrap());
            }
            let leaks = truth["leak"]["since_day"].as_f64().is_some_and(|since| since <= ask.as_f64().unwrap());
            assert!(at["leak"].is_null() || leaks, "{id}: a false alarm on day {ask}");
        }
        let last = &answer[asks.len() - 1];
        if let Some(rate) = truth["leak"]["L_per_day"].as_f64() {
            let found = last["leak"]["L_per_day"].as_f64().unwrap_or(0.0);
            assert!((found - rate).abs() < 0.1 * rate, "{id}: a leak of {found}, not {rate}");
        }
        let misfit = numbers(&last["misfit"]);
        let wrong = numbers(&truth["mistakes"]);
        mistakes += wrong.len();
        named += wrong.intersection(&misfit).count();
        let mut explained = wrong;
        for one in truth["missed"].as_array().unwrap() {
            let after = numbers(&one["ids"]);
            if one["mm"].as_f64().unwrap() >= 60.0 && after.len() > 1 {
                missed += 1;
                noticed += usize::from(!after.is_disjoint(&misfit));
            }
            explained.extend(after);
        }
        accused += misfit.difference(&explained).count();
    }
    assert!(errors.rms() < 1.35, "rms error {} of its sd", errors.rms());
    assert!((68.0..=92.0).contains(&errors.inside()), "{} % inside the band", errors.inside());
    // a first dip of two that is wrong is not told from the second: one may be missed
    assert!(named + 2 >= mistakes, "{named} of {mistakes} mistakes");
    assert_eq!(noticed, missed);
    assert!(accused <= 1, "{accused} accused wrongly");
}

/// Of 200 histories a figure may miss its aim by chance: the run is fixed, and the widest miss allowed here is named.
#[test]
fn a_short_run_of_the_invented_world_meets_its_aims() {
    let mut score = score::Score::default();
    for number in 0..200 {
        let history = world::history(7, number);
        score.add(number, &history, &history.believe().unwrap());
    }
    let all = figures::figures(&score);
    assert_eq!(all.len(), 29);
    let lines = figures::lines(&score).join("\n");
    for figure in &all {
        let room = 0.08 * if figure.most.is_finite() { figure.most } else { figure.least };
        assert!(figure.is >= figure.least - room && figure.is <= figure.most + room, "{}\n{lines}", figure.what);
    }
}

#[test]
fn equal_seeds_have_equal_worlds() {
    for number in 0..25 {
        assert_eq!(world::history(3, number).entries, world::history(3, number).entries);
    }
    assert_ne!(world::history(3, 1).entries, world::history(4, 1).entries);
}

#[test]
fn what_is_malformed_is_refused_and_nothing_else() {
    let sound = json!({
        "id": "x", "use": "standing", "ask": [8.0], "about": "a member nobody knows",
        "vessel": {"litres_per_mm": 1.0, "depth_mm": 1700, "capacity_sd": 0.01},
        "entries": [{"id": 1, "day": 0.3, "kind": "dip", "depth_mm": 212, "from": "rim"},
                    {"id": 2, "day": 0.3, "kind": "fill", "to": "top"},
                    {"id": 3, "day": 1.0, "kind": "draw", "by": "unknown"},
                    {"id": 4, "day": 2.0, "kind": "sight", "litres": 9000},
                    {"id": 5, "day": 3.0, "kind": "eye", "part": 0.75},
                    {"id": 6, "day": 4.0, "kind": "transfer", "way": "out", "litres": 1e9, "by": "bucket"},
                    {"id": 7, "day": 9.0, "kind": "meter", "total_L": 5}]
    });
    assert!(levels::answer(&sound).is_ok());
    let bad = [
        ("/use", json!("sitting")),
        ("/vessel/depth_mm", json!("deep")),
        ("/vessel/capacity_sd", json!(-0.1)),
        ("/entries/0/depth_mm", json!(1701)),
        ("/entries/0/depth_mm", json!(-1)),
        ("/entries/0/depth_mm", Value::Null),
        ("/entries/0/kind", json!("guess")),
        ("/entries/0/from", json!("side")),
        ("/entries/0/id", json!(2)),
        ("/entries/1/to", json!("half")),
        ("/entries/2/by", json!("cup")),
        ("/entries/4/part", json!("much")),
        ("/entries/5/way", json!("up")),
        ("/entries/5/by", json!("eye")),
        ("/entries/6/total_L", json!(-5)),
        ("/entries/6/day", json!("tomorrow")),
    ];
    for (at, value) in bad {
        let mut case = sound.clone();
        *case.pointer_mut(at).unwrap() = value.clone();
        assert!(levels::answer(&case).is_err(), "{at} = {value} was taken");
    }
}
