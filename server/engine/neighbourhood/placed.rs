//! The two ends of what is possible: no litre moved, and every litre moved.

use crate::quantity::Time;
use crate::quantity::Unit;
use crate::quantity::Volume;
use crate::quantity::VolumeRate;
use crate::quantity::as_days;
use crate::quantity::as_litres;
use crate::quantity::as_litres_per_day;
use crate::quantity::days;
use crate::working::Figure;
use crate::working::Working;

/// The most that a figure may be, in its own unit.
const MOST: f64 = 1e15;

/// What the neighbourhood needs to know of a site. People without a store are a site whose ration and water end on day 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// people who draw here, each counted once in the whole neighbourhood
    pub people: f64,
    /// litres a day that they need at the ration in force, of drink grade
    pub need: VolumeRate,
    /// `drink` litres in reach
    pub in_reach: Volume,
    /// when the ration cannot be met in full any more; `None`: it is met as far as was looked
    pub ration_ends: Option<Time>,
    /// when the site is first dry; `None`: never, as far as was looked
    pub dry_from: Option<Time>,
}

/// A figure that no reckoning can be made from.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error("{field} of site number {place}, counted from 0, is {value}; allowed is 0 to 1e15")]
pub struct Refusal {
    /// which site, by its place in the list
    pub place: usize,
    /// which figure
    pub field: &'static str,
    /// what was given
    pub value: f64,
}

/// A step down of a [`Curve`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fall {
    /// when, from now
    pub at: Time,
    /// the site whose people go without from then on, by its place in the list
    pub place: usize,
    /// people who do
    pub people: f64,
    /// people still supplied from then on
    pub supplied: f64,
}

/// People still supplied, from now on: a step down for every site that gives out, earliest first.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    /// everyone
    pub people: f64,
    /// where it falls; sites that fall at one moment stand in the order of the list
    pub falls: Vec<Fall>,
}

impl Curve {
    /// The first fall; `None`: nobody goes without, as far as was looked.
    #[must_use]
    pub fn first(&self) -> Option<&Fall> {
        self.falls.first()
    }

    /// People still supplied at a moment; from the moment of a fall on, those it concerns are not.
    #[must_use]
    pub fn supplied_at(&self, at: Time) -> f64 {
        let fallen = self.falls.partition_point(|fall| fall.at <= at);
        fallen.checked_sub(1).and_then(|last| self.falls.get(last)).map_or(self.people, |fall| fall.supplied)
    }
}

/// The neighbourhood as its water is placed now.
#[derive(Clone, Debug, PartialEq)]
pub struct AsPlaced {
    /// people supplied with the ration in full
    pub ration: Curve,
    /// people supplied with any level of service at all
    pub water: Curve,
}

/// Every litre moved to wherever it is needed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pooled {
    /// `drink` litres in reach, all sites
    pub in_reach: Volume,
    /// litres needed a day, all sites
    pub need: VolumeRate,
    /// how long they last; `None`: nothing is needed, so it does not run out
    pub days: Option<Time>,
}

