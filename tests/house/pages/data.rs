//! Spreadsheets on the data page: files to begin from, a trial, all or nothing.

use keepwell::model::choice::Choice;
use keepwell::model::entry::Kind;
use keepwell::service::records::SHEETS;
use reqwest::Method;

use crate::harness::Answer;
use crate::harness::Visitor;
use crate::pages::sign_in::set_up;

const SITES: &str = "name,kind\nDell House,household\n";
const PEOPLE: &str = "site,category,number\nDell House,adult,12\n";
const VESSELS: &str = "site,name,shape,diameter (m),height (m),gravity outlet (m),food grade,closed,opaque,in place since\n\
                       Dell House,Tank,upright cylinder,1.20,1.70,0.10,yes,yes,yes,2026-01-01\n";
const READINGS: &str = "site,vessel,time,depth (m)\nDell House,Tank,2026-03-14 09:00,1.00\n";

/// Posts files as a browser does.
async fn bring(visitor: &Visitor, act: &str, files: &[(&str, &str)]) -> Answer {
    let edge = "----an-edge-that-no-file-holds";
    let mut body = String::new();
    for (name, text) in files {
        body.push_str(&format!(
            "--{edge}\r\nContent-Disposition: form-data; name=\"files\"; filename=\"{name}\"\r\nContent-Type: text/csv\r\n\r\n{text}\r\n"
        ));
    }
    for (name, value) in [("units", "metric"), ("do", act), ("pasted", "")] {
        body.push_str(&format!("--{edge}\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n"));
    }
    body.push_str(&format!("--{edge}--\r\n"));
    let media = format!("multipart/form-data; boundary={edge}");
    visitor.send(Method::POST, "/data/import", &[("content-type", &media), ("origin", &visitor.base)], body).await
}

/// Twelve people and an upright tank 1.20 m across, its outlet 0.10 m up, dipped at 1.00 m: π/4 · 1.2² · 0.9 m =
/// 1,017.876 L above the outlet, ÷ (12 · 15 L) = 5.6549 days (by hand).
#[tokio::test]
async fn a_spreadsheet_gives_the_same_days_as_by_hand() {
    let (house, visitor) = set_up().await;
    let files = [("sites.csv", SITES), ("people.csv", PEOPLE), ("vessels.csv", VESSELS), ("readings.csv", READINGS)];
    let tried = bring(&visitor, "try", &files).await;
    assert!(tried.status == 200 && tried.text.contains("Nothing was changed yet"), "{}", tried.text);
    let app = house.running.app().clone();
    assert!(app.picture().sites().is_empty(), "a trial changes nothing");

    let kept = bring(&visitor, "keep", &files).await;
    assert!(kept.status == 200 && kept.text.contains("Kept."), "{}", kept.text);
    let (picture, today) = app.today(&keepwell::service::Caller::House, Some("basic")).unwrap();
    let first = today.first().unwrap();
    let litres = keepwell_engine::quantity::as_litres(first.standing.water.drink);
    let days = keepwell_engine::quantity::as_days(first.standing.timeline.days_at_ration);
    assert!((litres - 1017.876).abs() < 0.01, "{litres}");
    assert!((days - 5.6549).abs() < 0.001, "{days}");

    let again = bring(&visitor, "keep", &files).await;
    assert_eq!(again.status, 200, "{}", again.text);
    let after = app.picture();
    assert_eq!(
        (after.entry_seq, after.change_seq),
        (picture.entry_seq, picture.change_seq),
        "the same file twice changes nothing"
    );
    house.close().await;
}

#[tokio::test]
async fn one_wrong_line_keeps_everything_out_and_is_named() {
    let (house, visitor) = set_up().await;
    let readings =
        "site,vessel,time,depth (m)\nDell House,Tank,2026-03-14 09:00,1.00\nDell House,Tank,2026-03-14 09:10,2.00\n";
    let files = [("sites.csv", SITES), ("vessels.csv", VESSELS), ("readings.csv", readings)];
    let refused = bring(&visitor, "keep", &files).await;
    assert_eq!(refused.status, 422, "{}", refused.text);
    for said in ["readings.csv", "depth (m)", "2.00"] {
        assert!(refused.text.contains(said), "{said} in {}", refused.text);
    }
    assert!(house.running.app().picture().sites().is_empty());
    house.close().await;
}

