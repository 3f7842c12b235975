//! The pumps and the battery of Alder Reach and what its water passes on the way to the tap.

use jiff::SignedDuration;
use jiff::Timestamp;
use jiff::civil::Date;
use rand_pcg::Pcg64Mcg;

use crate::demo::book::Book;
use crate::demo::ground::name;
use crate::demo::ground::uuid;
use crate::demo::odd;
use crate::model::battery::Battery;
use crate::model::id::Id;
use crate::model::setup::Thing;
use crate::model::works::CurvePoint;
use crate::model::works::PipeKind;
use crate::model::works::PipeSize;
use crate::model::works::Pump;
use crate::model::works::Stage;
use crate::model::works::StageKind;
use crate::model::works::UvClass;
use crate::service::Error;

/// Of these ids alone, so that nothing else moves when a stage is added.
const SEED: u128 = 0x57a6_e5a4_d9c3;

/// Where they are put down, and when it is now.
struct Works<'a> {
    book: &'a Book,
    since: Timestamp,
    today: Date,
    rng: Pcg64Mcg,
    things: Vec<Thing>,
}

/// The stages and pumps, at sites that stand already.
pub fn stand(book: &Book, now: Timestamp, since: Timestamp) -> Result<Vec<Thing>, Error> {
    let today = jiff::tz::TimeZone::UTC.to_datetime(now).date();
    let mut works = Works { book, since, today, rng: Pcg64Mcg::new(SEED), things: Vec::new() };
    hall(&mut works)?;
    plots(&mut works)?;
    ferry(&mut works)?;
    battery(&mut works)?;
    Ok(works.things)
}

impl Works<'_> {
    /// The next stage of a site's train, fitted so many days ago.
    fn stage(
        &mut self,
        site: &str,
        text: &str,
        (place, kind): (u32, StageKind),
        fitted: i64,
        with: impl FnOnce(&mut Stage),
    ) -> Result<(), Error> {
        let mut stage = Stage {
            id: Id::from_uuid(uuid(self.since, &mut self.rng)),
            site: self.book.site(site)?,
            name: name(text)?,
            kind,
            place,
            most_flow_l_per_min: None,
            drop_kpa: None,
            life_l: None,
            life_months: None,
            fitted: Some(self.today.checked_sub(SignedDuration::from_hours(24 * fitted)).map_err(odd)?),
            passed_l: None,
            draws_w: None,
            uv_class: None,
            lamp_hours: None,
            lamp_life_hours: None,
            ended: None,
        };
        with(&mut stage);
        self.things.push(Thing::Stage(stage));
        Ok(())
    }

    fn pump(
        &mut self,
        site: &str,
        text: &str,
        curve: [(f64, f64); 3],
        with: impl FnOnce(&mut Pump),
    ) -> Result<(), Error> {
        let point = |(flow_l_per_min, head_m)| CurvePoint { flow_l_per_min, head_m };
        let mut pump = Pump {
            id: Id::from_uuid(uuid(self.since, &mut self.rng)),
            site: self.book.site(site)?,
            name: name(text)?,
            curve: curve.map(point).to_vec(),
            power_w: None,
            npsh_m: None,
            height_m: None,
            lift_m: None,
            tap_l_per_min: None,
            pipe: Some(PipeKind::Plastic),
            suction_size: None,
            suction_run_m: None,
            suction_fittings: None,
            delivery_size: None,
            delivery_run_m: None,
            delivery_fittings: None,
            cut_in_kpa: None,
            cut_out_kpa: None,
            precharge_kpa: None,
            tank_l: None,
            ended: None,
        };
        with(&mut pump);
        self.things.push(Thing::Pump(pump));
        Ok(())
    }
}

