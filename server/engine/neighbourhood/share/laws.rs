//! What holds of every share.

use proptest::prelude::*;

use super::*;
use crate::quantity::litres_per_day;

type Plain = (Vec<(f64, f64, f64, u64)>, Vec<(usize, usize, f64, f64)>, Option<f64>);

fn sharing((sites, carries, target): &Plain) -> Sharing {
    Sharing {
        sites: sites
            .iter()
            .map(|(volume, need, keep, class)| Site {
                volume: litres(*volume),
                need: litres_per_day(*need),
                keep: litres(*keep),
                class: *class,
            })
            .collect(),
        carries: carries
            .iter()
            .map(|(from, to, daily, loss)| Carry { from: *from, to: *to, daily: litres_per_day(*daily), loss: *loss })
            .collect(),
        target: target.map(days),
    }
}

fn lasts(shared: &Shared) -> Vec<Option<f64>> {
    shared.days.iter().map(|days| days.map(as_days)).collect()
}

fn moved(shared: &Shared) -> Vec<f64> {
    shared.moves.iter().map(|moved| as_litres(*moved)).collect()
}

/// Neighbourhoods of round figures, so that ties are common, with losses or without.
fn plain(most_sites: usize, most_carries: usize, classes: u64) -> impl Strategy<Value = Plain> {
    let site = (
        prop::sample::select(vec![0.0, 0.0, 100.0, 200.0, 500.0, 1000.0, 777.7]),
        prop::sample::select(vec![0.0, 10.0, 10.0, 20.0, 30.0, 33.3]),
        prop::sample::select(vec![0.0, 0.0, 100.0, 60.0]),
        1..=classes,
    );
    let target = prop::sample::select(vec![None, Some(0.0), Some(5.0), Some(12.5)]);
    (prop::collection::vec(site, 2..=most_sites), target).prop_flat_map(move |(sites, target)| {
        let count = sites.len();
        let carry = (
            0..count,
            1..count,
            prop::sample::select(vec![0.0, 5.0, 10.0, 15.0, 20.0, 31.0, 100.0]),
            prop::sample::select(vec![0.0, 0.0, 0.1, 0.5]),
        );
        let target = if classes > 1 { target } else { None };
        prop::collection::vec(carry, 0..=most_carries).prop_map(move |carries| {
            let carries = carries.into_iter().map(|(from, on, daily, loss)| (from, (from + on) % count, daily, loss));
            (sites.clone(), carries.collect(), target)
        })
    })
}

/// Days by site that some litres on the carries would give, if they may be moved so.
fn feasible((sites, carries, _): &Plain, flow: &[f64], slack: f64) -> Option<Vec<f64>> {
    let mut has: Vec<f64> = sites.iter().map(|site| site.0).collect();
    let mut spare: Vec<f64> = sites.iter().map(|site| (site.0 - site.2).max(0.0)).collect();
    for ((from, to, _, loss), flow) in carries.iter().zip(flow) {
        has[*from] -= flow;
        spare[*from] -= flow;
        has[*to] += flow * (1.0 - loss);
    }
    let lasts: Vec<f64> =
        has.iter().zip(sites).map(|(has, site)| if site.1 > 0.0 { has / site.1 } else { 0.0 }).collect();
    let slow = carries.iter().zip(flow).all(|((_, to, daily, _), flow)| *flow <= daily * lasts[*to] + slack);
    (slow && spare.iter().all(|spare| *spare >= -slack)).then_some(lasts)
}

