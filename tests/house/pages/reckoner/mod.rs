//! The reckoner: every calculation there is, by its own description. It answers with its usual figures, on its page and in
//! JSON alike; what does not hold is named, and nothing that anyone types leads to a failure or to what is no number.

mod worked;

use keepwell::model::entry::fields::What;
use keepwell::service::Caller;
use keepwell::service::Error;
use keepwell::service::reckoner::Calculation;
use keepwell::service::reckoner::Reckoned;
use keepwell::service::reckoner::calculations;
use serde_json::Map;
use serde_json::Value;

use crate::api::Machine;
use crate::api::json;
use crate::harness::House;
use crate::harness::Visitor;
use crate::pages::scene;
use crate::pages::today::text;

async fn maren(house: &House) -> Visitor {
    let reach = scene::reach(house.running.app()).await;
    scene::signed_in(house, reach.maren).await
}

/// Text for an address.
fn escaped(text: &str) -> String {
    text.bytes().map(|byte| format!("%{byte:02X}")).collect()
}

/// What stands on a page, without what was typed into it.
fn said(page: &str) -> String {
    format!(" {} ", text(page).replace(['(', ')', ',', ';', ':', '.'], " "))
}

fn says_no_number(page: &str) -> bool {
    let said = said(page);
    ["NaN", "nan", "inf", "−inf", "-inf", "∞"].iter().any(|none| said.contains(&format!(" {none} ")))
}

#[tokio::test]
async fn every_calculation_answers_with_its_usual_figures_in_either_units() {
    let house = House::open().await;
    let maren = maren(&house).await;
    let index = maren.get("/reckoner").await;
    assert_eq!(index.status, 200);
    for units in ["metric", "us"] {
        maren.set_cookie("kw_units", units);
        for one in calculations() {
            assert!(index.text.contains(&format!("href=\"{}\"", one.page())), "{} is not in the index", one.key);
            let page = maren.get(one.page()).await;
            assert_eq!(page.status, 200, "{}: {}", one.key, said(&page.text));
            assert!(!says_no_number(&page.text), "{}: {}", one.key, said(&page.text));
            assert!(page.text.contains("class=\"fig f2\""), "{} answers no figure", one.key);
            assert!(page.text.contains("In symbols") && page.text.contains("Source"), "{} shows no working", one.key);
            for field in one.fields() {
                let stands = page.text.contains(&format!("name=\"{}\"", field.key));
                assert!(stands, "{} does not ask for {}", one.key, field.key);
            }
        }
    }
    house.close().await;
}

#[tokio::test]
async fn a_page_and_its_json_answer_the_same() {
    let house = House::open().await;
    let reach = scene::reach(house.running.app()).await;
    let machine = Machine::coordinator(&house, &reach).await;
    for one in calculations() {
        let answer = machine.get(one.api()).await;
        assert_eq!(answer.status, 200, "{}: {}", one.key, answer.text);
        let told = json(&answer);
        assert!(!told["figures"].as_array().unwrap().is_empty(), "{}", one.key);
        assert!(!told["workings"].as_array().unwrap().is_empty(), "{}", one.key);
        let whole = house.running.app().reckoned(&Caller::House, one, Map::new()).unwrap();
        for (there, here) in told["figures"].as_array().unwrap().iter().zip(&whole.answer.figures) {
            assert_eq!(there["value"].as_f64().map(f64::to_bits), Some((here.value).to_bits()), "{}", one.key);
        }
        let unknown = machine.get(&format!("{}?no_such=1", one.api())).await;
        assert_eq!(unknown.status, 422, "{}", one.key);
    }
    house.close().await;
}