/// A whole train, its power among the loads of the hall.
fn hall(works: &mut Works<'_>) -> Result<(), Error> {
    const HALL: &str = "Alder Reach Hall";
    works.pump(HALL, "House pump", [(0.0, 42.0), (40.0, 37.0), (80.0, 22.0)], |pump| {
        pump.power_w = Some(520.0);
        pump.npsh_m = Some(3.0);
        pump.height_m = Some(0.2);
        pump.lift_m = Some(3.5);
        pump.tap_l_per_min = Some(26.0);
        (pump.suction_size, pump.suction_run_m, pump.suction_fittings) =
            (Some(PipeSize::OneAndQuarter), Some(3.0), Some(4));
        (pump.delivery_size, pump.delivery_run_m, pump.delivery_fittings) = (Some(PipeSize::One), Some(22.0), Some(9));
        (pump.cut_in_kpa, pump.cut_out_kpa) = (Some(207.0), Some(345.0));
        (pump.precharge_kpa, pump.tank_l) = (Some(193.0), Some(80.0));
    })?;
    works.stage(HALL, "Sediment cartridge", (1, StageKind::Sediment), 240, |stage| {
        (stage.most_flow_l_per_min, stage.drop_kpa, stage.life_months) = (Some(38.0), Some(20.0), Some(6.0));
    })?;
    works.stage(HALL, "Carbon block", (2, StageKind::Carbon), 190, |stage| {
        (stage.most_flow_l_per_min, stage.drop_kpa) = (Some(34.0), Some(30.0));
        (stage.life_l, stage.life_months, stage.passed_l) = (Some(20_000.0), Some(12.0), Some(9_200.0));
    })?;
    works.stage(HALL, "Lamp", (3, StageKind::Ultraviolet), 430, |stage| {
        (stage.most_flow_l_per_min, stage.drop_kpa) = (Some(30.0), Some(5.0));
        stage.uv_class = Some(UvClass::A);
    })?;
    works.stage(HALL, "Contact tank", (4, StageKind::Chlorine), 430, |_| {})
}

/// A filter on the rain tote that is nearly done.
fn plots(works: &mut Works<'_>) -> Result<(), Error> {
    const PLOTS: &str = "Orchard Plots";
    works.stage(PLOTS, "Cyst cartridge", (1, StageKind::CystFilter), 310, |stage| {
        (stage.most_flow_l_per_min, stage.life_months) = (Some(6.0), Some(18.0));
        (stage.life_l, stage.passed_l) = (Some(4_000.0), Some(3_640.0));
    })?;
    works.stage(PLOTS, "Dosing pot", (2, StageKind::Chlorine), 310, |_| {})
}

/// A small pump that lifts out of the boathouse; nobody has its suction head, nor what it takes.
fn ferry(works: &mut Works<'_>) -> Result<(), Error> {
    works.pump("Ferry House", "Boathouse pump", [(0.0, 31.0), (20.0, 27.0), (40.0, 17.0)], |pump| {
        pump.height_m = Some(1.1);
        pump.lift_m = Some(6.0);
        pump.tap_l_per_min = Some(12.0);
        (pump.suction_size, pump.suction_run_m, pump.suction_fittings) = (Some(PipeSize::One), Some(4.0), Some(3));
        (pump.delivery_size, pump.delivery_run_m) = (Some(PipeSize::ThreeQuarters), Some(30.0));
        pump.delivery_fittings = Some(7);
        (pump.cut_in_kpa, pump.cut_out_kpa) = (Some(140.0), Some(280.0));
        (pump.precharge_kpa, pump.tank_l) = (Some(125.0), Some(19.0));
    })
}

/// A battery at Ferry House, filled by eight panels on its roof.
fn battery(works: &mut Works<'_>) -> Result<(), Error> {
    works.things.push(Thing::Battery(Battery {
        id: Id::from_uuid(uuid(works.since, &mut works.rng)),
        site: works.book.site("Ferry House")?,
        name: name("House battery")?,
        capacity_wh: 5_120.0,
        usable: 0.8,
        inverter: 0.9,
        idle_w: Some(20.0),
        charge: None,
        panels_w: Some(1_600.0),
        sun_hours: Some(2.5),
        panel_loss: None,
        ended: None,
    }));
    Ok(())
}