fn in_order((sites, ..): &Plain, lasts: &[f64]) -> Vec<f64> {
    let mut lasts: Vec<f64> = lasts.iter().zip(sites).filter(|(_, site)| site.1 > 0.0).map(|(days, _)| *days).collect();
    lasts.sort_by(f64::total_cmp);
    lasts
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    /// The moves may be made, nobody falls below what it keeps, and they give just the days that are told.
    #[test]
    fn the_moves_give_the_days(plain in plain(9, 40, 3)) {
        let shared = share(&sharing(&plain)).unwrap();
        let given = feasible(&plain, &moved(&shared), 1e-6);
        prop_assert!(given.is_some(), "not feasible: {:?}", shared);
        for (told, given) in lasts(&shared).into_iter().zip(given.unwrap_or_default()) {
            prop_assert!(told.is_none_or(|told| (told - given).abs() <= 1e-7 * given.max(1.0)), "{told:?} but {given}");
        }
    }

    /// Brute force: no way of moving tenths of what may be given has a fairer vector.
    #[test]
    fn no_other_way_is_fairer(plain in plain(3, 4, 1)) {
        let shared = share(&sharing(&plain)).unwrap();
        let best: Vec<f64> = lasts(&shared).into_iter().flatten().collect();
        let mut best = best;
        best.sort_by(f64::total_cmp);
        let spare = |carry: &(usize, usize, f64, f64)| {
            let site = &plain.0[carry.0];
            if plain.0[carry.1].1 > 0.0 { (site.0 - site.2).max(0.0) } else { 0.0 }
        };
        let most: Vec<f64> = plain.1.iter().map(spare).collect();
        let ways = 11_u32.pow(u32::try_from(most.len()).unwrap());
        for way in 0..ways {
            let mut digits = way;
            let flow: Vec<f64> = most.iter().map(|most| {
                let part = f64::from(digits % 11) / 10.0;
                digits /= 11;
                most * part
            }).collect();
            let Some(other) = feasible(&plain, &flow, 0.0) else { continue };
            let other = in_order(&plain, &other);
            let differ = best.iter().zip(&other).find(|(best, other)| (*best - *other).abs() > 1e-7 * best.max(1.0));
            prop_assert!(differ.is_none_or(|(best, other)| other < best), "{best:?} but {other:?} by {flow:?}");
        }
    }

    /// The days do not depend on the order in which sites and carries are told.
    #[test]
    fn order_does_not_matter(plain in plain(8, 30, 3), turn in 0_usize..8) {
        let there = lasts(&share(&sharing(&plain)).unwrap());
        let count = plain.0.len();
        let moved = |site: usize| (site + turn) % count;
        let mut other = plain.clone();
        other.0.rotate_right(turn % count);
        for carry in &mut other.1 {
            (carry.0, carry.1) = (moved(carry.0), moved(carry.1));
        }
        other.1.reverse();
        let back = lasts(&share(&sharing(&other)).unwrap());
        for (site, days) in there.iter().enumerate() {
            let same = days.zip(back[moved(site)]).is_none_or(|(one, other)| (one - other).abs() <= 1e-8 * one.max(1.0));
            prop_assert!(same && days.is_some() == back[moved(site)].is_some(), "{there:?} but {back:?}");
        }
    }

    /// One class: sharing never takes the first site's days below those as placed, nor above those pooled.
    #[test]
    fn between_as_placed_and_pooled(plain in plain(9, 40, 1)) {
        let first = share(&sharing(&plain)).unwrap().first().map(|first| as_days(first.1));
        let needing = || plain.0.iter().filter(|site| site.1 > 0.0);
        let placed = needing().map(|site| site.0 / site.1).fold(f64::INFINITY, f64::min);
        let pooled = plain.0.iter().map(|site| site.0).sum::<f64>() / needing().map(|site| site.1).sum::<f64>();
        if let Some(first) = first {
            prop_assert!(first >= placed * (1.0 - 1e-9) && first <= pooled * (1.0 + 1e-9));
        }
    }

    /// Without a target the first class has what it has, whatever later ones need.
    #[test]
    fn later_classes_take_nothing_from_the_first(plain in plain(8, 30, 2), need in 1.0..500.0) {
        let mut plain = plain;
        plain.2 = None;
        let before = lasts(&share(&sharing(&plain)).unwrap());
        let mut other = plain.clone();
        other.0.iter_mut().filter(|site| site.3 == 2).for_each(|site| site.1 = need);
        let after = lasts(&share(&sharing(&other)).unwrap());
        for ((site, before), after) in plain.0.iter().zip(&before).zip(&after) {
            let same = before.zip(*after).is_none_or(|(one, other)| (one - other).abs() <= 1e-8 * one.max(1.0));
            prop_assert!(site.3 == 2 || same, "{before:?} but {after:?}");
        }
    }

    /// Whatever the figures, an answer of numbers or a refusal.
    #[test]
    fn any_figures_are_answered_or_refused(
        sites in prop::collection::vec((wild(), wild(), wild(), 0_u64..4), 0..7),
        carries in prop::collection::vec((0_usize..7, 0_usize..7, wild(), wild()), 0..20),
        target in prop::option::of(wild()),
    ) {
        if let Ok(shared) = share(&sharing(&(sites, carries, target))) {
            prop_assert!(lasts(&shared).into_iter().flatten().all(f64::is_finite));
            prop_assert!(moved(&shared).into_iter().all(f64::is_finite));
        }
    }
}