#[tokio::test]
async fn a_figure_out_of_its_range_is_named_and_kept() {
    let house = House::open().await;
    let maren = maren(&house).await;
    for one in calculations() {
        for field in one.fields() {
            let (What::Figure(measure) | What::Whole(measure)) = field.what else { continue };
            for beyond in [measure.max * 2.0 + 1.0, measure.min - measure.min.abs() - 1.0] {
                // A part of the whole is typed in per cent.
                let fraction = measure.unit == keepwell_engine::quantity::Unit::Fraction;
                let typed = (if fraction { beyond * 100.0 } else { beyond }).to_string();
                let page = maren.get(&format!("{}?{}={typed}", one.page(), field.key)).await;
                assert_eq!(page.status, 422, "{} {} {typed}: {}", one.key, field.key, said(&page.text));
                let label = field.label.to_lowercase();
                let words = text(&page.text).to_lowercase().replace("&#39;", "'");
                assert!(
                    words.contains(&format!("{label} is ")) && words.contains("allowed is"),
                    "{}: {words}",
                    one.key
                );
                assert!(page.text.contains(&format!("value=\"{typed}\"")), "{} {} is not kept", one.key, typed);
                assert!(!page.text.contains("class=\"fig f2\""), "{} answers in spite of {typed}", one.key);
            }
        }
    }
    house.close().await;
}

#[tokio::test]
async fn whatever_is_typed_is_an_answer_or_a_refusal() {
    let house = House::open().await;
    let maren = maren(&house).await;
    let long = "9".repeat(400);
    let typed = ["", " ", "NaN", "inf", "-1", "0", "1e308", long.as_str(), "3 ft 8 in", "lots", "<b>\"&", "1,2,3"];
    for one in calculations() {
        for field in one.fields() {
            for text in typed {
                let page = maren.get(&format!("{}?{}={}", one.page(), field.key, escaped(text))).await;
                let place = format!("{} {}={text}", one.key, field.key);
                assert!([200, 422].contains(&page.status), "{place}: {}", page.status);
                assert!(page.status != 200 || !says_no_number(&page.text), "{place}: {}", said(&page.text));
                assert!(!page.text.contains("<b>\"&"), "{place} is not escaped");
            }
        }
    }
    let twice = maren.get("/reckoner/dose?litres=1000&litres=2000&no_such=1&units=cubits").await;
    assert_eq!(twice.status, 200);
    assert_eq!(maren.get("/reckoner/no-such").await.status, 404);
    house.close().await;
}

/// The ends of each range, and what lies just inside them, in one field or in all at once.
#[tokio::test]
async fn the_ends_of_every_range_are_an_answer_or_a_refusal() {
    let house = House::open().await;
    let ask = |one: &'static Calculation, given: Map<String, Value>| match house.running.app().reckoned(
        &Caller::House,
        one,
        given.clone(),
    ) {
        Ok(Reckoned { answer, .. }) => {
            assert!(answer.figures.iter().all(|found| found.value.is_finite()), "{} {given:?}", one.key);
        }
        Err(Error::Invalid(problems)) => assert!(!problems.is_empty()),
        Err(other) => panic!("{} {given:?}: {other}", one.key),
    };
    for one in calculations() {
        let (mut least, mut most) = (Map::new(), Map::new());
        for field in one.fields() {
            let key = field.key.to_owned();
            match field.what {
                What::Figure(measure) | What::Whole(measure) => {
                    for end in [measure.min, measure.max, measure.min.midpoint(measure.max), measure.min * 1.5] {
                        let end = if matches!(field.what, What::Whole(_)) { end.floor() } else { end };
                        ask(one, Map::from_iter([(key.clone(), end.into())]));
                    }
                    least.insert(key.clone(), measure.min.into());
                    most.insert(key, measure.max.into());
                }
                What::Choice(options) => {
                    for (choice, _) in options() {
                        ask(one, Map::from_iter([(key.clone(), choice.into())]));
                    }
                }
                What::Flag => ask(one, Map::from_iter([(key, true.into())])),
                What::Text(_) | What::Date | What::Ref(_) => panic!("{}: the reckoner asks for no such thing", one.key),
            }
        }
        ask(one, least);
        ask(one, most);
    }
    house.close().await;
}

