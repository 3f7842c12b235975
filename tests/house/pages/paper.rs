//! Paper: what can be printed and by whom, labels and their codes, dip tables, the log sheet typed back in, and the
//! status that is written to a file every day.

use jiff::SignedDuration;
use jiff::Timestamp;
use keepwell::jobs::status::Daily;
use keepwell::model::entry::Act;
use keepwell::model::entry::Entry;
use keepwell::model::entry::discard::HowFar;
use keepwell::model::entry::reading::From;
use keepwell::model::id::EntryId;
use keepwell::model::id::SiteId;
use keepwell::model::id::VesselId;
use keepwell::service::Caller;

use crate::harness::Answer;
use crate::harness::House;
use crate::harness::Visitor;
use crate::pages::scene;
use crate::pages::scene::Reach;
use crate::pages::scene::reach;
use crate::pages::scene::signed_in;
use crate::pages::today::text;

fn vessel(house: &House, name: &str) -> VesselId {
    let set_up = house.running.app().picture().set_up.clone();
    set_up.vessels.values().find(|kept| kept.thing.name.as_str() == name).unwrap().thing.id
}

async fn entries(house: &House, site: SiteId) -> Vec<std::sync::Arc<Entry>> {
    let listed = house.running.app().entries(&Caller::House, Some(site), None, None, 1000).await.unwrap();
    listed.into_iter().map(|listed| listed.entry).collect()
}

#[tokio::test]
async fn a_keeper_is_offered_their_own_site_and_the_coordinator_all() {
    let house = House::open().await;
    let ids = reach(house.running.app()).await;
    let ruth = text(&signed_in(&house, ids.ruth).await.get("/paper").await.text);
    assert!(ruth.contains("Alder Reach Hall 3 labels print type in East North West"), "{ruth}");
    assert!(!ruth.contains("Birch Court") && !ruth.contains("Weir Cottage"), "{ruth}");
    let maren = text(&signed_in(&house, ids.maren).await.get("/paper").await.text);
    // A set of cans has no depth, and so no dip table.
    assert!(maren.contains("Weir Cottage 1 label print type in –"), "{maren}");
    assert!(maren.contains("Birch Court 1 label print type in Cellar tank"), "{maren}");
    house.close().await;
}

#[tokio::test]
async fn a_label_says_what_a_wall_needs_and_no_level() {
    let house = House::open().await;
    let ids = reach(house.running.app()).await;
    let ruth = signed_in(&house, ids.ruth).await;
    let page = ruth.get(&format!("/paper/labels/{}", ids.hall)).await;
    assert_eq!(page.status, 200, "{}", page.text);
    let words = text(&page.text);
    // By hand: a cylinder 1.8 m across holds π · 0.9² · 1,000 L = 2,544.7 L a metre: 25.4 L a centimetre, 4,988 L at 1.96 m.
    assert!(words.contains("full 4,988 L 1 cm is 25.4 L measure up from the floor"), "{words}");
    // Filled 200 days before 14 March 2026 and due after 180.
    assert!(words.contains("North Treat first. Do not drink as it is"), "{words}");
    assert!(words.contains("26 August 2025 rotate by 22 February 2026, overdue"), "{words}");
    assert!(words.contains("East Drinking water"), "{words}");
    assert!(words.contains("Never enter a tank."), "{words}");
    // 1.118 m was read in East: 2,845 L, which would be old on paper.
    assert!(!words.contains("2,845"), "no level stands on a label: {words}");
    assert!(words.contains("100 cm: 2,545 L"), "{words}");
    assert_eq!(page.text.matches("class=\"page labels\"").count(), 2, "three labels on two sheets");
    assert!(words.contains("A phone cannot reach this."), "opened on this machine's own name: {words}");
    let by_name = ruth.get_with(&format!("/paper/labels/{}", ids.hall), &[("host", "water.example:8730")]).await;
    let words = text(&by_name.text);
    assert!(!words.contains("A phone cannot reach this.") && words.contains("water.example:8730/log"), "{words}");
    let us = signed_in(&house, ids.ruth).await;
    us.set_cookie("kw_units", "us");
    let words = text(&us.get(&format!("/paper/labels/{}", ids.hall)).await.text);
    // 1 in is 2.54 cm and 1 US gal 3.785411784 L (NIST SP 811, table B.8): 25.447 · 2.54 / 3.785 = 17.1 gal.
    assert!(words.contains("1 in is 17.1 US gal"), "{words}");
    house.close().await;
}

