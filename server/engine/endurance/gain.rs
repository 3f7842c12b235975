//! What people get, and what a change buys them.

use crate::endurance::Change;
use crate::endurance::Refusal;
use crate::endurance::Run;
use crate::endurance::Timeline;
use crate::endurance::Uses;
use crate::endurance::trial::by_day;
use crate::quantity::Time;
use crate::quantity::Volume;
use crate::quantity::as_days;
use crate::quantity::as_litres;

/// Moments closer than this, in days, are one, as in a run.
const SAME: f64 = 1e-9;
/// Figures closer than this, of the larger one or of one day or litre, are one.
const ALIKE: f64 = 1e-6;

/// Litres that everyone together got from now until a moment, by use.
///
/// **Formula.** Σ over the spans of service: people × litres a person a day × days, each span cut where an event changes
/// what its level gives.
///
/// **Arguments.** A run, its own timeline, and `until` from 0 to the horizon.
///
/// 100 people, two days at 15 L and eight at 7.5 L: after five days 2 × 1,500 + 3 × 750 = 5,250 L.
/// ```
/// use keepwell_engine::endurance::{self, delivered, Heels, Level, Power, Reach, Run, Stock, Uses};
/// use keepwell_engine::grade::Grade;
/// use keepwell_engine::quantity::{as_litres, days, hours, litres, litres_per_hour};
/// let level = |name: &str, reach, uses| Level { name: name.into(), reach, uses };
/// let run = Run {
///     horizon: days(30.0),
///     people: 100.0,
///     levels: vec![
///         level("tap", Reach { pump: true, ..Reach::default() }, Uses::litres(3.0, 6.0, 6.0, 0.0)),
///         level("hand", Reach { dip: true, ..Reach::default() }, Uses::litres(3.0, 2.5, 2.0, 0.0)),
///     ],
///     stocks: vec![Stock {
///         id: "tank".into(),
///         grade: Grade::Drink,
///         volume: litres(9000.0),
///         heel: Heels { pump: Some(litres(0.0)), dip: Some(litres(0.0)), ..Heels::default() },
///     }],
///     power: Some(Power { fuel: Some(litres(12.0)), burn: litres_per_hour(0.5), hours_a_day: hours(12.0) }),
///     battery: None,
///     treatment: None,
///     keep_drinking: days(0.0),
///     events: vec![],
/// };
/// let timeline = endurance::run(&run)?;
/// assert!((as_litres(delivered(&run, &timeline, days(5.0))?.total()) - 5250.0).abs() < 1e-6);
/// assert!((as_litres(delivered(&run, &timeline, days(5.0))?.drink) - 5.0 * 300.0).abs() < 1e-6);
/// # Ok::<(), endurance::Refusal>(())
/// ```
///
/// **Reference.** By definition.
///
/// # Errors
/// [`Refusal::Figure`] for a moment before now or after the horizon.
pub fn delivered(run: &Run, timeline: &Timeline, until: Time) -> Result<Uses, Refusal> {
    let horizon = as_days(run.horizon);
    let value = as_days(until);
    // the horizon may lose its last bits on the way through another unit
    if !(value >= 0.0 && value <= horizon * (1.0 + 4.0 * f64::EPSILON)) {
        return Err(Refusal::Figure {
            field: "moment until which is counted",
            value,
            allowed: "0 days to the horizon",
        });
    }
    let events = by_day(&run.events);
    let mut events = events.iter().filter(|(day, _)| *day < horizon - SAME).peekable();
    let mut gives: Vec<Uses> = run.levels.iter().map(|level| level.uses).collect();
    let mut got = Uses::default();
    for span in &timeline.spans {
        let end = as_days(span.to).min(value);
        let mut at = as_days(span.from);
        while at < end {
            while let Some((_, change)) = events.next_if(|(day, _)| *day <= at + SAME) {
                if let Change::Uses { level, uses } = change
                    && let Some(gives) = gives.get_mut(*level)
                {
                    *gives = *uses;
                }
            }
            let next = events.peek().map_or(end, |(day, _)| day.min(end));
            if let Some(uses) = span.level.and_then(|level| gives.get(level)) {
                got = sum(got, uses.times(run.people * (next - at)));
            }
            at = next;
        }
    }
    Ok(got)
}

