//! Every row of `tests/published/water_checks.csv`, through the same reader as `examples/rows`. Each row names its own
//! source; a row that does not pass is named with what was given and what was wanted.

#[path = "../examples/rows/row.rs"]
mod row;
#[path = "../examples/rows/water/mod.rs"]
mod water;

use row::Row;

#[derive(serde::Deserialize)]
struct Published {
    id: String,
    quantity: String,
    inputs: String,
    expected: String,
    unit: String,
    tolerance: String,
    source: String,
}

/// Whether an answer meets a row: a refusal where one is expected, a day to the letter, a number within the tolerance. A
/// tolerance that cannot be read is met by nothing.
fn meets(given: &row::Answer, row: &Published) -> bool {
    let Ok(given) = given else { return row.expected == "refused" };
    let (Ok(given), Ok(expected)) = (given.parse::<f64>(), row.expected.parse::<f64>()) else {
        return *given == row.expected;
    };
    let allowed = match row.tolerance.split_once(':') {
        None if row.tolerance == "exact" => 1e-9,
        Some(("abs", by)) => by.parse().unwrap_or(f64::NAN),
        Some(("rel", by)) => by.parse().unwrap_or(f64::NAN) * expected.abs(),
        _ => f64::NAN,
    };
    (given - expected).abs() <= allowed
}

#[test]
fn every_published_row_is_met() {
    let mut table = csv::Reader::from_reader(include_str!("../../../tests/published/water_checks.csv").as_bytes());
    let rows: Vec<Published> = table.deserialize().collect::<Result<_, _>>().unwrap();
    assert_eq!(rows.len(), 68);
    let mut wrong = Vec::new();
    for row in &rows {
        let given = Row::new(&row.quantity, &row.inputs, &row.unit)
            .and_then(|asked| water::answer(&asked).unwrap_or_else(|| Err("unknown quantity".to_owned())));
        let refused_by_name = given.as_ref().err().is_none_or(|why| why != "unknown quantity");
        if !(meets(&given, row) && refused_by_name) {
            wrong.push(format!("{}: gave {given:?}, wanted {} {} ({})", row.id, row.expected, row.unit, row.source));
        }
    }
    assert!(wrong.is_empty(), "{} of {} rows:\n{}", wrong.len(), rows.len(), wrong.join("\n"));
}

/// Three quantities of the set have no row of their own.
#[test]
fn the_quantities_without_a_row_answer_too() {
    let ask = |quantity: &str, inputs: &str| {
        let row = Row::new(quantity, inputs, "").unwrap();
        water::answer(&row).unwrap()
    };
    // by hand: 1000/10 · 0.1 = 10 min; 1.0 mg/L · 10 min = 10; 3 · 10/112 = 0.26786
    let flowing =
        r#"{"volume_L": 1000, "flow_L_min": 10, "baffling_factor": 0.1, "free_Cl2_mg_L": 1.0, "CT_3log": 112}"#;
    assert!((ask("giardia_log_flowing", flowing).unwrap().parse::<f64>().unwrap() - 0.267_857).abs() < 1e-6);
    // second order: half is left after one half-life
    let half = r#"{"half_life_days": 180, "fraction": 0.5}"#;
    assert!((ask("bleach_days_to_fraction", half).unwrap().parse::<f64>().unwrap() - 180.0).abs() < 1e-9);
    // Shields et al. 2008: no credit at any CT
    assert_eq!(ask("chlorine_credit", r#"{"target": "cryptosporidium", "CT_mg_min_L": 20000}"#), Ok("0".to_owned()));
    assert!(ask("chlorine_credit", r#"{"target": "giardia", "CT_mg_min_L": 100}"#).is_err());
}

/// Odd inputs are refused by name, never answered and never a panic.
#[test]
fn what_makes_no_sense_is_refused_by_name() {
    for (quantity, inputs, names) in [
        ("ct_giardia_3log", r#"{"temp_C": 10, "pH": 7, "free_Cl2_mg_L": 0, "method": "lookup"}"#, "free chlorine"),
        ("ct_giardia_3log", r#"{"temp_C": 10, "pH": 7, "method": "lookup"}"#, "free chlorine"),
        ("ct_giardia_3log", r#"{"temp_C": 10, "pH": 7, "free_Cl2_mg_L": 1, "method": "nearest"}"#, "method"),
        ("ct_giardia_3log", r#"{"temp_C": 10, "pH": 9.0001, "free_Cl2_mg_L": 1, "method": "regression"}"#, "pH"),
        ("ct_virus", r#"{"temp_C": 10, "pH": 10.1, "log": 4}"#, "pH"),
        ("ct_virus", r#"{"temp_C": 10, "pH": 7, "log": 5}"#, "log"),
        ("bleach_drops", r#"{"water_L": 4, "NaOCl_pct": 3, "cloudy_or_cold": false}"#, "5 to 9 %"),
        ("bleach_drops", r#"{"water_L": 4, "NaOCl_pct": "6", "cloudy_or_cold": false}"#, "NaOCl_pct"),
        (
            "stock_available_chlorine",
            r#"{"percent": 12.5, "percent_kind": "strong", "density_g_mL": 1.1}"#,
            "percent_kind",
        ),
        ("stock_available_chlorine", r#"{"percent": 12.5, "percent_kind": "NaOCl_wt"}"#, "density_g_mL"),
        ("rate_from_readings", r#"{"C1_mg_L": 0.5, "C2_mg_L": 0.6, "days": 3}"#, "do not fall"),
        ("days_to_floor", r#"{"C0_mg_L": 1, "k_per_day": 0, "floor_mg_L": 0.2}"#, "never"),
        ("days_on_hand", r#"{"usable_L": 100, "lines": [], "loss_fraction": 0}"#, "nothing is needed"),
        ("mixed_residual", r#"{"parts": []}"#, "volume"),
        ("liquid_chlorine_volume", r#"{"water_L": 10, "dose_mg_L": 1, "stock_Cl2_g_L": 0}"#, "available chlorine"),
        ("fill_time", r#"{"volume_L": 20, "flow_L_min": 0}"#, "flow"),
        ("rotation_due", r#"{"filled": "2026-02-30", "interval_months": 6}"#, "filled"),
        ("uv_credit", r#"{"target": "bacteria", "dose_mJ_cm2": 40}"#, "target"),
        ("uv_dose_for_credit", r#"{"target": "virus", "log": 4.5}"#, "log"),
        ("demand_per_person", r#"{"level": "plenty"}"#, "level"),
    ] {
        let refused = water::answer(&Row::new(quantity, inputs, "").unwrap()).unwrap().unwrap_err();
        assert!(refused.contains(names), "{quantity}: {refused}");
    }
}
