//! Invented neighbourhoods and what may happen in them, for the property tests: three sites, vessels of every shape,
//! banks, sets in lots, supplies with notices, fuel; entries of every kind at times that often coincide, with ids whose
//! order is not the order of time.

mod entries;

use entries::entry;
use entries::raw;
use jiff::SignedDuration;
use jiff::Timestamp;
use keepwell::model::battery::Battery;
use keepwell::model::choice::Choice;
use keepwell::model::entry::Entry;
use keepwell::model::id::Id;
use keepwell::model::name::Name;
use keepwell::model::outage::Outage;
use keepwell::model::outage::OutageKind;
use keepwell::model::power::BurnPoint;
use keepwell::model::power::Fuel;
use keepwell::model::power::FuelStore;
use keepwell::model::power::Generator;
use keepwell::model::setup::SetUp;
use keepwell::model::setup::Thing;
use keepwell::model::site::Category;
use keepwell::model::site::People;
use keepwell::model::site::Site;
use keepwell::model::site::SiteKind;
use keepwell::model::source::Disinfectant;
use keepwell::model::source::Source;
use keepwell::model::source::SourceKind;
use keepwell::model::vessel::Bank;
use keepwell::model::vessel::Draw;
use keepwell::model::vessel::DrawWay;
use keepwell::model::vessel::Material;
use keepwell::model::vessel::Policy;
use keepwell::model::vessel::ShapeKind;
use keepwell::model::vessel::StandsOn;
use keepwell::model::vessel::Vessel;
use keepwell::model::works::CurvePoint;
use keepwell::model::works::PipeKind;
use keepwell::model::works::PipeSize;
use keepwell::model::works::Pump;
use keepwell::model::works::Stage;
use keepwell::model::works::StageKind;
use keepwell::model::works::UvClass;
use proptest::prelude::*;
use std::collections::BTreeMap;
use std::sync::Arc;

/// The first of January 2026, when most vessels were set up.
pub const START: &str = "2026-01-01T00:00:00Z";
pub const SITES: usize = 3;
pub const SOURCES: usize = 3;
pub const BANKS: usize = 3;
pub const STORES: usize = 2;

/// A neighbourhood and what happened there, in the order in which it was made up.
#[derive(Clone)]
pub struct Scene {
    pub set_up: SetUp,
    pub entries: Vec<Arc<Entry>>,
}

/// What a person needs to see of it when a test fails.
impl core::fmt::Debug for Scene {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        for kept in self.set_up.vessels.values() {
            let Vessel { name, shape, site, bank, source, since, floor_m, .. } = &*kept.thing;
            writeln!(f, "{name} {shape:?} {} {bank:?} {source:?} {since} {floor_m}", site.uuid())?;
        }
        for bank in self.set_up.banks.values() {
            writeln!(f, "bank at {} coupled {}", bank.thing.site, bank.thing.coupled_at_first)?;
        }
        for entry in &self.entries {
            let vessel = entry.vessel.and_then(|vessel| self.set_up.vessels.get(&vessel));
            let vessel = vessel.map_or("-", |vessel| vessel.thing.name.as_str());
            writeln!(f, "{} {} {vessel} {:?}", entry.at, entry.id, entry.act)?;
        }
        Ok(())
    }
}

/// The n-th id of its noun. Two that follow each other do not sort in that order.
pub fn id<T>(n: usize) -> Id<T> {
    let noun = core::any::type_name::<T>().bytes().fold(7_u128, |sum, byte| sum.wrapping_mul(31) + u128::from(byte));
    let n = u128::try_from(n).unwrap() + (noun << 32);
    Id::from_uuid(uuid::Uuid::from_u128(n.wrapping_mul(0x9E37_79B9_7F4A_7C15_F39C_C060_5CED_C835)))
}

pub fn start() -> Timestamp {
    START.parse().unwrap()
}

pub fn name(text: &str) -> Name {
    Name::new(text).unwrap()
}

