//! How fast the paths through the house are, each against a floor measured in the same run: pages against a bare route,
//! the ledger against raw SQLite, start-up against reading the same rows. Ratios hold across machines better than
//! seconds do.
//!
//! `cargo bench --bench paths` measures everything; `cargo bench --bench paths -- pages writes` only what is named, of
//! `pages`, `api`, `writes`, `rebuild`, `records` and `memory`. What needs a peak of memory of its own runs in a child process.

mod ahead;
mod api;
mod measure;
mod memory;
mod pages;
mod rebuild;
mod records;
mod scene;
mod writes;

use keepwell::app;

fn main() -> anyhow::Result<()> {
    let arguments: Vec<String> = std::env::args().skip(1).filter(|argument| !argument.starts_with("--")).collect();
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build()?;
    if let [child, folder] = arguments.as_slice()
        && child == rebuild::CHILD
    {
        return runtime.block_on(rebuild::child(folder.as_ref()));
    }
    app::install_tls()?;
    let asked = |section: &str| arguments.is_empty() || arguments.iter().any(|argument| argument == section);
    if asked("pages") {
        runtime.block_on(pages::measure())?;
    }
    if asked("api") {
        runtime.block_on(api::measure())?;
    }
    if asked("ahead") {
        runtime.block_on(ahead::measure())?;
    }
    if asked("writes") {
        runtime.block_on(writes::measure())?;
    }
    if asked("rebuild") {
        runtime.block_on(rebuild::measure())?;
    }
    if asked("records") {
        runtime.block_on(records::measure())?;
    }
    if asked("memory") {
        runtime.block_on(memory::measure())?;
    }
    Ok(())
}
