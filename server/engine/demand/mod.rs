//! Demand: who draws at a site, how much a day, for what, and of which grade.
//!
//! Every person is counted once, where they would draw. Most draw at the ration in force; patients in beds, visitors
//! and animals need what they need, whatever the ration.

mod animals;
mod ladder;
mod learned;
mod people;
mod service;

#[cfg(test)]
mod tests;

pub use animals::Animal;
pub use animals::Season;
pub use ladder::HAND_CAP;
pub use ladder::LEAST_DRINK;
pub use ladder::Ladder;
pub use ladder::LadderError;
pub use ladder::Rung;
pub use ladder::Use;
pub use ladder::Uses;
pub use learned::ENOUGH_DAYS;
pub use learned::ENOUGH_WEIGHT;
pub use learned::Learned;
pub use learned::Measured;
pub use learned::learned;
pub use people::Category;
pub use people::Visit;
pub use service::FLUSHES;
pub use service::PublishedLevel;
pub use service::STORE_DAYS;
pub use service::fill_time;
pub use service::flushing;
pub use service::litres_at_point;
pub use service::points_needed;
pub use service::store_for;

use crate::quantity::HANDED_OUT;
use crate::quantity::OutOfRange;
use crate::quantity::RATION;
use crate::quantity::Time;
use crate::quantity::Unit;
use crate::quantity::VOLUME;
use crate::quantity::Volume;
use crate::quantity::as_litres;
use crate::quantity::days;
use crate::quantity::litres;
use crate::working::Figure;
use crate::working::Working;

/// Litres a day for a bed in use unless the site says otherwise: Sphere Handbook 2018, Appendix 3, 40 to 60 L.
pub const BED: f64 = 40.0;

const SPHERE_APPENDIX: &str = "Sphere Handbook 2018, WASH Appendix 3 (from memory)";

/// Who and what draws at one site.
#[derive(Clone, Debug, PartialEq)]
pub struct Population {
    counts: [u32; Category::ALL.len()],
    bed: Volume,
    visit: Visit,
    animals: Vec<(Animal, u32)>,
    season: Season,
}

impl Default for Population {
    fn default() -> Self {
        Self {
            counts: Default::default(),
            bed: litres(BED),
            visit: Visit::default(),
            animals: Vec::new(),
            season: Season::default(),
        }
    }
}

impl Population {
    /// With so many of a category, in place of those before.
    #[must_use]
    pub const fn with(mut self, category: Category, count: u32) -> Self {
        self.counts[category as usize] = count;
        self
    }

    /// With so many more animals of a kind.
    #[must_use]
    pub fn with_animals(mut self, animal: Animal, count: u32) -> Self {
        self.animals.push((animal, count));
        self
    }

    /// With another need a bed a day.
    ///
    /// # Errors
    /// [`OutOfRange`] outside 0 to 2,000 L.
    pub fn with_bed_need(mut self, each: Volume) -> Result<Self, OutOfRange> {
        self.bed = litres(RATION.check(as_litres(each))?);
        Ok(self)
    }

    /// With visitors of this kind.
    #[must_use]
    pub const fn with_visits(mut self, visit: Visit) -> Self {
        self.visit = visit;
        self
    }

    /// In this season.
    #[must_use]
    pub const fn in_season(mut self, season: Season) -> Self {
        self.season = season;
        self
    }

    /// How many of a category.
    #[must_use]
    pub const fn count(&self, category: Category) -> u32 {
        self.counts[category as usize]
    }

    /// People counted here, each once: all but day visitors.
    #[must_use]
    pub fn people(&self) -> u64 {
        self.sum(Category::counted)
    }

    /// Whether the site goes first when water is shared.
    #[must_use]
    pub fn priority(&self) -> bool {
        self.sum(Category::priority) > 0
    }

    fn sum(&self, which: fn(Category) -> bool) -> u64 {
        Category::ALL.into_iter().filter(|category| which(*category)).map(|it| u64::from(self.count(it))).sum()
    }