/// The code that stands on the label of a vessel.
async fn code_of(visitor: &Visitor, site: SiteId, name: &str) -> String {
    let words = text(&visitor.get(&format!("/paper/labels/{site}")).await.text);
    let from = words.find(&format!("type {name} ")).unwrap() + 5;
    words[from..].split('.').next().unwrap().to_owned()
}

#[tokio::test]
async fn a_code_leads_to_its_vessel_however_it_is_typed() {
    let house = House::open().await;
    let ids = reach(house.running.app()).await;
    let maren = signed_in(&house, ids.maren).await;
    let code = code_of(&maren, ids.hall, "EAST").await;
    assert_eq!(code.len(), "EAST 7Q4".len(), "{code}");
    let east = format!("/log/vessels/{}", vessel(&house, "East"));
    let slips = code.to_lowercase().replace(' ', "").replace('0', "o").replace('1', "l");
    for typed in [code.clone(), format!("+{slips}++"), slips.clone(), code.replace(' ', "-")] {
        let answer = maren.get(&format!("/log?code={}", typed.replace(' ', "+"))).await;
        assert_eq!((answer.status, answer.header("location")), (303, east.as_str()), "{typed}");
    }
    let unknown = maren.get("/log?code=EAST+%3Cb%3E").await;
    assert_eq!(unknown.status, 422);
    assert!(text(&unknown.text).contains("“EAST &#60;b&#62;” is the code of no vessel that you may log at"), "{}", unknown.text);
    assert!(unknown.text.contains("value=\"EAST &#60;b&#62;\""), "what was typed stays: {}", unknown.text);
    assert!(text(&maren.get("/log?code=").await.text).contains("Type the code that stands at the foot"));
    // Another's vessel answers as one that is not there.
    let orla = scene::person("Orla", keepwell::model::person::Role::Keeper, &[ids.weir]);
    let id = orla.id;
    scene::keep(house.running.app(), vec![keepwell::model::setup::Thing::Person(orla)]).await;
    let orla = signed_in(&house, id).await;
    assert_eq!(orla.get(&format!("/log?code={}", code.replace(' ', "+"))).await.status, 422);
    assert!(text(&maren.get("/log").await.text).contains("Code from a label"));
    house.close().await;
}

#[tokio::test]
async fn two_vessels_of_one_code_are_offered_to_choose_from() {
    let house = House::open().await;
    let ids = reach(house.running.app()).await;
    // An id that differs from East's where the code does not look.
    let set_up = house.running.app().picture().set_up.clone();
    let mut twin = (*set_up.vessels[&vessel(&house, "East")].thing).clone();
    let other = twin.id.uuid().as_u128() ^ (1 << 20);
    twin.id = VesselId::from_uuid(uuid::Uuid::from_u128(other));
    twin.site = ids.birch;
    scene::keep(house.running.app(), vec![keepwell::model::setup::Thing::Vessel(twin)]).await;
    let maren = signed_in(&house, ids.maren).await;
    let code = code_of(&maren, ids.hall, "EAST").await.replace(' ', "+");
    let answer = maren.get(&format!("/log?code={code}")).await;
    let words = text(&answer.text);
    assert_eq!(answer.status, 422);
    assert!(words.contains("is the code of several vessels"), "{words}");
    assert!(words.contains("East Alder Reach Hall") && words.contains("East Birch Court"), "{words}");
    house.close().await;
}

