//! The neighbourhood on one page, and as a file a day.

use jiff::SignedDuration;
use keepwell::jobs::status::Daily;

use crate::harness::House;
use crate::pages::scene;
use crate::pages::scene::reach;
use crate::pages::scene::signed_in;
use crate::pages::today::text;

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