    /// Litres a day at a ration: a rung's uses, or what is left of them carried by hand ([`Uses::carried`]).
    ///
    /// - **Formula** Q = N·(drink + cook + wash + flush) + beds·40 + visits·5 or 3 + Σ animals·litres each, where N is
    ///   everyone who draws at the ration.
    /// - **Arguments** `ration` litres a person a day by use, each 0 to 2,000 L.
    /// - **Range** no heat, pregnancy or illness is added (CDC 2017 says "store more" and gives no number).
    /// - **Reference** the source named at each line; Sphere Handbook 2018, WASH Appendix 3.
    ///
    /// # Errors
    /// [`OutOfRange`] when a use is not between 0 and 2,000 L.
    ///
    /// A treatment centre of 50 beds at 60 L a day needs 9,000 L for three days (MSF Cholera guideline, 7.4):
    /// ```
    /// use keepwell_engine::demand::{Category, Population, Uses};
    /// use keepwell_engine::quantity::{as_litres, litres};
    /// let centre = Population::default().with(Category::Bed, 50).with_bed_need(litres(60.0))?;
    /// let demand = centre.demand(Uses::litres(3.0, 6.0, 6.0, 0.0))?;
    /// assert!((3.0 * as_litres(demand.total()) - 9000.0).abs() < 1e-9);
    /// # Ok::<(), keepwell_engine::quantity::OutOfRange>(())
    /// ```
    pub fn demand(&self, ration: Uses) -> Result<Demand, OutOfRange> {
        for what in Use::ALL {
            RATION.check(as_litres(ration.of(what)))?;
        }
        let mut lines = Vec::new();
        for category in Category::ALL {
            let count = self.count(category);
            let (each, source) = match category {
                Category::Bed => (self.bed, SPHERE_APPENDIX),
                Category::DayVisitor => (self.visit.each(), SPHERE_APPENDIX),
                _ => (ration.total(), "the ration in force"),
            };
            if count > 0 {
                let what = if count == 1 { category.one() } else { category.name() };
                lines.push(Line { what, count, each, source });
            }
        }
        for &(animal, count) in self.animals.iter().filter(|(_, count)| *count > 0) {
            let what = if count == 1 { animal.one() } else { animal.name() };
            lines.push(Line { what, count, each: animal.a_day(self.season), source: animal.source() });
        }
        let animals = self.animals.iter().map(|(animal, count)| animal.a_day(self.season) * f64::from(*count));
        Ok(Demand {
            people: self.people(),
            rationed: ration.times(as_f64(self.sum(Category::rationed))),
            beds: self.bed * f64::from(self.count(Category::Bed)),
            visitors: self.visit.each() * f64::from(self.count(Category::DayVisitor)),
            animals: animals.fold(Volume::default(), |sum, each| sum + each),
            priority: self.priority(),
            ration,
            lost: Volume::default(),
            lines,
        })
    }
}

/// People are whole and at most some billions: far below where an f64 skips one.
#[expect(clippy::cast_precision_loss, reason = "eight u32 add up to less than 2^36; an f64 is exact to 2^53")]
fn as_f64(people: u64) -> f64 {
    people as f64
}

/// One line of a demand: so many, so much each a day.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// who or what, in words: one of them, or several, as there are
    pub what: &'static str,
    /// how many
    pub count: u32,
    /// litres a day for one of them
    pub each: Volume,
    /// where that figure comes from
    pub source: &'static str,
}

impl Line {
    /// Litres a day for all of them.
    #[must_use]
    pub fn total(&self) -> Volume {
        self.each * f64::from(self.count)
    }
}

/// What a site needs for one day. Every volume is litres a day for the whole site.
#[derive(Clone, Debug, PartialEq)]
pub struct Demand {
    /// people counted, each once; day visitors are not among them
    pub people: u64,
    /// what those on the ration need, by use
    pub rationed: Uses,
    /// what patients in beds need, whatever the ration; all of it drink-grade
    pub beds: Volume,
    /// what day visitors need, whatever the ration; all of it drink-grade
    pub visitors: Volume,
    /// what animals need, whatever the ration; counted as drink-grade, which is the careful side
    pub animals: Volume,
    /// whether the site goes first when water is shared
    pub priority: bool,
    /// the ration it was reckoned at, litres a person a day
    pub ration: Uses,
    /// what of it all is lost in handing it out: see [`Demand::handed_out`]
    pub lost: Volume,
    /// what it is made of but for that, those with a count above 0
    pub lines: Vec<Line>,
}

impl Demand {
    /// What no ration cuts: beds, visitors, animals.
    #[must_use]
    pub fn unrationed(&self) -> Volume {
        self.beds + self.visitors + self.animals
    }

    /// Litres a day in all.
    #[must_use]
    pub fn total(&self) -> Volume {
        self.rationed.total() + self.unrationed()
    }

    /// Litres a day that need drink-grade water.
    #[must_use]
    pub fn drink_grade(&self) -> Volume {
        self.rationed.drink_grade() + self.unrationed()
    }

    /// The whole site's need by use: what no ration cuts stands under drinking, which no level of service cuts.
    #[must_use]
    pub fn by_use(&self) -> Uses {
        Uses { drink: self.rationed.drink + self.unrationed(), ..self.rationed }
    }

    /// People, and litres a person a day that together come to this demand: the two figures that an endurance asks
    /// for. Where nobody is counted but something is needed (a school by day, a herd), all of it is that of one head.
    #[must_use]
    pub fn per_head(&self) -> (f64, Uses) {
        let heads = if self.people == 0 && self.unrationed() > Volume::default() { 1.0 } else { as_f64(self.people) };
        if heads > 0.0 { (heads, self.by_use().times(1.0 / heads)) } else { (0.0, Uses::default()) }
    }