#[tokio::test]
async fn a_dip_table_has_both_systems_and_its_marks() {
    let house = House::open().await;
    let ids = reach(house.running.app()).await;
    let maren = signed_in(&house, ids.maren).await;
    let tank = vessel(&house, "Cellar tank");
    let words = text(&maren.get(&format!("/paper/dip/{tank}?step=10")).await.text);
    // One metre square: a centimetre is 10 L; 100 cm are 39.37 in and 1,000 L are 264.17 US gal (NIST SP 811, table B.8).
    assert!(words.contains("100.0 1,000 39.37 264"), "{words}");
    assert!(words.contains("0.0 0.0 0.00 0.0 floor"), "{words}");
    assert!(words.contains("14.0 140 5.51 37.0 suction"), "the outlet has a line of its own: {words}");
    assert!(words.contains("200.0 2,000 78.74 528 full, rim"), "{words}");
    assert!(words.contains("usable when full 1,860 L (491 US gal)"), "{words}");
    assert!(words.contains("give or take"), "{words}");
    let north = format!("/paper/dip/{}", ids.north);
    for (typed, said) in [("0", "The step is 0 cm; allowed is"), ("999", "The step is 999 cm"), ("x", "“x” is not a number")] {
        let answer = maren.get(&format!("{north}?step={typed}")).await;
        assert_eq!(answer.status, 422, "{typed}");
        assert!(text(&answer.text).contains(said), "{typed}: {}", text(&answer.text));
        assert!(answer.text.contains(&format!("value=\"{typed}\"")), "what was typed stays");
        assert!(!answer.text.contains("page dip"), "no sheet of a step that was refused");
    }
    assert_eq!(maren.get(&format!("/paper/dip/{}", ids.unread)).await.status, 404, "cans have no depth");
    house.close().await;
}

/// A grid as a person fills it in: rows by column.
struct Filled(Vec<(String, String)>);

impl Filled {
    fn new() -> Self {
        Self(vec![("rows".to_owned(), "10".to_owned())])
    }

    fn row(mut self, at: usize, cells: &[(&str, &str)]) -> Self {
        self.0.push((format!("id.{at}"), EntryId::fresh().to_string()));
        self.0.extend(cells.iter().map(|(column, typed)| (format!("{column}.{at}"), (*typed).to_owned())));
        self
    }

    async fn send(&self, visitor: &Visitor, site: SiteId) -> Answer {
        let fields: Vec<(&str, &str)> = self.0.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
        visitor.post(&format!("/paper/sheets/{site}/type-in"), &fields).await
    }
}

fn at(text: &str) -> Timestamp {
    text.parse().unwrap()
}

async fn hall() -> (House, Reach, Visitor) {
    let house = House::open().await;
    let ids = reach(house.running.app()).await;
    let ruth = signed_in(&house, ids.ruth).await;
    (house, ids, ruth)
}

