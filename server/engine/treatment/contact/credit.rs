//! What a contact is credited with.

use super::GIARDIA_SOURCE;
use super::Germ;
use super::Method;
use super::VIRUS_SOURCE;
use super::VirusLog;
use super::asked::Checked;
use super::asked::Conditions;
use super::asked::conditioned;
use super::asked::ct_giardia;
use super::asked::ct_virus;
use crate::quantity::Ct;
use crate::quantity::MassConcentration;
use crate::quantity::TURBIDITY;
use crate::quantity::ThermodynamicTemperature;
use crate::quantity::Time;
use crate::quantity::Unit;
use crate::quantity::as_minutes;
use crate::treatment::TreatmentError;
use crate::treatment::measures::ASKED;
use crate::treatment::measures::CONTACT;
use crate::treatment::measures::CONTACT_TIME;
use crate::treatment::measures::LOG;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Trust;
use crate::working::Working;

/// Giardia's log inactivation: 3 · CT/CT₃. Above 3 it is shown as "3 or more".
///
/// - **Reference** 40 CFR 141.534.
///
/// # Errors
/// [`TreatmentError::OutOfRange`] for a CT below 0 or a table figure of 0.
///
/// ```
/// use keepwell_engine::quantity::Ct;
/// use keepwell_engine::treatment::giardia_log;
/// let log = giardia_log(Ct::mg_min_per_litre(60.0), Ct::mg_min_per_litre(112.0))?.value;
/// assert!((log - 1.607).abs() < 0.001);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn giardia_log(ct: Ct, ct_3log: Ct) -> Result<Reckoned<f64>, TreatmentError> {
    let log = 3.0 * ratio(ct, ct_3log)?;
    Ok(logged(Working::new("log inactivation of Giardia", "3·CT/CT₃"), ct, ct_3log)
        .step("Giardia; 3 and above stand for 3 or more", "3·CT/CT₃", Figure::exact(log, Unit::Log10))
        .beyond(log > 3.0, "above 3 the table says no more than \"3 or more\"")
        .source("40 CFR 141.534")
        .gives(log))
}

/// The part of what the table asks for that was delivered.
fn ratio(ct: Ct, asked: Ct) -> Result<f64, TreatmentError> {
    Ok(CONTACT.check(ct.as_mg_min_per_litre())? / ASKED.check(asked.as_mg_min_per_litre())?)
}

fn logged(working: Working, ct: Ct, asked: Ct) -> Working {
    working.input("contact", "CT", contact(ct), "reckoned").input(
        "contact asked for by the table",
        "CT_table",
        contact(asked),
        "table",
    )
}

const fn contact(ct: Ct) -> Figure {
    Figure::exact(ct.as_mg_min_per_litre(), Unit::MilligramMinutePerLitre)
}

/// Viruses' log inactivation: 4 · CT/CT₄. Above 4 it is shown as "4 or more".
///
/// - **Reference** US EPA 815-R-20-003 (2020); the ratio from memory.
///
/// # Errors
/// [`TreatmentError::OutOfRange`] for a CT below 0 or a table figure of 0.
pub fn virus_log(ct: Ct, ct_4log: Ct) -> Result<Reckoned<f64>, TreatmentError> {
    let log = 4.0 * ratio(ct, ct_4log)?;
    Ok(logged(Working::new("log inactivation of viruses", "4·CT/CT₄"), ct, ct_4log)
        .step("viruses; 4 and above stand for 4 or more", "4·CT/CT₄", Figure::exact(log, Unit::Log10))
        .beyond(log > 4.0, "above 4 the table says no more than \"4 or more\"")
        .source("US EPA 815-R-20-003 (2020); the ratio from memory")
        .gives(log))
}

/// Giardia's log inactivation by contacts in series, each with the contact that its own water asks for: 3 · Σ CT/CT₃.
///
/// - **Arguments** pairs of a contact and its CT₃ ([`ct_giardia`]): a pipe, then a tank.
/// - **Reference** 40 CFR 141.534: the ratios of the segments are added.
///
/// # Errors
/// [`TreatmentError::OutOfRange`] for a CT below 0 or a table figure of 0.
///
/// 56 of 112 and then 25 of 75 give 3·(0.5 + 1/3) = 2.5.
/// ```
/// use keepwell_engine::quantity::Ct;
/// let ct = Ct::mg_min_per_litre;
/// let log = keepwell_engine::treatment::in_series(&[(ct(56.0), ct(112.0)), (ct(25.0), ct(75.0))])?.value;
/// assert!((log - 2.5).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn in_series(contacts: &[(Ct, Ct)]) -> Result<Reckoned<f64>, TreatmentError> {
    let mut working = Working::new("log inactivation of Giardia by contacts in series", "3·Σ CT/CT₃");
    let mut sum = 0.0;
    for (ct, asked) in contacts {
        let ratio = ratio(*ct, *asked)?;
        sum += ratio;
        working =
            logged(working, *ct, *asked).step("part of what is asked for", "CT/CT₃", Figure::exact(ratio, Unit::Count));
    }
    let log = 3.0 * sum;
    Ok(working
        .step("Giardia; 3 and above stand for 3 or more", "3·Σ CT/CT₃", Figure::exact(log, Unit::Log10))
        .beyond(log > 3.0, "above 3 the table says no more than \"3 or more\"")
        .source("40 CFR 141.534")
        .gives(log))
}

