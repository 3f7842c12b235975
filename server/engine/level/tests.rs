//! Hand-calculated levels, and laws that hold for any entries.

use proptest::prelude::*;

use super::*;
use crate::quantity::days;
use crate::quantity::metres;

const BRIM: f64 = 1922.65;

fn day(day: f64) -> Moment {
    Moment::from_micros(1_700_000_000_000_000).after(days(day))
}

fn tank() -> Level {
    Level::new(litres(BRIM), litres(BRIM)).unwrap()
}

/// A tank that was dipped on day 0 at `volume` ± `sd`.
fn dipped(volume: f64, sd: f64) -> Level {
    let mut level = tank();
    read(&mut level, 0.0, volume, sd);
    level
}

fn read(level: &mut Level, on: f64, volume: f64, sd: f64) -> Fit {
    level.read(day(on), litres(volume), litres(sd)).unwrap()
}

fn fill(level: &mut Level, on: f64, volume: f64, sd: f64) -> Fit {
    level.fill(day(on), Some(litres(volume)), litres(sd)).unwrap()
}

fn draw(level: &mut Level, on: f64, volume: f64, sd: f64) -> Fit {
    level.draw(day(on), Some(litres(volume)), litres(sd)).unwrap()
}

fn volume(level: &Level, on: f64) -> f64 {
    as_litres(level.at(day(on)).volume)
}

fn sd(level: &Level, on: f64) -> f64 {
    as_litres(level.at(day(on)).sd)
}

#[track_caller]
fn near(got: f64, expected: f64, tolerance: f64) {
    assert!((got - expected).abs() <= tolerance, "{got} is not {expected} within {tolerance}");
}

#[test]
fn the_first_dip_of_an_upright_tank_is_taken_as_it_is() {
    // π/4 · 1.20² · 1.00 = 1.130973 m³, by hand; a 4 mm error on 1.130973 m² is 4.52 L.
    let surface = metres(1.130_973) * metres(1.0);
    let error = reading_sd(Method::Dipstick, surface, litres(1130.97), litres(BRIM)).unwrap();
    let mut level = tank();
    assert_eq!(level.read(day(0.0), litres(1130.97), error).unwrap(), Fit::Fits);
    near(volume(&level, 0.0), 1130.97, 1e-9);
    near(sd(&level, 0.0), 4.524, 0.001);
    let Estimate { low, high, .. } = level.at(day(0.0));
    near(as_litres(low), 1130.97 - 5.798, 0.001);
    near(as_litres(high), 1130.97 + 5.798, 0.001);
    assert_eq!(level.last_read(), Some(day(0.0)));
    near(level.age(day(9.0)).map_or(f64::NAN, as_days), 9.0, 1e-9);
}

#[test]
fn nothing_known_is_evenly_anywhere() {
    // JCGM 100:2008 4.3.7: limits 0 and b, evenly, have mean b/2 and standard deviation b/√12.
    let level = Level::new(litres(1200.0), litres(1100.0)).unwrap();
    near(volume(&level, 0.0), 600.0, 1e-9);
    near(sd(&level, 0.0), 346.410, 0.001);
    assert!(!level.is_known());
    assert!(level.is_stale(day(0.0)));
    assert_eq!(level.age(day(0.0)), None);
}

#[test]
fn two_readings_are_weighed_by_their_errors() {
    // By hand: (1000/10² + 1030/20²) / (1/10² + 1/20²) = 12.575/0.0125 = 1006; 1/√0.0125 = 8.944.
    let mut level = dipped(1000.0, 10.0);
    assert!(read(&mut level, 0.0, 1030.0, 20.0).fits());
    near(volume(&level, 0.0), 1006.0, 1e-9);
    near(sd(&level, 0.0), 8.944_27, 1e-5);
}

#[test]
fn a_surer_reading_outweighs_an_older_one() {
    // By hand: by eye 961 ± 138.8, then a dip of 1130.97 ± 4.52: weight of the dip 0.998 94.
    let mut level = dipped(961.0, 138.8);
    read(&mut level, 0.0, 1130.97, 4.52);
    near(volume(&level, 0.0), 1130.79, 0.01);
}

