//! What is reckoned while a page is asked: what would help and what a loss would cost, of the demonstration.

use std::time::Instant;

use keepwell::clock::Clock;
use keepwell::demo;
use keepwell::model::entry::Act;
use keepwell::model::entry::note::Note;
use keepwell::model::entry::reading::Method;
use keepwell::model::entry::reading::Reading;
use keepwell::model::id::OutageId;
use keepwell::model::id::SiteId;
use keepwell::model::id::VesselId;
use keepwell::model::outage::Outage;
use keepwell::model::outage::OutageKind;
use keepwell::model::outage::Step;
use keepwell::model::setup::Thing;
use keepwell::model::vessel::ShapeKind;
use keepwell::service::App;
use keepwell::service::Caller;
use keepwell::service::entries::New;

use crate::measure::Folder;
use crate::measure::Sample;
use crate::measure::head;

const ROUNDS: usize = 40;
const READINGS: usize = 6_000;

/// Three outages of three days, and readings of every vessel all through the months before.
async fn outages_behind(app: &App, at: jiff::Timestamp) -> anyhow::Result<()> {
    let ago = |hours: i64| at - jiff::SignedDuration::from_hours(hours);
    let vessels: Vec<(SiteId, VesselId, f64)> = app
        .picture()
        .sites()
        .iter()
        .flat_map(|site| &site.vessels)
        .filter(|vessel| vessel.vessel.shape != ShapeKind::Set && vessel.is_known())
        .map(|vessel| {
            let part = vessel.estimate(app.now()).volume / vessel.body.capacity.brim;
            (vessel.vessel.site, vessel.vessel.id, part.value.min(1.0))
        })
        .collect();
    let mut readings = Vec::with_capacity(READINGS);
    for (count, (site, vessel, part)) in vessels.iter().cycle().take(READINGS).enumerate() {
        let act = Act::Reading(Reading { part: Some(*part), ..Reading::by(Method::Eye) });
        let id = keepwell::model::id::Id::fresh();
        let back = i64::try_from(1 + count / vessels.len())? * 4;
        readings.push(New { id, site: Some(*site), vessel: Some(*vessel), at: ago(back), act });
    }
    for reading in readings {
        app.log(&Caller::House, reading).await?;
    }
    for back in [10, 20, 30] {
        let outage = Outage {
            id: OutageId::fresh(),
            kind: OutageKind::Real,
            since: ago(24 * back),
            ended: Some(ago(24 * (back - 3))),
            target_days: 14.0,
            rations: vec![Step { since: ago(24 * back), ration: "basic".to_owned() }],
            expected: None,
            ran_out: String::new(),
            notes: String::new(),
        };
        app.keep(&Caller::House, Thing::Outage(outage), None).await?;
    }
    Ok(())
}

pub async fn measure() -> anyhow::Result<()> {
    head("What is reckoned for a page of the demonstration, anew after each commit")?;
    let folder = Folder::new("ahead")?;
    let clock = Clock::standing_at("2026-03-14T09:30:00Z".parse()?);
    let app = App::open(folder.path(), clock).await?;
    demo::write(&app).await?;
    let at = jiff::Timestamp::from_microsecond(app.now().micros())?;
    let site = app.picture().sites().first().map(|site| site.site.id);
    let [mut days, mut moves, mut losses, mut guards] = std::array::from_fn(|_| Sample::default());
    for _ in 0..ROUNDS {
        let act = Act::Note(Note { text: "looked in".to_owned() });
        let id = keepwell::model::id::Id::fresh();
        app.log(&Caller::House, New { id, site, vessel: None, at, act }).await?;
        let began = Instant::now();
        let (picture, today) = app.today(&Caller::House, None)?;
        days.took(began.elapsed());
        let began = Instant::now();
        app.next_moves(&Caller::House, &picture, &today)?;
        moves.took(began.elapsed());
        let began = Instant::now();
        app.losses(&Caller::House, &picture, &today)?;
        losses.took(began.elapsed());
        let began = Instant::now();
        app.guards(&Caller::House, &picture, &today)?;
        guards.took(began.elapsed());
    }
    days.say("days, with their bands")?;
    moves.say("next moves")?;
    losses.say("losses, one by one")?;
    guards.say("what would hurt less after a loss")?;
    outages_behind(&app, at).await?;
    let mut taught = Sample::default();
    for _ in 0..ROUNDS {
        let act = Act::Note(Note { text: "looked in".to_owned() });
        let id = keepwell::model::id::Id::fresh();
        app.log(&Caller::House, New { id, site, vessel: None, at, act }).await?;
        let began = Instant::now();
        app.today(&Caller::House, None)?;
        taught.took(began.elapsed());
    }
    taught.say("days, with 3 outages and 6,000 readings behind them")?;
    app.close().await;
    Ok(())
}
