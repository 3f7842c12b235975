//! The forms of the set-up: what is kept, what is refused and shown again, who may, and two who change the same thing.

use std::collections::BTreeMap;

use keepwell::model::person::Role;
use keepwell::model::setup::Thing;
use keepwell::service::Caller;
use keepwell::service::sign_in::Purpose;

use crate::harness::Answer;
use crate::harness::House;
use crate::harness::Visitor;
use crate::pages::scene;
use crate::pages::sign_in;
use crate::pages::today::text;

/// A form as a browser holds it: its address, and what stands in its fields.
#[derive(Clone, Debug)]
pub struct Form {
    pub page: String,
    action: String,
    fields: BTreeMap<String, Vec<String>>,
}

/// The value of an attribute in a tag.
fn attribute(tag: &str, name: &str) -> Option<String> {
    let rest = tag.split(&format!(" {name}=\"")).nth(1)?;
    let plain = rest.split('"').next()?;
    let plain = plain.replace("&#60;", "<").replace("&#62;", ">").replace("&#34;", "\"").replace("&#39;", "'");
    Some(plain.replace("&#38;", "&"))
}

impl Form {
    pub async fn open(visitor: &Visitor, path: &str) -> Self {
        let answer = visitor.get(path).await;
        assert_eq!(answer.status, 200, "{path}: {}", answer.text);
        Self::read(&answer)
    }

    /// The first form of the page itself; those of the frame stand after it.
    pub fn read(answer: &Answer) -> Self {
        let page = answer.text.clone();
        let form = page.split("<main").nth(1).unwrap().split("<form").nth(1).unwrap().split("</form>").next().unwrap();
        let action = attribute(&format!(" {}", form.split('>').next().unwrap()), "action").unwrap();
        let mut fields: BTreeMap<String, Vec<String>> = BTreeMap::new();
        for tag in form.split('<').skip(1) {
            let Some(name) = attribute(tag, "name") else { continue };
            let held = if tag.starts_with("input") {
                let tick = tag.contains("type=\"checkbox\"") || tag.contains("type=\"radio\"");
                (!tick || tag.contains(" checked")).then(|| attribute(tag, "value").unwrap_or_default())
            } else if tag.starts_with("textarea") {
                tag.split_once('>').map(|(_, text)| text.trim_start_matches('\n').to_owned())
            } else {
                let list = form.split(&format!("name=\"{name}\"")).nth(1).unwrap().split("</select>").next().unwrap();
                list.split("<option")
                    .find(|option| option.contains(" selected"))
                    .and_then(|one| attribute(one, "value"))
            };
            fields.entry(name).or_default().extend(held);
        }
        Self { page, action, fields }
    }

    pub fn with(mut self, answers: &[(&str, &str)]) -> Self {
        for (name, value) in answers {
            assert!(self.fields.contains_key(*name), "the form has no field {name}: {:?}", self.fields.keys());
            self.fields.insert((*name).to_owned(), vec![(*value).to_owned()]);
        }
        self
    }

    pub fn held(&self, name: &str) -> &str {
        self.fields.get(name).and_then(|values| values.first()).map_or("", String::as_str)
    }

    /// The value behind a choice's words.
    pub fn choice(&self, name: &str, words: &str) -> String {
        let field = format!(" name=\"{name}\"");
        let (_, list) = self.page.split_once(&field).unwrap();
        let (before, _) = list.split_once(&format!(">{words}<")).unwrap();
        before.rsplit("value=\"").next().and_then(|value| value.split('"').next()).unwrap().to_owned()
    }

    pub async fn send(&self, visitor: &Visitor) -> Answer {
        let fields: Vec<(&str, &str)> = self
            .fields
            .iter()
            .flat_map(|(name, values)| values.iter().map(move |value| (name.as_str(), value.as_str())))
            .collect();
        visitor.post(&self.action, &fields).await
    }
}

