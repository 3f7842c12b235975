//! Forecasts whose answer is known in closed form, or can be worked out by hand.

use super::*;
use crate::endurance::Change;
use crate::endurance::Event;
use crate::endurance::Heels;
use crate::endurance::Level;
use crate::endurance::Power;
use crate::endurance::Reach;
use crate::endurance::Stock;
use crate::endurance::Uses;
use crate::grade::Grade;
use crate::quantity::days;
use crate::quantity::hours;
use crate::quantity::litres;
use crate::quantity::litres_per_hour;

const DRAWS: u32 = 10_000;
/// The 90 % quantile of the standard normal distribution, from any table.
const Z: f64 = 1.2816;

/// Every draw of one site, in order.
pub(super) fn draws(site: &Site, question: &Question) -> Result<Vec<Drawn>, Refusal> {
    let (_, made) = forecast_on(core::slice::from_ref(site), question, &[])?;
    Ok(made.iter().flat_map(|draws| draws.each()).collect())
}

fn stock(id: &str, volume: f64) -> Stock {
    let heel = Heels { dip: Some(litres(0.0)), ..Heels::default() };
    Stock { id: id.to_owned(), grade: Grade::Drink, volume: litres(volume), heel }
}

/// Six people at 15 L by hand: 90 L a day. One stock of 900 L lasts 10 days.
pub(super) fn house(key: &str) -> Site {
    let reach = Reach { dip: true, ..Reach::default() };
    let run = Run {
        horizon: days(365.0),
        people: 6.0,
        levels: vec![Level { name: "hand".into(), reach, uses: Uses::litres(3.0, 6.0, 6.0, 0.0) }],
        stocks: vec![stock("tank", 900.0)],
        power: None,
        battery: None,
        treatment: None,
        keep_drinking: days(0.0),
        events: vec![],
    };
    let stocks = vec![Doubt::default()];
    Site {
        key: key.to_owned(),
        run,
        stocks,
        stocks_joint: 0.0,
        use_spread: 0.0,
        burn_spread: 0.0,
        sun_spread: 0.0,
        events: vec![],
    }
}

pub(super) fn question(target: f64) -> Question {
    Question { seed: 20, draws: DRAWS, target: days(target), outage: None, use_joint: 0.0 }
}

fn ration(site: &Site, question: &Question) -> [f64; 3] {
    let found = forecast(core::slice::from_ref(site), question).unwrap();
    let days = found.sites[0].outlook.ration;
    [days.p10, days.p50, days.p90].map(|day| as_days(day.at))
}

/// Five standard errors of a 10th, 50th and 90th percentile of 10,000 standard normal draws, √(p(1 − p)/n)/φ(z): 0.085 at
/// the ends, 0.063 in the middle.
fn near(got: [f64; 3], expected: [f64; 3], sd: f64) {
    for ((got, expected), error) in got.into_iter().zip(expected).zip([0.085, 0.063, 0.085]) {
        assert!((got - expected).abs() < error * sd, "{got}, expected {expected} within {}", error * sd);
    }
}

#[test]
fn one_uncertain_stock_has_the_percentiles_of_the_normal_distribution() {
    // 900 ± 90 L ÷ 90 L a day = 10 ± 1 days.
    let site = Site { stocks: vec![Doubt { sd: litres(90.0), brim: None }], ..house("a") };
    near(ration(&site, &question(10.0)), [10.0 - Z, 10.0, 10.0 + Z], 1.0);
}

#[test]
fn independent_errors_add_up_by_their_squares_and_joint_ones_straight() {
    // 900 ± 90 and 900 ± 120 L: √(90² + 120²) = 150 L apart, 90 + 120 = 210 L together; half of the variance together:
    // √(90² + 120² + 2 · 0.5 · 90 · 120) = √33,300 = 182.5 L.
    for (joint, sd) in [(0.0, 150.0), (1.0, 210.0), (0.5, 33_300.0_f64.sqrt())] {
        let mut site = house("a");
        site.run.stocks.push(stock("butt", 900.0));
        site.stocks = [90.0, 120.0].map(|sd| Doubt { sd: litres(sd), brim: None }).to_vec();
        site.stocks_joint = joint;
        let sd = sd / 90.0;
        near(ration(&site, &question(10.0)), [20.0 - Z * sd, 20.0, 20.0 + Z * sd], sd);
    }
}

