//! The figures between a site's vessels and its taps, and of how its tanks stand.

use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_kilopascals;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::as_litres_per_minute;
use keepwell_engine::working::Working;

use crate::model::id::VesselId;
use crate::model::message::Message;
use crate::picture::structure::Edition;
use crate::picture::structure::stands;
use crate::picture::today::SiteToday;
use crate::picture::works::PumpNow;
use crate::service::reckon::SiteAnswer;
use crate::service::reckoner::Warning;
use crate::web::error::Error;
use crate::web::pages::working::Page;
use crate::web::pages::working::Panel;
use crate::web::pages::working::blank;
use crate::web::shown;
use crate::web::visitor::Visitor;

pub(super) fn of_tap(visitor: &Visitor, answer: &SiteAnswer, site: &SiteToday) -> Result<Page, Error> {
    let (reader, today) = (&visitor.reader, &*answer.today);
    let none = || Error::NotFound(Message::new("What arrives at the tap cannot be reckoned here yet."));
    let known = site.standing.pump.as_ref().and_then(PumpNow::known).ok_or_else(none)?;
    let figure = reader.figure(as_litres_per_minute(known.tap.flow), Unit::LitrePerMinute).map_err(Error::internal)?;
    let named = |working: &Working| Panel::of_works(reader, working);
    let mut panels = vec![named(&known.tap.working)];
    panels.extend(known.margin.as_ref().map(|margin| named(&margin.working)));
    if let Some(switch) = &known.switch {
        panels.push(named(&switch.drawdown.working));
        panels.extend(switch.starts.as_ref().map(|starts| named(&starts.working)));
    }
    Ok(Page {
        title: shown::words(reader, "At the tap"),
        figure: figure.number,
        unit: figure.unit.to_owned(),
        words: vec![
            shown::words(
                reader,
                "The pump's curve against all that it has to overcome, with one tap open: the lift, the pipes, their \
                 fittings, the treatment when clean, and the tap. The tank with the lowest suction counts.",
            ),
            shown::words(
                reader,
                "Water at 20 °C, the air of the site's height, each fitting as an elbow, a sharp way out of the tank and \
                 a check valve: assumed.",
            ),
        ],
        panels,
        warning: Some(Warning::BACKFLOW),
        ..blank(visitor, reader, today)
    })
}

pub(super) fn of_train(visitor: &Visitor, answer: &SiteAnswer, site: &SiteToday) -> Result<Page, Error> {
    let (reader, today) = (&visitor.reader, &*answer.today);
    let none = || Error::NotFound(Message::new("No treatment is set up here."));
    let train = site.standing.train.as_ref().ok_or_else(none)?;
    let (figure, unit) = match train.treatable {
        Some(left) => {
            let shown = reader.figure(as_litres(left), Unit::Litre).map_err(Error::internal)?;
            (shown.number, shown.unit.to_owned())
        }
        None => (reader.word("no end").to_owned(), String::new()),
    };
    let mut panels = vec![Panel::of(reader, &train.passed.working)];
    for stage in &train.stages {
        let credit = stage.credit.iter().map(|(_, credit)| &credit.working);
        panels.extend(credit.map(|working| Panel::named(reader, stage.stage.name.as_str(), working)));
    }
    Ok(Page {
        title: shown::words(reader, "Litres that can still be treated"),
        figure,
        unit,
        words: vec![
            shown::words(
                reader,
                "The least of what each stage may still pass: its litres less what has passed, or the days until its \
                 months or its lamp's hours are over, at what the site needs a day.",
            ),
            shown::words(
                reader,
                "What passes is counted as drinking water only where some stage is a barrier to each germ; chlorine counts \
                 against viruses alone. This is our rule: the authority's word stands over it.",
            ),
        ],
        panels,
        ..blank(visitor, reader, today)
    })
}

/// Of the tank that is asked for, or the first that anything can be said of.
pub(super) fn of_structure(
    visitor: &Visitor,
    answer: &SiteAnswer,
    asked: Option<VesselId>,
    edition: Edition,
) -> Result<Page, Error> {
    let (reader, today) = (&visitor.reader, &*answer.today);
    let settings = answer.picture.set_up.neighbourhood.as_ref().map(|kept| &*kept.thing);
    let none = || Error::NotFound(Message::new("Of no such tank can it be said how it stands."));
    let mut vessels = answer.site.vessels_at(answer.now);
    let vessel = vessels.find(|vessel| asked.is_none_or(|id| vessel.vessel.id == id)).ok_or_else(none)?;
    let standing = stands(vessel, settings, edition).map_err(Error::internal)?;
    let (mut figure, mut unit) = ("–".to_owned(), String::new());
    if let Ok(floor) = &standing.floor {
        let shown = reader.figure(as_kilopascals(floor.pressure), Unit::Kilopascal).map_err(Error::internal)?;
        (figure, unit) = (shown.number, shown.unit.to_owned());
    }
    let quake = standing.quake.as_ref();
    let mut workings: Vec<_> = standing.floor.iter().map(|floor| &floor.working).collect();
    workings.extend(quake.map(|quake| &quake.force.working));
    if let Some(loose) = quake.and_then(|quake| quake.loose.as_ref()) {
        workings.push(&loose.sliding.working);
        workings.extend(loose.tipping.iter().map(|tipping| &tipping.working));
    }
    workings.extend(standing.wave.iter().flatten().map(|(wave, _)| &wave.working));
    let mut words = vec![shown::words(
        reader,
        "Full to the brim, a litre as a kilogram, over all of its base. An anchored tank is reckoned by the force on its \
         anchors, another by whether it slides or tips. Screening only: over a limit means ask a structural engineer, \
         under it is not a design.",
    )];
    if !standing.weighed {
        words.push(shown::words(reader, "The tank's own weight is not set up, and not counted."));
    }
    words.extend(standing.unsaid().into_iter().map(|(what, why)| {
        shown::words(reader, "No figure for {what}: {why}.")
            .with("what", shown::words(reader, what))
            .with("why", shown::words(reader, why))
    }));
    Ok(Page {
        title: shown::words(reader, "How {tank} stands").with("tank", vessel.vessel.name.as_str()),
        figure,
        unit,
        words,
        panels: workings.into_iter().map(|working| Panel::of_works(reader, working)).collect(),
        warning: Some(Warning::STRUCTURE),
        ..blank(visitor, reader, today)
    })
}