fn sum(one: Uses, other: Uses) -> Uses {
    Uses {
        drink: one.drink + other.drink,
        cook: one.cook + other.cook,
        wash: one.wash + other.wash,
        flush: one.flush + other.flush,
    }
}

/// How far a difference of days is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Bound {
    /// it is this
    Exact,
    /// the later answer lasts to the horizon: it is this or more
    AtLeast,
    /// the earlier answer lasted to the horizon, the later one does not: it is this or less, which is a loss
    AtMost,
    /// both last to the horizon: there is nothing to tell them apart by
    Beyond,
}

/// A difference of days, after less before; below 0 it is shorter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Longer {
    /// by so much
    pub by: Time,
    /// how far that is known
    pub bound: Bound,
}

/// What a change comes to, in a word.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Verdict {
    /// something is gained and nothing lost
    Gain,
    /// people get more, and get it earlier, and so it is dry earlier: a gain, with both days told
    GainSoonerDry,
    /// as before
    Same,
    /// something is gained and something else lost
    Trade,
    /// something is lost and nothing gained
    Loss,
}

/// What a change buys.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gain {
    /// litres more that everyone together gets until the moment asked for, by use; below 0 it is less
    pub delivered: Uses,
    /// litres more until the first of the two answers is dry: what better service gave while both had water
    pub while_both: Volume,
    /// days at the ration
    pub at_ration: Longer,
    /// days to dry
    pub to_dry: Longer,
    /// in a word
    pub verdict: Verdict,
}

/// What a change buys: one answer beside the one before it.
///
/// **Rule.** Better service is never a loss. Whoever gets more a day is dry earlier on the same water: where the ration is
/// held no shorter, no less is delivered until `until`, and more is delivered while both have water, an earlier dry day is
/// [`Verdict::GainSoonerDry`]. Otherwise the three figures speak: all up or level a gain, all down or level a loss, else a
/// trade.
///
/// **Arguments.** Two runs of one horizon, each with its own timeline; `until` from 0 to the horizon. A change of the ration
/// itself is a choice and no gain: compare runs that ask the same of their first level.
///
/// The 9,000 L of [`delivered`] with 24 L of fuel in place of 12, by hand: 4 days at the tap in place of 2, dry on day 8 in
/// place of 10, and until day 8 9,000 L in place of 2 × 1,500 + 6 × 750 = 7,500.
///
/// **Reference.** The project's own definition.
///
/// # Errors
/// [`Refusal::Figure`] for two horizons, or a moment before now or after the horizon.
pub fn gain(before: (&Run, &Timeline), after: (&Run, &Timeline), until: Time) -> Result<Gain, Refusal> {
    let (one, two) = (as_days(before.0.horizon), as_days(after.0.horizon));
    if (one - two).abs() > SAME {
        return Err(Refusal::Figure { field: "horizon", value: two, allowed: "the horizon of the answer before" });
    }
    let more = |until: Time| -> Result<Uses, Refusal> {
        let before = delivered(before.0, before.1, until)?;
        Ok(sum(delivered(after.0, after.1, until)?, before.times(-1.0)))
    };
    let total = delivered(before.0, before.1, until)?.total();
    let (dry, sooner) = (before.1.days_to_dry, after.1.days_to_dry);
    let while_both = more(if sooner < dry { sooner } else { dry })?.total();
    let delivered = more(until)?;
    let at_ration = longer(before.1.ration_ends(), after.1.ration_ends(), before.0.horizon);
    let to_dry = longer(before.1.dry_from(), after.1.dry_from(), before.0.horizon);
    let way = |volume: Volume| side(as_litres(volume), as_litres(total));
    let figures = [side(as_days(at_ration.by), 1.0), way(delivered.total()), side(as_days(to_dry.by), 1.0)];
    let verdict = match figures {
        [0 | 1, 0 | 1, -1] if way(while_both) == 1 => Verdict::GainSoonerDry,
        _ => match (figures.contains(&1), figures.contains(&-1)) {
            (true, false) => Verdict::Gain,
            (false, true) => Verdict::Loss,
            (true, true) => Verdict::Trade,
            (false, false) => Verdict::Same,
        },
    };
    Ok(Gain { delivered, while_both, at_ration, to_dry, verdict })
}

/// 1 above nothing, −1 below, 0 where it is nothing beside `of` or one day or litre.
fn side(value: f64, of: f64) -> i8 {
    if value.abs() <= ALIKE * of.abs().max(1.0) {
        0
    } else if value > 0.0 {
        1
    } else {
        -1
    }
}