#[tokio::test]
async fn an_address_means_the_same_to_everybody() {
    let house = House::open().await;
    let maren = maren(&house).await;
    maren.set_cookie("kw_units", "us");
    // 3.785411784 L a US gallon (NIST SP 811): a bare number without a word on units is in the unit of its name.
    let page = maren.get("/reckoner/dose?litres=378.5411784").await;
    assert!(
        page.text.contains("name=\"litres\" value=\"100\"")
            && page.text.contains("type=\"hidden\" name=\"units\" value=\"us\"")
    );
    let page = maren.get("/reckoner/dose?units=us&litres=100").await;
    assert!(page.text.contains("name=\"litres\" value=\"100\""), "{}", page.text);
    maren.set_cookie("kw_units", "metric");
    let page = maren.get("/reckoner/dose?units=us&litres=100").await;
    assert!(page.text.contains("name=\"litres\" value=\"378.5411784\""), "{}", page.text);
    assert!(!page.text.contains("type=\"hidden\" name=\"units\" value=\"us\""));
    let page = maren.get("/reckoner/dose?litres=100%20gal").await;
    assert!(
        page.text.contains("litres=378.5411784&amp;") || page.text.contains("litres=378.5411784&#38;"),
        "{}",
        page.text
    );
    house.close().await;
}

/// A row of `tests/published`: its calculation, its inputs as ours with what turns them into our unit, and our figure.
type Row = (&'static str, &'static str, &'static [(&'static str, &'static str, f64)], &'static str, f64);

const ROWS: &[Row] = &[
    (
        "C02",
        "contact-needed",
        &[("temperature_c", "temp_C", 1.0), ("ph", "pH", 1.0), ("free_mg_l", "free_Cl2_mg_L", 1.0)],
        "giardia_ct",
        1.0,
    ),
    (
        "C10",
        "contact-needed",
        &[("temperature_c", "temp_C", 1.0), ("ph", "pH", 1.0), ("free_mg_l", "free_Cl2_mg_L", 1.0)],
        "giardia_between_ct",
        1.0,
    ),
    ("C16", "contact-needed", &[("temperature_c", "temp_C", 1.0), ("ph", "pH", 1.0)], "virus_ct", 1.0),
    ("C15", "contact-time", &[("litres", "volume_L", 1.0), ("flow_l_min", "flow_L_min", 1.0)], "contact_min", 1.0),
    ("B01", "household-chart", &[("litres", "water_L", 1.0), ("percent", "NaOCl_pct", 1.0)], "drops", 1.0),
    (
        "K01",
        "residual",
        &[("free_mg_l", "C0_mg_L", 1.0), ("rate_per_day", "k_per_day", 1.0), ("days", "days", 1.0)],
        "free_mg_l",
        1.0,
    ),
    (
        "K03",
        "decay-rate",
        &[("first_mg_l", "C1_mg_L", 1.0), ("second_mg_l", "C2_mg_L", 1.0), ("days", "days", 1.0)],
        "rate_per_day",
        1.0,
    ),
    ("L02", "boil", &[("elevation_m", "altitude_m", 1.0)], "boil_min", 1.0),
    ("U07", "uv-water", &[("transmittance", "UVT_pct", 1.0), ("path_mm", "path_cm", 10.0)], "factor", 1.0),
    ("Q13", "days-on-hand", &[("litres", "usable_L", 1.0), ("a_day_l", "", 1800.0)], "days", 1.0),
    (
        "ENG-010",
        "horizontal_cylinder",
        &[("diameter_m", "diameter_m", 1.0), ("length_m", "shell_length_m", 1.0), ("depth_m", "depth_m", 1.0)],
        "litres",
        1e-3,
    ),
    (
        "ENG-088",
        "pump-energy",
        &[("head_m", "head_m", 1.0), ("efficiency", "wire_to_water_fraction", 1.0), ("temperature_c", "", 20.0)],
        "energy_kwh_m3",
        1.0,
    ),
    (
        "ENG-091",
        "pressure-tank",
        &[
            ("tank_l", "tank_volume_m3", 1e3),
            ("precharge_kpa", "precharge_kPa_gauge", 1.0),
            ("cut_in_kpa", "cut_in_kPa_gauge", 1.0),
            ("cut_out_kpa", "cut_out_kPa_gauge", 1.0),
        ],
        "drawdown_l",
        1e-3,
    ),
    (
        "ENG-106",
        "outlet",
        &[
            ("bore_mm", "orifice_diameter_mm", 1.0),
            ("discharge", "discharge_coefficient", 1.0),
            ("head_m", "head_m", 1.0),
        ],
        "flow_l_min",
        1.0,
    ),
    (
        "ENG-109",
        "siphon",
        &[("speed_m_s", "velocity_m_s", 1.0), ("loss_m", "upleg_loss_m", 1.0), ("temperature_c", "", 20.0)],
        "crest_m",
        1.0,
    ),
    (
        "ENG-115",
        "derating",
        &[
            ("rated_w", "rated_kW", 1e3),
            ("elevation_m", "altitude_m", 1.0),
            ("air_c", "temperature_C", 1.0),
            ("from_c", "reference_temperature_C", 1.0),
        ],
        "left_w",
        1e-3,
    ),
    (
        "ENG-119",
        "battery",
        &[
            ("charge_ah", "capacity_Ah", 1.0),
            ("voltage_v", "nominal_V", 1.0),
            ("discharge", "depth_of_discharge_fraction", 1.0),
            ("inverter", "inverter_efficiency_fraction", 1.0),
        ],
        "energy_wh",
        1e-3,
    ),
    (
        "ENG-121",
        "solar",
        &[
            ("array_w", "array_kW_dc", 1e3),
            ("sun_h", "peak_sun_hours_h", 1.0),
            ("losses", "system_loss_fraction", 1.0),
            ("inverter", "inverter_efficiency_fraction", 1.0),
        ],
        "energy_wh",
        1e-3,
    ),
    (
        "ENG-137",
        "slosh",
        &[
            ("across_m", "diameter_m", 1.0),
            ("depth_m", "depth_m", 1.0),
            ("sd1", "sd1_g", 1.0),
            ("sds", "sds_g", 1.0),
            ("long_s", "long_period_transition_s", 1.0),
            ("importance", "importance_factor", 1.0),
        ],
        "wave_m",
        1.0,
    ),
    (
        "ENG-141",
        "lifting",
        &[
            ("reach_m", "horizontal_cm", 0.01),
            ("height_m", "vertical_cm", 0.01),
            ("travel_m", "travel_cm", 0.01),
            ("frequency", "frequency_multiplier", 1.0),
            ("coupling", "coupling_multiplier", 1.0),
        ],
        "limit_kg",
        1.0,
    ),
    (
        "ENG-142",
        "carrying",
        &[
            ("litres", "volume_L", 1.0),
            ("payload_kg", "payload_kg", 1.0),
            ("container_l", "container_L", 1.0),
            ("tare_kg", "container_tare_kg", 1.0),
        ],
        "trips",
        1.0,
    ),
];