/// When the first person goes without, where, and how many are still supplied on each day.
///
/// **Formula.** supplied(t) = Σ people of the sites whose ration (or water) ends after t.
///
/// **Arguments.** A slice of [`Place`]; people 0 or more, days 0 or more. A site without people, or that needs nothing,
/// never falls.
///
/// ```
/// use keepwell_engine::neighbourhood::{as_placed, Place};
/// use keepwell_engine::quantity::{as_days, days, litres, litres_per_day};
///
/// // By hand: 3000 L ÷ 300 L a day = 10 days; 200 L ÷ 100 L a day = 2 days; three people have no store.
/// let place = |people, need, store, lasts| Place {
///     people,
///     need: litres_per_day(need),
///     in_reach: litres(store),
///     ration_ends: Some(days(lasts)),
///     dry_from: Some(days(lasts)),
/// };
/// let curve = as_placed(&[place(20.0, 300.0, 3000.0, 10.0), place(7.0, 100.0, 200.0, 2.0), place(3.0, 45.0, 0.0, 0.0)])?.ration;
/// assert_eq!(curve.first().map(|fall| (as_days(fall.at), fall.place)), Some((0.0, 2)));
/// assert_eq!([0.0, 1.0, 2.5, 11.0].map(|day| curve.supplied_at(days(day))), [27.0, 27.0, 20.0, 0.0]);
/// # Ok::<(), keepwell_engine::neighbourhood::Refusal>(())
/// ```
///
/// **Reference.** The project's own definition.
///
/// # Errors
/// [`Refusal`] names the site, the figure and what is allowed.
pub fn as_placed(places: &[Place]) -> Result<AsPlaced, Refusal> {
    check(places)?;
    Ok(AsPlaced { ration: curve(places, |place| place.ration_ends), water: curve(places, |place| place.dry_from) })
}

/// Total days of water on hand if every litre could be moved: an upper bound.
///
/// **Formula.** days = Σ litres ÷ Σ litres needed a day.
///
/// ```
/// use keepwell_engine::neighbourhood::{pooled, Place};
/// use keepwell_engine::quantity::{as_days, days, litres, litres_per_day};
///
/// // By hand: (3000 + 200) L ÷ (300 + 100) L a day = 8 days.
/// let place = |need, store| Place {
///     people: 1.0,
///     need: litres_per_day(need),
///     in_reach: litres(store),
///     ration_ends: Some(days(0.0)),
///     dry_from: Some(days(0.0)),
/// };
/// let all = pooled(&[place(300.0, 3000.0), place(100.0, 200.0)])?;
/// assert!((all.days.map(as_days).unwrap_or_default() - 8.0).abs() < 1e-9);
/// // nothing needed: it does not run out, and no number says so
/// assert_eq!(pooled(&[place(0.0, 50.0)])?.days, None);
/// # Ok::<(), keepwell_engine::neighbourhood::Refusal>(())
/// ```
///
/// **Reference.** The project's own definition.
///
/// # Errors
/// [`Refusal`] names the site, the figure and what is allowed.
pub fn pooled(places: &[Place]) -> Result<Pooled, Refusal> {
    check(places)?;
    let in_reach: Volume = places.iter().map(|place| place.in_reach).sum();
    let need: VolumeRate = places.iter().map(|place| place.need).sum();
    // a need so small that the days overflow is no need
    let lasts = (need > VolumeRate::default()).then(|| as_litres(in_reach) / as_litres_per_day(need));
    Ok(Pooled { in_reach, need, days: lasts.filter(|lasts| lasts.is_finite()).map(days) })
}

/// What changes for all together on the way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// from now
    pub at: Time,
    /// litres more that are needed a day from then on; below 0 it is less
    pub more: VolumeRate,
    /// litres that come then
    pub comes: Volume,
}

/// The same in days, litres a day and litres.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Plain {
    pub(crate) at: f64,
    pub(crate) more: f64,
    pub(crate) comes: f64,
}

/// Days that so many litres last at a need that changes on the way; infinite where nothing is needed at last.
pub(crate) fn lasts(mut held: f64, mut need: f64, steps: &mut [Plain]) -> f64 {
    steps.sort_by(|a, b| a.at.total_cmp(&b.at));
    let mut at = 0.0;
    let lasts = |held: f64, need: f64| if need > 0.0 { held.max(0.0) / need } else { f64::INFINITY };
    for step in steps {
        if at + lasts(held, need) < step.at {
            break;
        }
        held += step.comes - need * (step.at - at);
        at = step.at;
        // what is left over from sums is no need
        need = (need + step.more).max(0.0);
    }
    at + lasts(held, need)
}

