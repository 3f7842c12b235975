//! What loads ask of a generator: while all of them run, and in the moment that one of them starts.

use super::Load;
use super::PowerError;
use crate::quantity::POWER;
use crate::quantity::Power;
use crate::quantity::Unit;
use crate::quantity::as_watts;
use crate::quantity::watts;
use crate::working::Figure;
use crate::working::Working;

/// What loads ask of a generator, and whether it bears them.
#[derive(Clone, Debug, PartialEq)]
pub struct Borne {
    /// all of them running
    pub running: Power,
    /// the hardest moment, with one of them starting while all the others run
    pub any_start: Power,
    /// the one that starts then; none where there is no load
    pub hardest: Option<usize>,
    /// the hardest moment where they are started one after the other in the kindest order
    pub in_order: Power,
    /// that order
    pub order: Vec<usize>,
    /// it makes what all of them take
    pub runs: bool,
    /// it bears the start of any while the others run, as a pump that its switch starts does
    pub starts_any: bool,
    /// it bears them where they are started in that order
    pub starts_in_order: bool,
    /// how it was reckoned
    pub working: Working,
}

/// Whether a generator bears its loads.
///
/// - **What** the power of all loads, of the hardest start among running ones, and of the hardest moment when they are
///   started one by one in the kindest order.
/// - **Formula** P = Σ pᵢ; any start max(P − pᵢ + sᵢ); in order max(Σ of those that run + sᵢ), by falling sᵢ − pᵢ, which
///   makes that moment least (an exchange of two neighbours never lowers it).
/// - **Arguments** `makes` what it gives all day, `bursts` what it gives for some seconds, both as they are left by
///   height and warmth ([`super::Derating`]), 0 to 1,000 kW; loads by pᵢ running and sᵢ starting, sᵢ not below pᵢ.
/// - **Range** steady loads on one phase; a sum of watts counts the current of a starting motor as if all of it were power.
/// - **Reference** sums of loads by definition; a motor takes 3 to 7 times its running current as it starts, NEMA MG 1 code
///   letters ([`super::starting_current`]); one start at a time: common practice, no source.
///
/// # Errors
/// [`PowerError`] for a figure out of range, or a start below what the load takes as it runs.
///
/// By hand: a pump of 750 W that starts with 2,250, a refrigerator of 150 that starts with 600, light of 100. Together
/// 1,000 W; the pump starting, 250 + 2,250 = 2,500 W; the pump first, 2,250 W, then 750 + 600 = 1,350 and 1,000.
/// ```
/// use keepwell_engine::power::{Load, bears};
/// use keepwell_engine::quantity::{as_watts, hours, watts};
/// let load = |running, surge| Load {
///     name: String::new(), running: watts(running), surge: watts(surge), hours_a_day: hours(1.0),
/// };
/// let loads = [load(100.0, 100.0), load(150.0, 600.0), load(750.0, 2250.0)];
/// let borne = bears(watts(2000.0), watts(2400.0), &loads)?;
/// assert!((as_watts(borne.running) - 1000.0).abs() < 1e-9 && (as_watts(borne.any_start) - 2500.0).abs() < 1e-9);
/// assert!((as_watts(borne.in_order) - 2250.0).abs() < 1e-9);
/// assert!(borne.runs && !borne.starts_any && borne.starts_in_order && borne.order == [2, 1, 0]);
/// # Ok::<(), keepwell_engine::power::PowerError>(())
/// ```
pub fn bears(makes: Power, bursts: Power, loads: &[Load]) -> Result<Borne, PowerError> {
    let makes = POWER.check(as_watts(makes))?;
    let bursts = POWER.check(as_watts(bursts))?;
    let mut each = Vec::with_capacity(loads.len());
    for load in loads {
        let (running, start) = (POWER.check(as_watts(load.running))?, POWER.check(as_watts(load.surge))?);
        if start < running {
            return Err(PowerError::StartsBelow { start, running });
        }
        each.push((running, start));
    }
    let running: f64 = each.iter().map(|(running, _)| running).sum();
    let mut order: Vec<usize> = (0..each.len()).collect();
    let burst = |at: usize| each[at].1 - each[at].0;
    order.sort_by(|one, other| burst(*other).total_cmp(&burst(*one)));
    let hardest = order.first().copied();
    let any_start = running + hardest.map_or(0.0, burst);
    let (in_order, _) =
        order.iter().fold((0.0_f64, 0.0), |(most, on), at| (most.max(on + each[*at].1), on + each[*at].0));
    let mut working = Working::new("What the loads ask of a generator", "P = Σ pᵢ; start = max(P − pᵢ + sᵢ)")
        .input("makes all day, as it is left", "", Figure::exact(makes, Unit::Watt), "its rating, derated")
        .input("makes for some seconds, as it is left", "", Figure::exact(bursts, Unit::Watt), "its plate, derated");
    for (running, start) in &each {
        working = working.input("a load, running", "p", Figure::exact(*running, Unit::Watt), "given").input(
            "as it starts",
            "s",
            Figure::exact(*start, Unit::Watt),
            "given",
        );
    }
    working = working
        .step("all running", "Σ pᵢ", Figure::exact(running, Unit::Watt))
        .step("the hardest start among the others", "max(P − pᵢ + sᵢ)", Figure::exact(any_start, Unit::Watt))
        .step("the hardest moment in the kindest order", "max(Σ running + sᵢ)", Figure::exact(in_order, Unit::Watt))
        .without("The dip of voltage as a motor starts, and how loads share two phases: ask a licensed electrician")
        .source("Sums by definition; one start at a time: common practice, no source");
    Ok(Borne {
        running: watts(running),
        any_start: watts(any_start),
        hardest,
        in_order: watts(in_order),
        order,
        runs: running <= makes,
        starts_any: running <= makes && any_start <= bursts,
        starts_in_order: running <= makes && in_order <= bursts,
        working,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::hours;
    use proptest::prelude::*;

    fn load(running: f64, start: f64) -> Load {
        Load { name: String::new(), running: watts(running), surge: watts(start), hours_a_day: hours(1.0) }
    }

    #[test]
    fn nothing_asks_for_nothing_and_a_start_below_running_is_refused() {
        let borne = bears(watts(0.0), watts(0.0), &[]).unwrap();
        assert!(borne.runs && borne.starts_any && borne.hardest.is_none());
        let refused = bears(watts(1.0), watts(1.0), &[load(750.0, 700.0)]).unwrap_err();
        assert!(refused.to_string().contains("700 W") && refused.to_string().contains("750 W"), "{refused}");
    }

    #[test]
    fn what_it_does_not_run_it_does_not_start() {
        // 1,200 W to run, 1,000 made: a burst of 3,000 W is no help after some seconds.
        let borne = bears(watts(1000.0), watts(3000.0), &[load(600.0, 600.0), load(600.0, 1800.0)]).unwrap();
        assert!(!borne.runs && !borne.starts_any && !borne.starts_in_order);
    }

    proptest! {
        #[test]
        fn any_figures_are_an_answer_or_an_error(f in prop::array::uniform6(prop::num::f64::ANY)) {
            if let Ok(found) = bears(watts(f[0]), watts(f[1]), &[load(f[2], f[3]), load(f[4], f[5])]) {
                let (least, most) = (as_watts(found.in_order), as_watts(found.any_start));
                prop_assert!(least.is_finite() && most.is_finite() && least <= most * (1.0 + 1e-12));
            }
        }

        /// Every order of three is tried: none is kinder.
        #[test]
        fn no_order_is_kinder(p in prop::array::uniform3(0.0..5e3), more in prop::array::uniform3(0.0..5e3)) {
            let loads: Vec<Load> = (0..3).map(|at| load(p[at], p[at] + more[at])).collect();
            let best = as_watts(bears(watts(0.0), watts(0.0), &loads).unwrap().in_order);
            for order in [[0, 1, 2], [0, 2, 1], [1, 0, 2], [1, 2, 0], [2, 0, 1], [2, 1, 0]] {
                let (mut on, mut most) = (0.0, 0.0_f64);
                for at in order {
                    most = most.max(on + p[at] + more[at]);
                    on += p[at];
                }
                prop_assert!(best <= most + 1e-9);
            }
        }
    }
}