/// A scene of `vessels` vessels at most and so many entries.
pub fn scene(entries: core::ops::Range<usize>) -> impl Strategy<Value = Scene> {
    let sources = prop::collection::vec((0..SourceKind::LIST.len(), 0..Disinfectant::LIST.len()), SOURCES);
    let banks = prop::collection::vec(any::<bool>(), BANKS);
    let vessels = prop::collection::vec(any::<(u8, u8, u8, u8, u8)>(), 1..9);
    let entries = prop::collection::vec(raw(), entries);
    (sources, banks, vessels, entries).prop_map(|(sources, banks, vessels, raws)| {
        let mut set_up = SetUp::default();
        for (n, (kind, disinfectant)) in sources.into_iter().enumerate() {
            set_up.put(Thing::Source(source(n, SourceKind::LIST[kind].0, Disinfectant::LIST[disinfectant].0)), 1);
        }
        for n in 0..SITES {
            set_up.put(Thing::Site(site(n)), 1);
        }
        for (n, coupled_at_first) in banks.into_iter().enumerate() {
            set_up.put(Thing::Bank(Bank { id: id(n), site: id(n), name: name("Bank"), coupled_at_first }), 1);
        }
        for (n, raw) in vessels.into_iter().enumerate() {
            set_up.put(Thing::Vessel(vessel(n, raw)), 1);
        }
        for n in 0..STORES {
            set_up.put(Thing::FuelStore(fuel_store(n, 40.0)), 1);
        }
        set_up.put(Thing::Generator(generator()), 1);
        set_up.put(Thing::Battery(battery(0)), 1);
        set_up.put(Thing::Stage(lamp(0)), 1);
        set_up.put(Thing::Pump(pump(0)), 1);
        let made = raws.iter().enumerate().map(|(n, raw)| Arc::new(entry(&set_up, n, raw))).collect();
        Scene { set_up, entries: made }
    })
}

pub fn source(n: usize, kind: SourceKind, disinfectant: Disinfectant) -> Source {
    Source { id: id(n), name: name(&format!("Supply {n}")), kind, disinfectant, notes: String::new() }
}

pub fn site(n: usize) -> Site {
    Site {
        id: id(n),
        name: name(&format!("Site {n}")),
        kind: SiteKind::Household,
        people: vec![People { category: Category::Adult, count: 4 }],
        cannot_collect: u32::try_from(n % 3).unwrap(),
        animals: Vec::new(),
        sources: if n == 0 { Vec::new() } else { vec![id(n)] },
        address: String::new(),
        latitude: None,
        longitude: None,
        elevation_m: None,
        access: String::new(),
        contact: String::new(),
        phone: String::new(),
        notes: String::new(),
        pump_hours_a_day: Site::TAP_ON_DEMAND_HOURS,
        keep_l: 0.0,
        handed_out_loss: 0.0,
        ended: None,
    }
}

pub fn fuel_store(n: usize, amount_l: f64) -> FuelStore {
    FuelStore {
        id: id(n),
        site: id(n),
        name: name("Cans"),
        fuel: Fuel::Petrol,
        capacity_l: None,
        amount_l,
        bought: Some("2025-11-02".parse().unwrap()),
        stabilised: n == 0,
        since: start(),
        ended: None,
    }
}

fn generator() -> Generator {
    let burn =
        vec![BurnPoint { load_w: 0.0, litres_per_hour: 0.5 }, BurnPoint { load_w: 2000.0, litres_per_hour: 1.4 }];
    Generator {
        id: id(0),
        site: id(0),
        name: name("Set"),
        fuel: Fuel::Petrol,
        rated_w: 2500.0,
        burst_w: None,
        burn,
        ended: None,
    }
}

/// A battery of 5,120 Wh with 1,600 W of panels, at the site of that number.
pub fn battery(n: usize) -> Battery {
    Battery {
        id: id(n),
        site: id(n),
        name: name("House battery"),
        capacity_wh: 5_120.0,
        usable: 0.8,
        inverter: 0.9,
        idle_w: None,
        charge: Some(1.0 / 3.0),
        panels_w: Some(1_600.0),
        sun_hours: Some(2.5),
        panel_loss: Some(0.1 + 0.2),
        ended: None,
    }
}

