//! The form of a vessel. What is measured of it comes from the engine's own description of the shape, so that a new shape
//! has its form without a change here.

use std::collections::BTreeMap;

use keepwell_engine::quantity::ELEVATION;
use keepwell_engine::quantity::HEIGHT;
use keepwell_engine::quantity::INTERVAL;
use keepwell_engine::quantity::RESIDUAL_FLOOR;
use keepwell_engine::structure::measures::EMPTY;
use keepwell_engine::vessel::Kind;
use keepwell_engine::vessel::Shape;

use crate::model::choice::Choice;
use crate::model::id::BankId;
use crate::model::id::VesselId;
use crate::model::message::Message;
use crate::model::setup::Thing;
use crate::model::vessel::Bank;
use crate::model::vessel::Draw;
use crate::model::vessel::DrawWay;
use crate::model::vessel::Policy;
use crate::model::vessel::ShapeKind;
use crate::model::vessel::Vessel;
use crate::picture::body::kind;
use crate::web::asking::Asking;
use crate::web::asking::ask;
use crate::web::pages::set_up::first;
use crate::web::pages::set_up::form::Answer;
use crate::web::pages::set_up::form::Asked;
use crate::web::pages::set_up::form::Task;
use crate::web::pages::set_up::form::WORDS;
use crate::web::pages::set_up::form::choices;
pub(super) use crate::web::pages::set_up::sketch::Sketch;
use crate::web::pages::set_up::strapping;

/// What is measured of it.
struct Measures {
    shape: ShapeKind,
    dimensions: BTreeMap<String, f64>,
    strapping: Vec<(f64, f64)>,
    full_m: Option<f64>,
    draws: Vec<Draw>,
}

pub(super) fn questions(task: &Task, asking: &mut Asking) -> Asked {
    let old = match &task.standing {
        Some((Thing::Vessel(vessel), _)) => Some(vessel),
        _ => None,
    };
    let before = match task.kept_before() {
        Some(Thing::Vessel(vessel)) if old.is_none() => Some(vessel.since),
        _ => None,
    };
    asking.group("", "The vessel");
    let name = asking.name(ask("name", "Name").hint("East, Cellar drums, Garage cans."), old.map(|old| &old.name));
    let standing = task.asked.get("shape").and_then(ShapeKind::from_key);
    let standing = standing.or_else(|| old.map(|old| old.shape)).unwrap_or(ShapeKind::UprightCylinder);
    let shape = asking.hidden("shape", standing.key().to_owned());
    let shape = ShapeKind::from_key(&shape).unwrap_or(standing);
    let measures = measures(asking, old, shape);
    let sketch = match old.filter(|old| old.shape == shape && !asking.is_sent()) {
        Some(old) => Sketch::of(&old.dimensions, &old.strapping, shape, old.full_m, &old.draws),
        None => Sketch::of(&measures.dimensions, &measures.strapping, shape, measures.full_m, &measures.draws),
    };
    if let Some(problem) = sketch.as_ref().and_then(Sketch::problem) {
        asking.fault_if_sent(problem.field, problem.message);
    }
    let answer = rest(task, asking, old, before, measures, name);
    Asked { answer, sketch }
}

