//! The paths that a file uses, resolved to the room they lead to.

use super::words::{Token, Word};

/// A path that a file uses. `of_root` paths begin at the crate's root (`engine` standing for its crate), others are
/// as written.
pub struct Used {
    pub line: usize,
    pub path: Vec<String>,
    pub of_root: bool,
}

/// Every path of two names or more, `crate`, `self` and `super` resolved by the place of the file and by the modules
/// written out within it.
pub fn uses(tokens: &[Token], place: &[String]) -> Vec<Used> {
    let mut found = Vec::new();
    let mut module = place.to_vec();
    let mut depth = 0_usize;
    let mut inner = Vec::new(); // the depths at which modules written out in this file began
    let mut at = 0;
    while let Some(token) = tokens.get(at) {
        match &token.word {
            Word::Mark('{') => depth += 1,
            Word::Mark('}') => {
                depth = depth.saturating_sub(1);
                if inner.last() == Some(&depth) {
                    inner.pop();
                    module.pop();
                }
            }
            Word::Name(name) => {
                if let ("mod", Some(Word::Name(called)), Some(Word::Mark('{'))) =
                    (name.as_str(), word(tokens, at + 1), word(tokens, at + 2))
                {
                    module.push(called.clone());
                    inner.push(depth);
                }
                let (path, next, open) = path_at(tokens, at);
                let renamed = path.len() == 1
                    && path[0] == "crate"
                    && matches!(word(tokens, next), Some(Word::Name(name)) if name == "as");
                if open || renamed || path.len() > 1 {
                    found.push(resolve(token.line, path, &module));
                }
                at = next;
                continue;
            }
            _ => {}
        }
        at += 1;
    }
    found
}

/// The path that begins at a name: its names, where it ends, and whether a `::` follows its last name (a group, a glob
/// or a turbofish).
fn path_at(tokens: &[Token], start: usize) -> (Vec<String>, usize, bool) {
    let mut names = Vec::new();
    let mut at = start;
    while let Some(Word::Name(name)) = word(tokens, at) {
        names.push(name.clone());
        at += 1;
        if (word(tokens, at), word(tokens, at + 1)) != (Some(&Word::Mark(':')), Some(&Word::Mark(':'))) {
            return (names, at, false);
        }
        at += 2;
    }
    (names, at, true)
}

fn resolve(line: usize, path: Vec<String>, module: &[String]) -> Used {
    let mut names = path.iter().map(String::as_str).peekable();
    let mut base = module.to_vec();
    match names.peek() {
        Some(&"crate") => base.clear(),
        Some(&"self" | &"super") => {}
        Some(&"keepwell_engine") => {
            let path = std::iter::once("engine").chain(names.skip(1)).map(str::to_owned).collect();
            return Used { line, path, of_root: true };
        }
        _ => return Used { line, path, of_root: false },
    }
    while let Some(step) = names.next_if(|name| matches!(*name, "crate" | "self" | "super")) {
        if step == "super" {
            base.pop();
        }
    }
    base.extend(names.map(str::to_owned));
    Used { line, path: base, of_root: true }
}

fn word(tokens: &[Token], at: usize) -> Option<&Word> {
    tokens.get(at).map(|token| &token.word)
}