pub fn lamp(n: usize) -> Stage {
    Stage {
        id: id(n),
        site: id(0),
        name: name("Lamp"),
        kind: StageKind::Ultraviolet,
        place: 3,
        most_flow_l_per_min: Some(30.1),
        drop_kpa: Some(1.0 / 3.0),
        life_l: None,
        life_months: Some(12.5),
        fitted: Some("2025-11-02".parse().unwrap()),
        passed_l: Some(0.1 + 0.2),
        draws_w: Some(40.0),
        uv_class: Some(UvClass::A),
        lamp_hours: Some(1e3 / 7.0),
        lamp_life_hours: None,
        ended: None,
    }
}

pub fn pump(n: usize) -> Pump {
    let point = |flow_l_per_min, head_m| CurvePoint { flow_l_per_min, head_m };
    Pump {
        id: id(n),
        site: id(0),
        name: name("House pump"),
        curve: vec![point(0.0, 42.0), point(40.0, 37.0), point(80.0, 22.0)],
        power_w: Some(700.7),
        npsh_m: None,
        height_m: Some(-0.1),
        lift_m: Some(3.0),
        tap_l_per_min: Some(100.0 / 7.0),
        pipe: Some(PipeKind::Plastic),
        suction_size: Some(PipeSize::OneAndQuarter),
        suction_run_m: Some(2.0),
        suction_fittings: None,
        delivery_size: Some(PipeSize::One),
        delivery_run_m: Some(25.0),
        delivery_fittings: Some(6),
        cut_in_kpa: Some(206.8),
        cut_out_kpa: Some(344.7),
        precharge_kpa: Some(193.1),
        tank_l: Some(80.0),
        ended: None,
    }
}

/// A vessel from five bytes: shape, site, bank, source and height of floor, age and full mark.
pub fn vessel(n: usize, (shape, site, bank, source, rest): (u8, u8, u8, u8, u8)) -> Vessel {
    let shape = ShapeKind::LIST[usize::from(shape) % ShapeKind::LIST.len()].0;
    let site = usize::from(site) % SITES;
    let rest = f64::from(rest);
    let figures: &[(&str, f64)] = match shape {
        ShapeKind::UprightCylinder => &[("diameter_m", 1.2), ("height_m", 1.7)],
        ShapeKind::HorizontalCylinder => &[("diameter_m", 0.8), ("length_m", 2.1)],
        ShapeKind::UprightCone => {
            &[("diameter_m", 1.2), ("shell_height_m", 1.2), ("head_depth_m", 0.4), ("bore_m", 0.05)]
        }
        ShapeKind::UprightDished => {
            &[("diameter_m", 1.2), ("shell_height_m", 1.2), ("crown_radius_m", 1.2), ("knuckle_radius_m", 0.072)]
        }
        ShapeKind::UprightElliptical => &[("diameter_m", 1.2), ("shell_height_m", 1.2), ("head_depth_m", 0.3)],
        ShapeKind::UprightRound => &[("diameter_m", 1.2), ("shell_height_m", 1.0)],
        ShapeKind::HorizontalCone | ShapeKind::HorizontalElliptical => {
            &[("diameter_m", 0.8), ("shell_length_m", 2.1), ("head_depth_m", 0.2)]
        }
        ShapeKind::HorizontalDished => {
            &[("diameter_m", 0.8), ("shell_length_m", 2.1), ("crown_radius_m", 0.8), ("knuckle_radius_m", 0.048)]
        }
        ShapeKind::HorizontalRound => &[("diameter_m", 0.8), ("shell_length_m", 2.1)],
        ShapeKind::Box => &[("length_m", 1.1), ("width_m", 0.9), ("height_m", 1.0)],
        ShapeKind::RoundedBox => &[
            ("length_m", 1.1),
            ("width_m", 0.9),
            ("height_m", 1.0),
            ("corner_radius_m", 0.12),
            ("bottom_edge_radius_m", 0.08),
        ],
        ShapeKind::Sphere => &[("diameter_m", 1.2)],
        ShapeKind::Set => &[("count", 24.0), ("litres_each", 20.0)],
        ShapeKind::HeaterTank => &[("litres", 190.0)],
        ShapeKind::Table => &[],
    };
    let deep = !matches!(shape, ShapeKind::Set | ShapeKind::HeaterTank);
    Vessel {
        id: id(n),
        site: id(site),
        name: name(&format!("Vessel {n}")),
        shape,
        dimensions: figures.iter().map(|(key, value)| ((*key).to_owned(), *value)).collect::<BTreeMap<_, _>>(),
        strapping: if shape == ShapeKind::Table { vec![(0.0, 0.0), (0.25, 120.0), (1.0, 820.0)] } else { Vec::new() },
        full_m: (deep && rest > 128.0).then_some(0.75),
        draws: if deep { vec![Draw { way: DrawWay::Gravity, height_m: 0.1 }] } else { Vec::new() },
        material: Material::Polyethylene,
        food_grade: source % 8 != 7,
        closed: true,
        opaque: rest < 200.0,
        stands_on: StandsOn::Slab,
        anchored: false,
        empty_kg: (rest % 3.0 < 1.0).then_some(45.0),
        floor_m: (rest % 4.0) * 0.2,
        bank: (bank % 2 == 0).then(|| id(site)),
        source: (source % 4 < 3).then(|| id(usize::from(source % 4))),
        policy: Policy { floor_mg_l: (source % 2 == 0).then_some(0.2), ..Policy::default() },
        outage_only: false,
        daily_use: rest % 5.0 < 1.0,
        may_freeze: rest % 7.0 < 1.0,
        since: start() + SignedDuration::from_hours(24 * i64::from(bank % 3)),
        ended: None,
        notes: String::new(),
    }
}

