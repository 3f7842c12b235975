//! Holds the map of the house: which room may use which, who may touch the outside world, how long a file may be, and
//! that no template lies about unused. What it forbids is told with the file, the line and what to do instead.
//!
//! The rule it reads by: one `use crate::room::...` per line, never a `use crate::{...}` group.

mod uses;
mod words;

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use uses::{Used, uses};
use words::{Token, Word, tokens};

/// The import table: a room, and the paths it may use besides its own. What is not listed is forbidden.
/// `engine` is the crate `keepwell_engine`. The same table, with its reasons, stands in DEVELOPERS.md.
const MAY_USE: &[(&str, &[&str])] = &[
    ("clock", &[]),
    ("config", &[]),
    ("secret", &[]),
    ("model", &["engine"]),
    ("picture", &["model", "engine"]),
    ("findings", &["picture", "model", "engine"]),
    ("store", &["model", "engine::quantity", "engine::moment"]),
    ("outside", &["model"]),
    ("service", &["store", "picture", "outside", "findings", "model", "engine", "clock", "config", "secret"]),
    ("jobs", &["service", "model"]),
    ("web", &["service", "picture", "findings", "model", "engine"]),
    ("demo", &["service", "model", "engine", "clock", "secret"]),
    // These two wire the house together, and hold no logic.
    ("app", &[EVERYTHING]),
    ("lib", &[EVERYTHING]),
    ("main", &[EVERYTHING]),
];

/// Paths that only some rooms may name, wherever in a path they stand. `app` and `main` may too.
const ONLY_IN: &[(&str, &[&str], &str)] = &[
    ("sqlx", &["store"], "all SQL lives in store: add a function there"),
    ("axum", &["web"], "HTTP lives in web: return a model type or a service::Error"),
    ("axum_extra", &["web"], "HTTP lives in web"),
    ("tower_http", &["web"], "HTTP lives in web"),
    ("askama", &["web"], "words and markup live in web: return a Message or a figure"),
    ("reqwest", &["outside"], "calls to other hosts live in outside"),
    ("std::env", &["config"], "flags and environment are read once, in config"),
    ("Timestamp::now", &["clock"], "time is an argument: take it from the clock"),
    ("Zoned::now", &["clock"], "time is an argument: take it from the clock"),
    ("SystemTime::now", &["clock"], "time is an argument: take it from the clock"),
];

/// How SQL begins, as this house writes it.
const SQL: &[&str] =
    &["SELECT ", "INSERT ", "UPDATE ", "DELETE FROM", "CREATE ", "DROP ", "PRAGMA ", "BEGIN IMMEDIATE"];

const LONGEST_FILE: usize = 400;
const EVERYTHING: &str = "*";

#[test]
fn rooms_use_only_what_the_table_allows() {
    let files = rust_files("server");
    assert!(files.iter().any(|f| f == Path::new("server/lib.rs")), "the house was not found: read {files:?}");
    complain(files.iter().flat_map(|file| forbidden_uses(file, &read(file))));
}

#[test]
fn sql_is_written_in_store_alone() {
    complain(rust_files("server").iter().flat_map(|file| stray_sql(file, &read(file))));
}

#[test]
fn no_file_is_too_long_to_read() {
    let files = ["server", "tests", "benches"].map(rust_files).concat();
    complain(files.iter().filter_map(|file| too_long(file, &read(file))));
}

#[test]
fn every_template_is_used() {
    let code: Vec<String> = rust_files("server/web").iter().map(|file| read(file)).collect();
    let templates: Vec<(String, String)> =
        files("templates").iter().map(|file| (in_folder("templates", file), read(file))).collect();
    complain(unused_templates(&code, &templates));
}

// --- the rules -----------------------------------------------------------------------------------------------------

/// What `file` uses against the tables above.
fn forbidden_uses(file: &Path, text: &str) -> Vec<String> {
    let Some(place) = place(file) else { return Vec::new() };
    let room = place.first().map_or("lib", String::as_str).to_owned();
    let Some((_, allowed)) = MAY_USE.iter().find(|(name, _)| *name == room) else {
        return vec![format!(
            "{}: room `{room}` is not in the import table: say what it may use in tests/house/map.rs (MAY_USE) and in \
             DEVELOPERS.md (The map)",
            file.display()
        )];
    };
    if allowed.contains(&EVERYTHING) {
        return Vec::new();
    }
    let mut wrong = Vec::new();
    for Used { line, path, of_root } in uses(&tokens(text), &place) {
        let at = format!("{}:{line}", file.display());
        let named = path.join("::");
        if of_root && path.is_empty() {
            wrong.push(format!(
                "{at}: a group, a glob or a new name for the crate root hides what is used: write one `use \
                 crate::room::...` per line"
            ));
        } else if of_root && path[0] != room && !allowed.iter().any(|entry| begins(&path, entry)) {
            wrong.push(format!(
                "{at}: `{room}` may not use `{named}`; it may use: {}. Move what is needed, or pass it as an argument; \
                 the table is MAY_USE in tests/house/map.rs",
                if allowed.is_empty() { "no other room".to_owned() } else { allowed.join(", ") }
            ));
        }
        for (outside, rooms, instead) in ONLY_IN {
            if !of_root && holds(&path, outside) && !rooms.contains(&room.as_str()) {
                wrong.push(format!("{at}: `{room}` may not use `{outside}`: {instead}"));
            }
        }
    }
    wrong
}

