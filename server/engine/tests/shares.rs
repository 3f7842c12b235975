//! Every published share, through the same reader and writer as the command line uses.
//! Expected values: `tests/published/shares.json`, worked out by hand and by an oracle written apart from this program.

#[path = "../examples/cases/fields.rs"]
#[expect(dead_code, reason = "the other kinds of case read more kinds of field")]
mod fields;
#[path = "../examples/cases/shares.rs"]
mod shares;

use std::collections::HashMap;

use serde_json::Value;

/// Within 1e-6 relative, absolute below one day or litre.
fn near(got: f64, expected: f64) -> bool {
    (got - expected).abs() <= 1e-6 * expected.abs().max(1.0)
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or(f64::NAN)
}

/// What is wrong with an answer: days and carried litres are compared, the moves must be feasible and give those days.
fn wrong(case: &Value, got: &Value) -> Option<String> {
    let expected = &case["answer"];
    let (days, right) = (got["days"].as_object()?, expected["days"].as_object()?);
    if days.len() != right.len() {
        return Some(format!("days of {} sites, expected {}", days.len(), right.len()));
    }
    for (id, right) in right {
        let given = days.get(id).map_or(f64::NAN, number);
        if !near(given, number(right)) {
            return Some(format!("{id} lasts {given}, expected {right}"));
        }
    }
    if !near(number(&got["carried_L"]), number(&expected["carried_L"])) {
        return Some(format!("carried {}, expected {}", got["carried_L"], expected["carried_L"]));
    }
    let mut balance: HashMap<&str, f64> = HashMap::new();
    let mut given: HashMap<&str, f64> = HashMap::new();
    let mut sent: HashMap<(&str, &str), f64> = HashMap::new();
    for one in got["moves"].as_array()? {
        *sent.entry((one["from"].as_str()?, one["to"].as_str()?)).or_default() += number(&one["litres"]);
    }
    for ((from, to), litres) in sent {
        // of parallel carries the one that loses least is filled first
        let between = case["carries"].as_array()?.iter().filter(|carry| carry["from"] == from && carry["to"] == to);
        let mut ways: Vec<(f64, f64)> = between
            .map(|carry| (carry["loss"].as_f64().unwrap_or(0.0), number(&carry["L_per_day"]) * number(&days[to])))
            .collect();
        ways.sort_by(|one, other| one.0.total_cmp(&other.0));
        let mut rest = litres;
        for (loss, most) in ways {
            let part = rest.min(most);
            rest -= part;
            *balance.entry(to).or_default() += part * (1.0 - loss);
        }
        if rest > 1e-6 * litres.max(1.0) {
            return Some(format!("no carry may move {rest} of {litres} from {from} to {to}"));
        }
        *balance.entry(from).or_default() -= litres;
        *given.entry(from).or_default() += litres;
    }
    for site in case["sites"].as_array()? {
        let id = site["id"].as_str()?;
        let (litres, need) = (number(&site["litres"]), number(&site["need_L_per_day"]));
        let spare = (litres - site["keep_L"].as_f64().unwrap_or(0.0)).max(0.0);
        let gave = given.get(id).copied().unwrap_or(0.0);
        if gave > spare + 1e-6 * spare.max(1.0) {
            return Some(format!("{id} gives {gave} of {spare}"));
        }
        let has = litres + balance.get(id).copied().unwrap_or(0.0);
        if need > 0.0 && !near(number(&days[id]) * need, has) {
            return Some(format!("{id} has {has} litres for {} days", days[id]));
        }
    }
    None
}

#[test]
fn every_published_share_agrees() {
    let cases: Vec<Value> = serde_json::from_str(include_str!("../../../tests/published/shares.json")).unwrap();
    assert_eq!(cases.len(), 43);
    let mut found = Vec::new();
    for case in &cases {
        let fault = match (shares::answer(case), case.get("answer")) {
            (Ok(got), Some(_)) => wrong(case, &got),
            (Err(_), None) if case["refused"] == Value::Bool(true) => None,
            (got, _) => Some(format!("{got:?}")),
        };
        found.extend(fault.map(|fault| format!("{}: {}: {fault}", case["id"], case["about"])));
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}
