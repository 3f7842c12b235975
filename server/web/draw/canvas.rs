//! The sheet a drawing is made on: elements in, one SVG out. Every attribute is finite, every word escaped, and the size
//! of every text is estimated here, so that whoever places a label knows the room it takes.

use std::fmt;
use std::fmt::Write as _;

/// A finished SVG. A page prints it as it is: all that came from people was escaped on the way in.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Drawing(String);

impl Drawing {
    /// Several drawings as one, in order: the wide and the narrow of the same thing.
    #[must_use]
    pub fn together(parts: impl IntoIterator<Item = Self>) -> Self {
        Self(parts.into_iter().map(|part| part.0).collect())
    }

    /// Markup that is already safe, for the parts of this room that are not an SVG by themselves.
    pub(super) fn from_markup(markup: String) -> Self {
        Self(markup)
    }
}

impl fmt::Display for Drawing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl askama::filters::HtmlSafe for Drawing {}

/// How a text is set: its classes in the sheet, and the size they give it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Letter {
    pub class: &'static str,
    pub px: f64,
    bold: bool,
}

impl Letter {
    pub const PLAIN: Self = Self { class: "", px: 13.0, bold: false };
    pub const SMALL: Self = Self { class: "sm", px: 12.0, bold: false };
    pub const SOFT: Self = Self { class: "s sm", px: 12.0, bold: false };
    pub const PLAIN_SOFT: Self = Self { class: "s", px: 13.0, bold: false };
    pub const STRONG: Self = Self { class: "b", px: 13.0, bold: true };
    pub const SMALL_STRONG: Self = Self { class: "sm b", px: 12.0, bold: true };
    /// ten points and more on paper
    pub const ON_LABEL: Self = Self { class: "lt", px: 14.0, bold: false };
    pub const FIGURE: Self = Self { class: "g b", px: 13.0, bold: true };
    pub const NAME: Self = Self { class: "g b head17", px: 17.0, bold: true };
    pub const LITRES: Self = Self { class: "g big", px: 21.0, bold: false };
    pub const ON_WATER: Self = Self { class: "ow", px: 13.0, bold: false };
    pub const ON_PALE: Self = Self { class: "ow2", px: 13.0, bold: false };

    /// The width of `words`, on the generous side: the sans is the reader's own and may be a wide one.
    pub fn width(self, words: &str) -> f64 {
        let em: f64 = words.chars().map(em).sum();
        em * self.px * if self.bold { 1.07 } else { 1.0 }
    }

    /// `words`, cut with an ellipsis where they are wider than `room`.
    pub fn fit(self, words: &str, room: f64) -> String {
        if self.width(words) <= room {
            return words.to_owned();
        }
        let mut kept = String::new();
        for letter in words.chars() {
            kept.push(letter);
            if self.width(&kept) + self.width("…") > room {
                kept.pop();
                break;
            }
        }
        let kept = kept.trim_end_matches(|c: char| c.is_whitespace() || em(c) == 0.0 || c == ',');
        format!("{kept}…")
    }

    /// `words` broken at spaces into lines no wider than `room`; a single longer word is cut.
    pub fn wrap(self, words: &str, room: f64) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        for word in words.split_whitespace() {
            if let Some(line) = lines.last_mut()
                && self.width(line) + self.width(" ") + self.width(word) <= room
            {
                line.push(' ');
                line.push_str(word);
                continue;
            }
            lines.push(self.fit(word, room));
        }
        lines
    }
}

/// The advance of a letter in em, after the wider of the common sans faces.
fn em(letter: char) -> f64 {
    match letter {
        '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{300}'..='\u{36f}' => 0.0,
        '\u{fe00}'..='\u{fe0f}' => 0.0,
        'i' | 'j' | 'l' | '\'' | '’' | '|' | '!' | ' ' | '.' | ',' | ':' | ';' => 0.32,
        'f' | 't' | 'r' | 'I' | '(' | ')' | '[' | ']' | '-' | '/' | '·' => 0.4,
        'm' | 'w' | 'M' | 'W' | '@' | '%' | '…' | '—' => 0.98,
        'A'..='Z' => 0.7,
        '0'..='9' => 0.6,
        ' '..='~' => 0.59,
        '\u{1100}'..='\u{11ff}' | '\u{2e80}'..='\u{d7ff}' | '\u{f900}'..='\u{faff}' => 1.05,
        '\u{2190}'..='\u{2bff}' => 1.0,
        '\u{1f000}'..='\u{1faff}' => 1.4,
        _ => 0.68,
    }
}