#[test]
fn log_normal_use_has_the_percentiles_of_its_closed_form() {
    // s² = ln(1 + 0.3²) = 0.086178, s = 0.293560. Days = 10 ÷ exp(s·z − s²/2): the median is 10 · exp(0.043089) = 10.4403,
    // the others times exp(∓1.2816 · 0.293560) = 0.686401 and 1.456875: 7.1662 and 15.2102.
    let site = Site { use_spread: 0.3, ..house("a") };
    let got = ration(&site, &question(10.0));
    near(got.map(f64::ln), [7.1662_f64, 10.4403, 15.2102].map(f64::ln), 0.293_56);
}

#[test]
fn spread_of_the_burn_spreads_the_days_at_the_tap_alone() {
    // 12 L ÷ (0.5 L/h × 12 h) = 2 days by pump, spread as its burn is; the rest is dipped, whatever was burnt.
    let mut site = house("a");
    let tap = Reach { pump: true, ..Reach::default() };
    site.run.levels.insert(0, Level { name: "tap".into(), reach: tap, uses: Uses::litres(3.0, 6.0, 6.0, 6.0) });
    site.run.stocks[0].heel.pump = Some(litres(0.0));
    site.run.power = Some(Power { fuel: Some(litres(12.0)), burn: litres_per_hour(0.5), hours_a_day: hours(12.0) });
    site.burn_spread = 0.2;
    // s² = ln 1.04 = 0.0392207, s = 0.198042; median 2 · exp(0.0196104) = 2.03961
    let got = ration(&site, &question(2.0));
    near(got.map(f64::ln), [-1.0, 0.0, 1.0].map(|side| 2.03961_f64.ln() + side * Z * 0.198_042), 0.198_042);
}

#[test]
fn a_delivery_that_may_not_come_is_binomial() {
    // 900 L last 10 days; 450 L more on day 4 would make 15. It comes 7 times in 10: the 10th percentile is 10 days, the
    // 50th and 90th 15, and 7 in 10 draws reach 12 days within five of √(0.7 · 0.3/10,000) = 0.0046.
    let mut site = house("a");
    site.run.events = vec![Event { at: days(4.0), change: Change::AddWater { stock: 0, volume: litres(450.0) } }];
    site.events = vec![Coming { comes: 0.7, ..Coming::SURE }];
    let got = ration(&site, &question(12.0));
    assert!(got.into_iter().zip([10.0, 15.0, 15.0]).all(|(got, expected)| (got - expected).abs() < 1e-6), "{got:?}");
    let found = forecast(&[site], &question(12.0)).unwrap();
    assert!((found.sites[0].outlook.ration_reaches.part() - 0.7).abs() < 0.023);
    assert_eq!(found.sites[0].outlook.ration_reaches, found.first.ration_reaches, "the only site is the first");
}

#[test]
fn a_delivery_comes_late_as_waiting_times_do() {
    // Six days of water, a delivery due on day 4 and late by 2 days on average: in time unless later than 2 days, which is
    // exp(−1) = 0.3679 of the time.
    let mut site = house("a");
    site.run.stocks[0].volume = litres(540.0);
    site.run.events = vec![Event { at: days(4.0), change: Change::AddWater { stock: 0, volume: litres(450.0) } }];
    site.events = vec![Coming { late: days(2.0), ..Coming::SURE }];
    let found = forecast(&[site], &question(8.0)).unwrap();
    assert!((found.sites[0].outlook.ration_reaches.part() - (1.0 - 0.3679)).abs() < 0.025);
}

