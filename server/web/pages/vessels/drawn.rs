//! A vessel of the picture as its drawing needs it.

use keepwell_engine::grade;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::as_metres;

use crate::model::vessel::DrawWay;
use crate::model::vessel::Material;
use crate::model::vessel::ShapeKind;
use crate::picture::PartNow;
use crate::picture::VesselPicture;
use crate::web::draw::vessel;
use crate::web::reader::Reader;
use crate::web::reader::Units;

/// Plastic boxes of about a cubic metre are totes in their cage.
const TOTE_LITRES: core::ops::RangeInclusive<f64> = 700.0..=1_400.0;
/// Less than this part of a container is a wet one, not a begun one.
const BEGUN: f64 = 0.05;

/// The vessel as it is believed to stand at `now`; `title` is what a reader who does not see it is told.
pub(crate) fn drawn(vessel: &VesselPicture, now: Moment, title: String) -> vessel::Vessel {
    let parts = vessel.parts(now);
    let body = if vessel.vessel.shape == ShapeKind::Set { set(vessel, &parts) } else { tank(vessel, &parts, now) };
    vessel::Vessel { title, body }
}

/// The grade of what is in a vessel: the worst of its parts; none while it is empty.
pub(crate) fn worst(parts: &[PartNow]) -> Option<grade::Grade> {
    parts.iter().filter_map(|part| part.graded.grade).max()
}

/// The grade as drawings know it; what is empty is drawn without water, so any will do.
pub(crate) const fn filling(grade: Option<grade::Grade>) -> vessel::Grade {
    match grade {
        Some(grade::Grade::Drink) | None => vessel::Grade::Drink,
        Some(grade::Grade::Treat) => vessel::Grade::Treat,
        Some(grade::Grade::Utility) => vessel::Grade::Utility,
        Some(grade::Grade::Hold) => vessel::Grade::Hold,
    }
}

/// What depth is read off in.
pub(crate) fn rule(reader: &Reader) -> vessel::Rule {
    match reader.units {
        Units::Metric => vessel::Rule { unit_m: 1.0, name: "m".to_owned() },
        Units::Us => vessel::Rule { unit_m: 0.3048, name: "ft".to_owned() },
    }
}

/// The height of the outlet that counts: the lowest tap or pump suction, or else how deep one can dip.
pub(crate) fn outlet(vessel: &VesselPicture) -> Option<(DrawWay, f64)> {
    let lowest = |dipped: bool| {
        let ways = vessel.vessel.draws.iter().filter(move |draw| (draw.way == DrawWay::Dip) == dipped);
        ways.map(|draw| (draw.way, draw.height_m)).min_by(|a, b| a.1.total_cmp(&b.1))
    };
    lowest(false).or_else(|| lowest(true))
}

/// What lies below that outlet.
pub(crate) fn heel(vessel: &VesselPicture) -> Volume {
    let by_outlet = [vessel.body.gravity, vessel.body.pump].into_iter().flatten();
    let lowest = by_outlet.reduce(|low, heel| if heel < low { heel } else { low });
    lowest.or(vessel.body.dip).unwrap_or_default()
}

/// The height of the outline: of the vessel itself, or of its usual picture where only litres are known.
pub(crate) fn height(vessel: &VesselPicture) -> f64 {
    vessel.body.shape.outline().iter().map(|point| point.1).fold(0.0, f64::max)
}

/// How high so much water stands in the outline.
pub(crate) fn stands_at(vessel: &VesselPicture, volume: Volume) -> f64 {
    let brim = as_litres(vessel.body.capacity.brim);
    vessel.body.depth_of(volume).map_or_else(|| height(vessel) * (as_litres(volume) / brim).clamp(0.0, 1.0), as_metres)
}

fn tank(vessel: &VesselPicture, parts: &[PartNow], now: Moment) -> vessel::Body {
    let estimate = vessel.estimate(now);
    let at = |volume| stands_at(vessel, volume);
    vessel::Body::Tank(vessel::Tank {
        form: form(vessel),
        outline: vessel.body.shape.outline(),
        full_m: at(vessel.body.capacity.full),
        heel_m: at(heel(vessel)),
        water: vessel.is_known().then(|| vessel::Water {
            level_m: at(estimate.volume),
            low_m: at(estimate.low),
            high_m: at(estimate.high),
        }),
        grade: filling(worst(parts)),
    })
}

fn form(vessel: &VesselPicture) -> vessel::Form {
    match vessel.vessel.shape {
        ShapeKind::UprightCylinder
        | ShapeKind::UprightCone
        | ShapeKind::UprightDished
        | ShapeKind::UprightElliptical
        | ShapeKind::UprightRound => vessel::Form::Upright,
        ShapeKind::HorizontalCylinder
        | ShapeKind::HorizontalCone
        | ShapeKind::HorizontalDished
        | ShapeKind::HorizontalElliptical
        | ShapeKind::HorizontalRound => vessel::Form::Lying,
        ShapeKind::Box | ShapeKind::RoundedBox
            if vessel.vessel.material == Material::Polyethylene
                && TOTE_LITRES.contains(&as_litres(vessel.body.capacity.brim)) =>
        {
            vessel::Form::Tote
        }
        ShapeKind::Box | ShapeKind::RoundedBox => vessel::Form::Box,
        ShapeKind::HeaterTank => vessel::Form::Heater,
        ShapeKind::Sphere | ShapeKind::Set | ShapeKind::Table => vessel::Form::Plain,
    }
}

fn set(vessel: &VesselPicture, parts: &[PartNow]) -> vessel::Body {
    let outline = vessel.body.shape.outline();
    let reach = |pick: fn(&(f64, f64)) -> f64| outline.iter().map(pick).fold(0.0, f64::max);
    let figure = |key: &str| vessel.vessel.dimensions.get(key).copied().unwrap_or(0.0);
    let (each, count) = (figure("litres_each"), whole(figure("count")));
    let mut lots: Vec<vessel::Lot> = parts
        .iter()
        .map(|part| {
            let held = if vessel.is_known() && each > 0.0 { as_litres(part.estimate.volume) / each } else { 0.0 };
            let begun = held.fract() > BEGUN && held.fract() < 1.0 - BEGUN;
            let full = whole(if begun { held.floor() } else { held.round() });
            vessel::Lot { full, part: u32::from(begun), empty: 0, grade: filling(part.graded.grade) }
        })
        .collect();
    let told = lots.iter().map(|lot| lot.full.saturating_add(lot.part)).fold(0, u32::saturating_add);
    if let Some(last) = lots.last_mut() {
        last.empty = count.saturating_sub(told);
    }
    vessel::Body::Set(vessel::Set { width_m: reach(|point| point.0), height_m: reach(|point| point.1), lots })
}

/// A count as a whole number; what is none is none.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "kept within the range of the type")]
pub(crate) fn whole(count: f64) -> u32 {
    if count.is_finite() { count.clamp(0.0, f64::from(u32::MAX)) as u32 } else { 0 }
}