fn wild() -> impl Strategy<Value = f64> {
    prop_oneof![
        6 => prop::sample::select(vec![0.0, 0.0, 1.0, 0.5, 10.0, 1e15, 1e-9, 1e-300, 1e9, 0.999_999_999_999]),
        2 => 0.0..1.0,
        2 => 0.0..1000.0,
        1 => any::<f64>(),
        1 => prop::sample::select(vec![f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1.0, -0.0]),
    ]
}

fn stops(plain: &Plain) -> Vec<Stop> {
    share(&sharing(plain)).unwrap().stops
}

#[test]
fn each_carry_says_why_it_stops() {
    // S004 by hand: 60 L a day binds; the flats have 5 days, the hall 9
    assert_eq!(
        stops(&(vec![(3000.0, 300.0, 0.0, 1), (200.0, 100.0, 0.0, 1)], vec![(0, 1, 60.0, 0.0)], None)),
        [Stop::DailyLimit]
    );
    // S003: 300 L beyond the 3700 kept
    assert_eq!(
        stops(&(vec![(4000.0, 300.0, 3700.0, 1), (200.0, 100.0, 0.0, 1)], vec![(0, 1, 500.0, 0.0)], None)),
        [Stop::KeepsTheRest]
    );
    // S028: nothing beyond what it keeps
    assert_eq!(
        stops(&(vec![(1000.0, 100.0, 1500.0, 1), (50.0, 100.0, 0.0, 1)], vec![(0, 1, 500.0, 0.0)], None)),
        [Stop::NothingToGive]
    );
    // S002: both have 8 days; the giver keeps nothing back, but more would shorten it
    assert_eq!(
        stops(&(vec![(3000.0, 300.0, 0.0, 1), (200.0, 100.0, 0.0, 1)], vec![(0, 1, 500.0, 0.0)], None)),
        [Stop::WouldShorten]
    );
    // S025: the clinic comes first
    assert_eq!(
        stops(&(vec![(4000.0, 100.0, 500.0, 1), (0.0, 100.0, 0.0, 2)], vec![(0, 1, 300.0, 0.0)], None)),
        [Stop::OthersFirst]
    );
    // S022: the clinic has its ten days, hall and flats seven
    let sites = vec![(200.0, 100.0, 0.0, 1), (3000.0, 300.0, 900.0, 2), (600.0, 100.0, 0.0, 2)];
    let carries = vec![(1, 0, 500.0, 0.0), (1, 2, 500.0, 0.0)];
    assert_eq!(stops(&(sites, carries, Some(10.0))), [Stop::TargetReached, Stop::WouldShorten]);
    // S010: the garden needs nothing, and has nothing for the flats
    let sites = vec![(3000.0, 300.0, 0.0, 1), (0.0, 0.0, 0.0, 1), (0.0, 100.0, 0.0, 1)];
    assert_eq!(
        stops(&(sites, vec![(0, 1, 1000.0, 0.0), (1, 2, 1000.0, 0.0)], None)),
        [Stop::NoNeed, Stop::NothingToGive]
    );
}

