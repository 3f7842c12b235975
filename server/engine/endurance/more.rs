//! What more of anything does, and more people: what may be promised, and where.
//!
//! Without flushing and keep-back, and without anything that comes or changes on the way. With a keep-back more treatable
//! water can bring the end nearer, by holding more media; with flushing, fuel that keeps the pump going can spend by the tap
//! what had been left for drinking.

use proptest::prelude::*;

use super::laws::amount;
use super::laws::some_run;
use super::laws::some_uses;
use super::*;
use crate::quantity::as_days;
use crate::quantity::as_litres;
use crate::quantity::days;
use crate::quantity::litres;

/// The usual ladder at a ration without flushing, over some stores.
fn laddered(mut run: Run, ration: Uses, taps: bool) -> Run {
    run.levels = usual_levels(Uses { flush: litres(0.0), ..ration }, litres(15.0), taps);
    run.keep_drinking = days(0.0);
    run.events.clear();
    run
}

/// More of a stock, of fuel, or of media.
#[derive(Clone, Copy, Debug)]
enum More {
    Stock(usize),
    Fuel,
    Media,
}

impl More {
    fn to(self, run: &Run, much: f64) -> Run {
        let mut run = run.clone();
        let of = match self {
            Self::Stock(which) => {
                let count = run.stocks.len().max(1);
                run.stocks.get_mut(which % count).map(|stock| &mut stock.volume)
            }
            Self::Fuel => run.power.as_mut().and_then(|power| power.fuel.as_mut()),
            Self::Media => run.treatment.as_mut().and_then(|treatment| treatment.media.as_mut()),
        };
        if let Some(of) = of {
            *of += litres(much);
        }
        run
    }
}

fn some_more() -> impl Strategy<Value = More> {
    prop_oneof![4 => (0usize..8).prop_map(More::Stock), 1 => Just(More::Fuel), 1 => Just(More::Media)]
}

/// Until when service is at a level or better, level by level.
fn ends(run: &Run) -> Vec<f64> {
    let timeline = super::run(run).unwrap();
    let below = |level: usize| move |span: &&Span| span.level.is_none_or(|served| served > level);
    let first = |level| timeline.spans.iter().find(below(level)).map_or(run.horizon, |span| span.from);
    (0..run.levels.len()).map(|level| as_days(first(level))).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 600, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn with_the_same_demand_at_every_level_more_shortens_none_and_more_people_lengthen_none(
        run in some_run(false), ration in some_uses(), taps: bool, which in some_more(), much in amount(), people in 0.0..40.0f64,
    ) {
        let mut run = laddered(run, ration, taps);
        for level in &mut run.levels {
            level.uses = Uses { flush: litres(0.0), ..ration };
        }
        let before = ends(&run);
        let more = ends(&which.to(&run, much));
        prop_assert!(before.iter().zip(&more).all(|(before, after)| *after >= before - 1e-6), "{before:?}, then {more:?}");
        let crowded = ends(&Run { people: run.people + people, ..run.clone() });
        prop_assert!(
            run.people <= 0.0 || before.iter().zip(&crowded).all(|(before, after)| *after <= before + 1e-6),
            "{before:?}, crowded {crowded:?}"
        );
    }

    /// Demand falls from level to level: the highest lasts no shorter.
    #[test]
    fn more_never_brings_the_end_of_the_ration_nearer(
        run in some_run(false), ration in some_uses(), taps: bool, which in some_more(), much in amount(),
    ) {
        let run = laddered(run, ration, taps);
        let more = which.to(&run, much);
        let (before, after) = (ends(&run)[0], ends(&more)[0]);
        prop_assert!(after >= before - 1e-6, "{after} after {before}");
        let [before, after] = [&run, &more].map(|run| as_days(super::run(run).unwrap().days_at_ration));
        prop_assert!(after >= before - 1e-6, "{after} after {before}");
    }

    /// Nor is the stock itself spent sooner.
    #[test]
    fn more_of_a_stock_never_brings_forward_the_moment_at_which_it_is_spent(
        mut run in some_run(false), ration in some_uses(), taps: bool, which in 0usize..8, much in amount(), until in 0.01..35.0f64,
    ) {
        let stock = Stock { id: "a stock".to_owned(), grade: Grade::Drink, volume: litres(90.0), heel: Heels::default() };
        run.stocks.push(stock);
        let run = Run { horizon: days(until), ..laddered(run, ration, taps) };
        let which = which % run.stocks.len();
        let left = |run: &Run| as_litres(super::run(run).unwrap().left[which]);
        let (before, after) = (left(&run), left(&More::Stock(which).to(&run, much)));
        prop_assert!(after >= before - 1e-6 * before.max(1.0), "{after} L left, of less at first {before} L");
    }
}