/// Another set-up of one thing (mended, moved, new): what, which, how.
pub type Change = (u8, u8, u8);

pub fn change() -> impl Strategy<Value = Change> {
    any::<Change>()
}

/// The thing as it is after that change.
pub fn changed(set_up: &SetUp, (what, which, how): Change) -> Thing {
    let vessels: Vec<&Vessel> = set_up.vessels.values().map(|kept| &*kept.thing).collect();
    let mut vessel = vessels[usize::from(which) % vessels.len()].clone();
    match what % 10 {
        0 => {
            for value in vessel.dimensions.values_mut() {
                *value = (*value * if how % 2 == 0 { 1.25 } else { 2.0 }).min(24.0);
            }
            Thing::Vessel(vessel)
        }
        1 => {
            let site = (0..SITES).find(|n| vessel.site == id(*n));
            vessel.bank = if vessel.bank.is_some() { None } else { site.map(id) };
            Thing::Vessel(vessel)
        }
        2 => {
            vessel.source = (how % 2 == 0).then(|| id(usize::from(how) % SOURCES));
            vessel.since = start() + SignedDuration::from_hours(24 * i64::from(how % 30));
            vessel.ended = (how % 5 == 0).then(|| start() + SignedDuration::from_hours(24 * 40));
            Thing::Vessel(vessel)
        }
        3 => {
            let n = usize::from(which) % SOURCES;
            let kind = SourceKind::LIST[usize::from(how) % SourceKind::LIST.len()].0;
            Thing::Source(source(n, kind, Disinfectant::LIST[usize::from(how / 16) % 4].0))
        }
        4 => Thing::FuelStore(fuel_store(usize::from(which) % (STORES + 1), f64::from(how))),
        5 => {
            let n = usize::from(which) % SITES;
            let sources = if how % 2 == 0 { vec![id(usize::from(how / 2) % SOURCES)] } else { Vec::new() };
            Thing::Site(Site { sources, name: name(&format!("Site {how}")), ..site(n) })
        }
        6 => {
            let n = usize::from(which) % BANKS;
            Thing::Bank(Bank { id: id(n), site: id(n), name: name("Bank"), coupled_at_first: how % 2 == 0 })
        }
        9 => {
            let since = start() + SignedDuration::from_hours(24 * i64::from(how % 40));
            Thing::Outage(Outage {
                id: id(0),
                kind: if which % 4 == 0 { OutageKind::Drill } else { OutageKind::Real },
                since,
                ended: (how % 3 > 0).then(|| since + SignedDuration::from_hours(24 * i64::from(which % 9 + 1))),
                target_days: 14.0,
                rations: Vec::new(),
                expected: None,
                ran_out: String::new(),
                notes: String::new(),
            })
        }
        7 => Thing::Vessel(self::vessel(vessels.len(), (which, how, which / 2, how / 2, which / 3))),
        _ => Thing::Generator(Generator { rated_w: 2500.0 + f64::from(how), ..generator() }),
    }
}