#[test]
fn a_reading_beyond_three_joint_deviations_wins_and_is_flagged() {
    // √(4² + 3²) = 5: 15 L off fits, 15.1 L does not.
    let mut level = dipped(1000.0, 4.0);
    assert!(read(&mut level.clone(), 0.0, 1015.0, 3.0).fits());
    let Fit::DoesNotFit { expected } = read(&mut level, 0.0, 1015.1, 3.0) else { panic!("it fitted") };
    near(as_litres(expected.volume), 1000.0, 1e-9);
    near(volume(&level, 0.0), 1015.1, 1e-9);
    near(sd(&level, 0.0), 3.0, 1e-9);
}

#[test]
fn the_band_widens_with_the_root_of_time_and_goes_stale() {
    // 0.0075 · 1922.65 = 14.42 L in a day, twice that in four.
    let level = dipped(1130.97, 0.0);
    near(sd(&level, 1.0), 14.420, 0.001);
    near(sd(&level, 4.0), 28.840, 0.001);
    near(volume(&level, 400.0), 1130.97, 1e-9);
    assert!(!level.is_stale(day(100.0)));
    // 2 · 1.2816 · 0.0075 · √t > 0.2 from t = 108.2 days
    assert!(level.is_stale(day(109.0)));
    // a question about a moment before the entry is one about the entry
    near(sd(&level, -10.0), 0.0, 1e-9);
}

#[test]
fn an_empty_vessel_stays_empty() {
    let mut level = dipped(300.0, 5.0);
    assert!(level.empty(day(1.0)).fits());
    near(volume(&level, 90.0), 0.0, 0.0);
    near(sd(&level, 90.0), 0.0, 0.0);
}

#[test]
fn fills_and_draws_add_their_errors_in_quadrature() {
    let mut level = dipped(1000.0, 3.0);
    assert!(fill(&mut level, 0.0, 100.0, 4.0).fits());
    near(volume(&level, 0.0), 1100.0, 1e-9);
    near(sd(&level, 0.0), 5.0, 1e-9);
    assert!(draw(&mut level, 0.0, 600.0, 12.0).fits());
    near(volume(&level, 0.0), 500.0, 1e-9);
    near(sd(&level, 0.0), 13.0, 1e-9);
}

#[test]
fn amounts_nobody_knows_widen_the_band() {
    let mut level = dipped(1000.0, 3.0);
    level.draw(day(0.0), None, litres(0.0)).unwrap();
    // log-normal, median 40, σ 0.7: mean 40·e^0.245 = 51.105, sd 51.105·√(e^0.49 − 1) = 40.64
    near(volume(&level, 0.0), 1000.0 - 51.105, 0.001);
    near(sd(&level, 0.0), 40.75, 0.01);
    // half way from there to full; (full − V)/√12 and s/√3 in quadrature
    level.fill(day(0.0), None, litres(0.0)).unwrap();
    near(volume(&level, 0.0), f64::midpoint(948.895, BRIM), 0.001);
    near(sd(&level, 0.0), 282.1, 0.1);
    // of 30 L nobody can have drawn 51
    let mut nearly_dry = dipped(30.0, 1.0);
    nearly_dry.draw(day(0.0), None, litres(0.0)).unwrap();
    near(volume(&nearly_dry, 0.0), 15.0, 1e-9);
}

#[test]
fn filled_to_the_top_is_within_ten_millimetres_of_it() {
    // 1.131 L a mm: 11.31 L of slack, the middle of it 5.65 L under full, sd 11.31/√12 = 3.265 L
    let mut level = tank();
    level.fill_to_top(day(0.0), litres(11.31)).unwrap();
    near(volume(&level, 0.0), 1916.995, 0.001);
    near(sd(&level, 0.0), 3.265, 0.001);
    assert!(level.is_known());
}

#[test]
fn a_draw_larger_than_the_estimate_corrects_it() {
    let mut level = dipped(50.0, 4.0);
    let Fit::DoesNotFit { expected } = draw(&mut level, 0.0, 80.0, 3.0) else { panic!("it fitted") };
    near(as_litres(expected.volume), 50.0, 1e-9);
    near(volume(&level, 0.0), 0.0, 0.0);
    // wherever the missed fill left it, the next reading is believed, and not flagged a second time
    assert!(read(&mut level, 0.0, 1700.0, 4.5).fits());
    near(volume(&level, 0.0), 1700.0, 0.1);
}