#[tokio::test]
async fn figures_agree_with_published_rows() {
    let house = House::open().await;
    let mut rows = Map::new();
    for file in ["water_checks", "engineering_checks"] {
        let mut table = csv::Reader::from_path(format!("tests/published/{file}.csv")).unwrap();
        for row in table.deserialize::<std::collections::BTreeMap<String, String>>() {
            let row = row.unwrap();
            rows.insert(row["id"].clone(), serde_json::to_value(&row).unwrap());
        }
    }
    for (id, key, inputs, figure, factor) in ROWS {
        let row = &rows[*id];
        let text = |name: &str| row[name].as_str().unwrap_or_default();
        let theirs: Map<String, Value> = serde_json::from_str(text("inputs")).unwrap();
        let given = inputs.iter().map(|(ours, name, factor)| {
            // Without a name it stands for itself: the row has it in other terms.
            let value = if name.is_empty() { 1.0 } else { theirs[*name].as_f64().unwrap() };
            ((*ours).to_owned(), Value::from(value * factor))
        });
        let one = keepwell::service::reckoner::calculation(key).unwrap();
        let reckoned = house.running.app().reckoned(&Caller::House, one, given.collect()).unwrap();
        let found = reckoned.answer.figures.iter().find(|found| found.key == *figure).unwrap().value * factor;
        let expected: f64 = text("expected").parse().unwrap();
        let allowed = match text("tolerance").split_once(':') {
            Some(("abs", most)) => most.parse().unwrap(),
            Some((_, part)) => part.parse::<f64>().unwrap() * expected.abs(),
            None => text("tolerance_rel").parse().unwrap_or(1e-9) * expected.abs(),
        };
        assert!((found - expected).abs() <= allowed.max(1e-9), "{id} {key}: {found}, not {expected}");
    }
    house.close().await;
}
