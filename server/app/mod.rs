//! Start and stop: the lock on the data folder, the rooms wired together, the door opened and closed. The program and
//! the tests' harness both come in here.

mod commands;

use std::fs::File;
use std::fs::TryLockError;
use std::io;
use std::io::Write;
use std::net::IpAddr;
use std::net::Ipv4Addr;
use std::net::SocketAddr;
use std::net::UdpSocket;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use tokio::net::TcpListener;
use tokio::signal::unix::SignalKind;
use tokio::signal::unix::signal;
use tokio::sync::watch;
use tokio::task::JoinHandle;
use tracing_subscriber::EnvFilter;

use crate::clock::Clock;
use crate::config::Log;
use crate::config::LogFormat;
use crate::config::Serve;
use crate::demo;
use crate::demo::Login;
use crate::jobs::status::Daily;
use crate::model::id::PersonId;
use crate::service;
use crate::service::App;
use crate::service::OpenError;
use crate::service::sign_in::Purpose;
use crate::store;
use crate::web;
use crate::web::House;
use crate::web::fresh::Shelf;
use crate::web::reader::Usual;
use crate::web::routes::Route;

pub use commands::backup;
pub use commands::export;
pub use commands::import;
pub use commands::ping;
pub use commands::restore;
pub use commands::verify;

/// How long requests that are under way may take once we are asked to stop.
const LAST_WORDS: Duration = Duration::from_secs(10);

#[derive(Debug, thiserror::Error)]
pub enum StartError {
    #[error("the data folder {} cannot be used: {cause}", folder.display())]
    Folder { folder: PathBuf, cause: io::Error },
    #[error(
        "the data folder {} is in use by another keepwell (it holds the lock on {}); stop that one first, or name another folder with --data",
        folder.display(),
        LOCK
    )]
    InUse { folder: PathBuf },
    #[error("the disk that {} is on is full: it cannot be opened until there is some room again", .0.display())]
    Full(PathBuf),
    #[error(transparent)]
    Open(#[from] OpenError),
    #[error("the demonstration could not be written: {0}")]
    Demonstration(service::Error),
    #[error("port {port} cannot be used: {cause}; name another with --port, or 0 for a free one")]
    Port { port: u16, cause: io::Error },
}

const LOCK: &str = "keepwell.lock";

/// The data folder, ours alone for as long as this value lives.
#[derive(Debug)]
pub struct Folder {
    path: PathBuf,
    throw_away: bool,
    _lock: File,
}

impl Folder {
    /// Makes the folder if it is not there and takes its lock.
    ///
    /// # Errors
    /// The folder cannot be made or written, or another keepwell holds it.
    pub fn take(path: &Path, throw_away: bool) -> Result<Self, StartError> {
        let unusable = |cause| StartError::Folder { folder: path.to_owned(), cause };
        std::fs::create_dir_all(path).map_err(unusable)?;
        let lock = File::options().create(true).truncate(false).write(true).open(path.join(LOCK)).map_err(unusable)?;
        match lock.try_lock() {
            Ok(()) => Ok(Self { path: path.to_owned(), throw_away, _lock: lock }),
            Err(TryLockError::WouldBlock) => Err(StartError::InUse { folder: path.to_owned() }),
            Err(TryLockError::Error(cause)) => Err(unusable(cause)),
        }
    }

    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        if self.throw_away
            && let Err(cause) = std::fs::remove_dir_all(&self.path)
        {
            tracing::warn!(folder = %self.path.display(), "the demonstration's folder could not be removed: {cause}");
        }
    }
}

/// The open door: a listener, and the way to close it.
#[derive(Debug)]
struct Door {
    address: SocketAddr,
    stop: watch::Sender<bool>,
    serving: JoinHandle<io::Result<()>>,
}

impl Door {
    async fn open(ip: Ipv4Addr, port: u16, router: Router) -> io::Result<Self> {
        let listener = TcpListener::bind((ip, port)).await?;
        let address = listener.local_addr()?;
        let (stop, mut stopped) = watch::channel(false);
        let asked_to_stop = async move {
            // An error means that the sender is gone, which is to be stopped as well.
            let _ = stopped.wait_for(|stop| *stop).await;
        };
        let app = router.into_make_service_with_connect_info::<SocketAddr>();
        let serving = tokio::spawn(axum::serve(listener, app).with_graceful_shutdown(asked_to_stop).into_future());
        Ok(Self { address, stop, serving })
    }

    /// Answers what is under way and takes nothing new.
    async fn close(mut self) -> io::Result<()> {
        self.stop.send_replace(true);
        if let Ok(ended) = tokio::time::timeout(LAST_WORDS, &mut self.serving).await {
            return ended.map_err(io::Error::other)?;
        }
        tracing::warn!(seconds = LAST_WORDS.as_secs(), "requests that did not end were cut off");
        self.serving.abort();
        Ok(())
    }
}

