//! Small histories whose answer is plain by hand.

use super::*;
use crate::level::Method;
use crate::quantity::as_litres_per_day;
use crate::quantity::days;
use crate::quantity::litres;
use crate::quantity::millimetres;

const DAY_0: Moment = Moment::from_micros(0);

/// A drum of a quarter litre a millimetre, 220 L.
fn drum() -> Tank {
    Tank::new(&[Member::upright(millimetres(0.0), millimetres(880.0), litres(220.0))], 0.0).unwrap()
}

/// A tank of a litre a millimetre, 1,700 L.
fn tank() -> Tank {
    Tank::new(&[Member::upright(millimetres(0.0), millimetres(1700.0), litres(1700.0))], 0.0).unwrap()
}

fn dip(depth: f64) -> What {
    What::Dip { member: 0, depth: millimetres(depth), from: End::Floor }
}

/// The belief on `ask`, after these in their order.
#[track_caller]
fn after(tank: Tank, habit: Habit, told: &[(f64, What)], ask: f64) -> Belief {
    let mut all = Explanations::new(tank, habit, DAY_0);
    for (id, &(day, what)) in (1..).zip(told) {
        all.tell(&Entry { id, at: DAY_0.after(days(day)), what }).unwrap();
    }
    all.at(DAY_0.after(days(ask)))
}

#[track_caller]
fn near(got: f64, expected: f64, tolerance: f64) {
    assert!((got - expected).abs() <= tolerance, "{got} is not {expected} within {tolerance}");
}

fn volume(belief: &Belief) -> f64 {
    as_litres(belief.level.volume)
}

fn sd(belief: &Belief) -> f64 {
    as_litres(belief.level.sd)
}

#[test]
fn nothing_known_is_anywhere_in_the_vessel() {
    // Even spread: brim/2 and brim/√12, here cut off at floor and brim once more.
    let belief = after(tank(), Habit::Standing, &[], 0.0);
    near(volume(&belief), 850.0, 5.0);
    assert!(sd(&belief) > 400.0);
}

#[test]
fn one_dip_is_doubted_and_four_that_agree_are_not() {
    // By hand: 400 mm are 100 L, 4 mm are 1 L; four of them 0.5 L.
    let one = after(drum(), Habit::Standing, &[(0.5, dip(400.0))], 0.5);
    near(volume(&one), 100.0, 0.5);
    assert!(sd(&one) >= 1.0);
    let four = [(0.5, dip(402.0)), (1.5, dip(398.0)), (2.5, dip(402.0)), (3.5, dip(398.0))];
    let four = after(drum(), Habit::Standing, &four, 3.5);
    near(volume(&four), 100.0, 0.02);
    near(sd(&four), 0.5, 0.01);
}

#[test]
fn filled_to_the_top_is_five_millimetres_short() {
    // 880 − 5 mm are 218.75 L; 10 mm / √12 are 0.72 L.
    let belief = after(drum(), Habit::Standing, &[(0.5, dip(300.0)), (0.5, What::Top)], 0.5);
    near(volume(&belief), 218.75, 0.05);
    near(sd(&belief), 0.72, 0.05);
}

#[test]
fn a_bank_shares_one_surface() {
    // 900 mm under the partner's rim at 1800: 900 mm over the ground, 900 + 800 L. A dip errs by 2 × 4 L, four by half.
    let upright = |floor| Member::upright(millimetres(floor), millimetres(1700.0), litres(1700.0));
    let bank = Tank::new(&[upright(0.0), upright(100.0)], 0.01).unwrap();
    let dip = What::Dip { member: 1, depth: millimetres(900.0), from: End::Rim };
    let belief = after(bank, Habit::Standing, &[(0.5, dip), (1.5, dip), (2.5, dip), (3.5, dip)], 3.5);
    near(volume(&belief), 1700.0, 1.0);
    // the capacity's 1 % of 1700 L stays, however often one looks: √(17² + 4²)
    near(sd(&belief), 17.5, 0.5);
}

#[test]
fn looking_again_by_eye_does_not_average_out() {
    // A quarter of 1700 L evenly: 425 L / √12 = 122.7 L, after one look and after fifty.
    let looks: Vec<(f64, What)> = (0..50).map(|day| (f64::from(day), What::Eye(0.5))).collect();
    for count in [1, 50] {
        let belief = after(tank(), Habit::Standing, &looks[..count], f64::from(50));
        near(volume(&belief), 850.0, 25.0);
        assert!(sd(&belief) > 100.0, "{} after {count}", sd(&belief));
    }
}

#[test]
fn a_hundred_readings_of_a_sensor_share_its_offset() {
    // 7 mm at a litre a millimetre; 2 mm over √100 beside it is nothing.
    let hourly: Vec<(f64, What)> =
        (0..100).map(|hour| (f64::from(hour) / 24.0, What::Sensor(millimetres(900.0)))).collect();
    let belief = after(tank(), Habit::Standing, &hourly, 5.0);
    near(volume(&belief), 900.0, 1.0);
    near(sd(&belief), 7.0, 0.7);
}