fn rest(
    task: &Task,
    asking: &mut Asking,
    old: Option<&Vessel>,
    before: Option<jiff::Timestamp>,
    measures: Measures,
    name: Option<crate::model::name::Name>,
) -> Option<Answer> {
    asking.group("", "What it is made of, and where it stands");
    asking.caution(
        "Water is heavy.",
        "A litre weighs 1 kg, a US gallon 8.3 lb. Ask a structural engineer before a tank stands on a suspended floor, \
         and anchor what could slide or tip in an earthquake. Nobody climbs into a tank, ever.",
    );
    let material = asking.choice(ask("material", "Material"), old.map(|old| old.material));
    let stands_on = asking.beside().choice(ask("stands_on", "It stands on"), old.map(|old| old.stands_on));
    let food_grade = ask("food_grade", "Food grade").hint("Made or lined for drinking water.");
    let food_grade = asking.check(food_grade, old.is_some_and(|old| old.food_grade));
    let closed = ask("closed", "Closed").hint("A tight lid, and mesh over its vent.");
    let closed = asking.beside().check(closed, old.is_some_and(|old| old.closed));
    let opaque = asking.check(ask("opaque", "Opaque, or kept in the dark"), old.is_some_and(|old| old.opaque));
    let anchored = asking.beside().check(ask("anchored", "Anchored"), old.is_some_and(|old| old.anchored));

    let empty =
        ask("empty_kg", "Weight when empty").hint("From its plate or its maker. Empty: its water alone is counted.");
    let empty_kg = asking.figure(empty.optional(), &EMPTY, old.and_then(|old| old.empty_kg));

    let (bank, named) = bank(task, asking, old);
    let floor = ask("floor_m", "Height of its floor").hint("Over the lowest floor of its bank. 0 if all stand level.");
    let floor_m = asking.figure(floor.optional(), &ELEVATION, Some(old.map_or(0.0, |old| old.floor_m)));

    asking.group("", "How its water is kept fresh");
    let supplies = choices(task.set_up().sources.values().map(|kept| (kept.thing.id.to_string(), &kept.thing.name)));
    let usual = ask("source", "Usually filled from").optional();
    let source = asking.pick(usual, supplies, old.and_then(|old| old.source).map(|id| id.to_string()));
    let policy = old.map_or_else(Policy::default, |old| old.policy);
    let how = asking.choice(ask("how", "Its water is renewed"), Some(policy.how));
    let every = ask("interval_days", "Days between renewals")
        .hint("180, six months, is what CDC and FEMA advise for water filled at home.");
    let interval_days = asking.figure(every, &INTERVAL, Some(policy.interval_days));
    let vouched = ask("redose_days", "A test vouches for its residual for")
        .hint("After that it is tested and dosed again. 90 days is common practice.");
    let redose_days = asking.beside().figure(vouched, &INTERVAL, Some(policy.redose_days));
    let least =
        ask("floor_mg_l", "Residual it is meant to keep").hint("Free chlorine. Empty: none is asked.").optional();
    let floor_mg_l = asking.figure(least, &RESIDUAL_FLOOR, policy.floor_mg_l);
    let outage =
        ask("outage_only", "It counts only in an outage").hint("A heater, a bath: nobody draws on it otherwise.");
    let usual = matches!(measures.shape, ShapeKind::HeaterTank);
    let outage_only = asking.check(outage, old.map_or(usual, |old| old.outage_only));
    let daily = ask("daily_use", "It is drawn on daily without an entry each time")
        .hint("Its dips then tell the use. Left unticked, a fall that nobody logged may be a leak.");
    let daily_use = asking.check(daily, old.is_some_and(|old| old.daily_use));
    let frost = ask("may_freeze", "It may freeze").hint("It stands where water freezes in a hard frost.");
    let may_freeze = asking.check(frost, old.is_some_and(|old| old.may_freeze));

    let first = if old.is_none() { first::questions(task, asking, measures.shape) } else { first::Given::default() };

    asking.group("", "Since when, and notes");
    let since = ask("since", "In place since").hint("Left empty: since it was last filled, or from now on.").optional();
    let since = asking.when(since, old.map(|old| old.since));
    let notes = asking.lines(ask("notes", "Notes").optional(), WORDS, old.map_or("", |old| old.notes.as_str()));

    let now = asking.reader.now;
    let vessel = Vessel {
        id: VesselId::from_uuid(task.id),
        site: task.site?,
        name: name?,
        shape: measures.shape,
        dimensions: measures.dimensions,
        strapping: measures.strapping,
        full_m: measures.full_m,
        draws: measures.draws,
        material: material?,
        food_grade,
        closed,
        opaque,
        stands_on: stands_on?,
        anchored,
        empty_kg,
        floor_m: floor_m.unwrap_or(0.0),
        bank: named.as_ref().map(|bank| bank.id).or(bank),
        source: source.and_then(|id| id.parse().ok()),
        policy: Policy { interval_days: interval_days?, how: how?, redose_days: redose_days?, floor_mg_l },
        outage_only,
        daily_use,
        may_freeze,
        since: since.or(before).or_else(|| old.map(|old| old.since)).unwrap_or_else(|| first.earliest(now)),
        ended: old.and_then(|old| old.ended),
        notes,
    };
    let first = first.entries(&vessel, now);
    let things = named.map(Thing::Bank).into_iter().chain([Thing::Vessel(vessel)]).collect();
    Some(Answer { things, first })
}

