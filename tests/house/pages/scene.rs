//! A small neighbourhood, invented, whose figures can be reckoned by hand.

use jiff::SignedDuration;
use jiff::Timestamp;
use keepwell::model::entry::Act;
use keepwell::model::entry::draw::Draw as Drawn;
use keepwell::model::entry::fill::Fill;
use keepwell::model::entry::reading::Method;
use keepwell::model::entry::reading::Reading;
use keepwell::model::entry::test::Test;
use keepwell::model::id::EntryId;
use keepwell::model::id::FuelStoreId;
use keepwell::model::id::GeneratorId;
use keepwell::model::id::OutageId;
use keepwell::model::id::PersonId;
use keepwell::model::id::SiteId;
use keepwell::model::id::SourceId;
use keepwell::model::id::VesselId;
use keepwell::model::name::Name;
use keepwell::model::neighbourhood::Neighbourhood;
use keepwell::model::neighbourhood::Units;
use keepwell::model::outage::Outage;
use keepwell::model::outage::OutageKind;
use keepwell::model::outage::Step;
use keepwell::model::person::Person;
use keepwell::model::person::Role;
use keepwell::model::power::BurnPoint;
use keepwell::model::power::Fuel;
use keepwell::model::power::FuelStore;
use keepwell::model::power::Generator;
use keepwell::model::setup::Thing;
use keepwell::model::site::Category;
use keepwell::model::site::People;
use keepwell::model::site::Site;
use keepwell::model::site::SiteKind;
use keepwell::model::source::Disinfectant;
use keepwell::model::source::Source;
use keepwell::model::source::SourceKind;
use keepwell::model::vessel::Draw;
use keepwell::model::vessel::DrawWay;
use keepwell::model::vessel::Material;
use keepwell::model::vessel::Policy;
use keepwell::model::vessel::ShapeKind;
use keepwell::model::vessel::StandsOn;
use keepwell::model::vessel::Vessel;
use keepwell::service::App;
use keepwell::service::Caller;
use keepwell::service::entries::New;
use keepwell::service::sign_in::Purpose;

use crate::harness::House;
use crate::harness::THEN;
use crate::harness::Visitor;

pub fn now() -> Timestamp {
    THEN.parse().unwrap()
}

pub fn days_ago(days: i64) -> Timestamp {
    now() - SignedDuration::from_hours(24 * days)
}

pub fn name(text: &str) -> Name {
    Name::new(text).unwrap()
}

pub async fn keep(app: &App, things: Vec<Thing>) {
    app.keep_all(&Caller::House, things.into_iter().map(|thing| (thing, None)).collect()).await.unwrap();
}

pub async fn log(app: &App, site: Option<SiteId>, vessel: Option<VesselId>, at: Timestamp, act: Act) -> EntryId {
    let id = EntryId::fresh();
    app.log(&Caller::House, New { id, site, vessel, at, act }).await.unwrap();
    id
}

pub fn neighbourhood() -> Thing {
    Thing::Neighbourhood(Neighbourhood {
        name: name("Alder Reach"),
        zone: "Europe/Dublin".to_owned(),
        units: Units::Metric,
        language: "en".to_owned(),
        ration: "basic".to_owned(),
        target_days: 14.0,
        upkeep: keepwell::model::upkeep::Intervals::default(),
        sds_g: None,
        sd1_g: None,
        prices: keepwell::model::prices::Prices::default(),
    })
}

pub fn mains() -> Source {
    Source {
        id: SourceId::fresh(),
        name: name("Public mains"),
        kind: SourceKind::Mains,
        disinfectant: Disinfectant::FreeChlorine,
        notes: String::new(),
    }
}

pub fn person(called: &str, role: Role, sites: &[SiteId]) -> Person {
    Person { id: PersonId::fresh(), name: name(called), role, sites: sites.to_vec(), ended: None }
}

