//! Every published share, through the same reader and writer as the command line uses.
//! Expected values: `tests/published/shares.json`, worked out by hand and by an oracle written apart from this program.

#[path = "../examples/cases/fields.rs"]
#[expect(dead_code, reason = "the other kinds of case read more kinds of field")]
mod fields;
mod large;
#[path = "../examples/cases/shares.rs"]
mod shares;

use std::collections::HashMap;

use keepwell_engine::neighbourhood::share::Carry;
use keepwell_engine::neighbourhood::share::Shared;
use keepwell_engine::neighbourhood::share::Sharing;
use keepwell_engine::neighbourhood::share::Site;
use keepwell_engine::neighbourhood::share::share;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::days;
use keepwell_engine::quantity::litres;
use keepwell_engine::quantity::litres_per_day;
use serde_json::Value;

use large::large;

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

/// `SplitMix64` (Steele, Lea, Flood 2014), as in `tests/published/shares_lp.py`.
struct Numbers(u64);

impl Numbers {
    fn bits(&mut self) -> u32 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut bits = self.0;
        bits = (bits ^ (bits >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        bits = (bits ^ (bits >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        // 31 bits: always a u32
        u32::try_from((bits ^ (bits >> 31)) >> 33).unwrap_or(u32::MAX)
    }

    fn below(&mut self, most: usize) -> usize {
        self.bits() as usize % most
    }

    fn one_of<T: Copy>(&mut self, choices: &[T]) -> T {
        choices[self.below(choices.len())]
    }

    fn tenths(&mut self, least: u32, most: u32) -> f64 {
        f64::from(least + self.bits() % most) / 10.0
    }
}

/// The neighbourhood that the check script makes up from the same number.
fn made_up(start: u64) -> Sharing {
    let mut of = Numbers(start);
    let count = 2 + of.below(9);
    let (even, classes, lossy) = (of.below(2) == 0, of.one_of(&[1, 1, 2, 3]), of.below(2) == 0);
    let mut sharing = Sharing::default();
    for _ in 0..count {
        let (volume, need) = if even {
            let volume = of.one_of(&[0.0, 0.0, 100.0, 200.0, 500.0, 1000.0, 3000.0]);
            (volume, of.one_of(&[0.0, 10.0, 10.0, 20.0, 30.0, 50.0, 100.0]))
        } else {
            let volume = if of.below(4) == 0 { 0.0 } else { of.tenths(0, 50_000) };
            (volume, if of.below(10) == 0 { 0.0 } else { of.tenths(10, 1990) })
        };
        let keep = of.one_of(&[0.0, 0.0, 0.0, 100.0, 300.0, 3.0 * need]);
        let class = 1 + of.below(classes) as u64;
        let (volume, need, keep) = (litres(volume), litres_per_day(need), litres(keep));
        sharing.sites.push(Site { volume, need, keep, class });
    }
    let most = if of.below(3) == 0 { 6 * count } else { 3 * count };
    for _ in 0..of.below(1 + most) {
        let from = of.below(count);
        let to = (from + 1 + of.below(count - 1)) % count;
        let daily = if even {
            of.one_of(&[0.0, 5.0, 10.0, 10.0, 15.0, 20.0, 25.0, 30.0, 50.0, 100.0, 200.0, 500.0])
        } else {
            of.tenths(0, 1500)
        };
        let loss = if lossy { of.one_of(&[0.0, 0.0, 0.01, 0.1, 0.2, 0.25, 0.5, 0.6]) } else { 0.0 };
        sharing.carries.push(Carry { from, to, daily: litres_per_day(daily), loss });
    }
    sharing.target = of.one_of(&[None, None, Some(0.0), Some(2.0), Some(5.0), Some(10.0), Some(20.0)]).map(days);
    sharing
}

/// No giver falls below what it keeps.
fn keeps(sharing: &Sharing, shared: &Shared) -> bool {
    let mut given = vec![0.0; sharing.sites.len()];
    for (carry, sent) in sharing.carries.iter().zip(&shared.moves) {
        given[carry.from] += as_litres(*sent);
    }
    sharing.sites.iter().zip(given).all(|(site, given)| {
        let spare = as_litres(site.volume - site.keep).max(0.0);
        given <= spare + 1e-6 * spare.max(1.0)
    })
}

/// Source: `tests/published/shares_lp.csv`, by a linear program for every level (HiGHS through SciPy).
#[test]
fn a_thousand_neighbourhoods_agree_with_linear_programming() {
    let mut rows = 0_u64;
    for row in include_str!("../../../tests/published/shares_lp.csv").lines() {
        let mut figures = row.split(',');
        assert_eq!(figures.next(), Some(rows.to_string().as_str()));
        let carried: f64 = figures.next().unwrap().parse().unwrap();
        let sharing = made_up(rows);
        let shared = share(&sharing).unwrap();
        assert!(keeps(&sharing, &shared), "number {rows}");
        let expected: Vec<Option<f64>> = figures.map(|days| days.parse().ok()).collect();
        let found: Vec<Option<f64>> = shared.days.iter().map(|days| days.map(as_days)).collect();
        let same = |one: &Option<f64>, other: &Option<f64>| match (one, other) {
            (Some(one), Some(other)) => near(*one, *other),
            (one, other) => one == other,
        };
        assert_eq!(found.len(), expected.len(), "number {rows}");
        let agree = found.iter().zip(&expected).all(|(found, expected)| same(found, expected));
        assert!(agree, "number {rows}: {found:?}, expected {expected:?}");
        let sent = as_litres(shared.carried());
        assert!(near(sent, carried), "number {rows}: carried {sent}, expected {carried}");
        rows += 1;
    }
    assert_eq!(rows, 1000);
}

/// Source: `tests/published/shares_lp_1000.csv`, every level by linear programs (HiGHS through SciPy), which took 1,488 s.
#[test]
fn a_thousand_sites_with_six_carries_each_agree_with_linear_programming() {
    let sharing = large(1000, false);
    let shared = share(&sharing).unwrap();
    assert!(keeps(&sharing, &shared));
    let mut rows = include_str!("../../../tests/published/shares_lp_1000.csv").lines();
    let carried: f64 = rows.next().unwrap().parse().unwrap();
    let expected: Vec<Option<f64>> = rows.map(|days| days.parse().ok()).collect();
    assert_eq!(expected.len(), 1000);
    for (place, (found, expected)) in shared.days.iter().zip(&expected).enumerate() {
        match (found.map(as_days), expected) {
            (Some(found), Some(expected)) => {
                assert!(near(found, *expected), "site {place}: {found}, expected {expected}")
            }
            (found, expected) => assert_eq!(found, *expected, "site {place}"),
        }
    }
    let sent = as_litres(shared.carried());
    assert!(near(sent, carried), "carried {sent}, expected {carried}");
}
