//! The places of Alder Reach that belong to all: hall, school, clinic, flats, allotments, cistern; and who keeps them.

use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::days;

use crate::demo::ground::Form;
use crate::demo::ground::Ground;
use crate::demo::ground::draws;
use crate::demo::ground::name;
use crate::demo::households;
use crate::model::id::SiteId;
use crate::model::id::SourceId;
use crate::model::neighbourhood::Neighbourhood;
use crate::model::neighbourhood::Units;
use crate::model::person::Role;
use crate::model::power::BurnPoint;
use crate::model::power::Fuel;
use crate::model::power::Generator;
use crate::model::prices::Prices;
use crate::model::setup::Thing;
use crate::model::site::Category;
use crate::model::site::SiteKind;
use crate::model::source::Disinfectant;
use crate::model::source::SourceKind;
use crate::model::upkeep::Intervals;
use crate::model::vessel::DrawWay;
use crate::model::vessel::Material;
use crate::model::vessel::RotateHow;
use crate::model::vessel::StandsOn;
use crate::service::Error;

/// The supplies by what they are called.
pub const MAINS: &str = "Public mains";
pub const BOTTLED: &str = "Bought bottles";
pub const RAIN: &str = "Rain off the roof";
pub const CARRIER: &str = "Reach Water Carriers";
pub const BROOK: &str = "Alder Brook";

/// The supplies, for whoever fills from them.
#[derive(Clone, Copy, Debug)]
pub struct Supplies {
    pub mains: SourceId,
    pub bottled: SourceId,
    pub rain: SourceId,
    pub carrier: SourceId,
    pub brook: SourceId,
}

/// Everything that is kept about the neighbourhood.
pub fn stand(ground: &mut Ground) -> Result<(), Error> {
    ground.keep(Thing::Neighbourhood(Neighbourhood {
        name: name("Alder Reach")?,
        zone: "Europe/London".to_owned(),
        units: Units::Metric,
        language: "en".to_owned(),
        ration: "basic".to_owned(),
        target_days: as_days(days(14.0)),
        upkeep: Intervals::default(),
        sds_g: Some(0.30),
        sd1_g: Some(0.12),
        // made up, as all else here
        prices: Prices {
            petrol_l: Some(1.6),
            diesel_l: Some(1.7),
            propane_l: Some(1.1),
            can: Some(9.0),
            stage: Some(40.0),
        },
    }));
    let unknown = Disinfectant::None;
    let supplies = Supplies {
        mains: ground.source(MAINS, SourceKind::Mains, Disinfectant::FreeChlorine, "One zone, fed from the north.")?,
        bottled: ground.source(BOTTLED, SourceKind::Bought, unknown, "Sealed, with a printed date.")?,
        rain: ground.source(RAIN, SourceKind::Rain, unknown, "First flush let go.")?,
        carrier: ground.source(
            CARRIER,
            SourceKind::Carrier,
            Disinfectant::FreeChlorine,
            "Licensed. Brings 2,000 L.",
        )?,
        brook: ground.source(BROOK, SourceKind::River, unknown, "For the fire watch alone.")?,
    };
    let hall = hall(ground, supplies)?;
    let school = school(ground, supplies)?;
    let clinic = clinic(ground, supplies)?;
    let flats = flats(ground, supplies)?;
    let plots = allotments(ground, supplies)?;
    cistern(ground, supplies)?;
    let homes = households::stand(ground, supplies)?;
    ground.person("Maren", Role::Coordinator, &[])?;
    ground.person("Ruth", Role::Keeper, &[hall])?;
    ground.person("Tom", Role::Keeper, &[school, hall])?;
    ground.person("Amara", Role::Keeper, &[clinic])?;
    ground.person("Jonah", Role::Keeper, &[flats, plots])?;
    ground.person("Ines", Role::Keeper, &homes.ines)
}

fn hall(ground: &mut Ground, supplies: Supplies) -> Result<SiteId, Error> {
    let people = [(Category::Catchment, 68), (Category::Nursing, 2), (Category::Infant, 2)];
    let hall = ground.site(SiteKind::Hall, "Alder Reach Hall", &people, |site| {
        site.sources = vec![supplies.mains, supplies.carrier];
        site.address = "Church Lane".to_owned();
        site.elevation_m = Some(31.0);
        site.access = "Plant room behind the stage; the key hangs in the vestry.".to_owned();
        site.contact = "Ruth".to_owned();
        site.phone = "01632 960 112".to_owned();
        site.notes = "Where water is given out from 9 in the morning.".to_owned();
    })?;
    let bank = ground.bank(hall, "West and East", false)?;
    for (text, banked, floor) in
        [("West", true, "beside the door"), ("East", true, "under the window"), ("North", false, "on its own")]
    {
        ground.vessel(hall, text, Form::Upright(1.80, 2.10), supplies.mains, |vessel| {
            vessel.full_m = Some(1.96);
            vessel.draws = draws(&[(DrawWay::Pump, 0.14), (DrawWay::Gravity, 0.14)]);
            vessel.bank = banked.then_some(bank);
            vessel.anchored = text == "West";
            vessel.policy.floor_mg_l = None;
            vessel.notes = format!("Stands {floor}.");
        })?;
    }
    let title = name("Shed generator")?;
    ground.generator(|id| Generator {
        id,
        site: hall,
        name: title,
        fuel: Fuel::Propane,
        rated_w: 3000.0,
        burst_w: None,
        burn: burn(&[(0.0, 0.886), (1500.0, 1.71), (3000.0, 2.54)]),
        ended: None,
    });
    ground.fuel(hall, "Two cylinders", Fuel::Propane, (59.0, 44.0), None, false)?;
    ground.load(hall, "House pump", (750.0, 2200.0), 3.0, true)?;
    ground.load(hall, "Ultraviolet lamp", (55.0, 55.0), 16.0, false)?;
    ground.load(hall, "Lights and sockets", (235.0, 400.0), 16.0, false)?;
    Ok(hall)
}

