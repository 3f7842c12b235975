//! What holds of every forecast.

use proptest::prelude::*;

use super::tests::draws;
use super::tests::house;
use super::tests::question;
use super::*;
use crate::endurance::Change;
use crate::endurance::Event;
use crate::endurance::Heels;
use crate::endurance::Power;
use crate::endurance::Stock;
use crate::endurance::Uses;
use crate::endurance::usual_levels;
use crate::grade::Grade;
use crate::quantity::days;
use crate::quantity::hours;
use crate::quantity::litres;
use crate::quantity::litres_per_hour;

/// Any site with taps and a hand: people, two stocks with their errors, fuel, spreads and up to four arrivals.
fn some_site() -> impl Strategy<Value = Site> {
    let stock = (0u16..5000, 0u16..800, any::<bool>());
    let event = (0u8..40, any::<bool>(), 0u16..2000, 0u8..=10, 0u8..6);
    (
        0u8..40,
        (stock.clone(), stock),
        prop::option::of(0u8..60),
        (0u8..=10, 0u8..=10, 0u8..=10),
        prop::collection::vec(event, 0..4),
    )
        .prop_map(|(people, (one, two), fuel, (joint, use_spread, burn_spread), events)| {
            let mut site = house("");
            site.run.horizon = days(60.0);
            site.run.people = f64::from(people);
            site.run.levels = usual_levels(Uses::litres(3.0, 6.0, 11.0, 0.0), litres(7.5), false);
            let heel = |dips: bool| Heels { pump: Some(litres(10.0)), dip: dips.then(|| litres(5.0)), gravity: None };
            let all = [("one", one), ("two", two)];
            site.run.stocks = all
                .map(|(id, (volume, _, dips))| Stock {
                    id: id.to_owned(),
                    grade: Grade::Drink,
                    volume: litres(f64::from(volume)),
                    heel: heel(dips),
                })
                .to_vec();
            site.stocks = all.map(|(_, (_, sd, _))| Doubt { sd: litres(f64::from(sd)), brim: None }).to_vec();
            site.run.power = fuel.map(|fuel| Power {
                fuel: Some(litres(f64::from(fuel))),
                burn: litres_per_hour(0.5),
                hours_a_day: hours(4.0),
            });
            let tenth = |tenths: u8| f64::from(tenths) / 10.0;
            (site.stocks_joint, site.use_spread, site.burn_spread) =
                (tenth(joint), tenth(use_spread), tenth(burn_spread));
            for (day, water, much, comes, late) in events {
                let much = litres(f64::from(much));
                let change =
                    if water { Change::AddWater { stock: 0, volume: much } } else { Change::AddFuel(much / 100.0) };
                site.run.events.push(Event { at: days(f64::from(day)), change });
                site.events.push(Coming { comes: tenth(comes), late: days(f64::from(late)) });
            }
            site
        })
}

fn neighbourhood() -> impl Strategy<Value = Vec<Site>> {
    prop::collection::vec(some_site(), 1..5).prop_map(|mut sites| {
        for (place, site) in sites.iter_mut().enumerate() {
            site.key = place.to_string();
        }
        sites
    })
}

/// Any figure at all, and often one that may pass.
fn figure() -> impl Strategy<Value = f64> {
    prop_oneof![prop::num::f64::ANY, 0.0..1.0f64, 0.0..365.0f64, 0.0..1e15f64]
}

fn ask(seed: u64) -> Question {
    let outage = Some(Outage { half_over: days(6.0), nine_in_ten_over: days(30.0) });
    Question { seed, draws: 60, outage, use_joint: 0.3, ..question(20.0) }
}

fn on_threads(threads: usize, sites: &[Site], question: &Question) -> String {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
    format!("{:?}", pool.install(|| forecast(sites, question)).unwrap())
}

fn never(end: Option<Time>) -> f64 {
    end.map_or(f64::INFINITY, as_days)
}

