//! A battery that runs the pump before any fuel is burnt, and the sun that fills it.

use crate::quantity::Energy;
use crate::quantity::as_watt_hours;

/// A battery in a [`crate::endurance::Run`].
///
/// **What.** While a level by pump draws anything:
///
/// - what is asked comes from the sun first, then from the battery; what the sun gives beyond it fills the battery;
/// - with the battery empty, what the sun falls short of is run by fuel, for that part of the day: so much less is burnt;
/// - with the battery empty, the sun short and no fuel, the pump stands. It runs again when fuel comes, or the sun gives
///   all that is asked.
///
/// At any other time the battery stays as it is: what it would gain then is not counted on. Over a day all of this is even,
/// but of the sun's day no more is taken up than is asked by daylight and held for the night: asked × (1 − after dark) + full.
/// The days one by one are [`crate::power::battery_days`].
///
/// **Arguments.** Energies of 0 to 10¹⁵ Wh; the part after dark 0 to 1.
///
/// **Reference.** The project's own rules; conservation of energy by definition.
///
/// By hand: 2 kWh at 1 kWh a day less 0.5 of sun run the pump for 2 ÷ 0.5 = 4 days.
/// ```
/// use keepwell_engine::endurance::{run, Battery, Heels, Level, Reach, Run, Stock, Uses};
/// use keepwell_engine::grade::Grade;
/// use keepwell_engine::quantity::{as_days, days, kilowatt_hours, litres};
///
/// let [now, asked, sun] = [2.0, 1.0, 0.5].map(kilowatt_hours);
/// let reach = Reach { pump: true, ..Reach::default() };
/// let timeline = run(&Run {
///     horizon: days(30.0),
///     people: 10.0,
///     levels: vec![Level { name: "tap".into(), reach, uses: Uses::litres(3.0, 6.0, 6.0, 0.0) }],
///     stocks: vec![Stock {
///         id: "tank".into(),
///         grade: Grade::Drink,
///         volume: litres(9000.0),
///         heel: Heels { pump: Some(litres(0.0)), ..Heels::default() },
///     }],
///     power: None,
///     battery: Some(Battery { now, full: now, asked, sun, after_dark: 0.5 }),
///     treatment: None,
///     keep_drinking: days(0.0),
///     events: vec![],
/// })?;
/// assert!((as_days(timeline.days_at_ration) - 4.0).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::endurance::Refusal>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Battery {
    /// what it gives now; what it holds beyond full does not count
    pub now: Energy,
    /// what it gives from full
    pub full: Energy,
    /// asked of it a day while the pump may run: the pump, what else hangs on it, its inverter
    pub asked: Energy,
    /// what the sun gives a day
    pub sun: Energy,
    /// the part of what is asked that is asked after dark, 0 to 1
    pub after_dark: f64,
}

impl Battery {
    /// The part of the day that fuel must run the pump once the battery is empty: 1 − sun ÷ asked, 0 to 1, of the sun no more
    /// than is taken up; 0 where nothing is asked.
    #[must_use]
    pub fn short(&self) -> f64 {
        Store { left: 0.0, ..Store::new(self) }.short()
    }
}

/// The same in plain numbers: watt-hours, and watt-hours a day.
#[derive(Clone, Copy)]
pub(super) struct Store {
    pub(super) left: f64,
    full: f64,
    asked: f64,
    /// of the sun's day no more than this is taken up
    held: f64,
    sun: f64,
    /// so many times as much sun as was said
    bright: f64,
}

impl Store {
    pub(super) fn new(battery: &Battery) -> Self {
        let [left, full, asked, sun] = [battery.now, battery.full, battery.asked, battery.sun].map(as_watt_hours);
        let held = asked * (1.0 - battery.after_dark) + full;
        Self { left: left.min(full), full, asked, held, sun, bright: 1.0 }
    }

    pub(super) fn shine(&mut self, sun: Energy) {
        self.sun = as_watt_hours(sun);
    }

    /// The same with so many times the sun.
    pub(super) fn brighter(self, bright: f64) -> Self {
        Self { bright, ..self }
    }

    fn gets(&self) -> f64 {
        (self.sun * self.bright).min(self.held)
    }

    /// Whether the pump runs on it alone.
    pub(super) fn carries(&self) -> bool {
        self.left > 0.0 || self.gets() >= self.asked
    }

    /// What leaves it a day while it carries the pump; below 0 it fills.
    pub(super) fn drain(&self) -> f64 {
        self.asked - self.gets()
    }

    /// The part of the day that fuel must run the pump.
    pub(super) fn short(&self) -> f64 {
        if self.carries() { 0.0 } else { 1.0 - self.gets() / self.asked }
    }

