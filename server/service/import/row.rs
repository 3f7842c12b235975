//! One row of a file, asked for its values. Each is checked once, here; what does not hold is put among the faults with
//! its line and column, and comes back as nothing.

use jiff::Timestamp;
use jiff::ToSpan;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use keepwell_engine::power::propane_from_mass;
use keepwell_engine::quantity::Measure;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::kilograms;

use crate::model::choice::Choice;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::name::Name;
use crate::model::neighbourhood::Units;
use crate::service::import::Fault;
use crate::service::import::columns::Takes;
use crate::service::import::heading::Place;
use crate::service::import::heading::Sheet;
use crate::service::import::heading::plain_name;
use crate::service::import::number;
use crate::service::import::table::Line;
use crate::service::import::unit;
use crate::service::import::unit::Written;
use crate::service::import::when;

/// How far ahead of us a clock may be.
const MINUTES_AHEAD: i64 = 10;

/// How the files are to be read.
pub struct Asked<'a> {
    pub units: Units,
    pub now: Timestamp,
    pub zone: &'a TimeZone,
}

/// Where in a file something stands, for saying later what is wrong with it.
#[derive(Clone, Debug)]
pub struct Spot {
    pub file: String,
    pub line: usize,
    pub column: String,
    pub value: String,
}

impl Spot {
    pub fn fault(&self, message: Message) -> Fault {
        let Self { file, line, column, value } = self.clone();
        Fault { file, line, column, value, message }
    }
}

/// A row while it is read.
pub struct Row<'a> {
    sheet: &'a Sheet,
    line: &'a Line,
    pub asked: &'a Asked<'a>,
    faults: &'a mut Vec<Fault>,
    faults_before: usize,
}

impl<'a> Row<'a> {
    pub fn new(sheet: &'a Sheet, line: &'a Line, asked: &'a Asked<'a>, faults: &'a mut Vec<Fault>) -> Self {
        let faults_before = faults.len();
        Self { sheet, line, asked, faults, faults_before }
    }

    pub const fn line(&self) -> usize {
        self.line.number
    }

    /// Whether nothing was wrong with it so far.
    pub fn is_sound(&self) -> bool {
        self.faults.len() == self.faults_before
    }

    fn place(&self, key: &str) -> Option<(Takes, &'a Place)> {
        let at = self.sheet.columns.iter().position(|column| column.key == key)?;
        Some((self.sheet.columns[at].takes, self.sheet.places[at].as_ref()?))
    }