fn longer(before: Option<Time>, after: Option<Time>, horizon: Time) -> Longer {
    let bound = match (before, after) {
        (Some(_), Some(_)) => Bound::Exact,
        (Some(_), None) => Bound::AtLeast,
        (None, Some(_)) => Bound::AtMost,
        (None, None) => Bound::Beyond,
    };
    let by = after.unwrap_or(horizon) - before.unwrap_or(horizon);
    Longer { by, bound }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::endurance;
    use crate::endurance::Event;
    use crate::endurance::laws::close;
    use crate::endurance::laws::example;
    use crate::endurance::laws::in_no_time;
    use crate::endurance::laws::some_run;
    use crate::endurance::usual_levels;
    use crate::grade::Grade;
    use crate::quantity::days;
    use crate::quantity::litres;

    fn compared(before: &Run, after: &Run, until: f64) -> Gain {
        let (one, two) = (endurance::run(before).unwrap(), endurance::run(after).unwrap());
        gain((before, &one), (after, &two), days(until)).unwrap()
    }

    fn figures(gain: &Gain) -> [f64; 4] {
        let litres = [gain.delivered.total(), gain.while_both].map(as_litres);
        [litres[0], litres[1], as_days(gain.at_ration.by), as_days(gain.to_dry.by)]
    }

    fn near(got: [f64; 4], expected: [f64; 4]) {
        assert!(got.into_iter().zip(expected).all(|(got, expected)| (got - expected).abs() < 1e-6), "{got:?}");
    }

    #[test]
    fn better_service_that_is_dry_sooner_is_a_gain() {
        // 12 L of fuel: 2 d × 1,500 + 8 d × 750. 24 L: 4 d × 1,500 + 4 d × 750 = 9,000 L, dry on day 8.
        // Until day 8: 9,000 − (3,000 + 6 × 750 = 7,500) = 1,500. Until day 14 both have handed out all 9,000.
        for (until, delivered) in [(8.0, 1500.0), (14.0, 0.0)] {
            let gain = compared(&example(12.0), &example(24.0), until);
            near(figures(&gain), [delivered, 1500.0, 2.0, -2.0]);
            assert_eq!(gain.verdict, Verdict::GainSoonerDry);
        }
        // The other way round it is no gain: 2 days less at the ration for 2 days more of water.
        assert_eq!(compared(&example(24.0), &example(12.0), 14.0).verdict, Verdict::Trade);
        // Where the day asked for comes before any difference, there is none in litres yet.
        near(figures(&compared(&example(12.0), &example(24.0), 2.0)), [0.0, 1500.0, 2.0, -2.0]);
    }

    #[test]
    fn more_water_is_a_gain_in_every_figure() {
        // 750 L more at 12 L of fuel: as many days at the tap, then (9,750 − 3,000) ÷ 750 = 9 d by hand in place of 8, dry on day
        // 11 in place of 10; 750 L more until day 14, and none until day 10.
        let mut more = example(12.0);
        more.stocks[0].volume += litres(750.0);
        let gain = compared(&example(12.0), &more, 14.0);
        near(figures(&gain), [750.0, 0.0, 0.0, 1.0]);
        assert_eq!(gain.verdict, Verdict::Gain);
        assert_eq!(compared(&more, &example(12.0), 14.0).verdict, Verdict::Loss);
        assert_eq!(compared(&more, &more, 14.0).verdict, Verdict::Same);
        assert_eq!(gain.to_dry.bound, Bound::Exact);
    }

    #[test]
    fn what_lasts_to_the_horizon_is_a_bound() {
        // 4 days of fuel and a horizon of 3: beside 2 days, at least 1 day more; both have water beyond day 3.
        let [short, long] = [12.0, 24.0].map(|fuel| Run { horizon: days(3.0), ..example(fuel) });
        let gain = compared(&short, &long, 3.0);
        // 3 × 1,500 − (2 × 1,500 + 750)
        near(figures(&gain), [750.0, 750.0, 1.0, 0.0]);
        assert_eq!((gain.at_ration.bound, gain.to_dry.bound), (Bound::AtLeast, Bound::Beyond));
        assert_eq!(compared(&long, &short, 3.0).at_ration.bound, Bound::AtMost);
    }

    #[test]
    fn a_ration_that_changes_within_a_span_is_counted_as_it_changed() {
        // 1,500 L a day for 1 d, then 3 L each for the second: 1,500 + 300; from then by hand 7.5 L each.
        let change = Change::Uses { level: 0, uses: Uses::litres(3.0, 0.0, 0.0, 0.0) };
        let run = Run { events: vec![Event { at: days(1.0), change }], ..example(12.0) };
        let timeline = endurance::run(&run).unwrap();
        for (until, drink, total) in
            [(0.5, 150.0, 750.0), (1.5, 450.0, 1650.0), (2.0, 600.0, 1800.0), (3.0, 900.0, 2550.0)]
        {
            let got = delivered(&run, &timeline, days(until)).unwrap();
            assert!(
                (as_litres(got.drink) - drink).abs() < 1e-6 && (as_litres(got.total()) - total).abs() < 1e-6,
                "{until}"
            );
        }
    }

    #[test]
    fn a_moment_outside_the_run_and_two_horizons_are_refused() {
        let run = example(12.0);
        let timeline = endurance::run(&run).unwrap();
        for until in [-1.0, 731.0, f64::NAN] {
            let refusal = delivered(&run, &timeline, days(until)).unwrap_err().to_string();
            assert!(refusal.contains("moment until which is counted is") && refusal.contains("allowed"), "{refusal}");
        }
        let other = Run { horizon: days(30.0), ..run.clone() };
        let short = endurance::run(&other).unwrap();
        let refusal = gain((&run, &timeline), (&other, &short), days(5.0)).unwrap_err().to_string();
        assert_eq!(refusal, "horizon is 30; allowed is the horizon of the answer before");
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

        /// What was delivered is what is gone, whatever rations changed on the way, and nothing is taken back.
        #[test]
        fn what_is_delivered_is_what_is_gone(run in some_run(true), part in 0.0..1.0f64) {
            let timeline = endurance::run(&run).unwrap();
            let brought: f64 = run.events.iter().filter(|event| event.at < run.horizon).map(|event| match event.change {
                Change::AddWater { volume, .. } => as_litres(volume),
                Change::AddFuel(_) | Change::Sun(_) | Change::Uses { .. } => 0.0,
            }).sum();
            let before: f64 = run.stocks.iter().map(|stock| as_litres(stock.volume)).sum();
            let left: f64 = timeline.left.iter().map(|left| as_litres(*left)).sum();
            let got = as_litres(delivered(&run, &timeline, run.horizon).unwrap().total());
            // a ration that an event brings may be larger than any that a level begins with
            let most = run.events.iter().filter_map(|event| match event.change {
                Change::Uses { uses, .. } => Some(run.people * as_litres(uses.total())),
                Change::AddWater { .. } | Change::AddFuel(_) | Change::Sun(_) => None,
            }).fold(0.0, f64::max);
            let slack = 1e-6 * before.max(1.0) + in_no_time(&run, &timeline) + 4e-8 * most;
            prop_assert!((before + brought - left - got).abs() <= slack, "{} + {} − {} = {}", before, brought, left, got);
            let early = as_litres(delivered(&run, &timeline, run.horizon * part).unwrap().total());
            prop_assert!((0.0..=got + 1e-9).contains(&early) || close(early, got));
        }

        /// More fuel is better service or nothing: never a loss, and never a trade.
        #[test]
        fn better_service_is_never_a_loss(mut run in some_run(false), fuel in 0.0..40.0f64, until in 0.0..35.0f64, taps: bool) {
            run.levels = usual_levels(Uses::litres(3.0, 6.0, 11.0, 0.0), litres(7.5), taps);
            run.keep_drinking = days(0.0);
            run.events.clear();
            run.treatment = None;
            for stock in &mut run.stocks {
                stock.grade = Grade::Drink;
            }
            let mut better = run.clone();
            if let Some(store) = better.power.as_mut().and_then(|power| power.fuel.as_mut()) {
                *store += litres(fuel);
            }
            let gain = compared(&run, &better, until);
            prop_assert!(!matches!(gain.verdict, Verdict::Loss | Verdict::Trade), "{:?}", gain);
            let back = compared(&better, &run, until);
            prop_assert!(matches!(back.verdict, Verdict::Loss | Verdict::Trade | Verdict::Same), "{:?}", back);
        }
    }
}
