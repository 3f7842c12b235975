//! The form of a pump with its pipes, its switch and its pressure tank. All but its name may be left for later.

use keepwell_engine::quantity::CUT_OUT;
use keepwell_engine::quantity::ELEVATION;
use keepwell_engine::quantity::FITTINGS;
use keepwell_engine::quantity::FLOW_AT_TAP;
use keepwell_engine::quantity::PIPE_RUN;
use keepwell_engine::quantity::PRESSURE;
use keepwell_engine::quantity::PRESSURE_TANK;
use keepwell_engine::quantity::PUMP_FLOW;
use keepwell_engine::quantity::PUMP_HEAD;
use keepwell_engine::quantity::PUMP_POWER;

use crate::model::id::PumpId;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::setup::Thing;
use crate::model::works::CurvePoint;
use crate::model::works::PipeSize;
use crate::model::works::Pump;
use crate::web::asking::Ask;
use crate::web::asking::Asking;
use crate::web::asking::ask;
use crate::web::pages::set_up::form::Answer;
use crate::web::pages::set_up::form::Task;

/// The points that the form has room for.
const POINTS: [(&str, &str); 5] =
    [("flow_1", "head_1"), ("flow_2", "head_2"), ("flow_3", "head_3"), ("flow_4", "head_4"), ("flow_5", "head_5")];

pub(super) fn questions(task: &Task, asking: &mut Asking) -> Option<Answer> {
    let old = match &task.standing {
        Some((Thing::Pump(pump), _)) => Some(pump),
        _ => None,
    };
    asking.group("", "The pump");
    asking.words("What is not known yet may be left empty. The site's page says what it wants.");
    let name = asking.name(ask("name", "Name").hint("House pump."), old.map(|old| &old.name));
    let power = ask("power_w", "Power it takes while it runs").hint("By a meter, or from its plate.").quiet();
    let power_w = asking.figure(power, &PUMP_POWER, old.and_then(|old| old.power_w));
    let npsh = ask("npsh_m", "Suction head it requires").hint("NPSHR on its sheet.").quiet();
    let npsh_m = asking.figure(npsh, &PUMP_HEAD, old.and_then(|old| old.npsh_m));

    asking.group("curve", "Its curve");
    asking.words("Three points or more, from the maker's sheet: at this flow, so much head.");
    let curve = curve(asking, old.map_or(&[], |old| &old.curve));

    asking.group("", "Where it stands");
    let height =
        ask("height_m", "Height of the pump").hint("Over the lowest floor, as the floors of the vessels.").quiet();
    let height_m = asking.figure(height, &ELEVATION, old.and_then(|old| old.height_m));
    let lift = ask("lift_m", "Highest tap over the pump").quiet();
    let lift_m = asking.figure(lift, &ELEVATION, old.and_then(|old| old.lift_m));
    let tap =
        ask("tap_l_per_min", "What the open tap gives at 300 kPa").hint("3 bar or 44 psi, as makers state it.").quiet();
    let tap_l_per_min = asking.figure(tap, &FLOW_AT_TAP, old.and_then(|old| old.tap_l_per_min));

    asking.group("", "Its pipes");
    asking.words("Bends, valves and tees are counted one and all; the way out of the tank and the check valve are reckoned anyway.");
    let pipe = asking.choice(ask("pipe", "They are of").quiet(), old.and_then(|old| old.pipe));
    let was = old.map(|old| (old.suction_size, old.suction_run_m, old.suction_fittings));
    let suction = line(asking, SUCTION, was.unwrap_or_default());
    let was = old.map(|old| (old.delivery_size, old.delivery_run_m, old.delivery_fittings));
    let delivery = line(asking, DELIVERY, was.unwrap_or_default());

    asking.group("", "Its pressure switch and tank");
    asking.caution(
        "Pumped water never joins the public main.",
        "A licensed plumber fits an approved backflow preventer or an air gap; a closed valve is no separation.",
    );
    let cut_in = ask("cut_in_kpa", "Cut-in").hint("There it starts.").quiet();
    let cut_in_kpa = asking.figure(cut_in, &PRESSURE, old.and_then(|old| old.cut_in_kpa));
    let cut_out = ask("cut_out_kpa", "Cut-out").hint("There it stops.").quiet();
    let cut_out_kpa = asking.beside().figure(cut_out, &CUT_OUT, old.and_then(|old| old.cut_out_kpa));
    let precharge = ask("precharge_kpa", "Precharge").hint("Read with its tank empty.").quiet();
    let precharge_kpa = asking.figure(precharge, &PRESSURE, old.and_then(|old| old.precharge_kpa));
    let tank = ask("tank_l", "Size of the pressure tank").hint("The tank, not what it gives.").quiet();
    let tank_l = asking.beside().figure(tank, &PRESSURE_TANK, old.and_then(|old| old.tank_l));
    Some(Answer::of(Thing::Pump(Pump {
        id: PumpId::from_uuid(task.id),
        site: task.site?,
        name: name?,
        curve,
        power_w,
        npsh_m,
        height_m,
        lift_m,
        tap_l_per_min,
        pipe,
        suction_size: suction.0,
        suction_run_m: suction.1,
        suction_fittings: suction.2,
        delivery_size: delivery.0,
        delivery_run_m: delivery.1,
        delivery_fittings: delivery.2,
        cut_in_kpa,
        cut_out_kpa,
        precharge_kpa,
        tank_l,
        ended: old.and_then(|old| old.ended),
    })))
}

/// The size, the length and the fittings of a pipe.
type Line = (Option<PipeSize>, Option<f64>, Option<u32>);

const SUCTION: [Ask; 3] = [
    ask("suction_size", "From the tank to the pump").quiet(),
    ask("suction_run_m", "Length of it").quiet(),
    ask("suction_fittings", "Fittings in it").quiet(),
];

const DELIVERY: [Ask; 3] = [
    ask("delivery_size", "From the pump to the tap").quiet(),
    ask("delivery_run_m", "Length of it").quiet(),
    ask("delivery_fittings", "Fittings in it").quiet(),
];

fn line(asking: &mut Asking, [size, run, fittings]: [Ask; 3], was: Line) -> Line {
    let size = asking.choice(size, was.0);
    let run = asking.beside().figure(run, &PIPE_RUN, was.1);
    (size, run, asking.beside().count(fittings, &FITTINGS, was.2))
}

fn curve(asking: &mut Asking, standing: &[CurvePoint]) -> Vec<CurvePoint> {
    let mut points = Vec::new();
    for (at, (flow_key, head_key)) in POINTS.into_iter().enumerate() {
        let point = standing.get(at);
        let flow = asking.figure(ask(flow_key, "At a flow of").quiet(), &PUMP_FLOW, point.map(|p| p.flow_l_per_min));
        let head =
            asking.beside().figure(ask(head_key, "it makes a head of").quiet(), &PUMP_HEAD, point.map(|p| p.head_m));
        let half = |label| Message::new("{Field} is missing: a point has both.").with("field", Arg::Word(label));
        match (flow, head) {
            (Some(flow_l_per_min), Some(head_m)) => points.push(CurvePoint { flow_l_per_min, head_m }),
            (Some(_), None) => asking.fault_if_blank(head_key, half("it makes a head of")),
            (None, Some(_)) => asking.fault_if_blank(flow_key, half("At a flow of")),
            (None, None) => {}
        }
    }
    // More points than the form has room for stay as they are.
    points.extend(standing.iter().skip(POINTS.len()));
    points
}
