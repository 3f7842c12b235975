//! The key under a drawing: a swatch and its word, for what the drawing uses.

use std::fmt::Write as _;

use super::canvas::Drawing;
use super::canvas::Escaped;
use super::vessel::Grade;

/// What a swatch shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Swatch {
    /// water of a grade
    Grade(Grade),
    /// what lies below the outlet
    Heel,
    /// the band of an uncertain level
    Band,
    /// service at the tap
    Tap,
    /// carried by hand
    Hand,
    /// drinking only
    Drinking,
    /// the line of a chart
    Line,
    /// a broken line: what is planned, what is foreseen
    Broken,
    /// a broken line of water
    BrokenWater,
    /// a dotted upright or a line of reference
    Dotted,
    /// the whisker under a bar
    Whisker,
    /// a reading
    Reading,
}

/// A list of swatches with their words.
#[must_use]
pub fn key<'a>(entries: impl IntoIterator<Item = (Swatch, &'a str)>) -> Drawing {
    let mut markup = String::from("<ul class=\"key\">");
    for (swatch, words) in entries {
        let fill = |class: &str, frame: &str| {
            format!(
                "<rect x=\".5\" y=\".5\" width=\"21\" height=\"10\" class=\"{class}\"/>\
                 <rect x=\".5\" y=\".5\" width=\"21\" height=\"10\" class=\"{frame}\"/>"
            )
        };
        let line = |class: &str| format!("<path d=\"M0 5.5H22\" class=\"{class}\"/>");
        let inner = match swatch {
            Swatch::Grade(grade) => fill(grade.class(), "thin"),
            Swatch::Heel => fill("p-heel", "thin"),
            Swatch::Band => fill("water2", "thin"),
            Swatch::Tap => fill("seg-tap", "thin"),
            Swatch::Hand => fill("seg-hand", "thin"),
            Swatch::Drinking => fill("seg-drink", "thin"),
            Swatch::Line => line("wline"),
            Swatch::Dotted => line("dot"),
            Swatch::Broken => line("oldline"),
            Swatch::BrokenWater => line("wdash"),
            Swatch::Whisker => "<path d=\"M1 5.5H21M1 2V9M21 2V9\" class=\"thin\"/>".to_owned(),
            Swatch::Reading => "<circle cx=\"11\" cy=\"5.5\" r=\"4\" class=\"pt\"/>".to_owned(),
        };
        // writing to a String cannot fail
        let _ = write!(
            markup,
            "<li><svg width=\"22\" height=\"11\" aria-hidden=\"true\">{inner}</svg>{}</li>",
            Escaped(words)
        );
    }
    markup.push_str("</ul>");
    Drawing::from_markup(markup)
}