pub async fn site(visitor: &Visitor, name: &str) -> String {
    let form = Form::open(visitor, "/set-up/sites/new").await;
    let form = form.with(&[("name", name), ("kind", "household"), ("people_adult", "2")]);
    let answer = form.send(visitor).await;
    assert_eq!(answer.status, 303, "{}", answer.text);
    answer.header("location").split('?').next().unwrap().to_owned()
}

const TANK: [(&str, &str); 6] = [
    ("name", "East"),
    ("diameter_m", "120 cm"),
    ("height_m", "1.3"),
    ("gravity_m", "0,1"),
    ("material", "polyethylene"),
    ("stands_on", "slab"),
];

pub async fn tank(visitor: &Visitor, site: &str) -> Form {
    Form::open(visitor, &format!("{site}/vessels/new?shape=upright_cylinder")).await.with(&TANK)
}

fn vessels(house: &House) -> usize {
    house.running.app().picture().set_up.vessels.len()
}

#[tokio::test]
async fn every_name_is_a_name_and_is_shown_as_one() {
    let (house, visitor) = sign_in::set_up().await;
    for name in ["O'Brien \"the Mill\"", "<b>Bold</b> & <script>alert(1)</script>", "🪣 Cellar", "בית הספר"] {
        let path = site(&visitor, name).await;
        let form = Form::open(&visitor, &path).await;
        assert_eq!(form.held("name"), name);
        assert!(!form.page.contains("<script>alert") && !form.page.contains("<b>Bold</b>"), "{}", form.page);
    }
    let twice = Form::open(&visitor, "/set-up/sites/new").await;
    let twice = twice.with(&[("name", "🪣 CELLAR"), ("kind", "hall")]).send(&visitor).await;
    assert!(twice.status == 422 && twice.text.contains("🪣 CELLAR is taken."), "{}", twice.text);
    house.close().await;
}

#[tokio::test]
async fn those_who_cannot_collect_are_among_the_people() {
    let (house, visitor) = sign_in::set_up().await;
    let path = site(&visitor, "Mill Cottage").await;
    let counted = [("people_day_visitor", "9"), ("cannot_collect", "3")];
    let refused = Form::open(&visitor, &path).await.with(&counted).send(&visitor).await;
    let said = "Those who cannot collect water is 3; allowed is 0 to 2, the people counted here without day visits.";
    assert!(refused.status == 422 && text(&refused.text).contains(said), "{}", text(&refused.text));
    assert!(refused.text.contains("never who"), "no names are kept, and the form says so");
    let kept = Form::open(&visitor, &path).await.with(&[("cannot_collect", "2")]).send(&visitor).await;
    assert_eq!(kept.status, 303, "{}", kept.text);
    assert_eq!(Form::open(&visitor, &path).await.held("cannot_collect"), "2");
    let record = text(&visitor.get("/changes").await.text);
    assert!(record.contains("cannot fetch water"), "{record}");
    // Nor can their number be left behind when the people go.
    let fewer = Form::open(&visitor, &path).await.with(&[("people_adult", "1")]).send(&visitor).await;
    assert_eq!(fewer.status, 422);
    house.close().await;
}

