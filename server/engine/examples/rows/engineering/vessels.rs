//! Tanks, and the errors of their depth.

use keepwell_engine::hydraulics::Opening;
use keepwell_engine::quantity::Length;
use keepwell_engine::quantity::as_cubic_metres;
use keepwell_engine::quantity::as_metres;
use keepwell_engine::quantity::as_seconds;
use keepwell_engine::quantity::as_square_metres;
use keepwell_engine::quantity::cubic_metres;
use keepwell_engine::quantity::metres;
use keepwell_engine::quantity::square_metres;
use keepwell_engine::sensing;
use keepwell_engine::vessel::Cuboid;
use keepwell_engine::vessel::DrawPoint;
use keepwell_engine::vessel::Fittings;
use keepwell_engine::vessel::Head;
use keepwell_engine::vessel::Lying;
use keepwell_engine::vessel::Rounded;
use keepwell_engine::vessel::Shape;
use keepwell_engine::vessel::Sphere;
use keepwell_engine::vessel::Upright;
use keepwell_engine::vessel::Way;
use keepwell_engine::vessel::usable;

use super::Got;
use super::length;
use super::why;
use crate::row::Row;

pub(super) fn got(row: &Row) -> Option<Got> {
    Some(match row.quantity {
        "tank_volume_at_depth" => volume_at_depth(row),
        "tank_total_volume" => shape(row).map(|shape| (as_cubic_metres(shape.brim()), "m3")),
        "tank_depth_for_volume" => depth_for_volume(row),
        "tank_surface_area" => surface(row),
        "tank_usable_volume" => usable_volume(row),
        "volume_sd_from_depth_sd" => volume_sd(row),
        "drain_time_shaped" => drain_time(row),
        _ => return None,
    })
}

fn shape(row: &Row) -> Result<Shape, String> {
    let diameter = || length(row, "diameter_m");
    match row.text("shape")? {
        "vertical_cylinder" => {
            let diameter = diameter()?;
            Upright::with_bottom(diameter, length(row, "shell_height_m")?, head(row, diameter)?).map(Shape::Upright)
        }
        "vertical_truncated_cone_bottom" => {
            let bottom = Head::Cone { depth: length(row, "cone_height_m")?, bore: length(row, "outlet_diameter_m")? };
            Upright::with_bottom(diameter()?, length(row, "shell_height_m")?, bottom).map(Shape::Upright)
        }
        "horizontal_cylinder" => {
            let diameter = diameter()?;
            Lying::with_ends(diameter, length(row, "shell_length_m")?, head(row, diameter)?).map(Shape::Lying)
        }
        "sphere" => Sphere::new(diameter()?).map(Shape::Sphere),
        "rectangular" => {
            Cuboid::new(length(row, "length_m")?, length(row, "width_m")?, length(row, "height_m")?).map(Shape::Box)
        }
        "rounded_box" => {
            let sides = [length(row, "length_m")?, length(row, "width_m")?, length(row, "height_m")?];
            let edge = metres(row.number_or("bottom_edge_radius_m", 0.0)?);
            Rounded::new(sides, metres(row.number_or("corner_radius_m", 0.0)?), edge).map(Shape::Rounded)
        }
        other => return Err(format!("shape is {other}; not one of those known")),
    }
    .map_err(why)
}

fn head(row: &Row, diameter: Length) -> Result<Head, String> {
    let name = if row.has("head") { row.text("head")? } else { "flat" };
    Ok(match name {
        "flat" => Head::Flat,
        "conical" => Head::Cone { depth: length(row, "head_depth_m")?, bore: metres(0.0) },
        "hemispherical" => Head::Round,
        "ellipsoidal_2to1" => Head::Elliptical { depth: diameter / 4.0 },
        // ASME F&D where no ratios are given
        "torispherical" => Head::Dished {
            crown: diameter * row.number_or("dish_ratio", 1.0)?,
            knuckle: diameter * row.number_or("knuckle_ratio", 0.06)?,
        },
        other => return Err(format!("head is {other}; not one of those known")),
    })
}

fn volume_at_depth(row: &Row) -> Got {
    let volume = shape(row)?.volume_at(length(row, "depth_m")?).map_err(why)?;
    Ok((as_cubic_metres(volume), "m3"))
}

fn depth_for_volume(row: &Row) -> Got {
    let depth = shape(row)?.depth_of(cubic_metres(row.number("volume_m3")?)).map_err(why)?;
    Ok((as_metres(depth), "m"))
}

fn surface(row: &Row) -> Got {
    let surface = shape(row)?.surface_at(length(row, "depth_m")?).map_err(why)?;
    Ok((as_square_metres(surface), "m2"))
}

fn usable_volume(row: &Row) -> Got {
    let shape = shape(row)?;
    let outlet = DrawPoint { way: Way::Gravity, height: length(row, "outlet_height_m")? };
    let fittings = Fittings { full: None, draws: vec![outlet] };
    let held = shape.volume_at(length(row, "depth_m")?).map_err(why)?;
    let (drawn, _) = usable(&shape, &fittings, held).map_err(why)?;
    Ok((as_cubic_metres(drawn), "m3"))
}

fn volume_sd(row: &Row) -> Got {
    let surface = shape(row)?.surface_at(length(row, "depth_m")?).map_err(why)?;
    let sd = sensing::volume_sd(surface, length(row, "depth_sd_m")?).map_err(why)?;
    Ok((as_cubic_metres(sd.value), "m3"))
}

fn drain_time(row: &Row) -> Got {
    let opening = Opening::new(square_metres(row.number("orifice_area_m2")?), row.number("discharge_coefficient")?);
    let (start, end) = (length(row, "start_depth_m")?, length(row, "end_depth_m")?);
    let outlet = metres(row.number_or("outlet_height_m", 0.0)?);
    let time = opening.map_err(why)?.drain(&shape(row)?, start, end, outlet).map_err(why)?;
    Ok((as_seconds(time.value), "s"))
}
