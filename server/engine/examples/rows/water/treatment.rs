//! Rows about treatment: dosing, products, decay, contact, light, boiling.

use keepwell_engine::quantity::Ct;
use keepwell_engine::quantity::MassConcentration;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_grams;
use keepwell_engine::quantity::as_grams_per_litre;
use keepwell_engine::quantity::as_mg_per_litre;
use keepwell_engine::quantity::as_millilitres;
use keepwell_engine::quantity::as_minutes;
use keepwell_engine::quantity::as_mj_per_cm2;
use keepwell_engine::quantity::as_per_day;
use keepwell_engine::quantity::celsius;
use keepwell_engine::quantity::days;
use keepwell_engine::quantity::grams;
use keepwell_engine::quantity::grams_per_litre;
use keepwell_engine::quantity::kg_per_cubic_metre;
use keepwell_engine::quantity::litres;
use keepwell_engine::quantity::litres_per_minute;
use keepwell_engine::quantity::metres;
use keepwell_engine::quantity::mg_per_litre;
use keepwell_engine::quantity::millilitres;
use keepwell_engine::quantity::minutes;
use keepwell_engine::quantity::mj_per_cm2;
use keepwell_engine::quantity::per_day;
use keepwell_engine::treatment as t;
use keepwell_engine::treatment::Germ;

use super::demand::Pairs;
use crate::row::Answer;
use crate::row::Row;
use crate::row::wanted;

/// The answer to a row about treatment; `None` for a quantity that is not one.
pub fn answer(row: &Row) -> Option<Answer> {
    dosing(row).or_else(|| product(row)).or_else(|| decay(row)).or_else(|| contact(row)).or_else(|| light(row))
}

fn dosing(row: &Row) -> Option<Answer> {
    Some(match row.quantity {
        "bleach_drops" => bleach_drops(row),
        "dose_from_drops" => dose_from_drops(row),
        "bleach_stand_time" => stand_time(row),
        "liquid_chlorine_volume" => liquid(row, None),
        "liquid_chlorine_volume_aged" => row.number("fraction_remaining").and_then(|left| liquid(row, Some(left))),
        "solid_chlorine_mass" => solid(row),
        "concentration_from_solid" => from_solid(row),
        "concentration_from_bleach" => from_bleach(row),
        "boil_time" => boil_time(row),
        _ => return None,
    })
}

fn bleach_drops(row: &Row) -> Answer {
    let murk = if row.flag("cloudy_or_cold")? { t::Murk::CloudyOrCold } else { t::Murk::Clear };
    let drops = t::chart_drops(water(row)?, row.number("NaOCl_pct")?, murk).map_err(text)?;
    row.print(drops.value, "drops")
}

fn dose_from_drops(row: &Row) -> Answer {
    let liquid = millilitres(row.positive("drops")? * row.positive("mL_per_drop")?);
    let strength = grams_per_litre(row.number("available_Cl2_g_L")?);
    print_mg(row, t::concentration_of_liquid(liquid, strength, water(row)?).map_err(text)?.value)
}

fn stand_time(row: &Row) -> Answer {
    let time = t::stand_time(celsius(row.number("temp_C")?)).map_err(text)?.value;
    row.print(tidy(as_minutes(time)), "min")
}

fn liquid(row: &Row, left: Option<f64>) -> Answer {
    let strength = match left {
        None => row.number("stock_Cl2_g_L")?,
        Some(left) if left > 0.0 && left <= 1.0 => row.number("label_g_L")? * left,
        Some(left) => return Err(format!("fraction_remaining is {left}; wanted is above 0 to 1")),
    };
    let volume = t::liquid_for(water(row)?, dose(row)?, grams_per_litre(strength)).map_err(text)?.value;
    row.print(tidy(as_millilitres(volume)), "mL")
}

fn solid(row: &Row) -> Answer {
    let mass = t::solid_for(water(row)?, dose(row)?, row.number("available_Cl2_fraction")?).map_err(text)?.value;
    row.print(tidy(as_grams(mass)), "g")
}

fn from_solid(row: &Row) -> Answer {
    let solid = grams(row.number("granules_g")?);
    print_mg(
        row,
        t::concentration_of_solid(solid, row.number("available_Cl2_fraction")?, water(row)?).map_err(text)?.value,
    )
}