#[test]
fn by_hand_two_houses_of_which_the_worse_is_the_first() {
    // Each lasts 10 days, or 15 if its own delivery comes, half of the time. The first person goes without on day 10 unless
    // both come: 1 in 4. Pooled is 1,800 ÷ 180 = 10 days, with one delivery, half of the time, 2,250 ÷ 180 = 12.5, with both 15.
    let with = |key: &str| {
        let mut site = house(key);
        site.run.events = vec![Event { at: days(4.0), change: Change::AddWater { stock: 0, volume: litres(450.0) } }];
        site.events = vec![Coming { comes: 0.5, ..Coming::SURE }];
        site
    };
    let found = forecast(&[with("a"), with("b")], &question(12.0)).unwrap();
    assert!((found.first.ration_reaches.part() - 0.25).abs() < 0.022, "five of √(0.25 · 0.75/10,000)");
    let pooled = found.pooled.unwrap();
    for (day, by_hand) in [(pooled.p10, 10.0), (pooled.p50, 12.5), (pooled.p90, 15.0)] {
        assert!((as_days(day.at) - by_hand).abs() < 1e-9 && !day.at_least, "{day:?}");
    }
    // of equal days the earlier in the list is named: b alone without a delivery is 1 in 4, all else is a
    let [a, b] = [0, 1].map(|site: usize| found.sites[site].first.part());
    assert!((a - 0.75).abs() < 0.022 && (b - 0.25).abs() < 0.022 && (a + b - 1.0).abs() < 1e-12);
}

#[test]
fn by_hand_pooled_when_the_need_changes() {
    // 900 L at 90 a day, from day 4 on at 180: 540 L are left then, 3 days more.
    let mut site = house("a");
    let hot = Uses::litres(6.0, 12.0, 12.0, 0.0);
    site.run.events = vec![Event { at: days(4.0), change: Change::Uses { level: 0, uses: hot } }];
    site.events = vec![Coming::SURE];
    let found = forecast(&[site], &question(12.0)).unwrap();
    let pooled = found.pooled.unwrap();
    assert!([pooled.p10, pooled.p90].iter().all(|day| (as_days(day.at) - 7.0).abs() < 1e-9), "{pooled:?}");
}

#[test]
fn the_outage_may_be_over_before_the_water_is() {
    // 10 days of water; half of the outages are over in 5 days, nine in ten in 10: it lasts through 9 in 10.
    let outage = Some(Outage { half_over: days(5.0), nine_in_ten_over: days(10.0) });
    let found = forecast(&[house("a")], &Question { outage, ..question(7.0) }).unwrap();
    let through = found.first.through.unwrap();
    assert!((through.ration.part() - 0.9).abs() < 0.015, "five of √(0.9 · 0.1/10,000)");
    assert_eq!(through.ration, through.water);
    assert_eq!(found.beyond_horizon.map(Chance::part), Some(0.0));
    // an end that is known: 10 days are enough for 10, and not for 10.5
    for (known, chance) in [(10.0, 1.0), (10.5, 0.0)] {
        let outage = Some(Outage { half_over: days(known), nine_in_ten_over: days(known) });
        let found = forecast(&[house("a")], &Question { outage, draws: 10, ..question(7.0) }).unwrap();
        assert!((found.first.through.unwrap().ration.part() - chance).abs() < 1e-12);
    }
}

#[test]
fn what_lasts_to_the_horizon_is_at_least_that() {
    let mut site = house("a");
    site.run.horizon = days(9.0);
    site.stocks[0].sd = litres(90.0);
    let found = forecast(&[site.clone()], &question(9.0)).unwrap();
    let ration = found.sites[0].outlook.ration;
    assert!(!ration.p10.at_least && ration.p50.at_least && ration.p90.at_least);
    assert_eq!((ration.p50.at, found.first.ration.p90.at), (days(9.0), days(9.0)));
    assert!(draws(&site, &question(9.0)).unwrap().iter().any(|drawn| drawn.ration_ends.is_none()));
    // nobody anywhere: nobody goes without, and nothing is pooled
    site.run.people = 0.0;
    let found = forecast(&[site], &question(9.0)).unwrap();
    assert!(found.first.ration.p10.at_least && found.pooled.is_none());
    let none = forecast(&[], &question(9.0)).unwrap();
    assert!(none.first.dry.p10.at_least && none.pooled.is_none() && none.sites.is_empty());
}