#[test]
fn a_draw_to_the_outlet_leaves_the_heel() {
    let mut level = dipped(900.0, 4.0);
    assert!(level.draw_to(day(0.0), litres(113.1)).unwrap().fits());
    near(volume(&level, 0.0), 113.1, 1e-9);
    near(sd(&level, 0.0), 11.31, 1e-9);
    let mut below = dipped(20.0, 4.0);
    assert!(!below.draw_to(day(0.0), litres(113.1)).unwrap().fits());
}

#[test]
fn a_fill_into_a_vessel_never_read_leaves_it_between_the_fill_and_the_brim() {
    let mut level = Level::new(litres(1000.0), litres(1000.0)).unwrap();
    fill(&mut level, 0.0, 600.0, 5.0);
    near(volume(&level, 0.0), 800.0, 1e-9);
    near(sd(&level, 0.0), 115.470, 0.001); // 400/√12
    assert!(!level.is_known());
}

#[test]
fn a_fill_over_the_brim_does_not_fit_and_stops_at_it() {
    let mut level = dipped(1800.0, 4.0);
    assert!(fill(&mut level.clone(), 0.0, 125.0, 3.0).fits());
    assert!(!fill(&mut level, 0.0, 300.0, 3.0).fits());
    near(volume(&level, 0.0), BRIM, 1e-9);
}

#[test]
fn what_is_not_a_volume_is_refused_by_name_and_changes_nothing() {
    let mut level = dipped(1000.0, 4.0);
    let before = level.clone();
    for bad in [f64::NAN, f64::INFINITY, -1.0, 1e300] {
        assert!(level.read(day(1.0), litres(bad), litres(1.0)).is_err());
        assert!(level.read(day(1.0), litres(1.0), litres(bad)).is_err());
        assert!(level.fill(day(1.0), Some(litres(bad)), litres(1.0)).is_err());
        assert!(level.draw(day(1.0), Some(litres(1.0)), litres(bad)).is_err());
        assert!(level.fill_to_top(day(1.0), litres(bad)).is_err());
        assert!(level.draw_to(day(1.0), litres(bad)).is_err());
        assert!(Level::new(litres(bad), litres(0.0)).is_err());
        assert!(Level::new(litres(10.0), litres(bad)).is_err());
    }
    assert_eq!(level, before);
    let error = Level::new(litres(100.0), litres(120.0)).unwrap_err();
    assert_eq!(error.to_string(), "volume at the full mark is 120 L; allowed is 0 to 100 L");
}

#[test]
fn the_working_ends_at_the_estimate_it_explains() {
    let mut level = dipped(1000.0, 10.0);
    read(&mut level, 2.0, 1030.0, 20.0);
    let working = level.working(day(5.0));
    let now = working.steps.iter().find(|step| step.words == "now").unwrap();
    near(now.figure.value, volume(&level, 5.0), 0.0);
    near(now.figure.sd.unwrap(), sd(&level, 5.0), 0.0);
    assert!(working.inputs.iter().any(|input| input.symbol == "t" && (input.figure.value - 3.0).abs() < 1e-9));
}

#[derive(Clone, Debug)]
enum Entry {
    Read(f64, f64),
    Fill(Option<f64>, f64),
    Top(f64),
    Draw(Option<f64>, f64),
    To(f64),
    Empty,
}

/// A refused entry leaves the level as it was, which is what is tested.
fn enter(level: &mut Level, at: Moment, entry: &Entry) {
    let _ = match *entry {
        Entry::Read(v, s) => level.read(at, litres(v), litres(s)),
        Entry::Fill(v, s) => level.fill(at, v.map(litres), litres(s)),
        Entry::Top(slack) => level.fill_to_top(at, litres(slack)),
        Entry::Draw(v, s) => level.draw(at, v.map(litres), litres(s)),
        Entry::To(heel) => level.draw_to(at, litres(heel)),
        Entry::Empty => Ok(level.empty(at)),
    };
}

/// Any number a float can be, and ordinary litres often enough to matter.
fn any_litres() -> impl Strategy<Value = f64> {
    prop_oneof![4 => 0.0..3000.0, 1 => any::<f64>(), 1 => Just(0.0)]
}

fn any_entry() -> impl Strategy<Value = Entry> {
    prop_oneof![
        (any_litres(), any_litres()).prop_map(|(v, s)| Entry::Read(v, s)),
        (proptest::option::of(any_litres()), any_litres()).prop_map(|(v, s)| Entry::Fill(v, s)),
        any_litres().prop_map(Entry::Top),
        (proptest::option::of(any_litres()), any_litres()).prop_map(|(v, s)| Entry::Draw(v, s)),
        any_litres().prop_map(Entry::To),
        Just(Entry::Empty),
    ]
}

