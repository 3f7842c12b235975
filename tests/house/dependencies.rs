//! Every package that is built into the house or its tests: under a licence we can pass on, from the package registry
//! alone, and none that we decided against. Read from the lock file by cargo itself, for the system the tests run on.

use serde_json::Value;
use std::collections::BTreeSet;
use std::process::Command;

/// Licences that may be passed on under ours, by their SPDX names.
const LICENCES: &[&str] = &[
    "0BSD",
    "Apache-2.0",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "ISC",
    "MIT",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
    "CDLA-Permissive-2.0", // the root certificates
];

/// What must not come back, and why.
const BANNED: &[(&str, &str)] = &[
    ("openssl-sys", "TLS is rustls on ring: needs no system library"),
    ("native-tls", "TLS is rustls on ring: needs no system library"),
    ("aws-lc-rs", "TLS is rustls on ring: one provider"),
    ("aws-lc-sys", "TLS is rustls on ring: one provider"),
    ("cmake", "the house builds with a C compiler and nothing more"),
    ("bindgen", "the house builds with a C compiler and nothing more"),
];

/// All that the engine may be built on. No clock, no files, no network, no entropy.
const ENGINE_MAY_USE: &[&str] = &["uom", "thiserror", "rand", "rand_distr", "rand_pcg", "rayon", "statrs"];
/// Of these, the ones whose default features bring entropy or weight.
const WITHOUT_DEFAULTS: &[&str] = &["uom", "rand", "statrs"];

const REGISTRY: &str = "registry+https://github.com/rust-lang/crates.io-index";

#[test]
fn licences_can_be_passed_on() {
    let wrong = packages().into_iter().filter_map(|package| {
        let name = text(&package, "name");
        let licence = package["license"].as_str().unwrap_or("");
        match permitted(licence) {
            Ok(true) => None,
            Ok(false) => Some(format!("{name}: licence `{licence}` is not in LICENCES of tests/house/dependencies.rs")),
            Err(()) => Some(format!("{name}: licence `{licence}` is not an SPDX expression that this test can read")),
        }
    });
    complain(wrong);
}

#[test]
fn everything_comes_from_the_registry() {
    let own = workspace_members();
    let wrong = packages()
        .into_iter()
        .filter(|package| package["source"].as_str() != Some(REGISTRY) && !own.contains(&text(package, "id")));
    complain(wrong.map(|package| format!("{}: comes from {}", text(&package, "name"), package["source"])));
}

#[test]
fn nothing_banned_came_back() {
    let names: BTreeSet<String> = packages().iter().map(|package| text(package, "name")).collect();
    let wrong = BANNED.iter().filter(|(name, _)| names.contains(*name));
    complain(wrong.map(|(name, why)| format!("{name} is back ({why}): `cargo tree -i {name}` shows who brought it")));
}

#[test]
fn the_engine_is_built_on_arithmetic_alone() {
    let packages = packages();
    let engine = packages.iter().find(|package| package["name"] == "keepwell-engine").unwrap();
    // Development dependencies have the kind "dev": its tests may read files.
    let direct = engine["dependencies"].as_array().unwrap().iter().filter(|dependency| dependency["kind"].is_null());
    complain(direct.filter_map(|dependency| {
        let name = text(dependency, "name");
        if !ENGINE_MAY_USE.contains(&name.as_str()) {
            Some(format!("keepwell-engine may not use {name}; it may use: {}", ENGINE_MAY_USE.join(", ")))
        } else if WITHOUT_DEFAULTS.contains(&name.as_str()) && dependency["uses_default_features"] == true {
            Some(format!("keepwell-engine must use {name} with default-features = false"))
        } else {
            None
        }
    }));
}

#[test]
fn the_browser_tests_lock_names_no_host() {
    let lock = include_str!("../browser/package-lock.json");
    let lock: Value = serde_json::from_str(lock).unwrap();
    let packages = lock["packages"].as_object().unwrap();
    let installed = packages.iter().filter(|(name, _)| !name.is_empty());
    complain(installed.filter_map(|(name, package)| {
        if !package["resolved"].is_null() {
            Some(format!("{name}: has `resolved`; keep omit-lockfile-registry-resolved=true in tests/browser/.npmrc"))
        } else if package["integrity"].is_null() {
            Some(format!("{name}: has no hash"))
        } else {
            None
        }
    }));
}

// --- reading -------------------------------------------------------------------------------------------------------

