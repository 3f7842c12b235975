//! What is reckoned while a page is asked: what would help and what a loss would cost, of the demonstration.

use std::time::Instant;

use keepwell::clock::Clock;
use keepwell::demo;
use keepwell::model::entry::Act;
use keepwell::model::entry::note::Note;
use keepwell::service::App;
use keepwell::service::Caller;
use keepwell::service::entries::New;

use crate::measure::Folder;
use crate::measure::Sample;
use crate::measure::head;

const ROUNDS: usize = 40;

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
    app.close().await;
    Ok(())
}