#[test]
fn a_carry_slower_than_the_need_names_the_ration_it_would_hold() {
    // S007 by hand: 90 of 100 L a day, no store: 0 days, nothing carried
    let plain = (vec![(3000.0, 300.0, 0.0, 1), (0.0, 100.0, 0.0, 1)], vec![(0, 1, 90.0, 0.0)], None);
    let shared = share(&sharing(&plain)).unwrap();
    assert_eq!(shared.stops, [Stop::TooSlow]);
    assert_eq!(shared.too_slow.len(), 1);
    assert_eq!(shared.too_slow[0].site, 1);
    assert!((as_litres_per_day(shared.too_slow[0].holds) - 90.0).abs() < 1e-9);
    // at the ration named the same carry keeps up: 90 L a day, 3000 / 390 days each
    let plain = (vec![(3000.0, 300.0, 0.0, 1), (0.0, 90.0, 0.0, 1)], vec![(0, 1, 90.0, 0.0)], None);
    let shared = share(&sharing(&plain)).unwrap();
    assert_eq!(shared.too_slow, []);
    assert!(lasts(&shared).into_iter().flatten().all(|days| (days - 3000.0 / 390.0).abs() < 1e-9));
}

#[test]
fn two_carries_that_just_meet_the_need_outlast_a_third_giver() {
    // By hand: 15 + 15 L a day from the two springs just meet 30; the barrel's 40 L are for its own 10 L a day: 4 days.
    // Each spring has 300 L for 15 L a day: 20 days.
    let sites = vec![(300.0, 0.0, 0.0, 1), (300.0, 0.0, 0.0, 1), (40.0, 10.0, 0.0, 1), (0.0, 30.0, 0.0, 1)];
    let carries = vec![(2, 3, 50.0, 0.0), (0, 3, 15.0, 0.0), (1, 3, 15.0, 0.0)];
    let found = lasts(&share(&sharing(&(sites, carries, None))).unwrap());
    assert_eq!(found[..2], [None, None]);
    assert!((found[2].unwrap() - 4.0).abs() < 1e-9 && (found[3].unwrap() - 20.0).abs() < 1e-9, "{found:?}");
}

#[test]
fn nobody_there_is_an_answer_without_a_sign() {
    let shared = share(&Sharing::default()).unwrap();
    assert!(as_litres(shared.carried()).is_sign_positive());
    assert_eq!((shared.first(), shared.days.len()), (None, 0));
    let working = working(&Sharing::default(), &shared);
    assert_eq!(working.steps.len(), 1, "no days, and what was carried");
}

#[test]
fn a_site_whose_carries_just_meet_its_need_lets_go_of_who_hangs_on_its_store() {
    // By hand: the last site lives on 15 + 5 L a day for its 20, and gives its 100 L away; at the target of 12.5 d it has
    // had 62.5 of the one and 187.5 of the other, whose own 200 L leave (200 − 187.5) / 10 = 1.25 d.
    let sites = vec![
        (500.0, 30.0, 60.0, 3),
        (500.0, 33.3, 100.0, 3),
        (777.7, 33.3, 0.0, 1),
        (200.0, 33.3, 100.0, 1),
        (200.0, 0.0, 60.0, 3),
        (200.0, 10.0, 0.0, 2),
        (100.0, 20.0, 0.0, 1),
    ];
    let idle = (0, 1, 0.0, 0.0);
    let mut carries = vec![idle; 11];
    (carries[5], carries[6]) = ((5, 6, 15.0, 0.0), (6, 3, 10.0, 0.0));
    (carries[7], carries[10]) = ((4, 6, 5.0, 0.0), (0, 3, 10.0, 0.1));
    let shared = share(&sharing(&(sites, carries, Some(12.5)))).unwrap();
    let found = lasts(&shared);
    assert!((found[5].unwrap() - 1.25).abs() < 1e-9 && (found[6].unwrap() - 12.5).abs() < 1e-9, "{found:?}");
    assert!((moved(&shared)[5] - 187.5).abs() < 1e-9);
}
