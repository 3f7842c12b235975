use super::*;
use crate::web::draw::probe::NAMES;
use crate::web::draw::probe::check;
use crate::web::draw::probe::figures;

fn upright(width: f64, height: f64, level: f64) -> Tank {
    Tank {
        form: Form::Upright,
        outline: vec![(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)],
        full_m: height * 0.93,
        heel_m: height * 0.07,
        water: Some(Water { level_m: level, low_m: level * 0.99, high_m: level * 1.01 }),
        grade: Grade::Drink,
    }
}

fn round(diameter: f64, level: f64) -> Tank {
    let outline = (0..48).map(|n| {
        let turn = f64::from(n) / 48.0 * std::f64::consts::TAU;
        (diameter / 2.0 * (1.0 + turn.cos()), diameter / 2.0 * (1.0 + turn.sin()))
    });
    Tank { form: Form::Lying, outline: outline.collect(), ..upright(diameter, diameter, level) }
}

fn named(title: &str, tank: Tank) -> Vessel {
    Vessel { title: title.to_owned(), body: Body::Tank(tank) }
}

fn words(name: &str) -> Words {
    let mark = |at_m, words: &str| Mark { at_m, words: words.to_owned() };
    Words {
        marks: vec![mark(1.96, "full"), mark(1.118, "now"), mark(0.14, name), mark(0.12, "siphon")],
        room: "room for 2,143 L".to_owned(),
        held: "2,489 L above the tap".to_owned(),
        across: "1.80 m across".to_owned(),
        unread: "not read yet".to_owned(),
        before: Some(Before { level_m: 0.9, words: "before".to_owned() }),
    }
}

fn metres() -> Rule {
    Rule { unit_m: 1.0, name: "m".to_owned() }
}

const FORMS: [Form; 6] = [Form::Upright, Form::Lying, Form::Box, Form::Tote, Form::Heater, Form::Plain];

#[test]
fn every_form_grade_and_size_is_drawn_whole() {
    for form in FORMS {
        for grade in Grade::ALL {
            for (width, height) in [(1.8, 2.1), (0.001, 0.001), (900.0, 2.0), (0.3, 40.0), (1e5, 1e5)] {
                for part in [0.0, 1e-9, 0.5, 1.0] {
                    let tank = Tank { form, grade, ..upright(width, height, height * part) };
                    let vessel = named("T", tank);
                    check(&large(&vessel, &words("tap"), &metres(), &figures));
                    check(&alone(&vessel, 108.0, 140.0));
                    let fit = Fit::to([std::slice::from_ref(&vessel)], 186.0, 62.0);
                    check(&small(std::slice::from_ref(&vessel), &fit, "one tank"));
                }
            }
        }
    }
}

#[test]
fn names_are_shown_as_they_are() {
    for name in NAMES {
        let vessel = named(name, upright(1.8, 2.1, 1.118));
        let texts = check(&large(&vessel, &words(name), &metres(), &figures));
        let opening: String = name.chars().take(4).collect();
        assert!(texts.iter().any(|text| text.words.starts_with(&opening)), "{name}: {texts:?}");
        let standing = Standing {
            vessel,
            name: name.to_owned(),
            litres: "4,687 L".to_owned(),
            lines: vec![name.to_owned(), "dipped 2 March, 1.842 m".to_owned()],
        };
        check(&row(&vec![standing; 5], &metres(), "five tanks", &figures));
    }
}

#[test]
fn what_is_no_number_is_left_out() {
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1.0, 1e300] {
        let mut tank = upright(1.8, 2.1, 1.0);
        tank.water = Some(Water { level_m: bad, low_m: bad, high_m: bad });
        (tank.full_m, tank.heel_m) = (bad, bad);
        check(&large(&named("T", tank.clone()), &words("tap"), &metres(), &figures));
        tank.outline = vec![(0.0, 0.0), (bad, 0.0), (1.0, bad)];
        check(&large(&named("T", tank.clone()), &words("tap"), &metres(), &figures));
        check(&alone(&named("T", tank), 108.0, 140.0));
    }
    for outline in [vec![], vec![(0.0, 0.0)], vec![(0.0, 0.0), (1.0, 1.0), (2.0, 2.0)], vec![(0.0, 0.0); 5]] {
        let vessel = named("T", Tank { outline, ..upright(1.0, 1.0, 0.5) });
        check(&large(&vessel, &words("tap"), &metres(), &figures));
    }
}

