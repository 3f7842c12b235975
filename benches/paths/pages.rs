//! The today page through the real router against a bare route that returns the same bytes: over loopback, signed in,
//! the connection kept alive.

use std::path::Path;
use std::time::Duration;
use std::time::Instant;

use axum::Router;
use axum::http::header;
use axum::routing::get;
use keepwell::app;
use keepwell::app::Running;
use keepwell::clock::Clock;
use keepwell::config::Serve;
use keepwell::service::Caller;
use keepwell::service::entries::New;
use keepwell::service::sign_in::Purpose;
use keepwell::web::session;
use rand::SeedableRng;
use rand_pcg::Pcg64Mcg;
use reqwest::Client;
use reqwest::StatusCode;
use tokio::net::TcpListener;

use crate::measure::Folder;
use crate::measure::Pair;
use crate::measure::Sample;
use crate::measure::head;
use crate::measure::say;
use crate::scene;
use crate::scene::Scene;

const ROUNDS: usize = 9;
const IN_A_ROUND: usize = 30;

pub async fn measure() -> anyhow::Result<()> {
    at(14, 3).await?;
    at(10_000, 1).await
}

async fn at(sites: u32, vessels_each: u32) -> anyhow::Result<()> {
    head(&format!("Today page, {sites} sites, against a bare route returning the same bytes"))?;
    let folder = Folder::new(&format!("pages-{sites}"))?;
    let mut scene = Scene::of(sites, |_| vessels_each)?;
    let store = scene.keep(folder.path()).await?;
    let vessels = scene.vessels.len();
    let mut next = 0;
    let entries = scene.entries(vessels * 20, |_, count| {
        next += 1;
        next % count
    })?;
    store.append_all(scene::shared(entries)).await?;
    store.close().await;

    let clock = Clock::standing_at(scene.now);
    let running = app::start(&serve(folder.path()), clock).await?;
    let visit = Visit::new(&running, &scene).await?;
    visit.all(&running, &mut scene).await?;
    running.stop().await?;
    Ok(())
}

pub fn serve(folder: &Path) -> Serve {
    Serve { demo: false, lan: false, port: 0, data: folder.to_owned(), names: Vec::new(), a_minute: None }
}

/// A signed-in visitor, and beside the page the bare route with its bytes.
pub struct Visit {
    client: Client,
    page: String,
    cookie: String,
}

impl Visit {
    pub async fn new(running: &Running, scene: &Scene) -> anyhow::Result<Self> {
        let link = running.app().one_time(Purpose::SignIn(scene.person.id))?;
        let token = running.app().sign_in_by_link(&link).await?;
        let client = app::client()?.redirect(reqwest::redirect::Policy::none()).build()?;
        Ok(Self { client, page: running.url(), cookie: format!("{}={token}", session::NAME) })
    }

    /// The page once, and how long it took.
    pub async fn today(&self) -> anyhow::Result<Duration> {
        let got = self.get(&self.page, &[]).await?;
        anyhow::ensure!(got.status == StatusCode::OK, "the today page answered {}", got.status);
        Ok(got.took)
    }

    /// How long an answer took, its status, its tag and its bytes.
    async fn get(&self, url: &str, extra: &[(header::HeaderName, &str)]) -> anyhow::Result<Got> {
        let mut request = self.client.get(url).header(header::COOKIE, &self.cookie).header(header::ACCEPT, "text/html");
        for (name, value) in extra {
            request = request.header(name, *value);
        }
        let began = Instant::now();
        let answer = request.send().await?;
        let status = answer.status();
        let tag = answer.headers().get(header::ETAG).and_then(|tag| tag.to_str().ok()).map(ToOwned::to_owned);
        let bytes = answer.bytes().await?;
        Ok(Got { took: began.elapsed(), status, tag, bytes: bytes.to_vec() })
    }