/// A house that is answering.
#[derive(Debug)]
pub struct Running {
    door: Door,
    routes: Vec<Route>,
    app: App,
    logins: Vec<Login>,
    /// a coordinator, where none has a password: the accounts were imported
    without_password: Option<(PersonId, String)>,
    daily: (watch::Sender<bool>, JoinHandle<()>),
    folder: Folder,
}

/// Takes the data folder, wires the rooms, opens the door.
///
/// # Errors
/// The folder or the port cannot be had.
pub async fn start(config: &Serve, clock: Clock) -> Result<Running, StartError> {
    let folder = Folder::take(&config.data, config.demo)?;

    let app = App::open(folder.path(), clock).await.map_err(|cause| match cause {
        OpenError::Store(store::Error::Full) => StartError::Full(folder.path().to_owned()),
        cause => StartError::Open(cause),
    })?;
    let app = app.limited_to(config.a_minute);
    let logins = if config.demo { demo::write(&app).await.map_err(StartError::Demonstration)? } else { Vec::new() };
    if let Err(error) = app.look_ahead() {
        tracing::warn!("the first page will take its time: {error}");
    }
    let without_password = app.without_password().await?;
    let reading = app.clone();
    let usual = Usual::new(move || web::usual(&reading));
    let house = House { names: Arc::from(config.names.as_slice()), usual, app: app.clone(), shelf: Shelf::default() };

    let (router, routes) = web::router(house);
    let ip = if config.lan { Ipv4Addr::UNSPECIFIED } else { Ipv4Addr::LOCALHOST };
    let refused = |cause| StartError::Port { port: config.port, cause };
    let door = Door::open(ip, config.port, router).await.map_err(refused)?;
    tracing::info!(port = door.address.port(), lan = config.lan, data = %folder.path().display(), "serving");
    let render = |app: &App| web::status_file(app).map_err(|error| error.to_string());
    let daily = Daily::new(app.clone(), folder.path().to_owned(), Box::new(render));
    let (stop, stopped) = watch::channel(false);
    let daily = (stop, tokio::spawn(daily.run(stopped)));
    Ok(Running { door, routes, app, logins, without_password, daily, folder })
}

impl Running {
    /// The address on this machine: `http://127.0.0.1:8730/`.
    #[must_use]
    pub fn url(&self) -> String {
        format!("http://127.0.0.1:{}/", self.port())
    }

    #[must_use]
    pub fn port(&self) -> u16 {
        self.door.address.port()
    }

    /// Every route, for the tests that walk them.
    #[must_use]
    pub fn routes(&self) -> &[Route] {
        &self.routes
    }

    #[must_use]
    pub fn data(&self) -> &Path {
        self.folder.path()
    }

    /// What the house can do, for tests that set a scene.
    #[must_use]
    pub const fn app(&self) -> &App {
        &self.app
    }

    /// What a person is told at the start: the demonstration's sign-ins and a link that is good once; on an empty
    /// folder, the link by which the neighbourhood is set up.
    ///
    /// # Errors
    /// No randomness to be had for a link.
    pub fn greeting(&self) -> Result<Vec<String>, service::Error> {
        let mut lines = Vec::new();
        if let Some(coordinator) = self.logins.first() {
            let token = self.app.one_time(Purpose::SignIn(coordinator.person))?;
            lines.push(format!("Open this link to sign in as {}, once:", coordinator.name));
            lines.push(format!("{}enter/{token}", self.url()));
            lines.push("Or sign in by name and password:".to_owned());
            lines.extend(
                self.logins.iter().map(|login| format!("  {:12} {}  ({})", login.name, login.password, login.role)),
            );
        } else if !self.app.is_set_up() {
            let token = self.app.one_time(Purpose::SetUp)?;
            lines.push("Nothing is kept here yet. Open this link to set your neighbourhood up, once:".to_owned());
            lines.push(format!("{}begin/{token}", self.url()));
        } else if let Some((person, name)) = &self.without_password {
            let token = self.app.one_time(Purpose::SignIn(*person))?;
            lines.push(format!("No coordinator has a password yet. Open this link to sign in as {name}, once:"));
            lines.push(format!("{}enter/{token}", self.url()));
        }
        Ok(lines)
    }

    /// Closes the door behind the last answer, then lets go of the data folder.
    ///
    /// # Errors
    /// The listener failed.
    pub async fn stop(self) -> io::Result<()> {
        let closed = self.door.close().await;
        self.daily.0.send_replace(true);
        if let Err(gone) = self.daily.1.await {
            tracing::error!("the daily status did not end well: {gone}");
        }
        self.app.close().await;
        closed
    }
}

