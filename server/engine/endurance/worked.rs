//! Ten small runs, each worked out by hand beside it. Litres, people and days only; nothing is taken from the program.

use super::*;
use crate::quantity::as_litres;
use crate::quantity::hours;
use crate::quantity::litres_per_hour;

/// Name, ways, and litres a person a day: to drink, to cook and wash with, to flush with.
type Gives<'a> = (&'a str, &'a [Way], [f64; 3]);
/// Id, grade, litres, and what each way leaves behind.
type Holds<'a> = (&'a str, Grade, f64, &'a [(Way, f64)]);

/// Ten people.
fn ten_people(levels: &[Gives<'_>], stocks: &[Holds<'_>]) -> Run {
    Run {
        horizon: days(100.0),
        people: 10.0,
        levels: levels
            .iter()
            .map(|(name, ways, [drink, cook, flush])| Level {
                name: (*name).to_owned(),
                reach: ways.iter().copied().collect(),
                uses: Uses::litres(*drink, *cook, 0.0, *flush),
            })
            .collect(),
        stocks: stocks
            .iter()
            .map(|(id, grade, volume, heels)| Stock {
                id: (*id).to_owned(),
                grade: *grade,
                volume: litres(*volume),
                heel: heels.iter().map(|(way, heel)| (*way, litres(*heel))).collect(),
            })
            .collect(),
        power: None,
        battery: None,
        treatment: None,
        keep_drinking: days(0.0),
        events: vec![],
    }
}

/// So many litres of fuel at 1 L/h, 2 hours a day: 2 L a day.
fn fuel(volume: f64) -> Option<Power> {
    Some(Power { fuel: Some(litres(volume)), burn: litres_per_hour(1.0), hours_a_day: hours(2.0) })
}

const TAP: Gives<'_> = ("tap", &[Way::Pump], [3.0, 12.0, 0.0]);
const HAND: Gives<'_> = ("hand", &[Way::Gravity, Way::Dip], [3.0, 4.5, 0.0]);

/// The spans as level, end and cause; the days at the ration and to dry.
fn holds(run: &Run, spans: &[(Option<usize>, f64, Cause)], at_ration: f64, to_dry: f64) -> Timeline {
    let timeline = super::run(run).unwrap();
    let same = |one: f64, other: f64| (one - other).abs() < 1e-9;
    let got: Vec<_> = timeline.spans.iter().map(|span| (span.level, as_days(span.to), span.cause)).collect();
    assert_eq!(got.len(), spans.len(), "{got:?}");
    for (got, expected) in got.iter().zip(spans) {
        assert!(
            (got.0, got.2) == (expected.0, expected.2) && same(got.1, expected.1),
            "{got:?}, expected {expected:?}"
        );
    }
    assert!(same(as_days(timeline.days_at_ration), at_ration), "days at the ration");
    assert!(same(as_days(timeline.days_to_dry), to_dry), "days to dry");
    timeline
}

fn leaves(timeline: &Timeline, expected: &[f64]) {
    let left: Vec<f64> = timeline.left.iter().map(|left| as_litres(*left)).collect();
    assert!(
        left.len() == expected.len() && left.iter().zip(expected).all(|(one, other)| (one - other).abs() < 1e-6),
        "{left:?}"
    );
}

#[test]
fn fuel_is_spent_first() {
    // 6 L ÷ 2 L a day = 3 d at the tap, 3 × 150 = 450 L; 1,950 − 450 = 1,500 L ÷ 75 L a day by hand = 20 d; dry on day 23.
    let mut run = ten_people(&[TAP, HAND], &[("tank", Grade::Drink, 1950.0, &[(Way::Pump, 0.0), (Way::Dip, 0.0)])]);
    run.power = fuel(6.0);
    let spans = [(Some(0), 3.0, Cause::Fuel), (Some(1), 23.0, Cause::Water), (None, 100.0, Cause::Horizon)];
    leaves(&holds(&run, &spans, 3.0, 23.0), &[0.0]);
}

