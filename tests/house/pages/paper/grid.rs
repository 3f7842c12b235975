//! A filled log sheet, typed back in.

use jiff::SignedDuration;
use jiff::Timestamp;
use keepwell::model::entry::Act;
use keepwell::model::entry::Entry;
use keepwell::model::entry::discard::HowFar;
use keepwell::model::entry::reading::From;
use keepwell::model::id::EntryId;
use keepwell::model::id::SiteId;
use keepwell::service::Caller;

use super::vessel;
use crate::harness::Answer;
use crate::harness::House;
use crate::harness::Visitor;
use crate::pages::scene;
use crate::pages::scene::Reach;
use crate::pages::scene::reach;
use crate::pages::scene::signed_in;
use crate::pages::today::text;

async fn entries(house: &House, site: SiteId) -> Vec<std::sync::Arc<Entry>> {
    let listed = house.running.app().entries(&Caller::House, Some(site), None, None, 1000).await.unwrap();
    listed.into_iter().map(|listed| listed.entry).collect()
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
        .row(
            0,
            &[
                ("date", "12 Mar"),
                ("time", "07:40"),
                ("vessel", "E"),
                ("what", "R"),
                ("depth", "111.8"),
                ("who", "Tom"),
            ],
        )
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
    let east =
        find("2026-03-12T07:40:00Z", |act| matches!(act, Act::Reading(reading) if reading.from == Some(From::Floor)));
    let Act::Reading(reading) = &east.act else { unreachable!() };
    assert_eq!((reading.depth_m, reading.note.as_deref()), (Some(1.118), Some("by Tom")));
    assert_eq!(east.by, Some(ids.ruth), "the entry is by whoever typed it in");
    let west =
        find("2026-03-12T07:40:00Z", |act| matches!(act, Act::Reading(reading) if reading.from == Some(From::Rim)));
    assert_eq!(west.vessel, Some(vessel(&house, "West")), "a blank date and time are those of the row above");
    let moved = find("2026-03-12T18:15:00Z", |act| matches!(act, Act::Transfer(_)));
    let Act::Transfer(transfer) = &moved.act else { unreachable!() };
    assert_eq!((moved.vessel, transfer.to), (Some(vessel(&house, "East")), vessel(&house, "West")));
    assert!((transfer.litres - 100.0).abs() < 1e-9);
    let poured = find("2026-03-13T18:15:00Z", |act| matches!(act, Act::Discard(_)));
    assert!(
        matches!(&poured.act, Act::Discard(act) if act.how_far == HowFar::Drained && act.note.as_deref() == Some("stale"))
    );
    let filled = find("2026-03-13T09:00:00Z", |act| matches!(act, Act::Fill(_)));
    assert!(matches!(&filled.act, Act::Fill(act) if act.to_top && act.source == ids.mains && act.litres.is_none()));
    assert!(
        matches!(&find("2026-03-13T09:05:00Z", |act| matches!(act, Act::Test(_))).act, Act::Test(act) if act.free_mg_l == Some(0.6))
    );
    assert!(
        matches!(&find("2026-03-13T09:05:00Z", |act| matches!(act, Act::Dose(_))).act, Act::Dose(act) if act.amount_l == Some(0.04))
    );
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
    for kept in
        ["value=\"30 Feb\"", "value=\"noonish\"", "value=\"a lot\"", "value=\"&#60;0.1&#62;\"", "value=\"E&#62;E\""]
    {
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
    let typed =
        Filled::new().row(0, &[("date", "13 Mar"), ("time", "08:00"), ("vessel", "C"), ("what", "R"), ("depth", "5")]);
    assert_eq!(typed.send(&maren, ids.weir).await.status, 303);
    let all = entries(&house, ids.weir).await;
    assert!(all.iter().any(|entry| matches!(&entry.act, Act::Reading(act) if act.full == Some(5.0))));
    house.close().await;
}
