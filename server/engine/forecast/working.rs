//! The working behind a forecast.

use crate::forecast::Days;
use crate::forecast::Forecast;
use crate::forecast::Question;
use crate::quantity::Unit;
use crate::quantity::as_days;
use crate::working::Figure;
use crate::working::Working;

/// How a forecast came to its days: the draws, the target, the percentiles of the day the first person goes without, and
/// what it leaves out.
///
/// **Reference.** JCGM 101:2008, propagation of distributions by a Monte Carlo method.
#[must_use]
pub fn working(question: &Question, forecast: &Forecast) -> Working {
    let day = |days: &Days| [days.p10, days.p50, days.p90].map(|day| Figure::exact(as_days(day.at), Unit::Day));
    let part = |value: f64| Figure::exact(value, Unit::Fraction);
    let mut working =
        Working::new("How long the water may last", "the same run, n times, what is uncertain drawn each time")
            .input("Draws", "n", Figure::exact(f64::from(question.draws), Unit::Count), "set-up")
            .input("Days to be reached", "D", Figure::exact(as_days(question.target), Unit::Day), "set-up")
            .input("Variance of use that all share", "", part(question.use_joint), "assumed");
    if let Some(outage) = question.outage {
        working = working
            .input("Half of such outages are over", "", Figure::exact(as_days(outage.half_over), Unit::Day), "assumed")
            .input("Nine in ten are over", "", Figure::exact(as_days(outage.nine_in_ten_over), Unit::Day), "assumed");
    }
    let [p10, p50, p90] = day(&forecast.first.ration);
    working = working
        .step("Nine times in ten everyone has the ration for", "10th percentile", p10)
        .step("As likely longer as shorter", "50th percentile", p50)
        .step("One time in ten", "90th percentile", p90)
        .step(
            "Chance that everyone has the ration so long",
            "draws that reach D / n",
            part(forecast.first.ration_reaches.part()),
        )
        .step(
            "Chance that everyone has some water so long",
            "draws that reach D / n",
            part(forecast.first.water_reaches.part()),
        );
    if let Some(days) = &forecast.pooled {
        working = working.step(
            "Pooled, half of the time at least",
            "Σ litres, and what comes, at Σ (litres a day)",
            day(days)[1],
        );
    }
    working
        .without("faults and losses that no estimate has an error for: a leak, a failed pump, a spoilt tank")
        .without("sharing: everyone lives on the own store")
        .source("JCGM 101:2008, propagation of distributions by a Monte Carlo method")
        .source("what the spreads are: estimates of the levels; use, burn, sun and arrivals as assumed, common practice, no source")
}