/// A tank dipped weekly at these millimetres.
fn weekly(depths: &[f64]) -> Vec<(f64, What)> {
    (0..).zip(depths).map(|(week, &depth)| (7.0 * f64::from(week) + 0.3, dip(depth))).collect()
}

#[test]
fn a_dip_a_hundred_off_is_wrong_and_moves_nothing() {
    let told = weekly(&[1500.0, 1498.0, 1501.0, 1601.0, 1500.0, 1499.0]);
    let belief = after(tank(), Habit::Standing, &told, 40.0);
    near(volume(&belief), 1500.0, 5.0);
    let misfit = belief.misfits.first().copied().unwrap();
    assert_eq!((belief.misfits.len(), misfit.id, misfit.why), (1, 4, Why::WrongReading));
}

#[test]
fn a_fall_that_stays_was_a_draw_nobody_logged() {
    let told = weekly(&[1500.0, 1498.0, 1501.0, 1452.0, 1451.0, 1453.0]);
    let belief = after(tank(), Habit::Standing, &told, 40.0);
    near(volume(&belief), 1452.0, 6.0);
    let misfit = belief.misfits.first().copied().unwrap();
    assert_eq!((belief.misfits.len(), misfit.id, misfit.why), (1, 4, Why::UnloggedDraw));
    assert!(belief.leak.is_none());
}

#[test]
fn a_rise_that_stays_was_a_fill_nobody_logged() {
    let told = weekly(&[900.0, 898.0, 901.0, 1691.0, 1693.0, 1694.0]);
    let belief = after(tank(), Habit::Standing, &told, 40.0);
    near(volume(&belief), 1693.0, 6.0);
    assert_eq!(belief.misfits.first().map(|misfit| (misfit.id, misfit.why)), Some((4, Why::UnloggedFill)));
}

#[test]
fn a_fall_that_goes_on_is_a_leak_until_it_is_mended() {
    // 5 L a day from day 21.3 on: 35 mm a week.
    let mut depths = vec![1500.0, 1499.0, 1501.0, 1500.0, 1465.0, 1430.0, 1395.0, 1360.0, 1325.0];
    let belief = after(tank(), Habit::Standing, &weekly(&depths), 57.0);
    let leak = belief.leak.unwrap();
    near(as_litres_per_day(leak.rate.mean), 5.0, 3.0 * as_litres_per_day(leak.rate.sd));
    near(as_days(leak.since.since(DAY_0)), 21.3, 2.0);
    assert!(belief.misfits.is_empty());
    depths.extend([1325.0; 12]);
    let belief = after(tank(), Habit::Standing, &weekly(&depths), 141.0);
    assert!(belief.leak.is_none(), "mended, and still claimed: {:?}", belief.leak);
    near(volume(&belief), 1325.0, 5.0);
}

#[test]
fn a_leak_runs_to_the_last_drop_and_no_further() {
    let told = weekly(&[1500.0, 1500.0, 1500.0, 1150.0, 800.0, 450.0, 100.0, 0.0, 0.0]);
    let belief = after(tank(), Habit::Standing, &told, 57.0);
    near(volume(&belief), 0.0, 1.0);
    let leak = belief.leak.unwrap();
    near(as_litres_per_day(leak.rate.mean), 50.0, 2.0);
}

#[test]
fn a_counter_tells_use_and_a_vessel_in_use_never_leaks() {
    // 30 L a day by the counter, and the level agrees.
    let told: Vec<(f64, What)> = (0_u32..8)
        .flat_map(|week| {
            let (day, ran) = (7.0 * f64::from(week), 210.0 * f64::from(week));
            [(day, dip(1690.0 - ran)), (day, What::Counter(litres(1000.0 + ran)))]
        })
        .collect();
    let belief = after(tank(), Habit::InUse, &told, 50.0);
    let usage = belief.usage.unwrap();
    near(as_litres_per_day(usage.mean), 30.0, 2.0 * as_litres_per_day(usage.sd));
    // a day's use is not told from the counter's last reading: 0.35 · 30 L and what the dip errs
    near(volume(&belief), 1690.0 - 7.0 * 210.0 - 30.0, 10.0);
    assert!(belief.leak.is_none());
}

#[test]
fn a_year_without_an_entry_leaves_a_vessel_in_use_unknown() {
    let belief = after(tank(), Habit::InUse, &weekly(&[1600.0, 1400.0, 1200.0]), 400.0);
    assert!(sd(&belief) > 0.25 * 1700.0);
    assert!(as_litres(belief.level.low) >= 0.0);
}

#[test]
fn what_was_poured_errs_by_its_method() {
    // 100 L by the bucket, 2 %: 2 L beside the dips' 2 L (four of 4 mm).
    let mut told = weekly(&[500.0, 500.0, 500.0, 500.0]);
    told.push((22.0, What::In { volume: litres(100.0), by: Method::Bucket }));
    let belief = after(tank(), Habit::Standing, &told, 22.0);
    near(volume(&belief), 600.0, 0.5);
    near(sd(&belief), 8.0_f64.sqrt(), 0.4);
}

