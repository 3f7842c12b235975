//! Every part and every drawing once, in its odd states too, on one page to look at:
//! `cargo test --lib gallery -- --ignored` writes it to the folder for temporary files and prints nothing.

use askama::Template;

use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::draw::Drawing;
use crate::web::draw::curve;
use crate::web::draw::key;
use crate::web::draw::level;
use crate::web::draw::plot::DayName;
use crate::web::draw::plot::Days;
use crate::web::draw::service;
use crate::web::draw::vessel;
use crate::web::filters;
use crate::web::form::Choice;
use crate::web::form::Control;
use crate::web::form::Field;
use crate::web::form::InputView;
use crate::web::form::StepView;
use crate::web::form::WorkingView;
use crate::web::reader::Units;
use crate::web::reader::tests::reader;

#[derive(Template)]
#[template(
    ext = "html",
    source = r#"{% extends "base.html" %}{% import "partials/parts.html" as parts %}
{% block title %}Gallery{% endblock %}
{% block head %}<div class="head"><h1>If the mains stopped now</h1><span class="soft">at Basic, 15 L a person a day</span><span class="state">Wednesday 4 March, 08:10. Mains running. <a href="/">{% call parts::act("2 to do now") %}{% endcall %}</a></span></div>{% endblock %}
{% block main %}
<section class="figs"><div><h2>The first person goes without</h2><div class="lvl"><p class="fig f1"><u>day</u> 3.2</p></div><p><b>Birch Court, 58 people</b>: its diesel gives out before its water.</p><p class="band">8 in 10: day 2.9 to 3.5 · <a href="/">working</a></p></div><div><h2>With the agreed carries</h2><div class="lvl"><p class="fig f2"><u>day</u> 7.4</p></div><p>All 280 supplied until Wednesday 11 March.</p></div><div><h2>All water pooled</h2><div class="lvl"><p class="fig f3">8.4 <u>days</u></p></div><p>37,708 L, if every litre could be moved.</p></div></section>
<div class="two"><div>
<section><h2>People still supplied</h2>{{ curve }}{{ curve_key }}</section>
<section><h2>Service</h2>{{ service }}</section>
<section><h2>Sites, shortest first <small>vessels drawn to one scale</small></h2><table class="sites"><thead><tr><th>site</th><th>what it stores</th><th class="r">days</th><th class="b">{{ small_head }}</th><th>gives out first</th></tr></thead><tbody>
{% for (name, stores, days, bar) in sites %}<tr><td class="n"><a href="/">{{ name }}</a><small>household, 2 people</small></td><td class="v">{{ stores }}</td><td class="num r">{{ days }}</td><td class="b">{{ bar }}</td><td class="w"><b>diesel</b>, day 3.2<small>3,459 L stay out of reach</small></td></tr>{% endfor %}</tbody></table>{{ sites_key }}</section>
<section><h2>Tanks <small>to scale</small></h2>{{ row }}</section>
<section><h2>Sixty days of level</h2>{{ level }}</section>
<section><h2>One vessel</h2><div class="hero beside"><div>{{ large }}</div><div><p class="fig f2">2,845 <u>L</u></p><p class="band">give or take 13 L</p></div></div></section>
<section><h2>Odd ones</h2><div class="inrow">{% for one in odd %}<div>{{ one }}</div>{% endfor %}</div></section>
<section><h2>A form</h2><form class="form">{% include "partials/fields.html" %}<p class="acts"><button class="main">Keep it</button><a class="btn" href="/">Back</a></p></form></section>
</div><aside>
<section><h2>What needs doing</h2><ul class="tasks"><li>{% call parts::act("Do now") %}{% endcall %} Hall, East is falling 12.7 L a day<small>since 20 February</small></li><li>{% call parts::mind("Mind") %}{% endcall %} Reach Primary, last dipped 41 days ago</li><li>In order: no mark</li></ul>{% call parts::caution("Exhaust kills.", "Outdoors, 6 m (20 ft) or more from any opening, exhaust pointing away, a CO alarm inside.") %}{% endcall %}</section>
<section><h2>Figures</h2><ul class="ruled k"><li><span>hours on hand</span><span class="num">31 h</span><small>17.7 kg of propane</small></li></ul></section>
<section><h2>Done</h2>{% call parts::done("Logged:", "East drawn, 1,914 L.", "/", "Undo") %}{% endcall %}</section>
<section><h2>Before a loss</h2>{% call parts::before_loss("Voiding this leaves East at 2,845 L.", "/", "Void it", "/", "Keep it") %}{% endcall %}</section>
<section><h2>Nothing here yet</h2>{% call parts::nothing("No vessel at this site.", "/", "Add a vessel") %}{% endcall %}</section>
<section class="problems"><h2>2 things to mend</h2><ol><li>Line 4, depth: 3.1 m stands above the vessel.</li></ol></section>
</aside></div>
<div class="panel">{% include "partials/working.html" %}</div>
<div class="step"><div class="now">{{ alone }}<div><h1>East</h1><p class="fig">2,845 <u>L</u></p><small>dipped today</small></div></div><h2 class="q">What happened?</h2><div class="tiles"><a class="tap" href="/">Read the level<small>dip, tube, by eye</small></a><a class="tap" href="/">Filled it<small>from the mains</small></a></div><div class="pick"><input type="radio" name="h" id="h1" checked><label class="tap" for="h1"><span class="t">To the top</span><span class="num">2,143 L</span></label><input type="radio" name="h" id="h2"><label class="tap" for="h2"><span class="t">I do not know <small>someone reads it later</small></span></label></div><p class="acts"><button class="main">Log it</button></p></div>
{% endblock %}"#
)]
struct Gallery {
    chrome: Chrome,
    curve: Drawing,
    curve_key: Drawing,
    service: Drawing,
    small_head: Drawing,
    sites: Vec<(String, Drawing, String, Drawing)>,
    sites_key: Drawing,
    row: Drawing,
    level: Drawing,
    large: Drawing,
    odd: Vec<Drawing>,
    alone: Drawing,
    fields: Vec<Field>,
    working: WorkingView,
}

