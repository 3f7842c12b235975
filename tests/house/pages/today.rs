//! Today: the figures at the head, the reasons, who may see what, and what a repeat costs.

use jiff::SignedDuration;
use keepwell::model::entry::Act;
use keepwell::model::entry::mains::Mains;
use keepwell::model::entry::mains::Supply;
use keepwell::model::entry::notice::Notice;
use keepwell::model::entry::notice::NoticeKind;
use keepwell::model::person::Role;
use keepwell::model::setup::Thing;
use keepwell::model::site::SiteKind;

use crate::harness::House;
use crate::pages::scene;
use crate::pages::scene::reach;
use crate::pages::scene::signed_in;

/// What a reader sees: the page without its markup, on one line, spaces as spaces.
pub fn text(page: &str) -> String {
    let mut out = String::new();
    let mut inside = false;
    for letter in page.chars() {
        match letter {
            '<' => {
                inside = true;
                out.push(' ');
            }
            '>' => inside = false,
            _ if inside => {}
            letter => out.push(letter),
        }
    }
    let words = out.replace('\u{a0}', " ").split_whitespace().collect::<Vec<_>>().join(" ");
    [" .", " ,", " :", " ;"].into_iter().fold(words, |words, mark| words.replace(mark, mark.trim_start()))
}

/// The neighbourhood with every vessel read: then the first to go without is who it ought to be.
async fn all_read(house: &House) -> scene::Reach {
    let reach = reach(house.running.app()).await;
    let full = scene::filled(reach.mains);
    scene::log(house.running.app(), None, Some(reach.unread), scene::days_ago(30), full).await;
    reach
}

#[tokio::test]
async fn the_first_to_go_without_is_named_with_its_cause_and_its_day() {
    let house = House::open().await;
    let reach = all_read(&house).await;
    let page = signed_in(&house, reach.maren).await.get("/").await;
    assert_eq!(page.status, 200, "{}", page.text);
    let words = text(&page.text);
    // By hand: 12 L of diesel at 0.5 L an hour, 16 hours a day, are 1.5 days: Saturday 09:30 and 36 hours.
    let first = "The first person goes without day 1.5 Birch Court, 58 people: its diesel gives out before its water. \
                 Sunday 15 March, in the evening.";
    assert!(words.contains(first), "{words}");
    // Six cans of 20 L for two people at 15 L a day.
    assert!(words.contains("Weir Cottage household, 2 people"), "{words}");
    assert!(page.text.contains("<td class=\"num r\">4.0</td>"), "{}", page.text);
    assert!(words.contains("All water pooled") && words.contains("an upper bound"), "{words}");
    assert!(words.contains("Using less does not help Birch Court"), "{words}");
    assert!(words.contains("Overdue Alder Reach Hall: North passed its date"), "{words}");
    house.close().await;
}

#[tokio::test]
async fn who_has_not_been_read_goes_without_now_and_it_says_why() {
    let house = House::open().await;
    let reach = reach(house.running.app()).await;
    let words = text(&signed_in(&house, reach.maren).await.get("/").await.text);
    assert!(
        words.contains("goes without now Mill End, 4 people: nobody has said yet what is in its vessels."),
        "{words}"
    );
    house.close().await;
}

#[tokio::test]
async fn another_ration_is_asked_for_in_the_address() {
    let house = House::open().await;
    let reach = all_read(&house).await;
    let maren = signed_in(&house, reach.maren).await;
    let lean = maren.get("/?ration=lean").await;
    // 120 L over two people at 7.5 L a day.
    assert!(lean.text.contains("<td class=\"num r\">8.0</td>"), "{}", lean.text);
    assert!(lean.text.contains(&format!("/sites/{}?ration=lean", reach.weir)), "the question is carried on");
    let none = maren.get("/?ration=plenty").await;
    assert_eq!(none.status, 422, "{}", none.text);
    assert!(text(&none.text).contains("There is no ration plenty; there are drinking, lean, basic"), "{}", none.text);
    assert_eq!(maren.get("/?from=soon").await.status, 400);
    house.close().await;
}

#[tokio::test]
async fn a_keeper_reads_the_totals_and_no_other_site() {
    let house = House::open().await;
    let reach = all_read(&house).await;
    let page = signed_in(&house, reach.ruth).await.get("/").await;
    let words = text(&page.text);
    assert!(words.contains("At another&#39;s site") && words.contains("Alder Reach Hall"), "{words}");
    for other in ["Birch Court", "Weir Cottage", "Reach Primary", "Ferry House", "Mill End", "Lock House"] {
        assert!(!page.text.contains(other), "{other} is named to a keeper of another site");
    }
    assert!(!page.text.contains(&reach.birch.to_string()), "its address is not given away either");
    house.close().await;
}

#[tokio::test]
async fn nobody_is_asked_to_sign_in() {
    let house = House::open().await;
    reach(house.running.app()).await;
    for path in ["/", "/sites", "/working/pooled", "/working/need"] {
        let page = house.visitor().get(path).await;
        assert_eq!(page.status, 303, "{path}");
        assert!(page.header("location").starts_with("/sign-in"), "{path}");
    }
    house.close().await;
}