#[tokio::test]
async fn a_filled_sheet_is_typed_in_and_every_row_keeps_its_own_time() {
    let (house, ids, ruth) = hall().await;
    let before = entries(&house, ids.hall).await.len();
    let sheet = Filled::new()
        .row(0, &[("date", "12 Mar"), ("time", "07:40"), ("vessel", "E"), ("what", "R"), ("depth", "111.8"), ("who", "Tom")])
        .row(1, &[("vessel", "w"), ("what", "r"), ("depth", "32 down")])
        .row(2, &[("time", "18:15"), ("vessel", "E>W"), ("what", "M"), ("litres", "100")])
        .row(4, &[("date", "13 March"), ("vessel", "North"), ("what", "P"), ("litres", "all"), ("note", "stale")])
        .row(5, &[("time", "09:00"), ("vessel", "N"), ("what", "F")])
        .row(6, &[("time", "09:05"), ("vessel", "N"), ("what", "T"), ("chlorine", "0,6")])
        .row(7, &[("vessel", "N"), ("what", "C"), ("litres", "40 mL")])
        .row(8, &[("vessel", ""), ("what", "X"), ("note", "drip at V3"), ("who", "Ana")])
        .row(9, &[("vessel", "E"), ("what", "D"), ("litres", "20")]);
    let answer = sheet.send(&ruth, ids.hall).await;
    assert_eq!(answer.status, 303, "{}", text(&answer.text));
    let all = entries(&house, ids.hall).await;
    assert_eq!(all.len(), before + 9);
    // Dublin has no summer time yet in the middle of March: its clocks show UTC.
    let find = |time: &str, kind: fn(&Act) -> bool| {
        all.iter().find(|entry| entry.at == at(time) && kind(&entry.act)).unwrap_or_else(|| panic!("{time}"))
    };
    let east = find("2026-03-12T07:40:00Z", |act| matches!(act, Act::Reading(reading) if reading.from == Some(From::Floor)));
    let Act::Reading(reading) = &east.act else { unreachable!() };
    assert_eq!((reading.depth_m, reading.note.as_deref()), (Some(1.118), Some("by Tom")));
    assert_eq!(east.by, Some(ids.ruth), "the entry is by whoever typed it in");
    let west = find("2026-03-12T07:40:00Z", |act| matches!(act, Act::Reading(reading) if reading.from == Some(From::Rim)));
    assert_eq!(west.vessel, Some(vessel(&house, "West")), "a blank date and time are those of the row above");
    let moved = find("2026-03-12T18:15:00Z", |act| matches!(act, Act::Transfer(_)));
    let Act::Transfer(transfer) = &moved.act else { unreachable!() };
    assert_eq!((moved.vessel, transfer.to), (Some(vessel(&house, "East")), vessel(&house, "West")));
    assert!((transfer.litres - 100.0).abs() < 1e-9);
    let poured = find("2026-03-13T18:15:00Z", |act| matches!(act, Act::Discard(_)));
    assert!(matches!(&poured.act, Act::Discard(act) if act.how_far == HowFar::Drained && act.note.as_deref() == Some("stale")));
    let filled = find("2026-03-13T09:00:00Z", |act| matches!(act, Act::Fill(_)));
    assert!(matches!(&filled.act, Act::Fill(act) if act.to_top && act.source == ids.mains && act.litres.is_none()));
    assert!(matches!(&find("2026-03-13T09:05:00Z", |act| matches!(act, Act::Test(_))).act, Act::Test(act) if act.free_mg_l == Some(0.6)));
    assert!(matches!(&find("2026-03-13T09:05:00Z", |act| matches!(act, Act::Dose(_))).act, Act::Dose(act) if act.amount_l == Some(0.04)));
    let fault = find("2026-03-13T09:05:00Z", |act| matches!(act, Act::Wrong(_)));
    assert!(matches!(&fault.act, Act::Wrong(act) if act.note.as_deref() == Some("drip at V3 (by Ana)")));
    assert_eq!(fault.vessel, None, "a fault may be the site's");
    let told = ruth.get(answer.header("location")).await;
    let words = text(&told.text);
    assert!(words.contains("9 rows logged."), "{words}");
    // Sent twice is stored once, an hour later too.
    assert!(house.clock.set(scene::now() + SignedDuration::from_hours(1)));
    let again = sheet.send(&ruth, ids.hall).await;
    assert_eq!((again.status, again.header("location")), (303, answer.header("location")));
    assert_eq!(entries(&house, ids.hall).await.len(), before + 9);
    house.close().await;
}