#[tokio::test]
async fn what_is_impossible_is_refused_beside_its_field_and_stays_typed() {
    let (house, visitor) = sign_in::set_up().await;
    let site = site(&visitor, "Mill Cottage").await;
    let cases: [(&str, &str, &str); 12] = [
        ("name", " ", "Name is missing."),
        ("diameter_m", "NaN", "is not a number"),
        ("diameter_m", "0", "Diameter is 0 m; allowed is"),
        ("diameter_m", "3 cubits", "has a unit that does not fit"),
        ("height_m", "", "Height is missing."),
        ("gravity_m", "1.4", "over the floor; allowed is 0 to the full mark at 1.3"),
        ("gravity_m", "", "Give the height of one way of drawing at least."),
        ("full_m", "1.31", "allowed is above 0, up to the rim at 1.3"),
        ("interval_days", "-5", "Days between renewals is −5 days; allowed is 1 "),
        ("depth_now", "1.5", "East is 1.3"),
        ("filled", "1 April 2026", "lies ahead of the clock"),
        ("material", "cheese", "Material: choose one of the list."),
    ];
    for (field, typed, said) in cases {
        let form = tank(&visitor, &site).await.with(&[(field, typed)]);
        let answer = form.send(&visitor).await;
        let text = answer.text.replace('\u{a0}', " ");
        assert!(answer.status == 422 && text.contains(said), "{field} {typed}: {} {text}", answer.status);
        let again = Form::read(&answer);
        if field != "material" {
            assert_eq!(again.held(field), typed, "{field}");
        }
        assert_eq!(again.held("height_m"), if field == "height_m" { typed } else { "1.3" });
        assert_eq!(again.held("id"), form.held("id"), "the number of a new thing stays its own");
    }
    assert_eq!(vessels(&house), 0, "nothing is kept by half");
    assert!(house.running.app().entries(&Caller::House, None, None, None, 10).await.unwrap().is_empty());
    house.close().await;
}

#[tokio::test]
async fn a_form_sent_twice_is_kept_once() {
    let (house, visitor) = sign_in::set_up().await;
    let site = site(&visitor, "Mill Cottage").await;
    let form = tank(&visitor, &site).await.with(&[("bank_name", "Pair"), ("depth_now", "40 in")]);
    for _ in 0..2 {
        assert_eq!(form.send(&visitor).await.status, 303);
        assert!(house.clock.set("2026-03-14T09:35:00Z".parse().unwrap()));
    }
    let app = house.running.app();
    assert_eq!((vessels(&house), app.picture().set_up.banks.len()), (1, 1));
    assert_eq!(app.entries(&Caller::House, None, None, None, 10).await.unwrap().len(), 1);
    house.close().await;
}

/// What is typed for one of each.
const NOUNS: [(&str, &[(&str, &str)]); 7] = [
    ("banks", &[("name", "Pair")]),
    ("loads", &[("name", "Pump"), ("running_w", "0.75 kW"), ("pump", "yes")]),
    (
        "generators",
        &[
            ("name", "Old"),
            ("fuel", "petrol"),
            ("rated_w", "2 kW"),
            ("burn_1", "0.4"),
            ("load_2_w", "2000"),
            ("burn_2", "1.3"),
        ],
    ),
    ("fuel-stores", &[("name", "Cans"), ("fuel", "petrol"), ("amount_l", "5 gal"), ("bought", "1 May 2025")]),
    (
        "batteries",
        &[
            ("name", "House battery"),
            ("capacity_wh", "5.12 kWh"),
            ("usable", "80"),
            ("inverter", "90 %"),
            ("panels_w", "1.6 kW"),
            ("sun_hours", "2.5"),
        ],
    ),
    (
        "stages",
        &[
            ("name", "Lamp"),
            ("kind", "ultraviolet"),
            ("place", "3"),
            ("most_flow_l_per_min", "30"),
            ("uv_class", "a"),
            ("fitted", "1 May 2025"),
            ("lamp_hours", "812.5"),
        ],
    ),
    (
        "pumps",
        &[
            ("name", "House"),
            ("flow_1", "0"),
            ("head_1", "42"),
            ("flow_2", "40"),
            ("head_2", "37"),
            ("flow_3", "80"),
            ("head_3", "22"),
            ("delivery_size", "one"),
            ("delivery_run_m", "25"),
            ("cut_in_kpa", "2 bar"),
            ("cut_out_kpa", "350"),
        ],
    ),
];