impl Pooled {
    /// The same when the need changes and water comes on the way: the first time at which all that has come is used up.
    ///
    /// **Formula.** Litres fall at the need in force from step to step: V(t) = V₀ + Σ comes − ∫ need dt; the days are the
    /// first t at which V(t) = 0 while anything is needed.
    ///
    /// **Arguments** `steps` in any order, each at 0 days or later.
    ///
    /// By hand: 300 L at 30 L a day, at 60 after day 4: 300 − 120 = 180 L, 3 days more.
    /// ```
    /// use keepwell_engine::neighbourhood::{Pooled, Step};
    /// use keepwell_engine::quantity::{as_days, days, litres, litres_per_day};
    /// let pooled = Pooled { in_reach: litres(300.0), need: litres_per_day(30.0), days: Some(days(10.0)) };
    /// let step = Step { at: days(4.0), more: litres_per_day(30.0), comes: litres(0.0) };
    /// assert!((pooled.with_steps(vec![step]).days.map(as_days).unwrap_or_default() - 7.0).abs() < 1e-9);
    /// ```
    ///
    /// **Reference.** The project's own definition.
    #[must_use]
    pub fn with_steps(self, steps: Vec<Step>) -> Self {
        let plain = |step: Step| Plain {
            at: as_days(step.at),
            more: as_litres_per_day(step.more),
            comes: as_litres(step.comes),
        };
        let mut steps: Vec<Plain> = steps.into_iter().map(plain).collect();
        let lasts = lasts(as_litres(self.in_reach), as_litres_per_day(self.need), &mut steps);
        Self { days: Some(lasts).filter(|days| days.is_finite()).map(days), ..self }
    }

    /// How it came about.
    #[must_use]
    pub fn working(&self) -> Working {
        let working = Working::new("Pooled days of water", "D = Σ litres / Σ (litres a day)")
            .input(
                "Drinking water in reach",
                "Σ litres",
                Figure::exact(as_litres(self.in_reach), Unit::Litre),
                "estimate",
            )
            .input(
                "Litres needed a day",
                "Σ (litres a day)",
                Figure::exact(as_litres_per_day(self.need), Unit::LitrePerDay),
                "ration",
            )
            .without("whether the water can be moved: an upper bound")
            .source("the project's own definition");
        match self.days {
            Some(lasts) => {
                working.step("Days if every litre could be moved", "D", Figure::exact(as_days(lasts), Unit::Day))
            }
            None => working.without("nothing is needed: it does not run out"),
        }
    }
}

fn curve(places: &[Place], ends: impl Fn(&Place) -> Option<Time>) -> Curve {
    let falls_at = |place: &Place| ends(place).filter(|_| place.people > 0.0 && place.need > VolumeRate::default());
    let mut falls: Vec<Fall> = places
        .iter()
        .enumerate()
        .filter_map(|(index, place)| {
            falls_at(place).map(|at| Fall { at, place: index, people: place.people, supplied: 0.0 })
        })
        .collect();
    falls.sort_by(|one, other| as_days(one.at).total_cmp(&as_days(other.at)));
    // added up from those who never fall, so that nothing is left over by rounding when all have fallen
    let mut supplied: f64 = places.iter().filter(|place| falls_at(place).is_none()).map(|place| place.people).sum();
    for fall in falls.iter_mut().rev() {
        fall.supplied = supplied;
        supplied += fall.people;
    }
    Curve { people: supplied, falls }
}