fn figures(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let (whole, rest) = text.split_once('.').map_or((text.as_str(), None), |(a, b)| (a, Some(b)));
    let mut grouped = String::new();
    for (number, digit) in whole.chars().enumerate() {
        if number > 0 && (whole.len() - number).is_multiple_of(3) {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    rest.map_or_else(|| grouped.clone(), |rest| format!("{grouped}.{rest}"))
}

fn tank(form: vessel::Form, grade: vessel::Grade, width: f64, height: f64, part: f64) -> vessel::Vessel {
    let outline = if form == vessel::Form::Lying && width > height * 0.99 && width < height * 1.01 {
        let turn = |n: i32| f64::from(n) / 40.0 * std::f64::consts::TAU;
        (0..40).map(|n| (width / 2.0 * (1.0 + turn(n).cos()), height / 2.0 * (1.0 + turn(n).sin()))).collect()
    } else {
        vec![(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)]
    };
    let level_m = height * part;
    vessel::Vessel {
        title: "tank".to_owned(),
        body: vessel::Body::Tank(vessel::Tank {
            form,
            outline,
            full_m: height * 0.933,
            heel_m: height * 0.066,
            water: (part >= 0.0).then_some(vessel::Water { level_m, low_m: level_m * 0.99, high_m: level_m * 1.01 }),
            grade,
        }),
    }
}

fn cans(full: u32, part: u32, empty: u32, height_m: f64) -> vessel::Vessel {
    let lots = vec![vessel::Lot { full, part, empty, grade: vessel::Grade::Drink }];
    vessel::Vessel {
        title: "cans".to_owned(),
        body: vessel::Body::Set(vessel::Set { width_m: if height_m > 0.7 { 0.58 } else { 0.28 }, height_m, lots }),
    }
}

fn days(length: f64, names: &[(f64, &str, &str)]) -> Days {
    let name = |(day, words, short): &(f64, &str, &str)| DayName {
        day: *day,
        words: (*words).to_owned(),
        short: (*short).to_owned(),
    };
    Days { length, names: names.iter().map(name).collect() }
}

fn bar(ends: &[f64]) -> service::Service {
    let levels = [
        (service::Served::Tap, "at the tap"),
        (service::Served::Hand, "carried by hand"),
        (service::Served::Drinking, "drinking only"),
    ];
    let causes = [
        (", propane spent: carried by hand", " propane spent"),
        (", Basic no longer met in full", " Basic not met"),
        (", dry", " dry"),
    ];
    service::Service {
        title: "Alder Reach Hall: at the tap to day 1.9, by hand to day 8.3, dry on day 10.8".to_owned(),
        stretches: ends
            .iter()
            .zip(levels)
            .map(|(until, (served, words))| service::Stretch { served, until: *until, words: words.to_owned() })
            .collect(),
        breaks: ends
            .iter()
            .zip(causes)
            .map(|(day, (cause, short))| service::Break {
                day: *day,
                figure: format!("day {day:.1}"),
                cause: cause.to_owned(),
                short: short.to_owned(),
            })
            .collect(),
        band: ends.get(1).map(|day| (day * 0.92, day * 1.09)),
    }
}

fn the_curve() -> Drawing {
    let falls = [
        (3.2, 58.0, "Birch Court"),
        (4.0, 2.0, "Weir Cottage"),
        (4.4, 3.0, "Stonecroft"),
        (5.0, 4.0, "Mill End"),
        (5.2, 20.0, "clinic"),
        (6.4, 12.0, "Orchard Plots"),
        (8.3, 72.0, "Alder Reach Hall"),
        (8.6, 6.0, "Two Chimneys"),
        (10.0, 5.0, "Ferry House"),
        (10.7, 84.0, "Reach Primary"),
        (11.2, 4.0, "Old Forge"),
        (11.5, 5.0, "Larkfield"),
        (14.8, 2.0, "Lock House"),
        (15.2, 3.0, "Pear Tree"),
    ];
    let flag = |day, figure: &str, words: &str, band, bound| curve::Flag {
        day,
        figure: figure.to_owned(),
        words: words.to_owned(),
        band: Some(band),
        bound,
    };
    let drawn = curve::Curve {
        title: "People still supplied at Basic. All 280 until day 3.2".to_owned(),
        description: "Birch Court first".to_owned(),
        people: 280.0,
        falls: falls
            .iter()
            .map(|(day, people, name)| curve::Fall {
                day: *day,
                people: *people,
                words: format!("{name}, {people}"),
                short: (*name).to_owned(),
            })
            .collect(),
        flags: vec![
            flag(3.2, "3.2", " first without", (2.9, 3.5), false),
            flag(8.4, "8.4", " pooled", (7.9, 9.0), true),
        ],
    };
    let named = [(0.0, "now", "now"), (7.0, "day 7, Wed 11", "day 7"), (14.0, "day 14, Wed 18", "day 14")];
    curve::curve(&drawn, &days(16.0, &named), &figures)
}

fn the_level() -> Drawing {
    let point = |day, amount, give| level::Believed { day, amount, low: amount - give, high: amount + give };
    let note = |day, amount, words: &str, short: &str, strong| level::Note {
        day,
        amount,
        words: words.to_owned(),
        short: short.to_owned(),
        strong,
    };
    let drawn = level::Level {
        title: "Level of East over sixty days, litres".to_owned(),
        description: "It fell".to_owned(),
        believed: vec![
            point(0.0, 4950.0, 13.0),
            point(14.0, 4940.0, 60.0),
            point(14.3, 365.0, 13.0),
            point(15.0, 365.0, 13.0),
            point(15.3, 4986.0, 20.0),
            point(42.0, 4980.0, 110.0),
            point(42.2, 3070.0, 120.0),
            point(48.0, 3000.0, 110.0),
            point(48.0, 2998.0, 13.0),
            point(55.0, 2909.0, 13.0),
            point(60.0, 2845.0, 13.0),
        ],
        readings: vec![(0.0, 4950.0), (14.3, 365.0), (48.0, 2998.0), (55.0, 2909.0), (60.0, 2845.0)],
        full: Some((4988.0, "full, 4,988".to_owned())),
        notes: vec![
            note(
                60.0,
                2845.0,
                "falling 12.7 L a day since 20 February, give or take 1.5: a drip?",
                "falling 12.7 L a day",
                true,
            ),
            note(
                15.0,
                365.0,
                "17 January: drawn to the tap, used in the hall; filled next day",
                "used, then filled",
                false,
            ),
            note(42.2, 4000.0, "14 February: 1,914 L drawn for the pump test", "1,914 L drawn", false),
        ],
    };
    level::level(
        &drawn,
        &days(60.0, &[(0.0, "3 Jan", "3 Jan"), (30.0, "2 Feb", "2 Feb"), (60.0, "today", "today")]),
        &figures,
    )
}

fn large_words(before: bool) -> vessel::Words {
    let mark = |at_m, words: &str| vessel::Mark { at_m, words: words.to_owned() };
    vessel::Words {
        marks: vec![mark(1.96, "full"), mark(1.118, "now"), mark(0.14, "tap")],
        room: "room for 2,143 L".to_owned(),
        held: "2,489 L above the tap".to_owned(),
        across: "1.80 m across".to_owned(),
        unread: "not read yet".to_owned(),
        before: before.then(|| vessel::Before { level_m: 0.7, words: "before".to_owned() }),
    }
}

fn fields() -> Vec<Field> {
    let choice = |value: &str, label: &str| Choice {
        value: value.to_owned(),
        label: label.to_owned(),
        hint: "a line of help".to_owned(),
    };
    let choices = || vec![choice("a", "Dipstick"), choice("b", "Sight glass")];
    vec![
        Field::new("name", "Name of the vessel", Control::Text { autocomplete: "off" })
            .hint("as people call it")
            .value("East \"big\" <tank>"),
        Field::new("amount", "Litres drawn from East", Control::Number { unit: "L".to_owned() })
            .value("28,450")
            .error(Some("East can hold 4,988 L at most. You typed 28,450: one nought too many?".to_owned())),
        Field::new("how", "How was it read?", Control::Radios(choices())).value("b"),
        Field::new("grade", "Stands on", Control::Select(choices())).optional().value("a"),
        Field::new("what", "What it is", Control::Checks(choices())).error(Some("Choose at least one.".to_owned())),
        Field::new("sure", "It is closed and opaque", Control::Check).value("yes"),
        Field::new("note", "Note", Control::Lines).optional(),
        Field::new("when", "When", Control::Moment).value("2026-03-04T07:40"),
        Field::new("file", "The spreadsheet", Control::File { accept: ".csv" }),
        Field::new("pw", "Password", Control::Password { autocomplete: "current-password" }),
    ]
}

fn gallery() -> Gallery {
    use vessel::Form;
    use vessel::Grade;
    let metres = vessel::Rule { unit_m: 1.0, name: "m".to_owned() };
    let feet = vessel::Rule { unit_m: 0.3048, name: "ft".to_owned() };
    let east = || tank(Form::Upright, Grade::Drink, 1.8, 2.1, 0.532);
    let rows = [
        ("Birch Court", vec![tank(Form::Box, Grade::Drink, 2.4, 1.6, 0.87)], &[3.2][..]),
        ("Weir Cottage", vec![cans(6, 0, 0, 0.4)], &[0.0, 4.0]),
        ("Stonecroft", vec![cans(8, 1, 3, 0.4), tank(Form::Upright, Grade::Utility, 0.95, 1.3, 0.7)], &[0.0, 4.4]),
        ("Alder Reach Hall", vec![east(), east(), tank(Form::Upright, Grade::Treat, 1.8, 2.1, 0.8)], &[1.9, 8.3, 10.8]),
        (
            "Reach Primary",
            vec![tank(Form::Lying, Grade::Drink, 3.3, 1.9, 0.77), east(), cans(20, 0, 0, 0.4)],
            &[0.0, 10.7],
        ),
        ("Old Forge", vec![tank(Form::Tote, Grade::Drink, 1.2, 1.0, 0.62)], &[0.0, 11.2]),
        ("Pear Tree", vec![cans(3, 1, 0, 0.88), tank(Form::Heater, Grade::Drink, 0.5, 1.2, 1.0)], &[0.0, 15.2]),
        ("Fire cistern", vec![tank(Form::Box, Grade::Hold, 14.0, 2.5, 0.7)], &[]),
        ("Bottles", vec![cans(480, 3, 0, 0.3), tank(Form::Lying, Grade::Drink, 1.1, 1.1, 0.5)], &[2.0, 400.0]),
        ("Nothing read", vec![tank(Form::Upright, Grade::Drink, 1.8, 2.1, -1.0)], &[]),
    ];
    let fit = vessel::Fit::to(rows.iter().map(|(_, vessels, _)| vessels.as_slice()), 190.0, 64.0);
    let sites = rows
        .iter()
        .map(|(name, vessels, ends)| {
            let bar = service::small(&bar(ends), 16.0);
            ((*name).to_owned(), vessel::small(vessels, &fit, name), "3.2".to_owned(), bar)
        })
        .collect();
    let standing = |name: &str, litres: &str, vessel| vessel::Standing {
        vessel,
        name: name.to_owned(),
        litres: litres.to_owned(),
        lines: vec!["drinking water counted".to_owned(), "dipped 2 March, 1.842 m".to_owned()],
    };
    let odd = [
        tank(Form::Lying, Grade::Drink, 1.9, 1.9, 0.5),
        tank(Form::Lying, Grade::Treat, 3.4, 1.5, 0.7),
        tank(Form::Tote, Grade::Utility, 1.2, 1.0, 0.5),
        tank(Form::Heater, Grade::Hold, 0.5, 1.2, 0.6),
        tank(Form::Upright, Grade::Drink, 1.8, 2.1, -1.0),
        tank(Form::Upright, Grade::Drink, 1.8, 2.1, 1.0),
        tank(Form::Upright, Grade::Drink, 1.8, 2.1, 0.0),
        tank(Form::Box, Grade::Drink, 14.0, 2.2, 0.6),
        tank(Form::Plain, Grade::Drink, 0.2, 3.0, 0.6),
        tank(Form::Plain, Grade::Drink, 0.0, 0.0, 0.6),
        cans(17, 2, 5, 0.4),
        cans(2_000, 0, 0, 0.3),
    ];
    Gallery {
        chrome: Chrome {
            neighbourhood: "Alder Reach".to_owned(),
            who: Some("Maren, coordinator".to_owned()),
            place: Place::Today,
            said: Some("Logged: East drawn, 1,914 L.".to_owned()),
        },
        curve: the_curve(),
        curve_key: key::key([
            (key::Swatch::Line, "each site on its own"),
            (key::Swatch::Dotted, "all pooled"),
            (key::Swatch::Band, "8 times in 10"),
        ]),
        service: service::large(
            &bar(&[1.9, 8.3, 10.8]),
            &days(14.0, &[(0.0, "now", "now"), (7.0, "day 7, Wednesday 11", "day 7"), (14.0, "day 14", "14")]),
        ),
        small_head: service::small_head(16.0, "now", "days from now"),
        sites,
        sites_key: key::key([
            (key::Swatch::Tap, "at the tap"),
            (key::Swatch::Hand, "carried by hand"),
            (key::Swatch::Drinking, "drinking only"),
            (key::Swatch::Grade(Grade::Treat), "treat first"),
            (key::Swatch::Grade(Grade::Utility), "washing only"),
            (key::Swatch::Grade(Grade::Hold), "for nothing"),
            (key::Swatch::Heel, "below the outlet"),
            (key::Swatch::Whisker, "8 times in 10"),
            (key::Swatch::Reading, "a reading"),
        ]),
        row: vessel::row(
            &[
                standing("West", "4,687 L", tank(Form::Upright, Grade::Drink, 1.8, 2.1, 0.877)),
                standing("East", "2,845 L", east()),
                standing("North", "4,211 L", tank(Form::Upright, Grade::Treat, 1.8, 2.1, 0.79)),
                standing("Cans in the hall kitchen", "480 L", cans(20, 2, 2, 0.4)),
            ],
            &metres,
            "The vessels of the hall",
            &figures,
        ),
        level: the_level(),
        large: vessel::large(&east(), &large_words(true), &metres, &figures),
        odd: odd.iter().map(|one| vessel::large(one, &large_words(false), &feet, &figures)).collect(),
        alone: vessel::alone(&east(), 108.0, 140.0),
        fields: fields(),
        working: WorkingView {
            formula: "days = D ÷ (n · q)".to_owned(),
            inputs: vec![InputView {
                symbol: "D".to_owned(),
                name: "drinking water above the taps, West and East".to_owned(),
                figure: "6,820 L".to_owned(),
                give_or_take: "20 L".to_owned(),
                origin: "dipped 2 March and today 07:40".to_owned(),
            }],
            steps: vec![StepView {
                words: "litres a day".to_owned(),
                formula: "n · q".to_owned(),
                figure: "1,080 L".to_owned(),
            }],
            left_out: vec!["below the taps of West and East".to_owned()],
            sources: vec!["15 L a person a day: The Sphere Handbook, 2018, water supply standard 2.1.".to_owned()],
            extrapolated: true,
        },
    }
}

#[tokio::test]
#[ignore = "writes a page to look at"]
async fn every_part_on_one_page() {
    let response = page(&reader(Units::Metric), gallery()).unwrap();
    let body = axum::body::to_bytes(response.into_body(), 1 << 24).await.unwrap();
    let html = String::from_utf8(body.to_vec()).unwrap();
    let sheet = concat!("file://", env!("CARGO_MANIFEST_DIR"), "/static/keepwell.css");
    let address = crate::web::assets::asset("keepwell.css").unwrap();
    std::fs::write(std::env::temp_dir().join("keepwell-gallery.html"), html.replace(address, sheet)).unwrap();
}