/// Serves until ctrl-c or SIGTERM. The first line on stdout is the address.
///
/// # Errors
/// What [`start`] says; a signal that cannot be listened for; a failed listener.
pub async fn serve(config: &Serve, clock: Clock) -> anyhow::Result<()> {
    let mut terminate = signal(SignalKind::terminate())?;
    let mut interrupt = signal(SignalKind::interrupt())?;
    let running = start(config, clock).await?;
    say(&running.url())?;
    if config.lan {
        match own_address() {
            Some(ip) => say(&format!("on this network: http://{ip}:{}/", running.port()))?,
            None => say("this machine has no address on a network")?,
        }
    }
    for line in running.greeting()? {
        // Whoever read the address may have stopped reading; that stops nothing.
        if let Err(gone) = say(&line) {
            tracing::warn!("the greeting was not read to its end: {gone}");
            break;
        }
    }
    tokio::select! {
        _ = terminate.recv() => {}
        _ = interrupt.recv() => {}
    }
    tracing::info!("stopping");
    running.stop().await?;
    Ok(())
}

/// The address others on the network reach us by. Nothing is sent: choosing a route to a documentation address (RFC
/// 5737) is enough to learn it.
fn own_address() -> Option<IpAddr> {
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).ok()?;
    socket.connect((Ipv4Addr::new(192, 0, 2, 1), 9)).ok()?;
    socket.local_addr().ok().map(|address| address.ip())
}

/// A client that needs no certificates of the machine it runs on (a small image has none).
///
/// # Errors
/// A root certificate that cannot be read.
pub fn client() -> reqwest::Result<reqwest::ClientBuilder> {
    let roots = webpki_root_certs::TLS_SERVER_ROOT_CERTS.iter().map(|root| reqwest::Certificate::from_der(root));
    Ok(reqwest::Client::builder().no_proxy().tls_certs_only(roots.collect::<reqwest::Result<Vec<_>>>()?))
}

/// The one TLS provider, before anything makes a client.
///
/// # Errors
/// Another was installed first.
pub fn install_tls() -> anyhow::Result<()> {
    rustls::crypto::ring::default_provider()
        .install_default()
        .map_err(|_| anyhow::anyhow!("another TLS provider was installed first"))
}

/// Logs go to stderr; stdout is for what was asked.
///
/// # Errors
/// A filter that cannot be read, or a log that was installed before.
pub fn install_log(log: &Log) -> anyhow::Result<()> {
    let filter = EnvFilter::try_new(&log.filter)
        .map_err(|wrong| anyhow::anyhow!("the log filter {:?} cannot be read: {wrong}", log.filter))?;
    let lines = tracing_subscriber::fmt().with_env_filter(filter).with_writer(io::stderr);
    match log.format {
        LogFormat::Plain => lines.try_init(),
        LogFormat::Json => lines.json().try_init(),
    }
    .map_err(|cause| anyhow::anyhow!("the log could not be started: {cause}"))
}

/// A line on stdout.
///
/// # Errors
/// Nobody is there to read it.
pub fn say(line: &str) -> io::Result<()> {
    let mut out = io::stdout().lock();
    writeln!(out, "{line}")?;
    out.flush()
}

/// A line on stderr; if even that fails there is nobody left to tell.
pub fn say_wrong(line: &str) {
    let _ = writeln!(io::stderr(), "keepwell: {line}");
}

#[cfg(test)]
mod tests {
    use axum::routing::post;
    use tokio::io::AsyncReadExt;
    use tokio::io::AsyncWriteExt;
    use tokio::net::TcpStream;

    use super::*;

    #[tokio::test]
    async fn what_is_under_way_is_answered_before_the_door_closes() {
        let (arrived, mut seen) = watch::channel(false);
        let handler = move |body: String| async move {
            arrived.send_replace(true);
            tokio::time::sleep(Duration::from_millis(300)).await;
            body
        };
        let door = Door::open(Ipv4Addr::LOCALHOST, 0, Router::new().route("/", post(handler))).await.unwrap();
        let address = door.address;
        let mut visitor = TcpStream::connect(address).await.unwrap();
        visitor.write_all(b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 6\r\n\r\nlogged").await.unwrap();
        seen.wait_for(|arrived| *arrived).await.unwrap();
        door.close().await.unwrap();
        let mut answer = String::new();
        visitor.read_to_string(&mut answer).await.unwrap();
        assert!(answer.starts_with("HTTP/1.1 200") && answer.ends_with("logged"), "{answer}");
        assert!(TcpStream::connect(address).await.is_err(), "nothing new is taken");
    }
}