fn check(places: &[Place]) -> Result<(), Refusal> {
    for (index, place) in places.iter().enumerate() {
        let figures = [
            ("people", place.people),
            ("litres needed a day", as_litres_per_day(place.need)),
            ("litres in reach", as_litres(place.in_reach)),
            ("days at the ration", place.ration_ends.map_or(0.0, as_days)),
            ("days to dry", place.dry_from.map_or(0.0, as_days)),
        ];
        if let Some((field, value)) = figures.into_iter().find(|(_, value)| !(0.0..=MOST).contains(value)) {
            return Err(Refusal { place: index, field, value });
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::quantity::litres;
    use crate::quantity::litres_per_day;

    fn place(people: f64, need: f64, store: f64, ends: Option<f64>) -> Place {
        Place {
            people,
            need: litres_per_day(need),
            in_reach: litres(store),
            ration_ends: ends.map(days),
            dry_from: ends.map(days),
        }
    }

    #[test]
    fn nothing_needed_does_not_run_out() {
        let idle = [place(0.0, 0.0, 500.0, Some(0.0)), place(4.0, 0.0, 0.0, Some(0.0))];
        assert_eq!(pooled(&idle).unwrap().days, None);
        assert_eq!(as_placed(&idle).unwrap().ration.first(), None);
        assert_eq!(as_placed(&[]).unwrap().ration, Curve { people: 0.0, falls: vec![] });
        assert_eq!(pooled(&[]).unwrap().days, None);
        assert!(pooled(&idle).unwrap().working().steps.is_empty(), "no figure stands for without end");
    }

    #[test]
    fn people_without_a_store_go_without_from_the_first_moment() {
        let curve =
            as_placed(&[place(10.0, 150.0, 3000.0, Some(20.0)), place(5.0, 75.0, 0.0, Some(0.0))]).unwrap().ration;
        let first = curve.first().unwrap();
        assert_eq!((as_days(first.at), first.place), (0.0, 1));
        assert!((curve.supplied_at(days(0.0)) - 10.0).abs() < 1e-12);
    }

    #[test]
    fn a_figure_that_is_none_is_refused_by_site_and_name() {
        let places = [place(1.0, 15.0, 10.0, None), place(1.0, 15.0, f64::NAN, None)];
        let refusal = as_placed(&places).unwrap_err().to_string();
        assert_eq!(refusal, "litres in reach of site number 1, counted from 0, is NaN; allowed is 0 to 1e15");
        assert!(pooled(&[place(-1.0, 15.0, 10.0, None)]).is_err());
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

        /// The curve counts everyone once, only falls, and each day agrees with counting the sites one by one.
        #[test]
        fn the_curve_agrees_with_counting(
            sites in prop::collection::vec((0u8..20, 0u8..3, prop::option::of(0u8..12)), 0..30), day in 0u8..14,
        ) {
            let places: Vec<Place> = sites
                .iter()
                .map(|(people, need, ends)| place(f64::from(*people), f64::from(*need), 1.0, ends.map(f64::from)))
                .collect();
            let curve = as_placed(&places).unwrap().ration;
            let everyone: f64 = sites.iter().map(|(people, ..)| f64::from(*people)).sum();
            prop_assert!((curve.people - everyone).abs() < 1e-9);
            let counted: f64 = sites
                .iter()
                .filter(|(_, need, ends)| *need == 0 || ends.is_none_or(|ends| ends > day))
                .map(|(people, ..)| f64::from(*people))
                .sum();
            prop_assert!((curve.supplied_at(days(f64::from(day))) - counted).abs() < 1e-9);
            prop_assert!(curve.falls.windows(2).all(|pair| pair[0].at <= pair[1].at && pair[0].supplied >= pair[1].supplied));
        }

        /// A ratio of sums lies between the least and the greatest of the ratios.
        #[test]
        fn pooled_is_never_less_than_the_first_to_go_without(
            sites in prop::collection::vec((1u8..20, 0u16..5000), 1..30),
        ) {
            let places: Vec<Place> = sites
                .iter()
                .map(|(need, store)| {
                    let (need, store) = (f64::from(*need), f64::from(*store));
                    place(1.0, need, store, Some(store / need))
                })
                .collect();
            let pooled = pooled(&places).unwrap().days.map(as_days).unwrap();
            let first = as_days(as_placed(&places).unwrap().ration.first().unwrap().at);
            prop_assert!(pooled >= first - 1e-9);
        }
    }
}