fn stray_sql(file: &Path, text: &str) -> Vec<String> {
    let in_house = place(file).is_some_and(|place| place.first().is_none_or(|room| room != "store"));
    if !in_house {
        return Vec::new();
    }
    let is_sql = |text: &str| SQL.iter().any(|start| text.trim_start().starts_with(start));
    tokens(text)
        .iter()
        .filter(|token| matches!(&token.word, Word::Text(text) if is_sql(text)))
        .map(|token| {
            format!("{}:{}: SQL outside server/store: move it to a function there", file.display(), token.line)
        })
        .collect()
}

fn too_long(file: &Path, text: &str) -> Option<String> {
    let lines = text.lines().count();
    (lines > LONGEST_FILE).then(|| {
        format!("{}: {lines} lines, {LONGEST_FILE} at most: make it a folder, one file per topic", file.display())
    })
}

/// Templates that no page names in its `path = "..."` and no used template extends, includes or imports.
fn unused_templates(code: &[String], templates: &[(String, String)]) -> Vec<String> {
    let mut waiting: Vec<String> = code.iter().flat_map(|text| page_paths(&tokens(text))).collect();
    let mut used = BTreeSet::new();
    while let Some(name) = waiting.pop() {
        if let Some((_, text)) = templates.iter().find(|(known, _)| *known == name)
            && used.insert(name)
        {
            waiting.extend(named_templates(text));
        }
    }
    let unused = templates.iter().filter(|(name, _)| !used.contains(name));
    unused
        .map(|(name, _)| {
            format!(
                "templates/{name}: no page's `path = \"{name}\"` in server/web names it, and no used template extends, \
                 includes or imports it: use it or delete it"
            )
        })
        .collect()
}

// --- reading -------------------------------------------------------------------------------------------------------

/// The values of `path = "..."`.
fn page_paths(tokens: &[Token]) -> Vec<String> {
    let triple = |three: &[Token]| match [&three[0].word, &three[1].word, &three[2].word] {
        [Word::Name(key), Word::Mark('='), Word::Text(value)] if key == "path" => Some(value.clone()),
        _ => None,
    };
    tokens.windows(3).filter_map(triple).collect()
}

/// What a template's own tags name: `{% extends "base.html" %}`.
fn named_templates(text: &str) -> Vec<String> {
    let tags = text.split("{%").skip(1).filter_map(|rest| rest.split("%}").next());
    let names = tags.filter_map(|tag| {
        let tag = tag.trim_matches(['-', '+', '~']).trim_start();
        let rest = ["extends", "include", "import"].iter().find_map(|verb| tag.strip_prefix(verb))?;
        rest.split('"').nth(1).map(str::to_owned)
    });
    names.collect()
}

/// Where a file of the house stands: `server/web/pages/sites.rs` is `web`, `pages`, `sites`. None for the engine, which
/// its own package keeps apart, and for the build script.
fn place(file: &Path) -> Option<Vec<String>> {
    let inside = in_folder("server", file);
    if inside.starts_with("engine/") || inside == "build.rs" {
        return None;
    }
    let mut names: Vec<String> = inside.trim_end_matches(".rs").split('/').map(str::to_owned).collect();
    names.pop_if(|last| last == "mod" || last == "lib");
    Some(names)
}

fn begins(path: &[String], entry: &str) -> bool {
    entry.split("::").enumerate().all(|(n, part)| path.get(n).is_some_and(|name| name == part))
}

fn holds(path: &[String], part: &str) -> bool {
    (0..path.len()).any(|start| begins(&path[start..], part))
}

/// Every file below a folder of the repository, by its path from the root.
fn files(folder: &str) -> Vec<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut waiting = vec![root.join(folder)];
    let mut found = Vec::new();
    while let Some(folder) = waiting.pop().filter(|folder| folder.exists()) {
        for entry in fs::read_dir(&folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() && !path.ends_with("node_modules") {
                waiting.push(path);
            } else if path.is_file() {
                found.push(path.strip_prefix(root).unwrap().to_owned());
            }
        }
    }
    found.sort();
    found
}

fn rust_files(folder: &str) -> Vec<PathBuf> {
    files(folder).into_iter().filter(|file| file.extension().is_some_and(|e| e == "rs")).collect()
}

fn read(file: &Path) -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(file)).unwrap()
}

fn in_folder(folder: &str, file: &Path) -> String {
    file.strip_prefix(folder).unwrap().to_str().unwrap().replace('\\', "/")
}

fn complain(wrong: impl IntoIterator<Item = String>) {
    let wrong: Vec<String> = wrong.into_iter().collect();
    assert!(wrong.is_empty(), "\n{}\n", wrong.join("\n"));
}