/// The part of the germs that a log inactivation has made harmless: 1 − 10^(−log).
///
/// - **Arguments** `log` 0 to 20.
/// - **Reference** definition.
///
/// # Errors
/// [`TreatmentError::OutOfRange`] outside that.
///
/// ```
/// let part = keepwell_engine::treatment::inactivated(3.0)?.value;
/// assert!((part - 0.999).abs() < 1e-12);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn inactivated(log: f64) -> Result<Reckoned<f64>, TreatmentError> {
    let log = LOG.check(log)?;
    let part = -(-log * core::f64::consts::LN_10).exp_m1();
    Ok(Working::new("germs made harmless", "1 − 10^(−log)")
        .input("powers of ten taken away", "log", Figure::exact(log, Unit::Log10), "credit")
        .step("made harmless", "", Figure::exact(part, Unit::Fraction))
        .source("definition")
        .gives(part))
}

/// Credit for free chlorine of a germ that has no table: Cryptosporidium, none at any CT.
///
/// - **Reference** Shields et al. 2008, J Water Health 6:513: 3-log took 10,400 and 15,300 mg·min/L.
///
/// # Errors
/// [`TreatmentError::HasTable`] for one that has; [`TreatmentError::OutOfRange`] for a CT below 0.
pub fn chlorine_credit(germ: Germ, ct: Ct) -> Result<Reckoned<f64>, TreatmentError> {
    CONTACT.check(ct.as_mg_min_per_litre())?;
    if germ != Germ::Cryptosporidium {
        return Err(TreatmentError::HasTable { germ });
    }
    Ok(Working::new("what free chlorine is credited with, Cryptosporidium", "none at any CT")
        .input("contact", "CT", contact(ct), "reckoned")
        .step("credit", "", Figure::exact(0.0, Unit::Log10))
        .without("boil, or use ultraviolet light or a filter of 1 µm absolute: those do stop it")
        .source("Shields et al. 2008, J Water Health 6:513: 3-log took 10,400 and 15,300 mg·min/L")
        .gives(0.0))
}

/// A sample taken at the end of the contact.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// free chlorine read; nothing where only total was
    pub free: Option<MassConcentration>,
    /// the supply is chloraminated, and no one confirmed free chlorine
    pub chloramine: bool,
    /// of the water
    pub temperature: ThermodynamicTemperature,
    /// acidity
    pub ph: f64,
    /// cloudiness, NTU; nothing where none was measured
    pub turbidity: Option<f64>,
}

/// What a contact is credited with. Cryptosporidium is none, always.
#[derive(Clone, Debug, PartialEq)]
pub struct Credit {
    /// free chlorine at the end × time
    pub ct: Ct,
    /// at most 3, which stands for "3 or more"; nothing above pH 9
    pub giardia: Option<f64>,
    /// at most 4, which stands for "4 or more"
    pub virus: f64,
    /// none
    pub cryptosporidium: f64,
    /// how it was reckoned
    pub working: Working,
}

