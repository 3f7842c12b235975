//! The households of Alder Reach that store water of their own.

use crate::demo::ground::Form;
use crate::demo::ground::Ground;
use crate::demo::ground::draws;
use crate::demo::ground::name;
use crate::demo::places::Supplies;
use crate::demo::places::burn;
use crate::model::id::SiteId;
use crate::model::power::Fuel;
use crate::model::power::Generator;
use crate::model::site::Animal;
use crate::model::site::Animals;
use crate::model::site::Category;
use crate::model::site::Category::Adult;
use crate::model::site::Category::Child;
use crate::model::site::SiteKind;
use crate::model::vessel::DrawWay;
use crate::model::vessel::Material;
use crate::model::vessel::RotateHow;
use crate::model::vessel::StandsOn;
use crate::service::Error;

/// Who keeps which households.
#[derive(Clone, Debug)]
pub struct Homes {
    pub ines: Vec<SiteId>,
}

/// A household: its name, who lives there, elevation, telephone.
type Home = (&'static str, &'static [(Category, u32)], f64, &'static str);

const HOMES: &[Home] = &[
    ("Weir Cottage", &[(Adult, 2)], 19.0, "01632 960 201"),
    ("Stonecroft", &[(Adult, 2), (Child, 1)], 33.0, "01632 960 202"),
    ("Mill End", &[(Adult, 2), (Child, 2)], 21.0, "01632 960 203"),
    ("Two Chimneys", &[(Adult, 4), (Child, 2)], 29.0, "01632 960 204"),
    ("Ferry House", &[(Adult, 3), (Child, 2)], 18.0, "01632 960 205"),
    ("Old Forge", &[(Adult, 3), (Category::Unwell, 1)], 23.0, "01632 960 206"),
    ("Larkfield", &[(Adult, 2), (Child, 3)], 38.0, "01632 960 207"),
    ("Lock House", &[(Adult, 2)], 17.0, "01632 960 208"),
    ("Pear Tree", &[(Adult, 3)], 26.0, "01632 960 209"),
];

pub fn stand(ground: &mut Ground, supplies: Supplies) -> Result<Homes, Error> {
    let mut sites = Vec::with_capacity(HOMES.len());
    for (text, people, elevation, phone) in HOMES {
        sites.push(ground.site(SiteKind::Household, text, people, |site| {
            site.sources = vec![supplies.mains];
            site.address = format!("{text}, Alder Reach");
            site.elevation_m = Some(*elevation);
            site.phone = (*phone).to_owned();
            match *text {
                "Old Forge" => site.cannot_collect = 1,
                "Lock House" => site.sources.push(supplies.bottled),
                "Pear Tree" => site.sources.push(supplies.rain),
                "Ferry House" => site.animals = vec![Animals { animal: Animal::DogOrCat, count: 2 }],
                "Stonecroft" => site.animals = vec![Animals { animal: Animal::DogOrCat, count: 1 }],
                _ => {}
            }
        })?);
    }
    if let [weir, stonecroft, mill, chimneys, ferry, forge, lark, lock, pear] = sites[..] {
        few(ground, supplies, [weir, stonecroft, mill])?;
        chimneys_and_ferry(ground, supplies, chimneys, ferry)?;
        forge_and_lark(ground, supplies, forge, lark)?;
        lock_and_pear(ground, supplies, lock, pear)?;
        return Ok(Homes { ines: vec![chimneys] });
    }
    Ok(Homes { ines: Vec::new() })
}

/// The three with the least.
fn few(ground: &mut Ground, supplies: Supplies, [weir, stonecroft, mill]: [SiteId; 3]) -> Result<(), Error> {
    ground.vessel(weir, "Cans in the hall", Form::Set(6.0, 20.0), supplies.mains, |vessel| {
        vessel.draws = draws(&[(DrawWay::Dip, 0.0)]);
        vessel.stands_on = StandsOn::TimberFloor;
        vessel.policy.how = RotateHow::PouredAway;
    })?;
    ground.vessel(stonecroft, "Blue barrel", Form::Upright(0.58, 0.90), supplies.mains, |vessel| {
        vessel.full_m = Some(0.82);
        vessel.draws = draws(&[(DrawWay::Gravity, 0.05)]);
        vessel.stands_on = StandsOn::Stand;
    })?;
    let pair = ground.bank(mill, "The pair", true)?;
    for text in ["Left drum", "Right drum"] {
        ground.vessel(mill, text, Form::Upright(0.57, 0.86), supplies.mains, |vessel| {
            vessel.full_m = Some(0.80);
            vessel.draws = draws(&[(DrawWay::Gravity, 0.04)]);
            vessel.bank = Some(pair);
            vessel.stands_on = StandsOn::Stand;
        })?;
    }
    Ok(())
}

fn chimneys_and_ferry(ground: &mut Ground, supplies: Supplies, chimneys: SiteId, ferry: SiteId) -> Result<(), Error> {
    ground.vessel(chimneys, "Utility room tank", Form::Upright(0.95, 1.05), supplies.mains, |vessel| {
        vessel.full_m = Some(0.92);
        vessel.draws = draws(&[(DrawWay::Gravity, 0.05)]);
        vessel.stands_on = StandsOn::TimberFloor;
    })?;
    ground.vessel(chimneys, "Water heater", Form::Heater(180.0), supplies.mains, |vessel| {
        vessel.draws = draws(&[(DrawWay::Dip, 0.0)]);
        vessel.material = Material::Steel;
        vessel.outage_only = true;
        vessel.anchored = true;
        vessel.notes = "Power off and cool first; then at its drain cock.".to_owned();
    })?;
    ground.vessel(ferry, "Boathouse tank", Form::Lying(0.82, 1.60), supplies.mains, |vessel| {
        vessel.full_m = Some(0.78);
        vessel.draws = draws(&[(DrawWay::Pump, 0.05), (DrawWay::Gravity, 0.05)]);
        vessel.material = Material::Stainless;
    })?;
    let title = name("Suitcase generator")?;
    ground.generator(|id| Generator {
        id,
        site: ferry,
        name: title,
        fuel: Fuel::Petrol,
        rated_w: 2000.0,
        burst_w: None,
        burn: burn(&[(0.0, 0.30), (2000.0, 0.95)]),
        ended: None,
    });
    ground.fuel(ferry, "Petrol can", Fuel::Petrol, (20.0, 10.0), Some(440), true)?;
    ground.load(ferry, "Boathouse pump", (400.0, 1200.0), 2.0, true)
}

fn forge_and_lark(ground: &mut Ground, supplies: Supplies, forge: SiteId, lark: SiteId) -> Result<(), Error> {
    ground.vessel(forge, "Tote", Form::Box(1.16, 0.96, 1.00), supplies.mains, |vessel| {
        vessel.full_m = Some(0.95);
        vessel.draws = draws(&[(DrawWay::Gravity, 0.05)]);
        vessel.notes = "Black, in the smithy.".to_owned();
    })?;
    ground.vessel(forge, "Spare drum", Form::Upright(0.57, 0.86), supplies.mains, |vessel| {
        vessel.full_m = Some(0.80);
        vessel.draws = draws(&[(DrawWay::Gravity, 0.04), (DrawWay::Dip, 0.0)]);
        vessel.policy.how = RotateHow::Dosed;
    })?;
    ground.vessel(lark, "Barn tank", Form::Upright(1.10, 1.15), supplies.mains, |vessel| {
        vessel.full_m = Some(1.00);
        vessel.draws = draws(&[(DrawWay::Gravity, 0.09)]);
    })
}

/// From the maker's plate inside the lid of an old milk cooler.
const COOLER: &[(f64, f64)] = &[(0.0, 0.0), (0.10, 28.0), (0.25, 81.0), (0.40, 138.0), (0.55, 196.0), (0.70, 252.0)];

fn lock_and_pear(ground: &mut Ground, supplies: Supplies, lock: SiteId, pear: SiteId) -> Result<(), Error> {
    ground.vessel(lock, "Milk cooler", Form::Table(COOLER), supplies.mains, |vessel| {
        vessel.draws = draws(&[(DrawWay::Gravity, 0.0)]);
        vessel.material = Material::Stainless;
    })?;
    ground.vessel(lock, "Bottles", Form::Set(20.0, 10.0), supplies.bottled, |vessel| {
        vessel.draws = draws(&[(DrawWay::Dip, 0.0)]);
        vessel.opaque = false;
        vessel.stands_on = StandsOn::Stand;
    })?;
    ground.vessel(pear, "Cellar tank", Form::Upright(0.90, 1.20), supplies.mains, |vessel| {
        vessel.full_m = Some(1.10);
        vessel.draws = draws(&[(DrawWay::Gravity, 0.03)]);
        vessel.material = Material::Fibreglass;
    })?;
    ground.vessel(pear, "Rain butt", Form::Upright(0.55, 0.90), supplies.rain, |vessel| {
        vessel.draws = draws(&[(DrawWay::Gravity, 0.05), (DrawWay::Dip, 0.0)]);
        vessel.food_grade = false;
        vessel.stands_on = StandsOn::Ground;
        vessel.policy.how = RotateHow::PouredAway;
    })
}