#[test]
fn media_are_spent_first() {
    // Rain before cans: 375 L of media ÷ 75 L a day = 5 d; the cans, 150 L ÷ 75 = 2 d more; then 3,000 − 375 = 2,625 L of
    // rain stand there that nobody can drink.
    let stocks: [Holds<'_>; 2] =
        [("rain", Grade::Treat, 3000.0, &[(Way::Dip, 0.0)]), ("cans", Grade::Drink, 150.0, &[(Way::Dip, 0.0)])];
    let mut run = ten_people(&[HAND], &stocks);
    run.treatment = Some(Treatment { media: Some(litres(375.0)), needs_power: false });
    leaves(&holds(&run, &[(Some(0), 7.0, Cause::Media), (None, 100.0, Cause::Horizon)], 7.0, 7.0), &[2625.0, 0.0]);
}

#[test]
fn the_lamp_goes_out_with_the_fuel() {
    // The lamp needs power: 4 L ÷ 2 = 2 d at the tap on rain, 300 L; then the cans by hand, 150 ÷ 75 = 2 d; dry on day 4 with
    // 2,700 L of rain in reach.
    let stocks: [Holds<'_>; 2] = [
        ("rain", Grade::Treat, 3000.0, &[(Way::Pump, 0.0), (Way::Dip, 0.0)]),
        ("cans", Grade::Drink, 150.0, &[(Way::Dip, 0.0)]),
    ];
    let mut run = ten_people(&[TAP, HAND], &stocks);
    run.power = fuel(4.0);
    run.treatment = Some(Treatment { media: None, needs_power: true });
    // by hand the rain cannot be treated, so for the end of the hand level no treatment there is missing: it ends by water
    let spans = [(Some(0), 2.0, Cause::Fuel), (Some(1), 4.0, Cause::Water), (None, 100.0, Cause::Horizon)];
    leaves(&holds(&run, &spans, 2.0, 4.0), &[2700.0, 0.0]);
}

#[test]
fn a_gravity_outlet_at_half_height_saves_half() {
    // No pump runs. 1,500 L with the outlet at half: 750 ÷ 75 = 10 d, and 750 L stay. Dipped as well: 1,500 ÷ 75 = 20 d.
    let mut run =
        ten_people(&[TAP, HAND], &[("tank", Grade::Drink, 1500.0, &[(Way::Pump, 0.0), (Way::Gravity, 750.0)])]);
    leaves(&holds(&run, &[(Some(1), 10.0, Cause::Water), (None, 100.0, Cause::Horizon)], 0.0, 10.0), &[750.0]);
    run.stocks[0].heel.dip = Some(litres(0.0));
    leaves(&holds(&run, &[(Some(1), 20.0, Cause::Water), (None, 100.0, Cause::Horizon)], 0.0, 20.0), &[0.0]);
}

#[test]
fn utility_water_ends_before_drinking_water() {
    // 150 L a day to drink, cook and wash, 100 to flush: 500 L of butt water last 5 d, and 3,000 − 5 × 150 = 2,250 L are left;
    // from then on 250 L a day of it: 9 d, to day 14.
    let house: Gives<'_> = ("house", &[Way::Gravity], [3.0, 12.0, 10.0]);
    let stocks: [Holds<'_>; 2] = [
        ("tank", Grade::Drink, 3000.0, &[(Way::Gravity, 0.0)]),
        ("butt", Grade::Utility, 500.0, &[(Way::Gravity, 0.0)]),
    ];
    let run = ten_people(&[house], &stocks);
    leaves(&holds(&run, &[(Some(0), 14.0, Cause::Water), (None, 100.0, Cause::Horizon)], 14.0, 14.0), &[0.0, 0.0]);
}

#[test]
fn a_delivery_on_day_3_comes_in_time() {
    // 450 L ÷ 75 = 6 d; with 300 L more on day 3, 750 ÷ 75 = 10 d, and no one notices.
    let mut run = ten_people(&[HAND], &[("tank", Grade::Drink, 450.0, &[(Way::Dip, 0.0)])]);
    run.events = vec![Event { at: days(3.0), change: Change::AddWater { stock: 0, volume: litres(300.0) } }];
    holds(&run, &[(Some(0), 10.0, Cause::Water), (None, 100.0, Cause::Horizon)], 10.0, 10.0);
}

#[test]
fn a_delivery_after_dry_does_not_move_the_first_dry_day() {
    // 225 L ÷ 75 = 3 d, dry; 150 L on day 5 last 2 d, to day 7; dry again.
    let mut run = ten_people(&[HAND], &[("tank", Grade::Drink, 225.0, &[(Way::Dip, 0.0)])]);
    run.events = vec![Event { at: days(5.0), change: Change::AddWater { stock: 0, volume: litres(150.0) } }];
    let spans = [
        (Some(0), 3.0, Cause::Water),
        (None, 5.0, Cause::Event),
        (Some(0), 7.0, Cause::Water),
        (None, 100.0, Cause::Horizon),
    ];
    holds(&run, &spans, 3.0, 3.0);
}

#[test]
fn the_ration_changes_on_day_2() {
    // 2 d × 75 = 150 L; 1,050 − 150 = 900 L at 3 L each, 30 a day: 30 d more, to day 32. The ration was cut, not missed.
    let mut run = ten_people(&[HAND], &[("tank", Grade::Drink, 1050.0, &[(Way::Dip, 0.0)])]);
    let lean = Uses::litres(3.0, 0.0, 0.0, 0.0);
    run.events = vec![Event { at: days(2.0), change: Change::Uses { level: 0, uses: lean } }];
    holds(&run, &[(Some(0), 32.0, Cause::Water), (None, 100.0, Cause::Horizon)], 32.0, 32.0);
}

#[test]
fn two_grades_and_one_pump() {
    // At the tap first what no hand could drink: 300 L of rain ÷ 150 = 2 d under the lamp; then the tank for the third day of
    // fuel, 6 L ÷ 2 = 3 d: 975 − 150 = 825 L ÷ 75 = 11 d by hand; dry on day 14.
    let stocks: [Holds<'_>; 2] = [
        ("tank", Grade::Drink, 975.0, &[(Way::Pump, 0.0), (Way::Dip, 0.0)]),
        ("rain", Grade::Treat, 300.0, &[(Way::Pump, 0.0), (Way::Dip, 0.0)]),
    ];
    let mut run = ten_people(&[TAP, HAND], &stocks);
    run.power = fuel(6.0);
    run.treatment = Some(Treatment { media: None, needs_power: true });
    let spans = [(Some(0), 3.0, Cause::Fuel), (Some(1), 14.0, Cause::Water), (None, 100.0, Cause::Horizon)];
    leaves(&holds(&run, &spans, 3.0, 14.0), &[0.0, 0.0]);
}

#[test]
fn five_days_of_drinking_are_kept() {
    // Kept: 10 × 3 L × 5 d = 150 L. (750 − 150) ÷ 150 = 4 d at the tap; by hand would touch the 150 L too; so they are drunk,
    // 150 ÷ 30 = 5 d, to day 9. Fuel, 2 L a day of 20, is not what ends it.
    let drinking: Gives<'_> = ("drinking", &[Way::Dip], [3.0, 0.0, 0.0]);
    let stock: Holds<'_> = ("tank", Grade::Drink, 750.0, &[(Way::Pump, 0.0), (Way::Dip, 0.0)]);
    let mut run = ten_people(&[TAP, HAND, drinking], &[stock]);
    run.power = fuel(20.0);
    run.keep_drinking = days(5.0);
    let spans = [(Some(0), 4.0, Cause::Keep), (Some(2), 9.0, Cause::Water), (None, 100.0, Cause::Horizon)];
    let timeline = holds(&run, &spans, 4.0, 9.0);
    assert!(timeline.fuel_left.is_some_and(|left| (as_litres(left) - 12.0).abs() < 1e-9), "20 − 4 × 2");
}
