//! Runs: a case as JSON in, how it goes as JSON out.

use keepwell_engine::endurance;
use keepwell_engine::endurance::Change;
use keepwell_engine::endurance::Event;
use keepwell_engine::endurance::Heels;
use keepwell_engine::endurance::Level;
use keepwell_engine::endurance::Power;
use keepwell_engine::endurance::Reach;
use keepwell_engine::endurance::Run;
use keepwell_engine::endurance::Stock;
use keepwell_engine::endurance::Timeline;
use keepwell_engine::endurance::Treatment;
use keepwell_engine::endurance::Uses;
use keepwell_engine::grade::Grade;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::days;
use keepwell_engine::quantity::hours;
use keepwell_engine::quantity::litres;
use keepwell_engine::quantity::litres_per_hour;
use keepwell_engine::vessel::Way;
use serde_json::Map;
use serde_json::Value;
use serde_json::json;

type Object = Map<String, Value>;

/// Answers one case, or says why it is refused.
pub fn answer(case: &Value) -> Result<Value, String> {
    let run = read(object(case, "case")?)?;
    let timeline = endurance::run(&run).map_err(|refusal| refusal.to_string())?;
    Ok(write(&run, &timeline))
}

fn read(case: &Object) -> Result<Run, String> {
    let levels = list(case, "levels")?.iter().map(read_level).collect::<Result<Vec<_>, _>>()?;
    let stocks = list(case, "stocks")?.iter().map(read_stock).collect::<Result<Vec<_>, _>>()?;
    let events = match part(case, "events") {
        None => Vec::new(),
        Some(_) => {
            let events = list(case, "events")?.iter();
            events.map(|event| read_event(event, &levels, &stocks)).collect::<Result<Vec<_>, _>>()?
        }
    };
    Ok(Run {
        horizon: days(number(case, "horizon_days")?),
        people: number(case, "people")?,
        levels,
        stocks,
        power: part(case, "power").map(read_power).transpose()?,
        battery: None,
        treatment: part(case, "treatment").map(read_treatment).transpose()?,
        keep_drinking: days(if_given(case, "keep_drinking_days")?.unwrap_or(0.0)),
        events,
    })
}

fn read_level(value: &Value) -> Result<Level, String> {
    let level = object(value, "level")?;
    let ways = list(level, "reach")?.iter().map(|way| match way.as_str() {
        Some(name) => read_way(name),
        None => Err(format!("reach has {way}; allowed is the name of a way")),
    });
    let reach = ways.collect::<Result<Reach, _>>()?;
    let uses = level.get("uses").ok_or("uses is missing; allowed is an object")?;
    Ok(Level { name: text(level, "name")?, reach, uses: read_uses(uses)? })
}

fn read_uses(value: &Value) -> Result<Uses, String> {
    let given = object(value, "uses")?;
    let mut uses = Uses::default();
    for name in given.keys() {
        let volume = litres(number(given, name)?);
        match name.as_str() {
            "drink" => uses.drink = volume,
            "cook" => uses.cook = volume,
            "wash" => uses.wash = volume,
            "flush" => uses.flush = volume,
            _ => return Err(format!("uses has {name:?}; allowed is \"drink\", \"cook\", \"wash\", \"flush\"")),
        }
    }
    Ok(uses)
}

fn read_stock(value: &Value) -> Result<Stock, String> {
    let stock = object(value, "stock")?;
    let given = object(stock.get("heel").ok_or("heel is missing; allowed is an object")?, "heel")?;
    let heels = given.keys().map(|way| Ok((read_way(way)?, litres(number(given, way)?))));
    let heel = heels.collect::<Result<Heels, String>>()?;
    let grade = match text(stock, "grade")?.as_str() {
        "drink" => Grade::Drink,
        "treat" => Grade::Treat,
        "utility" => Grade::Utility,
        "hold" => Grade::Hold,
        other => return Err(format!("grade is {other:?}; allowed is \"drink\", \"treat\", \"utility\", \"hold\"")),
    };
    Ok(Stock { id: text(stock, "id")?, grade, volume: litres(number(stock, "litres")?), heel })
}

fn read_way(name: &str) -> Result<Way, String> {
    Way::from_key(name).ok_or_else(|| format!("a way is {name:?}; allowed is \"pump\", \"gravity\", \"dip\""))
}