#[test]
fn no_draw_has_more_than_the_vessel_holds_or_less_than_nothing() {
    let mut site = house("a");
    site.stocks[0] = Doubt { sd: litres(900.0), brim: Some(litres(990.0)) };
    let all = draws(&site, &question(9.0)).unwrap();
    let ends: Vec<f64> = all.iter().filter_map(|drawn| drawn.ration_ends).map(as_days).collect();
    assert_eq!(ends.len(), all.len());
    assert!(ends.iter().all(|day| (0.0..=11.0 + 1e-9).contains(day)));
    // φ: below 0 is z < −1, 0.1587 of the time; above 990 L z > 0.1, 0.4602
    let part = |which: fn(&&f64) -> bool| ends.iter().filter(which).count() as f64 / f64::from(DRAWS);
    assert!((part(|day| **day < 1e-9) - 0.1587).abs() < 0.019);
    assert!((part(|day| **day > 11.0 - 1e-9) - 0.4602).abs() < 0.025);
}

#[test]
fn what_cannot_be_forecast_is_refused_by_name() {
    type Spoil = fn(&mut Site, &mut Question);
    let spoilt: [(Spoil, &str); 14] = [
        (|_, question| question.draws = 0, "number of draws is 0; allowed is 1 to 10000"),
        (|_, question| question.target = days(f64::NAN), "target is NaN"),
        (|_, question| question.target = days(400.0), "target is 400; allowed is no more than the horizon"),
        (|_, question| question.use_joint = 1.5, "all share is 1.5"),
        (
            |_, question| question.outage = Some(Outage { half_over: days(5.0), nine_in_ten_over: days(4.0) }),
            "nine in ten such outages are over is 4",
        ),
        (|site, _| site.use_spread = -0.1, "spread of use of site number 0, counted from 0, is -0.1"),
        (|site, _| site.burn_spread = f64::INFINITY, "spread of fuel burnt of site number 0, counted from 0, is inf"),
        (|site, _| site.stocks_joint = f64::NAN, "all stocks share of site number 0"),
        (|site, _| site.stocks[0].sd = litres(-1.0), "standard deviation of a stock of site number 0"),
        (
            |site, _| site.stocks[0].brim = Some(litres(500.0)),
            "brim of a stock of site number 0, counted from 0, is 500",
        ),
        (|site, _| site.stocks.clear(), "has 0 doubts of stocks; allowed is 1"),
        (|site, _| site.events.push(Coming::SURE), "has 1 chances of events; allowed is 0"),
        (|site, _| site.run.people = f64::NAN, "site number 0, counted from 0: people is NaN"),
        (
            |site, _| {
                site.run.events.push(Event { at: days(1.0), change: Change::AddFuel(litres(1.0)) });
                site.events.push(Coming { comes: 1.1, ..Coming::SURE });
            },
            "chance that something comes of site number 0, counted from 0, is 1.1",
        ),
    ];
    for (spoil, words) in spoilt {
        let (mut site, mut question) = (house("a"), question(9.0));
        spoil(&mut site, &mut question);
        let refusal = forecast(&[site], &question).unwrap_err().to_string();
        assert!(refusal.contains(words) && refusal.contains("allowed"), "{refusal:?} does not say {words:?}");
    }
    let twice = forecast(&[house("a"), house("a")], &question(9.0)).unwrap_err().to_string();
    assert_eq!(twice, "two sites have the key \"a\"; allowed is once");
    let mut other = house("b");
    other.run.horizon = days(30.0);
    assert!(
        forecast(&[house("a"), other], &question(9.0)).unwrap_err().to_string().contains("horizon of site number 1")
    );
}