#[tokio::test]
async fn one_wrong_row_and_nothing_is_logged_and_all_that_was_typed_stays() {
    let (house, ids, ruth) = hall().await;
    let before = entries(&house, ids.hall).await.len();
    let sheet = Filled::new()
        .row(0, &[("date", "12 Mar"), ("time", "07:40"), ("vessel", "E"), ("what", "R"), ("depth", "111.8")])
        .row(1, &[("date", "30 Feb"), ("vessel", "E"), ("what", "R"), ("depth", "1")])
        .row(2, &[("date", "12 Mar"), ("time", "noonish"), ("vessel", "Q"), ("what", "Z")])
        .row(3, &[("time", "08:00"), ("vessel", "E"), ("what", "R"), ("depth", "999")])
        .row(4, &[("vessel", "E"), ("what", "F"), ("litres", "9,999"), ("depth", "100")])
        .row(5, &[("vessel", "E>E"), ("what", "M"), ("litres", "a lot")])
        .row(6, &[("vessel", "N"), ("what", "C"), ("litres", "40")])
        .row(7, &[("vessel", "N"), ("what", "P")])
        .row(8, &[("what", "X")])
        .row(9, &[("vessel", ""), ("what", "T"), ("chlorine", "<0.1>")]);
    let answer = sheet.send(&ruth, ids.hall).await;
    assert_eq!(answer.status, 422);
    let words = text(&answer.text);
    for said in [
        "Nothing was logged yet",
        "Row 2, date: “30 Feb” is not a day",
        "Row 3, time: “12 Mar noonish” has no hour",
        "Row 3, what: “Z” is none of the letters: R, F, D, M, P, T, C, X.",
        "Row 5, depth: “filled” takes no depth",
        "Row 6, vessel: A move goes from one vessel into another; both are the same.",
        "Row 7, amount: Write the unit of a dose",
        "Row 8, amount: Write how much was poured away, or “all”",
        "Row 9, note: Write what is wrong, in the note.",
        "Row 10, vessel: Say which vessel: ",
    ] {
        assert!(words.contains(said), "{said}\n{words}");
    }
    for kept in ["value=\"30 Feb\"", "value=\"noonish\"", "value=\"a lot\"", "value=\"&#60;0.1&#62;\"", "value=\"E&#62;E\""] {
        assert!(answer.text.contains(kept), "{kept}");
    }
    assert!(answer.text.contains("<title>Error:"), "the title says so");
    assert_eq!(entries(&house, ids.hall).await.len(), before);
    // What reads well but cannot have been is told by row too.
    let impossible = Filled::new()
        .row(0, &[("date", "12 Mar"), ("time", "07:40"), ("vessel", "E"), ("what", "R"), ("depth", "111.8")])
        .row(3, &[("time", "08:00"), ("vessel", "E"), ("what", "R"), ("depth", "999")])
        .row(4, &[("vessel", "W"), ("what", "F"), ("litres", "9,999")])
        .row(5, &[("date", "today"), ("time", "23:50"), ("vessel", "W"), ("what", "D")]);
    let answer = impossible.send(&ruth, ids.hall).await;
    let words = text(&answer.text);
    assert_eq!(answer.status, 422);
    for said in ["Row 4, depth:", "Row 5, amount:", "Row 6, time: The time lies ahead of the clock"] {
        assert!(words.contains(said), "{said}\n{words}");
    }
    assert_eq!(entries(&house, ids.hall).await.len(), before);
    house.close().await;
}

#[tokio::test]
async fn blank_rows_are_nothing_and_more_rows_keep_what_was_typed() {
    let (house, ids, ruth) = hall().await;
    let before = entries(&house, ids.hall).await.len();
    let blank = Filled::new().row(0, &[]).row(1, &[("note", "  ")]).send(&ruth, ids.hall).await;
    assert_eq!(blank.status, 422);
    assert!(text(&blank.text).contains("No row is filled in yet, so nothing was logged."));
    let mut more = Filled::new().row(2, &[("note", "half done"), ("what", "R")]);
    let id = more.0.iter().find(|(name, _)| name == "id.2").unwrap().1.clone();
    more.0.push(("more".to_owned(), "yes".to_owned()));
    let answer = more.send(&ruth, ids.hall).await;
    assert_eq!(answer.status, 200);
    assert!(answer.text.contains("name=\"note.19\"") && !answer.text.contains("name=\"note.20\""), "ten more rows");
    assert!(answer.text.contains("value=\"half done\"") && answer.text.contains(&id), "{}", answer.text);
    // A number of rows that no form of ours has.
    let mut many = Filled::new().row(0, &[("what", "R")]);
    many.0[0].1 = "99999999".to_owned();
    many.0.push(("more".to_owned(), "yes".to_owned()));
    let answer = many.send(&ruth, ids.hall).await;
    assert!(answer.text.contains("name=\"note.59\"") && !answer.text.contains("name=\"note.60\""));
    assert!(!answer.text.contains("name=\"more\""), "no more are offered");
    assert_eq!(entries(&house, ids.hall).await.len(), before);
    house.close().await;
}