fn metadata() -> Value {
    let cargo = |arguments: &[&str]| {
        let output =
            Command::new(env!("CARGO")).args(arguments).current_dir(env!("CARGO_MANIFEST_DIR")).output().unwrap();
        assert!(output.status.success(), "cargo {arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).unwrap()
    };
    let version = cargo(&["-vV"]);
    let host = version.lines().find_map(|line| line.strip_prefix("host: ")).unwrap();
    // Without the filter it asks for packages of other systems, which are not on this machine.
    let found = cargo(&["metadata", "--format-version=1", "--offline", "--locked", "--filter-platform", host]);
    serde_json::from_str(&found).unwrap()
}

/// What is truly built here: the resolved graph, without the packages of other systems.
fn packages() -> Vec<Value> {
    let metadata = metadata();
    let nodes = metadata["resolve"]["nodes"].as_array().unwrap();
    let built: BTreeSet<&str> = nodes.iter().filter_map(|node| node["id"].as_str()).collect();
    let packages = metadata["packages"].as_array().unwrap().iter();
    let packages: Vec<Value> =
        packages.filter(|package| package["id"].as_str().is_some_and(|id| built.contains(id))).cloned().collect();
    assert!(packages.len() > 2, "cargo named no dependencies");
    packages
}

fn workspace_members() -> BTreeSet<String> {
    let members = metadata()["workspace_members"].as_array().unwrap().clone();
    members.iter().filter_map(|id| id.as_str().map(str::to_owned)).collect()
}

fn text(value: &Value, key: &str) -> String {
    value[key].as_str().unwrap().to_owned()
}

fn complain(wrong: impl Iterator<Item = String>) {
    let wrong: Vec<String> = wrong.collect();
    assert!(wrong.is_empty(), "\n{}\n", wrong.join("\n"));
}

/// Whether an SPDX expression leaves us a choice within `LICENCES`. `/` is the old way of writing OR.
fn permitted(expression: &str) -> Result<bool, ()> {
    let spaced = expression.replace('/', " OR ").replace('(', " ( ").replace(')', " ) ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let mut rest = words.as_slice();
    let answer = either(&mut rest)?;
    if rest.is_empty() { Ok(answer) } else { Err(()) }
}

fn either(rest: &mut &[&str]) -> Result<bool, ()> {
    let mut answer = both(rest)?;
    while take(rest, "OR") {
        answer |= both(rest)?;
    }
    Ok(answer)
}

fn both(rest: &mut &[&str]) -> Result<bool, ()> {
    let mut answer = one(rest)?;
    while take(rest, "AND") {
        answer &= one(rest)?;
    }
    Ok(answer)
}

fn one(rest: &mut &[&str]) -> Result<bool, ()> {
    if take(rest, "(") {
        let answer = either(rest)?;
        return if take(rest, ")") { Ok(answer) } else { Err(()) };
    }
    let (licence, after) = rest.split_first().ok_or(())?;
    *rest = after;
    if take(rest, "WITH") {
        // An exception only ever permits more.
        *rest = rest.split_first().ok_or(())?.1;
    }
    let is_name = licence.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '-' | '.' | '+'));
    if is_name && !matches!(*licence, "OR" | "AND" | "WITH") { Ok(LICENCES.contains(licence)) } else { Err(()) }
}

fn take(rest: &mut &[&str], word: &str) -> bool {
    match rest.split_first() {
        Some((first, after)) if *first == word => {
            *rest = after;
            true
        }
        _ => false,
    }
}

#[test]
fn licence_expressions_are_read_as_spdx_means_them() {
    // Forms from the SPDX specification 2.3, annex D: AND binds closer than OR, WITH closest.
    assert_eq!(permitted("MIT"), Ok(true));
    assert_eq!(permitted("GPL-3.0-only"), Ok(false));
    assert_eq!(permitted("GPL-3.0-only OR MIT"), Ok(true));
    assert_eq!(permitted("MIT/Apache-2.0"), Ok(true));
    assert_eq!(permitted("MIT AND GPL-3.0-only"), Ok(false));
    assert_eq!(permitted("GPL-3.0-only OR MIT AND ISC"), Ok(true));
    assert_eq!(permitted("(GPL-3.0-only OR MIT) AND MPL-2.0"), Ok(false));
    assert_eq!(permitted("Apache-2.0 WITH LLVM-exception OR MIT"), Ok(true));
    for broken in ["", "MIT OR", "(MIT", "MIT Apache-2.0", "AND MIT", "Licence of ours"] {
        assert_eq!(permitted(broken), Err(()), "{broken}");
    }
}