fn read_power(value: &Value) -> Result<Power, String> {
    let power = object(value, "power")?;
    Ok(Power {
        fuel: if_given(power, "fuel_L")?.map(litres),
        burn: litres_per_hour(number(power, "burn_L_per_h")?),
        hours_a_day: hours(number(power, "hours_per_day")?),
    })
}

fn read_treatment(value: &Value) -> Result<Treatment, String> {
    let treatment = object(value, "treatment")?;
    let needs_power = match treatment.get("needs_power") {
        None => false,
        Some(Value::Bool(needs)) => *needs,
        Some(other) => return Err(format!("needs_power is {other}; allowed is true or false")),
    };
    Ok(Treatment { media: if_given(treatment, "media_L")?.map(litres), needs_power })
}

fn read_event(value: &Value, levels: &[Level], stocks: &[Stock]) -> Result<Event, String> {
    let event = object(value, "event")?;
    let stock = named(event, "stock", |name| stocks.iter().position(|stock| stock.id == name))?;
    let level = named(event, "level", |name| levels.iter().position(|level| level.name == name))?;
    let change = match (event.get("add_L"), event.get("add_fuel_L"), event.get("uses")) {
        (Some(_), None, None) => Change::AddWater {
            stock: stock.ok_or("stock is missing from an event; allowed is the id of a stock")?,
            volume: litres(number(event, "add_L")?),
        },
        (None, Some(_), None) => Change::AddFuel(litres(number(event, "add_fuel_L")?)),
        (None, None, Some(uses)) => Change::Uses {
            level: level.ok_or("level is missing from an event; allowed is the name of a level")?,
            uses: read_uses(uses)?,
        },
        _ => return Err("an event has none or several of add_L, add_fuel_L, uses; allowed is exactly one".to_owned()),
    };
    Ok(Event { at: days(number(event, "day")?), change })
}

/// What an event is for, by its place in the list.
fn named(event: &Object, key: &str, find: impl Fn(&str) -> Option<usize>) -> Result<Option<usize>, String> {
    if !event.contains_key(key) {
        return Ok(None);
    }
    let name = text(event, key)?;
    find(&name).map(Some).ok_or_else(|| format!("an event is for the {key} {name:?}; allowed is one of the {key}s"))
}

fn write(run: &Run, timeline: &Timeline) -> Value {
    let name =
        |level: Option<usize>| level.and_then(|at| run.levels.get(at)).map_or("dry", |level| level.name.as_str());
    let day = |time: Time| as_days(time);
    let spans: Vec<Value> = timeline
        .spans
        .iter()
        .map(|span| {
            json!({"level": name(span.level), "from": day(span.from), "to": day(span.to), "cause": span.cause.key()})
        })
        .collect();
    let left = run.stocks.iter().zip(&timeline.left);
    let left: Object = left.map(|(stock, volume)| (stock.id.clone(), json!(as_litres(*volume)))).collect();
    json!({
        "spans": spans,
        "days_at_ration": day(timeline.days_at_ration),
        "days_to_dry": day(timeline.days_to_dry),
        "left": left,
        "fuel_left": timeline.fuel_left.map(as_litres),
    })
}

fn object<'a>(value: &'a Value, name: &str) -> Result<&'a Object, String> {
    value.as_object().ok_or_else(|| format!("{name} is {value}; allowed is an object"))
}

/// A part of the case that may be missing, or null.
fn part<'a>(case: &'a Object, key: &str) -> Option<&'a Value> {
    case.get(key).filter(|value| !value.is_null())
}

fn list<'a>(parent: &'a Object, key: &str) -> Result<&'a Vec<Value>, String> {
    let value = parent.get(key).ok_or_else(|| format!("{key} is missing; allowed is a list"))?;
    value.as_array().ok_or_else(|| format!("{key} is {value}; allowed is a list"))
}

fn text(parent: &Object, key: &str) -> Result<String, String> {
    let value = parent.get(key).ok_or_else(|| format!("{key} is missing; allowed is text"))?;
    value.as_str().map(str::to_owned).ok_or_else(|| format!("{key} is {value}; allowed is text"))
}

fn if_given(parent: &Object, key: &str) -> Result<Option<f64>, String> {
    if parent.contains_key(key) { number(parent, key).map(Some) } else { Ok(None) }
}

/// A number; whether it is in range is the engine's to say.
fn number(parent: &Object, key: &str) -> Result<f64, String> {
    let value = parent.get(key).ok_or_else(|| format!("{key} is missing; allowed is a number, 0 or more"))?;
    value.as_f64().ok_or_else(|| format!("{key} is {value}; allowed is a number, 0 or more"))
}
