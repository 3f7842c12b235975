//! The log as a volunteer meets it: every kind through its form, what it will do, once however often it is sent, undo.

mod words;

use keepwell::model::choice::Choice;
use keepwell::model::entry::About;
use keepwell::model::entry::Kind;
use keepwell::model::id::BankId;
use keepwell::model::id::EntryId;
use keepwell::model::id::SiteId;
use keepwell::model::id::SourceId;
use keepwell::model::id::VesselId;
use keepwell::model::setup::Thing;
use keepwell::model::vessel::Bank;
use keepwell::model::vessel::DrawWay;
use keepwell::model::vessel::Vessel;
use keepwell::service::App;
use keepwell::service::Caller;

use crate::harness::Answer;
use crate::harness::House;
use crate::harness::Visitor;
use crate::pages::scene;
use crate::pages::scene::reach;
use crate::pages::scene::signed_in;

/// What stands in a hidden field of a page.
pub(super) fn hidden(page: &Answer, name: &str) -> String {
    let mark = format!("name=\"{name}\" value=\"");
    let rest = page.text.split(&mark).nth(1).unwrap_or_else(|| panic!("no {name} in {}", page.text));
    rest.split('"').next().unwrap().to_owned()
}

/// The page's words without its markup.
pub(super) fn words(page: &Answer) -> String {
    let mut out = String::new();
    let mut inside = false;
    for c in page.text.chars() {
        match c {
            '<' => inside = true,
            '>' => inside = false,
            '\u{a0}' => out.push(' '),
            c if !inside => out.push(c),
            _ => {}
        }
    }
    out.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Opens a form, fills it in and logs it.
pub(super) async fn log(visitor: &Visitor, form: &str, fields: &[(&str, &str)]) -> Answer {
    let page = visitor.get(form).await;
    assert_eq!(page.status, 200, "{form}: {}", page.text);
    let (id, then) = (hidden(&page, "id"), hidden(&page, "then"));
    let mut all = vec![("id", id.as_str()), ("then", then.as_str())];
    all.extend(fields);
    visitor.post(form, &all).await
}

pub(super) async fn stored(app: &App, site: SiteId) -> usize {
    app.entries(&Caller::House, Some(site), None, None, 1000).await.unwrap().len()
}

pub(super) fn litres(app: &App, vessel: VesselId) -> f64 {
    let answer = app.vessel(&Caller::House, vessel).unwrap();
    keepwell_engine::quantity::as_litres(answer.vessel.estimate(answer.now).volume)
}

pub(super) fn called(app: &App, site: SiteId, name: &str) -> VesselId {
    let picture = app.picture();
    let site = picture.site(site).unwrap();
    site.vessels.iter().find(|vessel| vessel.vessel.name.as_str() == name).unwrap().vessel.id
}

/// A kind, its form, what is typed.
type Case<'a> = (Kind, &'a str, &'a [(&'a str, &'a str)]);

#[tokio::test]
async fn every_kind_is_logged_through_its_form() {
    let house = House::open().await;
    let app = house.running.app();
    let reach = reach(app).await;
    let bank = BankId::fresh();
    let named = scene::name("The pair");
    let site = scene::site("Pair House", keepwell::model::site::SiteKind::Household, 1);
    let pair = [("Left", bank), ("Right", bank)]
        .map(|(name, bank)| Vessel { bank: Some(bank), ..scene::cubic(&site, name, &[(DrawWay::Gravity, 0.1)]) });
    let pair_house = site.id;
    let mut things =
        vec![Thing::Site(site), Thing::Bank(Bank { id: bank, site: pair_house, name: named, coupled_at_first: false })];
    things.extend(pair.map(Thing::Vessel));
    scene::keep(app, things).await;
    let maren = signed_in(&house, reach.maren).await;
    let picture = app.picture();
    let hall = picture.site(reach.hall).unwrap();
    let (generator, store) = (hall.generators[0].id.to_string(), hall.fuel_stores[0].id.to_string());
    let (mains, west) = (reach.mains.to_string(), called(app, reach.hall, "West").to_string());
    let (bank, north) = (bank.to_string(), format!("/log/vessels/{}", reach.north));
    let (at_hall, at_pair) = (format!("/log/sites/{}", reach.hall), format!("/log/sites/{pair_house}"));
    let supply = format!("/log/supplies/{mains}");
    let cases: &[Case<'_>] = &[
        (
            Kind::Reading,
            &north,
            &[("how", "depth"), ("depth_m", "165.5"), ("from", "floor"), ("method.depth", "dipstick")],
        ),
        (Kind::Fill, &north, &[("how", "top"), ("source", &mains)]),
        (Kind::Draw, &north, &[("how", "amount"), ("litres", "40"), ("measured", "bucket")]),
        (Kind::Transfer, &north, &[("to", &west), ("litres", "20")]),
        (Kind::Discard, &north, &[("how", "some"), ("litres", "10")]),
        (Kind::GivenOut, &north, &[("people", "12"), ("litres_each", "5")]),
        (Kind::Dose, &north, &[("amount_l", "50"), ("strength", "6")]),
        (Kind::Disinfection, &north, &[("note", "by the book")]),
        (Kind::Test, &north, &[("free_mg_l", "0.5"), ("coliform", "not_found")]),
        (Kind::Service, &north, &[("what", "new valve")]),
        (Kind::Inspection, &north, &[("in_order", "no"), ("note", "lid cracked")]),
        (Kind::Wrong, &north, &[("what", "lid")]),
        (Kind::Note, &north, &[("text", "key is under the pot")]),
        (Kind::Coupling, &at_pair, &[("bank", &bank), ("state", "coupled")]),
        (Kind::Fuel, &at_hall, &[("store", &store), ("way", "in"), ("litres", "5"), ("bought", "2026-03-01")]),
        (Kind::Inlet, &at_hall, &[("state", "shut")]),
        (Kind::GeneratorRun, &at_hall, &[("generator", &generator), ("hours", "2")]),
        (Kind::Mains, &supply, &[("state", "off")]),
        (Kind::Notice, &supply, &[("kind", "boil"), ("by", "the water company")]),
        (Kind::Lifted, &supply, &[("kind", "boil"), ("by", "the water company")]),
    ];
    for (kind, _, _) in Kind::LIST {
        let tried = cases.iter().any(|case| case.0 == *kind);
        assert!(tried || kind.about() == About::Entry, "{} has no form here", kind.key());
    }
    for (kind, at, fields) in cases {
        let answer = log(&maren, &format!("{at}/{}", kind.key()), fields).await;
        assert_eq!(answer.status, 303, "{}: {}", kind.key(), words(&answer));
        let done = maren.get(answer.header("location")).await;
        assert_eq!(done.status, 200, "{}: {}", kind.key(), done.text);
        assert!(words(&done).contains("Logged"), "{}: {}", kind.key(), words(&done));
        let id: EntryId = answer.header("location").rsplit('/').next().unwrap().parse().unwrap();
        assert_eq!(app.entry(&Caller::House, id).unwrap().entry.act.kind(), *kind);
        assert_eq!(maren.get(&format!("/entries/{id}")).await.status, 200);
    }
    house.close().await;
}

/// 1 m by 1 m by 2 m: a millimetre is a litre, so 120.5 cm are 1,205 L.
#[tokio::test]
async fn a_fill_to_a_mark_is_a_fill_and_a_reading_and_undone_as_one() {
    let house = House::open().await;
    let app = house.running.app();
    let reach = reach(app).await;
    let maren = signed_in(&house, reach.maren).await;
    let tank = called(app, reach.birch, "Cellar tank");
    let (before, count) = (litres(app, tank), stored(app, reach.birch).await);
    let mains = reach.mains.to_string();
    let form = format!("/log/vessels/{tank}/fill");
    let answer =
        log(&maren, &form, &[("how", "mark"), ("mark", "195"), ("mark_from", "floor"), ("source", &mains)]).await;
    assert_eq!(answer.status, 303, "{}", words(&answer));
    assert_eq!(stored(app, reach.birch).await, count + 2);
    assert!((litres(app, tank) - 1950.0).abs() < 5.0, "{}", litres(app, tank));
    let done = maren.get(answer.header("location")).await;
    let (id, also, also_id) = (hidden(&done, "id"), hidden(&done, "also"), hidden(&done, "also_id"));
    let path = answer.header("location").split('?').next().unwrap().replace("/log/done/", "/entries/");
    let fields = [
        ("id", id.as_str()),
        ("also", &also),
        ("also_id", &also_id),
        ("reason", "a slip of the thumb"),
        ("from", "log"),
    ];
    let undone = maren.post(&format!("{path}/void"), &fields).await;
    assert_eq!(undone.status, 303, "{}", words(&undone));
    assert!((litres(app, tank) - before).abs() < 1e-6);
    let entry = maren.get(&path).await;
    assert!(entry.text.contains("class=\"void\"") && entry.text.contains("a slip of the thumb"), "{}", entry.text);
    house.close().await;
}

#[tokio::test]
async fn ten_times_at_once_and_again_later_is_once() {
    let house = House::open().await;
    let app = house.running.app();
    let reach = reach(app).await;
    let ruth = signed_in(&house, reach.ruth).await;
    let form = format!("/log/vessels/{}/draw", reach.north);
    let page = ruth.get(&form).await;
    let id = hidden(&page, "id");
    let count = stored(app, reach.hall).await;
    let fields = [("id", id.as_str()), ("how", "amount"), ("litres", "40"), ("when", "now")];
    let post = || ruth.post(&form, &fields);
    let answers = tokio::join!(post(), post(), post(), post(), post(), post(), post(), post(), post(), post());
    let (a, b, c, d, e, f, g, h, i, j) = answers;
    for answer in [a, b, c, d, e, f, g, h, i, j] {
        assert_eq!((answer.status, answer.header("location")), (303, format!("/log/done/{id}").as_str()));
    }
    // A phone that had no answer sends it once more, minutes later.
    house.clock.set("2026-03-14T09:37:30Z".parse().unwrap());
    let late = post().await;
    assert_eq!((late.status, late.header("location")), (303, format!("/log/done/{id}").as_str()));
    assert_eq!(stored(app, reach.hall).await, count + 1);
    // The same number with other content is another matter.
    let other = ruth.post(&form, &[("id", id.as_str()), ("how", "amount"), ("litres", "41")]).await;
    assert_eq!(other.status, 409);
    house.close().await;
}

/// 1 US gal = 3.785411784 L (NIST SP 811, table B.8): 10 gal are 37.85 L; 40 in are 1.016 m (1 in = 0.0254 m).
#[tokio::test]
async fn us_units_are_read_in_inputs() {
    let house = House::open().await;
    let app = house.running.app();
    let reach = reach(app).await;
    let maren = signed_in(&house, reach.maren).await;
    maren.set_cookie("kw_units", "us");
    let tank = called(app, reach.birch, "Cellar tank");
    let dip = [("how", "depth"), ("depth_m", "40"), ("from", "floor"), ("method.depth", "dipstick")];
    let answer = log(&maren, &format!("/log/vessels/{tank}/reading"), &dip).await;
    assert_eq!(answer.status, 303, "{}", words(&answer));
    let before = litres(app, tank);
    assert!((before - 1016.0).abs() < 5.0, "{before}");
    log(&maren, &format!("/log/vessels/{tank}/draw"), &[("how", "amount"), ("litres", "10")]).await;
    assert!((before - litres(app, tank) - 37.854).abs() < 0.01, "{}", before - litres(app, tank));
    let form = maren.get(&format!("/log/vessels/{tank}/draw")).await;
    assert!(words(&form).contains("US gal"), "{}", words(&form));
    house.close().await;
}

#[tokio::test]
async fn anothers_site_is_not_there_to_log_at() {
    let house = House::open().await;
    let app = house.running.app();
    let reach = reach(app).await;
    let ruth = signed_in(&house, reach.ruth).await;
    let tank = called(app, reach.birch, "Cellar tank");
    let entry = app.entries(&Caller::House, Some(reach.birch), None, None, 1).await.unwrap().remove(0).entry.id;
    for path in [
        format!("/log/sites/{}", reach.birch),
        format!("/log/sites/{}/note", reach.birch),
        format!("/log/vessels/{tank}"),
        format!("/log/vessels/{tank}/draw"),
        format!("/vessels/{tank}"),
        format!("/vessels/{tank}/working"),
        format!("/entries/{entry}"),
        format!("/log/done/{entry}"),
        format!("/log/supplies/{}", SourceId::fresh()),
        format!("/log/vessels/{}/void", reach.north),
        format!("/log/vessels/{}/nonsense", reach.north),
    ] {
        assert_eq!(ruth.get(&path).await.status, 404, "{path}");
    }
    let count = stored(app, reach.birch).await;
    let id = EntryId::fresh().to_string();
    let fields = [("id", id.as_str()), ("how", "amount"), ("litres", "40")];
    assert_eq!(ruth.post(&format!("/log/vessels/{tank}/draw"), &fields).await.status, 404);
    let void = [("id", id.as_str()), ("reason", "not mine")];
    assert_eq!(ruth.post(&format!("/entries/{entry}/void"), &void).await.status, 404);
    assert_eq!(stored(app, reach.birch).await, count);
    // Her one site is where she goes at once; nobody who has not signed in gets anywhere.
    let straight = ruth.get("/log").await;
    assert_eq!((straight.status, straight.header("location")), (303, format!("/log/sites/{}", reach.hall).as_str()));
    let nobody = house.visitor();
    assert!(nobody.get("/log").await.header("location").starts_with("/sign-in"));
    house.close().await;
}

#[tokio::test]
async fn a_name_is_a_name_and_shown_as_one() {
    let house = House::open().await;
    let app = house.running.app();
    let reach = reach(app).await;
    let maren = signed_in(&house, reach.maren).await;
    let site = scene::site("<b>\"Håll\"</b> 🚰", keepwell::model::site::SiteKind::Hall, 3);
    let vessel = scene::cubic(&site, "خزان <script>alert(1)</script>", &[(DrawWay::Gravity, 0.1)]);
    let (site_id, id) = (site.id, vessel.id);
    scene::keep(app, vec![Thing::Site(site), Thing::Vessel(vessel)]).await;
    let note =
        log(&maren, &format!("/log/vessels/{id}/note"), &[("text", "<img src=x onerror=alert(1)> & so on")]).await;
    let paths = [
        "/log".to_owned(),
        format!("/log/sites/{site_id}"),
        format!("/log/vessels/{id}"),
        format!("/log/vessels/{id}/reading"),
        format!("/vessels/{id}"),
        format!("/vessels/{id}/working"),
        note.header("location").to_owned(),
        note.header("location").replace("/log/done/", "/entries/"),
    ];
    for path in paths {
        let page = maren.get(&path).await;
        assert_eq!(page.status, 200, "{path}: {}", page.text);
        for raw in ["<script>alert", "<b>\"Håll", "<img src=x"] {
            assert!(!page.text.contains(raw), "{path} lets {raw} through");
        }
        assert!(page.text.contains("خزان") || page.text.contains("Håll"), "{path}: {}", page.text);
    }
    house.close().await;
}

#[tokio::test]
async fn a_vessels_page_tells_what_why_and_how_to_read_it() {
    let house = House::open().await;
    let app = house.running.app();
    let reach = reach(app).await;
    let maren = signed_in(&house, reach.maren).await;
    let tank = called(app, reach.birch, "Cellar tank");
    log(&maren, &format!("/log/vessels/{tank}/wrong"), &[("what", "lid")]).await;
    let page = maren.get(&format!("/vessels/{tank}")).await;
    let seen = words(&page);
    // A box of 1 m by 1 m: 1 cm is 10 L; the pump's suction 14 cm up leaves 140 L.
    for part in [
        "Counted as water to be treated",
        "Never by",
        "Dip table",
        "1 cm is 10.0 L",
        "Sixty days of level",
        "Never enter a tank.",
    ] {
        assert!(seen.contains(part), "{part}: {seen}");
    }
    assert!(seen.contains("1,760 L above the outlet"), "{seen}");
    let cans = called(app, reach.weir, "Cans");
    let cans = maren.get(&format!("/vessels/{cans}")).await;
    assert_eq!(cans.status, 200);
    assert!(!words(&cans).contains("Dip table"), "what has no depth has no dip table");
    house.close().await;
}
