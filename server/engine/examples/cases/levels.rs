//! Levels: a vessel's history and the days asked in, what is believed of it on each of them out.

use keepwell_engine::level::Method;
use keepwell_engine::level::explain::Belief;
use keepwell_engine::level::explain::End;
use keepwell_engine::level::explain::Entry;
use keepwell_engine::level::explain::Habit;
use keepwell_engine::level::explain::Member;
use keepwell_engine::level::explain::Rate;
use keepwell_engine::level::explain::Tank;
use keepwell_engine::level::explain::What;
use keepwell_engine::level::explain::believe;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::as_litres_per_day;
use keepwell_engine::quantity::days;
use keepwell_engine::quantity::litres;
use keepwell_engine::quantity::millimetres;
use serde_json::Value;
use serde_json::json;

use crate::fields::Fields;
use crate::fields::wanted;

/// The moment that is called day 0, a midnight.
const DAY_0: Moment = Moment::from_micros(0);

/// Further on no day is believed; a moment holds ten times that.
const FURTHEST_DAY: f64 = 1e7;

/// The answer to one case, or why it has none.
pub fn answer(case: &Value) -> Result<Value, String> {
    let case = Fields::of(case, "")?;
    let habit = match case.text("use")? {
        "standing" => Habit::Standing,
        "in_use" => Habit::InUse,
        _ => return Err(case.unknown("use", "\"standing\" or \"in_use\"")),
    };
    let tank = tank(&case.object("vessel")?)?;
    let mut entries = Vec::new();
    for (index, entry) in case.array("entries")?.iter().enumerate() {
        entries.push(read(&Fields::of(entry, format!("entries[{index}]"))?)?);
    }
    let mut asks = Vec::new();
    for ask in case.array("ask")? {
        let day = ask.as_f64().filter(|day| (0.0..=FURTHEST_DAY).contains(day));
        asks.push(moment(day.ok_or_else(|| wanted("ask", ask, "a day, 0 or more"))?));
    }
    let first = entries.iter().map(|entry| entry.at).min();
    if first.is_none_or(|first| asks.iter().any(|&ask| ask < first)) {
        return Err(
            "ask is before the first entry, or there is none; allowed is a day on which one had been".to_owned()
        );
    }
    let beliefs = believe(&tank, habit, DAY_0, &entries, &asks).map_err(|why| why.to_string())?;
    Ok(beliefs.iter().map(write).collect())
}

fn tank(vessel: &Fields) -> Result<Tank, String> {
    let mut members = vec![member(vessel, 0.0)?];
    if vessel.has("bank") {
        let bank = vessel.object("bank")?;
        members.push(member(&bank, amount(&bank, "floor_mm")?)?);
    }
    Tank::new(&members, amount(vessel, "capacity_sd")?).map_err(|why| format!("vessel: {why}"))
}

fn member(vessel: &Fields, floor: f64) -> Result<Member, String> {
    let (by, depth) = (amount(vessel, "litres_per_mm")?, amount(vessel, "depth_mm")?);
    Ok(Member::upright(millimetres(floor), millimetres(depth), litres(by * depth)))
}

fn read(entry: &Fields) -> Result<Entry, String> {
    let what = match entry.text("kind")? {
        "dip" => What::Dip {
            member: match entry.maybe_text("of")? {
                None => 0,
                Some("partner") => 1,
                Some(_) => return Err(entry.unknown("of", "\"partner\"")),
            },
            depth: millimetres(amount(entry, "depth_mm")?),
            from: match entry.text("from")? {
                "floor" => End::Floor,
                "rim" => End::Rim,
                _ => return Err(entry.unknown("from", "\"floor\" or \"rim\"")),
            },
        },
        "sensor" => What::Sensor(millimetres(amount(entry, "depth_mm")?)),
        "sight" => What::Sight(litres(amount(entry, "litres")?)),
        "eye" => What::Eye(amount(entry, "part")?),
        "meter" => What::Counter(litres(amount(entry, "total_L")?)),
        "fill" if entry.has("to") => match entry.text("to")? {
            "top" => What::Top,
            _ => return Err(entry.unknown("to", "\"top\"")),
        },
        "fill" => What::In { volume: litres(amount(entry, "litres")?), by: method(entry)? },
        "draw" if entry.text("by")? == "unknown" => What::OutUnknown,
        "draw" => What::Out { volume: litres(amount(entry, "litres")?), by: method(entry)? },
        "transfer" => {
            let (volume, by) = (litres(amount(entry, "litres")?), method(entry)?);
            match entry.text("way")? {
                "in" => What::In { volume, by },
                "out" => What::Out { volume, by },
                _ => return Err(entry.unknown("way", "\"in\" or \"out\"")),
            }
        }
        _ => return Err(entry.unknown("kind", "dip, sensor, sight, eye, meter, fill, draw or transfer")),
    };
    Ok(Entry { id: id(entry)?, at: moment(day(entry)?), what })
}

fn method(entry: &Fields) -> Result<Method, String> {
    match entry.text("by")? {
        "meter" => Ok(Method::Meter),
        "bucket" => Ok(Method::Bucket),
        _ => Err(entry.unknown("by", "\"meter\" or \"bucket\"")),
    }
}

/// A number, 0 or more.
fn amount(fields: &Fields, key: &str) -> Result<f64, String> {
    let number = fields.number(key)?;
    if number >= 0.0 {
        return Ok(number);
    }
    Err(format!("{} is {number}; allowed is a number, 0 or more", fields.name(key)))
}

fn day(entry: &Fields) -> Result<f64, String> {
    let day = amount(entry, "day")?;
    if day <= FURTHEST_DAY {
        return Ok(day);
    }
    Err(format!("{} is {day}; allowed is 0 to {FURTHEST_DAY}", entry.name("day")))
}

/// A whole number; written as 3.0 it is one too.
fn id(entry: &Fields) -> Result<u64, String> {
    let number = amount(entry, "id")?;
    // below 2^53 every whole number is exact, and so is its text
    let whole = (number.fract() == 0.0 && number < 9_007_199_254_740_992.0).then(|| format!("{number:.0}"));
    whole
        .and_then(|text| text.parse().ok())
        .ok_or_else(|| format!("{} is {number}; allowed is a whole number, 0 or more", entry.name("id")))
}

fn moment(day: f64) -> Moment {
    DAY_0.after(days(day))
}

fn write(belief: &Belief) -> Value {
    let mean = |rate: &Rate| as_litres_per_day(rate.mean);
    let sd = |rate: &Rate| as_litres_per_day(rate.sd);
    let usage = belief.usage.as_ref();
    let leak = belief.leak.as_ref().map(|leak| {
        json!({
            "L_per_day": mean(&leak.rate),
            "sd": sd(&leak.rate),
            "since_day": as_days(leak.since.since(DAY_0)),
        })
    });
    json!({
        "litres": as_litres(belief.level.volume),
        "sd": as_litres(belief.level.sd),
        "use_L_per_day": usage.map(mean),
        "use_sd": usage.map(sd),
        "leak": leak,
        "misfit": belief.misfits.iter().map(|misfit| misfit.id).collect::<Vec<u64>>(),
    })
}
