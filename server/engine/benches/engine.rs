//! Times of the engine's reckonings: `cargo bench -p keepwell-engine`.

fn main() {
    divan::main();
}
