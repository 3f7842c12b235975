//! What the engine refuses, as a message beside the field that it is about.

use keepwell_engine::distribution::DistributionError;
use keepwell_engine::endurance;
use keepwell_engine::hydraulics::HydraulicsError;
use keepwell_engine::power::PowerError;
use keepwell_engine::quantity::OutOfRange;
use keepwell_engine::quantity::Unit;
use keepwell_engine::structure::StructureError;
use keepwell_engine::treatment::TreatmentError;
use keepwell_engine::vessel::ShapeError;

use crate::model::entry::fields::Field;
use crate::model::entry::fields::Problem;
use crate::model::entry::fields::What;
use crate::model::entry::fields::out_of_range;
use crate::model::message::Arg;
use crate::model::message::Message;

/// Why there is no answer.
#[derive(Debug)]
pub(super) enum Refused {
    /// a figure, given or reckoned on the way, that is out of its range
    OutOfRange(OutOfRange),
    /// in words, beside a field; or beside none
    Said(&'static str, Message),
}

impl Refused {
    pub(super) fn missing(key: &'static str) -> Self {
        Self::Said(key, Message::new("{Field} is missing.").with("field", Arg::Word(key)))
    }

    pub(super) const fn whole(message: Message) -> Self {
        Self::Said("", message)
    }