/// Which end of a text stands at its x.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

/// A rectangle on the sheet, y downwards.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Area {
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
}

impl Area {
    /// What a line of text takes, its baseline at `y`.
    pub fn of_text(letter: Letter, anchor: Anchor, x: f64, y: f64, words: &str) -> Self {
        let width = letter.width(words);
        let left = match anchor {
            Anchor::Start => x,
            Anchor::Middle => x - width / 2.0,
            Anchor::End => x - width,
        };
        Self { left, top: y - letter.px * 0.8, right: left + width, bottom: y + letter.px * 0.24 }
    }

    pub fn meets(&self, other: &Self) -> bool {
        self.left < other.right && other.left < self.right && self.top < other.bottom && other.top < self.bottom
    }

    pub fn within(&self, outer: &Self) -> bool {
        self.left >= outer.left && self.right <= outer.right && self.top >= outer.top && self.bottom <= outer.bottom
    }

    /// Whether the straight line between two points passes through (a clip of its parameter by the four sides).
    pub fn crossed_by(&self, a: (f64, f64), b: (f64, f64)) -> bool {
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let sides = [(-dx, a.0 - self.left), (dx, self.right - a.0), (-dy, a.1 - self.top), (dy, self.bottom - a.1)];
        let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
        for (towards, room) in sides {
            if towards.abs() < 1e-12 {
                if room < 0.0 {
                    return false;
                }
            } else if towards < 0.0 {
                enter = enter.max(room / towards);
            } else {
                leave = leave.min(room / towards);
            }
        }
        enter <= leave
    }
}

/// The SVG being written.
pub(super) struct Canvas {
    width: f64,
    height: f64,
    body: String,
}

impl Canvas {
    pub fn new(width: f64, height: f64) -> Self {
        Self { width, height, body: String::new() }
    }

    /// For a drawing whose height is known only once it is drawn.
    pub fn set_height(&mut self, height: f64) {
        self.height = height;
    }

    fn put(&mut self, markup: fmt::Arguments<'_>) {
        // writing to a String cannot fail
        let _ = self.body.write_fmt(markup);
    }

    pub fn rect(&mut self, class: &str, x: f64, y: f64, width: f64, height: f64) {
        let (w, h) = (Px(width.max(0.0)), Px(height.max(0.0)));
        self.put(format_args!(
            "<rect x=\"{}\" y=\"{}\" width=\"{w}\" height=\"{h}\" class=\"{class}\"/>",
            Px(x),
            Px(y)
        ));
    }

    pub fn line(&mut self, class: &str, a: (f64, f64), b: (f64, f64)) {
        self.put(format_args!(
            "<line x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\" class=\"{class}\"/>",
            Px(a.0),
            Px(a.1),
            Px(b.0),
            Px(b.1)
        ));
    }

    pub fn circle(&mut self, class: &str, centre: (f64, f64), radius: f64) {
        self.put(format_args!(
            "<circle cx=\"{}\" cy=\"{}\" r=\"{}\" class=\"{class}\"/>",
            Px(centre.0),
            Px(centre.1),
            Px(radius)
        ));
    }

    pub fn path(&mut self, class: &str, path: &Path) {
        if !path.0.is_empty() {
            self.put(format_args!("<path d=\"{}\" class=\"{class}\"/>", path.0));
        }
    }

    /// One line of text, the whole of it.
    pub fn text(&mut self, letter: Letter, anchor: Anchor, x: f64, y: f64, words: &str) {
        self.figure_and_words(letter, anchor, (x, y), "", words);
    }