/// The usual kitchen rule, per cent × 10 is g/L, which is good to about 5 % for household bleach.
fn from_bleach(row: &Row) -> Answer {
    let strength = t::label_strength(row.number("NaOCl_pct")?, t::PercentKind::Trade, None).map_err(text)?;
    let liquid = millilitres(row.number("bleach_mL")?);
    print_mg(row, t::concentration_of_liquid(liquid, strength.value, water(row)?).map_err(text)?.value)
}

fn boil_time(row: &Row) -> Answer {
    let altitude = if row.has("altitude_m") { Some(metres(row.number("altitude_m")?)) } else { None };
    row.print(tidy(as_minutes(t::boil_time(altitude).map_err(text)?.value)), "min")
}

fn product(row: &Row) -> Option<Answer> {
    Some(match row.quantity {
        "available_chlorine_pct" => {
            let percent = row.number("NaOCl_wt_pct").and_then(|percent| t::available_by_weight(percent).map_err(text));
            percent.and_then(|percent| row.print(percent.value, "% w/w as Cl2"))
        }
        "stock_available_chlorine" => stock(row),
        "bleach_rate_multiplier" => multiplier(row),
        "bleach_fraction_remaining" => fraction_remaining(row),
        "bleach_days_to_fraction" => days_to_fraction(row),
        _ => return None,
    })
}

fn stock(row: &Row) -> Answer {
    let key = row.text("percent_kind")?;
    let known = t::PercentKind::ALL.map(t::PercentKind::key).join("; ");
    let kind =
        t::PercentKind::from_key(key).ok_or_else(|| format!("percent_kind is \"{key}\"; wanted is one of {known}"))?;
    let weighed = matches!(kind, t::PercentKind::ChlorineByWeight | t::PercentKind::HypochloriteByWeight);
    let density = if weighed { Some(kg_per_cubic_metre(1000.0 * row.number("density_g_mL")?)) } else { None };
    let strength = t::label_strength(row.number("percent")?, kind, density).map_err(text)?;
    row.print(tidy(as_grams_per_litre(strength.value)), "g/L")
}

fn multiplier(row: &Row) -> Answer {
    let (from, to) = (celsius(row.number("T1_C")?), celsius(row.number("T2_C")?));
    row.print(t::loss_factor(from, to, row.number("factor_per_10C")?).map_err(text)?.value, "ratio")
}

/// Where no temperatures are given, the half-life is that of the place where it stands.
fn ageing(row: &Row) -> Result<t::Ageing, String> {
    let at = row.number_or("half_life_temp_C", 20.0)?;
    Ok(t::Ageing {
        half_life: days(row.number("half_life_days")?),
        at: celsius(at),
        stands_at: celsius(row.number_or("temp_C", at)?),
        for_ten: row.number_or("factor_per_10C", 3.5)?,
    })
}

fn fraction_remaining(row: &Row) -> Answer {
    let left = ageing(row)?.left_after(days(row.number("age_days")?)).map_err(text)?;
    row.print(left.value, "fraction")
}

fn days_to_fraction(row: &Row) -> Answer {
    let age = ageing(row)?.age_when(row.number("fraction")?).map_err(text)?;
    row.print(tidy(as_days(age.value)), "days")
}

fn decay(row: &Row) -> Option<Answer> {
    Some(match row.quantity {
        "residual_after" => residual_after(row),
        "days_to_floor" => days_to_floor(row),
        "rate_from_readings" => rate_from_readings(row),
        "rate_at_temperature" => rate_at_temperature(row),
        "mixed_residual" => mixed_residual(row),
        "ct_under_decay" => ct_under_decay(row),
        _ => return None,
    })
}

fn residual_after(row: &Row) -> Answer {
    let (rate, time) = (per_day(row.number("k_per_day")?), days(row.number("days")?));
    print_mg(row, t::residual_after(mg(row, "C0_mg_L")?, rate, time).map_err(text)?.value)
}

fn days_to_floor(row: &Row) -> Answer {
    let mut rate = per_day(row.number("k_per_day")?);
    if row.has("temp_C") && row.has("k_temp_C") {
        let (from, to) = (celsius(row.number("k_temp_C")?), celsius(row.number("temp_C")?));
        let effect = row.number_or("E_over_R_K", t::usual_temperature_effect())?;
        rate = t::rate_at(rate, from, to, effect).map_err(text)?.value;
    }
    match t::to_floor(mg(row, "C0_mg_L")?, mg(row, "floor_mg_L")?, rate).map_err(text)?.value {
        t::Falls::Already => row.print(0.0, "days"),
        t::Falls::In(time) => row.print(tidy(as_days(time)), "days"),
        t::Falls::Never => Err("the residual never reaches the floor; there is no number of days".to_owned()),
    }
}