#[test]
fn the_same_seed_says_the_same_to_the_last_bit_on_any_number_of_threads() {
    let sites: Vec<Site> = (0..200_u32)
        .map(|number| {
            let mut site = house(&format!("house {number}"));
            site.run.people = f64::from(1 + number % 9) / 3.0;
            site.stocks[0].sd = litres(70.0);
            site.use_spread = 0.25;
            site
        })
        .collect();
    let question = Question { draws: 100, use_joint: 0.4, ..question(10.0) };
    let one = on_threads(1, &sites, &question);
    assert!([2, 3, 8].into_iter().all(|threads| on_threads(threads, &sites, &question) == one));
    assert_ne!(one, on_threads(1, &sites, &Question { seed: 21, ..question }), "another seed, another answer");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn percentiles_rise_chances_count_every_draw_and_all_is_a_number(sites in neighbourhood(), seed: u64) {
        let found = forecast(&sites, &ask(seed)).unwrap();
        let all = found.sites.iter().map(|site| &site.outlook).chain([&found.first]);
        for outlook in all {
            for Days { p10, p50, p90 } in [outlook.ration, outlook.dry] {
                prop_assert!(p10.at <= p50.at && p50.at <= p90.at);
                prop_assert!([p10, p50, p90].iter().all(|day| (0.0..=60.0).contains(&as_days(day.at))));
                prop_assert!(!p10.at_least || p90.at_least);
            }
            let through = outlook.through.unwrap();
            for (ration, water) in [(outlook.ration_reaches, outlook.water_reaches), (through.ration, through.water)] {
                prop_assert!(ration.met <= water.met && water.of == 60 && water.met <= 60);
            }
        }
        prop_assert!(found.sites.iter().all(|site| found.first.ration.p10.at <= site.outlook.ration.p10.at
            || sites.iter().any(|site| site.run.people <= 0.0)));
        prop_assert!(found.sites.iter().map(|site| site.first.met).sum::<u32>() <= 60);
        prop_assert!(working(&ask(seed), &found).steps.iter().all(|step| step.figure.value.is_finite()));
    }

    /// More water at one site is never worse there in any draw, and no other site hears of it.
    #[test]
    fn a_better_plan_is_never_worse_in_any_draw(
        sites in neighbourhood(), more in 1u16..3000, which in 0usize..2, seed: u64,
    ) {
        let question = ask(seed);
        let mut better = sites.clone();
        better[0].run.stocks[which].volume += litres(f64::from(more));
        let (before, after) = (draws(&sites[0], &question).unwrap(), draws(&better[0], &question).unwrap());
        for (draw, (before, after)) in before.iter().zip(&after).enumerate() {
            prop_assert!(never(after.ration_ends) >= never(before.ration_ends) - 1e-6, "draw {}", draw);
            prop_assert!(never(after.dry_from) >= never(before.dry_from) - 1e-6, "dry, draw {}", draw);
        }
        let (before, after) = (forecast(&sites, &question).unwrap(), forecast(&better, &question).unwrap());
        prop_assert!(before.sites.iter().zip(&after.sites).skip(1).all(|(one, other)| one.outlook == other.outlook));
    }

    /// Another arrival, another stock or another site moves nobody's luck: with nothing in it, no draw changes.
    #[test]
    fn what_is_added_moves_nobody_elses_luck(sites in neighbourhood(), at in 0u8..40, first: bool, seed: u64) {
        let question = ask(seed);
        let mut more = sites.clone();
        let place = if first { 0 } else { more[0].run.events.len() };
        let nothing = Event { at: days(f64::from(at) + 0.25), change: Change::AddWater { stock: 1, volume: litres(0.0) } };
        more[0].run.events.insert(place, nothing);
        more[0].events.insert(place, Coming { comes: 0.5, late: days(3.0) });
        let empty = Stock { id: "three".to_owned(), volume: litres(0.0), ..more[0].run.stocks[0].clone() };
        more[0].run.stocks.push(empty);
        more[0].stocks.push(Doubt { sd: litres(0.0), brim: None });
        let (before, after) = (draws(&sites[0], &question).unwrap(), draws(&more[0], &question).unwrap());
        for (one, other) in before.iter().zip(&after) {
            let (one, other) = (never(one.ration_ends), never(other.ration_ends));
            prop_assert!(one.total_cmp(&other).is_eq() || (one - other).abs() <= 1e-7, "{} and {}", one, other);
        }
        more.push(Site { key: "another".to_owned(), ..sites[0].clone() });
        let (before, after) = (forecast(&sites, &question).unwrap(), forecast(&more, &question).unwrap());
        prop_assert!(before.sites.iter().zip(&after.sites).skip(1).all(|(one, other)| one.outlook == other.outlook));
    }

    /// Without any doubt every draw is the run itself.
    #[test]
    fn without_doubt_a_forecast_is_the_run(mut site in some_site(), seed: u64) {
        for doubt in &mut site.stocks {
            doubt.sd = litres(0.0);
        }
        (site.use_spread, site.burn_spread) = (0.0, 0.0);
        site.events.fill(Coming::SURE);
        let timeline = crate::endurance::run(&site.run).unwrap();
        for drawn in draws(&site, &ask(seed)).unwrap() {
            prop_assert_eq!((drawn.ration_ends, drawn.dry_from), (timeline.ration_ends(), timeline.dry_from()));
        }
    }

    #[test]
    fn any_forecast_is_an_answer_or_an_error(
        f in prop::array::uniform8(figure()),
        draws in prop_oneof![0u32..20, any::<u32>().prop_map(|draws| draws.max(10_001))],
        seed: u64,
    ) {
        let mut site = house("a");
        site.run.stocks[0].volume = litres(f[0]);
        site.stocks[0] = Doubt { sd: litres(f[1]), brim: (f[2] > 0.0).then(|| litres(f[2])) };
        (site.stocks_joint, site.use_spread, site.burn_spread) = (f[3], f[4], f[5]);
        let outage = (f[6] > 0.0).then(|| Outage { half_over: days(f[6]), nine_in_ten_over: days(f[7]) });
        let question = Question { seed, draws, target: days(f[7]), outage, use_joint: f[3] };
        if let Ok(found) = forecast(&[site], &question) {
            let Days { p10, p90, .. } = found.first.dry;
            prop_assert!(as_days(p10.at).is_finite() && as_days(p90.at).is_finite());
        }
    }

    /// What is taken over from before is what would be drawn anew: one site changed, the others in another order.
    #[test]
    fn going_on_is_drawing_anew(before in neighbourhood(), mut other in some_site(), place in any::<prop::sample::Index>(), seed in 0u64..9) {
        let question = ask(seed);
        let (_, kept) = forecast_on(&before, &question, &[]).unwrap();
        let mut now = before;
        let place = place.index(now.len());
        other.key = place.to_string();
        now[place] = other;
        now.reverse();
        let (on, draws) = forecast_on(&now, &question, &kept).unwrap();
        prop_assert_eq!(&on, &forecast(&now, &question).unwrap());
        let taken_over = draws.iter().filter(|draws| kept.iter().any(|kept| Arc::ptr_eq(kept, draws))).count();
        prop_assert!(taken_over >= now.len() - 1);
        let (_, elsewhere) = forecast_on(&now, &ask(seed + 1), &kept).unwrap();
        prop_assert!(!elsewhere.iter().any(|draws| kept.iter().any(|kept| Arc::ptr_eq(kept, draws))));
    }
}