#[tokio::test]
async fn a_page_that_is_held_is_not_made_again_until_something_changes() {
    let house = House::open().await;
    let reach = all_read(&house).await;
    let maren = signed_in(&house, reach.maren).await;
    let paths = ["/".to_owned(), "/sites".to_owned(), format!("/sites/{}", reach.weir), "/working/pooled".to_owned()];
    for path in &paths {
        let first = maren.get(path).await;
        let tag = first.header("etag").to_owned();
        assert!(first.status == 200 && tag.starts_with("W/\""), "{path}: {} {tag}", first.status);
        assert_eq!(first.header("cache-control"), "private, no-cache", "{path}");
        let again = maren.get_with(path, &[("if-none-match", &tag)]).await;
        assert_eq!((again.status, again.text.as_str(), again.header("etag")), (304, "", tag.as_str()), "{path}");
        assert_eq!(again.header("cache-control"), "private, no-cache", "{path}");
        // another reader's page is another page, though nothing was logged
        let us = signed_in(&house, reach.maren).await;
        us.set_cookie("kw_units", "us");
        assert_eq!(us.get_with(path, &[("if-none-match", &tag)]).await.status, 200, "{path}");
        // an entry makes it stale
        scene::log(house.running.app(), None, Some(reach.north), scene::days_ago(1), scene::drawn(5.0)).await;
        assert_eq!(maren.get_with(path, &[("if-none-match", &tag)]).await.status, 200, "{path}");
        // and so does the next minute
        let tag = maren.get(path).await.header("etag").to_owned();
        assert!(house.clock.set(house.clock.minute() + SignedDuration::from_mins(1)));
        assert_eq!(maren.get_with(path, &[("if-none-match", &tag)]).await.status, 200, "{path}");
    }
    house.close().await;
}

#[tokio::test]
async fn a_notice_and_the_mains_stand_at_the_head() {
    let house = House::open().await;
    let reach = all_read(&house).await;
    let app = house.running.app();
    let maren = signed_in(&house, reach.maren).await;
    assert!(text(&maren.get("/").await.text).contains("If the mains stopped now"));
    let off = Act::Mains(Mains { source: reach.mains, state: Supply::Off, disinfectant: None, note: None });
    scene::log(app, None, None, scene::now() - SignedDuration::from_hours(1), off).await;
    let by = "the water board".to_owned();
    let boil = Act::Notice(Notice { source: reach.mains, kind: NoticeKind::Boil, by, note: None });
    scene::log(app, None, None, scene::now() - SignedDuration::from_hours(1), boil).await;
    let words = text(&maren.get("/").await.text);
    assert!(words.contains("With the mains off") && !words.contains("If the mains stopped now"), "{words}");
    assert!(words.contains("Public mains: off since today 08:30"), "{words}");
    assert!(words.contains("Notice Public mains: boil before drinking, says the water board"), "{words}");
    house.close().await;
}

#[tokio::test]
async fn an_empty_neighbourhood_offers_the_first_step() {
    let house = House::open().await;
    let maren = scene::person("Maren", Role::Coordinator, &[]);
    let id = maren.id;
    scene::keep(house.running.app(), vec![scene::neighbourhood(), Thing::Person(maren)]).await;
    let visitor = signed_in(&house, id).await;
    let page = visitor.get("/").await;
    assert!(page.status == 200 && page.text.contains("href=\"/set-up\""), "{}", page.text);
    assert_eq!(visitor.get("/sites").await.status, 200);
    for path in ["/working/pooled", "/working/need"] {
        assert_eq!(visitor.get(path).await.status, 200, "{path}");
    }
    house.close().await;
}

#[tokio::test]
async fn where_nothing_is_needed_nothing_runs_out_and_no_number_says_so() {
    let house = House::open().await;
    let maren = scene::person("Maren", Role::Coordinator, &[]);
    let id = maren.id;
    let cistern = scene::site("Fire cistern", SiteKind::FireWatch, 0);
    let address = format!("/sites/{}", cistern.id);
    let things = vec![scene::neighbourhood(), Thing::Site(cistern), Thing::Person(maren)];
    scene::keep(house.running.app(), things).await;
    let visitor = signed_in(&house, id).await;
    for path in ["/", "/sites", &address, "/working/pooled"] {
        let words = text(&visitor.get(path).await.text).to_lowercase();
        assert!(["inf", "∞", "nan"].iter().all(|word| !words.contains(&format!(" {word} "))), "{path}: {words}");
    }
    assert!(text(&visitor.get("/").await.text).contains("Nothing is needed, so it does not run out."));
    assert!(text(&visitor.get(&address).await.text).contains("Nobody draws here"));
    house.close().await;
}

#[tokio::test]
async fn a_long_list_is_paged_and_names_are_text() {
    let house = House::open().await;
    let maren = scene::person("Maren", Role::Coordinator, &[]);
    let id = maren.id;
    let mut things = vec![scene::neighbourhood()];
    for number in 0..60 {
        let name = format!("<i>House</i> {number:02} & \"co\"");
        things.push(Thing::Site(scene::site(&name, SiteKind::Household, 2)));
    }
    things.push(Thing::Person(maren));
    scene::keep(house.running.app(), things).await;
    let visitor = signed_in(&house, id).await;
    let rows = |page: &str| page.matches("<th scope=\"row\" class=\"n\">").count();
    let first = visitor.get("/").await.text;
    assert_eq!(rows(&first), 50);
    assert!(first.contains("?from=50#sites") && text(&first).contains("sites 1 to 50 of 60"), "{first}");
    let second = visitor.get("/?from=50&ration=lean").await.text;
    assert_eq!(rows(&second), 10);
    assert!(second.contains("?ration=lean&amp;from=0#sites"), "{second}");
    let found = visitor.get("/sites?q=house%3C%2Fi%3E%200").await.text;
    assert_eq!(rows(&found), 10, "ten houses have a nought first: {found}");
    assert!(!found.contains("<i>House"), "a name is text");
    assert!(text(&visitor.get("/sites?q=nowhere").await.text).contains("No site has “nowhere” in its name."));
    house.close().await;
}