#[test]
fn two_sites_agree_with_a_simulation_written_apart() {
    // NumPy 2.4.6, four million draws: tests/published/forecast_numpy.py has the case in words and prints these.
    let tap = Reach { pump: true, ..Reach::default() };
    let site = |key: &str, volume: f64, sd: f64| {
        let mut site = house(key);
        site.run.people = 20.0;
        site.run.levels = vec![Level { name: "tap".into(), reach: tap, uses: Uses::litres(3.0, 6.0, 6.0, 0.0) }];
        site.run.stocks = vec![stock("tank", volume)];
        site.run.stocks[0].heel = Heels { pump: Some(litres(0.0)), ..Heels::default() };
        site.run.power = Some(Power { fuel: None, burn: litres_per_hour(0.3), hours_a_day: hours(16.0) });
        site.stocks = vec![Doubt { sd: litres(sd), brim: None }];
        site.use_spread = 0.15;
        site
    };
    let upper = site("upper", 3000.0, 300.0);
    let mut lower = site("lower", 2400.0, 60.0);
    lower.run.power = lower.run.power.map(|power| Power { fuel: Some(litres(40.0)), ..power });
    lower.burn_spread = 0.1;
    let question = Question { use_joint: 0.5, ..question(8.0) };
    let found = forecast(&[upper, lower], &question).unwrap();
    let [upper, lower] = [0, 1].map(|place| found.sites[place].outlook);
    let days = |days: Days| [days.p10, days.p50, days.p90].map(|day| as_days(day.at));
    // a spread is the distance from the middle to the ends over 1.2816
    near(days(upper.ration), [7.9785, 10.0766, 12.6552], 1.82);
    near(days(lower.ration), [6.6137, 7.7037, 8.7467], 0.83);
    near(days(found.first.ration), [6.5788, 7.6669, 8.7020], 0.83);
    near(days(found.pooled.unwrap()), [7.5587, 9.0625, 10.8535], 1.29);
    // five of √(p · (1 − p)/10,000)
    for (chance, expected) in
        [(upper.ration_reaches, 0.8974), (lower.ration_reaches, 0.3577), (found.first.ration_reaches, 0.3401)]
    {
        assert!((chance.part() - expected).abs() < 0.025, "{chance:?}, expected {expected}");
    }
}

#[test]
fn by_hand_the_spread_of_the_sun_is_one_sky_over_all() {
    // A pump on 1 kWh of battery at 1 kWh a day less s of sun lasts 1 ÷ (1 − s) days. Log-normal with spread 0.35 and mean 1:
    // σ = √ln(1 + 0.35²) = 0.34, median exp(−σ²/2) = 0.9438; the 10th percentile is 0.9438 · exp(−1.2816 σ) = 0.6105. Of 0.5 kWh
    // that is 0.3052 and 0.4719: 1.439 days and 1.893.
    let with = |key: &str| {
        let mut site = house(key);
        let reach = Reach { pump: true, ..Reach::default() };
        site.run.levels[0].reach = reach;
        site.run.stocks[0].heel.pump = Some(litres(0.0));
        let [now, full, asked, sun] = [1.0, 9.0, 1.0, 0.5].map(crate::quantity::kilowatt_hours);
        site.run.battery = Some(crate::endurance::Battery { now, full, asked, sun, after_dark: 0.0 });
        site.sun_spread = 0.35;
        site
    };
    let found = forecast(&[with("a"), with("b")], &question(2.0)).unwrap();
    let ration = found.sites[0].outlook.ration;
    assert!(
        (as_days(ration.p10.at) - 1.439).abs() < 0.015 && (as_days(ration.p50.at) - 1.893).abs() < 0.03,
        "{ration:?}"
    );
    // the worse of two houses under one sky is as either
    assert_eq!(found.first.ration.p10, ration.p10);
}
