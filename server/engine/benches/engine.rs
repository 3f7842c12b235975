//! Times of the engine's reckonings: `cargo bench -p keepwell-engine`.

#[path = "../tests/large/mod.rs"]
mod large;

use divan::Bencher;
use keepwell_engine::quantity::Length;
use keepwell_engine::quantity::litres;
use keepwell_engine::quantity::metres;
use keepwell_engine::vessel::Fittings;
use keepwell_engine::vessel::Kind;
use keepwell_engine::vessel::Shape;
use keepwell_engine::vessel::bank;
use keepwell_engine::vessel::dip_table;

fn main() {
    divan::main();
}

/// The kinds in which a depth is read.
const DEEP: [Kind; 14] = [
    Kind::Upright,
    Kind::UprightCone,
    Kind::UprightDished,
    Kind::UprightElliptical,
    Kind::UprightRound,
    Kind::Lying,
    Kind::LyingCone,
    Kind::LyingDished,
    Kind::LyingElliptical,
    Kind::LyingRound,
    Kind::Box,
    Kind::Rounded,
    Kind::Sphere,
    Kind::Table,
];

fn sample(kind: Kind) -> Option<Shape> {
    Shape::samples().into_iter().find(|shape| shape.kind() == kind)
}

/// The floor for the volumes: the bare formula of the upright cylinder, no range checked.
#[divan::bench]
fn volume_of_upright_bare(bencher: Bencher) {
    bencher.with_inputs(|| (1.2, 0.6)).bench_values(|(d, h): (f64, f64)| core::f64::consts::FRAC_PI_4 * d * d * h);
}

#[divan::bench(args = DEEP)]
fn volume_at_depth(bencher: Bencher, kind: Kind) {
    bencher
        .with_inputs(|| (sample(kind), metres(0.6)))
        .bench_refs(|(shape, depth)| shape.as_ref().map(|shape| shape.volume_at(*depth)));
}

#[divan::bench(args = DEEP)]
fn depth_of_volume(bencher: Bencher, kind: Kind) {
    bencher
        .with_inputs(|| (sample(kind), litres(300.0)))
        .bench_refs(|(shape, volume)| shape.as_ref().map(|shape| shape.depth_of(*volume)));
}

/// A million depths from floor to rim.
#[divan::bench(args = DEEP, sample_count = 10)]
fn a_million_volumes(bencher: Bencher, kind: Kind) {
    let shape = sample(kind);
    let height = shape.as_ref().and_then(Shape::height).unwrap_or_default();
    bencher.bench(|| {
        let shape = divan::black_box(shape.as_ref())?;
        let volumes = (0..1_000_000_u32).map(|step| shape.volume_at(height * (f64::from(step) / 1e6)));
        Some(volumes.flatten().fold(litres(0.0), |sum, volume| sum + volume))
    });
}

/// A thousand lines from floor to rim.
#[divan::bench(args = DEEP)]
fn dip_table_of_1000(bencher: Bencher, kind: Kind) {
    let shape = sample(kind);
    let step = shape.as_ref().and_then(Shape::height).unwrap_or_default() / 1000.0;
    let fittings = Fittings::default();
    bencher.bench(|| divan::black_box(shape.as_ref()).map(|shape| dip_table(shape, &fittings, step)));
}

/// One of each of four kinds, on four steps.
#[divan::bench]
fn bank_settles(bencher: Bencher) {
    let kinds = [Kind::Upright, Kind::Lying, Kind::Box, Kind::Table];
    let shapes: Vec<Shape> = kinds.into_iter().filter_map(sample).collect();
    let floors = [0.0, 0.1, 0.2, 0.3].map(metres);
    let members: Vec<(&Shape, Length)> = shapes.iter().zip(floors).collect();
    bencher.bench(|| bank::settle(&members, litres(4000.0)));
}

mod hydraulics {
    use divan::Bencher;
    use keepwell_engine::hydraulics::HydraulicsError;
    use keepwell_engine::hydraulics::Pipe;
    use keepwell_engine::hydraulics::PumpCurve;
    use keepwell_engine::hydraulics::duty_through_pipe;
    use keepwell_engine::hydraulics::friction_colebrook;
    use keepwell_engine::hydraulics::water::Water;
    use keepwell_engine::quantity::celsius;
    use keepwell_engine::quantity::kilopascals;
    use keepwell_engine::quantity::litres_per_minute;
    use keepwell_engine::quantity::metres;
    use keepwell_engine::quantity::millimetres;

    fn parts() -> Result<(PumpCurve, Pipe, Water), HydraulicsError> {
        let points = [(0.0, 42.0), (40.0, 37.0), (80.0, 22.0)].map(|(q, h)| (litres_per_minute(q), metres(h)));
        let pipe = Pipe::new(millimetres(26.24), metres(25.0), millimetres(0.0015))?;
        Ok((PumpCurve::new(&points)?, pipe, Water::at(celsius(20.0))?))
    }