#[tokio::test]
async fn a_row_sent_again_with_something_else_in_it_is_told_and_not_stored() {
    let (house, ids, ruth) = hall().await;
    let cells = [("date", "12 Mar"), ("time", "07:40"), ("vessel", "E"), ("what", "D"), ("litres", "20")];
    let mut sheet = Filled::new().row(0, &cells);
    assert_eq!(sheet.send(&ruth, ids.hall).await.status, 303);
    let stored = entries(&house, ids.hall).await.len();
    sheet.0.iter_mut().find(|(name, _)| name == "litres.0").unwrap().1 = "30".to_owned();
    let answer = sheet.row(1, &[("vessel", "E"), ("what", "D"), ("litres", "5")]).send(&ruth, ids.hall).await;
    assert_eq!(answer.status, 422);
    let words = text(&answer.text);
    assert!(words.contains("Row 1, what: This row was logged already, and what is typed now differs."), "{words}");
    assert_eq!(entries(&house, ids.hall).await.len(), stored, "not the other row either");
    house.close().await;
}

#[tokio::test]
async fn a_sheet_is_read_in_the_units_it_was_printed_in() {
    let (house, ids, ruth) = hall().await;
    ruth.set_cookie("kw_units", "us");
    let sheet = text(&ruth.get(&format!("/paper/sheets/{}", ids.hall)).await.text);
    assert!(sheet.contains("depth, in from the floor US gal in or out"), "{sheet}");
    let typed = Filled::new()
        .row(0, &[("date", "2026-03-12"), ("time", "7:40 am"), ("vessel", "E"), ("what", "R"), ("depth", "44")])
        .row(1, &[("vessel", "E"), ("what", "D"), ("litres", "10")]);
    assert_eq!(typed.send(&ruth, ids.hall).await.status, 303);
    let all = entries(&house, ids.hall).await;
    let close = |given: Option<f64>, expected: f64| given.is_some_and(|given| (given - expected).abs() < 1e-9);
    // 44 in · 0.0254 m; 10 gal · 3.785411784 L (NIST SP 811, table B.8).
    assert!(all.iter().any(|entry| matches!(&entry.act, Act::Reading(act) if close(act.depth_m, 1.1176))));
    assert!(all.iter().any(|entry| matches!(&entry.act, Act::Draw(act) if close(act.litres, 37.854_117_84))));
    house.close().await;
}

#[tokio::test]
async fn cans_are_counted_on_a_sheet() {
    let house = House::open().await;
    let ids = reach(house.running.app()).await;
    let maren = signed_in(&house, ids.maren).await;
    let sheet = text(&maren.get(&format!("/paper/sheets/{}", ids.weir)).await.text);
    assert!(sheet.contains("Cans: count the full ones, 20 L each."), "{sheet}");
    let typed = Filled::new().row(0, &[("date", "13 Mar"), ("time", "08:00"), ("vessel", "C"), ("what", "R"), ("depth", "5")]);
    assert_eq!(typed.send(&maren, ids.weir).await.status, 303);
    let all = entries(&house, ids.weir).await;
    assert!(all.iter().any(|entry| matches!(&entry.act, Act::Reading(act) if act.full == Some(5.0))));
    house.close().await;
}

#[tokio::test]
async fn the_status_page_names_only_the_readers_sites() {
    let house = House::open().await;
    let ids = reach(house.running.app()).await;
    let full = scene::filled(ids.mains);
    scene::log(house.running.app(), None, Some(ids.unread), scene::days_ago(30), full).await;
    let maren = text(&signed_in(&house, ids.maren).await.get("/paper/status").await.text);
    assert!(maren.contains("As of 14 March 2026, 09:30"), "{maren}");
    // Twelve litres of diesel at 0.5 L an hour and 16 hours a day: day 1.5.
    assert!(maren.contains("The first person goes without day 1.5 Birch Court, 58 people"), "{maren}");
    assert!(maren.contains("All water pooled") && maren.contains("an upper bound"), "{maren}");
    let ruth = text(&signed_in(&house, ids.ruth).await.get("/paper/status").await.text);
    assert!(ruth.contains("Alder Reach Hall") && !ruth.contains("Birch Court"), "{ruth}");
    house.close().await;
}

