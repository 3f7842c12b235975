//! The figures, each beside its aim.

use crate::plan::Kind;
use crate::score::Score;

/// One figure: what, how much, the least and the most aimed at.
pub struct Figure {
    pub what: String,
    pub is: f64,
    pub least: f64,
    pub most: f64,
}

impl Figure {
    pub fn met(&self) -> bool {
        (self.least..=self.most).contains(&self.is)
    }
}

/// Every figure. The errors are in our own standard deviation.
pub fn figures(score: &Score) -> Vec<Figure> {
    let mut all = Vec::new();
    let mut figure = |what: &str, is: f64, least: f64, most: f64| {
        all.push(Figure { what: what.to_owned(), is, least, most });
    };
    let no_end = f64::INFINITY;
    figure("litres inside the 80 % band, %: all", score.level.inside(), 76.0, 84.0);
    for (kind, errors) in Kind::ALL.iter().zip(&score.of_kind) {
        figure(&format!("  {}", kind.name()), errors.inside(), 68.0, 92.0);
    }
    figure("litres, rms error in its sd: all", score.level.rms(), 0.0, 1.03 * 1.1);
    let most = [1.05 * 1.1, 1.06 * 1.1, 0.78 * 1.2, 1.01 * 1.2, 1.13 * 1.2];
    for ((kind, errors), most) in Kind::ALL.iter().zip(&score.of_kind).zip(most) {
        figure(&format!("  {}", kind.name()), errors.rms(), 0.0, most);
    }
    figure("use inside the 80 % band, %", score.usage.inside(), 72.0, 90.0);
    figure("use, rms error in its sd", score.usage.rms(), 0.0, 0.9 * 1.1);
    figure("false alarms per standing vessel-year", score.alarms_a_year(), 0.0, 0.1);
    figure("claims of vessels in use", f64::from(score.claims_in_use), 0.0, 0.0);
    let aims = [("2 L a day", 97.0, 3.5), ("5 L a day", 99.0, 2.5), ("20 L a day", 99.0, 1.9)];
    for ((name, found, weeks), leaks) in aims.into_iter().zip(&score.leaks) {
        figure(&format!("{name}: found within 8 weeks, %"), leaks.found(), found, 100.0);
        figure(&format!("{name}: median weeks"), leaks.median_weeks(), 0.0, weeks);
    }
    figure("20 L a day under a sensor: found within 3 days, %", score.leaks[3].found(), 95.0, 100.0);
    figure("rate after 8 weeks, rms relative error, %", score.rate_off(), 0.0, 5.8 * 1.25);
    figure("rate inside its 80 % band, %", score.rate.inside(), 70.0, 90.0);
    figure("since when, median days off", score.since_off(), 0.0, 1.5 * 1.25);
    figure("plain mistakes named, %", score.mistakes_named(), 89.0, no_end);
    figure("unlogged moves noticed, %", score.moves_noticed(), 94.0, no_end);
    figure("wrong accusations per 100 readings", score.accused(), 0.0, 0.2);
    all
}

/// The figures as a table.
pub fn lines(score: &Score) -> Vec<String> {
    let all = figures(score);
    let line = |figure: &Figure| {
        let Figure { what, is, least, most } = figure;
        let aim = if *least > 0.0 && most.is_finite() {
            format!("{least:.1} to {most:.1}")
        } else if *least > 0.0 {
            format!("at least {least:.1}")
        } else {
            format!("at most {most:.2}")
        };
        format!("{} {what:<52} {is:8.2}   {aim}", if figure.met() { "  " } else { "! " })
    };
    all.iter().map(line).collect()
}