    /// The duty point through 25 m of pipe, Colebrook inside.
    #[divan::bench]
    fn duty_point(bencher: Bencher) {
        let parts = parts();
        bencher.bench(|| {
            let (pump, pipe, water) = divan::black_box(parts.as_ref()).ok()?;
            duty_through_pipe(pump, metres(3.0), kilopascals(206.843), (pipe, 12.0), water).ok()
        });
    }

    #[divan::bench]
    fn colebrook() -> Result<f64, HydraulicsError> {
        Ok(friction_colebrook(divan::black_box(4e4), divan::black_box(6e-5))?.value)
    }
}

mod level {
    use divan::Bencher;
    use keepwell_engine::level::explain::End;
    use keepwell_engine::level::explain::Entry;
    use keepwell_engine::level::explain::EntryError;
    use keepwell_engine::level::explain::Explanations;
    use keepwell_engine::level::explain::Habit;
    use keepwell_engine::level::explain::Member;
    use keepwell_engine::level::explain::Tank;
    use keepwell_engine::level::explain::TankError;
    use keepwell_engine::level::explain::What;
    use keepwell_engine::moment::Moment;
    use keepwell_engine::quantity::days;
    use keepwell_engine::quantity::litres;
    use keepwell_engine::quantity::millimetres;

    const DAY_0: Moment = Moment::from_micros(0);

    /// A weekly dip, a little off, of a tank that loses 5 L a day from the twentieth week on.
    fn dip(week: u32) -> Entry {
        let lost = 31.0 * (f64::from(week) - 20.0).max(0.0);
        let depth = millimetres(1500.0 + f64::from(week * 7 % 11) - lost);
        let at = DAY_0.after(days(7.0 * f64::from(week)));
        Entry { id: u64::from(week), at, what: What::Dip { member: 0, depth, from: End::Floor } }
    }

    fn tank(habit: Habit) -> Result<Explanations, TankError> {
        let upright = Member::upright(millimetres(0.0), millimetres(1700.0), litres(1922.7));
        Ok(Explanations::new(Tank::new(&[upright], 0.01)?, habit, DAY_0))
    }

    /// After half a year of weekly dips: as many explanations as are ever kept.
    fn grown(habit: Habit) -> Option<Explanations> {
        let mut all = tank(habit).ok()?;
        let told: Result<Vec<()>, EntryError> = (0..26).map(|week| all.tell(&dip(week))).collect();
        told.ok().map(|_| all)
    }

    /// The estimator takes in one more dip.
    #[divan::bench(args = [Habit::Standing, Habit::InUse])]
    fn estimator_update(bencher: Bencher, habit: Habit) {
        let grown = grown(habit);
        let next = dip(26);
        bencher.with_inputs(|| grown.clone()).bench_values(|all| {
            let mut all = all?;
            all.tell(&next).ok()?;
            Some(all)
        });
    }

    #[divan::bench]
    fn estimator_says(bencher: Bencher) {
        let grown = grown(Habit::Standing);
        bencher.bench(|| divan::black_box(grown.as_ref()).map(|all| all.at(DAY_0.after(days(190.0)))));
    }

    /// Half a year of weekly dips from the beginning.
    #[divan::bench]
    fn estimator_half_a_year() -> Option<Explanations> {
        grown(divan::black_box(Habit::Standing))
    }
}

mod endurance {
    use divan::Bencher;
    use keepwell_engine::endurance;
    use keepwell_engine::endurance::Power;
    use keepwell_engine::endurance::Run;
    use keepwell_engine::endurance::Stock;
    use keepwell_engine::endurance::Uses;
    use keepwell_engine::grade::Grade;
    use keepwell_engine::neighbourhood;
    use keepwell_engine::neighbourhood::Place;
    use keepwell_engine::quantity::days;
    use keepwell_engine::quantity::hours;
    use keepwell_engine::quantity::litres;
    use keepwell_engine::quantity::litres_per_day;
    use keepwell_engine::quantity::litres_per_hour;
    use keepwell_engine::vessel::Way;

    /// Two tanks, a pump on a generator, the usual levels; sites differ a little in people and fuel.
    pub(super) fn site(number: u32) -> Run {
        let litre = litres(1.0);
        let tank = |id: &str| Stock {
            id: id.to_owned(),
            grade: Grade::Drink,
            volume: litres(950.0),
            heel: [(Way::Pump, litres(40.0)), (Way::Dip, litres(20.0))].into_iter().collect(),
        };
        let ration = Uses { drink: 3.0 * litre, cook: 6.0 * litre, wash: 6.0 * litre, flush: 0.0 * litre };
        Run {
            horizon: days(365.0),
            people: 2.0 + f64::from(number % 7),
            levels: endurance::usual_levels(ration, litres(7.5), false),
            stocks: vec![tank("north"), tank("south")],
            power: Some(Power {
                fuel: Some(litres(5.0 + f64::from(number % 11))),
                burn: litres_per_hour(0.5),
                hours_a_day: hours(2.0),
            }),
            battery: None,
            treatment: None,
            keep_drinking: days(3.0),
            events: vec![],
        }
    }