fn measures(asking: &mut Asking, old: Option<&Vessel>, shape: ShapeKind) -> Measures {
    let kind = kind(shape);
    let same = old.filter(|old| old.shape == shape);
    asking.group("", kind.name());
    if !kind.dimensions().is_empty() {
        asking.words("Measured inside, where the water is.");
    }
    let mut dimensions = BTreeMap::new();
    for dimension in kind.dimensions() {
        let question = ask(dimension.key, dimension.label).hint(dimension.hint);
        let standing = same.and_then(|old| old.dimensions.get(dimension.key).copied());
        if let Some(value) = asking.figure(question, dimension.measure, standing) {
            dimensions.insert(dimension.key.to_owned(), value);
        }
    }
    let table = kind.dimensions().is_empty();
    let strapping = if table { strapping::questions(asking, same) } else { Vec::new() };
    if !is_deep(kind) {
        return Measures { shape, dimensions, strapping, full_m: None, draws: Vec::new() };
    }
    let mark =
        ask("full_m", "Full mark").hint("Over its lowest inside point. Left empty, it is full at the rim.").optional();
    let full_m = asking.figure(mark, &HEIGHT, same.and_then(|old| old.full_m));

    asking.group("draws", "How water is drawn from it");
    asking.words(
        "The height of each over its lowest inside point; what lies below stays behind. Leave empty what it does not \
         have. One at least is needed: without a way to draw it, none of its water counts.",
    );
    let mut draws = Vec::new();
    let mut blank = true;
    for (at, row) in DrawWay::LIST.iter().enumerate() {
        let (key, label, hint) = way_field(row.0);
        let heights = same.into_iter().flat_map(|old| &old.draws).filter(|draw| draw.way == row.0);
        // Of two ways alike, the lower is the one that says what stays behind.
        let standing = heights.map(|draw| draw.height_m).reduce(f64::min);
        if at > 0 {
            asking.beside();
        }
        let height = asking.figure(ask(key, label).hint(hint).quiet(), &HEIGHT, standing);
        draws.extend(height.map(|height_m| Draw { way: row.0, height_m }));
        blank &= asking.is_blank(key);
    }
    if blank {
        asking.fault_if_sent("draws", Message::new("Give the height of one way of drawing at least."));
    }
    Measures { shape, dimensions, strapping, full_m, draws }
}

const fn way_field(way: DrawWay) -> (&'static str, &'static str, &'static str) {
    match way {
        DrawWay::Pump => ("pump_m", "Pump suction", "With the water it needs over it."),
        DrawWay::Gravity => ("gravity_m", "Tap by gravity", "The middle of the outlet."),
        DrawWay::Dip => ("dip_m", "By hand", "Dipped or siphoned: what a can still reaches."),
    }
}

/// Whether a depth is read in such a vessel; the engine's samples know.
pub(super) fn is_deep(kind: Kind) -> bool {
    Shape::samples().iter().any(|shape| shape.kind() == kind && shape.height().is_some())
}

/// The bank it belongs to: one there is, or one named here.
fn bank(task: &Task, asking: &mut Asking, old: Option<&Vessel>) -> (Option<BankId>, Option<Bank>) {
    let banks = task.set_up().banks.values().filter(|kept| Some(kept.thing.site) == task.site);
    let list = choices(banks.map(|kept| (kept.thing.id.to_string(), &kept.thing.name)));
    let any = !list.is_empty();
    let mut chosen = None;
    if any {
        let question = ask("bank", "Bank").hint("Vessels joined by a manifold.").optional();
        chosen = asking.pick(question, list, old.and_then(|old| old.bank).map(|id| id.to_string()));
        asking.beside();
    }
    let question = ask("bank_name", "Name of a new bank").hint("If it is joined to others by a manifold.").optional();
    let name = asking.name(question, None);
    let id = asking.hidden("bank_id", BankId::fresh().to_string());
    if name.is_some() && chosen.is_some() {
        asking.fault("bank_name", Message::new("Choose a bank or name a new one, not both."));
    }
    let named = match (name, id.parse(), task.site) {
        (Some(name), Ok(id), Some(site)) => Some(Bank { id, site, name, coupled_at_first: true }),
        _ => None,
    };
    (chosen.and_then(|id| id.parse().ok()), named)
}