proptest! {
    #[test]
    fn a_level_is_always_within_its_vessel(
        brim in prop_oneof![Just(0.0), 0.001..10_000_000.0],
        entries in proptest::collection::vec((any::<i64>(), any_entry()), 0..40),
        now in any::<i64>(),
    ) {
        let mut level = Level::new(litres(brim), litres(brim * 0.9)).unwrap();
        for (at, entry) in &entries {
            enter(&mut level, Moment::from_micros(*at), entry);
            let Estimate { volume, sd, low, high } = level.at(Moment::from_micros(now));
            let [volume, sd, low, high] = [volume, sd, low, high].map(as_litres);
            let brim = brim * (1.0 + 1e-12);
            prop_assert!((0.0..=brim).contains(&volume), "{volume} of {brim}");
            prop_assert!((0.0..=brim).contains(&sd), "sd {sd}");
            prop_assert!(0.0 <= low && low <= volume * (1.0 + 1e-12) && volume <= high * (1.0 + 1e-12) && high <= brim);
        }
    }

    #[test]
    fn two_readings_of_one_moment_count_the_same_in_either_order(
        a in 900.0..950.0, b in 900.0..950.0, sd_a in 20.0..60.0, sd_b in 20.0..60.0,
    ) {
        let mut one = dipped(a, sd_a);
        read(&mut one, 0.0, b, sd_b);
        let mut other = dipped(b, sd_b);
        read(&mut other, 0.0, a, sd_a);
        prop_assert!((volume(&one, 0.0) - volume(&other, 0.0)).abs() < 1e-9);
        prop_assert!((sd(&one, 0.0) - sd(&other, 0.0)).abs() < 1e-9);
    }

    #[test]
    fn two_moves_of_one_moment_count_the_same_in_either_order(
        a in 0.0..400.0, b in 0.0..400.0, sd_a in 0.0..9.0, sd_b in 0.0..9.0,
    ) {
        let mut one = dipped(900.0, 4.0);
        draw(&mut one, 0.0, a, sd_a);
        fill(&mut one, 0.0, b, sd_b);
        let mut other = dipped(900.0, 4.0);
        fill(&mut other, 0.0, b, sd_b);
        draw(&mut other, 0.0, a, sd_a);
        prop_assert!((volume(&one, 0.0) - volume(&other, 0.0)).abs() < 1e-9);
        prop_assert!((sd(&one, 0.0) - sd(&other, 0.0)).abs() < 1e-9);
    }

    #[test]
    fn two_readings_together_are_surer_than_either(
        a in 900.0..950.0, b in 900.0..950.0, sd_a in 20.0..60.0, sd_b in 20.0..60.0,
    ) {
        let mut level = dipped(a, sd_a);
        read(&mut level, 0.0, b, sd_b);
        prop_assert!(sd(&level, 0.0) < sd_a.min(sd_b));
        let (low, high) = (a.min(b), a.max(b));
        prop_assert!((low - 1e-9..=high + 1e-9).contains(&volume(&level, 0.0)));
    }

    #[test]
    fn more_in_is_never_less_and_more_out_never_more(
        start in 0.0..BRIM, start_sd in 0.0..100.0, less in 0.0..BRIM, more in 0.0..BRIM, error in 0.0..50.0,
    ) {
        let (less, more) = (less.min(more), less.max(more));
        let after = |act: fn(&mut Level, f64, f64, f64) -> Fit, amount: f64| {
            let mut level = dipped(start, start_sd);
            act(&mut level, 0.0, amount, error);
            volume(&level, 0.0)
        };
        prop_assert!(after(fill, less) <= after(fill, more) + 1e-9);
        prop_assert!(after(draw, more) <= after(draw, less) + 1e-9);
        prop_assert!(after(read, less) <= after(read, more) + 1e-9);
    }

    #[test]
    fn waiting_never_makes_surer(start in 0.0..BRIM, start_sd in 0.0..100.0, sooner in 0.0..400.0, later in 0.0..400.0) {
        let level = dipped(start, start_sd);
        let (sooner, later) = (f64::min(sooner, later), f64::max(sooner, later));
        prop_assert!(sd(&level, sooner) <= sd(&level, later));
    }
}