pub fn site(called: &str, kind: SiteKind, adults: u32) -> Site {
    Site {
        id: SiteId::fresh(),
        name: name(called),
        kind,
        people: if adults > 0 { vec![People { category: Category::Adult, count: adults }] } else { Vec::new() },
        cannot_collect: 0,
        animals: Vec::new(),
        sources: Vec::new(),
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

pub fn vessel(
    site: &Site,
    called: &str,
    shape: ShapeKind,
    dimensions: &[(&str, f64)],
    draws: &[(DrawWay, f64)],
) -> Vessel {
    Vessel {
        id: VesselId::fresh(),
        site: site.id,
        name: name(called),
        shape,
        dimensions: dimensions.iter().map(|(key, value)| ((*key).to_owned(), *value)).collect(),
        strapping: Vec::new(),
        full_m: None,
        draws: draws.iter().map(|(way, height_m)| Draw { way: *way, height_m: *height_m }).collect(),
        material: Material::Polyethylene,
        food_grade: true,
        closed: true,
        opaque: true,
        stands_on: StandsOn::Slab,
        anchored: true,
        empty_kg: None,
        floor_m: 0.0,
        bank: None,
        source: None,
        policy: Policy::default(),
        outage_only: false,
        daily_use: false,
        may_freeze: false,
        since: days_ago(400),
        ended: None,
        notes: String::new(),
    }
}

/// 1 m by 1 m by 2 m: a millimetre is a litre.
pub fn cubic(site: &Site, called: &str, draws: &[(DrawWay, f64)]) -> Vessel {
    vessel(site, called, ShapeKind::Box, &[("length_m", 1.0), ("width_m", 1.0), ("height_m", 2.0)], draws)
}

pub fn upright(site: &Site, called: &str, draws: &[(DrawWay, f64)]) -> Vessel {
    Vessel {
        full_m: Some(1.96),
        ..vessel(site, called, ShapeKind::UprightCylinder, &[("diameter_m", 1.8), ("height_m", 2.1)], draws)
    }
}

pub fn lying(site: &Site, called: &str) -> Vessel {
    let dimensions = [("diameter_m", 1.9), ("length_m", 3.3)];
    vessel(site, called, ShapeKind::HorizontalCylinder, &dimensions, &[(DrawWay::Gravity, 0.1)])
}

pub fn cans(site: &Site, called: &str, count: f64) -> Vessel {
    let dimensions = [("count", count), ("litres_each", 20.0)];
    vessel(site, called, ShapeKind::Set, &dimensions, &[(DrawWay::Dip, 0.0)])
}

/// 0.5 L an hour whatever the load.
pub fn generator(site: &Site, fuel: Fuel, litres: f64) -> Vec<Thing> {
    let point = |load_w| BurnPoint { load_w, litres_per_hour: 0.5 };
    vec![
        Thing::Generator(Generator {
            id: GeneratorId::fresh(),
            site: site.id,
            name: name("Generator"),
            fuel,
            rated_w: 2000.0,
            burst_w: None,
            burn: vec![point(0.0), point(2000.0)],
            ended: None,
        }),
        Thing::FuelStore(FuelStore {
            id: FuelStoreId::fresh(),
            site: site.id,
            name: name("Cans in the shed"),
            fuel,
            capacity_l: None,
            amount_l: litres,
            bought: Some(jiff::tz::TimeZone::UTC.to_datetime(days_ago(30)).date()),
            stabilised: false,
            since: days_ago(30),
            ended: None,
        }),
    ]
}

pub fn filled(source: SourceId) -> Act {
    Act::Fill(Fill {
        litres: None,
        to_top: true,
        measured: None,
        source,
        boiled: false,
        printed: None,
        lot: None,
        note: None,
    })
}

pub fn dipped(depth_m: f64) -> Act {
    Act::Reading(Reading { depth_m: Some(depth_m), ..Reading::by(Method::Dipstick) })
}

pub fn counted(full: f64) -> Act {
    Act::Reading(Reading { full: Some(full), ..Reading::by(Method::Counted) })
}

pub fn drawn(litres: f64) -> Act {
    Act::Draw(Drawn { litres: Some(litres), to_outlet: false, measured: None, lot: None, note: None })
}

pub fn tested(free: f64) -> Act {
    Act::Test(Test { free_mg_l: Some(free), ..Test::default() })
}

/// What the tests go by.
pub struct Reach {
    pub birch: SiteId,
    pub hall: SiteId,
    pub weir: SiteId,
    pub north: VesselId,
    /// nobody has said yet how many of these are full
    pub unread: VesselId,
    pub mains: SourceId,
    pub maren: PersonId,
    pub ruth: PersonId,
}

const PUMP: &[(DrawWay, f64)] = &[(DrawWay::Pump, 0.14)];
const PUMP_AND_DIP: &[(DrawWay, f64)] = &[(DrawWay::Pump, 0.14), (DrawWay::Dip, 0.14)];

/// Flats whose water hangs on diesel (12 L at 0.5 L an hour and 16 hours a day: day 1.5), a hall of three tanks, a
/// school, and households with cans: six cans of 20 L for two people at 15 L a day are 4 days.
pub async fn reach(app: &App) -> Reach {
    let mains = mains();
    let birch = Site { cannot_collect: 4, ..site("Birch Court", SiteKind::Flats, 58) };
    let mut hall = site("Alder Reach Hall", SiteKind::Hall, 72);
    hall.contact = "Ruth, at the back door".to_owned();
    hall.phone = "555 0100".to_owned();
    let school = site("Reach Primary", SiteKind::School, 84);
    let weir = site("Weir Cottage", SiteKind::Household, 2);
    let ferry = site("Ferry House", SiteKind::Household, 5);
    let mill = site("Mill End", SiteKind::Household, 4);
    let lock = site("Lock House", SiteKind::Household, 2);
    let tank = cubic(&birch, "Cellar tank", PUMP);
    let west = upright(&hall, "West", PUMP_AND_DIP);
    let east = upright(&hall, "East", PUMP_AND_DIP);
    let north = upright(&hall, "North", PUMP_AND_DIP);
    let yard = lying(&school, "Yard tank");
    let six = cans(&weir, "Cans", 6.0);
    let more = cans(&ferry, "Cans", 30.0);
    let butt = Vessel { food_grade: false, ..upright(&ferry, "Rain butt", &[(DrawWay::Gravity, 0.05)]) };
    let unread = cans(&mill, "Cans under the stairs", 12.0);
    let loft = upright(&lock, "Loft tank", &[(DrawWay::Gravity, 0.1)]);
    let maren = person("Maren", Role::Coordinator, &[]);
    let ruth = person("Ruth", Role::Keeper, &[hall.id]);
    let ids = Reach {
        birch: birch.id,
        hall: hall.id,
        weir: weir.id,
        north: north.id,
        unread: unread.id,
        mains: mains.id,
        maren: maren.id,
        ruth: ruth.id,
    };
    let vessels = [tank, west, east, north, yard, six, more, butt, unread, loft];
    let [tank, west, east, north, yard, six, more, butt, _, loft] = vessels.clone();
    let mut things = vec![neighbourhood(), Thing::Source(mains.clone())];
    things.extend(generator(&birch, Fuel::Diesel, 12.0));
    things.extend(generator(&hall, Fuel::Propane, 18.0));
    things.extend([birch, hall, school, weir, ferry, mill, lock].map(Thing::Site));
    things.extend(vessels.map(Thing::Vessel));
    things.extend([maren, ruth].map(Thing::Person));
    // sites before what stands on them
    things.sort_by_key(|thing| match thing.noun() {
        "neighbourhood" => 0,
        "source" => 1,
        "site" => 2,
        _ => 3,
    });
    keep(app, things).await;
    for (vessel, filled_on, depth) in [
        (&tank, 60, 1.9),
        (&west, 70, 1.842),
        (&east, 55, 1.118),
        (&north, 200, 1.655),
        (&yard, 90, 1.45),
        (&loft, 20, 0.9),
        (&butt, 10, 1.0),
    ] {
        log(app, None, Some(vessel.id), days_ago(filled_on), filled(mains.id)).await;
        log(app, None, Some(vessel.id), days_ago(2), dipped(depth)).await;
    }
    for (vessel, full) in [(&six, 6.0), (&more, 28.0)] {
        log(app, None, Some(vessel.id), days_ago(30), filled(mains.id)).await;
        log(app, None, Some(vessel.id), days_ago(1), counted(full)).await;
    }
    log(app, None, Some(west.id), days_ago(22), tested(0.6)).await;
    log(app, None, Some(east.id), days_ago(1), drawn(40.0)).await;
    ids
}

/// Somebody of the neighbourhood, as the service knows them.
pub fn caller(app: &App, person: PersonId) -> Caller {
    Caller::Person(std::sync::Arc::clone(&app.picture().set_up.people[&person].thing))
}

/// Somebody of the neighbourhood, signed in.
pub async fn signed_in(house: &House, person: PersonId) -> Visitor {
    let token = house.running.app().one_time(Purpose::SignIn(person)).unwrap();
    let session = house.running.app().sign_in_by_link(&token).await.unwrap();
    let visitor = house.visitor();
    visitor.set_cookie("kw_lan", &session);
    visitor
}

/// The mains are off since an hour ago.
pub fn mains_off() -> Thing {
    let since = now() - SignedDuration::from_hours(1);
    Thing::Outage(Outage {
        id: OutageId::fresh(),
        kind: OutageKind::Real,
        since,
        ended: None,
        target_days: 14.0,
        rations: vec![Step { since, ration: "basic".to_owned() }],
        expected: None,
        ran_out: String::new(),
        notes: String::new(),
    })
}
