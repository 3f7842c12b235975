//! Times of the engine's reckonings: `cargo bench -p keepwell-engine`.

use divan::Bencher;
use keepwell_engine::quantity::Length;
use keepwell_engine::quantity::litres;
use keepwell_engine::quantity::metres;
use keepwell_engine::vessel::Kind;
use keepwell_engine::vessel::Shape;
use keepwell_engine::vessel::bank;

fn main() {
    divan::main();
}

/// The kinds in which a depth is read.
const DEEP: [Kind; 4] = [Kind::Upright, Kind::Lying, Kind::Box, Kind::Table];

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

/// One of each kind, on four steps.
#[divan::bench]
fn bank_settles(bencher: Bencher) {
    let shapes: Vec<Shape> = DEEP.into_iter().filter_map(sample).collect();
    let floors = [0.0, 0.1, 0.2, 0.3].map(metres);
    let members: Vec<(&Shape, Length)> = shapes.iter().zip(floors).collect();
    bencher.bench(|| bank::settle(&members, litres(4000.0)));
}
