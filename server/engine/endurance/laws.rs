//! What holds of every run, and the worked examples that no published case carries.

use proptest::prelude::*;

use super::*;
use crate::quantity::as_days;
use crate::quantity::as_litres;
use crate::quantity::days;
use crate::quantity::hours;
use crate::quantity::litres;
use crate::quantity::litres_per_hour;

fn uses(drink: f64, cook: f64, wash: f64, flush: f64) -> Uses {
    Uses { drink: litres(drink), cook: litres(cook), wash: litres(wash), flush: litres(flush) }
}

/// The page's own example: 100 people, 15 L at the tap, 7.5 L by hand, 9,000 L, so many litres of fuel at 6 a day.
pub(super) fn example(fuel: f64) -> Run {
    let level = |name: &str, way: Way, uses| Level { name: name.to_owned(), reach: [way].into_iter().collect(), uses };
    Run {
        horizon: days(730.0),
        people: 100.0,
        levels: vec![
            level("tap", Way::Pump, uses(3.0, 6.0, 6.0, 0.0)),
            level("hand", Way::Dip, uses(3.0, 2.5, 2.0, 0.0)),
        ],
        stocks: vec![Stock {
            id: "tank".to_owned(),
            grade: Grade::Drink,
            volume: litres(9000.0),
            heel: [(Way::Pump, litres(0.0)), (Way::Dip, litres(0.0))].into_iter().collect(),
        }],
        power: Some(Power { fuel: Some(litres(fuel)), burn: litres_per_hour(0.5), hours_a_day: hours(12.0) }),
        battery: None,
        treatment: None,
        keep_drinking: days(0.0),
        events: vec![],
    }
}

#[test]
fn better_service_can_bring_dry_nearer() {
    // By hand: 2 d × 1500 L, then 6000 L ÷ 750 = 8 d, dry on day 10; 4 d × 1500 L, then 3000 ÷ 750 = 4 d, dry on day 8.
    for (fuel, at_ration, dry) in [(12.0, 2.0, 10.0), (24.0, 4.0, 8.0)] {
        let timeline = run(&example(fuel)).unwrap();
        assert!((as_days(timeline.days_at_ration) - at_ration).abs() < 1e-9);
        assert!((as_days(timeline.days_to_dry) - dry).abs() < 1e-9);
        assert_eq!(timeline.ends_ration(), Some(Cause::Fuel));
        assert_eq!(timeline.dry_from(), Some(timeline.days_to_dry));
    }
}

#[test]
fn a_run_arrives_at_any_horizon() {
    // 9000 L and 12 L of fuel are spent at moments that no horizon is a round number of steps from.
    for step in 1..4000_u32 {
        let horizon = f64::from(step) * 0.003_17;
        let fuel = Event { at: days(horizon / 3.0), change: Change::AddFuel(litres(1.0 / 3.0)) };
        let timeline = run(&Run { horizon: days(horizon), events: vec![fuel], ..example(0.7) }).unwrap();
        assert_eq!(timeline.spans.last().map(|span| (span.to, span.cause)), Some((days(horizon), Cause::Horizon)));
    }
    for horizon in [1e-12, 1e-9, 1.5e-9] {
        let timeline = run(&Run { horizon: days(horizon), ..example(0.7) }).unwrap();
        assert_eq!(timeline.spans.len(), 1);
    }
}

#[test]
fn fuel_brought_where_nothing_runs_on_it_changes_nothing() {
    // By hand: no power, so 9000 L ÷ 750 L a day by hand = 12 d, whatever is brought on day 1.
    let fuel = Event { at: days(1.0), change: Change::AddFuel(litres(50.0)) };
    let timeline = run(&Run { power: None, events: vec![fuel], ..example(0.0) }).unwrap();
    assert!((as_days(timeline.days_to_dry) - 12.0).abs() < 1e-9);
    assert_eq!(timeline.fuel_left, None);
    assert_eq!(timeline.spans.len(), 2);
}