    /// The problem, beside the field of that measure where there is just one.
    pub(super) fn of(self, fields: &[Field]) -> Problem {
        match self {
            Self::Said(field, message) => Problem::new(field, message),
            Self::OutOfRange(error) => {
                let same = |field: &&Field| match field.what {
                    What::Figure(measure) | What::Whole(measure) => *measure == error.measure,
                    _ => false,
                };
                let mut measured = fields.iter().filter(same);
                match (measured.next(), measured.next()) {
                    (Some(field), None) => Problem::new(field.key, out_of_range(field.label, &error)),
                    _ => Problem::new("", out_of_range(error.measure.name, &error)),
                }
            }
        }
    }
}

const NO_ANSWER: &str = "There is no answer to these figures: {why}.";

/// The engine's own words, which are English.
fn plainly(why: &impl ToString) -> Refused {
    Refused::whole(Message::new(NO_ANSWER).with("why", Arg::text(why.to_string())))
}

fn exact(value: f64, unit: Unit) -> Arg {
    Arg::Exact(value, unit)
}

impl From<OutOfRange> for Refused {
    fn from(error: OutOfRange) -> Self {
        Self::OutOfRange(error)
    }
}

impl From<ShapeError> for Refused {
    fn from(error: ShapeError) -> Self {
        let metres = |value| exact(value, Unit::Metre);
        match error {
            ShapeError::OutOfRange { key, error } => Self::Said(key, out_of_range(error.measure.name, &error)),
            ShapeError::TooLarge { litres, max } => Self::whole(
                Message::new("These measures make a vessel for {litres}; allowed is {most} at most.")
                    .with("litres", Arg::Figure(litres, Unit::Litre))
                    .with("most", Arg::Figure(max, Unit::Litre)),
            ),
            ShapeError::Depth { depth, height } => Self::Said(
                "depth_m",
                Message::new("Depth of water is {depth}; allowed is 0 to {height}, the rim.")
                    .with("depth", metres(depth))
                    .with("height", metres(height)),
            ),
            ShapeError::Volume { litres, brim } => Self::Said(
                "litres",
                Message::new("Water is {litres}; allowed is 0 to {brim}, all that it holds.")
                    .with("litres", exact(litres, Unit::Litre))
                    .with("brim", Arg::Figure(brim, Unit::Litre)),
            ),
            other => plainly(&other),
        }
    }
}

impl From<HydraulicsError> for Refused {
    fn from(error: HydraulicsError) -> Self {
        let metres = |value| exact(value, Unit::Metre);
        match error {
            HydraulicsError::OutOfRange(error) => error.into(),
            HydraulicsError::Shape(error) => error.into(),
            HydraulicsError::OutOfReach { shut_off, needed } => Self::whole(
                Message::new("The pump makes {most} at no flow; it does not reach the {needed} that are needed.")
                    .with("most", Arg::Figure(shut_off, Unit::Metre))
                    .with("needed", Arg::Figure(needed, Unit::Metre)),
            ),
            HydraulicsError::NoDuty => Self::whole(Message::new(
                "Pump and pipe do not meet where the pump's curve falls: give points at higher flows.",
            )),
            HydraulicsError::Rises { flow, .. } => Self::whole(
                Message::new(
                    "The pump's curve rises: at {flow} the head is more than at a lower flow. Allowed is a head that falls.",
                )
                .with("flow", exact(flow, Unit::LitrePerMinute)),
            ),
            HydraulicsError::SameFlow { flow } => Self::whole(
                Message::new("The pump's curve has two points at {flow}; allowed is one for each flow.")
                    .with("flow", exact(flow, Unit::LitrePerMinute)),
            ),
            HydraulicsError::CutOut { cut_out, cut_in } => Self::Said(
                "cut_out_kpa",
                Message::new("Cut-out is {out}; allowed is above the cut-in of {in_at}.")
                    .with("out", exact(cut_out, Unit::Kilopascal))
                    .with("in_at", exact(cut_in, Unit::Kilopascal)),
            ),
            HydraulicsError::NotFalling { start, end } => Self::Said(
                "end_m",
                Message::new("The end is {end} and the start {start}; allowed is an end at or below the start.")
                    .with("end", metres(end))
                    .with("start", metres(start)),
            ),
            HydraulicsError::BelowOutlet { end, outlet } => Self::Said(
                "end_m",
                Message::new("The end is {end}; allowed is at or above the outlet at {outlet}.")
                    .with("end", metres(end))
                    .with("outlet", metres(outlet)),
            ),
            HydraulicsError::MoreOutThanIn { electrical, hydraulic } => Self::whole(
                Message::new("{electrical} in would give {hydraulic} of lifted water; allowed is no more out than in.")
                    .with("electrical", exact(electrical, Unit::Watt))
                    .with("hydraulic", Arg::Figure(hydraulic, Unit::Watt)),
            ),
            HydraulicsError::CleanerThanClean { drop, clean } => Self::Said(
                "drop_kpa",
                Message::new("The drop is {drop}; allowed is at or above the {clean} of a clean filter at that flow.")
                    .with("drop", exact(drop, Unit::Kilopascal))
                    .with("clean", Arg::Figure(clean, Unit::Kilopascal)),
            ),
            other => plainly(&other),
        }
    }
}

impl From<TreatmentError> for Refused {
    fn from(error: TreatmentError) -> Self {
        let mg = |value| exact(value, Unit::MilligramPerLitre);
        match error {
            TreatmentError::OutOfRange(error) => error.into(),
            TreatmentError::Zero { name } => {
                Self::whole(Message::new("{Field} is 0; allowed is above 0.").with("field", Arg::Word(name)))
            }
            TreatmentError::Unfit(unfit) => {
                Self::Said("product", Message::new("Refused: {why}.").with("why", Arg::Word(unfit.words())))
            }
            TreatmentError::ShockOnly { mg_l, most } => Self::whole(
                Message::new(
                    "The dose comes to {dose}; allowed is {most} at most. More is for disinfecting a tank, after which its water is on hold.",
                )
                .with("dose", mg(mg_l))
                .with("most", mg(most)),
            ),
            TreatmentError::TooCloudy { ntu, most } => Self::Said(
                "turbidity_ntu",
                Message::new(
                    "Cloudiness is {ntu}; allowed is {most} at most. Let it settle and filter it first.",
                )
                .with("ntu", exact(ntu, Unit::Ntu))
                .with("most", exact(most, Unit::Ntu)),
            ),
            TreatmentError::NotFree => Self::Said(
                "chloramine",
                Message::new("The chlorine is chloramine or total chlorine; allowed is a free chlorine that was measured."),
            ),
            TreatmentError::NoReading => Self::Said(
                "free_mg_l",
                Message::new("No free chlorine was found; allowed is a reading above 0 mg/L."),
            ),
            TreatmentError::PhAboveTable { ph, most, .. } => Self::Said(
                "ph",
                Message::new("pH is {ph}; allowed is {most} at most, for nothing is published above it.")
                    .with("ph", exact(ph, Unit::Ph))
                    .with("most", exact(most, Unit::Ph)),
            ),
            TreatmentError::NotOnChart { percent } => Self::Said(
                "percent",
                Message::new(
                    "Per cent on the label is {percent}; allowed is 5 to 9 for the household chart. Reckon the dose from the strength instead.",
                )
                .with("percent", exact(percent, Unit::Count)),
            ),
            TreatmentError::NotFalling => Self::whole(Message::new(
                "The second test is not lower than the first, or no time lies between them. Was it dosed or topped up?",
            )),
            TreatmentError::AfterFuel => Self::Said(
                "after_fuel",
                Message::new(
                    "After contact with fuel or chemicals there is no dose: empty and refill it, and ask the authority first.",
                ),
            ),
            other => plainly(&other),
        }
    }
}

impl From<StructureError> for Refused {
    fn from(error: StructureError) -> Self {
        match error {
            StructureError::OutOfRange(error) => error.into(),
            StructureError::Weightless { sds } => Self::Said(
                "sds",
                Message::new("Short-period acceleration is {sds} g; allowed is below 4.5 g, where nothing of the weight is left.")
                    .with("sds", exact(sds, Unit::Count)),
            ),
        }
    }
}

impl From<PowerError> for Refused {
    fn from(error: PowerError) -> Self {
        let load = |value| exact(value, Unit::Watt);
        match error {
            PowerError::OutOfRange(error) => error.into(),
            PowerError::Zero { name } => {
                Self::whole(Message::new("{Field} is 0; allowed is above 0.").with("field", Arg::Word(name)))
            }
            PowerError::AboveRated { watts, rated } => Self::Said(
                "load_w",
                Message::new("The load is {load}; allowed is 0 to {rated}, what the generator is rated for.")
                    .with("load", load(watts))
                    .with("rated", load(rated)),
            ),
            PowerError::Falls { watts } => Self::whole(
                Message::new("The burn at {load} is lower than at a lower load; allowed is a burn that does not fall.")
                    .with("load", load(watts)),
            ),
            PowerError::SameLoad { watts } => Self::whole(
                Message::new("The burn is given twice at {load}; allowed is once for each load.")
                    .with("load", load(watts)),
            ),
            other => plainly(&other),
        }
    }
}

impl From<DistributionError> for Refused {
    fn from(error: DistributionError) -> Self {
        match error {
            DistributionError::OutOfRange(error) => error.into(),
            DistributionError::TooHeavy { container, payload } => Self::Said(
                "payload_kg",
                Message::new("A full container weighs {full}; allowed is {most} at most, what is carried at once.")
                    .with("full", Arg::Figure(container, Unit::Kilogram))
                    .with("most", exact(payload, Unit::Kilogram)),
            ),
        }
    }
}

impl From<endurance::Refusal> for Refused {
    fn from(error: endurance::Refusal) -> Self {
        plainly(&error)
    }
}