// --- the rules, tried on small fixtures ----------------------------------------------------------------------------

fn complaints(file: &str, text: &str) -> Vec<String> {
    forbidden_uses(Path::new(file), text)
}

#[track_caller]
fn assert_complains(file: &str, text: &str, expected: &str) {
    let found = complaints(file, text);
    assert!(
        found.len() == 1 && found[0].contains(expected),
        "{text}\nexpected one with: {expected}\nfound: {found:#?}"
    );
}

#[test]
fn a_forbidden_import_is_found_wherever_it_hides() {
    let page = "server/web/pages/sites.rs";
    assert_complains(
        page,
        "use crate::model::Site;\nuse crate::store::sites;",
        "sites.rs:2: `web` may not use `store::sites`",
    );
    assert_complains(page, "fn f() { super::super::super::store::open() }", "`web` may not use `store::open`");
    assert_complains("server/web/mod.rs", "use super::store::Store;", "`web` may not use `store::Store`");
    assert_complains(
        "server/picture/fold.rs",
        "mod t { use super::super::super::store::x; }",
        "may not use `store::x`",
    );
    assert_complains("server/model/site.rs", "pub(in crate::store) fn f() {}", "`model` may not use `store`");
    assert_complains(
        "server/store/sites.rs",
        "use keepwell_engine::grade::Grade;",
        "`store` may not use `engine::grade::Grade`",
    );
    assert_complains("server/clock.rs", "use crate::model::Site;", "it may use: no other room");
}

#[test]
fn what_hides_a_use_is_refused() {
    assert_complains("server/web/mod.rs", "use crate::{service, store};", "one `use crate::room::...` per line");
    assert_complains("server/clock.rs", "use super::{store};", "one `use crate::room::...` per line");
    assert_complains("server/web/mod.rs", "use crate::*;", "one `use crate::room::...` per line");
    assert_complains("server/web/mod.rs", "use crate as house;", "one `use crate::room::...` per line");
}

#[test]
fn the_outside_world_is_touched_only_where_it_may_be() {
    assert_complains("server/service/mod.rs", "use axum::http::StatusCode;", "`service` may not use `axum`");
    assert_complains("server/web/api/sites.rs", "async fn f() { sqlx::query!(\"\") }", "all SQL lives in store");
    assert_complains("server/findings/stale.rs", "let t = jiff::Timestamp::now();", "time is an argument");
    assert_complains("server/demo/mod.rs", "use std::env;", "read once, in config");
}

#[test]
fn what_is_allowed_passes() {
    let none: [String; 0] = [];
    let page = "//! Not [`crate::store`].\nuse super::extract::Path;\nuse crate::service::App;\nuse axum::{Router, routing};\n\
                mod tests { use super::*; use super::super::error::Error; }\n// crate::store\nconst S: &str = \"crate::store\";";
    assert_eq!(complaints("server/web/pages/sites.rs", page), none);
    assert_eq!(complaints("server/store/mod.rs", "use keepwell_engine::quantity::litres; pub(crate) fn f() {}"), none);
    assert_eq!(complaints("server/app.rs", "use crate::{store, web};"), none);
    assert_eq!(complaints("server/build.rs", "use sqlx::Connection;"), none);
    assert_eq!(complaints("server/engine/vessel/mod.rs", "use crate::{quantity, working};"), none);
}

#[test]
fn a_new_room_must_be_put_on_the_map() {
    assert_complains("server/attic/mod.rs", "fn f() {}", "room `attic` is not in the import table");
}

#[test]
fn sql_is_found_outside_store_and_only_as_text() {
    let sql = "fn f() { query(\"\n  SELECT id FROM sites\") } // \"SELECT \"";
    assert_eq!(stray_sql(Path::new("server/web/mod.rs"), sql).len(), 1);
    assert_eq!(stray_sql(Path::new("server/store/sites.rs"), sql).len(), 0);
    assert_eq!(stray_sql(Path::new("server/web/mod.rs"), "fn f() { say(\"Select a site\") }").len(), 0);
}

#[test]
fn a_long_file_is_named() {
    assert_eq!(too_long(Path::new("a.rs"), &"x\n".repeat(LONGEST_FILE)), None);
    assert!(
        too_long(Path::new("a.rs"), &"x\n".repeat(LONGEST_FILE + 1)).is_some_and(|said| said.contains("401 lines"))
    );
}

#[test]
fn a_template_nobody_names_is_found() {
    let code = ["#[template(path = \"sites/show.html\")] struct Show;".to_owned()];
    let template = |name: &str, text: &str| (name.to_owned(), text.to_owned());
    let templates = [
        template("sites/show.html", "{% extends \"base.html\" %}{%- include \"partials/field.html\" -%}"),
        template("base.html", "{% import \"partials/marks.html\" as marks %}"),
        template("partials/field.html", ""),
        template("partials/marks.html", ""),
        template("sites/old.html", "{% extends \"base.html\" %}"),
    ];
    let unused = unused_templates(&code, &templates);
    assert!(unused.len() == 1 && unused[0].starts_with("templates/sites/old.html"), "{unused:#?}");
}