#[test]
fn a_ration_over_the_cap_is_cut_flush_first_and_drinking_never() {
    // By hand, in the order flush, wash, cook: 3 + 6 + 41 + 30 under 15 leaves 6 for washing; under 5, 2 for cooking.
    let house = uses(3.0, 6.0, 41.0, 30.0);
    let hand = |cap: f64, index: usize, taps: bool| usual_levels(house, litres(cap), taps)[index].uses;
    let close = |got: Uses, expected: Uses| {
        [got.drink - expected.drink, got.cook - expected.cook, got.wash - expected.wash, got.flush - expected.flush]
            .into_iter()
            .all(|off| as_litres(off).abs() < 1e-9)
    };
    assert!(close(hand(15.0, 1, false), uses(3.0, 6.0, 6.0, 0.0)));
    assert!(close(hand(5.0, 1, false), uses(3.0, 2.0, 0.0, 0.0)));
    assert!(close(hand(1.0, 1, false), uses(3.0, 0.0, 0.0, 0.0)));
    assert!(close(hand(100.0, 1, false), house));
    assert!(close(hand(15.0, 1, true), house), "taps by gravity give the ration in full");
    assert!(close(hand(15.0, 2, true), uses(3.0, 6.0, 6.0, 0.0)));
}

#[test]
fn what_cannot_be_reckoned_is_refused_by_name() {
    type Spoil = fn(&mut Run);
    let spoilt: [(Spoil, &str); 11] = [
        (|run| run.people = f64::NAN, "people is NaN"),
        (|run| run.people = -1.0, "people is -1"),
        (|run| run.horizon = days(0.0), "horizon is 0"),
        (|run| run.horizon = days(f64::INFINITY), "horizon is inf"),
        (|run| run.stocks[0].volume = litres(-5.0), "litres in store is -5"),
        (|run| run.stocks[0].heel.dip = Some(litres(f64::NAN)), "litres below the outlet is NaN"),
        (|run| run.levels.clear(), "no level"),
        (|run| run.levels[0].name = "dry".to_owned(), "\"dry\""),
        (|run| run.levels[0].name = "hand".to_owned(), "\"hand\""),
        (|run| run.stocks.push(run.stocks[0].clone()), "\"tank\""),
        (
            |run| {
                let change = Change::AddWater { stock: 1, volume: litres(1.0) };
                run.events.push(Event { at: days(1.0), change });
            },
            "stock number 1",
        ),
    ];
    for (spoil, words) in spoilt {
        let mut run = example(12.0);
        spoil(&mut run);
        let refusal = super::run(&run).unwrap_err().to_string();
        assert!(refusal.contains(words), "{refusal:?} does not say {words:?}");
        assert!(
            refusal.contains("allowed") || refusal.contains("there are"),
            "{refusal:?} does not say what is allowed"
        );
    }
}

fn a_use() -> impl Strategy<Value = f64> {
    prop_oneof![Just(0.0), 0.0..40.0f64, (1u8..8).prop_map(f64::from)]
}

pub(super) fn some_uses() -> impl Strategy<Value = Uses> {
    (a_use(), a_use(), a_use(), a_use()).prop_map(|(drink, cook, wash, flush)| uses(drink, cook, wash, flush))
}

fn some_heel() -> impl Strategy<Value = Option<Volume>> {
    prop_oneof![Just(None), Just(Some(litres(0.0))), (0u16..500).prop_map(|heel| Some(litres(f64::from(heel))))]
}

pub(super) fn amount() -> impl Strategy<Value = f64> {
    prop_oneof![Just(0.0), (0u16..9000).prop_map(f64::from), 0.0..50_000.0f64, 0.0..1e-6f64]
}

fn some_stock() -> impl Strategy<Value = Stock> {
    let grade = prop_oneof![
        3 => Just(Grade::Drink), 3 => Just(Grade::Treat), 1 => Just(Grade::Utility), 1 => Just(Grade::Hold),
    ];
    (grade, amount(), some_heel(), some_heel(), some_heel()).prop_map(|(grade, volume, pump, gravity, dip)| Stock {
        id: String::new(),
        grade,
        volume: litres(volume),
        heel: Heels { pump, gravity, dip },
    })
}

fn some_event(with_uses: bool) -> impl Strategy<Value = (f64, u8, usize, f64, Uses)> {
    let day = prop_oneof![(0u8..40).prop_map(f64::from), 0.0..40.0f64];
    (day, 0..(2 + u8::from(with_uses)), 0usize..8, amount(), some_uses())
}

