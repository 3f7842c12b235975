//! Shares: sites and carries in, the fairest share out.

use std::collections::HashMap;

use keepwell_engine::neighbourhood::share::Carry;
use keepwell_engine::neighbourhood::share::Sharing;
use keepwell_engine::neighbourhood::share::Site;
use keepwell_engine::neighbourhood::share::share;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::days;
use keepwell_engine::quantity::litres;
use keepwell_engine::quantity::litres_per_day;
use serde_json::Map;
use serde_json::Value;
use serde_json::json;

use crate::fields::Fields;
use crate::fields::wanted;

/// What is less than this is no move worth a line.
const NOTHING: f64 = 1e-9;

/// The answer to one case, or why it has none.
pub fn answer(case: &Value) -> Result<Value, String> {
    let case = Fields::of(case, "")?;
    let mut names = HashMap::new();
    let mut ids = Vec::new();
    let mut sites = Vec::new();
    for (index, site) in case.array("sites")?.iter().enumerate() {
        let site = Fields::of(site, format!("sites[{index}]"))?;
        let id = site.text("id")?;
        if names.insert(id, index).is_some() {
            return Err(format!("{} is {id:?} a second time; wanted is an id of its own", site.name("id")));
        }
        ids.push(id);
        sites.push(Site {
            volume: litres(amount(&site, "litres")?),
            need: litres_per_day(amount(&site, "need_L_per_day")?),
            keep: litres(if site.has("keep_L") { amount(&site, "keep_L")? } else { 0.0 }),
            class: class(&site)?,
        });
    }
    let given = if case.has("carries") { case.array("carries")? } else { &[] };
    let mut carries = Vec::new();
    for (index, carry) in given.iter().enumerate() {
        let carry = Fields::of(carry, format!("carries[{index}]"))?;
        let end = |key: &str| {
            let site = names.get(carry.text(key)?).copied();
            site.ok_or_else(|| carry.unknown(key, "the id of a site"))
        };
        carries.push(Carry {
            from: end("from")?,
            to: end("to")?,
            daily: litres_per_day(amount(&carry, "L_per_day")?),
            loss: carry.maybe_number("loss")?.unwrap_or(0.0),
        });
    }
    let target = if case.has("target_days") { Some(days(amount(&case, "target_days")?)) } else { None };

    let shared = share(&Sharing { sites, carries, target }).map_err(|why| why.to_string())?;
    let lasting: Map<String, Value> = ids
        .iter()
        .zip(&shared.days)
        .filter_map(|(id, days)| days.map(|days| ((*id).to_owned(), json!(as_days(days)))))
        .collect();
    let moves: Vec<Value> = given
        .iter()
        .zip(&shared.moves)
        .filter(|(_, moved)| as_litres(**moved) > NOTHING)
        .map(|(carry, moved)| json!({"from": carry["from"], "to": carry["to"], "litres": as_litres(*moved)}))
        .collect();
    Ok(json!({"days": lasting, "carried_L": as_litres(shared.carried()), "moves": moves}))
}

fn amount(fields: &Fields, key: &str) -> Result<f64, String> {
    let number = fields.number(key)?;
    if number >= 0.0 { Ok(number) } else { Err(format!("{} is {number}; wanted is 0 or more", fields.name(key))) }
}

/// A missing class is 1; 2.0 is 2.
fn class(site: &Fields) -> Result<u64, String> {
    let Some(number) = site.maybe_number("class")? else { return Ok(1) };
    let name = site.name("class");
    let whole = (number >= 1.0 && number.fract() == 0.0).then(|| format!("{number}").parse().ok()).flatten();
    whole.ok_or_else(|| wanted(&name, &json!(number), "a whole number from 1"))
}