#[tokio::test]
async fn every_noun_can_be_added_changed_and_ended() {
    let (house, visitor) = sign_in::set_up().await;
    let site = site(&visitor, "Mill Cottage").await;
    for (noun, answers) in NOUNS {
        let form = Form::open(&visitor, &format!("{site}/{noun}/new")).await.with(answers);
        let kept = form.send(&visitor).await;
        assert_eq!(kept.status, 303, "{noun}: {}", kept.text);
        let id = form.held("id");
        let path = format!("/set-up/{noun}/{id}");
        let shown = Form::open(&visitor, &path).await;
        for (name, value) in answers.iter().filter(|(_, value)| value.parse::<f64>().is_ok()) {
            assert_eq!(shown.held(name), *value, "{noun} {name}");
        }
        let changed = shown.with(&[("name", "Renamed")]).send(&visitor).await;
        assert_eq!(changed.status, 303, "{noun}: {}", changed.text);
        let page = visitor.get(&site).await;
        assert!(page.text.contains("Renamed"), "{noun}: {}", page.text);
        if noun == "banks" {
            assert_eq!(visitor.get(&format!("{path}/end")).await.status, 404);
        } else {
            let end = Form::open(&visitor, &format!("{path}/end")).await;
            assert!(end.page.contains("Take it out of use") && end.page.contains("Leave it in use"));
            assert_eq!(end.send(&visitor).await.status, 303);
            assert!(visitor.get(&path).await.text.contains("Take it back into use"));
        }
        let form = Form::open(&visitor, &format!("/set-up/{noun}/{id}")).await;
        assert_eq!(form.with(&[("name", "Pump")]).send(&visitor).await.status, 303);
    }
    let record = visitor.get("/set-up").await.text;
    for held in ["Renamed", "no longer in use since: <bdi>–</bdi>", "Ruth"] {
        assert!(record.contains(held), "{held} is not in {record}");
    }
    house.close().await;
}

#[tokio::test]
async fn two_who_change_the_same_thing_do_not_undo_each_other_unseen() {
    let (house, visitor) = sign_in::set_up().await;
    let site = site(&visitor, "Mill Cottage").await;
    let form = tank(&visitor, &site).await;
    assert_eq!(form.send(&visitor).await.status, 303);
    let path = format!("/set-up/vessels/{}", form.held("id"));
    let (first, second) = (Form::open(&visitor, &path).await, Form::open(&visitor, &path).await);
    assert_eq!((first.held("diameter_m"), first.held("gravity_m")), ("1.2", "0.1"));
    assert!(first.page.contains("<svg") && first.page.contains("As measured"), "the change page draws it");
    assert_eq!(first.with(&[("height_m", "1.4")]).send(&visitor).await.status, 303);
    let stale = second.with(&[("notes", "mine")]).send(&visitor).await;
    let text = stale.text.replace('\u{a0}', " ");
    assert!(stale.status == 412 && text.contains("Changed while you were at it"), "{} {text}", stale.status);
    assert!(text.contains("height: <bdi>1.3 m</bdi> → <b><bdi>1.4 m</bdi></b>"), "{text}");
    let again = Form::read(&stale);
    assert_eq!((again.held("notes"), again.held("height_m")), ("mine", "1.3"));
    assert_eq!(again.with(&[("height_m", "1.4")]).send(&visitor).await.status, 303);
    let picture = house.running.app().picture();
    let vessel = &picture.set_up.vessels.values().next().unwrap().thing;
    assert_eq!((vessel.notes.as_str(), vessel.dimensions["height_m"]), ("mine", 1.4));
    house.close().await;
}

