//! What holds for any figures: nothing panics, nothing is NaN, more is never less.

use super::*;
use crate::quantity::*;
use crate::working::Reckoned;
use crate::working::Working;
use proptest::prelude::*;

/// Any number a float can be, NaN and the infinities among them, and likely ones often enough to matter.
fn wild() -> impl Strategy<Value = f64> {
    prop_oneof![2 => prop::num::f64::ANY, 3 => -5.0..120.0, 2 => 0.0..10_000.0, 1 => Just(0.0), 2 => 0.0..1.0, 1 => Just(f64::NAN)]
}

fn maybe() -> impl Strategy<Value = Option<f64>> {
    prop::option::of(wild())
}

fn germ() -> impl Strategy<Value = Germ> {
    prop::sample::select(Germ::ALL.to_vec())
}

/// Every figure of a working is a number, and it says what, how and from where.
fn told(working: &Working) -> bool {
    let figures = working.inputs.iter().map(|input| input.figure).chain(working.steps.iter().map(|step| step.figure));
    let said = !working.what.is_empty() && !working.formula.is_empty() && !working.sources.is_empty();
    said && !working.steps.is_empty()
        && figures.into_iter().all(|figure| figure.value.is_finite() && figure.sd.is_none_or(f64::is_finite))
}

/// A refusal, or numbers with their working.
fn sound<T, E, N>(answer: Result<Reckoned<T>, E>, numbers: impl Fn(T) -> N) -> bool
where
    N: IntoIterator<Item = f64>,
{
    answer.map_or(true, |answer| told(&answer.working) && numbers(answer.value).into_iter().all(f64::is_finite))
}