fn school(ground: &mut Ground, supplies: Supplies) -> Result<SiteId, Error> {
    let people = [(Category::Catchment, 50), (Category::Adult, 14), (Category::Child, 20)];
    let school = ground.site(SiteKind::School, "Reach Primary", &people, |site| {
        site.sources = vec![supplies.mains];
        site.address = "School Road".to_owned();
        site.keep_l = 3_800.0;
        site.elevation_m = Some(24.0);
        site.access = "Caretaker's gate; tanks in the boiler yard.".to_owned();
        site.contact = "Tom".to_owned();
        site.phone = "01632 960 145".to_owned();
    })?;
    ground.vessel(school, "Lying tank", Form::Lying(1.60, 4.20), supplies.mains, |vessel| {
        vessel.full_m = Some(1.50);
        vessel.draws = draws(&[(DrawWay::Gravity, 0.12)]);
        vessel.material = Material::Stainless;
        vessel.anchored = true;
    })?;
    ground.vessel(school, "Yard tank", Form::Upright(2.20, 2.20), supplies.mains, |vessel| {
        vessel.may_freeze = true;
        vessel.full_m = Some(2.05);
        vessel.draws = draws(&[(DrawWay::Gravity, 0.08)]);
        vessel.policy.floor_mg_l = Some(0.2);
    })?;
    ground.vessel(school, "Cans", Form::Set(24.0, 20.0), supplies.mains, |vessel| {
        vessel.draws = draws(&[(DrawWay::Dip, 0.0)]);
        vessel.stands_on = StandsOn::Stand;
        vessel.policy.how = RotateHow::PouredAway;
    })?;
    Ok(school)
}

fn clinic(ground: &mut Ground, supplies: Supplies) -> Result<SiteId, Error> {
    let people = [(Category::Adult, 8), (Category::Unwell, 6), (Category::Bed, 6), (Category::DayVisitor, 30)];
    let clinic = ground.site(SiteKind::Clinic, "Weir Lane Clinic", &people, |site| {
        site.sources = vec![supplies.mains, supplies.bottled, supplies.carrier];
        site.address = "Weir Lane".to_owned();
        site.elevation_m = Some(22.0);
        site.access = "Ring at the side door, day or night.".to_owned();
        site.contact = "Amara".to_owned();
        site.phone = "01632 960 170".to_owned();
        site.notes = "Six beds. Water for them is never rationed.".to_owned();
    })?;
    ground.vessel(clinic, "Loft tank", Form::Upright(1.50, 2.00), supplies.mains, |vessel| {
        vessel.full_m = Some(1.85);
        vessel.draws = draws(&[(DrawWay::Gravity, 0.08)]);
        vessel.stands_on = StandsOn::Roof;
        vessel.anchored = true;
        vessel.policy.interval_days = 120.0;
        vessel.policy.floor_mg_l = Some(0.2);
        vessel.notes = "A meter at its outlet.".to_owned();
    })?;
    ground.vessel(clinic, "Bottles", Form::Set(48.0, 6.0), supplies.bottled, |vessel| {
        vessel.draws = draws(&[(DrawWay::Dip, 0.0)]);
        vessel.opaque = false;
        vessel.stands_on = StandsOn::Stand;
        vessel.policy.interval_days = 540.0;
    })?;
    Ok(clinic)
}