#[test]
fn what_makes_no_sense_is_refused_and_changes_nothing() {
    let mut all = Explanations::new(tank(), Habit::Standing, DAY_0);
    let before = all.at(DAY_0);
    let bad = [
        dip(1701.0),
        dip(f64::NAN),
        What::Dip { member: 1, depth: millimetres(1.0), from: End::Floor },
        What::Sensor(millimetres(-1.0)),
        What::Eye(f64::INFINITY),
        What::Sight(litres(-1.0)),
        What::In { volume: litres(f64::NAN), by: Method::Meter },
    ];
    for what in bad {
        assert!(all.tell(&Entry { id: 1, at: DAY_0, what }).is_err(), "{what:?}");
    }
    assert_eq!(all.at(DAY_0), before);
    let twice = [Entry { id: 7, at: DAY_0, what: What::Top }, Entry { id: 7, at: DAY_0, what: What::OutUnknown }];
    assert_eq!(believe(&tank(), Habit::Standing, DAY_0, &twice, &[DAY_0]), Err(EntryError::Twice(7)));
}

#[test]
fn the_working_ends_in_the_belief() {
    let told = weekly(&[1500.0, 1499.0, 1465.0, 1430.0, 1395.0]);
    let mut all = Explanations::new(tank(), Habit::Standing, DAY_0);
    for (id, &(day, what)) in (1..).zip(&told) {
        all.tell(&Entry { id, at: DAY_0.after(days(day)), what }).unwrap();
    }
    let now = DAY_0.after(days(30.0));
    let (belief, working) = (all.at(now), all.outlook().working(now));
    let step = working.steps.iter().find(|step| step.words == "all together").unwrap();
    assert_eq!((step.figure.value, step.figure.sd), (volume(&belief), Some(sd(&belief))));
    assert!(belief.leak.is_some());
    assert!(working.steps.iter().any(|step| step.words == "what leaks"));
}

#[test]
fn what_was_brought_to_a_mark_stands_there() {
    let to = |volume, sd| What::To { volume: litres(volume), sd: litres(sd) };
    let told = [(0.5, dip(900.0)), (1.5, to(120.0, 12.0))];
    let belief = after(tank(), Habit::Standing, &told, 2.0);
    near(volume(&belief), 120.0, 1e-6);
    near(sd(&belief), 12.0, 1e-6);
    // By hand: a dip of 4 mm and 1 mm/√12, so 4.01 L, weighed against the 12 L: (120/144 + 130/16.08)/(1/144 + 1/16.08).
    let told = [(0.5, dip(900.0)), (1.5, to(120.0, 12.0)), (1.6, dip(130.0)), (1.7, dip(130.0))];
    let belief = after(tank(), Habit::Standing, &told, 2.0);
    near(volume(&belief), 129.5, 0.3);
    assert!(belief.misfits.is_empty());
    let all = Explanations::new(tank(), Habit::Standing, DAY_0);
    for bad in [f64::NAN, -1.0, f64::INFINITY] {
        for what in [to(bad, 1.0), to(1.0, bad)] {
            assert!(all.clone().tell(&Entry { id: 1, at: DAY_0, what }).is_err());
        }
    }
}

#[test]
fn the_top_is_the_full_mark_where_there_is_one() {
    // By hand: a litre a millimetre, so 0 to 10 L under 1,500 L, evenly: 1,495 ± 10/√12 = 2.9 L.
    let told = [(0.5, dip(900.0)), (1.5, What::Top)];
    let belief = after(tank().filled_to(litres(1500.0)).unwrap(), Habit::Standing, &told, 2.0);
    near(volume(&belief), 1495.0, 1e-6);
    near(sd(&belief), 2.887, 1e-3);
}

#[test]
fn what_may_have_been_drawn_unlogged_widens_after_two_months() {
    let told = [(0.0, dip(900.0)), (1.0, dip(900.0))];
    let unlogged = |habit, day| {
        let mut all = Explanations::new(tank(), habit, DAY_0);
        for (id, &(day, what)) in (1..).zip(&told) {
            all.tell(&Entry { id, at: DAY_0.after(days(day)), what }).unwrap();
        }
        crate::quantity::as_litres(all.outlook().unlogged(DAY_0.after(days(day))))
    };
    // By hand: ln(10/9)/(0.012/7) = 61.5 days; 100 days later 100·0.012/7·(100² + 100·20 + 20²)/3 = 708.6, its root.
    near(unlogged(Habit::Standing, 62.4), 0.0, 1e-9);
    near(unlogged(Habit::Standing, 1.0 + 61.460_2 + 100.0), 26.62, 0.01);
    near(unlogged(Habit::InUse, 400.0), 0.0, 1e-9);
}
