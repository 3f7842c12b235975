//! What would help is done, move by move, as anyone would enter it: the days that were promised come about. What helps
//! only after a loss is done in `pages/losses.rs`.

use keepwell::clock::Clock;
use keepwell::demo;
use keepwell::model::entry::Act;
use keepwell::model::entry::dose::Dose;
use keepwell::model::entry::fuel::FuelMove;
use keepwell::model::entry::fuel::Move;
use keepwell::model::entry::service::Service;
use keepwell::model::entry::transfer::Transfer;
use keepwell::model::id::VesselId;
use keepwell::model::power::Fuel;
use keepwell::model::setup::Thing;
use keepwell::model::source::SourceKind;
use keepwell::picture::VesselPicture;
use keepwell::picture::moves::NextMove;
use keepwell::picture::moves::What;
use keepwell::service::App;
use keepwell::service::Caller;
use keepwell_engine::grade::Grade;
use keepwell_engine::quantity::as_days;

use crate::harness::Folder;
use crate::harness::THEN;
use crate::pages::scene;

/// Every kind of move, in an order in which none takes another's ground: with a better plan more fuel buys nothing.
const KINDS: [&str; 7] = ["fuel", "plan", "fill", "restore", "renew", "cans", "carry"];

fn kind(what: &What) -> &'static str {
    match what {
        What::Plan { .. } => "plan",
        What::Fuel { .. } => "fuel",
        What::Restore { .. } => "restore",
        What::Fill { .. } => "fill",
        What::Cans { .. } => "cans",
        What::Carry { .. } => "carry",
        What::Renew { .. } => "renew",
        What::Anchor { .. } | What::Uncouple { .. } => panic!("{what:?} lengthens no day as things stand"),
    }
}

/// Enters what was done.
async fn done(app: &App, one: &NextMove) {
    let set_up = app.picture().set_up.clone();
    let now = scene::now();
    let hour = jiff::SignedDuration::from_hours(1);
    match one.what {
        What::Plan { hours, .. } => {
            let kept = &set_up.sites[&one.site];
            let mut site = (*kept.thing).clone();
            site.pump_hours_a_day = hours;
            app.keep(&Caller::House, Thing::Site(site), Some(kept.revision)).await.unwrap();
        }
        What::Fuel { litres, .. } => {
            let generator = set_up.generators.values().find(|kept| kept.thing.site == one.site).unwrap();
            let fuel: Fuel = generator.thing.fuel;
            let store = set_up.fuel_stores.values().find(|kept| kept.thing.site == one.site && kept.thing.fuel == fuel);
            let today = jiff::tz::TimeZone::UTC.to_datetime(now).date();
            let act = Act::Fuel(FuelMove {
                store: store.unwrap().thing.id,
                way: Move::In,
                litres,
                bought: Some(today),
                stabilised: None,
                note: None,
            });
            scene::log(app, Some(one.site), None, now, act).await;
        }
        What::Restore { vessel, .. } => {
            let dose = Act::Dose(Dose {
                amount_l: Some(0.1),
                strength: Some(0.06),
                percent_of: None,
                shock: false,
                note: None,
            });
            scene::log(app, None, Some(vessel), now - hour, dose).await;
            scene::log(app, None, Some(vessel), now, scene::tested(0.6)).await;
        }
        What::Fill { vessel, .. } => {
            let mains = set_up.sources.values().find(|kept| kept.thing.kind == SourceKind::Mains).unwrap();
            scene::log(app, None, Some(vessel), now, scene::filled(mains.thing.id)).await;
        }
        What::Cans { count, .. } => {
            let mains = set_up.sources.values().find(|kept| kept.thing.kind == SourceKind::Mains).unwrap();
            let site = &set_up.sites[&one.site].thing;
            let cans = scene::cans(site, "More cans", f64::from(count));
            let id: VesselId = cans.id;
            scene::keep(app, vec![Thing::Vessel(cans)]).await;
            scene::log(app, None, Some(id), now - hour, scene::filled(mains.thing.id)).await;
            scene::log(app, None, Some(id), now, scene::counted(f64::from(count))).await;
        }
        What::Carry { from, litres, .. } => {
            // Into cans that were empty, out of the giver's largest vessel of drinking water.
            let picture = app.picture();
            let held = |vessel: &&VesselPicture| vessel.estimate(app.now()).volume.value;
            let drinking = |vessel: &&VesselPicture| {
                vessel.parts(app.now()).iter().all(|part| part.graded.grade == Some(Grade::Drink))
            };
            let givers = picture.site(from).unwrap().vessels.iter().filter(drinking);
            let giver = givers.max_by(|a, b| held(a).total_cmp(&held(b))).unwrap();
            let mut cans = scene::cans(&set_up.sites[&one.site].thing, "Carried", (litres / 20.0).ceil());
            // New today; and water keeps its age on the way.
            cans.since = now - hour;
            cans.policy = giver.vessel.policy;
            let id = cans.id;
            scene::keep(app, vec![Thing::Vessel(cans)]).await;
            scene::log(app, None, Some(id), now - hour, scene::counted(0.0)).await;
            let carried = Act::Transfer(Transfer { to: id, litres, measured: None, note: None });
            scene::log(app, None, Some(giver.vessel.id), now, carried).await;
        }
        What::Renew { stage } => {
            let renewed = Act::Service(Service { what: "changed".to_owned(), stage: Some(stage), note: None });
            scene::log(app, Some(one.site), None, now, renewed).await;
        }
        What::Anchor { .. } | What::Uncouple { .. } => panic!("{one:?} is not asked for here"),
    }
}

#[tokio::test]
async fn the_days_that_a_move_promises_come_about() {
    let folder = Folder::new();
    let app = App::open(folder.path(), Clock::standing_at(THEN.parse().unwrap())).await.unwrap();
    demo::write(&app).await.unwrap();
    for wanted in KINDS {
        let (picture, today) = app.today(&Caller::House, None).unwrap();
        let moves = app.next_moves(&Caller::House, &picture, &today).unwrap();
        for one in moves.iter() {
            let What::Fill { vessel, .. } = one.what else { continue };
            assert!(picture.vessel(vessel).unwrap().1.leak().is_none(), "what leaks is not filled: {one:?}");
        }
        let one = moves.iter().find(|one| kind(&one.what) == wanted);
        let one = one.unwrap_or_else(|| panic!("no {wanted} would help: {moves:#?}"));
        let before = as_days(today.site(one.site).unwrap().standing.timeline.days_at_ration);
        done(&app, one).await;
        let (_, after) = app.today(&Caller::House, None).unwrap();
        let standing = &after.site(one.site).unwrap().standing;
        let lasts = as_days(standing.timeline.days_at_ration);
        let promised = one.lasts.map_or(730.0, as_days);
        // What a run plan and fuel do is exact; a fill stops within 10 mm of the mark, and a test reads what it reads.
        let within = match one.what {
            What::Fill { .. } | What::Restore { .. } | What::Carry { .. } => {
                as_days(standing.high - standing.low) / 2.0
            }
            _ => 1e-6,
        };
        assert!(lasts > before && (lasts - promised).abs() <= within, "{one:?}: {before}, then {lasts}");
    }
    app.close().await;
}
