//! What of a stage or a pump does not hold.

use keepwell_engine::hydraulics::PumpCurve;
use keepwell_engine::quantity;
use keepwell_engine::quantity::Measure;
use keepwell_engine::quantity::litres_per_minute;
use keepwell_engine::quantity::metres;

use crate::model::entry::fields::Problem;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::setup::SetUp;
use crate::model::works::Pump;
use crate::model::works::Stage;
use crate::model::works::StageKind;
use crate::service::set_up::measure;
use crate::service::set_up::site_there;

pub(super) fn check_stage(set_up: &SetUp, thing: &Stage, problems: &mut Vec<Problem>) {
    site_there(set_up, thing.site, problems);
    measure(problems, "place", "place", f64::from(thing.place), &quantity::PLACE);
    each(
        problems,
        &[
            ("most_flow_l_per_min", "flow", thing.most_flow_l_per_min, &quantity::FLOW_AT_TAP),
            ("drop_kpa", "pressure lost", thing.drop_kpa, &quantity::PRESSURE),
            ("life_l", "litres of use", thing.life_l, &quantity::MEDIA_LITRES),
            ("life_months", "months of use", thing.life_months, &quantity::MEDIA_MONTHS),
            ("passed_l", "litres passed", thing.passed_l, &quantity::VOLUME),
            ("draws_w", "power", thing.draws_w, &quantity::POWER),
            ("lamp_hours", "lamp hours", thing.lamp_hours, &quantity::LAMP_HOURS),
            ("lamp_life_hours", "lamp life", thing.lamp_life_hours, &quantity::LAMP_LIFE),
        ],
    );
    if thing.drop_kpa.is_some() && thing.most_flow_l_per_min.is_none() {
        let why = "The pressure lost is that at a flow: give the flow too.";
        problems.push(Problem::new("most_flow_l_per_min", Message::new(why)));
    }
    if thing.kind == StageKind::Ultraviolet {
        if thing.uv_class.is_none() {
            problems.push(Problem::new("uv_class", Message::new("A lamp has a class, if only “not tested”.")));
        }
        if thing.most_flow_l_per_min.is_none() {
            let why = "A lamp is rated for a flow. It stands on its plate.";
            problems.push(Problem::new("most_flow_l_per_min", Message::new(why)));
        }
    } else {
        for (field, given) in [
            ("uv_class", thing.uv_class.is_some()),
            ("lamp_hours", thing.lamp_hours.is_some()),
            ("lamp_life_hours", thing.lamp_life_hours.is_some()),
        ] {
            if given {
                problems.push(Problem::new(field, Message::new("Only an ultraviolet lamp has that. Leave it out.")));
            }
        }
    }
}

pub(super) fn check_pump(set_up: &SetUp, thing: &Pump, problems: &mut Vec<Problem>) {
    site_there(set_up, thing.site, problems);
    each(
        problems,
        &[
            ("power_w", "power", thing.power_w, &quantity::PUMP_POWER),
            ("npsh_m", "suction head", thing.npsh_m, &quantity::PUMP_HEAD),
            ("height_m", "height", thing.height_m, &quantity::ELEVATION),
            ("lift_m", "height", thing.lift_m, &quantity::ELEVATION),
            ("tap_l_per_min", "flow", thing.tap_l_per_min, &quantity::FLOW_AT_TAP),
            ("suction_run_m", "length of pipe", thing.suction_run_m, &quantity::PIPE_RUN),
            ("delivery_run_m", "length of pipe", thing.delivery_run_m, &quantity::PIPE_RUN),
            ("suction_fittings", "fittings", thing.suction_fittings.map(f64::from), &quantity::FITTINGS),
            ("delivery_fittings", "fittings", thing.delivery_fittings.map(f64::from), &quantity::FITTINGS),
            ("cut_in_kpa", "cut-in", thing.cut_in_kpa, &quantity::PRESSURE),
            ("cut_out_kpa", "cut-out", thing.cut_out_kpa, &quantity::CUT_OUT),
            ("precharge_kpa", "precharge", thing.precharge_kpa, &quantity::PRESSURE),
            ("tank_l", "pressure tank", thing.tank_l, &quantity::PRESSURE_TANK),
        ],
    );
    if let (Some(cut_in), Some(cut_out)) = (thing.cut_in_kpa, thing.cut_out_kpa)
        && cut_out <= cut_in
    {
        problems.push(Problem::new("cut_out_kpa", Message::new("The cut-out lies above the cut-in.")));
    }
    if thing.curve.is_empty() {
        return;
    }
    let point = |point: &crate::model::works::CurvePoint| {
        quantity::PUMP_FLOW.check(point.flow_l_per_min).is_ok() && quantity::PUMP_HEAD.check(point.head_m).is_ok()
    };
    if !thing.curve.iter().all(point) {
        let why = "A point of the curve has a flow from 0 to 1,000,000 L/min and a head from 0 to 10,000 m.";
        problems.push(Problem::new("curve", Message::new(why)));
        return;
    }
    let points: Vec<_> =
        thing.curve.iter().map(|point| (litres_per_minute(point.flow_l_per_min), metres(point.head_m))).collect();
    if let Err(error) = PumpCurve::new(&points) {
        problems.push(Problem::new(
            "curve",
            Message::new("The curve does not hold: {why}").with("why", Arg::text(error.to_string())),
        ));
    }
}

/// A field, what it is called, what was given, and what is allowed.
type Given = (&'static str, &'static str, Option<f64>, &'static Measure);

fn each(problems: &mut Vec<Problem>, given: &[Given]) {
    for (field, label, value, allowed) in given {
        if let Some(value) = value {
            measure(problems, field, label, *value, allowed);
        }
    }
}