/// Any run at all; `with_uses`: rations may change on the way.
pub(super) fn some_run(with_uses: bool) -> impl Strategy<Value = Run> {
    let levels = prop::collection::vec(((any::<bool>(), any::<bool>(), any::<bool>()), some_uses()), 1..5);
    let power = prop::option::of((prop::option::of(0.0..60.0f64), 0.0..2.0f64, 1u8..25));
    let treatment = prop::option::of((prop::option::of(amount()), any::<bool>()));
    let keep = prop_oneof![2 => Just(0.0), 3 => 0.0..20.0f64];
    (
        0u8..120,
        levels,
        prop::collection::vec(some_stock(), 0..6),
        power,
        treatment,
        keep,
        prop::collection::vec(some_event(with_uses), 0..5),
    )
        .prop_map(|(people, levels, mut stocks, power, treatment, keep, events)| {
            for (index, stock) in stocks.iter_mut().enumerate() {
                stock.id = index.to_string();
            }
            let levels: Vec<Level> = levels
                .into_iter()
                .enumerate()
                .map(|(index, ((pump, gravity, dip), uses))| Level {
                    name: index.to_string(),
                    reach: Reach { pump, gravity, dip },
                    uses,
                })
                .collect();
            let change = |kind: u8, which: usize, much: f64, uses: Uses| match kind {
                0 if !stocks.is_empty() => Change::AddWater { stock: which % stocks.len(), volume: litres(much) },
                2 => Change::Uses { level: which % levels.len(), uses },
                _ => Change::AddFuel(litres(much / 100.0)),
            };
            let events = events
                .into_iter()
                .map(|(day, kind, which, much, uses)| Event { at: days(day), change: change(kind, which, much, uses) })
                .collect();
            Run {
                horizon: days(35.0),
                people: f64::from(people),
                power: power.map(|(fuel, burn, hours_a_day)| Power {
                    fuel: fuel.map(litres),
                    burn: litres_per_hour(burn),
                    hours_a_day: hours(f64::from(hours_a_day)),
                }),
                battery: None,
                treatment: treatment.map(|(media, needs_power)| Treatment { media: media.map(litres), needs_power }),
                keep_drinking: days(keep),
                events,
                levels,
                stocks,
            }
        })
}

/// What lasts less than 1e-9 d is spent in no time: so many litres, for every stock, event and change of service.
pub(super) fn in_no_time(run: &Run, timeline: &Timeline) -> f64 {
    let rates = run.levels.iter().map(|level| run.people * as_litres(level.uses.total()));
    2e-9 * rates.fold(0.0, f64::max) * moments(run, timeline)
}

fn moments(run: &Run, timeline: &Timeline) -> f64 {
    let moments = run.stocks.len() + run.events.len() + timeline.spans.len();
    f64::from(u8::try_from(moments).unwrap())
}