fn rate_from_readings(row: &Row) -> Answer {
    let rate =
        t::rate_between(mg(row, "C1_mg_L")?, mg(row, "C2_mg_L")?, days(row.number("days")?)).map_err(text)?.value;
    row.print(as_per_day(rate), "1/day")
}

fn rate_at_temperature(row: &Row) -> Answer {
    let (from, to) = (celsius(row.number("T1_C")?), celsius(row.number("T2_C")?));
    let rate = t::rate_at(per_day(row.number("k_per_day")?), from, to, row.number("E_over_R_K")?).map_err(text)?;
    row.print(as_per_day(rate.value), "1/day")
}

fn mixed_residual(row: &Row) -> Answer {
    let parts: Vec<_> =
        row.pairs("parts")?.into_iter().map(|(volume, free)| (litres(volume), mg_per_litre(free))).collect();
    print_mg(row, t::mixed(&parts).map_err(text)?.value)
}

fn ct_under_decay(row: &Row) -> Answer {
    let (rate, time) = (per_day(row.number("k_per_day")?), minutes(row.number("minutes")?));
    print_ct(row, t::ct_under_decay(mg(row, "C0_mg_L")?, rate, time).map_err(text)?.value)
}

fn contact(row: &Row) -> Option<Answer> {
    Some(match row.quantity {
        "ct_giardia_3log" => ct_giardia(row),
        "ct_virus" => ct_virus(row),
        "giardia_log" => giardia_log(row),
        "giardia_log_flowing" => giardia_log_flowing(row),
        "chlorine_credit" => chlorine_credit(row),
        "effective_contact_time" => effective(row).and_then(|time| row.print(tidy(as_minutes(time)), "min")),
        "hocl_fraction" => {
            let part = row
                .number("pH")
                .and_then(|ph| t::hypochlorous_fraction(ph, celsius(row.number("temp_C")?)).map_err(text));
            part.and_then(|part| row.print(part.value, "fraction"))
        }
        _ => return None,
    })
}

fn ct_giardia(row: &Row) -> Answer {
    let key = row.text("method")?;
    let known = t::Method::ALL.map(t::Method::key).join("; ");
    let method = t::Method::from_key(key).ok_or_else(|| format!("method is \"{key}\"; wanted is one of {known}"))?;
    if !row.has("free_Cl2_mg_L") {
        return Err(t::TreatmentError::NotFree.to_string());
    }
    clear_and_free(row)?;
    let water = t::Conditions {
        temperature: celsius(row.number("temp_C")?),
        ph: row.number("pH")?,
        free: mg(row, "free_Cl2_mg_L")?,
    };
    print_ct(row, t::ct_giardia(&water, method).map_err(text)?.value)
}

/// The tables are for clear water and free chlorine; a row may say that it is neither.
fn clear_and_free(row: &Row) -> Result<(), String> {
    if row.has("chloramine") && row.flag("chloramine")? {
        return Err(t::TreatmentError::NotFree.to_string());
    }
    if row.has("free_Cl2_mg_L") && row.positive("free_Cl2_mg_L")? <= 0.0 {
        return Err(t::TreatmentError::NoReading.to_string());
    }
    if row.has("turbidity_NTU") {
        let ntu = row.number("turbidity_NTU")?;
        if !(0.0..=5.0).contains(&ntu) {
            return Err(t::TreatmentError::TooCloudy { ntu, most: 5.0 }.to_string());
        }
    }
    Ok(())
}

fn ct_virus(row: &Row) -> Answer {
    clear_and_free(row)?;
    let log = t::VirusLog::new(row.number("log")?).map_err(text)?;
    print_ct(row, t::ct_virus(celsius(row.number("temp_C")?), row.number("pH")?, log).map_err(text)?.value)
}

fn giardia_log(row: &Row) -> Answer {
    row.print(t::giardia_log(ct(row, "CT_mg_min_L")?, ct(row, "CT_3log")?).map_err(text)?.value, "log10")
}

fn effective(row: &Row) -> Result<keepwell_engine::quantity::Time, String> {
    let flow = litres_per_minute(row.number("flow_L_min")?);
    t::contact_time(litres(row.number("volume_L")?), flow, row.number("baffling_factor")?)
        .map(|time| time.value)
        .map_err(text)
}