/// What free chlorine is credited with after a contact.
///
/// - **Formula** CT = C_end·T₁₀; Giardia 3·CT/CT₃ by the cautious lookup, viruses 4·CT/CT₄.
/// - **Arguments** `sample` at the end; `time` T₁₀: [`super::contact_time`] of a flowing tank, or the hold after mixing of a
///   filled and isolated one (common practice, no source).
/// - **Range** refused: chloramine, total chlorine, no reading, over 5 NTU, above pH 10. Above pH 9 there is none for
///   Giardia. Marked: cloudiness not measured or from 1 NTU, below 5 °C, above 25 °C.
/// - **Reference** [`ct_giardia`], [`ct_virus`]; 40 CFR 141.534; 5 NTU: 40 CFR 141.71 (from memory).
///
/// # Errors
/// [`TreatmentError`] names what stands in the way.
pub fn credit(sample: &Sample, time: Time) -> Result<Credit, TreatmentError> {
    let time = CONTACT_TIME.check(as_minutes(time))?;
    let ntu = sample.turbidity.map(|ntu| TURBIDITY.check(ntu)).transpose()?;
    if sample.chloramine {
        return Err(TreatmentError::NotFree);
    }
    let free = sample.free.ok_or(TreatmentError::NotFree)?;
    if let Some(ntu) = ntu.filter(|ntu| *ntu > 5.0) {
        return Err(TreatmentError::TooCloudy { ntu, most: 5.0 });
    }
    let conditions = Conditions { temperature: sample.temperature, ph: sample.ph, free };
    let Checked { temperature, ph, free } = conditions.check(Germ::Virus, 10.0)?;
    let ct = Ct::mg_min_per_litre(free * time);
    let ct_virus = ct_virus(sample.temperature, sample.ph, VirusLog::Four)?;
    let virus = (4.0 * ratio(ct, ct_virus.value)?).min(4.0);
    let mut working = conditioned(
        Working::new("what free chlorine is credited with", "CT = C·T₁₀; 3·CT/CT₃, 4·CT/CT₄"),
        temperature,
        ph,
        free,
    )
    .input("contact time", "T₁₀", Figure::exact(time, Unit::Minute), "entries")
    .step("contact", "CT", contact(ct))
    .step("asked for, viruses, 4-log", "CT₄", contact(ct_virus.value))
    .step("viruses; 4 stands for 4 or more", "4·CT/CT₄", Figure::exact(virus, Unit::Log10))
    .beyond(ntu.is_none(), "cloudiness: not measured; the tables are for clear water")
    .beyond(ntu.is_some_and(|ntu| ntu >= 1.0), "from 1 to 5 NTU: the tables are for clear water")
    .without("Cryptosporidium: chlorine earns no credit at any CT (Shields et al. 2008)")
    .source(GIARDIA_SOURCE)
    .source(VIRUS_SOURCE)
    .source("40 CFR 141.534");
    let giardia = match ct_giardia(&conditions, Method::Lookup) {
        Ok(asked) => {
            if asked.working.trust == Trust::Extrapolated {
                working.trust = Trust::Extrapolated;
            }
            let log = (3.0 * ratio(ct, asked.value)?).min(3.0);
            working = working.step("asked for, Giardia, 3-log", "CT₃", contact(asked.value)).step(
                "Giardia; 3 stands for 3 or more",
                "3·CT/CT₃",
                Figure::exact(log, Unit::Log10),
            );
            Some(log)
        }
        Err(TreatmentError::PhAboveTable { .. }) => {
            working = working.without("Giardia: nothing is published above pH 9, so no credit");
            None
        }
        Err(other) => return Err(other),
    };
    Ok(Credit { ct, giardia, virus, cryptosporidium: 0.0, working })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::celsius;
    use crate::quantity::mg_per_litre;
    use crate::quantity::minutes;

    #[test]
    fn no_credit_where_there_is_none() {
        let sample = Sample {
            free: Some(mg_per_litre(1.0)),
            chloramine: false,
            temperature: celsius(10.0),
            ph: 7.0,
            turbidity: Some(0.5),
        };
        let day = minutes(1440.0);
        let given = credit(&sample, day).unwrap();
        assert_eq!((given.giardia, given.cryptosporidium), (Some(3.0), 0.0));
        assert!((given.virus - 4.0).abs() < 1e-12);
        assert_eq!(credit(&Sample { chloramine: true, ..sample }, day), Err(TreatmentError::NotFree));
        assert_eq!(credit(&Sample { free: None, ..sample }, day), Err(TreatmentError::NotFree));
        assert_eq!(credit(&Sample { free: Some(mg_per_litre(0.0)), ..sample }, day), Err(TreatmentError::NoReading));
        assert!(matches!(
            credit(&Sample { turbidity: Some(5.1), ..sample }, day),
            Err(TreatmentError::TooCloudy { .. })
        ));
        assert!(matches!(credit(&Sample { ph: 10.1, ..sample }, day), Err(TreatmentError::PhAboveTable { .. })));
        assert_eq!(credit(&Sample { ph: 9.5, ..sample }, day).unwrap().giardia, None);
        for marked in [
            Sample { turbidity: None, ..sample },
            Sample { turbidity: Some(3.0), ..sample },
            Sample { temperature: celsius(28.0), ..sample },
            Sample { temperature: celsius(3.0), ..sample },
        ] {
            assert_eq!(credit(&marked, day).unwrap().working.trust, Trust::Extrapolated);
        }
        assert_eq!(given.working.trust, Trust::InRange);
        let none = chlorine_credit(Germ::Cryptosporidium, Ct::mg_min_per_litre(20_000.0)).unwrap().value;
        assert!(none.abs() < 1e-12);
        assert!(chlorine_credit(Germ::Giardia, Ct::mg_min_per_litre(1.0)).is_err());
    }
}