#[test]
fn an_unread_vessel_has_no_water() {
    let vessel = named("T", Tank { water: None, ..upright(1.8, 2.1, 0.0) });
    let drawing = large(&vessel, &words("tap"), &metres(), &figures).to_string();
    assert!(drawing.contains("not read yet") && !drawing.contains("class=\"water\""));
}

#[test]
fn water_follows_the_wall() {
    // half of a circle: the waterline is the diameter, and no point of the water lies above it
    let vessel = named("T", Tank { heel_m: 0.0, full_m: 0.0, ..round(2.0, 1.0) });
    let drawing = alone(&vessel, 200.0, 200.0).to_string();
    let water = drawing.split("<path d=\"").find(|part| part.contains("class=\"water\"")).unwrap();
    let numbers: Vec<f64> =
        water.split('z').next().unwrap().split(['M', 'L', ' ']).filter_map(|n| n.parse().ok()).collect();
    let (xs, ys): (Vec<f64>, Vec<f64>) = numbers.chunks_exact(2).map(|p| (p[0], p[1])).unzip();
    let span = |v: &[f64]| v.iter().fold(f64::MIN, |a, b| a.max(*b)) - v.iter().fold(f64::MAX, |a, b| a.min(*b));
    assert!((span(&xs) / span(&ys) - 2.0).abs() < 0.02, "{xs:?} {ys:?}");
}

#[test]
fn containers_can_be_counted() {
    let set = |full, part, empty| {
        let lots = vec![Lot { full, part, empty, grade: Grade::Drink }];
        let body = Body::Set(Set { width_m: 0.28, height_m: 0.4, lots });
        Vessel { title: "cans".to_owned(), body }
    };
    let count = |vessel: &Vessel| alone(vessel, 300.0, 200.0).to_string().matches("class=\"inside\"").count();
    assert_eq!(count(&set(4, 1, 1)), 6);
    assert_eq!(count(&set(24, 0, 0)), 24);
    assert_eq!(count(&set(0, 0, 0)), 0);
    // many stand for several each, and the drawing says so
    let many = alone(&set(2_400, 0, 0), 300.0, 200.0);
    assert_eq!(many.to_string().matches("class=\"inside\"").count(), 240);
    assert!(check(&many).iter().any(|text| text.words == "× 10"));
    for (full, part, empty) in [(0, 0, 0), (1, 0, 0), (0, 1, 3), (2_400, 7, 1), (u32::MAX, u32::MAX, u32::MAX)] {
        check(&large(&set(full, part, empty), &words("tap"), &metres(), &figures));
        let vessel = set(full, part, empty);
        let fit = Fit::to([std::slice::from_ref(&vessel)], 186.0, 62.0);
        check(&small(&[vessel], &fit, "cans"));
    }
}

#[test]
fn one_scale_serves_a_whole_list() {
    let rows = [vec![named("a", upright(1.8, 2.1, 1.0))], vec![named("b", upright(0.9, 2.1, 1.0))]];
    let fit = Fit::to(rows.iter().map(Vec::as_slice), 186.0, 62.0);
    let wide = |vessels: &[Vessel]| {
        let drawing = small(vessels, &fit, "t").to_string();
        drawing.split("width=\"").nth(1).unwrap().split('"').next().unwrap().parse::<f64>().unwrap() - 6.0
    };
    assert!((wide(&rows[0]) / wide(&rows[1]) - 2.0).abs() < 0.05);
}