    /// What stands in the column; empty where there is none.
    pub fn text(&self, key: &str) -> &'a str {
        self.place(key).and_then(|(_, place)| self.line.cells.get(place.index)).map_or("", String::as_str)
    }

    pub fn spot(&self, key: &str) -> Spot {
        let column = match self.place(key) {
            Some((_, place)) => place.heading.clone(),
            None => self.name(key).to_owned(),
        };
        Spot { file: self.sheet.file.clone(), line: self.line.number, column, value: self.text(key).to_owned() }
    }

    /// The column's heading as we write it.
    fn name(&self, key: &str) -> &'a str {
        self.sheet.columns.iter().find(|column| column.key == key).map_or("", |column| column.name())
    }

    pub fn fault(&mut self, key: &str, message: Message) {
        let fault = self.spot(key).fault(message);
        self.faults.push(fault);
    }

    fn keep<T>(&mut self, key: &str, found: Result<T, Message>) -> Option<T> {
        found.map_err(|message| self.fault(key, message)).ok()
    }

    pub fn missing(&mut self, key: &str) {
        self.fault(key, Message::new("{Field} is missing.").with("field", Arg::text(self.name(key))));
    }

    /// Words, where there are any.
    pub fn words(&self, key: &str) -> Option<String> {
        Some(self.text(key)).filter(|text| !text.is_empty()).map(str::to_owned)
    }

    /// A name, which has to be there.
    pub fn name_in(&mut self, key: &str) -> Option<Name> {
        let text = self.text(key);
        if text.is_empty() {
            self.missing(key);
            return None;
        }
        self.keep(key, Name::new(text))
    }

    pub fn choice<T: Choice>(&mut self, key: &str) -> Option<T> {
        let text = self.text(key);
        if text.is_empty() {
            return None;
        }
        let found = choose::<T>(text);
        if found.is_none() {
            let allowed: Vec<String> = T::LIST.iter().map(|row| row.1.replace('_', " ")).collect();
            self.fault(key, none_of(self.name(key), text, &allowed));
        }
        found
    }

    pub fn flag(&mut self, key: &str) -> Option<bool> {
        match self.text(key).to_lowercase().as_str() {
            "" => None,
            "yes" | "y" | "true" | "1" => Some(true),
            "no" | "n" | "false" | "0" => Some(false),
            _ => {
                let field = self.name(key);
                self.fault(key, Message::new("{Field} is yes or no.").with("field", Arg::text(field)));
                None
            }
        }
    }

    /// A figure in the unit it is kept in, within its range.
    pub fn figure(&mut self, key: &str) -> Option<f64> {
        let (text, (takes, place)) = (self.text(key), self.place(key)?);
        let Takes::Figure(measure) = takes else { return None };
        if text.is_empty() {
            return None;
        }
        let found = self.measured(text, measure.unit, false, place.units.first().copied()).map(|found| found.0);
        let found = found.and_then(|figure| in_range(self.name(key), measure, figure));
        self.keep(key, found)
    }

    pub fn whole(&mut self, key: &str) -> Option<u32> {
        let figure = self.figure(key)?;
        // Written out it is read again as a whole number, or is none.
        let whole = format!("{figure}").parse().ok();
        if whole.is_none() {
            let field = self.name(key);
            self.fault(key, Message::new("{Field} is a whole number.").with("field", Arg::text(field)));
        }
        whole
    }

    /// Litres of fuel; propane may be weighed.
    pub fn fuel(&mut self, key: &str, is_propane: bool) -> Option<f64> {
        let (text, (takes, place)) = (self.text(key), self.place(key)?);
        let Takes::Fuel(measure) = takes else { return None };
        if text.is_empty() {
            return None;
        }
        let found = self.measured(text, measure.unit, true, place.units.first().copied());
        let litres = found.and_then(|(figure, unit)| match unit {
            Unit::Kilogram if is_propane => {
                let volume = propane_from_mass(kilograms(figure));
                volume.map(as_litres).map_err(|error| too_far(self.name(key), error.value, &error.measure))
            }
            Unit::Kilogram => Err(Message::new("Only propane is weighed; give litres or gallons.")),
            _ => Ok(figure),
        });
        let litres = litres.and_then(|litres| in_range(self.name(key), measure, litres));
        self.keep(key, litres)
    }

    /// Depths and litres: `0.5:300 1:700`, or a pair a line.
    pub fn pairs(&mut self, key: &str) -> Option<Vec<(f64, f64)>> {
        let (text, (_, place)) = (self.text(key), self.place(key)?);
        if text.is_empty() {
            return None;
        }
        let pair = |text: &str| {
            let wrong = || {
                Message::new("{value} is no pair of depth and litres. Write pairs like 0.5:300, with spaces between.")
                    .with("value", Arg::text(text))
            };
            let (depth, litres) = text.split_once(':').ok_or_else(wrong)?;
            let depth = self.measured(depth, Unit::Metre, false, place.units.first().copied())?;
            let litres = self.measured(litres, Unit::Litre, false, place.units.get(1).copied())?;
            Ok((depth.0, litres.0))
        };
        let texts = text.split(|c: char| c.is_whitespace() || c == ';' || c == '|').filter(|text| !text.is_empty());
        let found: Result<Vec<(f64, f64)>, Message> = texts.map(pair).collect();
        self.keep(key, found)
    }

    /// A figure with the unit it was turned into: the unit in the cell, or else in the heading, or else of the system.
    fn measured(
        &self,
        text: &str,
        unit: Unit,
        weighed: bool,
        heading: Option<&'static Written>,
    ) -> Result<(f64, Unit), Message> {
        let is_unit = |c: char| c.is_alphabetic() || matches!(c, '%' | '"' | '″' | '′' | '°');
        let (digits, sign) = text.split_at(text.find(is_unit).unwrap_or(text.len()));
        if !digits.contains(|c: char| c.is_ascii_digit()) {
            return Err(number::no_number(text));
        }
        let written = match sign {
            "" => heading,
            sign => Some(unit::find(sign, unit, weighed).ok_or_else(|| {
                Message::new("{value} is no unit of this. Known are: {allowed}.")
                    .with("value", Arg::text(sign))
                    .with("allowed", Arg::text(unit::signs(unit, weighed)))
            })?),
        };
        let figure = number::figure(digits.trim(), self.sheet.marks)?;
        Ok(match written {
            Some(written) => ((written.kept)(figure), written.unit),
            None => (unit::by_system(figure, unit, self.asked.units), unit),
        })
    }

    pub fn day(&mut self, key: &str) -> Option<Date> {
        let text = self.text(key);
        if text.is_empty() {
            return None;
        }
        let found = when::day(text);
        let day = self.keep(key, found)?;
        self.moment(key).map(|_| day)
    }

    /// A point in time that is not ahead of us.
    pub fn moment(&mut self, key: &str) -> Option<Timestamp> {
        let text = self.text(key);
        if text.is_empty() {
            return None;
        }
        let found = when::moment(text, self.asked.zone);
        let at = self.keep(key, found)?;
        let latest = self.asked.now.checked_add(MINUTES_AHEAD.minutes()).unwrap_or(Timestamp::MAX);
        if at > latest {
            let field = self.name(key);
            self.fault(
                key,
                Message::new("{Field} lies ahead: {value}. At most 10 minutes ahead of now are allowed.")
                    .with("field", Arg::text(field))
                    .with("value", Arg::text(text)),
            );
            return None;
        }
        Some(at)
    }
}

/// The member of a list whose key or label this is, in whatever case and spacing.
pub fn choose<T: Choice>(text: &str) -> Option<T> {
    let text = plain_name(text);
    let is = |known: &str| plain_name(known) == text;
    T::LIST.iter().find(|row| is(row.1) || is(row.2)).map(|row| row.0)
}

pub fn none_of(field: &str, value: &str, allowed: &[String]) -> Message {
    Message::new("{Field} is one of: {allowed}. {value} is none of them.")
        .with("field", Arg::text(field))
        .with("allowed", Arg::text(allowed.join(", ")))
        .with("value", Arg::text(value))
}

fn in_range(field: &str, measure: &'static Measure, figure: f64) -> Result<f64, Message> {
    measure.check(figure).map_err(|error| too_far(field, figure, &error.measure))
}

fn too_far(field: &str, figure: f64, measure: &Measure) -> Message {
    Message::new("{Field} is {value}; allowed is {least} to {most}.")
        .with("field", Arg::text(field))
        .with("value", Arg::Exact(figure, measure.unit))
        .with("least", Arg::Exact(measure.min, measure.unit))
        .with("most", Arg::Exact(measure.max, measure.unit))
}
