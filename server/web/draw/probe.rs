//! What the tests of every drawing look for: finite attributes, markup that holds, words that neither touch nor leave the
//! sheet. It reads the finished SVG, so it sees what a browser sees, but for the letters: their widths are the estimate.

use super::canvas::Anchor;
use super::canvas::Area;
use super::canvas::Drawing;
use super::canvas::Letter;

/// A text of a drawing, with the room it takes.
#[derive(Debug)]
pub struct Text {
    pub words: String,
    area: Area,
}

/// Checks every SVG of a drawing and gives back its texts.
pub fn check(drawing: &Drawing) -> Vec<Text> {
    let markup = drawing.to_string();
    let mut all = Vec::new();
    for svg in markup.split_inclusive("</svg>") {
        let document = roughly_well_formed(svg);
        let view: Vec<f64> =
            attribute(&document[0].1, "viewBox").unwrap().split(' ').map(|n| n.parse().unwrap()).collect();
        let sheet = Area { left: -0.5, top: -0.5, right: view[2] + 0.5, bottom: view[3] + 0.5 };
        assert!(view[2] > 0.0 && view[3] > 0.0 && view[2] < 2_000.0 && view[3] < 4_000.0, "size {view:?}");
        let texts: Vec<Text> = texts(svg);
        for (number, text) in texts.iter().enumerate() {
            assert!(text.area.within(&sheet), "{text:?} leaves the sheet {view:?}");
            for other in &texts[number + 1..] {
                assert!(!text.area.meets(&other.area), "{text:?} touches {other:?}");
            }
        }
        all.extend(texts);
    }
    assert!(!all.is_empty() || markup.contains("<title>"));
    all
}

/// Tags with their attributes; panics on one that is not closed, on a stray quote, and on a number that is none.
fn roughly_well_formed(svg: &str) -> Vec<(String, String)> {
    let mut open: Vec<String> = Vec::new();
    let mut tags = Vec::new();
    for part in svg.split('<').skip(1) {
        let (tag, after) = part.split_once('>').expect("a tag is closed");
        assert!(!after.contains(['"', '\'']), "a bare quote in {after:?}");
        assert!(!tag.contains("NaN") && !tag.contains("inf"), "no number: {tag}");
        assert_eq!(tag.matches('"').count() % 2, 0, "quotes of {tag}");
        if let Some(name) = tag.strip_prefix('/') {
            assert_eq!(open.pop().as_deref(), Some(name));
        } else {
            let name = tag.split([' ', '/']).next().unwrap().to_owned();
            tags.push((name.clone(), tag.to_owned()));
            if !tag.ends_with('/') {
                open.push(name);
            }
        }
    }
    assert!(open.is_empty(), "left open: {open:?}");
    tags
}

fn attribute<'a>(tag: &'a str, name: &str) -> Option<&'a str> {
    let start = tag.find(&format!(" {name}=\""))? + name.len() + 3;
    tag[start..].split('"').next()
}

fn texts(svg: &str) -> Vec<Text> {
    svg.split("<text")
        .skip(1)
        .map(|part| {
            let (tag, rest) = part.split_once('>').unwrap();
            let inner = rest.split("</text>").next().unwrap();
            let words = inner
                .split('<')
                .map(|piece| piece.split_once('>').map_or(piece, |(_, words)| words))
                .collect::<String>()
                .replace("&lt;", "<")
                .replace("&gt;", ">")
                .replace("&quot;", "\"")
                .replace("&#39;", "'")
                .replace("&amp;", "&");
            let class = attribute(tag, "class").unwrap_or("");
            let letter =
                [Letter::SMALL, Letter::SOFT, Letter::STRONG, Letter::SMALL_STRONG, Letter::NAME, Letter::LITRES]
                    .into_iter()
                    .find(|letter| letter.class == class)
                    .unwrap_or(Letter::PLAIN);
            let anchor = match attribute(tag, "text-anchor") {
                Some("middle") => Anchor::Middle,
                Some("end") => Anchor::End,
                _ => Anchor::Start,
            };
            let number = |name| attribute(tag, name).unwrap().parse::<f64>().unwrap();
            Text { area: Area::of_text(letter, anchor, number("x"), number("y"), &words), words }
        })
        .collect()
}

/// A plain writer of figures.
pub fn figures(value: f64, decimals: usize) -> String {
    format!("{value:.decimals$}")
}

/// Names that a person may really give, and that must be shown as they are.
pub const NAMES: [&str; 6] = [
    "West",
    "<b>\"Tom's\" & Ann</b>",
    "💧🚰 tank 👩‍👩‍👧",
    "خزان الشمال",
    "The long-named cistern behind the old laundry, left of the second gate, under the pear tree",
    "]]><script>alert(1)</script>",
];