fn copies(folder: &std::path::Path) -> Vec<String> {
    let all = std::fs::read_dir(folder.join("status")).unwrap();
    let mut names: Vec<String> = all.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

fn daily(house: &House) -> Daily {
    let render = |app: &keepwell::service::App| keepwell::web::status_file(app).map_err(|error| error.to_string());
    Daily::new(house.running.app().clone(), house.folder.path().to_owned(), Box::new(render))
}

#[tokio::test]
async fn the_status_is_written_once_a_day_and_seven_are_kept() {
    let house = House::open().await;
    let mut daily = daily(&house);
    daily.turn();
    assert!(!house.folder.path().join("status").exists(), "before anything is set up there is nothing to tell");
    reach(house.running.app()).await;
    for day in 0..9 {
        assert!(house.clock.set(scene::now() + SignedDuration::from_hours(24 * day)));
        daily.turn();
    }
    let kept = copies(house.folder.path());
    let expected: Vec<String> = (16..=22).map(|day| format!("2026-03-{day}.html")).collect();
    assert_eq!(kept, expected);
    let path = house.folder.path().join("status/2026-03-22.html");
    let page = std::fs::read_to_string(&path).unwrap();
    let words = text(page.split("<body>").nth(1).unwrap());
    assert!(words.contains("As of 22 March 2026, 09:30") && words.contains("Birch Court"), "{words}");
    // It stands by itself: no address in it leads anywhere.
    for outward in ["src=", "href=", "url(f", "url(/", "http://", "https://", "@import", "@font-face", "<script"] {
        assert!(!page.contains(outward), "{outward} in the file");
    }
    assert!(page.contains("<style>") && page.contains(".page{"), "its style is within");
    // Not twice on one day; and what else lies there is left alone.
    std::fs::write(&path, "touched").unwrap();
    std::fs::write(house.folder.path().join("status/notes.html"), "mine").unwrap();
    daily.turn();
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "touched");
    assert!(house.clock.set(scene::now() + SignedDuration::from_hours(24 * 9)));
    daily.turn();
    assert!(copies(house.folder.path()).contains(&"notes.html".to_owned()));
    assert_eq!(copies(house.folder.path()).len(), 8);
    house.close().await;
}

#[tokio::test]
async fn a_status_that_cannot_be_written_is_told_and_stops_nothing() {
    let house = House::open().await;
    let ids = reach(house.running.app()).await;
    // A file stands where the folder should.
    std::fs::write(house.folder.path().join("status"), "in the way").unwrap();
    let mut daily = daily(&house);
    daily.turn();
    let maren = signed_in(&house, ids.maren).await;
    let words = text(&maren.get("/paper").await.text);
    assert!(words.contains("It could not be written today 09:30:"), "{words}");
    let ruth = text(&signed_in(&house, ids.ruth).await.get("/paper").await.text);
    assert!(!ruth.contains("could not be written"), "it is the coordinator's to mend: {ruth}");
    std::fs::remove_file(house.folder.path().join("status")).unwrap();
    daily.turn();
    let words = text(&maren.get("/paper").await.text);
    assert!(words.contains("Last written today 09:30, to"), "tried again: {words}");
    assert_eq!(copies(house.folder.path()), ["2026-03-14.html"], "and nothing half beside it");
    house.close().await;
}

#[tokio::test]
async fn the_house_writes_it_at_its_start() {
    let house = House::open().await;
    reach(house.running.app()).await;
    let house = House::open_in(house.close().await).await;
    for _ in 0..200 {
        if house.running.app().status_kept().is_some() {
            break;
        }
        tokio::time::sleep(std::time::Duration::from_millis(20)).await;
    }
    assert_eq!(copies(house.folder.path()), ["2026-03-14.html"]);
    house.close().await;
}