    /// A text that opens with a figure set in the figures' own letter.
    pub fn figure_and_words(&mut self, letter: Letter, anchor: Anchor, at: (f64, f64), figure: &str, words: &str) {
        if figure.is_empty() && words.is_empty() {
            return;
        }
        let end = match anchor {
            Anchor::Start => "",
            Anchor::Middle => " text-anchor=\"middle\"",
            Anchor::End => " text-anchor=\"end\"",
        };
        self.put(format_args!("<text x=\"{}\" y=\"{}\"{end}", Px(at.0), Px(at.1)));
        if !letter.class.is_empty() {
            self.put(format_args!(" class=\"{}\"", letter.class));
        }
        self.put(format_args!(">"));
        if !figure.is_empty() {
            let figure = Escaped(figure);
            self.put(format_args!("<tspan class=\"{}\">{figure}</tspan>", Letter::FIGURE.class));
        }
        self.put(format_args!("{}</text>", Escaped(words)));
    }

    /// The SVG as part of a page that is read: `title` is its name, `description` the rest of what the eye sees.
    pub fn finish(self, class: &str, title: &str, description: &str) -> Drawing {
        let (w, h) = (Px(self.width), Px(self.height));
        let mut svg = format!("<svg viewBox=\"0 0 {w} {h}\" role=\"img\"");
        // a chart takes the width of its column; anything else stands at its own size
        if !class.contains("chart") {
            let _ = write!(svg, " width=\"{w}\" height=\"{h}\"");
        }
        if !class.is_empty() {
            let _ = write!(svg, " class=\"{class}\"");
        }
        if class.contains("stretch") {
            svg.push_str(" preserveAspectRatio=\"none\"");
        }
        let _ = write!(svg, "><title>{}</title>", Escaped(title));
        if !description.is_empty() {
            let _ = write!(svg, "<desc>{}</desc>", Escaped(description));
        }
        svg.push_str(&self.body);
        svg.push_str("</svg>");
        Drawing(svg)
    }
}

/// The way of a line.
#[derive(Default)]
pub(super) struct Path(String);

impl Path {
    pub fn through(points: impl IntoIterator<Item = (f64, f64)>) -> Self {
        let mut path = Self::default();
        for (x, y) in points {
            let verb = if path.0.is_empty() { 'M' } else { 'L' };
            let _ = write!(path.0, "{verb}{} {}", Px(x), Px(y));
        }
        path
    }

    /// A curve to `end`, drawn towards `control`.
    pub fn curve(mut self, control: (f64, f64), end: (f64, f64)) -> Self {
        let _ = write!(self.0, "Q{} {} {} {}", Px(control.0), Px(control.1), Px(end.0), Px(end.1));
        self
    }

    pub fn then(mut self, other: &Self) -> Self {
        self.0.push_str(&other.0);
        self
    }

    pub fn close(mut self) -> Self {
        if !self.0.is_empty() {
            self.0.push('z');
        }
        self
    }
}

/// A coordinate to a tenth of a pixel. What is not a number never reaches a drawing (the callers leave it out); should
/// one slip through, the page still holds.
struct Px(f64);

impl fmt::Display for Px {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // Whole tenths, since a page holds thousands of these and shortest decimals are slow to find. No "-0".
        #[expect(clippy::cast_possible_truncation, reason = "what is too large for it is far off any page")]
        let tenths = if self.0.is_finite() { (self.0 * 10.0).round() as i64 } else { 0 };
        let (sign, tenths) = (if tenths < 0 { "-" } else { "" }, tenths.unsigned_abs());
        write!(f, "{sign}{}", tenths / 10)?;
        if tenths.is_multiple_of(10) { Ok(()) } else { write!(f, ".{}", tenths % 10) }
    }
}

/// Words as they may stand in markup.
pub(super) struct Escaped<'a>(pub &'a str);

impl fmt::Display for Escaped<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for letter in self.0.chars() {
            match letter {
                '&' => f.write_str("&amp;")?,
                '<' => f.write_str("&lt;")?,
                '>' => f.write_str("&gt;")?,
                '"' => f.write_str("&quot;")?,
                '\'' => f.write_str("&#39;")?,
                c if c.is_control() => f.write_char(' ')?,
                c => f.write_char(c)?,
            }
        }
        Ok(())
    }
}
