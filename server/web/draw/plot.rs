//! What every chart needs: a scale from figures to pixels, ticks at round figures, and the axis of days.

use super::canvas::Anchor;
use super::canvas::Area;
use super::canvas::Canvas;
use super::canvas::Letter;

/// How the reader writes a figure: the value and its decimals in, words out. Handed in by the page, which knows the
/// reader's language.
pub type Figures<'a> = &'a dyn Fn(f64, usize) -> String;

/// From a figure to a place on the sheet; what lies outside is held at the edge.
#[derive(Clone, Copy, Debug)]
pub(super) struct Scale {
    from: (f64, f64),
    to: (f64, f64),
}

impl Scale {
    /// `from` low to high, drawn from `to.0` to `to.1`. An empty range is drawn at `to.0`.
    pub fn new(from: (f64, f64), to: (f64, f64)) -> Self {
        Self { from, to }
    }

    pub fn at(&self, value: f64) -> f64 {
        let span = self.from.1 - self.from.0;
        if span <= 0.0 || !span.is_finite() || value.is_nan() {
            return self.to.0;
        }
        self.to.0 + ((value - self.from.0) / span).clamp(0.0, 1.0) * (self.to.1 - self.to.0)
    }
}

/// Round figures from nought that reach or pass `most`.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Ticks {
    /// from one to the next: 1, 2 or 5 of some power of ten
    pub step: f64,
    /// what it takes to write them
    pub decimals: usize,
    /// how many steps there are
    pub count: u32,
}

impl Ticks {
    /// At most `about` steps. Nought, and what is no number, is given one step of 1.
    pub fn reaching(most: f64, about: u32) -> Self {
        if !most.is_finite() || most <= 0.0 {
            return Self { step: 1.0, decimals: 0, count: 1 };
        }
        let most = most.clamp(1e-6, 1e15);
        let (mut step, mut decimals) = (1e-9, 9_usize);
        let mut times = [2.0, 2.5, 2.0].into_iter().cycle();
        while step * f64::from(about) < most * (1.0 - 1e-9) {
            step *= times.next().unwrap_or(2.0);
        }
        // the power of ten below the step says how many decimals write it
        let mut unit = 1e-9;
        while decimals > 0 && unit * 10.0 <= step * (1.0 + 1e-9) {
            unit *= 10.0;
            decimals -= 1;
        }
        let count = (1..=about).find(|n| f64::from(*n) * step >= most * (1.0 - 1e-9)).unwrap_or(about);
        Self { step, decimals, count }
    }

    pub fn top(&self) -> f64 {
        self.step * f64::from(self.count)
    }

    /// Every tick, nought included.
    pub fn values(&self) -> impl Iterator<Item = f64> + '_ {
        (0..=self.count).map(|n| f64::from(n) * self.step)
    }
}

/// A day that is named below a chart.
#[derive(Clone, Debug, PartialEq)]
pub struct DayName {
    /// days from the start
    pub day: f64,
    /// "day 7, Wednesday 11"
    pub words: String,
    /// "day 7", for a phone
    pub short: String,
}

/// The axis of days below a chart: its length, and the days that are named on it.
#[derive(Clone, Debug, PartialEq)]
pub struct Days {
    /// how many days it shows
    pub length: f64,
    /// the named days; a name that would touch the one before it is left out
    pub names: Vec<DayName>,
}

impl Days {
    /// The length of the axis, at least a day and never so long that a day is no pixel.
    pub(super) fn shown(&self) -> f64 {
        if self.length.is_finite() { self.length.clamp(1.0, 36_500.0) } else { 36_500.0 }
    }