proptest! {
    #[test]
    fn any_figures_of_a_balance_end_in_a_number_or_an_error(a in wild(), b in wild(), c in wild(), d in wild()) {
        let (water, dose, stock) = (litres(a), mg_per_litre(b), grams_per_litre(c));
        prop_assert!(sound(liquid_for(water, dose, stock), |v| [as_millilitres(v)]));
        prop_assert!(sound(solid_for(water, dose, c), |m| [as_grams(m)]));
        prop_assert!(sound(concentration_of_liquid(millilitres(b), stock, water), |v| [as_mg_per_litre(v)]));
        prop_assert!(sound(concentration_of_solid(grams(b), c, water), |v| [as_mg_per_litre(v)]));
        for murk in [Murk::Clear, Murk::CloudyOrCold] {
            prop_assert!(sound(chart_drops(water, b, murk), |drops| [drops]));
            prop_assert!(sound(chart_dose(water, b, murk), |dose| [as_mg_per_litre(dose.least), as_mg_per_litre(dose.most)]));
        }
        prop_assert!(sound(stand_time(celsius(a)), |time| [as_minutes(time)]));
        prop_assert!(sound(household_need(a), |need| [as_mg_per_litre(need.dose), as_hours(need.use_within)]));
        prop_assert!(sound(box_us_gallons(metres(a), metres(b), metres(c), d), |gallons| [gallons]));
        prop_assert!(sound(boil_time(Some(metres(a))), |time| [as_minutes(time)]));
    }

    #[test]
    fn any_figures_of_a_dose_end_in_a_number_or_an_error(
        a in wild(), b in wild(), c in wild(), demand in maybe(), present in maybe(), turbidity in maybe(),
        part in maybe(), chloramine: bool, dosed_untested: bool, after_fuel: bool, shock: bool,
    ) {
        let (water, target) = (litres(a), mg_per_litre(b));
        let purpose = if shock { Purpose::Shock } else { Purpose::Residual };
        let need = Need {
            water, demand: demand.map(mg_per_litre), target, present: present.map(mg_per_litre),
            turbidity, chloramine, dosed_untested, purpose,
        };
        for product in [Product::Liquid(grams_per_litre(c)), Product::Solid(c)] {
            if let Ok(dose) = Dose::of(&need, product) {
                prop_assert!(as_mg_per_litre(dose.added) >= 0.0 && !dose.cautions.is_empty() && told(&dose.working));
                let amounts = [dose.liquid.map(as_millilitres), dose.solid.map(as_grams), dose.drops.map(|drops| drops.most)];
                prop_assert!(amounts.into_iter().flatten().all(f64::is_finite));
                prop_assert!(!chloramine && (shock || as_mg_per_litre(dose.added) <= 10.0 + 1e-9));
            }
            for method in ShockMethod::ALL {
                if let Ok(plan) = ShockPlan::of(method, water, part.map(litres), target, product, after_fuel) {
                    prop_assert!(!after_fuel && told(&plan.working) && !plan.cautions.is_empty());
                    let amounts = [plan.liquid.map(as_millilitres), plan.solid.map(as_grams)];
                    prop_assert!(amounts.into_iter().flatten().all(f64::is_finite));
                }
            }
        }
        for unfit in Unfit::ALL {
            prop_assert!(Dose::of(&need, Product::Refused(unfit)).is_err());
        }
    }

    #[test]
    fn any_figures_of_a_product_end_in_a_number_or_an_error(a in wild(), b in wild(), c in wild(), d in wild(), e in wild(), density in maybe(), age in maybe(), stands_at in maybe()) {
        let density = density.map(kg_per_cubic_metre);
        for kind in PercentKind::ALL {
            prop_assert!(sound(label_strength(a, kind, density), |c| [as_grams_per_litre(c)]));
            let bottle = Bottle { figure: a, kind, density, age: age.map(days), stands_at: stands_at.map(celsius) };
            prop_assert!(sound(bottle.strength_now(), |c| [as_grams_per_litre(c)]));
        }
        prop_assert!(sound(available_by_weight(a), |percent| [percent]));
        prop_assert!(sound(loss_factor(celsius(a), celsius(b), c), |factor| [factor]));
        prop_assert!(sound(usual_half_life(grams_per_litre(a)), |time| [as_days(time)]));
        prop_assert!(Ageing::usual(grams_per_litre(a), celsius(b)).map_or(true, |ageing| as_days(ageing.half_life).is_finite()));
        let ageing = Ageing { half_life: days(a), at: celsius(b), stands_at: celsius(c), for_ten: d };
        prop_assert!(sound(ageing.left_after(days(e)), |left| [left]));
        prop_assert!(ageing.left_after(days(e)).map_or(true, |left| (0.0..=1.0).contains(&left.value)));
        prop_assert!(sound(ageing.age_when(e), |age| [as_days(age)]));
    }

    #[test]
    fn any_figures_of_decay_end_in_a_number_or_an_error(a in wild(), b in wild(), c in wild(), d in wild()) {
        let ends = |falls| if let Falls::In(time) = falls { as_days(time) } else { 0.0 };
        prop_assert!(sound(residual_after(mg_per_litre(a), per_day(b), days(c)), |left| [as_mg_per_litre(left)]));
        // that it is there already, or never, needs no step
        let floor = to_floor(mg_per_litre(a), mg_per_litre(b), per_day(c));
        prop_assert!(floor.map_or(true, |floor| ends(floor.value).is_finite() && ends(floor.value) >= 0.0));
        prop_assert!(sound(rate_between(mg_per_litre(a), mg_per_litre(b), days(c)), |rate| [as_per_day(rate)]));
        prop_assert!(sound(rate_at(per_day(a), celsius(b), celsius(c), d), |rate| [as_per_day(rate)]));
        prop_assert!(sound(mixed(&[(litres(a), mg_per_litre(b)), (litres(c), mg_per_litre(d))]), |c| [as_mg_per_litre(c)]));
        prop_assert!(sound(ct_under_decay(mg_per_litre(a), per_day(b), minutes(c)), |ct| [ct.as_mg_min_per_litre()]));
    }

    #[test]
    fn any_tests_of_a_vessel_end_in_a_forecast_or_an_error(
        tests in prop::collection::vec((wild(), wild(), wild()), 0..5), at in wild(), effect in wild(), error in wild(),
        after in wild(), floor in wild(),
    ) {
        let tests: Vec<_> = tests.into_iter()
            .map(|(day, free, at)| ResidualTest { after: days(day), free: mg_per_litre(free), temperature: celsius(at) })
            .collect();
        for (at, effect, error) in [(at, effect, error), (15.0, 7000.0, TEST_ERROR)] {
            let fit = fitted_rate(&tests, celsius(at), effect, error);
            if let Ok(fit) = &fit {
                let fit = fit.value;
                for after in [after, 30.0] {
                    prop_assert!(sound(fit.residual_after(days(after)), |c| [as_mg_per_litre(c.low), as_mg_per_litre(c.likely), as_mg_per_litre(c.high)]));
                }
                for floor in [floor, 0.2] {
                    if let Ok(floor) = fit.to_floor(mg_per_litre(floor)) {
                        let when = |falls| match falls {
                            Falls::Already => 0.0,
                            Falls::In(time) => as_days(time),
                            Falls::Never => f64::INFINITY,
                        };
                        let [early, likely, late] = [floor.value.earliest, floor.value.likely, floor.value.latest].map(when);
                        prop_assert!(early <= likely * (1.0 + 1e-9) && likely <= late * (1.0 + 1e-9), "{early} {likely} {late}");
                    }
                }
            }
            prop_assert!(sound(fit, |fit| [as_per_day(fit.rate), as_per_day(fit.sd), as_mg_per_litre(fit.at_first)]));
        }
    }

    #[test]
    fn any_figures_of_contact_end_in_a_number_or_an_error(
        a in wild(), b in wild(), c in wild(), d in wild(), free in maybe(), turbidity in maybe(), chloramine: bool, germ in germ(),
    ) {
        let water = Conditions { temperature: celsius(a), ph: b, free: mg_per_litre(c) };
        for method in Method::ALL {
            let asked = ct_giardia(&water, method);
            prop_assert_eq!(asked.as_ref().ok().map(|asked| asked.value), water.giardia_3log(method).ok());
            prop_assert!(sound(asked, |ct| [ct.as_mg_min_per_litre()]));
        }
        for log in [d, 2.0, 3.0, 4.0] {
            if let Ok(log) = VirusLog::new(log) {
                prop_assert!(sound(ct_virus(celsius(a), b, log), |ct| [ct.as_mg_min_per_litre()]));
            }
        }
        let (one, other) = (Ct::mg_min_per_litre(a), Ct::mg_min_per_litre(b));
        prop_assert!(sound(giardia_log(one, other), |log| [log]) && sound(virus_log(one, other), |log| [log]));
        prop_assert!(sound(in_series(&[(one, other), (other, one)]), |log| [log]) && sound(inactivated(a), |part| [part]));
        prop_assert!(sound(chlorine_credit(germ, one), |log| [log]));
        prop_assert!(chlorine_credit(germ, one).map_or(true, |credit| credit.value.abs() < 1e-12));
        prop_assert!(sound(contact_time(litres(a), litres_per_minute(b), c), |time| [as_minutes(time)]));
        prop_assert!(sound(hypochlorous_fraction(a, celsius(b)), |part| [part]));
        let sample = Sample { free: free.map(mg_per_litre), chloramine, temperature: celsius(b), ph: c, turbidity };
        if let Ok(credit) = credit(&sample, minutes(d)) {
            prop_assert!(!chloramine && free.is_some_and(|free| free > 0.0) && told(&credit.working));
            prop_assert!(credit.giardia.is_none_or(|log| (0.0..=3.0).contains(&log)) && (0.0..=4.0).contains(&credit.virus));
            prop_assert!(credit.cryptosporidium.abs() < 1e-12);
        }
    }

    #[test]
    fn any_figures_of_light_and_trains_end_in_a_number_or_an_error(
        a in wild(), b in wild(), c in wild(), d in wild(), turbidity in maybe(), left in maybe(), months_left in maybe(),
        powered: bool, sleeve_in_date: bool, alarm: bool, germ in germ(),
    ) {
        prop_assert!(sound(uv_credit(germ, mj_per_cm2(a)), |log| [log]) && sound(uv_dose_for(germ, a), |dose| [as_mj_per_cm2(dose)]));
        prop_assert!(sound(water_factor(a, metres(b)), |part| [part]));
        let lamp = Lamp { rated_dose: mj_per_cm2(a), rated_flow: litres_per_minute(b), burnt: hours(c), powered, sleeve_in_date, alarm };
        let water = Some(Clearness { now: a, rated: b, path: metres(c) });
        for water in [None, water] {
            prop_assert!(sound(lamp.dose_at(litres_per_minute(d), water), |dose| [as_mj_per_cm2(dose)]));
        }
        for class in [UvClass::A, UvClass::B, UvClass::Untested] {
            prop_assert!(sound(class.credit(germ), |log| [log]));
            let credit = lamp.credit_at(litres_per_minute(d), class, germ, turbidity);
            if let Ok(credit) = &credit {
                prop_assert!(credit.value <= 0.0 || (powered && sleeve_in_date && !alarm && class == UvClass::A));
            }
            prop_assert!(sound(credit, |log| [log]));
            let stage = |kind| Stage { kind, most_flow: Some(litres_per_minute(a)), left: left.map(litres), months_left, draws: watts(d) };
            if let Ok(train) = Train::new(vec![stage(StageKind::Sediment), stage(StageKind::Uv(class))]) {
                prop_assert!(train.at(litres_per_minute(d), powered).map_or(true, |passed| told(&passed.working)));
                prop_assert!(train.treatable(litres_per_minute(d), powered).map_or(true, |left| left.is_none_or(|left| as_litres(left).is_finite())));
                prop_assert!(train.bars(germ, litres_per_minute(d), powered).map_or(true, |bars| !bars || powered));
            }
        }
    }

    /// Colder, higher pH or more chlorine at the end never asks for less contact.
    #[test]
    fn the_lookup_never_asks_for_less_where_it_is_harder(
        t in 0.0..30.0_f64, colder in 0.0..10.0_f64, ph in 5.0..9.0_f64, higher in 0.0..2.0, free in 0.1..4.0, more in 0.0..2.0,
    ) {
        let asked = |t: f64, ph: f64, free: f64| {
            let water = Conditions { temperature: celsius(t), ph: ph.min(9.0), free: mg_per_litre(free) };
            ct_giardia(&water, Method::Lookup).unwrap().value.as_mg_min_per_litre()
        };
        let here = asked(t, ph, free);
        prop_assert!(asked((t - colder).max(-1.9), ph, free) >= here);
        prop_assert!(asked(t, ph + higher, free) >= here);
        prop_assert!(asked(t, ph, free + more) >= here);
    }

    /// The three ways of reading one table agree as their sources say: the lookup is never below the interpolation, the
    /// regression never below either by more than its steps.
    #[test]
    fn rivals_agree_over_the_whole_grid(t in 0.5..25.0, ph in 6.0..9.0, free in 0.4..3.0) {
        let water = Conditions { temperature: celsius(t), ph, free: mg_per_litre(free) };
        let asked = |method| ct_giardia(&water, method).unwrap().value.as_mg_min_per_litre();
        let (lookup, line, curve) = (asked(Method::Lookup), asked(Method::Interpolated), asked(Method::Regression));
        prop_assert!(lookup >= line - 1e-9, "{lookup} {line}");
        // the chord lies above the convex curve between the rows, by at most 7 % of it
        prop_assert!((0.93..1.20).contains(&(curve / line)), "{curve} {line}");
    }

    #[test]
    fn what_is_added_is_there_again(water in 0.01..1e6, dose in 0.0..100.0, stock in 1.0..200.0, part in 0.05..1.0) {
        let (volume, strong) = (litres(water), grams_per_litre(stock));
        if let Ok(back) = concentration_of_liquid(liquid_for(volume, mg_per_litre(dose), strong).unwrap().value, strong, volume) {
            prop_assert!((as_mg_per_litre(back.value) - dose).abs() < 1e-9 * (1.0 + dose));
        }
        if let Ok(back) = concentration_of_solid(solid_for(volume, mg_per_litre(dose), part).unwrap().value, part, volume) {
            prop_assert!((as_mg_per_litre(back.value) - dose).abs() < 1e-9 * (1.0 + dose));
        }
    }

    #[test]
    fn a_residual_falls_and_comes_back_to_its_floor(first in 0.3..4.0, rate in 0.001..2.0, floor in 0.05..0.25) {
        let Falls::In(time) = to_floor(mg_per_litre(first), mg_per_litre(floor), per_day(rate)).unwrap().value else {
            return Err(TestCaseError::fail("it falls"));
        };
        let left = residual_after(mg_per_litre(first), per_day(rate), time).unwrap().value;
        prop_assert!((as_mg_per_litre(left) - floor).abs() < 1e-9);
        let back = rate_between(mg_per_litre(first), left, time).unwrap().value;
        prop_assert!((as_per_day(back) - rate).abs() < 1e-9 * (1.0 + rate));
    }

    #[test]
    fn age_and_what_it_leaves_are_one(half_life in 1.0..2000.0, age in 0.0..3000.0, at in 0.0..40.0, warmer in 0.0..15.0) {
        let ageing = Ageing { half_life: days(half_life), at: celsius(21.0), stands_at: celsius(at), for_ten: 3.5 };
        let left = ageing.left_after(days(age)).unwrap().value;
        prop_assert!((as_days(ageing.age_when(left).unwrap().value) - age).abs() < 1e-6 * (1.0 + age));
        let hot = Ageing { stands_at: celsius(at + warmer), ..ageing };
        prop_assert!(hot.left_after(days(age)).unwrap().value <= left);
    }

    #[test]
    fn more_light_is_never_less_credit(germ in germ(), less in 0.0..200.0, more in 0.0..200.0) {
        let credit = |dose: f64| uv_credit(germ, mj_per_cm2(dose)).unwrap().value;
        prop_assert!(credit(less) <= credit(less + more));
    }
}