pub(super) fn close(one: f64, other: f64) -> bool {
    (one - other).abs() <= 1e-6 * one.abs().max(other.abs()).max(1.0)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 600, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn spans_abut_and_every_figure_is_a_number(run in some_run(true)) {
        let timeline = super::run(&run).unwrap();
        let horizon = as_days(run.horizon);
        let mut at = 0.0;
        let mut before = None;
        for span in &timeline.spans {
            prop_assert!(close(as_days(span.from), at) && span.to > span.from);
            prop_assert!(before != Some(span.level), "neighbours alike");
            before = Some(span.level);
            at = as_days(span.to);
        }
        prop_assert!(close(at, horizon));
        prop_assert_eq!(timeline.spans.last().map(|span| span.cause), Some(Cause::Horizon));
        prop_assert!(timeline.spans.iter().rev().skip(1).all(|span| span.cause != Cause::Horizon));
        for day in [timeline.days_at_ration, timeline.days_to_dry] {
            prop_assert!((0.0..=horizon * (1.0 + 1e-12)).contains(&as_days(day)));
        }
        prop_assert!(timeline.left.iter().all(|left| as_litres(*left).is_finite() && as_litres(*left) >= 0.0));
        prop_assert!(timeline.fuel_left.is_none_or(|fuel| as_litres(fuel).is_finite() && as_litres(fuel) >= 0.0));
        prop_assert!(working(&run, &timeline).steps.iter().all(|step| step.figure.value.is_finite()));
    }

    #[test]
    fn litres_and_fuel_are_conserved(run in some_run(false)) {
        let timeline = super::run(&run).unwrap();
        let happens = |event: &&Event| event.at < run.horizon;
        let brought: f64 = run.events.iter().filter(happens).map(|event| match event.change {
            Change::AddWater { volume, .. } => as_litres(volume),
            Change::AddFuel(_) | Change::Sun(_) | Change::Uses { .. } => 0.0,
        }).sum();
        let fuel_brought: f64 = run.events.iter().filter(happens).map(|event| match event.change {
            Change::AddFuel(volume) => as_litres(volume),
            Change::AddWater { .. } | Change::Sun(_) | Change::Uses { .. } => 0.0,
        }).sum();
        let (mut drawn, mut burnt) = (0.0, 0.0);
        for span in &timeline.spans {
            let Some(level) = span.level.map(|index| &run.levels[index]) else { continue };
            let rate = run.people * as_litres(level.uses.total());
            let length = as_days(span.to - span.from);
            drawn += rate * length;
            if level.reach.pump && rate > 0.0 {
                burnt += run.power.map_or(0.0, |power| as_litres(power.burn * power.hours_a_day)) * length;
            }
        }
        let before: f64 = run.stocks.iter().map(|stock| as_litres(stock.volume)).sum();
        let after: f64 = timeline.left.iter().map(|left| as_litres(*left)).sum();
        let slack = 1e-9 * (before + brought).max(1.0) + in_no_time(&run, &timeline);
        let off = (before + brought - after - drawn).abs();
        prop_assert!(off <= slack, "{before} + {brought} = {after} + {drawn}");
        if let (Some(fuel), Some(left)) = (run.power.and_then(|power| power.fuel), timeline.fuel_left) {
            let (fuel, left) = (as_litres(fuel), as_litres(left));
            let slack = 1e-9 * (fuel + fuel_brought).max(1.0) + 2e-9 * 48.0 * moments(&run, &timeline);
            prop_assert!((fuel + fuel_brought - left - burnt).abs() <= slack, "{fuel} + {fuel_brought} = {left} + {burnt}");
        }
    }

    /// Twice the water, fuel, media, keep-back, horizon and waiting for events: all of it lasts twice as long.
    #[test]
    fn twice_of_everything_lasts_twice_as_long(run in some_run(true)) {
        let mut double = run.clone();
        double.horizon *= 2.0;
        double.keep_drinking *= 2.0;
        for stock in &mut double.stocks {
            stock.volume *= 2.0;
            for heel in [&mut stock.heel.pump, &mut stock.heel.gravity, &mut stock.heel.dip].into_iter().flatten() {
                *heel *= 2.0;
            }
        }
        if let Some(fuel) = double.power.as_mut().and_then(|power| power.fuel.as_mut()) {
            *fuel *= 2.0;
        }
        if let Some(media) = double.treatment.as_mut().and_then(|treatment| treatment.media.as_mut()) {
            *media *= 2.0;
        }
        for event in &mut double.events {
            event.at *= 2.0;
            match &mut event.change {
                Change::AddWater { volume, .. } | Change::AddFuel(volume) => *volume *= 2.0,
                Change::Sun(_) | Change::Uses { .. } => {}
            }
        }
        // spans of a few nanodays may be one moment in the one run and two in the other: only the totals are compared
        let (one, two) = (super::run(&run).unwrap(), super::run(&double).unwrap());
        prop_assert!(close(2.0 * as_days(one.days_at_ration), as_days(two.days_at_ration)));
        prop_assert!(close(2.0 * as_days(one.days_to_dry), as_days(two.days_to_dry)));
        let slack = 2.0 * in_no_time(&run, &one) + in_no_time(&double, &two);
        let left = one.left.iter().zip(&two.left).map(|(one, two)| (2.0 * as_litres(*one), as_litres(*two)));
        for (one, two) in left {
            prop_assert!(close(one, two) || (one - two).abs() <= slack, "{one} and {two}, slack {slack}");
        }
    }
}