#[tokio::test]
async fn the_files_to_begin_from_hold_as_they_are() {
    let (house, visitor) = set_up().await;
    let page = visitor.get("/data").await;
    assert_eq!(page.status, 200, "{}", page.text);
    for units in ["metric", "us"] {
        let mut files = Vec::new();
        for kind in ["sites", "vessels", "people", "readings", "fuel"] {
            assert!(page.text.contains(&format!("/data/templates/{kind}.csv?units={units}")));
            let file = visitor.get(&format!("/data/templates/{kind}.csv?units={units}")).await;
            assert_eq!((file.status, file.header("content-type")), (200, "text/csv; charset=utf-8"));
            assert!(file.header("content-disposition").starts_with("attachment;"));
            files.push((format!("{kind}.csv"), file.text));
        }
        let files: Vec<(&str, &str)> = files.iter().map(|(name, text)| (name.as_str(), text.as_str())).collect();
        let tried = bring(&visitor, "try", &files).await;
        assert_eq!(tried.status, 200, "{units}: {}", tried.text);
    }
    assert_eq!(visitor.get("/data/templates/secrets.csv").await.status, 404);
    house.close().await;
}

#[tokio::test]
async fn no_file_at_all_is_said_in_words() {
    let (house, visitor) = set_up().await;
    let answer = bring(&visitor, "keep", &[]).await;
    assert!(
        answer.status == 422 && answer.text.contains("Choose a file, or paste its lines below."),
        "{}",
        answer.text
    );
    house.close().await;
}

#[tokio::test]
async fn nobody_but_the_coordinator_brings_files() {
    let (house, _) = set_up().await;
    let stranger = house.visitor();
    assert_eq!(stranger.get("/data").await.status, 303);
    house.close().await;
}

/// Every file that the page offers: known for what it is, and all there already when it comes back.
#[tokio::test]
async fn what_is_taken_away_comes_back_and_changes_nothing() {
    let (house, visitor) = set_up().await;
    let files = [("sites.csv", SITES), ("people.csv", PEOPLE), ("vessels.csv", VESSELS), ("readings.csv", READINGS)];
    assert_eq!(bring(&visitor, "keep", &files).await.status, 200);
    let page = visitor.get("/data").await;
    let names: Vec<&str> =
        page.text.split("href=\"/data/export/").skip(1).filter_map(|rest| rest.split('"').next()).collect();
    assert_eq!(names.len(), 1 + SHEETS.len() + 1 + Kind::LIST.len(), "{names:?}");
    let mut files = Vec::new();
    for name in names {
        let answer = visitor.get(&format!("/data/export/{name}")).await;
        let media = if name.ends_with(".csv") { "text/csv; charset=utf-8" } else { "application/zip" };
        assert_eq!((answer.status, answer.header("content-type")), (200, media), "{name}");
        assert_eq!(answer.header("content-disposition"), format!("attachment; filename=\"{name}\""));
        assert_eq!(answer.header("cache-control"), "no-store");
        if name.ends_with(".csv") {
            files.push((name.to_owned(), answer.text));
        } else {
            assert!(answer.text.starts_with("PK"));
        }
    }
    let files: Vec<(&str, &str)> = files.iter().map(|(name, text)| (name.as_str(), text.as_str())).collect();
    let app = house.running.app().clone();
    let before = app.picture();
    let back = bring(&visitor, "keep", &files).await;
    assert!(back.status == 200 && back.text.contains("there already"), "{}", back.text);
    let after = app.picture();
    assert_eq!((before.entry_seq, before.change_seq), (after.entry_seq, after.change_seq));

    let (_, sites) = files.iter().find(|file| file.0 == "sites.csv").unwrap();
    let mixed = bring(&visitor, "try", &[("sites.csv", sites), ("people.csv", PEOPLE)]).await;
    assert!(mixed.status == 422 && mixed.text.contains("This is no exported file, and the others are."));
    let renamed = sites.replace("Dell House", "Dale House");
    assert_eq!(bring(&visitor, "keep", &[("sites.csv", &renamed)]).await.status, 200);
    assert_eq!(app.picture().sites()[0].site.name.as_str(), "Dale House", "mended in a spreadsheet");
    assert_eq!(visitor.get("/data/export/secrets.csv").await.status, 404);
    house.close().await;
}

#[tokio::test]
async fn a_backup_is_a_file_of_sqlites_and_all_is_well() {
    let (house, visitor) = set_up().await;
    let backup = visitor.get("/data/backup").await;
    assert_eq!((backup.status, backup.header("content-type")), (200, "application/vnd.sqlite3"));
    assert_eq!(backup.header("content-disposition"), "attachment; filename=\"keepwell-2026-03-14.db\"");
    assert!(backup.text.starts_with("SQLite format 3\0"));
    let checked = visitor.get("/data/verify").await;
    assert!(checked.status == 200 && checked.text.contains("<h1>All is well</h1>"), "{}", checked.text);
    house.close().await;
}