    async fn all(&self, running: &Running, scene: &mut Scene) -> anyhow::Result<()> {
        let first = self.get(&self.page, &[]).await?;
        anyhow::ensure!(first.status == StatusCode::OK, "the today page answered {}", first.status);
        let bare = bare_route(first.bytes.clone()).await?;
        let packed = self.get(&self.page, &[(header::ACCEPT_ENCODING, "br")]).await?;
        let bare_packed = bare_route(packed.bytes.clone()).await?;
        say("the page", &format!("{} bytes, {} packed", first.bytes.len(), packed.bytes.len()))?;

        self.repeated("repeated within the minute", &bare, &[]).await?;
        self.repeated("repeated, packed with brotli", &bare_packed, &[(header::ACCEPT_ENCODING, "br")]).await?;
        match &first.tag {
            Some(tag) => self.repeated("asked again with its tag", &bare, &[(header::IF_NONE_MATCH, tag)]).await?,
            None => say("asked again with its tag", "the page has none")?,
        }
        self.cold(running, scene, &bare).await?;
        reckoning(running, scene).await
    }

    async fn repeated(&self, what: &str, bare: &str, extra: &[(header::HeaderName, &str)]) -> anyhow::Result<()> {
        let mut pair = Pair::default();
        for _ in 0..ROUNDS {
            let (mut ours, mut floor) = (Sample::default(), Sample::default());
            for _ in 0..IN_A_ROUND {
                ours.took(self.get(&self.page, extra).await?.took);
                floor.took(self.get(bare, extra).await?.took);
            }
            pair.round(ours.median(), floor.median());
        }
        pair.say_times(what)
    }

    /// The first page after a commit.
    async fn cold(&self, running: &Running, scene: &mut Scene, bare: &str) -> anyhow::Result<()> {
        let mut random = Pcg64Mcg::seed_from_u64(3);
        let mut pair = Pair::default();
        for _ in 0..ROUNDS {
            let (mut ours, mut floor) = (Sample::default(), Sample::default());
            for _ in 0..5 {
                running.app().log(&Caller::House, new(scene, &mut random)).await?;
                ours.took(self.get(&self.page, &[]).await?.took);
                floor.took(self.get(bare, &[]).await?.took);
            }
            pair.round(ours.median(), floor.median());
        }
        pair.say_times("the first after a commit")
    }
}

struct Got {
    took: Duration,
    status: StatusCode,
    tag: Option<String>,
    bytes: Vec<u8>,
}

/// What the cold page waits for before it is drawn: reckoning, and looking for what is not in order.
async fn reckoning(running: &Running, scene: &mut Scene) -> anyhow::Result<()> {
    let mut random = Pcg64Mcg::seed_from_u64(4);
    let (mut today, mut findings, mut again) = (Sample::default(), Sample::default(), Sample::default());
    let app = running.app();
    for _ in 0..ROUNDS {
        app.log(&Caller::House, new(scene, &mut random)).await?;
        let began = Instant::now();
        let (picture, answer) = app.today(&Caller::House, None)?;
        today.took(began.elapsed());
        let began = Instant::now();
        app.all_findings(&Caller::House, &picture, &answer)?;
        findings.took(began.elapsed());
        let began = Instant::now();
        app.today(&Caller::House, None)?;
        again.took(began.elapsed());
    }
    today.say("of which reckoning")?;
    findings.say("of which findings")?;
    again.say("reckoning, asked again")
}

pub fn new(scene: &Scene, random: &mut Pcg64Mcg) -> New {
    let (site, vessel) = scene.vessels[0];
    let act = scene::an_act(random, scene.source);
    New { id: keepwell::model::id::Id::fresh(), site: Some(site), vessel: Some(vessel), at: scene.now, act }
}

/// The floor: one route, no layers; its address.
pub async fn bare_route(bytes: Vec<u8>) -> anyhow::Result<String> {
    let bytes = axum::body::Bytes::from(bytes);
    let handler = move || {
        let bytes = bytes.clone();
        async move { ([(header::CONTENT_TYPE, "text/html; charset=utf-8")], bytes) }
    };
    let listener = TcpListener::bind(("127.0.0.1", 0)).await?;
    let address = listener.local_addr()?;
    tokio::spawn(axum::serve(listener, Router::new().route("/", get(handler))).into_future());
    Ok(format!("http://{address}/"))
}