fn giardia_log_flowing(row: &Row) -> Answer {
    let free = row.positive("free_Cl2_mg_L")?;
    if free <= 0.0 {
        return Err(t::TreatmentError::NoReading.to_string());
    }
    let delivered = Ct::mg_min_per_litre(free * as_minutes(effective(row)?));
    row.print(t::giardia_log(delivered, ct(row, "CT_3log")?).map_err(text)?.value, "log10")
}

fn chlorine_credit(row: &Row) -> Answer {
    let credit = t::chlorine_credit(germ(row)?, ct(row, "CT_mg_min_L")?).map_err(text)?.value;
    row.print(credit, "log10")
}

fn light(row: &Row) -> Option<Answer> {
    Some(match row.quantity {
        "uv_dose_for_credit" => uv_dose(row),
        "uv_credit" => uv_credit(row),
        "uv_class_dose" => class(row).and_then(|class| {
            let dose = class.dose().ok_or("class has no validated dose; wanted is A or B")?;
            row.print(tidy(as_mj_per_cm2(dose)), "mJ/cm2")
        }),
        "uv_class_credit" => {
            let credit = class(row).and_then(|class| class.credit(germ(row)?).map_err(text));
            credit.and_then(|credit| row.print(credit.value, "log10"))
        }
        "uv_water_factor" => water_factor(row),
        _ => return None,
    })
}

fn uv_dose(row: &Row) -> Answer {
    let dose = t::uv_dose_for(germ(row)?, row.number("log")?).map_err(text)?.value;
    row.print(tidy(as_mj_per_cm2(dose)), "mJ/cm2")
}

fn uv_credit(row: &Row) -> Answer {
    let credit = t::uv_credit(germ(row)?, mj_per_cm2(row.number("dose_mJ_cm2")?)).map_err(text)?.value;
    row.print(credit, "log10")
}

fn water_factor(row: &Row) -> Answer {
    let path = metres(row.number("path_cm")? / 100.0);
    row.print(t::water_factor(row.number("UVT_pct")?, path).map_err(text)?.value, "fraction")
}

/// A unit without a class counts as untested.
fn class(row: &Row) -> Result<t::UvClass, String> {
    if !row.has("class") {
        return Ok(t::UvClass::Untested);
    }
    match row.text("class")?.trim() {
        "A" | "a" => Ok(t::UvClass::A),
        "B" | "b" => Ok(t::UvClass::B),
        "" | "none" | "None" | "untested" | "unclassified" => Ok(t::UvClass::Untested),
        other => Err(format!("class is \"{other}\"; wanted is A, B or none")),
    }
}

fn germ(row: &Row) -> Result<Germ, String> {
    let key = row.text("target")?;
    Germ::from_key(key).ok_or_else(|| format!("target is \"{key}\"; wanted is giardia, virus or cryptosporidium"))
}

fn water(row: &Row) -> Result<Volume, String> {
    row.number("water_L").map(litres)
}

fn dose(row: &Row) -> Result<MassConcentration, String> {
    mg(row, "dose_mg_L")
}

fn mg(row: &Row, key: &str) -> Result<MassConcentration, String> {
    row.number(key).map(mg_per_litre)
}

fn ct(row: &Row, key: &str) -> Result<Ct, String> {
    row.number(key).map(Ct::mg_min_per_litre)
}

fn print_mg(row: &Row, concentration: MassConcentration) -> Answer {
    row.print(tidy(as_mg_per_litre(concentration)), "mg/L")
}

fn print_ct(row: &Row, ct: Ct) -> Answer {
    row.print(ct.as_mg_min_per_litre(), "mg.min/L")
}

/// Units pass through SI, which costs some figures their last digit.
fn tidy(value: f64) -> f64 {
    let rounded = (value * 1e9).round() / 1e9;
    if (rounded - value).abs() <= 1e-12 * value.abs() { rounded } else { value }
}

fn text(error: impl core::fmt::Display) -> String {
    error.to_string()
}

/// What these rows ask of their inputs.
trait Inputs {
    /// A number that is not negative.
    fn positive(&self, key: &str) -> Result<f64, String>;
    /// True or false.
    fn flag(&self, key: &str) -> Result<bool, String>;
}

impl Inputs for Row<'_> {
    fn positive(&self, key: &str) -> Result<f64, String> {
        let number = self.number(key)?;
        if number >= 0.0 { Ok(number) } else { Err(format!("{key} is {number}; wanted is 0 or more")) }
    }

    fn flag(&self, key: &str) -> Result<bool, String> {
        let value = self.value(key)?;
        value.as_bool().ok_or_else(|| wanted(key, value, "true or false"))
    }
}