    /// Takes so many days of a drain; what lasts no longer than `end` is spent exactly.
    pub(super) fn spend(&mut self, drain: f64, length: f64, spent: bool) {
        self.left = if spent { 0.0 } else { (self.left - drain * length).clamp(0.0, self.full) };
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::laws::close;
    use super::super::laws::example;
    use super::super::laws::some_run;
    use super::super::*;
    use super::*;
    use crate::endurance;
    use crate::quantity::as_days;
    use crate::quantity::as_kilowatt_hours;
    use crate::quantity::as_litres;
    use crate::quantity::days;
    use crate::quantity::kilowatt_hours;
    use crate::quantity::litres;

    fn battery([now, full, asked, sun]: [f64; 4]) -> Battery {
        let [now, full, asked, sun] = [now, full, asked, sun].map(kilowatt_hours);
        Battery { now, full, asked, sun, after_dark: 0.0 }
    }

    /// 100 people, 9,000 L, 1,500 a day at the tap and 750 by hand, so many litres of fuel at 6 a day.
    fn with(figures: [f64; 4], fuel: f64) -> Run {
        let run = example(fuel);
        Run { power: run.power.filter(|_| fuel > 0.0), battery: Some(battery(figures)), ..run }
    }

    fn told(run: &Run) -> Vec<(Option<usize>, f64, Cause)> {
        let timeline = endurance::run(run).unwrap();
        timeline.spans.iter().map(|span| (span.level, as_days(span.to), span.cause)).collect()
    }

    fn same(run: &Run, expected: &[(Option<usize>, f64, Cause)]) {
        let told = told(run);
        let alike = told.len() == expected.len()
            && told.iter().zip(expected).all(|(a, b)| a.0 == b.0 && (a.1 - b.1).abs() < 1e-9 && a.2 == b.2);
        assert!(alike, "{told:?}, expected {expected:?}");
    }

    #[test]
    fn by_hand_a_battery_alone() {
        // 2 kWh at 1 kWh a day less 0.5 of sun: 4 days at the tap take 6,000 L; 3,000 ÷ 750 = 4 days by hand.
        let run = with([2.0, 2.0, 1.0, 0.5], 0.0);
        same(&run, &[(Some(0), 4.0, Cause::Battery), (Some(1), 8.0, Cause::Water), (None, 730.0, Cause::Horizon)]);
        assert_eq!(endurance::run(&run).unwrap().battery_left, Some(kilowatt_hours(0.0)));
        // As much sun as is asked: the tap runs as long as the water, 9,000 ÷ 1,500 = 6 days, empty battery or not.
        same(&with([0.0, 2.0, 1.0, 1.0], 0.0), &[(Some(0), 6.0, Cause::Water), (None, 730.0, Cause::Horizon)]);
    }

    #[test]
    fn by_hand_the_sun_makes_fuel_last() {
        // 1 kWh at 1 − 0.5 a day: 2 days on the battery. Then fuel runs half of each day: 3 L a day of 12 L, 4 days more.
        // 6 days × 1,500 L is all the water, in the same moment as the fuel: fuel is named first.
        same(&with([1.0, 2.0, 1.0, 0.5], 12.0), &[(Some(0), 6.0, Cause::Fuel), (None, 730.0, Cause::Horizon)]);
        // 9 L: 2 + 3 days at the tap take 7,500 L; 1,500 ÷ 750 = 2 days by hand.
        same(
            &with([1.0, 2.0, 1.0, 0.5], 9.0),
            &[(Some(0), 5.0, Cause::Fuel), (Some(1), 7.0, Cause::Water), (None, 730.0, Cause::Horizon)],
        );
    }

    #[test]
    fn by_hand_the_sun_of_the_months() {
        // Dark from day 1: 1 day of 1 − 0.5, then 1.5 kWh at 1 a day to day 2.5. By hand to day 4, 1,125 L; from then on the
        // sun gives all: 9,000 − 3,750 − 1,125 = 4,125 L at 1,500 a day, 2.75 days.
        let mut run = with([2.0, 2.0, 1.0, 0.5], 0.0);
        let sun = |at: f64, sun: f64| Event { at: days(at), change: Change::Sun(kilowatt_hours(sun)) };
        run.events = vec![sun(1.0, 0.0), sun(4.0, 1.0)];
        same(
            &run,
            &[
                (Some(0), 2.5, Cause::Battery),
                (Some(1), 4.0, Cause::Event),
                (Some(0), 6.75, Cause::Water),
                (None, 730.0, Cause::Horizon),
            ],
        );
    }

    #[test]
    fn by_hand_no_more_than_full() {
        // Two days of 1 kWh too much into 1.5 of 2 kWh fill it; then 2 kWh at 1 a day to day 4.
        let mut run = with([1.5, 2.0, 1.0, 2.0], 0.0);
        run.events = vec![Event { at: days(2.0), change: Change::Sun(kilowatt_hours(0.0)) }];
        same(&run, &[(Some(0), 4.0, Cause::Battery), (Some(1), 8.0, Cause::Water), (None, 730.0, Cause::Horizon)]);
    }

    #[test]
    fn by_hand_a_battery_too_small_for_the_night() {
        // 5 kWh of sun for 1 kWh asked, half of it after dark, and 0.1 kWh of battery: 0.5 + 0.1 a day is taken up. 0.1 ÷ 0.4
        // = 0.25 days take 375 L at the tap; 8,625 ÷ 750 = 11.5 days by hand.
        let mut run = with([0.1, 0.1, 1.0, 5.0], 0.0);
        run.battery = run.battery.map(|battery| Battery { after_dark: 0.5, ..battery });
        same(&run, &[(Some(0), 0.25, Cause::Battery), (Some(1), 11.75, Cause::Water), (None, 730.0, Cause::Horizon)]);
    }

    #[test]
    fn fuel_brought_where_only_a_battery_runs_changes_nothing() {
        let mut run = with([2.0, 2.0, 1.0, 0.5], 0.0);
        run.events = vec![Event { at: days(1.0), change: Change::AddFuel(litres(5.0)) }];
        same(&run, &[(Some(0), 4.0, Cause::Battery), (Some(1), 8.0, Cause::Water), (None, 730.0, Cause::Horizon)]);
    }

    #[test]
    fn with_a_generator_that_never_had_fuel_it_is_the_battery_that_ends() {
        let mut run = with([2.0, 2.0, 1.0, 0.5], 12.0);
        run.power = run.power.map(|power| Power { fuel: Some(litres(0.0)), ..power });
        same(&run, &[(Some(0), 4.0, Cause::Battery), (Some(1), 8.0, Cause::Water), (None, 730.0, Cause::Horizon)]);
    }

    #[test]
    fn what_a_battery_cannot_be_is_refused_by_name() {
        for (figures, words) in [
            ([f64::NAN, 2.0, 1.0, 0.0], "what the battery gives now is NaN"),
            ([1.0, -2.0, 1.0, 0.0], "what the battery gives from full is -2000"),
            ([1.0, 2.0, f64::INFINITY, 0.0], "asked of the battery a day is inf"),
            ([1.0, 2.0, 1.0, -1.0], "what the sun gives a day is -1000"),
        ] {
            let refusal = endurance::run(&with(figures, 0.0)).unwrap_err().to_string();
            assert!(refusal.contains(words) && refusal.contains("allowed"), "{refusal:?} does not say {words:?}");
        }
        let mut dark = with([1.0, 2.0, 1.0, 1.0], 0.0);
        dark.battery = dark.battery.map(|battery| Battery { after_dark: 1.5, ..battery });
        let refusal = endurance::run(&dark).unwrap_err().to_string();
        assert_eq!(refusal, "part asked of the battery after dark is 1.5; allowed is 0 to 1");
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 600, failure_persistence: None, ..ProptestConfig::default() })]

        /// What was asked came from the battery, the sun or the fuel; what came from the sun in excess is lost.
        #[test]
        fn energy_is_conserved(mut run in some_run(false), figures in prop::array::uniform4(0.0..4.0f64)) {
            let [now, full, asked, sun] = figures;
            let asked = asked + 0.1;
            run.battery = Some(battery([now, full, asked, sun]));
            let timeline = endurance::run(&run).unwrap();
            let powered = timeline.spans.iter().filter(|span| span.level.is_some_and(|level| {
                let level = &run.levels[level];
                level.reach.pump && run.people * as_litres(level.uses.total()) > 0.0
            }));
            let ran: f64 = powered.map(|span| as_days(span.to - span.from)).sum();
            let left = timeline.battery_left.map(as_kilowatt_hours).unwrap_or_default();
            prop_assert!((0.0..=full + 1e-12).contains(&left));
            let happens = run.events.iter().filter(|event| event.at < run.horizon);
            let brought: f64 = happens.map(|event| match event.change {
                Change::AddFuel(fuel) => as_litres(fuel),
                _ => 0.0,
            }).sum();
            let burnt = run.power.and_then(|power| {
                let fuel = as_litres(power.fuel?) + brought - as_litres(timeline.fuel_left?);
                Some((fuel, as_litres(power.burn * power.hours_a_day)))
            });
            if sun > asked {
                prop_assert!(burnt.is_none_or(|(fuel, _)| close(fuel, 0.0)));
            } else if let Some((fuel, burn)) = burnt.filter(|(_, burn)| *burn > 0.01) {
                let given = now.min(full) - left + sun * ran + asked * fuel / burn;
                prop_assert!(close(asked * ran, given), "{} asked, {given} given", asked * ran);
            } else if run.power.is_none() {
                prop_assert!(close(asked * ran, now.min(full) - left + sun * ran));
            }
        }

        #[test]
        fn more_sun_or_more_in_it_never_brings_the_end_of_the_ration_nearer(
            mut run in some_run(false), figures in prop::array::uniform4(0.0..4.0f64), more in prop::array::uniform2(0.0..3.0f64),
        ) {
            let [now, full, asked, sun] = figures;
            run.levels = usual_levels(run.levels[0].uses, litres(15.0), false);
            for level in &mut run.levels {
                level.uses.flush = litres(0.0);
            }
            run.keep_drinking = days(0.0);
            run.events.clear();
            let mut ends = |figures| {
                run.battery = Some(battery(figures));
                endurance::run(&run).unwrap().days_at_ration
            };
            let before = ends(figures);
            let after = ends([now + more[0], full + more[0], asked, sun + more[1]]);
            prop_assert!(as_days(after) >= as_days(before) - 1e-6, "{} after {}", as_days(after), as_days(before));
        }
    }
}