    /// The same where a part of what is drawn is lost in handing it out: so much more has to be drawn.
    ///
    /// - **Formula** Q' = Q ÷ (1 − loss), in every part alike.
    /// - **Arguments** `loss` 0 to 0.9 (UNHCR Emergency Handbook: 10 to 35 % of production).
    /// - **Reference** by definition, as in [`days_on_hand`].
    ///
    /// # Errors
    /// [`OutOfRange`] for a loss that is not.
    ///
    /// By hand: 120 people at 15 L are 1,800 L; with 10 % lost 2,000 L have to be drawn.
    /// ```
    /// use keepwell_engine::demand::{Category, Ladder, Population};
    /// use keepwell_engine::quantity::as_litres;
    /// let basic = Ladder::default().rung("basic").map(|rung| rung.uses()).unwrap_or_default();
    /// let drawn = Population::default().with(Category::Adult, 120).demand(basic)?.handed_out(0.1)?;
    /// assert!((as_litres(drawn.total()) - 2000.0).abs() < 1e-9);
    /// # Ok::<(), keepwell_engine::quantity::OutOfRange>(())
    /// ```
    pub fn handed_out(mut self, loss: f64) -> Result<Self, OutOfRange> {
        let loss = HANDED_OUT.check(loss)?;
        if loss > 0.0 {
            let (before, more) = (self.total(), 1.0 / (1.0 - loss));
            self.rationed = self.rationed.times(more);
            for part in [&mut self.beds, &mut self.visitors, &mut self.animals] {
                *part *= more;
            }
            self.lost = self.total() - before;
        }
        Ok(self)
    }

    /// The formula and figures behind the total.
    #[must_use]
    pub fn working(&self) -> Working {
        let mut working = Working::new("litres needed a day", "Q = Σ count × litres each")
            .input("people counted, each once", "", Figure::exact(as_f64(self.people), Unit::Count), "set-up")
            .input("the ration", "", Figure::exact(as_litres(self.ration.total()), Unit::LitrePerDay), "chosen");
        for line in &self.lines {
            working = working
                .input(line.what, "count", Figure::exact(f64::from(line.count), Unit::Count), "set-up")
                .step(line.what, "count × litres each", Figure::exact(as_litres(line.total()), Unit::LitrePerDay));
            if !working.sources.contains(&line.source) {
                working = working.source(line.source);
            }
        }
        if self.lost > Volume::default() {
            let lost = Figure::exact(as_litres(self.lost), Unit::LitrePerDay);
            working = working.step("lost in handing out", "Q · loss / (1 − loss)", lost);
        }
        working
            .step("needs drinking water", "", Figure::exact(as_litres(self.drink_grade()), Unit::LitrePerDay))
            .step("flushing", "", Figure::exact(as_litres(self.rationed.flush), Unit::LitrePerDay))
            .step("in all", "Q", Figure::exact(as_litres(self.total()), Unit::LitrePerDay))
            .without("heat, pregnancy and illness: store more (CDC 2017 gives no number)")
    }
}

/// How long so much water serves so much need, before any question of pump, grade or reach.
///
/// - **Formula** t = V·(1 − loss) / Q. Nothing needed: no answer, as nothing is used up.
/// - **Arguments** `usable` V 0 to 10,000,000 L; `a_day` Q litres a day, same range; `loss` of handing out, 0 to
///   under 1 (UNHCR Emergency Handbook: 10 to 35 % of production).
///
/// # Errors
/// [`OutOfRange`] names what is not.
///
/// ```
/// use keepwell_engine::demand::days_on_hand;
/// use keepwell_engine::quantity::{as_days, litres};
/// let time = days_on_hand(litres(10_000.0), litres(120.0 * 15.0), 0.1)?;
/// assert!(time.is_some_and(|time| (as_days(time) - 5.0).abs() < 1e-9));
/// # Ok::<(), keepwell_engine::quantity::OutOfRange>(())
/// ```
pub fn days_on_hand(usable: Volume, a_day: Volume, loss: f64) -> Result<Option<Time>, OutOfRange> {
    let usable = VOLUME.check(as_litres(usable))?;
    let a_day = VOLUME.check(as_litres(a_day))?;
    if !(0.0..1.0).contains(&loss) {
        let mut measure = crate::quantity::FRACTION;
        measure.name = "loss in handing out";
        return Err(OutOfRange { measure, value: loss });
    }
    let time = usable * (1.0 - loss) / a_day;
    Ok((a_day > 0.0 && time.is_finite()).then(|| days(time)))
}