#[tokio::test]
async fn the_owners_table_and_the_readers_units() {
    let (house, visitor) = sign_in::set_up().await;
    let site = site(&visitor, "Mill Cottage").await;
    let form = Form::open(&visitor, &format!("{site}/vessels/new?shape=table")).await;
    let form = form.with(&[("name", "Odd"), ("material", "steel"), ("stands_on", "slab"), ("dip_m", "0")]);
    let wrong = form.clone().with(&[("strapping", "0.5 620\n0.4 700")]).send(&visitor).await;
    assert!(wrong.status == 422 && wrong.text.contains("Row 2: depth and volume must both be more"), "{}", wrong.text);
    assert_eq!(Form::read(&wrong).held("strapping"), "0.5 620\n0.4 700");
    assert_eq!(form.with(&[("strapping", "0.5 620\n1.0 1240")]).send(&visitor).await.status, 303);

    visitor.set_cookie("kw_units", "us");
    let form = tank(&visitor, &site).await;
    // 1 ft = 0.3048 m (NIST SP 811, appendix B.8).
    let form = form.with(&[("name", "West"), ("diameter_m", "4"), ("height_m", "5 ft"), ("gravity_m", "3 in")]);
    assert_eq!(form.send(&visitor).await.status, 303);
    let shown = Form::open(&visitor, &format!("/set-up/vessels/{}", form.held("id"))).await;
    assert_eq!((shown.held("diameter_m"), shown.held("height_m"), shown.held("gravity_m")), ("4", "5", "0.25"));
    let picture = house.running.app().picture();
    let west = picture.set_up.vessels.values().find(|kept| kept.thing.name.as_str() == "West").unwrap();
    assert!((west.thing.dimensions["diameter_m"] - 1.2192).abs() < 1e-12);
    house.close().await;
}

#[tokio::test]
async fn everything_to_mend_is_said_at_once() {
    let (house, visitor) = sign_in::set_up().await;
    let site = site(&visitor, "Mill Cottage").await;
    let form = tank(&visitor, &site).await;
    let form = form.with(&[("pump_m", "2.4"), ("interval_days", "soon"), ("depth_now", "NaN"), ("filled_from", "")]);
    let answer = form.with(&[("filled", "1 March 2026")]).send(&visitor).await;
    assert!(answer.status == 422 && answer.text.contains("4 things to mend"), "{}", answer.text);
    for place in ["pump_m", "interval_days", "depth_now", "filled_from"] {
        assert!(answer.text.contains(&format!("href=\"#{place}\"")), "{place}: {}", answer.text);
    }
    assert!(answer.text.contains("As measured"), "what can be drawn is drawn");
    house.close().await;
}

#[tokio::test]
async fn a_keeper_changes_their_own_site_and_no_other() {
    let (house, coordinator) = sign_in::set_up().await;
    let (mine, other) = (site(&coordinator, "Mill Cottage").await, site(&coordinator, "Weir House").await);
    let id = mine.rsplit('/').next().unwrap().parse().unwrap();
    let app = house.running.app();
    let keeper = scene::person("Noor", Role::Keeper, &[id]);
    let person = keeper.id;
    app.keep(&Caller::House, Thing::Person(keeper), None).await.unwrap();
    let visitor = house.visitor();
    let link = format!("/enter/{}", app.one_time(Purpose::SignIn(person)).unwrap());
    assert_eq!(visitor.post(&link, &[]).await.status, 303);

    let whole = visitor.get("/set-up").await.text;
    assert!(whole.contains("Mill Cottage") && !whole.contains("Weir House") && !whole.contains("Changes"), "{whole}");
    assert_eq!(tank(&visitor, &mine).await.send(&visitor).await.status, 303);
    let own = Form::open(&visitor, &mine).await.with(&[("people_adult", "3"), ("phone", "555 0100")]);
    assert_eq!(own.send(&visitor).await.status, 303);
    let stale = own.with(&[("people_adult", "4")]).send(&visitor).await;
    assert!(stale.status == 412 && stale.text.contains("adults: <bdi>2</bdi>"), "{}", stale.text);

    for path in [other.as_str(), "/set-up/neighbourhood", "/set-up/sites/new", "/set-up/sources/new"] {
        let shown = visitor.get(path).await.status;
        let sent =
            visitor.post(path, &[("id", "0190163d-8694-739b-aea5-966c26f8ad90"), ("revision", "1")]).await.status;
        let wanted = if path == other { 404 } else { 403 };
        assert_eq!((shown, sent), (wanted, wanted), "{path}");
    }
    let stranger = house.visitor().get("/set-up").await;
    assert_eq!((stranger.status, stranger.header("location")), (303, "/sign-in?next=/set-up"));
    house.close().await;
}
