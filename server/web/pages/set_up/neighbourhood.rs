//! The form of the neighbourhood's own settings.

use keepwell_engine::demand::Ladder;
use keepwell_engine::demand::Rung;
use keepwell_engine::quantity::INTERVAL;
use keepwell_engine::quantity::PRICE;
use keepwell_engine::quantity::SHAKING;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_litres;

use crate::model::neighbourhood::Neighbourhood;
use crate::model::prices::Prices;
use crate::model::setup::Thing;
use crate::model::upkeep::Intervals;
use crate::web::asking::Asking;
use crate::web::asking::ask;
use crate::web::form;
use crate::web::pages::begin::zones;
use crate::web::pages::set_up::form::Answer;
use crate::web::pages::set_up::form::Task;
use crate::web::reader::Language;
use crate::web::reader::Reader;

pub(super) fn questions(task: &Task, asking: &mut Asking) -> Option<Answer> {
    let Some((Thing::Neighbourhood(old), _)) = &task.standing else { return None };
    asking.group("", "The neighbourhood");
    let name = asking.name(ask("name", "Name"), Some(&old.name));
    let zone = ask("zone", "Time zone").hint("Of its clocks: days and hours are shown in it.");
    let zone = asking.pick(zone, zones(&old.zone), Some(old.zone.clone()));
    let units = ask("units", "Units").hint("Until a reader chooses their own.");
    let units = asking.choice(units, Some(old.units));
    let languages = Language::ALL.map(|language| form::Choice {
        value: language.code().to_owned(),
        label: own_name(language).to_owned(),
        hint: String::new(),
    });
    let language = asking.pick(ask("language", "Language"), languages.to_vec(), Some(old.language.clone()));

    asking.group("", "What it is to last for");
    let ration = ask("ration", "Ration").hint("What days are reckoned at, unless a page asks another.");
    let ration = asking.pick(ration, rations(asking.reader), Some(old.ration.clone()));
    let target = ask("target_days", "Days the neighbourhood wants to last");
    let target_days = asking.figure(target, &INTERVAL, Some(old.target_days));
    let upkeep = intervals(asking, &old.upkeep);
    asking.group("", "How hard the ground may shake");
    asking.words("In g, from the seismic map or the building authority of the place. It screens how the tanks stand.");
    let sds = ask("sds_g", "Short-period acceleration, SDS").optional();
    let sds_g = asking.figure(sds, &SHAKING, old.sds_g);
    let sd1_g = asking.beside().figure(ask("sd1_g", "At one second, SD1").optional(), &SHAKING, old.sd1_g);
    let prices = prices(asking, &old.prices);
    Some(Answer::of(Thing::Neighbourhood(Neighbourhood {
        name: name?,
        zone: zone?,
        units: units?,
        language: language?,
        ration: ration?,
        target_days: target_days?,
        upkeep: upkeep?,
        sds_g,
        sd1_g,
        prices,
    })))
}

/// How often what is done again and again is due. Rotation and tests are each vessel's own policy.
fn intervals(asking: &mut Asking, old: &Intervals) -> Option<Intervals> {
    asking.group("upkeep", "Days between one time and the next");
    asking.words(
        "How often a vessel's water is renewed and tested stands with the vessel, how long fuel keeps with the fuel.",
    );
    let mut days = |key, label, hint, standing| asking.figure(ask(key, label).hint(hint), &INTERVAL, Some(standing));
    const USUAL: &str = "Common practice, no source.";
    let dip = days("dip_days", "Days between readings", USUAL, old.dip_days);
    let monthly = "Monthly, 30 minutes under load: NFPA 110, section 8.4.";
    let generator = days("generator_days", "Days between generator runs", monthly, old.generator_days);
    let pump = days("pump_days", "Days between pump runs", USUAL, old.pump_days);
    let couplings = days("couplings_days", "Days between looks at couplings", USUAL, old.couplings_days);
    let round = days("round_days", "Days between rounds", USUAL, old.round_days);
    Some(Intervals {
        dip_days: dip?,
        generator_days: generator?,
        pump_days: pump?,
        couplings_days: couplings?,
        round_days: round?,
    })
}

/// What things cost, where that is to be weighed.
fn prices(asking: &mut Asking, old: &Prices) -> Prices {
    asking.group("", "What things cost");
    asking.words(
        "In your own money. What would help most then also says what it costs. What is left empty is not reckoned.",
    );
    let mut price = |key, label, standing| asking.figure(ask(key, label).quiet(), &PRICE, standing);
    Prices {
        petrol_l: price("petrol_l", "A litre of petrol", old.petrol_l),
        diesel_l: price("diesel_l", "A litre of diesel", old.diesel_l),
        propane_l: price("propane_l", "A litre of liquid propane", old.propane_l),
        can: price("can", "A can of 20 L to keep water in", old.can),
        stage: price("stage", "A cartridge or a lamp", old.stage),
    }
}

/// A language is offered in its own words.
const fn own_name(language: Language) -> &'static str {
    match language {
        Language::English => "English",
    }
}

/// The rungs of the ladder, least first: "Basic, 15 L a person a day".
fn rations(reader: &Reader) -> Vec<form::Choice> {
    let ladder = Ladder::default();
    let choice = |rung: &Rung| form::Choice {
        value: rung.key().to_owned(),
        label: rung_words(rung, reader),
        hint: String::new(),
    };
    ladder.rungs().iter().map(choice).collect()
}

/// A rung in words, with its litres.
pub(super) fn rung_words(rung: &Rung, reader: &Reader) -> String {
    let litres = reader.figure(as_litres(rung.uses().total()), Unit::Litre);
    let litres = litres.map_or_else(|_| String::new(), |shown| shown.to_string());
    let phrase = reader.language.catalogue().phrase("{name}, {litres} a person a day");
    phrase.with("name", reader.language.catalogue().phrase(rung.name())).with("litres", litres).to_string()
}
