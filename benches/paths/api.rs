//! The API through the real router: a list and one thing of it against a bare route that returns the same bytes; a batch
//! of a thousand entries against the same rows put straight into SQLite in one commit.

use std::time::Duration;
use std::time::Instant;

use jiff::SignedDuration;
use keepwell::app;
use keepwell::app::Running;
use keepwell::clock::Clock;
use keepwell::model::choice::Choice;
use keepwell::model::entry::Entry;
use keepwell::model::id::Id;
use keepwell::model::name::Name;
use keepwell::model::person::Role;
use keepwell::service::Caller;
use keepwell::service::tokens::NewToken;
use rand_pcg::Pcg64Mcg;
use reqwest::Client;
use reqwest::StatusCode;
use reqwest::header;
use serde_json::json;

use crate::measure::Folder;
use crate::measure::Pair;
use crate::measure::Sample;
use crate::measure::head;
use crate::measure::say;
use crate::pages::bare_route;
use crate::pages::serve;
use crate::scene;
use crate::scene::Raw;
use crate::scene::Row;
use crate::scene::Scene;

const ROUNDS: usize = 9;
const IN_A_ROUND: usize = 30;
const BATCH: usize = 1000;

pub async fn measure() -> anyhow::Result<()> {
    at(14, 3).await?;
    at(10_000, 1).await?;
    batches().await
}

/// A program with a token of the coordinator's.
struct Machine {
    client: Client,
    base: String,
    bearer: String,
}

impl Machine {
    async fn new(running: &Running, scene: &Scene) -> anyhow::Result<Self> {
        let person = running.app().picture().set_up.people.get(&scene.person.id).map(|kept| kept.thing.clone());
        let caller = Caller::Person(person.ok_or_else(|| anyhow::anyhow!("the coordinator was not kept"))?);
        let name = Name::new("Bench").map_err(|why| anyhow::anyhow!(why.key))?;
        let new = NewToken { id: Id::fresh(), name, role: Role::Coordinator, sites: Vec::new() };
        let (_, secret) = running.app().make_token(&caller, new).await?;
        let base = running.url().trim_end_matches('/').to_owned();
        Ok(Self { client: app::client()?.build()?, base, bearer: format!("Bearer {secret}") })
    }

    async fn get(&self, url: &str) -> anyhow::Result<(Duration, Vec<u8>)> {
        let request = self.client.get(url).header(header::AUTHORIZATION, &self.bearer);
        let began = Instant::now();
        let answer = request.send().await?;
        anyhow::ensure!(answer.status() == StatusCode::OK, "{url} answered {}", answer.status());
        let bytes = answer.bytes().await?;
        Ok((began.elapsed(), bytes.to_vec()))
    }

    /// Asked again and again within the minute, turn about with the bare route.
    async fn against_bare(&self, what: &str, path: &str) -> anyhow::Result<()> {
        let url = format!("{}{path}", self.base);
        let (_, bytes) = self.get(&url).await?;
        let bare = bare_route(bytes.clone()).await?;
        let mut pair = Pair::default();
        for _ in 0..ROUNDS {
            let (mut ours, mut floor) = (Sample::default(), Sample::default());
            for _ in 0..IN_A_ROUND {
                ours.took(self.get(&url).await?.0);
                floor.took(self.get(&bare).await?.0);
            }
            pair.round(ours.median(), floor.median());
        }
        pair.say_times(&format!("{what}, {} bytes", bytes.len()))
    }
}

async fn at(sites: u32, vessels_each: u32) -> anyhow::Result<()> {
    head(&format!("API, {sites} sites, against a bare route returning the same bytes"))?;
    let folder = Folder::new(&format!("api-{sites}"))?;
    let scene = Scene::of(sites, |_| vessels_each)?;
    scene.keep(folder.path()).await?.close().await;
    let running = app::start(&serve(folder.path()), Clock::standing_at(scene.now)).await?;
    let machine = Machine::new(&running, &scene).await?;
    let (site, vessel) = scene.vessels[0];
    machine.against_bare("the list of sites, a page of 100", "/api/v1/sites").await?;
    machine.against_bare("one site", &format!("/api/v1/sites/{site}")).await?;
    machine.against_bare("one site's standing", &format!("/api/v1/sites/{site}/standing")).await?;
    machine.against_bare("one vessel's standing", &format!("/api/v1/vessels/{vessel}/standing")).await?;
    machine.against_bare("the neighbourhood's days", "/api/v1/today").await?;
    running.stop().await?;
    Ok(())
}

async fn batches() -> anyhow::Result<()> {
    head("A batch of 1,000 entries over the API, against raw SQLite in one commit")?;
    let (ours, floor) = (Folder::new("batch-ours")?, Folder::new("batch-floor")?);
    let scene = Scene::of(14, |_| 3)?;
    for folder in [&ours, &floor] {
        scene.keep(folder.path()).await?.close().await;
    }
    let running = app::start(&serve(ours.path()), Clock::standing_at(scene.now)).await?;
    let machine = Machine::new(&running, &scene).await?;
    let mut raw = Raw::open(floor.path())?;
    let mut random = Pcg64Mcg::new(0xba7c);
    let mut bytes = 0;
    let mut pair = Pair::default();
    for round in 0..ROUNDS {
        let entries = some(&scene, &mut random, round)?;
        let body = body(&entries)?;
        bytes = body.len();
        let request = machine
            .client
            .post(format!("{}/api/v1/entries/batch", machine.base))
            .header(header::AUTHORIZATION, &machine.bearer)
            .header(header::CONTENT_TYPE, "application/json")
            .body(body);
        let began = Instant::now();
        let answer: serde_json::Value = request.send().await?.json().await?;
        let took = began.elapsed();
        anyhow::ensure!(answer["stored"] == BATCH, "the batch was not stored: {answer}");
        let rows = entries.iter().map(Row::of).collect::<anyhow::Result<Vec<_>>>()?;
        let began = Instant::now();
        raw.insert(&rows)?;
        pair.round(took.as_secs_f64(), began.elapsed().as_secs_f64());
    }
    say("the batch", &format!("{bytes} bytes"))?;
    pair.say_rates("entries", f64::from(u32::try_from(BATCH)?))?;
    running.stop().await?;
    Ok(())
}

/// Entries as they happen, one a millisecond.
fn some(scene: &Scene, random: &mut Pcg64Mcg, round: usize) -> anyhow::Result<Vec<Entry>> {
    let began = scene.now - SignedDuration::from_hours(24) + SignedDuration::from_secs(i64::try_from(round)?);
    let mut entries = Vec::with_capacity(BATCH);
    for number in 0..BATCH {
        let at = began + SignedDuration::from_millis(i64::try_from(number)?);
        let (site, vessel) = scene.vessels[number % scene.vessels.len()];
        entries.push(Entry {
            id: Id::from_uuid(scene::uuid(random, at)),
            site: Some(site),
            vessel: Some(vessel),
            at,
            arrived: scene.now,
            by: None,
            act: scene::an_act(random, scene.source),
        });
    }
    Ok(entries)
}

fn body(entries: &[Entry]) -> anyhow::Result<String> {
    let mut all = Vec::with_capacity(entries.len());
    for entry in entries {
        all.push(json!({
            "id": entry.id,
            "kind": entry.act.kind().key(),
            "at": entry.at,
            "site": entry.site,
            "vessel": entry.vessel,
            "fields": entry.act.to_json()?,
        }));
    }
    Ok(json!({ "entries": all }).to_string())
}
