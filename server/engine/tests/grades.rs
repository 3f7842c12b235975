//! Every published case of what a vessel's water is counted as, to the letter: grade, causes in their order, the
//! clock's day, and what is refused. Source: `tests/published/grades.json`, answered apart from this program by the rules of
//! `tests/published/README.md`. The cases go through the same reader as those of `examples/cases`.

#[path = "../examples/cases/fields.rs"]
mod fields;
#[path = "../examples/cases/grades.rs"]
mod grades;

use serde_json::Value;
use serde_json::json;

const PUBLISHED: &str = include_str!("../../../tests/published/grades.json");

fn published() -> Vec<Value> {
    serde_json::from_str(PUBLISHED).unwrap_or_default()
}

#[test]
fn every_published_case_is_answered_to_the_letter() {
    let cases = published();
    assert_eq!(cases.len(), 51);
    let mut wrong = Vec::new();
    for case in &cases {
        let given = grades::answer(case);
        let right = match (&given, &case["answer"]) {
            (Err(_), Value::Null) => case["refused"] == json!(true),
            (Ok(given), answer) => agrees(given, answer),
            (Err(_), _) => false,
        };
        if !right {
            wrong.push(format!("{}: {}\n  gave {given:?}, wanted {}", case["id"], case["about"], case["answer"]));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

fn agrees(given: &Value, answer: &Value) -> bool {
    let clocks = match (given["clock_day"].as_f64(), answer["clock_day"].as_f64()) {
        (Some(given), Some(answer)) => (given - answer).abs() <= 1e-6,
        (None, None) => given["clock_day"] == answer["clock_day"],
        _ => false,
    };
    clocks && given["grade"] == answer["grade"] && given["causes"] == answer["causes"]
}