fn flats(ground: &mut Ground, supplies: Supplies) -> Result<SiteId, Error> {
    let people = [(Category::Adult, 41), (Category::Child, 13), (Category::Infant, 2), (Category::Nursing, 2)];
    let flats = ground.site(SiteKind::Flats, "Birch Court", &people, |site| {
        site.cannot_collect = 4;
        site.sources = vec![supplies.mains];
        site.address = "Birch Court, Mill Road".to_owned();
        site.elevation_m = Some(27.0);
        site.access = "Basement door on the river side; code with the coordinator.".to_owned();
        site.contact = "Jonah".to_owned();
        site.phone = "01632 960 128".to_owned();
        site.notes = "Nothing runs by gravity: without the pump the tank cannot be reached.".to_owned();
    })?;
    ground.vessel(flats, "Basement tank", Form::Box(2.40, 1.80, 1.60), supplies.mains, |vessel| {
        vessel.full_m = Some(1.50);
        vessel.draws = draws(&[(DrawWay::Pump, 0.06)]);
        vessel.material = Material::Fibreglass;
        vessel.anchored = true;
    })?;
    let title = name("Basement generator")?;
    ground.generator(|id| Generator {
        id,
        site: flats,
        name: title,
        fuel: Fuel::Diesel,
        rated_w: 4000.0,
        burst_w: None,
        burn: burn(&[(0.0, 0.36), (2000.0, 0.80), (4000.0, 1.30)]),
        ended: None,
    });
    ground.fuel(flats, "Diesel can", Fuel::Diesel, (40.0, 24.0), Some(520), false)?;
    ground.load(flats, "Booster pump", (1100.0, 3300.0), 3.0, true)?;
    ground.load(flats, "Stair lights", (60.0, 60.0), 10.0, false)?;
    Ok(flats)
}

fn allotments(ground: &mut Ground, supplies: Supplies) -> Result<SiteId, Error> {
    let people = [(Category::Adult, 9), (Category::Child, 3)];
    let plots = ground.site(SiteKind::Allotments, "Orchard Plots", &people, |site| {
        site.sources = vec![supplies.mains, supplies.rain];
        site.address = "Orchard Path".to_owned();
        site.elevation_m = Some(35.0);
        site.access = "The lower gate is never locked.".to_owned();
        site.contact = "Jonah".to_owned();
        site.phone = "01632 960 128".to_owned();
    })?;
    ground.vessel(plots, "Tote by the gate", Form::Box(1.16, 0.96, 1.00), supplies.mains, |vessel| {
        vessel.may_freeze = true;
        vessel.full_m = Some(0.95);
        vessel.draws = draws(&[(DrawWay::Gravity, 0.05)]);
        vessel.stands_on = StandsOn::Stand;
        vessel.notes = "Under a black cover.".to_owned();
    })?;
    ground.vessel(plots, "Tote by the shed", Form::Box(1.16, 0.96, 1.00), supplies.rain, |vessel| {
        vessel.may_freeze = true;
        vessel.full_m = Some(0.95);
        vessel.draws = draws(&[(DrawWay::Gravity, 0.05), (DrawWay::Pump, 0.05)]);
        vessel.stands_on = StandsOn::Ground;
        vessel.policy.how = RotateHow::PouredAway;
        vessel.daily_use = true;
    })?;
    ground.vessel(plots, "Rain butt", Form::Upright(0.60, 0.95), supplies.rain, |vessel| {
        vessel.may_freeze = true;
        vessel.draws = draws(&[(DrawWay::Gravity, 0.06), (DrawWay::Dip, 0.0)]);
        vessel.food_grade = false;
        vessel.stands_on = StandsOn::Ground;
        vessel.policy.how = RotateHow::PouredAway;
    })?;
    let title = name("Small generator")?;
    ground.generator(|id| Generator {
        id,
        site: plots,
        name: title,
        fuel: Fuel::Petrol,
        rated_w: 1000.0,
        burst_w: None,
        burn: burn(&[(0.0, 0.22), (1000.0, 0.60)]),
        ended: None,
    });
    ground.fuel(plots, "Petrol cans", Fuel::Petrol, (20.0, 12.0), Some(428), false)?;
    ground.load(plots, "Watering pump", (350.0, 900.0), 2.0, true).map(|()| plots)
}

/// Depth and litres as they were found by filling it a hundred buckets at a time: the vault leans in at the top.
const CISTERN: &[(f64, f64)] = &[
    (0.0, 0.0),
    (0.20, 1_240.0),
    (0.50, 3_420.0),
    (0.90, 6_480.0),
    (1.30, 9_410.0),
    (1.60, 11_320.0),
    (1.80, 12_200.0),
];

fn cistern(ground: &mut Ground, supplies: Supplies) -> Result<(), Error> {
    let place = ground.site(SiteKind::FireWatch, "Mill Lane cistern", &[], |site| {
        site.sources = vec![supplies.brook, supplies.rain];
        site.address = "Mill Lane, under the grating".to_owned();
        site.elevation_m = Some(20.0);
        site.access = "Grating key at the hall. Never enter it.".to_owned();
        site.notes = "For fires first; after that for flushing.".to_owned();
    })?;
    ground.vessel(place, "Cistern", Form::Table(CISTERN), supplies.brook, |vessel| {
        vessel.full_m = Some(1.70);
        vessel.draws = draws(&[(DrawWay::Pump, 0.15), (DrawWay::Dip, 0.05)]);
        vessel.material = Material::Concrete;
        vessel.food_grade = false;
        vessel.stands_on = StandsOn::Buried;
        vessel.policy.interval_days = 720.0;
        vessel.policy.how = RotateHow::PouredAway;
    })
}

/// Points of a burn line: watts, litres an hour.
pub fn burn(points: &[(f64, f64)]) -> Vec<BurnPoint> {
    points.iter().map(|&(load_w, litres_per_hour)| BurnPoint { load_w, litres_per_hour }).collect()
}
