//! Every published run, through the same reader and writer as the command line uses.
//! Expected values: `tests/published/runs.json`, worked out by hand and by an oracle written apart from this program.

#[path = "../examples/cases/runs.rs"]
mod runs;

use serde_json::Value;

/// Equal, numbers within 1e-6 relative (absolute below one day or litre).
fn same(got: &Value, expected: &Value) -> bool {
    match (got, expected) {
        (Value::Number(got), Value::Number(expected)) => {
            let figures = got.as_f64().zip(expected.as_f64());
            figures.is_some_and(|(got, expected)| (got - expected).abs() <= 1e-6 * expected.abs().max(1.0))
        }
        (Value::Array(got), Value::Array(expected)) => {
            got.len() == expected.len() && got.iter().zip(expected).all(|(got, expected)| same(got, expected))
        }
        (Value::Object(got), Value::Object(expected)) => {
            got.len() == expected.len()
                && got.iter().all(|(key, got)| expected.get(key).is_some_and(|expected| same(got, expected)))
        }
        _ => got == expected,
    }
}

#[test]
fn every_published_run_agrees() {
    let cases: Vec<Value> = serde_json::from_str(include_str!("../../../tests/published/runs.json")).unwrap();
    assert_eq!(cases.len(), 52);
    let mut wrong = Vec::new();
    for case in &cases {
        match (runs::answer(case), case.get("answer")) {
            (Ok(got), Some(expected)) if same(&got, expected) => {}
            (Err(_), None) if case["refused"] == Value::Bool(true) => {}
            (got, expected) => {
                wrong.push(format!("{}: {}\n  got      {got:?}\n  expected {expected:?}", case["id"], case["about"]));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