    #[divan::bench]
    fn one_site(bencher: Bencher) {
        let run = site(3);
        bencher.bench(|| endurance::run(divan::black_box(&run)));
    }

    #[divan::bench(args = [10, 100, 1_000, 10_000, 100_000], max_time = 5)]
    fn all_sites(bencher: Bencher, count: u32) {
        let sites: Vec<Run> = (0..count).map(site).collect();
        bencher
            .bench(|| sites.iter().filter(|site| endurance::run(site).is_ok_and(|run| run.water_to_horizon)).count());
    }

    #[divan::bench]
    fn ten_thousand_sites_as_placed(bencher: Bencher) {
        let places: Vec<Place> = (0..10_000)
            .map(|number| Place {
                people: 1.0 + f64::from(number % 7),
                need: litres_per_day(100.0),
                in_reach: litres(1800.0),
                ration_ends: Some(days(f64::from(number * 37 % 1009))),
                dry_from: Some(days(f64::from(number * 37 % 1013))),
            })
            .collect();
        bencher.bench(|| neighbourhood::as_placed(divan::black_box(&places)));
    }
}

mod forecast {
    use divan::Bencher;
    use keepwell_engine::endurance::Change;
    use keepwell_engine::endurance::Event;
    use keepwell_engine::forecast::Coming;
    use keepwell_engine::forecast::Doubt;
    use keepwell_engine::forecast::Outage;
    use keepwell_engine::forecast::Question;
    use keepwell_engine::forecast::Site;
    use keepwell_engine::forecast::forecast;
    use keepwell_engine::quantity::days;
    use keepwell_engine::quantity::litres;

    /// Every figure uncertain: both tanks, use, burn, and a delivery that may be late or never come.
    fn site(number: u32) -> Site {
        let mut run = super::endurance::site(number);
        run.events = vec![Event { at: days(5.0), change: Change::AddWater { stock: 0, volume: litres(400.0) } }];
        let doubt = Doubt { sd: litres(60.0), brim: Some(litres(1000.0)) };
        Site {
            key: number.to_string(),
            run,
            stocks: vec![doubt; 2],
            stocks_joint: 0.2,
            use_spread: 0.25,
            burn_spread: 0.2,
            sun_spread: 0.0,
            events: vec![Coming { comes: 0.7, late: days(1.5) }],
        }
    }

    #[divan::bench(args = [1, 10, 100, 1_000], sample_count = 10)]
    fn a_thousand_draws(bencher: Bencher, count: u32) {
        let sites: Vec<Site> = (0..count).map(site).collect();
        let outage = Some(Outage { half_over: days(5.0), nine_in_ten_over: days(14.0) });
        let question = Question { seed: 1, draws: 1_000, target: days(14.0), outage, use_joint: 0.3 };
        bencher.bench(|| forecast(divan::black_box(&sites), &question));
    }
}

mod treatment {
    use divan::Bencher;
    use keepwell_engine::quantity::celsius;
    use keepwell_engine::quantity::mg_per_litre;
    use keepwell_engine::treatment::Conditions;
    use keepwell_engine::treatment::Method;
    use keepwell_engine::treatment::ct_giardia;

    #[divan::bench(args = ["lookup", "interpolated", "regression"])]
    fn ct_lookup(bencher: Bencher, method: &str) {
        let method = Method::from_key(method).unwrap_or(Method::Lookup);
        let water = Conditions { temperature: celsius(6.0), ph: 6.7, free: mg_per_litre(0.9) };
        bencher.bench(|| ct_giardia(divan::black_box(&water), method));
    }

    /// The figure alone, which takes no memory.
    #[divan::bench(args = ["lookup", "interpolated", "regression"])]
    fn ct_lookup_without_working(bencher: Bencher, method: &str) {
        let method = Method::from_key(method).unwrap_or(Method::Lookup);
        let water = Conditions { temperature: celsius(6.0), ph: 6.7, free: mg_per_litre(0.9) };
        bencher.bench(|| divan::black_box(&water).giardia_3log(method));
    }
}

mod sharing {
    use divan::Bencher;
    use keepwell_engine::neighbourhood::share::share;

    use crate::large::large;

    #[divan::bench(args = [10, 100, 1_000, 10_000, 100_000], max_time = 20)]
    fn six_carries_each(bencher: Bencher, sites: u32) {
        let sharing = large(sites, false);
        bencher.bench(|| share(divan::black_box(&sharing)));
    }

    #[divan::bench(args = [10, 100, 1_000, 10_000, 100_000], max_time = 20)]
    fn six_carries_each_with_losses(bencher: Bencher, sites: u32) {
        let sharing = large(sites, true);
        bencher.bench(|| share(divan::black_box(&sharing)));
    }
}