    /// Ticks at whole days (weeks, months, years where days would be too close), names under them.
    pub(super) fn draw(&self, canvas: &mut Canvas, scale: &Scale, y: f64, narrow: bool) {
        let pixels = (scale.to.1 - scale.to.0) / self.shown();
        let every = [1.0, 7.0, 28.0, 91.0, 364.0, 3640.0].into_iter().find(|n| n * pixels >= 5.0).unwrap_or(36_400.0);
        let mut day = 0.0;
        while day <= self.shown() + 1e-9 {
            let named = self.names.iter().any(|name| (name.day - day).abs() < 1e-6);
            canvas.line("tick", (scale.at(day), y), (scale.at(day), y + if named { 8.0 } else { 4.0 }));
            day += every;
        }
        let mut last: Option<Area> = None;
        for name in &self.names {
            if !(0.0..=self.shown() + 1e-9).contains(&name.day) {
                continue;
            }
            let letter = Letter::SOFT;
            let words = if narrow { &name.short } else { &name.words };
            let (x, half) = (scale.at(name.day), letter.width(words) / 2.0);
            let anchor = if x - half < scale.to.0 {
                Anchor::Start
            } else if x + half > scale.to.1 {
                Anchor::End
            } else {
                Anchor::Middle
            };
            let area = Area::of_text(letter, anchor, x, y + 24.0, words).grown(4.0);
            if last.is_none_or(|last| !last.meets(&area)) {
                canvas.text(letter, anchor, x, y + 24.0, words);
                last = Some(area);
            }
        }
    }
}

/// Hairlines at round figures with their words on the left.
pub(super) fn draw_ticks(
    canvas: &mut Canvas,
    ticks: &Ticks,
    scale: &Scale,
    left: f64,
    right: f64,
    figures: Figures<'_>,
) {
    for value in ticks.values() {
        let y = scale.at(value);
        canvas.line("hair", (left, y), (right, y));
        canvas.text(Letter::SOFT, Anchor::End, left - 7.0, y + 4.0, &figures(value, ticks.decimals));
    }
}

/// The room the words of the ticks need on the left.
pub(super) fn ticks_width(ticks: &Ticks, figures: Figures<'_>) -> f64 {
    ticks.values().map(|value| Letter::SOFT.width(&figures(value, ticks.decimals))).fold(0.0, f64::max) + 9.0
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Hand reckoned: the smallest of 1, 2, 5 times a power of ten that covers the most in so many steps.
    #[test]
    fn ticks_are_round() {
        for (most, about, step, decimals, count) in [
            (280.0, 5, 100.0, 0, 3),
            (4988.0, 5, 1000.0, 0, 5),
            (2.1, 5, 0.5, 1, 5),
            (1.0, 5, 0.2, 1, 5),
            (0.03, 5, 0.01, 2, 3),
            (12.0, 6, 2.0, 0, 6),
        ] {
            let ticks = Ticks::reaching(most, about);
            assert!((ticks.step - step).abs() < step * 1e-9, "{most}: {ticks:?}");
            assert_eq!((ticks.decimals, ticks.count), (decimals, count), "{most}: {ticks:?}");
        }
    }

    #[test]
    fn ticks_of_nought_and_nonsense_are_one_step() {
        for most in [0.0, -3.0, f64::NAN, f64::INFINITY] {
            assert_eq!(Ticks::reaching(most, 5), Ticks { step: 1.0, decimals: 0, count: 1 });
        }
    }

    #[test]
    fn ticks_reach_what_they_are_asked_for() {
        for power in -5..14 {
            for lead in [1.0, 1.3, 2.0, 3.7, 5.0, 9.9] {
                let most = lead * 10_f64.powi(power);
                let ticks = Ticks::reaching(most, 5);
                assert!(ticks.top() >= most * (1.0 - 1e-9) && ticks.top() <= most * 2.6, "{most}: {ticks:?}");
            }
        }
    }

    #[test]
    fn a_scale_of_no_length_is_its_start() {
        assert!((Scale::new((3.0, 3.0), (10.0, 20.0)).at(3.0) - 10.0).abs() < 1e-12);
        assert!((Scale::new((0.0, 2.0), (10.0, 20.0)).at(f64::NAN) - 10.0).abs() < 1e-12);
        assert!((Scale::new((0.0, 2.0), (10.0, 20.0)).at(f64::INFINITY) - 20.0).abs() < 1e-12);
    }
}
