//! Grades: a vessel's history and a moment in, the grade, its causes and the clock's day out.

use keepwell_engine::grade::Act;
use keepwell_engine::grade::Body;
use keepwell_engine::grade::Cause;
use keepwell_engine::grade::Contents;
use keepwell_engine::grade::Disinfectant;
use keepwell_engine::grade::Grade;
use keepwell_engine::grade::Line;
use keepwell_engine::grade::NoticeKind;
use keepwell_engine::grade::Policy;
use keepwell_engine::grade::SourceKind;
use keepwell_engine::grade::Water;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::days;
use keepwell_engine::quantity::mg_per_litre;
use serde_json::Value;
use serde_json::json;

use crate::fields::Fields;
use crate::fields::wanted;

/// A case speaks of one supply.
const LINE: Line = Line(0);

/// Days nearer than this are one.
const SAME_DAY: f64 = 1e-6;

/// Further from now no day is believed; a moment holds ten times that.
const FURTHEST_DAY: f64 = 1e7;

/// The moment that is called day 0.
const DAY_0: Moment = Moment::from_micros(0);

/// The answer to one case, or why it has none.
pub fn answer(case: &Value) -> Result<Value, String> {
    let case = Fields::of(case, "")?;
    let vessel = case.object("vessel")?;
    let body =
        Body { food_grade: vessel.flag("food_grade")?, closed: vessel.flag("closed")?, opaque: vessel.flag("opaque")? };
    let policy = case.object("policy")?;
    let floor = policy.maybe_number("floor_mg_L")?.map(mg_per_litre);
    let policy = Policy::new(days(policy.number("interval_days")?), days(policy.number("redose_days")?), floor)
        .map_err(|why| format!("policy: {why}"))?;
    let ask = day(&case, "ask")?;

    let mut water = Water::new(body, policy);
    let mut asked = None;
    for (index, entry) in case.array("entries")?.iter().enumerate() {
        let entry = Fields::of(entry, format!("entries[{index}]"))?;
        let at = day(&entry, "day")?;
        if at > ask + SAME_DAY {
            if index == 0 {
                return Err(format!("ask is {ask}; it must not be before the first entry, day {at}"));
            }
            // what has not happened yet is checked all the same, and changes no answer
            asked.get_or_insert_with(|| water.clone());
        }
        water.apply(moment(at), &act(&entry)?).map_err(|why| format!("entries[{index}]: {why}"))?;
    }
    let graded = asked.unwrap_or(water).at(moment(ask));
    Ok(json!({
        "grade": graded.grade.map_or("empty", Grade::key),
        "causes": graded.causes.iter().map(|cause| cause.key()).collect::<Vec<_>>(),
        "clock_day": graded.clock.map(|clock| as_days(clock.since(DAY_0))),
    }))
}

fn act(entry: &Fields) -> Result<Act, String> {
    Ok(match entry.text("act")? {
        "fill" => {
            Act::Fill { source: source(entry)?, line: LINE, boiled: entry.maybe_flag("boiled")?.unwrap_or(false) }
        }
        "transfer_in" => Act::TransferIn(Contents {
            causes: causes(entry)?,
            filled: moment(day(entry, "filled")?),
            keeps_until: None,
            chloramine: entry.maybe_flag("chloramine")?.unwrap_or(false),
        }),
        "flow" if entry.flag("on")? => Act::FlowOn { line: LINE, age: days(entry.number("age_days")?) },
        "flow" => Act::FlowOff,
        "draw" => Act::Draw { to_outlet: entry.maybe_flag("outlet")?.unwrap_or(false) },
        "drain" => Act::Drain,
        "dose" => Act::Dose { shock: entry.maybe_flag("shock")?.unwrap_or(false) },
        "disinfect" => Act::Disinfect,
        "test" => Act::Test {
            free: entry.maybe_number("free_mg_L")?.map(mg_per_litre),
            total: entry.maybe_number("total_mg_L")?.map(mg_per_litre),
            coliform: entry.maybe_flag("coliform")?,
        },
        "notice" => Act::Notice { line: LINE, kind: kind(entry)? },
        "lifted" => Act::Lifted { line: LINE, kind: kind(entry)? },
        "lid" => Act::Lid { open: entry.flag("open")? },
        "flooded" => Act::Flooded,
        "fuel_contact" => Act::FuelContact,
        "mains" => Act::Mains { line: LINE, disinfectant: disinfectant(entry)? },
        _ => return Err(entry.unknown("act", "an act of this kind of case")),
    })
}

fn source(entry: &Fields) -> Result<SourceKind, String> {
    let printed = if entry.has("printed") { Some(moment(day(entry, "printed")?)) } else { None };
    Ok(match entry.text("source")? {
        "mains" => SourceKind::Mains,
        "bought" => SourceKind::Bought { printed },
        "doubtful" => SourceKind::Doubtful,
        "chemical" => SourceKind::Chemical,
        _ => return Err(entry.unknown("source", "mains, bought, doubtful or chemical")),
    })
}

fn kind(entry: &Fields) -> Result<NoticeKind, String> {
    Ok(match entry.text("kind")? {
        "boil" => NoticeKind::Boil,
        "do_not_drink" => NoticeKind::DoNotDrink,
        "do_not_use" => NoticeKind::DoNotUse,
        _ => return Err(entry.unknown("kind", "boil, do_not_drink or do_not_use")),
    })
}

fn disinfectant(entry: &Fields) -> Result<Disinfectant, String> {
    Ok(match entry.maybe_text("disinfectant")? {
        None | Some("free") => Disinfectant::Free,
        Some("chloramine") => Disinfectant::Chloramine,
        Some(_) => return Err(entry.unknown("disinfectant", "free or chloramine")),
    })
}

fn causes(entry: &Fields) -> Result<Vec<Cause>, String> {
    let named = |value: &Value| Cause::ALL.into_iter().find(|cause| value.as_str() == Some(cause.key()));
    let from = entry.array("from")?;
    from.iter().map(|value| named(value).ok_or_else(|| wanted(&entry.name("from"), value, "a cause"))).collect()
}

fn day(fields: &Fields, key: &str) -> Result<f64, String> {
    let day = fields.number(key)?;
    if day.abs() <= FURTHEST_DAY {
        return Ok(day);
    }
    Err(format!("{} is {day}; allowed is {} to {FURTHEST_DAY}", fields.name(key), -FURTHEST_DAY))
}

fn moment(day: f64) -> Moment {
    DAY_0.after(days(day))
}
