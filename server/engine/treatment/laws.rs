//! What holds for any figures: nothing panics, nothing is NaN, more is never less.

use super::*;
use crate::quantity::*;
use proptest::prelude::*;

/// Any number a float can be, and likely ones often enough to matter.
fn wild() -> impl Strategy<Value = f64> {
    prop_oneof![2 => any::<f64>(), 3 => -5.0..120.0, 2 => 0.0..10_000.0, 1 => Just(0.0), 1 => 0.0..1.0, 1 => Just(f64::NAN)]
}

fn fine(value: f64) -> bool {
    value.is_finite()
}

fn germ() -> impl Strategy<Value = Germ> {
    prop::sample::select(Germ::ALL.to_vec())
}

proptest! {
    #[test]
    fn any_figures_of_a_dose_end_in_a_number_or_an_error(a in wild(), b in wild(), c in wild(), d in wild(), flag: bool) {
        let (water, dose, stock) = (litres(a), mg_per_litre(b), grams_per_litre(c));
        prop_assert!(liquid_for(water, dose, stock).map_or(true, |v| fine(as_millilitres(v))));
        prop_assert!(solid_for(water, dose, c).map_or(true, |m| fine(as_grams(m))));
        prop_assert!(concentration_of_liquid(millilitres(b), stock, water).map_or(true, |v| fine(as_mg_per_litre(v))));
        prop_assert!(concentration_of_solid(grams(b), c, water).map_or(true, |v| fine(as_mg_per_litre(v))));
        let purpose = if flag { Purpose::Shock } else { Purpose::Residual };
        let need = Need {
            water, demand: flag.then_some(mg_per_litre(d)), target: dose, present: Some(mg_per_litre(d)),
            turbidity: Some(c), chloramine: false, dosed_untested: flag, purpose,
        };
        for product in [Product::Liquid(stock), Product::Solid(c)] {
            if let Ok(dose) = Dose::of(&need, product) {
                prop_assert!(fine(as_mg_per_litre(dose.added)) && !dose.cautions.is_empty());
                prop_assert!(dose.working.steps.iter().all(|step| fine(step.figure.value)));
            }
        }
        for murk in [Murk::Clear, Murk::CloudyOrCold] {
            prop_assert!(chart_drops(water, b, murk).map_or(true, |drops| fine(drops.value) && drops.value >= 0.0));
        }
        prop_assert!(stand_time(celsius(a)).map_or(true, |time| fine(as_minutes(time))));
        prop_assert!(household_need(a).map_or(true, |need| fine(as_mg_per_litre(need))));
        for method in ShockMethod::ALL {
            if let Ok(plan) = ShockPlan::of(method, water, flag.then_some(litres(d)), dose, Product::Liquid(stock), false) {
                prop_assert!(plan.liquid.is_some_and(|volume| fine(as_millilitres(volume))));
            }
        }
        prop_assert!(box_us_gallons(metres(a), metres(b), metres(c), d).map_or(true, fine));
    }

    #[test]
    fn any_figures_of_a_product_end_in_a_number_or_an_error(a in wild(), b in wild(), c in wild(), d in wild(), e in wild()) {
        for kind in PercentKind::ALL {
            for density in [None, Some(kg_per_cubic_metre(b))] {
                prop_assert!(label_strength(a, kind, density).map_or(true, |c| fine(as_grams_per_litre(c.value))));
            }
        }
        prop_assert!(available_by_weight(a).map_or(true, fine));
        prop_assert!(loss_factor(celsius(a), celsius(b), c).map_or(true, fine));
        prop_assert!(usual_half_life(grams_per_litre(a)).map_or(true, |time| fine(as_days(time))));
        let ageing = Ageing { half_life: days(a), at: celsius(b), stands_at: celsius(c), for_ten: d };
        prop_assert!(ageing.left_after(days(e)).map_or(true, |left| (0.0..=1.0).contains(&left.value)));
        prop_assert!(ageing.age_when(e).map_or(true, |age| fine(as_days(age)) && as_days(age) >= 0.0));
        prop_assert!(boil_time(Some(metres(a))).map_or(true, |time| fine(as_minutes(time.value))));
    }

    #[test]
    fn any_figures_of_decay_end_in_a_number_or_an_error(a in wild(), b in wild(), c in wild(), d in wild(), e in wild()) {
        prop_assert!(residual_after(mg_per_litre(a), per_day(b), days(c)).map_or(true, |left| fine(as_mg_per_litre(left.value))));
        if let Ok(falls) = to_floor(mg_per_litre(a), mg_per_litre(b), per_day(c)) {
            prop_assert!(!matches!(falls.value, Falls::In(time) if !fine(as_days(time)) || as_days(time) < 0.0));
        }
        prop_assert!(rate_between(mg_per_litre(a), mg_per_litre(b), days(c)).map_or(true, |rate| fine(as_per_day(rate))));
        prop_assert!(rate_at(per_day(a), celsius(b), celsius(c), d).map_or(true, |rate| fine(as_per_day(rate.value))));
        prop_assert!(mixed(&[(litres(a), mg_per_litre(b)), (litres(c), mg_per_litre(d))]).map_or(true, |c| fine(as_mg_per_litre(c))));
        prop_assert!(ct_under_decay(mg_per_litre(a), per_day(b), minutes(c)).map_or(true, |ct| fine(ct.as_mg_min_per_litre())));
        let test = |after, free, at| ResidualTest { after: days(after), free: mg_per_litre(free), temperature: celsius(at) };
        let tests = [test(a, b, c), test(d, e, a), test(c, d, 20.0)];
        if let Ok(fit) = fitted_rate(&tests, celsius(d), 7000.0, 0.1) {
            prop_assert!(fine(as_per_day(fit.value.rate)) && fine(as_per_day(fit.value.sd)) && fine(as_mg_per_litre(fit.value.at_first)));
        }
    }

    #[test]
    fn any_figures_of_contact_end_in_a_number_or_an_error(a in wild(), b in wild(), c in wild(), d in wild(), germ in germ()) {
        let water = Conditions { temperature: celsius(a), ph: b, free: mg_per_litre(c) };
        for method in Method::ALL {
            prop_assert!(ct_giardia(&water, method).map_or(true, |ct| fine(ct.value.as_mg_min_per_litre())));
        }
        if let Ok(log) = VirusLog::new(d) {
            prop_assert!(ct_virus(celsius(a), b, log).map_or(true, |ct| fine(ct.value.as_mg_min_per_litre())));
        }
        let (one, other) = (Ct::mg_min_per_litre(a), Ct::mg_min_per_litre(b));
        prop_assert!(giardia_log(one, other).map_or(true, fine) && virus_log(one, other).map_or(true, fine));
        prop_assert!(chlorine_credit(germ, one).map_or(true, |credit| credit.abs() < 1e-12));
        prop_assert!(contact_time(litres(a), litres_per_minute(b), c).map_or(true, |time| fine(as_minutes(time))));
        prop_assert!(hypochlorous_fraction(a, celsius(b)).map_or(true, |part| (0.0..=1.0).contains(&part)));
        let sample = Sample { free: Some(mg_per_litre(a)), chloramine: false, temperature: celsius(b), ph: c, turbidity: Some(d) };
        if let Ok(credit) = credit(&sample, minutes(d * a)) {
            prop_assert!(credit.giardia.is_none_or(|log| (0.0..=3.0).contains(&log)) && (0.0..=4.0).contains(&credit.virus));
        }
        prop_assert!(uv_credit(germ, mj_per_cm2(a)).map_or(true, |log| (0.0..=4.0).contains(&log)));
        prop_assert!(uv_dose_for(germ, a).map_or(true, |dose| fine(as_mj_per_cm2(dose))));
        prop_assert!(water_factor(a, metres(b)).map_or(true, |part| (0.0..=1.0).contains(&part)));
        let lamp = Lamp { rated_dose: mj_per_cm2(a), rated_flow: litres_per_minute(b), burnt: hours(c), powered: true };
        prop_assert!(lamp.dose_at(litres_per_minute(d)).map_or(true, |dose| fine(as_mj_per_cm2(dose.value))));
        prop_assert!(lamp.credit_at(litres_per_minute(d), UvClass::A, germ).map_or(true, fine));
        let stage = Stage { kind: StageKind::Carbon, most_flow: Some(litres_per_minute(a)), left: Some(litres(b)), months_left: Some(c), draws: watts(d) };
        if let Ok(train) = Train::new(vec![stage, stage]) {
            prop_assert!(train.treatable(litres_per_minute(d), true).map_or(true, |left| left.is_none_or(|left| fine(as_litres(left)))));
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
        if let Ok(back) = concentration_of_liquid(liquid_for(volume, mg_per_litre(dose), strong).unwrap(), strong, volume) {
            prop_assert!((as_mg_per_litre(back) - dose).abs() < 1e-9 * (1.0 + dose));
        }
        if let Ok(back) = concentration_of_solid(solid_for(volume, mg_per_litre(dose), part).unwrap(), part, volume) {
            prop_assert!((as_mg_per_litre(back) - dose).abs() < 1e-9 * (1.0 + dose));
        }
    }

    #[test]
    fn a_residual_falls_and_comes_back_to_its_floor(first in 0.3..4.0, rate in 0.001..2.0, floor in 0.05..0.25) {
        let Falls::In(time) = to_floor(mg_per_litre(first), mg_per_litre(floor), per_day(rate)).unwrap().value else {
            return Err(TestCaseError::fail("it falls"));
        };
        let left = residual_after(mg_per_litre(first), per_day(rate), time).unwrap().value;
        prop_assert!((as_mg_per_litre(left) - floor).abs() < 1e-9);
        let back = rate_between(mg_per_litre(first), left, time).unwrap();
        prop_assert!((as_per_day(back) - rate).abs() < 1e-9 * (1.0 + rate));
    }

    #[test]
    fn age_and_what_it_leaves_are_one(half_life in 1.0..2000.0, age in 0.0..3000.0, at in 0.0..40.0, warmer in 0.0..15.0) {
        let ageing = Ageing { half_life: days(half_life), at: celsius(21.0), stands_at: celsius(at), for_ten: 3.5 };
        let left = ageing.left_after(days(age)).unwrap().value;
        prop_assert!((as_days(ageing.age_when(left).unwrap()) - age).abs() < 1e-6 * (1.0 + age));
        let hot = Ageing { stands_at: celsius(at + warmer), ..ageing };
        prop_assert!(hot.left_after(days(age)).unwrap().value <= left);
    }

    #[test]
    fn more_light_is_never_less_credit(germ in germ(), less in 0.0..200.0, more in 0.0..200.0) {
        let credit = |dose: f64| uv_credit(germ, mj_per_cm2(dose)).unwrap();
        prop_assert!(credit(less) <= credit(less + more));
    }
}
